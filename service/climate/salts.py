"""The humidity of the air above a saturated solution of a salt. Pure.

Closed in with air, a wet salt holds the relative humidity at a value that depends on the
temperature alone: the keeper's way to a reference.

Source: L. Greenspan (1977), Humidity fixed points of binary saturated aqueous solutions,
J. Res. Natl. Bur. Stand. 81A, 89-96. Its fits RH = a0 + a1 t + a2 t2 + a3 t3 as two public
programs that cite it give them; the paper's own tables were not seen. Salts whose fit and
table disagree (lithium chloride by 0.4 %), or that one program alone knows, are left out.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

RANGE_C = (0.0, 50.0)
"""Where the fits are used. A shed's calibration is made between 10 and 30 degrees."""


class Salt(StrEnum):
    """The salts that are offered: two that span a shed's humidities, and one beyond them."""

    SODIUM_CHLORIDE = "sodium chloride"
    MAGNESIUM_CHLORIDE = "magnesium chloride"
    POTASSIUM_CHLORIDE = "potassium chloride"


_FITS: Mapping[Salt, tuple[float, float, float, float]] = MappingProxyType(
    {
        Salt.SODIUM_CHLORIDE: (75.5164, 0.0398321, -2.65459e-3, 2.848e-5),
        Salt.MAGNESIUM_CHLORIDE: (33.6686, -0.00797397, -1.08988e-3, 0.0),
        Salt.POTASSIUM_CHLORIDE: (88.6190, -0.193340, 8.99706e-4, 0.0),
    }
)


def humidity_above(salt: Salt, temperature_c: float) -> float:
    """Relative humidity [%] over liquid water of the air above a saturated salt.

    Args:
        salt: which one, with solid salt still in the solution.
        temperature_c: of the salt and the air, alike [°C], from 0 to 50.

    Raises:
        ValueError: the temperature is outside the range, or no number.

    Source: Greenspan (1977), see above.
    """
    low, high = RANGE_C
    if not low <= temperature_c <= high:
        raise ValueError(f"{temperature_c} °C is outside {low:g} to {high:g} °C")
    a0, a1, a2, a3 = _FITS[salt]
    t = temperature_c
    return a0 + t * (a1 + t * (a2 + t * a3))
