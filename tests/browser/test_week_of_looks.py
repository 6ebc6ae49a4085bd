"""A week of looks as a simulated keeper made them, told on a phone whose connection drops.

Every look is in the book exactly once and says what was seen; a few taps each.
"""

import statistics
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import takewhile
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect

from service.book.folder import read_folder
from service.book.importing import import_book
from service.nests.place import Place, PlaceKind
from simulated_feeds.days import Shed
from simulated_feeds.keeper.book import book_of
from simulated_feeds.keeper.csv_book import write_book
from simulated_feeds.keeper.rows import Book
from simulated_feeds.keeper.story import places_of
from simulated_feeds.keeper.values import NestCheck
from simulated_feeds.present import scenario_at
from tests.browser.looks_by_hand import LookTaken, Thumb, look_in, same_looks
from tests.browser.shed_in_time import ShedInTime, shed_in_time
from tests.dashboards.filled_shed import ZONE

pytestmark = pytest.mark.browser

PRESENT = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)
BOXES_TOLD = 2
PLACES = tuple(
    Place(id=one.id, kind=PlaceKind(one.kind), name=one.name, within=one.within, order=one.order)
    for one in places_of(9)
)
SAVED = "**/nests/*?saved=*"
KEPT = "Not saved yet, kept here: the shed is not heard"


@dataclass(frozen=True, kw_only=True)
class LastDays:
    """The book as it stood when they began, and the looks that follow."""

    began: datetime
    before: Book
    looks: Sequence[NestCheck]


def news_of(look: NestCheck) -> int:
    """How much there is to tell of it."""
    told = (look.hatched, look.lost, look.candled, look.ringed, look.gone, look.not_in_sight)
    return sum(bool(part) for part in told) + look.hide_in


def last_days(days: int) -> LastDays:
    """The last ones of the demonstration's season, in the boxes with the most to tell."""
    began = PRESENT - timedelta(days=days)
    scenario = scenario_at("season", PRESENT)
    shed = Shed(scenario)
    for _ in takewhile(lambda day: day.air.at < PRESENT, shed.days()):
        pass
    before = book_of(
        shed.aviary.looks(),
        scenario.pairs,
        shed.aviary.truths(),
        seed=scenario.seed,
        birds=scenario.resting,
        until=began,
    )
    looks = [row.told for row in shed.book().checks if row.told.at > began]
    guests = {look.box for look in looks if look.guests}
    boxes = sorted({look.box for look in looks} - guests)
    boxes.sort(key=lambda box: -sum(news_of(look) for look in looks if look.box == box))
    told = [look for look in looks if look.box in boxes[:BOXES_TOLD]]
    told.sort(key=lambda look: look.at)
    return LastDays(began=began, before=before, looks=told)


@contextmanager
def served_since(folder: Path, days: LastDays) -> Iterator[ShedInTime]:
    """The pages over the book as it stood when these days began."""
    (folder / "shed").mkdir()
    with shed_in_time(folder / "shed", at=days.began, boxes=9) as running:
        records = running.shed.records
        records.nest_book.put_places(PLACES)
        write_book(folder / "book", days.before)
        read = read_folder(folder / "book")
        import_book(read, records.book_copy, PLACES, now=days.began, zone=ZONE)
        yield running


class Dropping:
    """A connection that drops around every other look, each time in another way."""

    def __init__(self, page: Page, served: ShedInTime) -> None:
        self._page = page
        self._served = served
        self._ways: tuple[Callable[[], Callable[[], None]], ...] = (
            self._holds,
            self._offline,
            self._holds,
            self._answer_lost,
            self._holds,
            self._stopped,
        )

    def during(self, place: int) -> Callable[[], None]:
        """Let it drop before a look is pressed; what is returned mends it after."""
        return self._ways[place % len(self._ways)]()

    def _holds(self) -> Callable[[], None]:
        return lambda: None

    def _offline(self) -> Callable[[], None]:
        self._page.context.set_offline(True)

        def back() -> None:
            self._kept()
            self._page.context.set_offline(False)

        return back

    def _stopped(self) -> Callable[[], None]:
        self._served.stop()

        def back() -> None:
            self._kept()
            self._served.start()

        return back

    def _answer_lost(self) -> Callable[[], None]:
        lost: list[int] = []

        def lose(route: Route) -> None:
            if route.request.method == "POST" and not lost:
                lost.append(route.fetch(max_redirects=0).status)
                route.abort()
            else:
                route.continue_()

        self._page.route("**/check", lose)

        def back() -> None:
            self._kept()
            self._page.unroute("**/check")

        return back

    def _kept(self) -> None:
        """The page says so, and does not say that anything was saved."""
        expect(self._page.locator("#will")).to_contain_text(KEPT)
        assert "Saved" not in self._page.locator(".foot").inner_text()


@pytest.mark.timeout(300)
def test_every_look_of_a_week_is_in_the_book_once_and_as_it_was(
    phone: Page, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    week = last_days(7)
    assert sum(news_of(look) for look in week.looks) >= 4
    with served_since(tmp_path, week) as served:
        looks = told_by_hand(phone, served, week)
        nests = {look.box: served.shed.records.nest_book.nest(look.box) for look in week.looks}
    stored = [check for nest in nests.values() for check in nest.checks if check.at > week.began]
    request.node.user_properties.extend(figures(looks).items())
    assert same_looks(stored, week.looks) == []


def told_by_hand(phone: Page, served: ShedInTime, days: LastDays) -> Sequence[LookTaken]:
    """Each look on the form of its box."""
    thumb, dropping = Thumb(), Dropping(phone, served)
    for place, look in enumerate(days.looks):
        served.clock.set(look.at)
        phone.goto(f"{served.address}/nests/{look.box}/check")
        expect(phone.locator("#will")).to_contain_text("Will write: nothing new")
        mend = dropping.during(place)
        look_in(phone, look, thumb)
        mend()
        phone.wait_for_url(SAVED, timeout=20_000)
    return thumb.looks


def figures(looks: Sequence[LookTaken]) -> dict[str, object]:
    """Taps and seconds of a look, in the middle and at the most."""
    taps = [one.taps for one in looks]
    reckoned = [one.reckoned_s for one in looks]
    return {
        "looks": len(looks),
        "taps, middle": statistics.median(taps),
        "taps, most": max(taps),
        "letters": sum(one.letters for one in looks),
        "seconds reckoned, middle": round(statistics.median(reckoned), 1),
        "seconds reckoned, most": round(max(reckoned), 1),
        "seconds of the machine, most": round(max(one.seconds for one in looks), 2),
        "in six taps": f"{sum(number <= 6 for number in taps)} of {len(taps)}",
    }
