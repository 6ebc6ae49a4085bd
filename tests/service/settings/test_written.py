"""Single values: what is read and what is refused."""

from datetime import timedelta

import pytest

from service.settings.written import duration, json_pointer, topic_filter

# MQTT 5.0, section 4.7.1: these examples stand there as valid and as not valid.
VALID_FILTERS = [
    *("sport/tennis/player1/#", "sport/#", "#", "sport/tennis/#", "+", "+/tennis/#"),
    *("sport/+/player1", "sport/tennis/+", "/+", "+/+", "/finance"),
]
INVALID_FILTERS = ["sport/tennis#", "sport/tennis/#/ranking", "sport+"]

# RFC 6901, section 5: the pointers of the example document.
POINTERS = [
    "",
    "/foo",
    "/foo/0",
    "/",
    "/a~1b",
    "/c%d",
    "/e^f",
    "/g|h",
    "/i\\j",
    '/k"l',
    "/ ",
    "/m~0n",
]


@pytest.mark.parametrize("text", VALID_FILTERS)
def test_topic_filter_takes_what_the_standard_calls_valid(text: str) -> None:
    assert topic_filter(text) == text


@pytest.mark.parametrize("text", [*INVALID_FILTERS, "", "a\0b", "a" * 65_536, "$share/g/a"])
def test_topic_filter_refuses_what_the_standard_calls_invalid(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - the words are those of the tables
        topic_filter(text)


@pytest.mark.parametrize("text", POINTERS)
def test_json_pointer_takes_the_examples_of_its_rfc(text: str) -> None:
    assert json_pointer(text) == text


# RFC 6901, section 3: a pointer begins with "/", and "~" is followed by 0 or 1.
@pytest.mark.parametrize("text", ["foo", "/a~", "/a~2"])
def test_json_pointer_refuses_what_its_grammar_does_not_allow(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - the words are those of the tables
        json_pointer(text)


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("60 s", timedelta(seconds=60)),
        ("10 min", timedelta(minutes=10)),
        ("2 h", timedelta(hours=2)),
        ("400 d", timedelta(days=400)),
        ("1.5 h", timedelta(minutes=90)),
        ("60s", timedelta(minutes=1)),
    ],
)
def test_duration_is_a_number_and_a_unit(text: str, length: timedelta) -> None:
    assert duration(text) == length


@pytest.mark.parametrize("value", ["", "s", "10", "10 m", "-1 s", "1 s ", "1e3 s", "٣ s", 60, None])
def test_duration_refuses_anything_else(value: object) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - the words are those of the tables
        duration(value)
