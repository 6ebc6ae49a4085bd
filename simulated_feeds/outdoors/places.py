"""Weather of two places, fitted by hand to their typical-year files (TMY3) in the pvlib package.

What was compared, and in which bands it agrees, stands in the test of this file. A typical year
is put together of months of many years: one month of it is one draw, not a mean.
"""

from simulated_feeds.outdoors.parameters import WeatherParameters

SAND_POINT = WeatherParameters(
    latitude=55.317,
    longitude=-160.517,
    mean_c=4.4,
    swing_k=5.5,
    season_lag_d=36.0,
    air_mass_winter_k=4.0,
    air_mass_summer_k=1.7,
    air_mass_h=90.0,
    fronts_per_week=2.0,
    front_k=1.6,
    sun_warms_k=9.0,
    night_cools_k=1.5,
    ground_follows_h=4.5,
    dryness_winter_k=3.8,
    dryness_summer_k=4.2,
    moisture_winter_k=2.1,
    moisture_summer_k=1.9,
    moisture_h=45.0,
    dew_point_follows=1.05,
    cloud_damps_k=1.8,
    cloud_centre=0.95,
    cloud_spread=0.75,
    cloud_h=9.0,
    wind_m_s=5.1,
    wind_swing=0.15,
    wind_h=22.0,
)
"""An island off Alaska: cool, damp and windy all year."""

GREENSBORO = WeatherParameters(
    latitude=36.1,
    longitude=-79.95,
    mean_c=14.4,
    swing_k=11.3,
    season_lag_d=24.5,
    air_mass_winter_k=6.0,
    air_mass_summer_k=2.3,
    air_mass_h=50.0,
    fronts_per_week=2.0,
    front_k=4.0,
    sun_warms_k=20.5,
    night_cools_k=7.0,
    ground_follows_h=4.2,
    dryness_winter_k=6.4,
    dryness_summer_k=4.4,
    moisture_winter_k=5.6,
    moisture_summer_k=2.8,
    moisture_h=36.0,
    dew_point_follows=0.8,
    cloud_damps_k=2.2,
    cloud_centre=0.6,
    cloud_spread=0.95,
    cloud_h=14.0,
    wind_m_s=3.0,
    wind_swing=0.18,
    wind_h=8.0,
)
"""Inland in the south-east of North America: hot summers, frost and thaw in winter."""
