"""Heat and vapour of the birds in the shed. Pure.

Source: Weathers, W. W. and Schoenbaechler, D. C. (1976), Regulation of body temperature in the
budgerygah, Aust. J. Zool. 24, 39-47 (abstract; volume and pages from memory): a resting bird
of 31 g uses 5.65 - 0.127 T ml of oxygen a gram and hour below 29 °C, and not less than 2.55 by
day and 1.96 at night; its body is at 37.7 °C in the cold. One ml of oxygen is 20.1 J (from
memory). A bird that moves about uses more; that is left out.
"""

import numpy as np

from simulated_feeds.day import Minutes

BODY_C = 37.7
_REST_ML = 5.65
_REST_ML_PER_K = 0.127
_DAY_ML = 2.55
_NIGHT_ML = 1.96
_W_PER_ML_H = 20.1 / 3600.0
_DAY_LX = 5.0
REST_W_PER_G = _REST_ML * _W_PER_ML_H
REST_W_PER_G_K = _REST_ML_PER_K * _W_PER_ML_H


def least_w_per_g(light_lx: Minutes) -> Minutes:
    """What a gram of bird gives off where it is warm enough [W/g]: more by day."""
    return np.where(light_lx > _DAY_LX, _DAY_ML, _NIGHT_ML) * _W_PER_ML_H


def heat_w_per_g(temperature_c: float, least: float) -> float:
    """What a gram of resting bird gives off at a temperature [W/g], vapour's share included."""
    return max(least, REST_W_PER_G - REST_W_PER_G_K * temperature_c)


# Chicks in a nest are kept warm: they give off what a grown bird does by day in the warm.
CHICK_W_PER_G = _DAY_ML * _W_PER_ML_H
