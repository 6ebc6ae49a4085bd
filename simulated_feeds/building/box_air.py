"""The air in nest boxes: warmer and damper than the shed's when warmed from within. Pure."""

import numpy as np

from simulated_feeds.building.birds import BODY_C
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.day import BoxAir, Minutes
from simulated_feeds.moist_air import saturation_pa

# What is more condenses on the box's walls.
_MOST_HUMIDITY = 0.985


def followed(share: Minutes, before: float, follows_min: float) -> Minutes:
    """How warm a box really is: the share of warming, late by ``follows_min``.

    Args:
        share: of the nest, minute by minute, 0 to 1.
        before: how warm the box was a minute before the first.
        follows_min: after so many minutes it has made up for 63 % of a change.
    """
    gain = 1.0 - np.exp(-1.0 / follows_min)
    warm, found = before, []
    for target in share.tolist():
        warm += (target - warm) * gain
        found.append(warm)
    return np.array(found)


def box_air(
    parameters: BuildingParameters, warm: Minutes, shed_c: Minutes, shed_pa: Minutes
) -> BoxAir:
    """Air of a box that is as warm as ``warm`` (0 to 1) in the air of the shed."""
    toward_body = parameters.box_warm_share * np.maximum(0.0, BODY_C - shed_c)
    temperature = shed_c + warm * toward_body
    saturated = saturation_pa(temperature)
    vapour = np.minimum(shed_pa + warm * parameters.box_vapour_pa, _MOST_HUMIDITY * saturated)
    return BoxAir(temperature_c=temperature, vapour_pa=np.maximum(vapour, 0.0))
