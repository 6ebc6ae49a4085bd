"""The six commonest looks on a phone: few taps, little time, and stored as they were."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from playwright.sync_api import Page

from service.clock import FixedClock
from service.nest_check_path import NestCheckPath, Recorded
from service.nests.nest import ChickRinged, HenSeen
from service.nests.nest import NestCheck as BookCheck
from simulated_feeds.keeper.values import ChickRinged as Ringed
from simulated_feeds.keeper.values import EggCandled, EggLost, NestCheck
from tests.browser.looks_by_hand import Thumb, look_in, same_look
from tests.browser.shed_in_time import ShedInTime, shed_in_time
from tests.dashboards.filled_shed import NOW, ZONE, FilledShed

pytestmark = pytest.mark.browser

MOST_TAPS = 6
MOST_SECONDS = 10.0
SITTING = HenSeen.SITTING


def looked(shed: FilledShed, days_ago: float, eggs: int, chicks: int = 0, **more: object) -> None:
    """A look in the past, by the walk of a nest check."""
    at = NOW - timedelta(days=days_ago)
    told = {"hen": SITTING if eggs else HenSeen.NOT_SEEN, **more}
    check = BookCheck(form_id=uuid4(), box="box-1", at=at, eggs=eggs, chicks=chicks, **told)  # type: ignore[arg-type]
    answer = NestCheckPath(shed.records.nest_book, FixedClock(at), lambda: ZONE).record(check)
    assert isinstance(answer, Recorded), answer


def three_eggs(shed: FilledShed) -> None:
    """The last was found two days ago: egg 4 is to be expected."""
    looked(shed, 7, 0)
    for number in range(1, 4):
        looked(shed, 8 - 2 * number, number)
    looked(shed, 1, 3)


def five_eggs(shed: FilledShed, last_found: float = 10.0) -> None:
    looked(shed, last_found + 9, 0)
    for number in range(1, 6):
        looked(shed, last_found + 10 - 2 * number, number)
    looked(shed, 1, 5)


def hatching(shed: FilledShed) -> None:
    five_eggs(shed, last_found=10.5)


def sat_on_for_a_week(shed: FilledShed) -> None:
    five_eggs(shed, last_found=1.2)


def ringing(shed: FilledShed) -> None:
    """Chick 1 hatched nine days ago; on another box the last ring was HZ-26-021."""
    looked(shed, 30, 0)
    looked(shed, 28, 1)
    looked(shed, 26, 2)
    looked(shed, 9, 1, 1, hatched=(1,))
    looked(shed, 7, 0, 2, hatched=(2,))
    looked(shed, 1, 0, 2, ringed=(ChickRinged(egg_number=1, ring="HZ-26-021"),))


def told(eggs: int, chicks: int = 0, **more: object) -> NestCheck:
    values: dict[str, object] = {"hen": "sitting", **more}
    return NestCheck(form_id=uuid4(), box="box-1", at=NOW, eggs=eggs, chicks=chicks, **values)  # type: ignore[arg-type]


@dataclass(frozen=True, kw_only=True)
class Common:
    """One of the commonest looks: what was before, and what is seen."""

    before: Callable[[FilledShed], None]
    seen: NestCheck


LOOKS = {
    "nothing new": Common(before=three_eggs, seen=told(3)),
    "one egg": Common(before=three_eggs, seen=told(4)),
    "hatch": Common(before=hatching, seen=told(4, 1, hatched=(1,))),
    "candle": Common(
        before=sat_on_for_a_week,
        seen=told(
            5,
            candled=tuple(
                EggCandled(number=n, result="clear" if n == 4 else "fertile") for n in range(1, 6)
            ),
        ),
    ),
    "ring": Common(
        before=ringing,
        seen=told(0, 2, ringed=(Ringed(egg_number=2, ring="HZ-26-022"),), hen="not seen"),
    ),
    "lost egg": Common(before=five_eggs, seen=told(4, lost=(EggLost(number=2, fate="broken"),))),
}


@pytest.fixture(params=[pytest.param(one, id=name) for name, one in LOOKS.items()])
def common(request: pytest.FixtureRequest) -> Common:
    found: Common = request.param
    return found


@pytest.fixture
def served(tmp_path: Path) -> Iterator[ShedInTime]:
    with shed_in_time(tmp_path) as running:
        running.shed.put_up_pair(1, ring="1")
        yield running


def test_common_look_takes_at_most_six_taps_and_ten_seconds(
    common: Common,
    served: ShedInTime,
    phone: Page,
    request: pytest.FixtureRequest,
) -> None:
    common.before(served.shed)
    phone.goto(f"{served.address}/nests/box-1/check")
    taken = look_in(phone, common.seen, Thumb())
    phone.wait_for_url("**/nests/box-1?saved=*")
    stored = served.shed.records.nest_book.nest("box-1").checks[-1]
    request.node.user_properties.append(("taken", f"{taken}, reckoned {taken.reckoned_s:.1f} s"))
    assert same_look(stored, common.seen) == []
    assert taken.taps <= MOST_TAPS
    assert taken.reckoned_s <= MOST_SECONDS
    assert taken.seconds <= MOST_SECONDS
