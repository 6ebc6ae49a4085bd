"""The coarse sun against sunrises by Skyfield 1.55 with DE421 (standard horizon)."""

from datetime import UTC, datetime, timedelta

import pytest

from simulated_feeds.sun import sine_of_elevation

# latitude, longitude, sunrise and sunset [UTC]
SKYFIELD = [
    (51.5, 0.0, "2026-03-20T06:02:53", "2026-03-20T18:12:59"),
    (51.5, 0.0, "2026-06-21T03:42:38", "2026-06-21T20:21:00"),
    (51.5, 0.0, "2026-12-21T08:03:12", "2026-12-21T15:52:55"),
    (53.5, -1.5, "2026-09-23T05:53:23", "2026-09-23T18:02:18"),
]
# The equation of time is left out (16 min at most), so are refraction and the sun's radius
# (about 7 min at these latitudes).
COARSE = timedelta(minutes=23)


@pytest.mark.parametrize(("latitude", "longitude", "rise", "fall"), SKYFIELD)
def test_sun_crosses_the_horizon_near_the_published_times(
    latitude: float, longitude: float, rise: str, fall: str
) -> None:
    for text, sign in ((rise, 1), (fall, -1)):
        at = datetime.fromisoformat(text).replace(tzinfo=UTC)
        before = sine_of_elevation(at - COARSE, latitude, longitude)
        after = sine_of_elevation(at + COARSE, latitude, longitude)
        assert sign * before < 0 < sign * after


def test_sun_stands_overhead_on_the_equator_at_an_equinox() -> None:
    noon = datetime(2026, 3, 20, 12, tzinfo=UTC)
    assert sine_of_elevation(noon, 0.0, 0.0) == pytest.approx(1.0, abs=0.01)
