"""Impossible sheds are refused by name, with what is allowed."""

import pytest

from simulated_feeds.building.parameters import CORNER_SHARE, BuildingParameters
from simulated_feeds.impossible import ImpossibleParameterError


@pytest.mark.parametrize(
    ("changes", "parameter", "allowed"),
    [
        ({"volume_m3": 0.0}, "volume_m3", "1 to 5000 m³"),
        ({"mass_to_outdoors_w_per_k": 0.0}, "mass_to_outdoors_w_per_k", "1 to 10000 W/K"),
        ({"birds": -1}, "birds", "0 to 2000"),
        ({"heater_w": float("nan")}, "heater_w", "0 to 20000 W"),
        ({"heater_off_c": 10.0}, "heater_off_c", r"more than heater_on_c \(10\)"),
        ({"vent_open_c": 15.0}, "vent_open_c", r"more than vent_opens_c \(16\)"),
        ({"wood_g": 20.0}, "wood_g", "0, or at least 37.5 g"),
    ],
)
def test_impossible_shed_is_refused(
    changes: dict[str, float], parameter: str, allowed: str
) -> None:
    with pytest.raises(ImpossibleParameterError, match=allowed) as refused:
        BuildingParameters(**changes)  # type: ignore[arg-type]
    assert refused.value.parameter == parameter


def test_shed_without_a_window_is_coldest_in_a_corner() -> None:
    walls = BuildingParameters(window_m2=0.0)
    assert walls.surface_share == CORNER_SHARE
    assert walls.surface_m2 > 0.0


def test_pane_of_single_glass_is_three_quarters_of_the_way_to_the_outdoors() -> None:
    # EN ISO 6946 (from memory): 0.13 m²K/W inside; glass itself hardly resists.
    assert BuildingParameters().surface_share == pytest.approx(5.7 * 0.13)
