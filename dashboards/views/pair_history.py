"""What a pair has brought so far, round by round, in words with numbers. Pure."""

from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.local_words import count, day_word, local_day
from service.nests.nest import Candling, ChickFate, Clutch, Egg, EggFate

_ORDINAL = ("First", "Second", "Third", "Fourth", "Fifth")
_OUT = (ChickFate.FLEDGED, ChickFate.WEANED, ChickFate.MOVED)
_FERTILE = (EggFate.HATCHED, EggFate.DEAD_IN_SHELL)


def pair_history(clutches: Sequence[Clutch], now: datetime, zone: ZoneInfo) -> tuple[str, ...]:
    """A sentence a round, the first first; of several rounds one for all of them.

    Counts, not shares: what so few eggs say about a pair is told with its doubt elsewhere.
    """
    told = [_round(clutch, now, zone) for clutch in clutches if clutch.eggs]
    if len(told) > 1:
        told.append(f"In all {len(told)} rounds: {_sums(clutches)}.")
    return tuple(told)


def _round(clutch: Clutch, now: datetime, zone: ZoneInfo) -> str:
    day = local_day(clutch.eggs[0].laid_to, zone)
    year = f" {day.year}" if day.year != local_day(now, zone).year else ""
    n = clutch.round
    name = _ORDINAL[n - 1] if 1 <= n <= len(_ORDINAL) else f"{n}th"
    going = ", going on" if clutch.closed_at is None else ""
    return f"{name} round from {day_word(day)}{year}{going}: {_sums([clutch])}."


def _sums(clutches: Sequence[Clutch]) -> str:
    eggs = [egg for clutch in clutches for egg in clutch.eggs]
    chicks = [chick for clutch in clutches for chick in clutch.chicks]
    known = [egg for egg in eggs if _is_known(egg)]
    fertile = sum(_is_fertile(egg) for egg in known)
    parts = [count(len(eggs), "egg")]
    if known:
        parts.append(f"{fertile} fertile of {len(known)} known")
    parts.append(f"{len(chicks)} hatched")
    out = sum(chick.fate in _OUT for chick in chicks)
    died = sum(chick.fate is ChickFate.DIED for chick in chicks)
    if out:
        parts.append(f"{out} out of the box")
    if died:
        parts.append(f"{died} died")
    lost = Counter(egg.fate for egg in eggs if egg.fate not in (None, EggFate.HATCHED))
    parts += [f"{number} {fate}" for fate, number in sorted(lost.items(), key=_by_number)]
    away = sum(bool(egg.moves) for egg in eggs)
    if away:
        parts.append(f"{away} moved to other hens")
    return ", ".join(parts)


def _by_number(one: tuple[EggFate | None, int]) -> tuple[int, str]:
    return (-one[1], str(one[0]))


def _is_known(egg: Egg) -> bool:
    return egg.candling in (Candling.FERTILE, Candling.CLEAR) or egg.fate in (
        *_FERTILE,
        EggFate.CLEAR,
    )


def _is_fertile(egg: Egg) -> bool:
    return egg.fate in _FERTILE or (
        egg.candling is Candling.FERTILE and egg.fate is not EggFate.CLEAR
    )
