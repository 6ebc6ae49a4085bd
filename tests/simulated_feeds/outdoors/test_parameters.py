"""Impossible weather is refused by name; what is not told follows the latitude."""

import pytest

from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.outdoors.parameters import WeatherParameters


@pytest.mark.parametrize(
    ("name", "value", "allowed"),
    [
        ("latitude", 90.5, "-90 to 90 degrees north"),
        ("longitude", -181.0, "-180 to 180 degrees east"),
        ("mean_c", 60.0, "-30 to 32 °C"),
        ("air_mass_h", 0.0, "6 to 120 h"),
        ("cloud_spread", -0.1, "0 to 2"),
        ("fronts_per_week", 8.0, "0 to 7 a week"),
    ],
)
def test_impossible_weather_is_refused_with_what_is_allowed(
    name: str, value: float, allowed: str
) -> None:
    with pytest.raises(ImpossibleParameterError) as refused:
        WeatherParameters(**{name: value})
    assert str(refused.value) == f"{name} is {value}; allowed is {allowed}"


def test_mean_and_swing_follow_the_latitude_unless_told() -> None:
    assert WeatherParameters(latitude=0.0).yearly_mean_c == 27.0
    assert WeatherParameters(latitude=0.0).yearly_swing_k == 0.0
    told = WeatherParameters(latitude=0.0, mean_c=5.0, swing_k=3.0)
    assert (told.yearly_mean_c, told.yearly_swing_k) == (5.0, 3.0)
