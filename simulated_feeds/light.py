"""Light in the simulated shed: lamps by their programme, a little day through a window. Pure."""

from datetime import datetime, timedelta

from simulated_feeds.scenario import Lamps, Scenario
from simulated_feeds.sun import sine_of_elevation

LAMPS_FULL_LX = 450.0
_WINDOW_LX = 160.0
# The dimmer moves in steps. The lowest is bright enough to count as day, so that the
# measured night has the very bounds of the programme where no daylight comes in.
_STEP = timedelta(minutes=2)


def lamp_share(local: datetime, lamps: Lamps) -> float:
    """How bright the lamps are at a local time, from 0 (dark) to 1 (full)."""
    on = datetime.combine(local.date(), lamps.on, local.tzinfo)
    off = datetime.combine(local.date(), lamps.off, local.tzinfo)
    if not on <= local < off:
        return 0.0
    steps = lamps.dim // _STEP
    up = (local - on) // _STEP + 1
    down = -((local - off) // _STEP)
    return min(1.0, up / max(1, steps), down / max(1, steps))


def illuminance_lx(at: datetime, scenario: Scenario, cloud: float) -> float:
    """Light beside the shed's sensor [lx] at an instant [UTC]."""
    lamps = LAMPS_FULL_LX * lamp_share(at.astimezone(scenario.zone), scenario.lamps)
    height = sine_of_elevation(at, scenario.latitude, scenario.longitude)
    return lamps + max(0.0, height) * _WINDOW_LX * (1.0 - 0.7 * cloud)
