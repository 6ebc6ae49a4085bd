"""Scales that cannot be."""

import pytest

from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.scales.parameters import ScaleParameters


def test_negative_noise_is_refused_by_name_value_and_range() -> None:
    with pytest.raises(ImpossibleParameterError, match=r"noise_g is -1\.0; allowed is 0 to 10 g"):
        ScaleParameters(noise_g=-1.0)


def test_zero_effects_are_allowed() -> None:
    nothing = ScaleParameters(noise_g=0.0, creep_share=0.0, glitch_share=0.0, stir_g=0.0)
    assert nothing.noise_g == 0.0
