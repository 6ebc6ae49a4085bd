"""The tests of the QARTOD manuals, one by one, for samples that come as they like. Pure.

Source: U.S. Integrated Ocean Observing System, Manual for Real-Time Quality Control of In-situ
Temperature and Salinity Data, version 2.1 (2020), tests 1 to 11; formulas from memory. The
manual counts samples; here all is by time, as its tables mean for samples at even times:
where a neighbour in time is missing the test is not evaluated.

Every function gives a flag of its own test alone: PASS, SUSPECT, FAIL, MISSING, or
NOT_EVALUATED where what it needs is not known.
"""

from collections.abc import Iterable

from service.quality.flag import Flag


def gap(since_s: float, allowed_s: float) -> Flag:
    """Test 1: nothing came for ``since_s`` [s] where ``allowed_s`` lie between two at most."""
    return Flag.PASS if since_s <= allowed_s else Flag.MISSING


def gross_range(value: float, possible: tuple[float, float], usual: tuple[float, float]) -> Flag:
    """Test 4: outside what can be it fails, outside what is usual it is suspect.

    A value that compares with nothing (NaN) fails.
    """
    if not possible[0] <= value <= possible[1]:
        return Flag.FAIL
    return Flag.PASS if usual[0] <= value <= usual[1] else Flag.SUSPECT


def climatology(value: float, low: float | None, high: float | None, beyond: float) -> Flag:
    """Test 5, with the place's own past as its climate: further than ``beyond`` outside it.

    ``low`` and ``high`` are None where there is not enough of a past.
    """
    if low is None or high is None:
        return Flag.NOT_EVALUATED
    return Flag.PASS if low - beyond <= value <= high + beyond else Flag.SUSPECT


def spike(
    before: float,
    value: float,
    after: float,
    limits: tuple[float, float],
) -> Flag:
    """Test 6: how far the middle one of three sticks out, suspect and fail beyond ``limits``.

    The manual takes the distance from the mean of both neighbours; a step would then be half a
    spike. Here the nearer neighbour counts, and only where it sticks out of both to one side:
    for a lone spike between equal neighbours that is the same number.
    """
    out, back = value - before, value - after
    if out * back <= 0.0:
        return Flag.PASS
    sticks_out = min(abs(out), abs(back))
    if sticks_out > limits[1]:
        return Flag.FAIL
    return Flag.SUSPECT if sticks_out > limits[0] else Flag.PASS


def rate_of_change(
    moved: float, within_s: float, allowed: tuple[float, float, float], longest_s: float
) -> Flag:
    """Test 7: it moved by more than ``allowed`` at once, and a minute, and at most.

    Source of the form: the manual leaves the threshold to the operator (its example is three
    standard deviations of the last 25 hours, which a quiet night makes too narrow).
    """
    if within_s > longest_s:
        return Flag.NOT_EVALUATED
    at_once, a_minute, most = allowed
    return (
        Flag.SUSPECT if abs(moved) > min(at_once + a_minute * within_s / 60.0, most) else Flag.PASS
    )


def flat_line(same_for_s: float, same: int, after_s: float, least: int) -> Flag:
    """Test 8: the same value for ``same_for_s`` [s] and ``same`` readings in a row.

    It never fails: a stuck value is told, and still counts as a danger where it is one.
    """
    return Flag.SUSPECT if same_for_s >= after_s and same >= least else Flag.PASS


def attenuated_signal(spans: Iterable[tuple[float, float]], hours: int, least: float) -> Flag:
    """Test 10, by its range: lowest and highest of each hour; less than ``least`` is suspect.

    Not evaluated before there are ``hours`` of them.
    """
    lows, highs = [], []
    for low, high in spans:
        lows.append(low)
        highs.append(high)
    if len(lows) < hours:
        return Flag.NOT_EVALUATED
    return Flag.SUSPECT if max(highs) - min(lows) < least else Flag.PASS


def multi_variate(jump_c: float, humidity_moved_pct: float, humidity_pct: float) -> Flag:
    """Test 9, of temperature and humidity together.

    Air that is 3 °C warmer at once and holds the same water is a sixth less humid (saturation
    pressure grows by 6 to 7 % a degree): where the temperature of a sensor jumps and its
    humidity stays, one of the two is not of the air. Near 0 and 100 % it can't move.
    """
    if abs(jump_c) < 3.0 or not 20.0 <= humidity_pct <= 90.0:
        return Flag.NOT_EVALUATED
    return Flag.SUSPECT if abs(humidity_moved_pct) < 1.0 else Flag.PASS


def neighbour(apart: float, allowed: float, for_s: float, least_s: float) -> Flag:
    """Test 11: ``apart`` from what the neighbours make likely, and that for some time."""
    return Flag.SUSPECT if abs(apart) > allowed and for_s >= least_s else Flag.PASS


def roll_up(flags: Iterable[Flag]) -> Flag:
    """The flag of a reading: the worst of its tests; one that was not evaluated counts not.

    NOT_EVALUATED where none was.
    """
    told = [flag for flag in flags if flag is not Flag.NOT_EVALUATED]
    return max(told, default=Flag.NOT_EVALUATED)
