"""Times that are typed: what is no time is refused in words, whatever it is."""

from datetime import UTC, datetime

import pytest

from service.commands.moments import moment
from service.errors import InputError


def test_a_time_with_its_offset_is_that_instant() -> None:
    assert moment("2026-03-01t22:00:00+01:00", "--from") == datetime(2026, 3, 1, 21, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "tonight",
        "2026-03-01T21:00:00",
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:00:00-05:00",
    ],
)
def test_what_is_no_time_is_named_with_its_option(text: str) -> None:
    with pytest.raises(InputError, match=r"^--from: .* is no RFC 3339 time"):
        moment(text, "--from")
