"""Names as they are kept; the proof of a known browser; how long sessions last."""

from datetime import UTC, datetime, timedelta

import pytest

from service.errors import InputError
from service.people.known_browser import proof, proven
from service.people.names import person_name, same_name
from service.people.session_times import ends_at, is_fresh, is_to_be_noted

NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("told", "kept"),
    [("  Mara   Hazel ", "Mara Hazel"), ("Jo\u0308rg", "J\u00f6rg"), ("<b>", "<b>")],
)
def test_a_name_is_kept_as_people_write_it(told: str, kept: str) -> None:
    assert person_name(told) == kept


@pytest.mark.parametrize("told", ["", "   ", "x" * 41, "Ma\u202era", "a\x00b", "Mara\u200b"])
def test_what_is_no_name_is_refused(told: str) -> None:
    with pytest.raises(InputError):
        person_name(told)


def test_two_names_differ_by_more_than_the_size_of_letters() -> None:
    assert same_name("Mara", "mARA")
    assert same_name("STRASSE", "stra\u00dfe")
    assert not same_name("Mara", "Mora")


def test_a_proof_holds_for_its_person_and_password_alone() -> None:
    made = proof("hash of Mara")
    assert proven(made, "hash of Mara") == made.partition(".")[0]
    assert proven(made, "hash of Jo") is None
    assert proven(made, "new hash of Mara") is None
    assert proven(made, None) is None
    assert proof("hash of Mara") != made


@pytest.mark.parametrize("told", ["", ".", "a.", ".b", "a.b", "\u00fc.\u00fc", "x" * 500])
def test_an_invented_proof_proves_nothing(told: str) -> None:
    assert proven(told, "hash of Mara") is None


def test_a_session_lasts_thirty_days_from_its_last_use_and_ninety_in_all() -> None:
    assert ends_at(NOW, NOW) == NOW + timedelta(days=30)
    assert ends_at(NOW, NOW + timedelta(days=20)) == NOW + timedelta(days=50)
    assert ends_at(NOW, NOW + timedelta(days=80)) == NOW + timedelta(days=90)


def test_use_is_noted_at_most_once_an_hour() -> None:
    assert not is_to_be_noted(NOW, NOW + timedelta(minutes=59))
    assert is_to_be_noted(NOW, NOW + timedelta(hours=1))
    assert is_to_be_noted(NOW, NOW - timedelta(hours=2))


def test_a_sign_in_is_fresh_for_a_quarter_of_an_hour_and_never_from_the_future() -> None:
    assert is_fresh(NOW, NOW + timedelta(minutes=15))
    assert not is_fresh(NOW, NOW + timedelta(minutes=15, seconds=1))
    assert not is_fresh(NOW, NOW - timedelta(seconds=1))
