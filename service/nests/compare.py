"""A keeper's check against the nest's history: what changed, or what to ask. Pure.

The check says what lies there at the end of the look. With E eggs and C chicks known before,
N new eggs, and named or inferred H hatched, L lost and G gone,

    eggs = E + N - H - L        chicks = C + H - G.

Two sums for two unknowns, N and H: so a miscount shows, and is asked about, whenever it
would need an egg that vanished or a chick from nowhere. Nothing is guessed where two
readings are possible.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

from service.nests.compare_chicks import ask_about_chicks
from service.nests.compare_counts import Reckoned, reckon
from service.nests.compare_names import ask_about_names
from service.nests.nest import Clutch, Nest, NestCheck
from service.nests.outcome import write_outcome
from service.nests.question import Question, QuestionKind
from service.nests.species import SpeciesSettings

CLOCKS_MAY_DIFFER_BY = timedelta(minutes=5)
A_SEASON_ENDS_AFTER = timedelta(days=182)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """Either questions, or the clutch as it stands after the check (id 0 for new rows; None
    where no egg was ever laid) with what changed in short sentences.
    """

    clutch: Clutch | None = None
    changes: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()


def compare(
    check: NestCheck,
    nest: Nest,
    species: SpeciesSettings,
    *,
    now: datetime,
    zone: tzinfo = UTC,
) -> Outcome:
    """What this look changes in the nest, or what has to be asked first.

    ``nest`` is as it stood before the look, ``zone`` the shed's, for words only.
    """
    questions = _ask_about_time(check, nest, now, zone)
    if questions:
        return Outcome(questions=questions)
    before = _clutch_before(check, nest, species)
    questions = ask_about_names(check, before)
    if questions:
        return Outcome(questions=questions)
    reckoned = reckon(check, before, nest, species)
    questions = (*reckoned.questions, *ask_about_chicks(check, before, reckoned.hatched))
    if not questions:
        questions = _ask_about_pair(reckoned, nest, before)
    if questions:
        return Outcome(questions=questions)
    clutch, changes = write_outcome(check, before, reckoned, nest, species)
    return Outcome(clutch=clutch, changes=changes)


def _ask_about_time(
    check: NestCheck, nest: Nest, now: datetime, zone: tzinfo
) -> tuple[Question, ...]:
    told = f"{check.at.astimezone(zone):%d.%m.%Y %H:%M}"
    if check.at > now + CLOCKS_MAY_DIFFER_BY:
        sentence = f"{told} is still to come. When did you look?"
        return (Question(kind=QuestionKind.NOT_YET, sentence=sentence),)
    if nest.checks and check.at < nest.checks[-1].at:
        last = f"{nest.checks[-1].at.astimezone(zone):%d.%m.%Y %H:%M}"
        sentence = (
            f"The last look was on {last}, this one is told for {told}: the book takes looks in "
            "their order. Enter this one as of now, with a note of when it was; or put its time "
            "right."
        )
        return (Question(kind=QuestionKind.OLDER, sentence=sentence),)
    return ()


def _clutch_before(check: NestCheck, nest: Nest, species: SpeciesSettings) -> Clutch:
    """The open clutch; else the last one where nothing new lies there; else an empty one."""
    last = nest.clutch
    if last is not None and (last.closed_at is None or not _something_new(check, last, species)):
        return last
    pair_id = nest.pair.id if nest.pair else 0
    return Clutch(id=0, box=nest.box.id, pair_id=pair_id, round=_round(check, last, pair_id))


def _something_new(check: NestCheck, last: Clutch, species: SpeciesSettings) -> bool:
    """Eggs after the last clutch; chicks only when others can have hatched since."""
    if check.eggs or check.lost or check.hatched or last.closed_at is None:
        return True
    since = check.at - last.closed_at
    return check.chicks > 0 and since.days >= species.hatch_after_sitting.least


def _round(check: NestCheck, last: Clutch | None, pair_id: int) -> int:
    """The next round of the same pair, or the first of a season."""
    if last is None or last.pair_id != pair_id or last.closed_at is None:
        return 1
    return last.round + 1 if check.at - last.closed_at < A_SEASON_ENDS_AFTER else 1


def _ask_about_pair(reckoned: Reckoned, nest: Nest, before: Clutch) -> tuple[Question, ...]:
    if before.id or nest.pair or not reckoned.new_eggs:
        return ()
    sentence = f"No pair is put up at {nest.box.name}. Whose eggs are these? Put the pair up first."
    return (Question(kind=QuestionKind.NO_PAIR, sentence=sentence),)
