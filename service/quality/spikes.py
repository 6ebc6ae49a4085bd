"""Lone spikes: known only when the reading after them comes."""

from service.quality.doubt import Doubt
from service.quality.flag import Flag, Judged
from service.quality.memory import Memory
from service.quality.qartod import spike
from service.quality.terms import SPIKE_FAILS_WITHIN_S, SPIKE_WITHIN_S


def put_right(memory: Memory, value: float, at: float) -> Judged | None:
    """The newest reading of ``memory`` as it is judged now that ``value`` follows it.

    None where it is no spike. One that is, is compared with nothing that comes.
    """
    limits, last = memory.terms.spike, memory.last
    if last is None or abs(memory.value - memory.before) <= limits[0]:
        return None
    if at - memory.at > SPIKE_WITHIN_S or memory.at - memory.before_at > SPIKE_WITHIN_S:
        return None
    flag = spike(memory.before, memory.value, value, limits)
    if flag is Flag.PASS:
        return None
    if max(at - memory.at, memory.at - memory.before_at) > SPIKE_FAILS_WITHIN_S:
        flag = Flag.SUSPECT
    unit = memory.quantity.unit
    reason = f"{Doubt.SPIKE}: {memory.value:.6g} between {memory.before:.6g} and {value:.6g} {unit}"
    memory.forget_spike()
    return last.doubted(flag, reason)
