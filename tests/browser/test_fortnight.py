"""A fortnight worked through today's list on a phone whose connection drops.

Every look of the simulated keeper is told from the list, by its one tap where it found nothing
new, and each duty of each visit is done once; taps and seconds are counted.
"""

import time
from datetime import date, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from playwright.sync_api import Locator, Page, expect

from service.nests.duty import ByCalendar, DutyTerms, DutyWhere, Visit, VisitTimes, WhereKind
from service.nests.plain_look import lies_there
from service.nests.visits import visit_at
from simulated_feeds.keeper.values import NestCheck
from tests.browser.looks_by_hand import POINT_S, PRESS_S, THINK_S, Thumb, look_in, same_looks
from tests.browser.shed_in_time import ShedInTime
from tests.browser.test_week_of_looks import Dropping, last_days, news_of, served_since
from tests.dashboards.filled_shed import ZONE

pytestmark = pytest.mark.browser

SAVED = "**/today?saved=*"
HERE = "Kept on this phone"


class Round:
    """One keeper, one phone, one look after the other."""

    def __init__(self, page: Page, served: ShedInTime) -> None:
        self.page = page
        self.served = served
        self.thumb = Thumb()
        self.dropping = Dropping(page, served)
        self.drops = 0
        self.plain = 0

    def visit(self, place: int, look: NestCheck) -> None:
        """Tell one look and do what is due in its cage."""
        self.served.clock.set(look.at)
        self.page.goto(f"{self.served.address}/today")
        stop = self._opened(look.box)
        if self._is_plain(look):
            self.plain += 1
            self._all(stop, drops=place % 3 == 1)
        else:
            self.thumb.tap(stop.locator(f'a[href^="/nests/{look.box}/check"]'))
            expect(self.page.locator("#will")).to_contain_text("Will write: nothing new")
            mend = self.dropping.during(place)
            look_in(self.page, look, self.thumb)
            mend()
            self.page.wait_for_url(SAVED, timeout=20_000)
            expect(self.page.locator(".saved").first).to_contain_text("Saved")
            stop = self._stop(look.box)
            if stop.locator('button[value^="done|"]').count():
                self._all(self._opened(look.box), drops=place % 3 == 2)

    def _stop(self, box: str) -> Locator:
        return self.page.locator(f"#{box.replace('box', 'cage')}")

    def _opened(self, box: str) -> Locator:
        stop = self._stop(box)
        details = stop.locator("details")
        if details.count() and details.get_attribute("open") is None:
            self.thumb.tap(details.locator("summary"))
        return stop

    def _is_plain(self, look: NestCheck) -> bool:
        """One tap tells counts, and nothing of the hen."""
        nest = self.served.shed.records.nest_book.nest(look.box)
        told = (look.weighed, look.bedding, look.thrown_out, look.put_back, look.note)
        same = lies_there(nest) == (look.eggs, look.chicks)
        return same and look.hen == "not seen" and not news_of(look) and not any(told)

    def _all(self, stop: Locator, *, drops: bool) -> None:
        stop_id = stop.get_attribute("id")
        if drops:
            self.drops += 1
            self.page.context.set_offline(True)
        self.thumb.tap(stop.locator('button[value="all"]'))
        if drops:
            expect(stop.locator(".kept-here")).to_contain_text(HERE)
            assert "done" not in (stop.get_attribute("class") or "")
            self.page.context.set_offline(False)
        expect(self.page.locator(f"#{stop_id}.done")).to_be_visible(timeout=15_000)
        expect(self.page.locator(".kept-here")).to_have_count(0)


def set_duties(served: ShedInTime, boxes: set[str], since: datetime) -> None:
    """Seed, and a look into the box, morning and evening, where the looks are told of."""
    cages = tuple(sorted(box.replace("box", "cage") for box in boxes))
    both = (Visit.MORNING, Visit.EVENING)
    duties = [
        DutyTerms(
            name=name,
            where=DutyWhere(kind=WhereKind.NAMED, places=places),
            schedule=ByCalendar(),
            since=since - timedelta(days=1),
            visits=both,
            look=look,
        )
        for name, places, look in (
            ("Seed", cages, False),
            ("Look into the box", tuple(sorted(boxes)), True),
        )
    ]
    served.shed.records.duties.add(duties, by=None, form_id=uuid4())


@pytest.mark.timeout(400)
def test_a_fortnight_walked_on_todays_list_is_in_the_books_once(
    phone: Page, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    fortnight = last_days(14)
    boxes = {look.box for look in fortnight.looks}
    with served_since(tmp_path, fortnight) as served:
        set_duties(served, boxes, fortnight.began)
        keeper, began = Round(phone, served), time.monotonic()
        for place, look in enumerate(fortnight.looks):
            keeper.visit(place, look)
        seconds = time.monotonic() - began
        book = served.shed.records
        checks = [one for box in boxes for one in book.nest_book.nest(box).checks]
        done = [one for one in book.duties.done(date(2026, 1, 1)) if one.stands]
    stored = [one for one in checks if one.at > fortnight.began]
    assert same_looks(stored, fortnight.looks) == []
    visits = {
        (look.box.replace("box", "cage"), of.day, of.visit)
        for look in fortnight.looks
        for of in [visit_at(look.at, ZONE, VisitTimes())]
    }
    told = sorted((one.slot.place, one.slot.day, one.slot.visit) for one in done)
    assert told == sorted(visits)
    assert keeper.drops >= 5
    looks = len(fortnight.looks)
    reckoned = THINK_S * looks + keeper.thumb.taps * (POINT_S + PRESS_S)
    figures = {
        "looks": looks,
        "of them told by one tap": keeper.plain,
        "visits of a cage": len(visits),
        "taps a visit of a cage": round(keeper.thumb.taps / looks, 1),
        "scrolls a visit of a cage": round(keeper.thumb.scrolls / looks, 1),
        "seconds reckoned a visit": round(reckoned / looks, 1),
        "seconds of the machine a visit": round(seconds / looks, 2),
        "taps that were kept and sent later": keeper.drops,
    }
    print("A fortnight on today's list:", figures)  # noqa: T201 - what the test is for
    request.node.user_properties.extend(figures.items())
