"""A scale's instrument does what its parameters claim."""

from datetime import timedelta

import numpy as np
import pytest

from simulated_feeds.day import Handling, Minutes
from simulated_feeds.scales.instrument import GLITCHES, Counts, Instrument
from simulated_feeds.scales.parameters import LEAST_COUNT, MOST_COUNT, ScaleParameters
from tests.simulated_feeds.hand_made_days import START, even

EACH_SECOND = np.arange(86_400.0)
QUIET = ScaleParameters(
    noise_g=0.0, drift_g_per_10k=0.0, creep_share=0.0, glitch_share=0.0, gain_error_share=0.0
)


def changed(**parameters: float) -> ScaleParameters:
    known = {name: getattr(QUIET, name) for name in QUIET.__dataclass_fields__}
    return ScaleParameters(**(known | parameters))


def weighed(
    parameters: ScaleParameters, load_g: Minutes, around_c: float = 20.0
) -> tuple[Minutes, Counts]:
    instrument = Instrument(parameters, "scale-1", seed=3)
    counts = instrument.counts(START, EACH_SECOND, load_g, even(around_c))
    return instrument.grams(START, EACH_SECOND, counts), counts


def test_quiet_scale_tells_the_load_to_half_a_count() -> None:
    load = np.linspace(0.0, 300.0, len(EACH_SECOND))
    grams, _ = weighed(QUIET, load)
    assert grams == pytest.approx(load, abs=1.0 / QUIET.counts_per_g)


def test_counts_are_whole_numbers_of_24_bits() -> None:
    load = np.linspace(-20_000.0, 20_000.0, len(EACH_SECOND))
    _, counts = weighed(changed(noise_g=0.5), load)
    assert counts.dtype == np.int64
    # Data sheet of such a converter: it saturates at 800000h and 7FFFFFh, two's complement.
    assert (counts.min(), counts.max()) == (-8_388_608, 8_388_607)
    assert (LEAST_COUNT, MOST_COUNT) == (-8_388_608, 8_388_607)


def test_counts_of_a_bar_for_one_kilogram_are_those_of_its_data_sheet() -> None:
    # 1 mV/V at 5 V and full scale ±20 mV: 2 097 152 counts for 1 kg.
    _, counts = weighed(changed(counts_per_g=2097.152), np.where(EACH_SECOND < 100, 0.0, 1000.0))
    assert counts[-1] - counts[0] == pytest.approx(2_097_152, abs=1)


@pytest.mark.parametrize("noise_g", [0.05, 0.1, 0.2])
def test_noise_has_the_standard_deviation_that_is_claimed(noise_g: float) -> None:
    grams, _ = weighed(changed(noise_g=noise_g), np.zeros(len(EACH_SECOND)))
    # A standard deviation from n draws is itself uncertain by 1 / sqrt(2 n): 0.24 % here.
    assert grams.std() == pytest.approx(noise_g, rel=0.012)
    assert abs(grams.mean()) < 5 * noise_g / len(grams) ** 0.5 + 0.001


@pytest.mark.parametrize("drift", [0.5, 1.0, -0.7])
def test_ten_degrees_move_it_by_its_drift(drift: float) -> None:
    cold, _ = weighed(changed(drift_g_per_10k=drift), np.zeros(len(EACH_SECOND)), 8.0)
    warm, _ = weighed(changed(drift_g_per_10k=drift), np.zeros(len(EACH_SECOND)), 18.0)
    assert (warm - cold).mean() == pytest.approx(drift, abs=0.002)


def test_cell_takes_its_time_to_warm() -> None:
    instrument = Instrument(changed(drift_g_per_10k=1.0, cell_lag_min=20.0), "scale-1", seed=3)
    warmed = even(20.0)
    warmed[1:] = 30.0
    counts = instrument.counts(START, EACH_SECOND, np.zeros(len(EACH_SECOND)), warmed)
    grams = instrument.grams(START, EACH_SECOND, counts)
    # 20 minutes after the middle of a minute's rise: 1 - 1/e of 1 g.
    assert grams[30 + 1200] == pytest.approx(1.0 - np.exp(-1.0), abs=0.002)


def test_creep_comes_with_its_time_constant() -> None:
    load = np.where(EACH_SECOND < 1000, 0.0, 500.0)
    grams, _ = weighed(changed(creep_share=0.002, creep_min=10.0), load)
    crept = grams[1000:] - 500.0
    since_s = EACH_SECOND[1000:] - 999.0
    assert crept == pytest.approx(1.0 - np.exp(-since_s / 600.0), abs=0.002)


def test_creep_goes_on_over_midnight() -> None:
    instrument = Instrument(changed(creep_share=0.01, creep_min=60.0), "scale-1", seed=3)
    late = np.where(EACH_SECOND < 86_000, 0.0, 500.0)
    told = []
    for day, load in enumerate((late, np.full(len(EACH_SECOND), 500.0))):
        at = START + timedelta(days=day)
        counts = instrument.counts(at, EACH_SECOND, load, even(20.0))
        told.append(instrument.grams(at, EACH_SECOND, counts))
    crept = 5.0 * (1.0 - np.exp(-(400.0 + 1.0) / 3600.0))
    assert told[1][0] - 500.0 == pytest.approx(crept, abs=0.003)


def test_usual_creep_is_that_of_a_cheap_bar() -> None:
    # Cheap bars: 0.05 to 0.1 % in 30 minutes (common practice, no source).
    usual = ScaleParameters()
    load = np.where(EACH_SECOND < 1000, 0.0, 1000.0)
    grams, _ = weighed(changed(creep_share=usual.creep_share, creep_min=usual.creep_min), load)
    assert 0.0005 <= (grams[1000 + 1800] - 1000.0) / 1000.0 <= 0.001


def test_share_of_glitches_is_as_claimed_and_all_are_a_power_of_two_less_one() -> None:
    load = np.full(len(EACH_SECOND), 100.0)
    _, counts = weighed(changed(glitch_share=0.03), load)
    struck = counts != np.median(counts)
    n, share = len(counts), 0.03
    # Five standard errors of a share of n independent samples.
    assert struck.mean() == pytest.approx(share, abs=5 * (share * (1 - share) / n) ** 0.5)
    values = {int(value) for value in counts[struck]}
    assert values == {int(value) for value in GLITCHES}
    # (2**n - 1) + 1 has a single bit set.
    assert all((value + 1).bit_count() == 1 for value in values)
    assert 8_388_607 in values
    assert 4_194_303 in values


def test_share_of_glitches_may_differ_from_sample_to_sample() -> None:
    instrument = Instrument(QUIET, "scale-1", seed=3)
    share = np.where(EACH_SECOND < 43_200, 0.0, 0.05)
    load = np.zeros(len(EACH_SECOND))
    counts = instrument.counts(START, EACH_SECOND, load, even(20.0), glitch_share=share)
    struck = counts != np.median(counts)
    assert not struck[:43_200].any()
    assert struck[43_200:].mean() == pytest.approx(0.05, abs=0.006)


def test_gain_is_off_by_no_more_than_its_error_and_differs_between_scales() -> None:
    parameters = changed(gain_error_share=0.01)
    gains = [Instrument(parameters, f"scale-{n}", seed=3).gain for n in range(50)]
    assert all(0.99 <= gain <= 1.01 for gain in gains)
    assert np.ptp(gains) > 0.01


def test_stirring_bird_shakes_it() -> None:
    instrument = Instrument(changed(noise_g=0.1, stir_g=0.4), "scale-1", seed=3)
    stirred = EACH_SECOND < 43_200
    counts = instrument.counts(
        START, EACH_SECOND, np.zeros(len(EACH_SECOND)), even(20.0), stirred=stirred
    )
    grams = instrument.grams(START, EACH_SECOND, counts)
    assert grams[stirred].std() == pytest.approx((0.1**2 + 0.4**2) ** 0.5, rel=0.02)
    assert grams[~stirred].std() == pytest.approx(0.1, rel=0.02)


def test_scale_set_to_zero_by_the_keeper_stays_so() -> None:
    handled = Handling(since=START + timedelta(hours=9), until=START + timedelta(hours=9.01))
    instrument = Instrument(changed(retare_share=1.0), "scale-1", seed=3)
    load = np.full(len(EACH_SECOND), 130.0)
    told = []
    for day in range(2):
        at = START + timedelta(days=day)
        counts = instrument.counts(at, EACH_SECOND, load, even(20.0))
        told.append(instrument.grams(at, EACH_SECOND, counts, (handled,) if day == 0 else ()))
    assert told[0][0] == pytest.approx(130.0, abs=0.01)
    assert told[0][-1] == pytest.approx(0.0, abs=0.01)
    assert told[1] == pytest.approx(0.0, abs=0.01)


def test_scale_is_left_alone_where_nobody_sets_it_to_zero() -> None:
    handled = Handling(since=START + timedelta(hours=9), until=START + timedelta(hours=9.01))
    instrument = Instrument(changed(retare_share=0.0), "scale-1", seed=3)
    load = np.full(len(EACH_SECOND), 130.0)
    counts = instrument.counts(START, EACH_SECOND, load, even(20.0))
    assert instrument.grams(START, EACH_SECOND, counts, (handled,))[-1] == pytest.approx(
        130.0, abs=0.01
    )
