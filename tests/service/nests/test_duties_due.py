"""What is due, carried and dropped: once a day and visit, whoever comes and whenever."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from service.climate.food_clock import Keeping
from service.nests.duties_due import LOOK_BACK_DAYS, duties_due, duties_missed
from service.nests.duty import (
    BeforeItSours,
    ByCalendar,
    ByStage,
    Duty,
    DutyDue,
    DutyStanding,
    EveryDays,
    Missed,
    OnWarmDay,
    RotaStep,
    Visit,
    VisitTimes,
    Weekday,
    WhereKind,
)
from service.nests.duty_air import AirTold, FoodOut, Warmth
from service.nests.duty_days import slots_on
from service.nests.stage import Stage
from tests.service.nests.duties_at_hand import (
    THREE_A_DAY,
    at,
    carried,
    days,
    done,
    duty,
    shed,
    slot,
    terms,
    visit_times,
    zones,
)
from tests.service.nests.nests_in_days import day as nest_day
from tests.service.nests.nests_in_days import egg, look, nest

MONDAY = date(2026, 3, 2)
DAY = timedelta(days=1)
BOTH = (Visit.MORNING, Visit.EVENING)
weekday_sets = st.frozensets(st.sampled_from(Weekday), min_size=1)


def the_due(one: Duty, now: datetime, *told: date, **more: object) -> DutyDue | None:
    """Where one place is asked: what is due there."""
    found = duties_due([one], [done(day) for day in told], shed(now, **more))
    assert len(found) <= 1
    return found[0] if found else None


@given(days(), zones(), weekday_sets)
def test_a_duty_by_calendar_is_due_on_exactly_its_days_of_the_week(
    first: date, zone: ZoneInfo, weekdays: frozenset[Weekday]
) -> None:
    names = {day.name.capitalize() for day in weekdays}
    one = duty(schedule=ByCalendar(weekdays=weekdays))
    for n in range(16):
        day = first + n * DAY
        found = the_due(one, at(day, 12, zone), zone=zone)
        assert (found is not None) == (f"{day:%A}" in names)
        assert found is None or found.day == day


@given(days(), zones(), st.integers(1, 40), st.integers(0, 400))
def test_a_duty_every_so_many_days_is_due_on_exactly_these(
    first: date, zone: ZoneInfo, every: int, later: int
) -> None:
    one = duty(schedule=EveryDays(days=every, first=first))
    expected = set()
    step = first
    while step <= first + (later + 1) * DAY:
        expected.add(step)
        step = date.fromordinal(step.toordinal() + every)
    day = first + later * DAY
    assert (the_due(one, at(day, 12, zone), zone=zone) is not None) == (day in expected)


def test_nothing_is_due_before_the_first_day_of_an_interval() -> None:
    one = carried(schedule=EveryDays(days=3, first=MONDAY))
    assert the_due(one, at(MONDAY - DAY, 12)) is None


@given(days(), zones(), visit_times(), st.integers(0, 24 * 60 * 3))
def test_done_is_done_for_that_visit_and_the_next_visit_asks_again(
    day: date, zone: ZoneInfo, times: VisitTimes, minutes: int
) -> None:
    one = duty(visits=BOTH)
    now = datetime.combine(day, time(), zone).astimezone(UTC) + timedelta(minutes=minutes)
    here = shed(now, zone, times=times)
    due = duties_due([one], [], here)
    assert len(due) == 1
    told = [done(due[0].day, due[0].visit)]
    assert duties_due([one], told, here) == ()
    later = duties_due([one], told, shed(due[0].until, zone, times=times))
    assert [found.slot for found in later] != [due[0].slot]
    assert len(later) == 1


def test_undone_is_due_again() -> None:
    undone = done(MONDAY, undone=at(MONDAY, 8))
    assert duties_due([duty()], [undone], shed(at(MONDAY, 9))) != ()


@given(days(), zones(), st.integers(1, 5), st.integers(0, 60))
def test_a_carried_duty_stays_until_it_is_done_and_says_since_when(
    first: date, zone: ZoneInfo, every: int, later: int
) -> None:
    one = carried(schedule=EveryDays(days=every, first=first))
    now = at(first + later * DAY, 12, zone)
    found = the_due(one, now, zone=zone)
    assert found is not None
    latest = first + later // every * every * DAY
    missed_before_today = later > 0
    assert found.day == latest
    assert found.missed_since == (first if missed_before_today else None)
    today = latest == first + later * DAY
    assert found.standing is (DutyStanding.DUE if today else DutyStanding.CARRIED)
    assert the_due(one, now, found.day, zone=zone) is None


@given(days(), st.integers(1, 30), st.integers(1, 30))
def test_a_carried_duty_counts_from_the_first_miss_after_it_was_done(
    first: date, done_after: int, missed: int
) -> None:
    told = first + done_after * DAY
    found = the_due(carried(), at(told + missed * DAY, 12), told)
    assert found is not None
    assert found.missed_since == (told + DAY if missed > 1 else None)


@given(days(), zones(), st.integers(1, 20))
def test_a_dropped_duty_is_not_asked_for_again_and_is_noted_as_missed(
    day: date, zone: ZoneInfo, every: int
) -> None:
    one = duty(schedule=EveryDays(days=every + 1, first=day))
    next_day = at(day + DAY, 12, zone)
    assert the_due(one, next_day, zone=zone) is None
    noted = duties_missed([one], [], shed(next_day, zone))
    assert [missed.slot for missed in noted] == [slot(day)]
    assert duties_missed([one], [done(day)], shed(next_day, zone)) == ()


def test_a_dropped_duty_is_noted_for_two_days_and_then_no_more() -> None:
    one = duty(schedule=EveryDays(days=30, first=MONDAY))
    noted = [len(duties_missed([one], [], shed(at(MONDAY + n * DAY, 12)))) for n in range(4)]
    assert noted == [0, 1, 0, 0]


def test_a_morning_duty_may_be_done_all_day_and_is_missed_only_then() -> None:
    assert the_due(duty(), at(MONDAY, 22)) is not None
    assert duties_missed([duty()], [done(MONDAY - DAY)], shed(at(MONDAY, 22))) == ()


def test_a_carried_duty_is_never_noted_as_missed_too() -> None:
    assert duties_missed([carried()], [], shed(at(MONDAY, 12))) == ()


def test_doing_the_latest_settles_all_that_was_missed() -> None:
    week = MONDAY + 7 * DAY
    assert the_due(carried(), at(week, 12), week) is None


def test_each_place_stands_for_itself_in_walking_order() -> None:
    one = duty(where=WhereKind.EVERY_CAGE)
    everywhere = duties_due([one], [], shed(at(MONDAY, 9)))
    assert [due.place for due in everywhere] == ["cage-1", "cage-2"]
    left = duties_due([one], [done(MONDAY, place="cage-1")], shed(at(MONDAY, 9)))
    assert [due.place for due in left] == ["cage-2"]


def test_duties_of_a_place_stay_in_the_keepers_order() -> None:
    seed, water = duty("Seed"), replace(duty("Water"), id=2)
    found = duties_due([seed, water], [], shed(at(MONDAY, 9)))
    assert [due.words for due in found] == ["Seed", "Water"]


def test_a_box_that_is_off_is_not_asked_for() -> None:
    off = [replace(nest(), off_since=at(MONDAY, 1))]
    one = duty(where=WhereKind.EVERY_BOX)
    found = duties_due([one], [], shed(at(MONDAY, 9), nests=off))
    assert [due.place for due in found] == ["box-2"]


def test_a_duty_that_is_off_asks_for_nothing_and_forgives_what_was_missed() -> None:
    before = terms(missed=Missed.CARRIED)
    off = replace(before, since=at(MONDAY, 12), off=True)
    on = replace(before, since=at(MONDAY + 5 * DAY, 12))
    resting = Duty(id=1, terms=off, earlier=(before,))
    again = Duty(id=1, terms=on, earlier=(before, off))
    assert the_due(resting, at(MONDAY + 4 * DAY, 12)) is None
    found = the_due(again, at(MONDAY + 7 * DAY, 12))
    assert found is not None
    assert found.missed_since == MONDAY + 5 * DAY


@given(days(), weekday_sets, weekday_sets, st.integers(0, 20), st.integers(0, 20))
def test_an_edit_counts_from_its_own_visit_on_and_never_reaches_back(
    first: date, old: frozenset[Weekday], new: frozenset[Weekday], edited: int, later: int
) -> None:
    before = terms(schedule=ByCalendar(weekdays=old), since=at(first, 0), missed=Missed.CARRIED)
    change = first + edited * DAY
    after = replace(before, schedule=ByCalendar(weekdays=new), since=at(change, 8))
    one = Duty(id=1, terms=after, earlier=(before,))
    last = change + later * DAY
    found = the_due(one, at(last, 12))
    asked = [
        day
        for n in range((last - first).days + 1)
        if (day := first + n * DAY).weekday() in (new if day >= change else old)
    ]
    # The evening visit of the day before it was made lasts into its first day.
    assert (found.day if found else None) == (asked[-1] if asked else None)
    missed = [day for day in asked if day < last]
    assert (found.missed_since if found else None) == (missed[0] if missed else None)


def test_a_new_duty_owes_nothing_of_the_days_before_it() -> None:
    new = carried(since=at(MONDAY, 10), visits=BOTH)
    found = the_due(new, at(MONDAY, 16))
    assert found is not None
    assert (found.visit, found.missed_since) == (Visit.EVENING, MONDAY)
    fresh = the_due(carried(since=at(MONDAY, 16), visits=BOTH), at(MONDAY, 17))
    assert fresh is not None
    assert fresh.missed_since is None


@given(days(), st.integers(0, 30))
def test_a_carried_duty_is_made_up_for_as_the_rota_has_it_today(first: date, later: int) -> None:
    rota = (RotaStep(words="plain", days=2), RotaStep(words="mixed", days=2))
    one = carried(schedule=EveryDays(days=40, first=first), rota=rota, rota_first=first)
    found = the_due(one, at(first + later * DAY, 12))
    assert found is not None
    assert found.words == ("Seed: plain" if later % 4 < 2 else "Seed: mixed")


class Air:
    """Tells the same of every place."""

    def __init__(self, warmth: Warmth) -> None:
        self.told = AirTold(warmth=warmth, words="as told")
        self.foods: list[FoodOut] = []

    def warmth(self, place: str, over_c: float, since: datetime, until: datetime) -> AirTold:  # noqa: ARG002
        return self.told

    def souring(self, place: str, keeping: Keeping, food: FoodOut) -> AirTold:  # noqa: ARG002
        self.foods.append(food)
        return self.told


WARM = duty("Soft food out", schedule=OnWarmDay(over_c=25, every_h=4))


def test_on_a_warm_day_a_duty_is_due_and_on_another_it_is_not() -> None:
    now = at(MONDAY, 12)
    found = the_due(WARM, now, air=Air(Warmth.OVER))
    assert found is not None
    assert found.sure
    assert the_due(WARM, now, air=Air(Warmth.NOT_OVER)) is None


def test_a_day_that_nobody_can_tell_of_is_listed_and_says_so() -> None:
    found = the_due(WARM, at(MONDAY, 12))
    assert found is not None
    assert not found.sure
    assert found.why.startswith("cannot tell")
    assert "no thermometer" in found.why


def test_a_warm_day_asks_again_at_each_visit_that_is_far_enough_from_the_last() -> None:
    told = {"air": Air(Warmth.OVER), "times": THREE_A_DAY}
    asked = []
    for every_h in (4, 7, 12):
        one = duty(schedule=OnWarmDay(over_c=25, every_h=every_h))
        found = [the_due(one, at(MONDAY, hour), **told) for hour in (6, 12, 17)]
        asked.append([due.visit for due in found if due is not None and due.since <= due.until])
    assert asked[0] == [Visit.MORNING, Visit.MIDDAY, Visit.EVENING]
    assert asked[1] == [Visit.MORNING, Visit.MORNING, Visit.EVENING]
    assert asked[2] == [Visit.MORNING] * 3


def test_what_a_warm_day_asked_for_is_over_with_the_day_even_if_carried() -> None:
    one = carried(schedule=OnWarmDay(over_c=25, every_h=12))
    next_day = shed(at(MONDAY + DAY, 5), air=Air(Warmth.OVER))
    noted = duties_missed([one], [], next_day)
    assert [missed.slot.day for missed in noted] == [MONDAY]
    assert duties_due([one], [], next_day)[0].missed_since is None


SOFT_FOOD = duty("Soft food out", schedule=BeforeItSours(put_out=time(7)))


def test_food_is_due_at_the_visit_before_it_sours_and_not_before_it_is_put_out() -> None:
    air = Air(Warmth.OVER)
    assert the_due(SOFT_FOOD, at(MONDAY, 6), air=air) is None
    found = the_due(SOFT_FOOD, at(MONDAY, 8), air=air)
    assert found is not None
    assert found.visit is Visit.MORNING
    assert air.foods[-1] == FoodOut(put_out=at(MONDAY, 7), now=at(MONDAY, 8), until=found.until)
    assert the_due(SOFT_FOOD, at(MONDAY, 8), air=Air(Warmth.NOT_OVER)) is None


def test_food_that_nobody_can_tell_of_is_listed_at_once_and_says_so() -> None:
    found = the_due(SOFT_FOOD, at(MONDAY, 8))
    assert found is not None
    assert not found.sure
    assert found.why.startswith("cannot tell")


def test_food_that_was_taken_out_is_not_asked_for_again_that_day_nor_missed() -> None:
    here = shed(at(MONDAY, 17), air=Air(Warmth.OVER))
    [due] = duties_due([SOFT_FOOD], [], shed(at(MONDAY, 8), air=Air(Warmth.OVER)))
    yesterday, taken = done(MONDAY - DAY), done(MONDAY)
    assert taken.slot == due.slot
    assert duties_due([SOFT_FOOD], [taken], here) == ()
    assert duties_missed([SOFT_FOOD], [yesterday, taken], here) == ()
    assert [one.slot for one in duties_missed([SOFT_FOOD], [yesterday], here)] == [due.slot]
    next_day = shed(at(MONDAY + DAY, 8), air=Air(Warmth.OVER))
    assert len(duties_due([SOFT_FOOD], [taken], next_day)) == 1


def test_food_that_is_put_out_for_some_nests_is_asked_for_there_alone() -> None:
    rearing = BeforeItSours(put_out=time(7), stages=frozenset({Stage.REARING}))
    one = duty("Soft food out", schedule=rearing)
    assert the_due(one, at(MONDAY, 8), air=Air(Warmth.OVER)) is None
    assert slots_on(MONDAY + DAY, [one], shed(at(MONDAY, 8))) == ()


def test_to_come_food_goes_out_at_the_last_visit_of_the_day() -> None:
    ahead = slots_on(MONDAY + DAY, [SOFT_FOOD], shed(at(MONDAY, 8)))
    assert [one.visit for one in ahead] == [Visit.EVENING]


SITTING = ByStage(stages=frozenset({Stage.LAYING, Stage.SITTING}), every=2)


def test_a_duty_by_stage_is_due_on_its_first_day_and_then_every_so_many() -> None:
    # The first egg is found at noon of the nest's day 2.
    laying = nest([egg(1, 2)], checks=[look(2, 1)])
    one = duty(schedule=SITTING, where=WhereKind.EVERY_BOX)
    asked = []
    for n in range(8):
        here = shed(nest_day(n) + timedelta(hours=3), UTC, nests=[laying])
        asked.append(any(due.place == "box-1" for due in duties_due([one], [], here)))
    assert asked == [False, False, True, False, True, False, True, False]


def test_a_cage_is_in_a_stage_when_one_of_its_boxes_is() -> None:
    laying = nest([egg(1, 2)], checks=[look(2, 1)])
    one = duty(schedule=SITTING, where=WhereKind.EVERY_CAGE)
    here = shed(nest_day(2) + timedelta(hours=3), UTC, nests=[laying])
    assert [due.place for due in duties_due([one], [], here)] == ["cage-1"]


@given(st.integers(0, 30), st.sampled_from([1, 2, 3]), st.booleans())
def test_a_forecast_of_a_day_says_what_the_list_of_that_day_then_asks_for(
    n: int, every: int, by_stage: bool
) -> None:
    laying = nest([egg(1, 2), egg(2, 4)], checks=[look(2, 1), look(4, 2)])
    schedule = (
        ByStage(stages=frozenset({Stage.LAYING, Stage.PAIRED}), every=every)
        if by_stage
        else EveryDays(days=every, first=nest_day(0).date())
    )
    one = duty(schedule=schedule, where=WhereKind.EVERY_BOX, visits=BOTH)
    morning, evening = (nest_day(n) + timedelta(hours=hour) for hour in (-6, 6))
    listed = {
        due.slot
        for now in (morning, evening)
        for due in duties_due([one], [], shed(now, UTC, nests=[laying]))
    }
    asked = slots_on(nest_day(n).date(), [one], shed(evening, UTC, nests=[laying]))
    if n in {2, 4} and by_stage:  # an egg is found at noon between the two visits
        return
    assert set(asked) == listed


def test_a_look_into_the_box_settles_the_duty_to_look() -> None:
    looked = nest([egg(1, 2)], checks=[look(2, 1)])
    one = duty(where=WhereKind.EVERY_BOX, look=True, visits=BOTH)
    just_then = shed(nest_day(2) + timedelta(hours=1), UTC, nests=[looked])
    assert [due.place for due in duties_due([one], [], just_then)] == ["box-2"]
    evening = shed(nest_day(2) + timedelta(hours=4), UTC, nests=[looked])
    assert [due.place for due in duties_due([one], [], evening)] == ["box-1", "box-2"]
    assert [missed.slot.place for missed in duties_missed([one], [], evening)][:1] == ["box-2"]


def test_what_was_never_done_is_looked_for_through_a_year_and_found() -> None:
    many = [replace(carried(where=WhereKind.EVERY_CAGE), id=n) for n in range(12)]
    found = duties_due(many, [], shed(at(date(2026, 12, 1), 12)))
    assert {due.missed_since for due in found} == {date(2026, 12, 1) - LOOK_BACK_DAYS * DAY}
