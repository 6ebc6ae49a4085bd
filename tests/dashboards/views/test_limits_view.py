"""The list of limits: where their terms come from, and which dangers nobody is told of."""

from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.views.limit_form import Subject, new_id, read_number
from dashboards.views.limits_view import NOBODY_MEASURES, limits_view
from devices.reading import Quantity
from service.rules.limit import During, Limit, When
from service.settings.in_force import settings_of
from service.settings.settings import Settings
from service.settings.stated import Stated

USUAL = settings_of(Stated(), Path("/data"))
COLD = next(one for one in USUAL.limits if one.id == "shed-cold")


def unwatched(*limits: Limit, out_of_service: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Of cold alone: heat is watched."""
    hot = next(one for one in USUAL.limits if one.id == "shed-hot")
    return limits_view(replace(USUAL, limits=(*limits, hot)), (), out_of_service).unwatched


def test_the_built_in_limits_leave_no_danger_untold() -> None:
    assert limits_view(USUAL, (), ()).unwatched == ()


@pytest.mark.parametrize(
    ("limits", "told"),
    [
        ((), "Nothing tells when it is too cold in Shed."),
        (
            (replace(COLD, when=When.NIGHT),),
            "Nothing tells when it is too cold in Shed by day.",
        ),
        (
            (replace(COLD, during=During.BREEDING),),
            "Nothing tells when it is too cold in Shed while birds rest.",
        ),
        (
            (
                replace(COLD, when=When.NIGHT),
                replace(COLD, id="b", when=When.DAY, during=During.BREEDING),
            ),
            "Nothing tells when it is too cold in Shed by day while birds rest.",
        ),
    ],
)
def test_a_danger_that_no_limit_tells_of_is_named(limits: tuple[Limit, ...], told: str) -> None:
    assert unwatched(*limits) == (told,)


def test_day_and_night_apart_watch_as_well_as_one_limit() -> None:
    day, night = replace(COLD, when=When.DAY), replace(COLD, id="b", when=When.NIGHT)
    assert unwatched(day, night) == ()


def test_a_limit_out_of_service_watches_nothing() -> None:
    assert unwatched(COLD, out_of_service=("shed-cold",)) == (
        "Nothing tells when it is too cold in Shed.",
    )


def test_a_limit_that_no_sensor_can_make_speak_says_so() -> None:
    (place,) = limits_view(USUAL, (), ()).places
    assert {line.note for line in place.lines} == {NOBODY_MEASURES}


def test_without_any_limit_the_list_says_so() -> None:
    none: Settings = replace(USUAL, limits=(), limits_built_in=False)
    assert limits_view(none, (), ()).none_at_all


def test_a_new_limit_gets_a_name_of_its_own() -> None:
    subject = Subject(place="a" * 32, quantity=Quantity.RELATIVE_HUMIDITY, is_low=True)
    first = new_id(subject, [])
    assert len(new_id(subject, [first])) <= 32
    assert new_id(subject, [first]) != first


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("5", (5.0, "")),
        ("-2,5", (-2.5, "")),
        ("\N{MINUS SIGN}2.5 °C", (-2.5, "°C")),
        ("41°F", (41.0, "°F")),
        ("", None),
        ("cold", None),
        ("1e9", (1.0, "e9")),
    ],
)
def test_a_number_is_read_as_people_write_it(text: str, read: object) -> None:
    assert read_number(text) == read
