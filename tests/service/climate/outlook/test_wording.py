"""How an outlook is said."""

import pytest

from service.climate.outlook.evaluate import Band
from service.climate.outlook.outlook import Why
from service.climate.outlook.wording import (
    chance_in_words,
    told_band_c,
    told_median_c,
    why_in_words,
)


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.005, "very unlikely"),
        (0.05, "unlikely"),
        (0.2, "possible"),
        (0.5, "likely"),
        (0.8, "very likely"),
        (0.95, "almost certain"),
    ],
)
def test_a_chance_is_put_into_words(chance: float, words: str) -> None:
    assert chance_in_words(chance) == words


def test_temperatures_are_told_no_finer_than_they_are_known() -> None:
    band = Band(p10=-0.2, p50=2.26, p90=4.1)
    assert told_median_c(band) == 2.5
    assert told_band_c(band) == (-1, 5)


def test_a_low_is_not_told_above_what_was_lowest_so_far() -> None:
    band = Band(p10=11.2, p50=12.33, p90=12.33)
    assert told_median_c(band) == 12.5
    assert told_median_c(band, 12.33) == 12.0


@pytest.mark.parametrize("why", list(Why))
def test_every_reason_has_its_words(why: Why) -> None:
    assert why_in_words(why)
