"""The page of a season: how it went, in words first, each share with what it rests on. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from dashboards.marks.share_mark import share_mark
from dashboards.views.bird_names import bird_label
from dashboards.views.local_words import count, day_word, local_day
from service.nests.nest import EggFate
from service.nests.season import Season
from service.nests.season_sum import LOSSES, PairSum, SeasonSum, Sum, earlier, pooled
from service.nests.share import Share, difference
from service.nests.span import Span

BEFORE_ALL = "before every season that was told"
_TOO_FEW = "too few to say"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareCell:
    """``counts`` is what it rests on ("27 of 51"), or "not known"; ``told`` is the share with its
    span, or why there is none.
    """

    counts: str
    told: str
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareLine:
    """One question, its answer, what is not known yet, and how it was before."""

    question: str
    answer: ShareCell
    unknown: str
    before: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonRow:
    """One season in the table of seasons."""

    name: str
    address: str
    here: bool
    eggs: int
    fertile: ShareCell
    hatched: ShareCell
    fledged: ShareCell


@dataclass(frozen=True, slots=True, kw_only=True)
class PairLine:
    """One pair; ``losses`` in words, ``still`` what is not over yet."""

    cock: str
    hen: str
    cage: str
    clutches: int
    eggs: int
    first_egg: str
    fertile: ShareCell
    hatched: ShareCell
    fledged: ShareCell
    losses: str
    still: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LossRow:
    """One cause, in how many eggs or chicks, now and in all seasons before."""

    cause: str
    now: int
    before: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonView:
    """``id`` is that of the season, None for the pairs of none."""

    id: int | None
    title: str
    standing: str
    summary: str
    lines: tuple[ShareLine, ...]
    dates: tuple[tuple[str, str], ...]
    losses: tuple[LossRow, ...]
    nothing_lost: bool
    pairs: tuple[PairLine, ...]
    seasons: tuple[SeasonRow, ...]
    printed: str


def season_view(
    chosen: SeasonSum,
    sums: Sequence[SeasonSum],
    cages: dict[str, str],
    now: datetime,
    zone: ZoneInfo,
) -> SeasonView:
    """``sums`` are all seasons, newest first, ``chosen`` among them; ``cages`` are the names of
    places by their ids, in walking order.
    """
    before = earlier(sums, chosen)
    told = chosen.all
    return SeasonView(
        id=chosen.season.id if chosen.season else None,
        title=season_name(chosen.season),
        standing=_standing(chosen.season),
        summary=_summary(chosen),
        lines=_lines(told, [one.all for one in before]),
        dates=tuple(_dates(told, zone)),
        losses=_losses(told, [one.all for one in before]),
        nothing_lost=bool(told.eggs) and not told.losses,
        pairs=tuple(_pair(one, cages, zone) for one in _as_walked(chosen.pairs, cages)),
        seasons=tuple(_row(one, here=one is chosen) for one in sums),
        printed=f"as of {day_of(local_day(now, zone))}",
    )


def season_name(season: Season | None) -> str:
    """What the season is called in a heading."""
    if season is None:
        return "Before any season"
    return season.name if season.name.lower().startswith("season") else f"Season {season.name}"


def day_of(day: date) -> str:
    """``26 April 2026``."""
    return f"{day_word(day)} {day.year}"


def _standing(season: Season | None) -> str:
    if season is None:
        return "These pairs were put up before the first season that the book was told of."
    began = f"It began on {day_of(season.began_on)}"
    if season.closed_on is None:
        return f"{began} and goes on; what is not over is not counted yet."
    by = f" by {season.closed_by}" if season.closed_by else ""
    return f"{began} and was closed on {day_of(season.closed_on)}{by}."


def _summary(chosen: SeasonSum) -> str:
    told, laying = chosen.all, sum(1 for one in chosen.pairs if one.sum.eggs)
    if not chosen.pairs:
        return "No pair bred in it."
    if not told.eggs:
        return f"{count(len(chosen.pairs), 'pair')} put up, no egg yet."
    of_pairs = f"{laying} of {count(len(chosen.pairs), 'pair')} laid {count(told.eggs, 'egg')}"
    ended = f"{told.hatched} hatched, and {told.fledged} left the box"
    return f"{of_pairs} in {count(told.clutches, 'clutch', 'clutches')}: {ended}."


def _lines(told: Sum, before: Sequence[Sum]) -> tuple[ShareLine, ...]:
    unseen = told.eggs - told.fertile_share.of
    return (
        ShareLine(
            question="Fertile, of the eggs of which it is known",
            answer=share_cell(told.fertile_share),
            unknown=f"Of {count(unseen, 'egg')} nobody knows." if unseen else "",
            before=_against(told.fertile_share, [one.fertile_share for one in before]),
        ),
        ShareLine(
            question="Hatched, of the eggs whose fate is known",
            answer=share_cell(told.hatched_share),
            unknown=f"{count(told.lying, 'egg')} still {_lie(told.lying)}." if told.lying else "",
            before=_against(told.hatched_share, [one.hatched_share for one in before]),
        ),
        ShareLine(
            question="Left the box, of the chicks whose fate is known",
            answer=share_cell(told.fledged_share),
            unknown=_chicks_unknown(told),
            before=_against(told.fledged_share, [one.fledged_share for one in before]),
        ),
    )


def _lie(number: int) -> str:
    return "lies" if number == 1 else "lie"


def _chicks_unknown(told: Sum) -> str:
    parts = []
    if told.in_box:
        parts.append(f"{count(told.in_box, 'chick')} still in the box")
    if told.moved:
        parts.append(f"{told.moved} given away before")
    return f"Not counted: {', '.join(parts)}." if parts else ""


def share_cell(share: Share) -> ShareCell:
    """``27 of 51``, ``53 % (41 to 65)``; in words where nothing or too little is known."""
    if not share.of:
        return ShareCell(counts="not known", told="", mark=share_mark(share, "not known"))
    counts, told = f"{share.count} of {share.of}", _told(share)
    return ShareCell(counts=counts, told=told, mark=share_mark(share, f"{counts}, {told}"))


def _told(share: Share) -> str:
    interval = share.interval()
    if interval is None or share.value is None:
        return "not known"
    if not share.says_something:
        return _TOO_FEW
    return f"{percent(share.value)} % ({percent(interval.low)} to {percent(interval.high)})"


def percent(share: float) -> str:
    """In whole hundredths; nothing but none is 0, and nothing but all is 100."""
    told = round(100 * share)
    if told == 0 and share > 0:
        return "under 1"
    if told == 100 and share < 1:
        return "over 99"
    return str(told)


def _against(share: Share, before: Sequence[Share]) -> str:
    """How it was in all earlier seasons together, and whether that can be told apart."""
    past = pooled(before)
    if not past.of:
        return ""
    told = f"Before: {past.count} of {past.of}, {_told(past)}."
    apart = difference(share, past)
    if apart is None or not share.says_something or not past.says_something:
        return f"{told} Too few to compare."
    if apart.low > 0:
        return f"{told} More than before, by {_points(apart.low)} to {_points(apart.high)} points."
    if apart.high < 0:
        return (
            f"{told} Less than before, by {_points(-apart.high)} to {_points(-apart.low)} points."
        )
    return f"{told} Too near to tell apart: chance alone can make such a difference."


def _points(apart: float) -> str:
    return str(round(100 * apart))


def _losses(told: Sum, before: Sequence[Sum]) -> tuple[LossRow, ...]:
    now = dict(told.losses)
    rows = []
    for fate in LOSSES:
        past = sum(dict(one.losses).get(fate, 0) for one in before)
        if now.get(fate) or past:
            cause = f"egg {fate}" if isinstance(fate, EggFate) else f"chick {fate}"
            rows.append(LossRow(cause=cause, now=now.get(fate, 0), before=past if before else None))
    return tuple(rows)


def _dates(told: Sum, zone: ZoneInfo) -> Sequence[tuple[str, str]]:
    found = [
        ("first egg", span_words(told.first_egg, zone)),
        ("last egg", span_words(told.last_egg, zone)),
        ("first chick", span_words(told.first_hatch, zone)),
        ("last out of the box", day_of(local_day(told.last_out, zone)) if told.last_out else ""),
    ]
    return [(what, when) for what, when in found if when]


def span_words(span: Span | None, zone: ZoneInfo) -> str:
    """``4 March 2026``, or ``3 to 4 March 2026`` between two looks; empty without one."""
    return f"{_days(span, zone)} {local_day(span.until, zone).year}" if span else ""


def _days(span: Span | None, zone: ZoneInfo) -> str:
    """The same without its year."""
    if span is None:
        return ""
    first, last = local_day(span.since, zone), local_day(span.until, zone)
    if first == last:
        return day_word(last)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {day_word(last)}"
    return f"{day_word(first)} to {day_word(last)}"


def _as_walked(pairs: Sequence[PairSum], cages: dict[str, str]) -> list[PairSum]:
    """By their cages along the walk, and within a cage as they were put up."""
    order = {cage: place for place, cage in enumerate(cages)}
    return sorted(
        pairs,
        key=lambda one: (order.get(one.pair.cage, len(order)), one.pair.put_up_on, one.pair.id),
    )


def _pair(one: PairSum, cages: dict[str, str], zone: ZoneInfo) -> PairLine:
    told, pair = one.sum, one.pair
    still = []
    if told.lying:
        still.append(f"{count(told.lying, 'egg')} {_lie(told.lying)}")
    if told.in_box:
        still.append(f"{count(told.in_box, 'chick')} in the box")
    return PairLine(
        cock=bird_label(pair.cock),
        hen=bird_label(pair.hen),
        cage=cages.get(pair.cage, pair.cage),
        clutches=told.clutches,
        eggs=told.eggs,
        first_egg=_days(told.first_egg, zone) or "no egg",
        fertile=share_cell(told.fertile_share),
        hatched=share_cell(told.hatched_share),
        fledged=share_cell(told.fledged_share),
        losses=", ".join(f"{number} {fate}" for fate, number in told.losses) or "none",
        still=", ".join(still),
    )


def _row(one: SeasonSum, *, here: bool) -> SeasonRow:
    return SeasonRow(
        name=season_name(one.season),
        address=f"/season?season={one.season.id if one.season else 'none'}",
        here=here,
        eggs=one.all.eggs,
        fertile=share_cell(one.all.fertile_share),
        hatched=share_cell(one.all.hatched_share),
        fledged=share_cell(one.all.fledged_share),
    )
