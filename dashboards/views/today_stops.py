"""The stops of today's list, made from what is due and what was done. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from dashboards.views.box_look import BoxLook
from dashboards.views.local_words import clock_time, local_day, moment, near_day
from dashboards.views.night_words import NightWords
from dashboards.views.rail_view import box_label
from dashboards.views.today_view import BoxPart, DutyPart, Stop, SuggestionPart, Undo
from service.nests.duty import DutyDone, DutyDue, DutySlot, DutyStanding, Visit
from service.nests.place import Place, PlaceKind
from service.nests.suggestion import Suggestion
from service.nests.typed_text import whole_of

_AROUND_A_BOX = (PlaceKind.CAGE, PlaceKind.FLIGHT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """All that the list is made from. ``looks`` by box id, ``nights`` by the ids of stops.

    ``done`` are those of this visit that stand, ``since`` when the visit began. ``told_above``
    is the place whose night stands at the top of the page. ``only_by`` may take back only what
    they did themselves; None may take back everything.
    """

    places: Sequence[Place]
    due: Sequence[DutyDue]
    done: Sequence[DutyDone]
    looks: Mapping[str, BoxLook]
    nights: Mapping[str, NightWords]
    suggestions: Sequence[Suggestion]
    since: datetime
    told_above: str = ""
    only_by: str | None = None


def token_of(slot: DutySlot) -> str:
    """A slot as a form carries it."""
    return f"{slot.duty_id}|{slot.day.isoformat()}|{slot.visit.value}|{slot.place}"


def slot_of(token: str) -> DutySlot | None:
    """The slot that a form carried; None for what is none."""
    duty, day, visit, place = (*token.split("|", 3), "", "", "", "")[:4]
    number = whole_of(duty)
    if number is None:
        return None
    try:
        return DutySlot(
            duty_id=number, place=place, day=date.fromisoformat(day), visit=Visit(visit)
        )
    except ValueError:
        return None


def stop_ids(places: Sequence[Place]) -> dict[str, str]:
    """Which stop each place belongs to: a box to its cage or flight, all else to itself."""
    kinds = {place.id: place.kind for place in places}
    found = {}
    for place in places:
        in_cage = place.kind is PlaceKind.BOX and kinds.get(place.within or "") in _AROUND_A_BOX
        found[place.id] = str(place.within) if in_cage else place.id
    return found


def stops_of(walk: Walk, now: datetime, zone: ZoneInfo, *, at: str | None = None) -> list[Stop]:
    """All stops in walking order, one of them "now".

    That is the stop ``at``, where the keeper last did something; once it is done the next one
    after it, and after the last the first that was left out.
    """
    belongs = stop_ids(walk.places)
    order = sorted(walk.places, key=lambda one: one.order)
    maker = _Maker(walk, now, zone)
    found = []
    for place in order:
        if belongs[place.id] == place.id and place.kind is not PlaceKind.JAR:
            here = [one for one in order if belongs[one.id] == place.id]
            stop = maker.stop(place, here)
            found += [stop] if stop is not None else []
    current = _current(found, at)
    usual = _usual(found)
    return [
        replace(_told(one, usual, walk), standing="now" if one.place == current else one.standing)
        for one in found
    ]


def _usual(stops: Sequence[Stop]) -> frozenset[str]:
    """What is due at most of the stops that are still to come: it need not be named at each."""
    left = [{part.words for part in stop.due} for stop in stops if stop.standing == "later"]
    words = set().union(*left)
    return frozenset(
        w for w in words if len(left) > 2 and 2 * sum(w in s for s in left) > len(left)
    )


def _told(stop: Stop, usual: frozenset[str], walk: Walk) -> Stop:
    """The line of a stop that is still to come: the work, and what is out of the ordinary."""
    if stop.standing != "later":
        return stop
    events = [
        f"{one.words}, {one.when}" if one.late else one.words
        for part in stop.wanted
        for one in part.look.to_look_for
        if one.in_box
    ]
    own = [part.words for part in stop.due if part.words not in usual]
    looks = [f"look into {part.look.name}" for part in stop.wanted if part.plain]
    work = [*(["the usual"] if len(own) < len(stop.due) else []), *own, *looks]
    notes = [one.words for one in stop.suggestions if not one.answered]
    night = stop.night
    if night is not None and night.unusual and night.place != walk.told_above:
        notes.append(night.words)
    lines = [*events, *([", ".join(work)] if work else []), *notes]
    return replace(stop, told=_named(stop, lines[0]), told_more=_whole("; ".join(lines[1:])))


def _named(stop: Stop, words: str) -> str:
    """A line says whose it is where the tag beside it has no number."""
    return _whole(words) if stop.label.isdigit() else f"{stop.name}: {words}"


def _current(stops: Sequence[Stop], at: str | None) -> str | None:
    ids = [stop.place for stop in stops]
    start = ids.index(at) if at in ids else 0
    left = [stop.place for stop in (*stops[start:], *stops[:start]) if stop.standing == "later"]
    return left[0] if left else None


class _Maker:
    def __init__(self, walk: Walk, now: datetime, zone: ZoneInfo) -> None:
        self._walk = walk
        self._now = now
        self._zone = zone
        self._names = {place.id: place.name for place in walk.places}

    def stop(self, place: Place, here: Sequence[Place]) -> Stop | None:
        """None where nothing ever is to be done."""
        ids = {one.id for one in here}
        boxes = tuple(
            self._box(self._walk.looks[one.id], place.id)
            for one in here
            if one.id in self._walk.looks
        )
        duties = self._duties(ids)
        suggestions = tuple(self._suggestions(ids))
        if not (boxes or duties or suggestions) and place.kind not in _AROUND_A_BOX:
            return None
        stop = Stop(
            place=place.id,
            label=box_label(place),
            name=_name(place, here),
            boxes=boxes,
            night=self._night(place.id) if boxes else None,
            duties=duties,
            suggestions=suggestions,
            standing="later",
            told="",
            told_more="",
            undo=self._undo(duties, boxes),
        )
        return self._stands(stop)

    def _night(self, stop: str) -> NightWords | None:
        """None where it is the one that stands at the top of the page already, and was well."""
        night = self._walk.nights.get(stop)
        if night is None or (night.place == self._walk.told_above and not night.unusual):
            return None
        return night

    def _box(self, look: BoxLook, stop: str) -> BoxPart:
        tokens = tuple(
            token_of(due.slot)
            for due in self._walk.due
            if due.place in (look.box, stop) and due.duty.terms.look
        )
        expected = any(one.in_box for one in look.to_look_for)
        return BoxPart(
            look=look,
            wanted=bool(tokens) or (expected and not look.looked),
            plain=not expected,
            tokens=tokens,
        )

    def _duties(self, ids: set[str]) -> tuple[DutyPart, ...]:
        due = [self._due(one, ids) for one in self._walk.due if one.place in ids and _by_hand(one)]
        done = [self._done(one, ids) for one in self._walk.done if one.slot.place in ids]
        return tuple(sorted([*due, *done], key=lambda part: part.turn))

    def _due(self, due: DutyDue, ids: set[str]) -> DutyPart:
        told = []
        if due.standing is DutyStanding.CARRIED and due.missed_since is not None:
            told.append(f"missed {near_day(due.missed_since, local_day(self._now, self._zone))}")
        if not due.sure:
            told.append(due.why)
        return DutyPart(
            token=token_of(due.slot),
            turn=due.duty.id,
            words=self._words(due.words, due.place, ids),
            note="; ".join(told),
            why=due.why,
            caution=due.duty.caution,
        )

    def _done(self, done: DutyDone, ids: set[str]) -> DutyPart:
        only_by = self._walk.only_by
        mine = only_by is None or done.by == only_by
        who = f", {done.by}" if done.by else ""
        return DutyPart(
            token=token_of(done.slot),
            turn=done.slot.duty_id,
            words=self._words(done.words, done.slot.place, ids),
            note=f"{clock_time(done.at, self._zone)}{who}",
            why="",
            caution="",
            done_id=done.id,
            at=done.at,
            by=done.by or "",
            mine=mine,
        )

    def _words(self, words: str, place: str, ids: set[str]) -> str:
        """Which box is said where there are several."""
        if len(ids & set(self._walk.looks)) < 2 or place not in self._walk.looks:
            return words
        return f"{words}, {self._names.get(place, place)}"

    def _suggestions(self, ids: set[str]) -> Iterator[SuggestionPart]:
        for one in self._walk.suggestions:
            if one.place not in ids:
                continue
            answered = ""
            if not one.is_open(self._now) and one.answered_at is not None:
                who = f", {one.answered_by}" if one.answered_by else ""
                answered = f"{one.answer}, {clock_time(one.answered_at, self._zone)}{who}"
            made = moment(one.made_at, self._now, self._zone)
            yield SuggestionPart(id=one.id, words=one.words, made=made, answered=answered)

    def _undo(self, duties: Sequence[DutyPart], boxes: Sequence[BoxPart]) -> Undo:
        """What the newest tap did; a look that told something is no matter of one tap."""
        done = [part for part in duties if part.done_id is not None and part.at is not None]
        looks = [part.look for part in boxes if part.look.form_id is not None]
        only_by = self._walk.only_by
        if only_by is not None:
            looks = [look for look in looks if look.by == only_by]
            done = [part for part in done if part.mine]
        newest = max(
            [part.at for part in done if part.at] + [look.at for look in looks if look.at],
            default=None,
        )
        return Undo(
            done_ids=tuple(part.done_id for part in done if part.at == newest and part.done_id),
            looks=tuple(look.form_id for look in looks if look.at == newest and look.form_id),
        )

    def _stands(self, stop: Stop) -> Stop:
        """What is done, and where nothing is due, in a line."""
        asked = [one for one in stop.suggestions if not one.answered]
        if stop.due or stop.wanted or asked:
            return stop
        holds = "; ".join(_whole(part.look.holds) for part in stop.boxes)
        times = [part.at for part in stop.duties if part.at]
        looked = [part.look.looked for part in stop.boxes if part.look.looked]
        if not times and not looked and not stop.suggestions:
            told = _named(stop, "nothing due")
            return replace(stop, standing="nothing", told=told, told_more=holds)
        told = looked[-1] if looked and not times else "Answered"
        if times:
            who = sorted({part.by for part in stop.duties if part.by})
            by = f", {' and '.join(who)}" if who else ""
            told = f"Done {clock_time(max(times), self._zone)}{by}"
        more = "; ".join(looked) if looked and times else holds
        return replace(stop, standing="done", told=_named(stop, told), told_more=more)


def _by_hand(due: DutyDue) -> bool:
    """Whether a tap tells it; a look into a box is told by a look."""
    return not due.duty.terms.look


def _name(place: Place, here: Sequence[Place]) -> str:
    boxes = [one.name for one in here if one.kind is PlaceKind.BOX and one.id != place.id]
    return f"{place.name}, {' and '.join(boxes)}" if boxes else place.name


def _whole(words: str) -> str:
    return words[:1].upper() + words[1:]
