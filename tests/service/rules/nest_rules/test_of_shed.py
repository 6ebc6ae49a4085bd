"""What the rules on the nest book say, day by day of one nest.

Day 0 is noon of 1 March, when the pair was put up. What a rule waits for (days, looks) is common
practice without a source, but where a published one stands beside the case.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.nests.duty import (
    Duty,
    DutyDone,
    DutySlot,
    DutyTerms,
    DutyWhere,
    EveryDays,
    Missed,
    Visit,
    VisitTimes,
    WhereKind,
)
from service.nests.nest import (
    BeddingLevel,
    BeddingSeen,
    Candling,
    ChickFate,
    Clutch,
    EggFate,
    Guest,
    GuestSeen,
    HenSeen,
    Move,
    Nest,
    NestCheck,
)
from service.nests.place import Place, PlaceKind
from service.nests.weighing import Weighing
from service.rules.limit import Assessment, Priority
from service.rules.nest_rules.all_rules import NEST_RATIONALES, NEST_SETTABLES
from service.rules.nest_rules.backup_old import BackupKnown
from service.rules.nest_rules.of_shed import KINDS, Found, ShedBook, found_in
from service.rules.nest_rules.said import Said
from service.rules.rule_settings import RuleSet, RuleSettings
from tests.service.nests.nests_in_days import BOX, SPECIES, chick, day, egg, look, nest

SHED = Place(id="shed", kind=PlaceKind.SHED, name="Shed")
CAGE = Place(id="cage-1", kind=PlaceKind.CAGE, name="Cage 1", within="shed")
PLACES = (SHED, CAGE, BOX)
AS_USUAL = RuleSettings()
THIN = BeddingSeen(level=BeddingLevel.THIN)
DEEP = BeddingSeen(level=BeddingLevel.DEEP)


def book_of(*nests: Nest, **more: object) -> ShedBook:
    known: dict[str, object] = {
        "places": PLACES,
        "species": SPECIES,
        "weighings": {},
        "duties": (),
        "done": (),
        "times": VisitTimes(),
        "backup": None,
    }
    return ShedBook(nests=nests, **{**known, **more})  # type: ignore[arg-type]


def found(book: ShedBook, now: float, rules: RuleSettings = AS_USUAL) -> dict[str, Found]:
    said = found_in(book, rules, day(now), zone=UTC, shed="shed")
    return {one.rule.partition(":")[0]: one for one in said}


def said(kind: str, of: Nest, now: float, rules: RuleSettings = AS_USUAL, **more: object) -> Said:
    return found(book_of(of, **more), now, rules)[kind].said


def standing(kind: str, of: Nest, now: float, **more: object) -> Assessment:
    return said(kind, of, now, **more).assessment  # type: ignore[arg-type]


# Box open and not worked


def test_box_is_unworked_after_a_fortnight_of_looks_without_a_sign() -> None:
    of = nest(checks=[look(at, 0, hen=HenSeen.OFF) for at in (1, 8, 15)])
    assert standing("box-unworked", of, 15) is Assessment.BREACHED
    assert said("box-unworked", of, 15).text == (
        "Box 1: no sign since 2 March that the hen works in it, last look 16 March, 12:00. See "
        "that her way in is free, and feel under the bedding for hidden eggs."
    )


@pytest.mark.parametrize(
    "looks",
    [[], [look(1, 0, hen=HenSeen.OFF)], [look(1, 0), look(20, 0)]],
    ids=["no look", "one look", "looks that tell of neither hen nor bedding"],
)
def test_box_is_not_known_to_be_unworked_by(looks: Sequence[NestCheck]) -> None:
    assert standing("box-unworked", nest(checks=looks), 40) is Assessment.CANNOT_TELL


def test_days_without_a_look_do_not_make_a_box_unworked() -> None:
    of = nest(checks=[look(1, 0, hen=HenSeen.OFF), look(3, 0, hen=HenSeen.OFF)])
    assert standing("box-unworked", of, 40) is Assessment.CLEAR


@pytest.mark.parametrize(
    "sign",
    [
        {"hen": HenSeen.IN_BOX},
        {"hen": HenSeen.SITTING},
        {"bedding": BeddingSeen(thrown_out=True)},
        {"bedding": THIN},
    ],
    ids=lambda sign: str(next(iter(sign.values())))[:30],
)
def test_box_is_worked_once_she_was_in_it_or_bedding_went(sign: dict[str, Any]) -> None:
    of = nest(checks=[look(1, 0, bedding=DEEP), look(8, 0, **sign), look(16, 0, hen=HenSeen.OFF)])
    assert standing("box-unworked", of, 16) is Assessment.CLEAR


def test_bedding_that_the_keeper_took_out_is_no_work_of_hers() -> None:
    taken = BeddingSeen(level=BeddingLevel.THIN, taken_out=True)
    of = nest(
        checks=[look(1, 0, bedding=DEEP), look(8, 0, bedding=taken), look(16, 0, bedding=THIN)]
    )
    assert standing("box-unworked", of, 16) is Assessment.BREACHED


def test_box_that_is_off_or_without_a_pair_or_has_had_a_clutch_is_not_asked_for_work() -> None:
    looks = [look(1, 0, hen=HenSeen.OFF), look(30, 0, hen=HenSeen.OFF)]
    laid = nest([egg(1, 2, fate=EggFate.CLEAR, fate_to=day(20))], checks=looks, closed_at=day(20))
    for of in (nest(checks=looks, pair=None), replace(nest(checks=looks), off_since=day(3)), laid):
        assert standing("box-unworked", of, 30) is Assessment.CLEAR


# Egg not in sight, and deep bedding


def test_egg_not_in_sight_is_breached_at_the_look_and_says_what_to_do_first() -> None:
    of = nest(
        [egg(1, 3), egg(2, 5)], checks=[look(3, 1), look(5, 2), look(6, 1, not_in_sight=(2,))]
    )
    one = found(book_of(of), 6)["egg-unseen"]
    assert one.priority is Priority.MEDIUM
    assert one.said.text == (
        "Box 1: egg 2 not in sight at the last look, 7 March, 12:00. Feel gently in the bedding "
        "with warm fingers, while the hen is off."
    )


def test_egg_not_in_sight_three_times_asks_for_all_of_the_bedding() -> None:
    looks = [look(3, 1), *(look(at, 0, not_in_sight=(1,)) for at in (4, 5, 6))]
    told = said("egg-unseen", nest([egg(1, 3)], checks=looks), 6)
    assert told.value == 3
    assert "for 3 looks" in told.text
    assert "down to the floor" in told.text
    assert told.newest == day(4)


def test_egg_is_in_sight_again_or_told_as_lost() -> None:
    looks = [look(3, 1), look(4, 0, not_in_sight=(1,))]
    seen = nest([egg(1, 3)], checks=[*looks, look(5, 1)])
    lost = nest([egg(1, 3, fate=EggFate.MISSING, fate_to=day(4))], checks=looks)
    assert standing("egg-unseen", seen, 5) is Assessment.CLEAR
    assert standing("egg-unseen", lost, 5) is Assessment.CLEAR


def test_an_egg_that_a_later_day_shows_is_still_unseen_on_the_day_before() -> None:
    looks = [look(3, 1), look(4, 0, not_in_sight=(1,)), look(5, 1)]
    assert standing("egg-unseen", nest([egg(1, 3)], checks=looks), 4.5) is Assessment.BREACHED


def test_deep_bedding_under_eggs_is_breached_and_put_down_to_an_egg_out_of_sight() -> None:
    of = nest([egg(1, 3)], checks=[look(3, 1, bedding=DEEP)])
    assert standing("deep-bedding", of, 3) is Assessment.BREACHED
    assert said("deep-bedding", of, 3).because_of == "egg-unseen"


@pytest.mark.parametrize(
    ("looks", "expected"),
    [
        ([look(3, 1)], Assessment.CANNOT_TELL),
        ([look(3, 1, bedding=DEEP), look(4, 1)], Assessment.BREACHED),
        ([look(3, 1, bedding=DEEP), look(4, 1, bedding=THIN)], Assessment.CLEAR),
        ([look(3, 1, bedding=DEEP), look(4, 1, bedding=BeddingSeen(taken_out=True))],
         Assessment.CLEAR),
    ],
    ids=["never told", "a look that says nothing of it", "thin now", "taken out"],
)  # fmt: skip
def test_deep_bedding_is_as_the_last_look_that_tells_of_it(
    looks: Sequence[NestCheck], expected: Assessment
) -> None:
    of = nest([egg(1, 3)], checks=looks)
    assert standing("deep-bedding", of, 5) is expected


def test_deep_bedding_in_an_empty_box_is_no_matter() -> None:
    assert standing("deep-bedding", nest(checks=[look(3, 0, bedding=DEEP)]), 3) is Assessment.CLEAR


# The next egg


def test_next_egg_is_late_half_a_day_over_the_longest_usual_pause() -> None:
    # Laid at noon of day 5 at the latest; 2.5 days and 12 hours on is day 8.
    eggs = [egg(1, 3), egg(2, 5)]
    before = nest(eggs, checks=[look(5, 2), look(7.9, 2)])
    after = nest(eggs, checks=[look(5, 2), look(8, 2)])
    assert standing("laying-late", before, 7.9) is Assessment.CLEAR
    assert standing("laying-late", after, 8) is Assessment.BREACHED
    assert said("laying-late", after, 8).text == (
        "Box 1: egg 2 was laid 5 to 6 March, and no next one is there at the look of 9 March, "
        "12:00. Look at the hen now. If she is fluffed up or strains: warmth, quiet, and a vet "
        "today."
    )


def test_next_egg_is_not_known_to_be_late_without_a_look() -> None:
    of = nest([egg(1, 3)], checks=[look(3, 1)])
    assert standing("laying-late", of, 9) is Assessment.CANNOT_TELL


def test_a_clutch_of_the_published_size_may_be_all() -> None:
    # About five eggs: Indian Agricultural Statistics Research Institute, extension e-course.
    eggs = [egg(number, 1 + 2 * number) for number in range(1, 6)]
    of = nest(eggs, checks=[look(11, 5), look(14.5, 5)])
    assert standing("laying-late", of, 14.5) is Assessment.CLEAR


def test_a_hen_that_laid_two_last_time_may_be_done_with_two() -> None:
    earlier = nest([egg(1, -60), egg(2, -58)]).clutch
    of = replace(nest([egg(1, 3), egg(2, 5)], checks=[look(5, 2), look(8.4, 2)]), before=earlier)
    assert standing("laying-late", of, 8.4) is Assessment.CLEAR


def test_next_egg_is_awaited_no_more_once_a_look_shows_that_laying_is_over() -> None:
    of = nest([egg(1, 3)], checks=[look(3, 1), look(6.5, 1), look(8.1, 1)])
    assert standing("laying-late", of, 8.1) is Assessment.CLEAR


# Hatching


def test_hatch_is_late_two_days_over_the_longest_usual_time() -> None:
    # Sat on from day 5; 20 days at most, and two more.
    eggs = [egg(1, 5), egg(2, 5, candling=Candling.CLEAR)]
    of = nest(eggs, checks=[look(5, 2), look(26.9, 2)], sitting_from=day(5))
    assert standing("hatch-late", of, 26.9) is Assessment.CLEAR
    assert standing("hatch-late", of, 28) is Assessment.CANNOT_TELL
    seen = replace(of, checks=(*of.checks, look(27, 2)))
    assert said("hatch-late", seen, 28).text == (
        "Box 1: egg 1 should have hatched by 26 March, and had not at the look of 28 March, "
        "12:00. Hold it to a light. Leave it under the hen while you are not sure."
    )


def test_hatch_is_late_no_more_once_the_book_tells_the_egg_s_fate() -> None:
    dead = egg(1, 5, fate=EggFate.DEAD_IN_SHELL, fate_to=day(28))
    of = nest([dead], checks=[look(5, 1), look(28, 0)], sitting_from=day(5), closed_at=day(28))
    assert standing("hatch-late", of, 28) is Assessment.CLEAR


# Chicks


def rearing(now: float, **more: object) -> Nest:
    """Chick 1 hatched between day 24 and 25."""
    return nest(
        [egg(1, 5, fate=EggFate.HATCHED, fate_to=day(25))],
        [chick(1, 25, **more)],
        [look(25, 0, 1), look(now, 0, 1)],
    )


def weighed(*masses: tuple[float, float]) -> dict[int, list[Weighing]]:
    return {1: [Weighing(id=n, at=day(at), mass_g=g, egg_id=1) for n, (at, g) in enumerate(masses)]}


@pytest.mark.parametrize(
    ("masses", "now", "expected"),
    [
        ([(27, 4.0)], 27, Assessment.CANNOT_TELL),
        ([(27, 4.0), (28, 4.0)], 28, Assessment.BREACHED),
        ([(27, 4.0), (28, 3.6)], 28, Assessment.BREACHED),
        ([(27, 4.0), (28, 5.5)], 28, Assessment.CLEAR),
        ([(27, 4.0), (29, 4.5)], 29, Assessment.BREACHED),
        ([(27, 4.0), (28, 4.0), (28.4, 5.0)], 28.5, Assessment.CLEAR),
        ([(27, 4.0), (27.3, 3.8)], 27.4, Assessment.CANNOT_TELL),
        ([(20, 2.1), (27, 2.0)], 27, Assessment.CANNOT_TELL),
        ([(50, 40.0), (51, 38.0)], 51, Assessment.CLEAR),
    ],
    ids=["once", "no gain", "lost", "gained", "a little in two days", "gained since",
         "hours apart", "the egg's own mass",
         "before it leaves the box"],
)  # fmt: skip
def test_chick_gains_by_two_weighings_most_of_a_day_apart(
    masses: list[tuple[float, float]], now: float, expected: Assessment
) -> None:
    book = book_of(rearing(now), weighings=weighed(*masses))
    assert found(book, now)["chick-not-gaining"].said.assessment is expected


def test_chick_that_does_not_gain_is_told_with_both_masses() -> None:
    book = book_of(rearing(28), weighings=weighed((27, 4.2), (28, 4.0)))
    assert found(book, 28)["chick-not-gaining"].said.text == (
        "Box 1: chick 1 hardly gains: 4 g at 29 March, 12:00, 4.2 g 24 h before. Look whether "
        "its crop is filled and it lies warm."
    )


def test_one_chick_that_gains_does_not_answer_for_one_that_was_not_weighed() -> None:
    two = nest(
        [egg(n, 5, fate=EggFate.HATCHED, fate_to=day(25)) for n in (1, 2)],
        [chick(1, 25), chick(2, 25)],
        [look(28, 0, 2)],
    )
    book = book_of(two, weighings=weighed((27, 4.0), (28, 5.5)))
    assert found(book, 28)["chick-not-gaining"].said.assessment is Assessment.CANNOT_TELL


def test_ring_window_closes_by_the_published_age_and_is_over_a_day_later() -> None:
    # Ringed at 9 to 10 days: the same e-course. Hatched from day 24 on: 10 days old on day 34.
    assert standing("ring-closing", rearing(32), 33.4) is Assessment.CLEAR
    assert standing("ring-closing", rearing(32), 33.6) is Assessment.BREACHED
    assert standing("ring-closing", rearing(32), 36.1) is Assessment.CLEAR
    assert said("ring-closing", rearing(32), 36.1).ran_out
    assert said("ring-closing", rearing(32), 33.6).text == (
        "Box 1: ring chick 1 at this visit. By 4 April, 12:00: after 10 days a closed ring may not "
        "pass over the foot."
    )


@pytest.mark.parametrize(
    "done",
    [{"ring": "A 1", "ringed_at": day(32)}, {"fate": ChickFate.DIED, "fate_at": day(32)}],
    ids=["ringed", "died"],
)
def test_ring_window_of_a_ringed_or_dead_chick_closes_nothing(done: dict[str, object]) -> None:
    assert standing("ring-closing", rearing(32, **done), 33.6) is Assessment.CLEAR


def test_ring_that_a_recording_tells_of_later_is_not_on_yet() -> None:
    later = rearing(32, ring="A 1", ringed_at=day(34))
    assert standing("ring-closing", later, 33.6) is Assessment.BREACHED


def test_hide_is_due_a_day_before_its_last_day_until_it_is_told() -> None:
    # Out at 28 days at the earliest, day 52; a place to hide goes in two days before, day 50.
    assert standing("hide-due", rearing(48), 48.9) is Assessment.CLEAR
    assert standing("hide-due", rearing(48), 49) is Assessment.BREACHED
    told = rearing(48)
    assert told.clutch is not None
    told = replace(told, clutch=replace(told.clutch, hide_in_at=day(48)))
    assert standing("hide-due", told, 49) is Assessment.CLEAR


# Seasons, guests, settings


def test_a_resting_box_without_life_breaches_nothing() -> None:
    of = replace(nest(checks=[look(1, 0, bedding=DEEP), look(30, 0)]), resting=True)
    assert {one.said.assessment for one in found(book_of(of), 30).values()} <= {
        Assessment.CLEAR,
        Assessment.CANNOT_TELL,
    }


def test_a_rule_that_is_switched_off_says_nothing() -> None:
    off = RuleSettings(told={"egg-unseen": RuleSet(is_on=False)})
    of = nest([egg(1, 3)], checks=[look(3, 1), look(4, 0, not_in_sight=(1,))])
    assert "egg-unseen" not in found(book_of(of), 4, off)


def test_a_rule_goes_by_the_number_that_is_set() -> None:
    ten = RuleSettings(told={"box-unworked": RuleSet(is_on=True, numbers={"after_d": 10})})
    of = nest(checks=[look(1, 0, hen=HenSeen.OFF), look(12, 0, hen=HenSeen.OFF)])
    assert standing("box-unworked", of, 12) is Assessment.CLEAR
    assert standing("box-unworked", of, 12, rules=ten) is Assessment.BREACHED


def test_every_kind_states_why_it_is_there_and_what_may_be_set() -> None:
    assert {one.kind for one in NEST_SETTABLES} == set(NEST_RATIONALES) == KINDS
    assert all(one.priority is not Priority.HIGH for one in NEST_RATIONALES.values())


# Duties and backups

DUTY = Duty(
    id=4,
    terms=DutyTerms(
        name="Clean the tray",
        where=DutyWhere(kind=WhereKind.EVERY_CAGE),
        schedule=EveryDays(days=7, first=date(2026, 3, 3)),
        since=day(-1),
        missed=Missed.CARRIED,
    ),
)


def done(on: date, at: datetime) -> DutyDone:
    slot = DutySlot(duty_id=4, place="cage-1", day=on, visit=Visit.MORNING)
    return DutyDone(id=1, slot=slot, words="Clean the tray", at=at, form_id=uuid4())


@pytest.mark.parametrize(
    ("now", "expected"),
    [(2, Assessment.CLEAR), (2.4, Assessment.CLEAR), (3, Assessment.BREACHED)],
    ids=["its day", "missed today", "a day late"],
)
def test_duty_is_late_a_day_after_it_was_missed(now: float, expected: Assessment) -> None:
    book = book_of(duties=(DUTY,))
    assert found(book, now)["duties-late"].said.assessment is expected


def test_late_duties_are_one_alarm_that_names_them() -> None:
    book = book_of(duties=(DUTY, replace(DUTY, id=5, terms=replace(DUTY.terms, name="Grit"))))
    assert found(book, 4)["duties-late"].said.text == (
        "2 duties are late, since 3 March: Clean the tray (Cage 1); Grit (Cage 1). They stand on "
        "today's list."
    )


def test_duty_is_late_no_more_once_it_was_done_and_not_before() -> None:
    book = book_of(duties=(DUTY,), done=(done(date(2026, 3, 5), day(4)),))
    assert found(book, 3.9)["duties-late"].said.assessment is Assessment.BREACHED
    assert found(book, 4.1)["duties-late"].said.assessment is Assessment.CLEAR


def test_duty_that_is_dropped_is_never_late() -> None:
    dropped = replace(DUTY, terms=replace(DUTY.terms, missed=Missed.DROPPED))
    assert found(book_of(duties=(dropped,)), 5)["duties-late"].said.assessment is Assessment.CLEAR


@pytest.mark.parametrize(
    ("made", "records", "expected"),
    [
        (None, None, Assessment.CLEAR),
        (None, 13.5, Assessment.CLEAR),
        (None, 12, Assessment.BREACHED),
        (13.5, 0, Assessment.CLEAR),
        (12, 0, Assessment.BREACHED),
        (21, 0, Assessment.CANNOT_TELL),
    ],
    ids=["nothing to lose", "a young shed", "never", "fresh", "old", "of a time to come"],
)
def test_backup_is_old_after_a_week(
    made: float | None, records: float | None, expected: Assessment
) -> None:
    known = BackupKnown(
        at=None if made is None else day(made),
        records_since=None if records is None else day(records),
    )
    book = book_of(backup=known)
    assert found(book, 20)["backup-old"].said.assessment is expected


def test_backup_that_nobody_looks_after_is_not_judged() -> None:
    assert found(book_of(), 20)["backup-old"].said.assessment is Assessment.CANNOT_TELL


# Whatever happens


@settings(max_examples=40, deadline=None)
@given(
    laid=st.lists(st.floats(0.5, 3.5), min_size=0, max_size=6),
    looks=st.lists(st.floats(1, 60), min_size=0, max_size=6),
    unseen=st.booleans(),
    now=st.floats(1, 70),
)
def test_no_look_no_news(laid: list[float], looks: list[float], unseen: bool, now: float) -> None:
    """What is breached rests on a look: time alone breaches only what chicks have to come."""
    days, at = [], 1.0
    for pause in laid:
        at += pause
        days.append(at)
    eggs = [egg(n, when) for n, when in enumerate(days, start=1) if when <= now]
    seen = sorted(when for when in looks if when <= now and when >= (days[0] if days else 0))
    hidden = (1,) if unseen and eggs else ()
    checks = [look(when, len(eggs) - len(hidden), not_in_sight=hidden) for when in seen]
    told = found(book_of(nest(eggs, checks=checks)), now)
    breached = {kind for kind, one in told.items() if one.said.assessment is Assessment.BREACHED}
    assert breached <= {"box-unworked", "egg-unseen", "laying-late", "hatch-late"}
    assert checks or not breached
    for kind in breached:
        assert told[kind].said.text
        newest = told[kind].said.newest
        assert newest is not None
        assert newest <= day(now)


def guest_out_of_sight(missed: int) -> Nest:
    """Egg 3 of Box 2 came on day 5, and was not seen at the looks since."""
    home = Place(id="box-2", kind=PlaceKind.BOX, name="Box 2", within="cage-1")
    moved = Move(id=1, at=day(5), from_box="box-2", to_box=BOX.id)
    theirs = replace(egg(3, 4, moves=(moved,)), id=77)
    clutch = Clutch(id=9, box="box-2", pair_id=8, round=1, eggs=(egg(1, 1), egg(2, 2), theirs))
    unseen = (GuestSeen(egg_id=77, not_in_sight=True),)
    checks = tuple(look(6 + n, 0, guests=unseen) for n in range(missed))
    return replace(
        nest(checks=checks), guests=(Guest(clutch=clutch, egg=theirs, home=home, checks=()),)
    )


def test_guest_not_in_sight_is_told_with_its_own_box() -> None:
    assert standing("egg-unseen", guest_out_of_sight(0), 7) is Assessment.CLEAR
    assert "egg 3 of Box 2 not in sight for 2 looks" in (
        said("egg-unseen", guest_out_of_sight(2), 8).text
    )
