"""Whether a battery is dying: its reference falls with it, and the values wander. Pure.

Only a fast fall counts. A battery that is low for weeks still holds its sensor steady, and
a doubt that lasts for weeks would keep every alarm from clearing.
"""

from devices.reading import Quantity
from service.quality.doubt import Doubt
from service.quality.memory import Memory
from service.quality.terms import DYING_BELOW_PCT, DYING_LOST_PCT, DYING_LOST_VOLTS


def dying(battery: Memory) -> str:
    """Why it seems so, from the newest of its charge [%] or voltage [V]; empty where it holds."""
    best, now = max(battery.highest, battery.highest_before), battery.raw
    if battery.quantity is Quantity.BATTERY:
        dies = best - now >= DYING_LOST_PCT and now < DYING_BELOW_PCT
        told = f"{best:.0f} to {now:.0f} % within a day"
    else:
        dies = now < best * (1.0 - DYING_LOST_VOLTS)
        told = f"{best:.2f} to {now:.2f} V within a day"
    return f"{Doubt.BATTERY}: {told}, and values wander with it" if dies else ""
