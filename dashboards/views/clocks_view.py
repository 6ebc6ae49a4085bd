"""The clocks of mites and mould in words. Pure.

They count warmth and damp, and see neither mites nor mould: no sentence here says that all is
well.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.local_words import count, day_word, local_day, moment
from service.answers.clocks import LONGEST, ClocksTold, MiteClock, MouldClock
from service.climate.mites import Generations
from service.climate.mould import MICROSCOPIC, VISIBLE, MouldIndex
from service.nests.place import PlaceKind
from service.nests.treatment import Against, Treatment

LOOK_AT = 1.0
"""Generations: what survived as an egg has then laid eggs of its own."""

WORTH_LISTING = 8
FORESEEN_DAYS = 60
"""Weather changes sooner than that: further ahead no number is told."""

JUST_NOW = timedelta(hours=2)
MOSTLY = 0.8
_DAY = timedelta(days=1)
_NAMED_WITH_YEAR = timedelta(days=300)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockRow:
    """``lead`` says what to do, ``lines`` what it comes from. ``look`` where a look is advised,
    or nobody can tell; ``whole`` for the shed, whose treatment reaches all places in it.
    """

    place: str
    name: str
    lead: str
    lines: tuple[str, ...]
    look: bool
    whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatmentRow:
    """One that was told, with ``undone`` where it was taken back."""

    id: int
    words: str
    undone: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ClocksView:
    """The whole page; ``waiting`` are further places in which no look is asked for yet."""

    mites: tuple[ClockRow, ...]
    waiting: tuple[ClockRow, ...]
    mould: tuple[ClockRow, ...]
    treatments: tuple[TreatmentRow, ...]
    lead: str


def clocks_view(
    clocks: ClocksTold,
    treatments: Sequence[Treatment],
    names: dict[str, str],
    now: datetime,
    zone: ZoneInfo,
) -> ClocksView:
    """``names`` are those of places by id; a place that is no more keeps its id."""
    of_mites = tuple(_mite_row(one, names, now, zone) for one in clocks.mites)
    newest = sorted(treatments, key=lambda one: (one.at, one.id), reverse=True)[:WORTH_LISTING]
    return ClocksView(
        mites=tuple(row for row in of_mites if row.look or row.whole),
        waiting=tuple(row for row in of_mites if not row.look and not row.whole),
        mould=tuple(_mould_row(one, now, zone) for one in clocks.mould),
        treatments=tuple(
            TreatmentRow(id=one.id, words=_told(one, names, now, zone), undone=not one.stands)
            for one in newest
        ),
        lead=_lead(of_mites),
    )


def _lead(rows: Sequence[ClockRow]) -> str:
    wanted = [row.name for row in rows if row.look]
    if not rows:
        return "There is no shed yet to count for."
    if not wanted:
        return "No look for mites is asked for yet. The clock counts warmth, it sees no mites."
    if len(wanted) > 3:
        return f"Look for mites in {len(wanted)} places."
    return f"Look for mites: {', '.join(wanted)}."


def _mite_row(clock: MiteClock, names: dict[str, str], now: datetime, zone: ZoneInfo) -> ClockRow:
    look, lead = _mite_lead(clock, now)
    lines = [_since(clock.treatment, clock.since, now, zone)]
    if clock.grown is not None:
        lines.append(
            f"Warmth since then: {_generations(clock.grown)} of red mites, from egg to egg."
        )
        thermometer = names.get(clock.measured_at or "", clock.measured_at)
        own = "its own thermometer" if clock.measured_at == clock.place.id else thermometer
        lines.append(f"By {own}; {_measured(clock.grown.coverage)}.")
    return ClockRow(
        place=clock.place.id,
        name=clock.place.name,
        lead=lead,
        lines=tuple(lines),
        look=look,
        whole=clock.place.kind is PlaceKind.SHED,
    )


def _mite_lead(clock: MiteClock, now: datetime) -> tuple[bool, str]:
    if clock.treatment is not None and now - clock.since < _DAY:
        return False, "Begun anew; in a day it says when to look next."
    if clock.grown is None:
        return True, "Cannot tell: no temperature is known. Look for mites all the same."
    if clock.grown.most >= LOOK_AT:
        return True, "Look for mites: there was warmth enough for a generation."
    days = _days_left(clock.grown, now - clock.since)
    if days is None:
        return False, "Too cold for them to grow. Those that are there wait, for months."
    if clock.grown.coverage < MOSTLY:
        return True, "Too little was measured to wait for the clock: look for mites."
    return False, _foreseen(days)


def _days_left(grown: Generations, length: timedelta) -> int | None:
    """Rounded down: sooner rather than later. None where none would come within a year."""
    if not grown.most:
        return None
    days = (LOOK_AT - grown.most) / grown.most * (length / _DAY)
    return None if days > 365 else max(1, math.floor(days))


def _foreseen(days: int) -> str:
    if days > FORESEEN_DAYS:
        return "No look is asked for within months, if it stays as cold; warmth brings it near."
    return f"Look for mites in about {_wait(days)}, if it stays as warm."


def _wait(days: int) -> str:
    """In weeks from two on: nobody knows the day so far ahead."""
    return count(days, "day") if days < 14 else f"{days // 7} weeks"


def _generations(grown: Generations) -> str:
    low, high = math.floor(grown.least * 10) / 10, math.ceil(grown.most * 10) / 10
    if high <= 0.1:
        return "less than a tenth of a generation"
    return f"{low:.1f} to {high:.1f} generations"


def _mould_row(clock: MouldClock, now: datetime, zone: ZoneInfo) -> ClockRow:
    name = clock.place.name if not clock.reckoned else f"{clock.place.name}: coldest surface"
    lines = [_since(clock.treatment, clock.since, now, zone, "cleaned")]
    if clock.grown is None:
        fresh = clock.treatment is not None and now - clock.since < JUST_NOW
        lead = "Begun anew just now." if fresh else f"Cannot tell. {clock.why_not}"
        return ClockRow(
            place=clock.place.id, name=name, lead=lead, lines=tuple(lines), look=not fresh
        )
    lines.append(
        f"Damp enough for mould in {count(clock.grown.damp_h, 'measured hour')}; "
        f"{_index(clock.grown)} on a scale to 6. {_measured(clock.grown.coverage).capitalize()}."
    )
    if clock.reckoned:
        lines.append("How cold it gets is reckoned, not measured: under a clear sky it is colder.")
    look, lead = _mould_lead(clock.grown)
    return ClockRow(place=clock.place.id, name=name, lead=lead, lines=tuple(lines), look=look)


def _mould_lead(grown: MouldIndex) -> tuple[bool, str]:
    if grown.most >= VISIBLE:
        return True, "Look for mould: by now it may be seen with the eye."
    if grown.most >= MICROSCOPIC:
        return True, "Dry it: mould may have begun, too small to be seen yet."
    if grown.coverage < MOSTLY:
        return True, "Too little was measured to tell. Look whether it is damp."
    return False, "It has not been damp enough for long enough to grow mould on clean wood."


def _index(grown: MouldIndex) -> str:
    low, high = math.floor(grown.least * 10) / 10, math.ceil(grown.most * 10) / 10
    return f"index {high:g}" if low == high else f"index {low:g} to {high:g}"


def _measured(coverage: float) -> str:
    return f"measured {math.floor(100 * coverage)} % of the time"


def _since(
    treatment: Treatment | None,
    since: datetime,
    now: datetime,
    zone: ZoneInfo,
    did: str = "treated",
) -> str:
    if treatment is not None:
        words = f": {treatment.words}" if treatment.words else ""
        counted = " Half a year of it is counted." if treatment.at < since else ""
        return f"Last {did} {_when(treatment.at, now, zone)}{words}.{counted}"
    when = moment(since, now, zone)
    if now - since >= LONGEST - _DAY:
        return f"Nobody told when it was {did}, so half a year is counted, since {when}."
    return f"Nobody told when it was {did}, so it counts from the first reading, {when}."


def _when(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """With its year where the day alone may be taken for one of this year."""
    day = local_day(at, zone)
    return f"{day_word(day)} {day.year}" if now - at > _NAMED_WITH_YEAR else moment(at, now, zone)


_AGAINST = {Against.MITES: "against mites", Against.MOULD: "cleaned of mould"}


def _told(one: Treatment, names: dict[str, str], now: datetime, zone: ZoneInfo) -> str:
    parts = [f"{names.get(one.place, one.place)}, {_AGAINST[one.against]}"]
    parts.append(_when(one.at, now, zone))
    parts += [part for part in (one.words, one.by) if part]
    return ", ".join(parts)
