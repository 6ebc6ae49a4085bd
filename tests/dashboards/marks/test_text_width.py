"""Words are measured in the font that is served."""

import pytest

from dashboards.marks.text_width import cut_to, fits, font_file, text_width


def test_a_width_grows_with_the_size() -> None:
    assert text_width("All well", 154) == pytest.approx(2 * text_width("All well", 77))


def test_bold_words_are_wider() -> None:
    assert text_width("All well", 154, bold=True) > text_width("All well", 154)


def test_a_letter_that_the_font_lacks_is_counted_as_a_whole_em() -> None:
    assert text_width("鳥", 100) == pytest.approx(100.0)


def test_what_is_cut_fits_and_says_that_it_was_cut() -> None:
    cut = cut_to("The very long name of a box", 200, 41)
    assert fits(cut, 200, 41)
    assert cut.endswith("…")


def test_the_fonts_are_those_of_the_installed_package() -> None:
    assert font_file("AtkinsonHyperlegible-Bold.ttf").read_bytes()[:4] == b"\x00\x01\x00\x00"
