"""What the weather of a place is like: numbers with units, ranges and origins. Pure.

The preset values are those of the maritime north-west of Europe at 53 degrees north. Where they
come from is said beside each; "fitted" means: moved by hand until means, daily ranges and
changes from hour to hour looked like climate normals as known there (from memory: 30-year
means of the Netherlands: January 3.6 °C, July 18.3 °C, relative humidity 82 %, wind 3 to 4 m/s,
sun 1,050 kWh/m² a year). The two other places are fitted to the typical-year files that
``simulated_feeds.outdoors.typical_year`` reads.
"""

from dataclasses import dataclass

from simulated_feeds.impossible import allowed, refuse_impossible


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherParameters:
    """Of one place, for all years.

    ``mean_c`` and ``swing_k`` left at None follow the latitude, as ``mean_of_latitude_c`` and
    ``swing_of_latitude_k`` tell. "Winter" and "summer" values hold at the coldest and the
    warmest time of the year, and between them run as the season does.
    """

    latitude: float = allowed(-90.0, 90.0, "degrees north", default=53.2)
    longitude: float = allowed(-180.0, 180.0, "degrees east", default=6.6)
    # Mean of the year, and how much the warmest month is above it.
    mean_c: float | None = allowed(-30.0, 32.0, "°C", default=None)
    swing_k: float | None = allowed(0.0, 30.0, "K", default=None)
    # From the shortest day to the coldest: a month, by any table of monthly means.
    season_lag_d: float = allowed(0.0, 80.0, "days", default=30.0)
    # Air masses: standard deviation, and time in which their memory falls to 1/e. Fitted.
    air_mass_winter_k: float = allowed(0.0, 12.0, "K", default=3.4)
    air_mass_summer_k: float = allowed(0.0, 12.0, "K", default=2.6)
    air_mass_h: float = allowed(6.0, 120.0, "h", default=62.0)
    # Fronts: how many a week, and how much colder behind one. Fitted.
    fronts_per_week: float = allowed(0.0, 7.0, "a week", default=2.2)
    front_k: float = allowed(0.0, 10.0, "K", default=2.5)
    # Sun and clear sky: warming at 1,000 W/m² and cooling under a clear calm sky, both of air
    # that had days to settle, and the time within which it follows. Fitted.
    sun_warms_k: float = allowed(0.0, 60.0, "K", default=19.0)
    night_cools_k: float = allowed(0.0, 15.0, "K", default=4.5)
    ground_follows_h: float = allowed(1.0, 12.0, "h", default=4.5)
    # Dew point: mean depression, its own unrest and memory, the share by which it goes with the
    # warmth of the air mass, and how much cloud and fair weather differ. Fitted.
    dryness_winter_k: float = allowed(-2.0, 30.0, "K", default=1.7)
    dryness_summer_k: float = allowed(-2.0, 30.0, "K", default=4.4)
    moisture_winter_k: float = allowed(0.0, 10.0, "K", default=1.5)
    moisture_summer_k: float = allowed(0.0, 10.0, "K", default=1.5)
    moisture_h: float = allowed(3.0, 120.0, "h", default=30.0)
    dew_point_follows: float = allowed(0.0, 1.5, default=0.9)
    cloud_damps_k: float = allowed(0.0, 10.0, "K", default=2.0)
    # Cloud is a bell-shaped swing cut off at clear (0) and covered (1). Fitted.
    cloud_centre: float = allowed(-1.0, 2.0, default=0.75)
    cloud_spread: float = allowed(0.0, 2.0, default=0.65)
    cloud_h: float = allowed(1.0, 72.0, "h", default=10.0)
    # Wind at the height of a weather mast: mean, what winter has more than the mean and summer
    # less, and memory. Two bell-shaped components give Rayleigh's distribution of speeds.
    wind_m_s: float = allowed(0.0, 15.0, "m/s", default=3.6)
    wind_swing: float = allowed(0.0, 0.9, default=0.2)
    wind_h: float = allowed(1.0, 72.0, "h", default=14.0)
    # Everything that is chance, as a share: 1 the place's own, 0 always the usual day.
    unrest: float = allowed(0.0, 1.5, default=1.0)

    def __post_init__(self) -> None:
        refuse_impossible(self)

    @property
    def yearly_mean_c(self) -> float:
        """Mean of the year [°C], given or by latitude."""
        return mean_of_latitude_c(self.latitude) if self.mean_c is None else self.mean_c

    @property
    def yearly_swing_k(self) -> float:
        """How much the warmest time is above the mean [K], given or by latitude."""
        return swing_of_latitude_k(self.latitude) if self.swing_k is None else self.swing_k


def mean_of_latitude_c(latitude: float) -> float:
    """Mean of the year near a western sea [°C]: a straight line in latitude.

    From memory: 10.5 °C at 52 degrees (Netherlands), 7.7 at 60 (Bergen), 27 at the equator.
    """
    return 27.0 - 0.32 * abs(latitude)


def swing_of_latitude_k(latitude: float) -> float:
    """Half the difference between the warmest and the coldest time near a western sea [K].

    From memory: 7.4 K at 52 degrees (Netherlands), 6 K at 39 (Lisbon), none at the equator.
    """
    return 0.14 * abs(latitude)
