"""Times as senders write them."""

from datetime import UTC, datetime

import pytest

from devices.formats.sent_time import read_time

# RFC 3339, section 5.8: the examples; their seconds since 1970 worked out with GNU date.
RFC_3339_EXAMPLES = [
    ("1985-04-12T23:20:50.52Z", 482196050.52),
    ("1996-12-19T16:39:57-08:00", 851042397.0),
    ("1996-12-20T00:39:57Z", 851042397.0),
    ("1937-01-01T12:00:27.87+00:20", -1041337172.13),
    # Leap seconds: the moment after 23:59:59.
    ("1990-12-31T23:59:60Z", 662688000.0),
    ("1990-12-31T15:59:60-08:00", 662688000.0),
]


@pytest.mark.parametrize(("text", "seconds"), RFC_3339_EXAMPLES)
def test_the_examples_of_rfc_3339_are_read(text: str, seconds: float) -> None:
    assert read_time(text).timestamp() == pytest.approx(seconds, abs=1e-6)


@pytest.mark.parametrize("text", ["1985-04-12t23:20:50z", "1985-04-12 23:20:50Z"])
def test_small_letters_and_a_space_are_read(text: str) -> None:
    assert read_time(text) == datetime(1985, 4, 12, 23, 20, 50, tzinfo=UTC)


def test_seconds_and_milliseconds_are_told_apart_by_their_size() -> None:
    assert read_time(1772398800) == read_time(1772398800000) == datetime(2026, 3, 1, 21, tzinfo=UTC)
    assert read_time(1772398800.5).microsecond == 500_000


@pytest.mark.parametrize(
    "sent",
    [
        "2026-03-01T21:00:00",
        "2026-03-01",
        "2026-W09-7T21:00:00Z",
        "20260301T210000Z",
        "2026-13-01T21:00:00Z",
        "2026-03-01T24:00:00Z",
        "2026-03-01T21:00:61Z",
        "2026-03-01T21:00:00+99:00",
        "0000-01-01T00:00:00Z",
        "9999-12-31T23:59:60Z",
        "٢٠٢٦-03-01T21:00:00Z",
        "1772398800",
        "",
        0,
        -1772398800,
        86_400,
        1e300,
        float("nan"),
        float("inf"),
        10**400,
        True,
        None,
        [],
        {},
    ],
)
def test_anything_else_is_refused_in_words(sent: object) -> None:
    with pytest.raises(ValueError, match="is no time") as refused:
        read_time(sent)
    assert len(str(refused.value)) < 250
