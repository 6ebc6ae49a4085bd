"""The wall in words: the verdict, two more lines, notes beside them; and what is drawn."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from dashboards.marks.signs import Sign
from dashboards.views.alarm_words import AlarmWords, alarm_words, limit_of, value_in_words, words_of
from dashboards.views.channel_view import ChannelView, spare_in_words
from dashboards.views.local_words import (
    clock_time,
    count,
    day_short,
    degrees,
    local_day,
    moment,
)
from dashboards.views.rail_view import (
    RailView,
    due_notes,
    many_boxes_sentences,
    next_box_sentences,
)
from dashboards.views.shed_state import IN_THE_JAR, Beyond, ShedState, Silent
from dashboards.views.tonight_words import (
    ColdAhead,
    stale_notes,
    tonight_line,
    will_likely_be_cold,
)
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.suppression import SuppressionKind
from service.answers.outlook import Tonight
from service.rules.limit import Limit
from service.settings.settings import Settings
from service.store.reading_store import Latest

NEW_FOR = timedelta(minutes=10)


class Form(StrEnum):
    """How the verdict is set: plain, on a solid bar, in an outline, on a hatched plate."""

    PLAIN = "plain"
    BAR = "bar"
    OUTLINE = "outline"
    PLATE = "plate"


@dataclass(frozen=True, slots=True, kw_only=True)
class WallLine:
    """One big line. ``sentences``: the longest first, the first that fits is taken.

    ``notes`` are up to two short lines at the right, ``short_notes`` stand in for them
    beside a long sentence; ``bold`` sets the first one bold.
    """

    sentences: tuple[str, ...]
    notes: tuple[str, ...] = ()
    short_notes: tuple[str, ...] = ()
    sign: Sign | None = None
    bold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LastNight:
    """The lowest temperature of the last night, or of this one so far."""

    low_c: float
    low_at: datetime
    going_on: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WallView:
    """All that the wall says. ``foot`` is a line at the very bottom: what is shelved where the
    verdict does not tell it, and faults of the settings.

    ``last_heard`` is when anything was last heard, of all sensors; None: nothing ever.
    ``shelved`` says which dangers nobody is told of now, None where there are none.
    """

    form: Form
    verdict: WallLine
    second: WallLine
    third: WallLine
    mark_next: bool
    channel: ChannelView | None
    cut: bool
    rail: RailView
    night: bool
    foot: str | None
    last_heard: datetime | None
    spoken: str
    shelved: str | None = None


def wall_view(
    *,
    settings: Settings,
    state: ShedState,
    newest: tuple[Latest, ...],
    channel: ChannelView | None,
    night_low: LastNight | None,
    rail: RailView,
    night: bool,
    tonight: Tonight | None = None,
) -> WallView:
    """Put it in words. ``tonight`` is None where nothing may be said of the coming night."""
    teller = _Teller(settings, state, newest, channel, night_low)
    teller.tonight = tonight
    form, verdict = teller.verdict()
    acts = state.act
    if len(acts) > 1:
        second, third = teller.one_of_many(acts[0]), teller.one_of_many(acts[1])
    elif len(state.watch) > 1 and form is Form.OUTLINE:
        second, third = teller.one_of_many(state.watch[0]), teller.one_of_many(state.watch[1])
    else:
        second, third = teller.second(form), _next_box(rail)
        if state.blind and not acts:
            heard = teller.last_heard()
            plan: tuple[str, ...] = ("plan still good",)
            if heard:
                plan = (f"plan from {clock_time(heard, teller.zone)},", "still good")
            third = WallLine(sentences=("Go and look",), notes=plan)
    shelved = teller.shelved_sentence()
    beside = shelved if form is not Form.PLAIN else None
    return WallView(
        form=form,
        verdict=verdict,
        second=second,
        third=third,
        mark_next=third.sign is None and not (state.blind and not acts),
        channel=channel,
        cut=state.blind or channel is None or channel.latest is None,
        rail=rail,
        night=night,
        foot=_foot(settings, beside),
        last_heard=teller.last_heard(),
        spoken=" ".join(filter(None, (_spoken(verdict, second, third), beside))),
        shelved=shelved,
    )


def _spoken(*lines: WallLine) -> str:
    return ". ".join(", ".join((line.sentences[0], *line.notes)) for line in lines) + "."


def _foot(settings: Settings, shelved: str | None) -> str | None:
    told = [shelved.removesuffix(".")] if shelved else []
    if settings.faults:
        faults = count(len(settings.faults), "fault")
        told.append(f"The settings file has {faults}; the last good one holds")
    return ". ".join(told) or None


def _next_box(rail: RailView) -> WallLine:
    many = many_boxes_sentences(rail)
    if many is not None:
        return WallLine(sentences=many[0], notes=many[1])
    notes = due_notes(rail, rail.next) if rail.next else ()
    return WallLine(sentences=next_box_sentences(rail), notes=notes)


class _Teller:
    """Finds the words; holds what they are found from."""

    def __init__(
        self,
        settings: Settings,
        state: ShedState,
        newest: tuple[Latest, ...],
        channel: ChannelView | None,
        night_low: LastNight | None,
    ) -> None:
        self.tonight: Tonight | None = None
        self.settings = settings
        self.state = state
        self.newest = newest
        self.channel = channel
        self.night_low = night_low
        self.zone: ZoneInfo = settings.site.timezone
        self.names = {place.id: place.name for place in settings.places}
        self.sheds = {place.id for place in settings.places if place.kind.value == "shed"}

    @property
    def clock(self) -> str:
        return clock_time(self.state.now, self.zone)

    def verdict(self) -> tuple[Form, WallLine]:
        state = self.state
        if state.act:
            return Form.BAR, self._alarm_verdict(state.act, "act on", "act now")
        unheard = self._unheard()
        if unheard is not None:
            return Form.PLATE, unheard
        to_watch = self._to_watch()
        if to_watch is not None:
            return Form.OUTLINE, to_watch
        return Form.PLAIN, self._shelved_verdict() if self.state.shelved else self._all_well()

    def _to_watch(self) -> WallLine | None:
        """What is wrong comes before what is beyond, and that before what may come."""
        if self.state.watch:
            return self._alarm_verdict(self.state.watch, "watch", "watch")
        if self.state.beyond:
            return self._beyond_verdict(self.state.beyond[0])
        # What is wrong now and shelved is told in its place: the night has a line of its own.
        cold = None if self.state.shelved else self._cold_ahead()
        return None if cold is None else self._cold_later(cold)

    def _shelved_verdict(self) -> WallLine:
        """Nobody is called, and nothing is well: in words, without a colour."""
        first = self.state.shelved[0]
        number = len(self.state.shelved)
        only_shelved = all(one.suppressed is SuppressionKind.SHELVED for one in self.state.shelved)
        return WallLine(
            sentences=(f"{number} shelved" if only_shelved else "Not all well",),
            notes=(self._place_and_state(first), self._suppressed_until(first)),
            bold=True,
        )

    def shelved_sentence(self) -> str | None:
        """``Shelved until 23:10: Shed too cold. Out of service: Box 2 too hot.``"""
        told = [
            f"{self._suppressed_until(one).capitalize()}: {self._place_and_state(one)}."
            if one.suppressed is SuppressionKind.OUT_OF_SERVICE
            else f"Shelved {self._suppressed_until(one)}: {self._place_and_state(one)}."
            for one in self.state.shelved
        ]
        return " ".join(told) or None

    def _place_and_state(self, alarm: Alarm) -> str:
        state = alarm_words(alarm, self.settings.limits).state
        return f"{self.name(alarm.place)} {state}"

    def _suppressed_until(self, alarm: Alarm) -> str:
        if alarm.suppressed is SuppressionKind.OUT_OF_SERVICE:
            return "out of service"
        until = alarm.suppressed_until
        if until is None:
            return "shelved"
        if until - self.state.now < timedelta(hours=24):
            return f"until {clock_time(until, self.zone)}"
        return f"until {day_short(local_day(until, self.zone))}"

    def _all_well(self) -> WallLine:
        state = self.state
        live = f"{state.live} of {state.sensors} live"
        if state.sensors == 1:
            live = "1 sensor live"
        elif state.live == state.sensors:
            live = f"{state.live} sensors live"
        elif state.in_jar:
            live = f"{state.live} live, {state.in_jar} in jar"
        return WallLine(
            sentences=("All well",), notes=(f"{self.clock}{self._now_value()}", live), bold=True
        )

    def _cold_ahead(self) -> ColdAhead | None:
        """The cold limit that tonight will likely pass; an old outlook tells of none."""
        if self.tonight is None or self.tonight.said.stale(self.state.now):
            return None
        return will_likely_be_cold(self.tonight, self.settings.limits)

    def _cold_later(self, cold: ColdAhead) -> WallLine:
        """Nothing is wrong yet, and there is time to do something."""
        return WallLine(
            sentences=("Cold later",),
            notes=(f"{self.clock}, watch", f"under {self._setpoint(cold.limit)} {cold.words}"),
            short_notes=(self.clock, "watch"),
            sign=Sign.WATCH,
            bold=True,
        )

    def _now_value(self) -> str:
        latest = self.channel.latest if self.channel else None
        return f", {degrees(latest.temperature_c)} now" if latest else ""

    def _alarm_verdict(self, alarms: tuple[Alarm, ...], doing: str, word: str) -> WallLine:
        first = alarms[0]
        words = alarm_words(first, self.settings.limits)
        if len(alarms) > 1:
            return WallLine(
                sentences=(f"{len(alarms)} to {doing}",),
                notes=(self.clock, "worst first"),
                sign=_sign(first, words),
                bold=True,
            )
        sentences: tuple[str, ...] = (words.verdict,)
        if first.place not in self.sheds:
            sentences = (f"{self.name(first.place)} {words.state}", words.verdict)
        return WallLine(
            sentences=sentences,
            notes=(f"{self.clock}, {word}", self._advice(first, words)),
            short_notes=(self.clock, word),
            sign=_sign(first, words),
            bold=True,
        )

    def _beyond_verdict(self, beyond: Beyond) -> WallLine:
        """``Under 5°``: past a limit, and not for long enough to be an alarm."""
        limit = beyond.limit
        upward = words_of(limit).upward
        side = "Under" if limit.low is not None else "Over"
        sentences: tuple[str, ...] = (f"{side} {self._setpoint(limit)}", words_of(limit).verdict)
        if limit.place not in self.sheds:
            sentences = (f"{self.name(limit.place)} {words_of(limit).state}", *sentences)
        return WallLine(
            sentences=sentences,
            notes=(f"{self.clock}, watch", "not for long"),
            short_notes=(self.clock, "watch"),
            sign=Sign.WATCH_UP if upward else Sign.WATCH,
            bold=True,
        )

    def _setpoint(self, limit: Limit) -> str:
        return value_in_words(limit.setpoint, limit.quantity).replace(".0°", "°")

    def _advice(self, alarm: Alarm, words: AlarmWords) -> str:
        if self._gone_silent(alarm):
            return self._heard_note(self.value_of(alarm))
        return words.advice

    def _since(self, alarm: Alarm) -> str:
        """Since when; an alarm that nobody has seen says "new" for its first minutes.

        A time of day is clear for a day; before that the day is what matters.
        """
        word = "new," if self._is_new(alarm) else "since"
        if self.state.now - alarm.raised_at < timedelta(hours=24):
            return f"{word} {clock_time(alarm.raised_at, self.zone)}"
        return f"{word} {day_short(local_day(alarm.raised_at, self.zone))}"

    def _is_new(self, alarm: Alarm) -> bool:
        unseen = alarm.state is AlarmState.UNACKNOWLEDGED
        return unseen and self.state.now - alarm.raised_at < NEW_FOR

    def _gone_silent(self, alarm: Alarm) -> bool:
        limit = limit_of(alarm, self.settings.limits)
        if self.state.trouble is not None:
            return True
        return limit is not None and any(u.limit.id == limit.id for u in self.state.untold)

    def _heard_note(self, value: Latest | None) -> str:
        if value is None:
            return "not heard"
        return f"heard {clock_time(value.measured_at, self.zone)}"

    def _unheard(self) -> WallLine | None:
        """Not knowing, in its several kinds; None where everything is known."""
        state = self.state
        if state.blind:
            why = state.trouble or "nothing heard"
            return self._plate(("NOT LIVE",), (f"now {self.clock}", why))
        if not (state.sensors and state.limits):
            return self._unset()
        if state.silent:
            return self._silent_verdict()
        if state.waiting or state.untold:
            return self._plate(("Cannot tell",), (self.clock, self._live()))
        return self._unset() if state.no_warmth else None

    def _unset(self) -> WallLine:
        if not self.state.sensors:
            return self._plate(("No sensors",), (self.clock,))
        return self._plate(("Not watched",), (self.clock,))

    def _live(self) -> str:
        return f"{self.state.live} of {self.state.sensors} live"

    def _why_unheard(self) -> tuple[str, ...]:
        """In two short lines, why nobody can tell."""
        state = self.state
        if state.blind:
            return self._last("last heard", self.last_heard())
        if not (state.sensors and state.limits):
            missing = "no limits set:" if state.sensors else "none set up:"
            return (missing, "see the phone")
        if state.silent:
            return self._last("last heard", state.silent[0].last)
        if state.waiting:
            return (self.name(state.waiting[0].place), "not heard yet")
        return self._why_untold()

    def _why_untold(self) -> tuple[str, ...]:
        state = self.state
        if not state.untold:
            return (f"{self.name(state.no_warmth[0])}: no limit", "on warmth")
        one = state.untold[0]
        if one.why == IN_THE_JAR:
            return (f"{self.name(one.limit.place)}: sensor", one.why)
        thing = {"relative_humidity": "damp", "temperature": "warmth", "illuminance": "light"}
        told = thing.get(one.limit.quantity.value, one.limit.quantity.value.replace("_", " "))
        return (f"{self.name(one.limit.place)}: {told}", one.why)

    def _last(self, words: str, at: datetime | None) -> tuple[str, str]:
        return (words, moment(at, self.state.now, self.zone) if at else "never")

    def _silent_verdict(self) -> WallLine:
        state = self.state
        rest = "rest well" if state.rest_well and not state.waiting else self.clock
        notes = (rest, self._live())
        number = len(state.silent)
        if number > 1:
            return self._plate((f"{number} silent",), notes)
        name = self.silent_name(state.silent[0])
        short = (self.clock, f"{state.live} of {state.sensors}")
        return replace(self._plate((f"{name} silent", "One silent"), notes), short_notes=short)

    def silent_name(self, silent: Silent) -> str:
        """The place of a silent sensor; its own name where the place has several."""
        place = silent.sensor.place
        alone = sum(1 for s in self.settings.sensors if s.place == place) == 1
        return self.name(place) if alone else silent.sensor.device

    def _plate(self, sentences: tuple[str, ...], notes: tuple[str, ...]) -> WallLine:
        return WallLine(sentences=sentences, notes=notes, sign=Sign.NOT_LIVE, bold=True)

    def name(self, place: str) -> str:
        """What people read for a place; a shed is just that."""
        return (
            "Shed" if place in self.sheds and len(self.sheds) == 1 else self.names.get(place, place)
        )

    def value_of(self, alarm: Alarm) -> Latest | None:
        """The newest reading of the series that an alarm is about."""
        limit = limit_of(alarm, self.settings.limits)
        if limit is None:
            return None
        here = [
            one
            for one in self.newest
            if one.series.place == limit.place and one.series.quantity is limit.quantity
        ]
        return max(here, key=lambda one: one.measured_at, default=None)

    def one_of_many(self, alarm: Alarm) -> WallLine:
        """One of several alarms on a line of its own."""
        limit = limit_of(alarm, self.settings.limits)
        words = alarm_words(alarm, self.settings.limits)
        value = self.value_of(alarm)
        since = self._since(alarm)
        if limit is not None and value is not None:
            since = f"{value_in_words(value.value, limit.quantity)}, {since}"
        return WallLine(
            sentences=(
                f"{self.name(alarm.place)} {words.state}",
                words.verdict,
            ),
            notes=(since, self._advice(alarm, words)),
            sign=_sign(alarm, words),
        )

    def last_heard(self) -> datetime | None:
        """When anything was last heard, of all sensors."""
        times = [one.received_at for one in self.newest]
        if self.state.trouble is not None and self.state.watch_last_at is not None:
            times = [at for at in times if at <= self.state.watch_last_at] or times
        return max(times, default=None)

    def second(self, form: Form) -> WallLine:
        """Below the verdict: the next trouble, or the value in alarm, or the last night."""
        state = self.state
        if state.act:
            unheard = self._unheard()
            return self._smaller(unheard) if unheard else self._value_line(state.act[0])
        if state.blind:
            return self._last_heard_line()
        if state.watch:
            first = state.watch[0]
            return self.one_of_many(first) if form is Form.PLATE else self._value_line(first)
        if form is Form.PLATE:
            return self._night_line(self._why_unheard())
        if state.beyond:
            one = state.beyond[0]
            told = value_in_words(one.value, one.limit.quantity)
            minutes = one.limit.on_delay // timedelta(minutes=1)
            return WallLine(
                sentences=(f"Now {told}",), notes=("alarm after", f"{minutes} min of it")
            )
        return self._calm_line()

    def _smaller(self, unheard: WallLine) -> WallLine:
        return WallLine(sentences=unheard.sentences, notes=self._why_unheard(), sign=Sign.NOT_LIVE)

    def _last_heard_line(self) -> WallLine:
        heard = self.last_heard()
        if heard is None:
            return WallLine(sentences=("Nothing heard yet", "Nothing heard"))
        told = moment(heard, self.state.now, self.zone)
        return WallLine(
            sentences=(f"Last heard {told}", f"Heard {told}", "Heard long ago"),
            notes=() if told == clock_time(heard, self.zone) else (told,),
        )

    def _value_line(self, alarm: Alarm) -> WallLine:
        """``Now 4.2°``, since when, and the limit."""
        limit, value = limit_of(alarm, self.settings.limits), self.value_of(alarm)
        since = self._since(alarm)
        if limit is None or value is None:
            if alarm.place in self.sheds:
                return WallLine(sentences=(since.capitalize(), "See the phone"))
            # The verdict may have had no room for it, and it is where to go.
            name = self.name(alarm.place)
            return WallLine(sentences=(f"{name}, {since}", name))
        told = value_in_words(value.value, limit.quantity)
        word = "Was" if self._gone_silent(alarm) else "Now"
        return WallLine(
            sentences=(f"{word} {told}",), notes=(since, f"limit {self._setpoint(limit)}")
        )

    def _calm_notes(self) -> tuple[str, ...]:
        """What is over and unseen comes before how much there is to spare."""
        if self.state.returned:
            over = self.state.returned[0]
            words = alarm_words(over, self.settings.limits)
            since, until = over.raised_at, over.cleared_at or self.state.now
            # What is no limit has words that do not follow "was": "no power", "wrong clock".
            was = "was" if limit_of(over, self.settings.limits) else "was:"
            ended = local_day(until, self.zone)
            span = f"{clock_time(since, self.zone)} to {clock_time(until, self.zone)}"
            if ended != local_day(self.state.now, self.zone):
                span = f"to {day_short(ended)}, {clock_time(until, self.zone)}"
            return (f"{was} {words.state}", span)
        return self._spare_notes()

    def _spare_notes(self) -> tuple[str, ...]:
        latest = self.channel.latest if self.channel else None
        if self.channel is None or latest is None or latest.spare_c is None:
            return ()
        if latest.closed:
            return (f"too {latest.side}",)
        spare = spare_in_words(latest.spare_c)
        if self.channel.place not in self.sheds:
            spare = f"{self.name(self.channel.place)}: {spare}"
        return (spare, f"to {latest.side}")

    def _calm_line(self) -> WallLine:
        """Tonight, where it may be told; what is over and unseen stands beside it all the same."""
        notes = self._calm_notes()
        if self.tonight is None:
            return self._night_line(notes)
        if self.tonight.said.stale(self.state.now):
            old = stale_notes(self.tonight, self.zone)
            return self._night_line(notes if self.state.returned else old)
        told = tonight_line(self.tonight, self.settings.limits, self.zone)
        return WallLine(
            sentences=told.sentences, notes=notes if self.state.returned else told.notes
        )

    def _night_line(self, notes: tuple[str, ...]) -> WallLine:
        if self.night_low is None:
            return WallLine(sentences=("No night known",), notes=notes)
        low = degrees(self.night_low.low_c)
        if self.night_low.going_on:
            return WallLine(sentences=(f"Tonight {low} so far", f"So far {low}"), notes=notes)
        return WallLine(sentences=(f"Last night {low}",), notes=notes)


def _sign(alarm: Alarm, words: AlarmWords) -> Sign:
    if alarm.priority.value == "high":
        return Sign.ACT_UP if words.upward else Sign.ACT
    return Sign.WATCH_UP if words.upward else Sign.WATCH
