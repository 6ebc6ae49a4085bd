"""Light in the simulated shed: lamps by their programme, a little day through a window. Pure."""

from datetime import datetime, timedelta

from simulated_feeds.scenario import Lamps

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


def illuminance_lx(lit: float, sine_of_elevation: float, cloud: float) -> float:
    """Light beside the shed's sensor [lx].

    Args:
        lit: the lamps' share, 0 to 1.
        sine_of_elevation: of the sun; from the horizon down there is no daylight.
        cloud: 0 (clear) to 1 (covered).
    """
    return lit * LAMPS_FULL_LX + max(0.0, sine_of_elevation) * _WINDOW_LX * (1.0 - 0.7 * cloud)
