"""What is to come in a nest, as spans with their reasons. Pure.

Nothing here is stored: the spans follow from what was seen and from the species' settings,
so that one corrected fact moves all that rests on it, and nothing else. A span that has
ended stays listed until the thing is done or can't be any more.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

from service.nests.due import Due, DueKind
from service.nests.nest import Candling, Chick, ChickFate, Clutch, Egg, Nest
from service.nests.sitting import Sitting, growth_began, laid, laying_is_over, sitting
from service.nests.span import Span, days_in_words, in_days
from service.nests.species import DaySpan, SpeciesSettings


def due_dates(
    nest: Nest, species: SpeciesSettings, now: datetime, zone: tzinfo = UTC
) -> tuple[Due, ...]:
    """All that this nest is expected to do or to need, by the beginning of the span.

    For an egg that can still hatch the ring, the first outing and independence are listed
    too, "if it hatches". ``zone`` is the shed's, for the days that the reasons name.
    """
    clutch = nest.clutch
    began = sitting(nest, species, zone)
    if clutch is None or began is None:
        return ()
    reckoning = _Reckoning(
        nest=nest, clutch=clutch, began=began, species=species, now=now, zone=zone
    )
    dues = [
        *reckoning.next_egg(),
        *reckoning.candle(),
        *reckoning.hatch(),
        *reckoning.hide_in(),
        *reckoning.growing_up(),
    ]
    return tuple(sorted(dues, key=lambda due: (due.since, due.until, due.egg_number or 0)))


def next_due(dues: Sequence[Due], now: datetime) -> Due | None:
    """What comes first: of those begun (late or not) the one that ends first, else the next."""
    begun = [due for due in dues if due.since <= now]
    if begun:
        return min(begun, key=lambda due: (due.until, due.since))
    return min(dues, key=lambda due: (due.since, due.until), default=None)


def hatch_span(egg: Egg, began: Sitting, species: SpeciesSettings) -> Span:
    """When this egg hatches if it does: later of laid and sat on, plus the species' span."""
    return growth_began(egg, began).after(species.hatch_after_sitting)


def may_hatch(egg: Egg) -> bool:
    """It lies there, and no light has shown it clear."""
    return egg.fate is None and egg.candling is not Candling.CLEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reckoning:
    """The facts that all reckonings share."""

    nest: Nest
    clutch: Clutch
    began: Sitting
    species: SpeciesSettings
    now: datetime
    zone: tzinfo

    def next_egg(self) -> Iterator[Due]:
        if laying_is_over(self.nest, self.species):
            return
        last = self.clutch.eggs[-1]
        usual = self.species.next_egg_after_egg
        why = f"egg {last.number} was laid {self._days(laid(last))}; the next {_after(usual)}"
        yield self._due(DueKind.NEXT_EGG, last.number + 1, laid(last).after(usual), why)

    def candle(self) -> Iterator[Due]:
        """One due for the box: the eggs that no light has gone through and that can wait."""
        usual = self.species.candle_after_sitting
        spans = {
            egg.number: growth_began(egg, self.began).after(usual)
            for egg in self.clutch.eggs
            if may_hatch(egg) and egg.candling is None and self._hatch(egg).since > self.now
        }
        if not spans:
            return
        first = min(spans, key=lambda number: (spans[number].since, number))
        why = f"egg {first} is not candled yet; {self._grew_since(first)}, ready {_after(usual)}"
        yield self._due(DueKind.CANDLE, None, spans[first], why)

    def hatch(self) -> Iterator[Due]:
        for egg in filter(may_hatch, self.clutch.eggs):
            usual = self.species.hatch_after_sitting
            why = f"{self._grew_since(egg.number)}; hatches {_after(usual)}"
            yield self._due(DueKind.HATCH, egg.number, self._hatch(egg), why)

    def hide_in(self) -> Iterator[Due]:
        """Before the first outing that can be expected, of a chick or of an egg to hatch."""
        if self.clutch.hide_in_at is not None or self._someone_is_out():
            return
        born = {chick.egg_number: _hatched(chick) for chick in self._in_box()}
        born |= {egg.number: self._hatch(egg) for egg in self._still_to_hatch()}
        if not born:
            return
        outings = {
            number: span.after(self.species.fledge_after_hatch).since
            for number, span in born.items()
        }
        first = min(outings, key=lambda number: (outings[number], number))
        before = self.species.hide_before_fledge
        span = Span(
            since=outings[first] - timedelta(days=before.most),
            until=outings[first] - timedelta(days=before.least),
        )
        out = Span(since=outings[first], until=outings[first])
        why = (
            f"chick {first} may come out from {self._days(out)} on; "
            f"a place to hide goes in {days_in_words(before)} before"
        )
        yield self._due(DueKind.HIDE_IN, None, span, why)

    def growing_up(self) -> Iterator[Due]:
        for chick in self.clutch.chicks:
            born = _hatched(chick)
            told = f"chick {chick.egg_number} hatched {self._days(born)}"
            yield from self._of_one(chick.egg_number, born, told, _open_steps(chick))
        for egg in self._still_to_hatch():
            born = self._hatch(egg)
            told = f"if egg {egg.number} hatches {self._days(born)}"
            yield from self._of_one(egg.number, born, told, _STEPS)

    def _of_one(
        self, number: int, born: Span, told: str, steps: Sequence[DueKind]
    ) -> Iterator[Due]:
        usual = {
            DueKind.RING: self.species.ring_after_hatch,
            DueKind.FLEDGE: self.species.fledge_after_hatch,
            DueKind.INDEPENDENT: self.species.independent_after_hatch,
        }
        for kind in steps:
            why = f"{told}; {_THEN[kind]} {_after(usual[kind])}"
            yield self._due(kind, number, born.after(usual[kind]), why)

    def _due(self, kind: DueKind, number: int | None, span: Span, why: str) -> Due:
        return Due(
            kind=kind,
            box=self.nest.box.id,
            egg_number=number,
            since=span.since,
            until=span.until,
            why=why,
        )

    def _hatch(self, egg: Egg) -> Span:
        return hatch_span(egg, self.began, self.species)

    def _still_to_hatch(self) -> Iterator[Egg]:
        """Eggs whose time is not over: of one that is late no more is promised."""
        return (
            egg for egg in self.clutch.eggs if may_hatch(egg) and self._hatch(egg).until >= self.now
        )

    def _in_box(self) -> Iterator[Chick]:
        return (chick for chick in self.clutch.chicks if chick.fate is None)

    def _someone_is_out(self) -> bool:
        out = (ChickFate.FLEDGED, ChickFate.WEANED)
        return any(chick.fate in out for chick in self.clutch.chicks)

    def _grew_since(self, number: int) -> str:
        egg = laid(self.clutch.eggs[number - 1])
        if egg.until > self.began.began.until:
            return f"egg {number} was laid {self._days(egg)}, when she sat"
        return self.began.why

    def _days(self, span: Span) -> str:
        return in_days(span, self.zone)


_STEPS = (DueKind.RING, DueKind.FLEDGE, DueKind.INDEPENDENT)
_THEN = {
    DueKind.RING: "the ring goes on",
    DueKind.FLEDGE: "out of the box",
    DueKind.INDEPENDENT: "feeds itself",
}


def _open_steps(chick: Chick) -> tuple[DueKind, ...]:
    if chick.fate is ChickFate.FLEDGED:
        return (DueKind.INDEPENDENT,)
    if chick.fate is not None:
        return ()
    return _STEPS if chick.ring is None else _STEPS[1:]


def _hatched(chick: Chick) -> Span:
    return Span(since=chick.hatched_from, until=chick.hatched_to)


def _after(usual: DaySpan) -> str:
    return f"after {days_in_words(usual)}"
