"""One limit on its page: its terms, what is usual and why, and what it would have said. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from dashboards.marks.limit_month import Led, month_picture
from dashboards.views.limit_form import (
    Choices,
    LimitForm,
    Subject,
    bounds_of,
    choices_of,
    limit_form,
    subject_of,
)
from dashboards.views.limit_words import (
    PRIORITY_WORDS,
    exact_value,
    limit_sentence,
    spells_in_words,
    times_in_words,
)
from dashboards.views.limits_view import built_in_limits_of
from dashboards.views.quantity_words import quantity_words
from devices.reading import Quantity
from service.alarms.wording import verdict_words
from service.answers.limit_what_if import DayRange
from service.rules.limit import Limit
from service.rules.limit_rationales import rationale_of_limit
from service.rules.rationale import Rationale
from service.settings.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """What a limit would have said over the last month; ``title`` says in which terms."""

    title: str
    told: tuple[str, ...]
    spells: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthLed:
    """A limit in one or more terms over the last month, in words and as a picture."""

    reckoned: tuple[Reckoned, ...] = ()
    picture: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """The form of a limit with what it is on; ``allowed`` are the bounds of its setpoint."""

    title: str
    what: str
    unit: str
    allowed: str
    subject: Subject
    form: LimitForm
    choices: Choices
    rationale: Rationale
    measured: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitView:
    """``id`` is None for a limit that is not made yet. ``sentence`` says what holds now, ``usual``
    what is built in, None for one of the keeper's own. ``is_last``: without it nothing is watched.
    ``out_of_service`` says why it is and since when.
    """

    terms: Terms
    month: MonthLed = MonthLed()
    id: str | None = None
    sentence: str | None = None
    usual: str | None = None
    in_file: bool = False
    is_off: bool = False
    is_changed: bool = False
    is_last: bool = False
    out_of_service: str | None = None


def limit_view(
    limit: Limit,
    settings: Settings,
    *,
    form: LimitForm | None,
    measured: bool,
    month: MonthLed,
    out_of_service: str | None,
) -> LimitView:
    """A limit that is there. ``form`` is what was typed, None as it is first shown."""
    usual = built_in_limits_of(settings).get(limit.id)
    is_off = any(one.id == limit.id for one in settings.limits_off)
    holding = {one.id for one in settings.limits}
    return LimitView(
        terms=terms_of(subject_of(limit), settings, form or limit_form(limit), measured),
        month=month,
        id=limit.id,
        sentence=sentence_of(limit),
        usual=None if usual is None else sentence_of(usual),
        in_file=("limit", limit.id) in settings.fixed,
        is_off=is_off,
        is_changed=usual is not None and (usual != limit or is_off),
        is_last=holding == {limit.id},
        out_of_service=out_of_service,
    )


def terms_of(subject: Subject, settings: Settings, form: LimitForm, measured: bool) -> Terms:
    """``measured``: whether a sensor that stands there tells of it."""
    names = {place.id: place.name for place in settings.places}
    least, most = bounds_of(subject.quantity)
    sample = _sample(subject)
    return Terms(
        title=f"{verdict_words(sample)}, {names.get(subject.place, subject.place)}",
        what=f"{quantity_words(subject.quantity)} {'under' if subject.is_low else 'over'}",
        unit=subject.quantity.unit,
        allowed=f"{exact_value(least, subject.quantity)} to {exact_value(most, subject.quantity)}",
        subject=subject,
        form=form,
        choices=choices_of(form),
        rationale=rationale_of_limit(sample),
        measured=measured,
    )


def sentence_of(limit: Limit) -> str:
    """The terms of a limit, and how urgent it is."""
    return f"{limit_sentence(limit)} Then: {PRIORITY_WORDS[limit.priority]}."


def month_led(led: Sequence[Led], days: Sequence[DayRange], zone: ZoneInfo) -> MonthLed:
    """What each of these terms would have said; the first are those that are asked about."""
    if not led:
        return MonthLed()
    quantity = led[0].limit.quantity
    unit = {Quantity.TEMPERATURE: "°", Quantity.RELATIVE_HUMIDITY: "%"}.get(quantity, "")
    return MonthLed(
        reckoned=tuple(
            Reckoned(
                title=one.name,
                told=times_in_words(one.would, one.limit, zone),
                spells=spells_in_words(one.would, one.limit, zone),
            )
            for one in led
        ),
        picture=month_picture(
            days,
            led,
            zone,
            unit,
            f"Each day's {quantity_words(quantity)} from lowest to highest beside the limit, and "
            "when it would have spoken; the same facts stand in words beside it.",
        ),
    )


def _sample(subject: Subject) -> Limit:
    """Some limit on this, for the words that hang on no number."""
    low, high = (0.0, None) if subject.is_low else (None, 0.0)
    return Limit(id="x", place=subject.place, quantity=subject.quantity, low=low, high=high)
