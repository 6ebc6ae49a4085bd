"""Moist air at 101,325 Pa as PsychroLib 2.5.0 tells it (ASHRAE Handbook - Fundamentals).

Below zero that program means humidity over ice; our sensors tell it over water.
"""

from typing import NamedTuple

from service.climate.frost import over_water_pct


class Row(NamedTuple):
    """°C; % as the program takes it; Pa; Pa; g/m³ by e / (461.52 T); °C."""

    temperature_c: float
    humidity_pct: float
    saturation_pa: float
    vapour_pa: float
    absolute_g_m3: float
    wet_bulb_c: float

    @property
    def over_water_pct(self) -> float:
        if self.temperature_c > 0.0:
            return self.humidity_pct
        return over_water_pct(self.temperature_c, self.humidity_pct)


ROWS = (
    Row(-10.0, 80.0, 259.90, 207.92, 1.7120, -10.648),
    Row(-5.0, 90.0, 401.76, 361.59, 2.9218, -5.4394),
    Row(-2.0, 60.0, 517.72, 310.63, 2.4822, -4.1218),
    Row(0.01, 75.0, 611.66, 458.74, 3.6388, -1.4414),
    Row(2.0, 95.0, 705.95, 670.66, 5.2813, 1.6935),
    Row(5.0, 85.0, 872.49, 741.61, 5.7771, 3.9463),
    Row(10.0, 70.0, 1228.0, 859.60, 6.5779, 7.3988),
    Row(12.0, 90.0, 1402.6, 1262.3, 9.5920, 11.099),
    Row(15.0, 60.0, 1705.4, 1023.3, 7.6945, 10.818),
    Row(18.0, 65.0, 2064.3, 1341.8, 9.9857, 14.029),
    Row(20.0, 50.0, 2338.8, 1169.4, 8.6434, 13.783),
    Row(22.0, 55.0, 2644.8, 1454.6, 10.679, 16.159),
    Row(25.0, 40.0, 3169.2, 1267.7, 9.2127, 16.210),
    Row(25.0, 75.3, 3169.2, 2386.4, 17.343, 21.725),
    Row(30.0, 30.0, 4246.0, 1273.8, 9.1045, 17.972),
    Row(30.0, 80.0, 4246.0, 3396.8, 24.279, 27.091),
    Row(35.0, 20.0, 5627.8, 1125.6, 7.9144, 18.870),
    Row(37.5, 50.0, 6454.2, 3227.1, 22.509, 28.219),
)
