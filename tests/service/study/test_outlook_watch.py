"""The watch over the fit, against theory, and the widths of bands."""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from service.climate.outlook.evaluate import Band
from service.climate.outlook.model import FitWatch, Widths
from service.study.outlook_watch import stretched, watched, widened


def _nights_until_noticed(rng: np.random.Generator, shift: float, most: int) -> int:
    watch, evening = FitWatch(), date(2026, 1, 1)
    for night in range(1, most + 1):
        watch = watched(watch, evening + timedelta(days=night), float(rng.normal(shift, 1.0)))
        if watch.noticed_on:
            return night
    return most


def test_false_notices_are_as_rare_as_theory_has_it() -> None:
    # Siegmund (1985), Sequential Analysis, from memory: a one-sided sum with slack k and limit
    # h runs (exp(2 k b) - 2 k b - 1) / (2 k²) nights, b = h + 1.166; two sides half of that.
    b = 6.0 + 1.166
    expected = (math.exp(b) - b - 1.0) / 0.5 / 2.0
    rng = np.random.default_rng(11)
    watch, notices, nights = FitWatch(), 0, 20_000
    evening = date(2026, 1, 1)
    for off in rng.normal(0.0, 1.0, nights).tolist():
        watch = watched(replace(watch, noticed_on=None), evening, off)
        notices += watch.noticed_on is not None
    assert notices == pytest.approx(nights / expected, abs=3.0 * math.sqrt(nights / expected))


@pytest.mark.parametrize("shift", [-1.0, 1.0], ids=["colder", "warmer"])
def test_a_change_of_one_standard_deviation_is_noticed_in_about_twelve_nights(
    shift: float,
) -> None:
    # The same formula: (exp(-b) + b - 1) / 0.5 = 12.3 nights.
    rng = np.random.default_rng(5)
    runs = [_nights_until_noticed(rng, shift, 200) for _ in range(60)]
    assert float(np.mean(runs)) == pytest.approx(12.3, abs=2.0)


def test_since_when_it_changed_is_when_the_sum_began_to_rise() -> None:
    watch, evening = FitWatch(), date(2026, 1, 1)
    for night, off in enumerate([0.0] * 10 + [-2.5] * 4):
        watch = watched(watch, evening + timedelta(days=night), off)
    assert watch.changed_since == evening + timedelta(days=10)
    assert watch.noticed_on == evening + timedelta(days=13)


def test_a_band_that_misses_becomes_wider_on_that_side_only() -> None:
    band = Band(p10=3.0, p50=5.0, p90=6.0)
    assert stretched(Widths(), band, 2.0) == Widths(below=0.05 * 0.9, above=-0.05 * 0.1)


def test_widths_settle_where_one_night_in_ten_lies_outside_each_end() -> None:
    rng = np.random.default_rng(2)
    widths, below, above = Widths(), [], []
    for low in rng.normal(size=3_000).tolist():
        band = Band(p10=-0.9 * math.exp(widths.below), p50=0.0, p90=2.0 * math.exp(widths.above))
        below.append(low < band.p10)
        above.append(low > band.p90)
        widths = stretched(widths, band, low)
    assert np.mean(below[500:]) == pytest.approx(0.1, abs=0.01)
    assert np.mean(above[500:]) == pytest.approx(0.1, abs=0.01)


def test_widths_stay_within_their_bounds() -> None:
    widths = Widths()
    for _ in range(100):
        widths = stretched(widths, Band(p10=3.0, p50=5.0, p90=6.0), -10.0)
    assert widths.below == 0.7
    assert widths.above == pytest.approx(-0.5)


def test_a_changed_shed_has_wider_bands_at_once() -> None:
    assert widened(Widths(below=0.5, above=-0.2)) == Widths(below=0.5, above=0.3)
