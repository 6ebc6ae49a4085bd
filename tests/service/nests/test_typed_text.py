"""What may stand in rings, names, notes and reasons. Signs by their Unicode general category."""

import pytest

from service.nests.typed_text import note_fault, text_fault, whole_of


@pytest.mark.parametrize("ring", ["HZ-26-021", "Ångström 7", "<b>", "=1+1", "环 7"])
def test_a_ring_may_hold_whatever_can_be_seen(ring: str) -> None:
    assert text_fault(ring, 40) is None


@pytest.mark.parametrize("sign", ["\0", "\r", "\n", "\x1b", "\u202e", "\u200b", "\u2028", "\ufeff"])
def test_a_ring_holds_no_sign_that_cant_be_seen(sign: str) -> None:
    assert text_fault(f"HZ{sign}1", 40) == "there is a sign in it that can't be seen; type it anew"


def test_a_note_may_have_lines_and_signs_put_together() -> None:
    assert note_fault("she sits\r\n\twell \U0001f469\u200d\U0001f33e", 100) is None


@pytest.mark.parametrize("sign", ["\0", "\x1b", "\x7f", "\x85", "\x0b"])
def test_a_note_holds_no_control_characters(sign: str) -> None:
    assert note_fault(f"she{sign}sits", 100) is not None


def test_what_is_too_long_is_told_with_both_numbers_and_not_cut() -> None:
    assert text_fault("x" * 41, 40) == "41 letters are too many; at most 40"
    assert note_fault("x" * 501, 500) == "501 letters are too many; at most 500"
    assert text_fault("x" * 40, 40) is None


@pytest.mark.parametrize(
    ("told", "number"),
    [("17", 17), ("0", 0), ("", None), ("-1", None), ("1.5", None), ("²", None), ("9" * 19, None)],
)
def test_a_whole_number_is_told_in_digits_that_the_records_can_hold(
    told: str, number: int | None
) -> None:
    assert whole_of(told) == number
