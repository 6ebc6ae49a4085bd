"""What a sender would tell at each of its samples, if nothing were wrong with the device."""

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from simulated_feeds.chance import draws
from simulated_feeds.day import AirDay, Minutes, NestDay, ShedDay
from simulated_feeds.happening import Happening, What
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.lag import Follower
from simulated_feeds.moist_air import humidity_pct, saturation_pa
from simulated_feeds.scales.instrument import Instrument
from simulated_feeds.scales.true_mass import TrueMass
from simulated_feeds.senders.feeds import HUMIDITY, LIGHT, MAINS, MASS, TEMPERATURE
from simulated_feeds.senders.parameters import AirSensorParameters, Sender, SenderKind, Where
from simulated_feeds.senders.spans import inside, ms_of, spans_of

_COLDEST_C, _WARMEST_C = -40.0, 125.0

Told = dict[str, Minutes]
"""From measure to a value for each sample."""


class Sense(Protocol):
    """What measures, day after day."""

    def day(self, day: ShedDay, at_s: Minutes, sagged: Minutes) -> Told:
        """What it tells.

        Args:
            day: the truth.
            at_s: the samples in seconds since the day's beginning, evenly apart.
            sagged: how far a dying battery has come at each of them, 0 to 1.
        """


def sense_of(sender: Sender, name: str, seed: int, happenings: Sequence[Happening]) -> Sense:
    """The one of a sender; ``name`` tells its chance from that of others."""
    if sender.kind is SenderKind.SCALE:
        return ScaleSense(sender, name, seed, happenings)
    if sender.kind is SenderKind.MAINS:
        return MainsSense()
    return AirSense(sender, name, seed)


class MainsSense:
    """Whether there is power, 0 or 1."""

    def day(self, day: ShedDay, at_s: Minutes, sagged: Minutes) -> Told:
        del sagged  # a yes or no does not drift
        return {MAINS: day.air.mains[_minute(at_s)]}


class ScaleSense:
    """A scale under a box [g]."""

    def __init__(
        self, sender: Sender, name: str, seed: int, happenings: Sequence[Happening]
    ) -> None:
        self._sender = sender
        self._load = TrueMass(sender.scale, sender.place, seed)
        self._instrument = Instrument(sender.scale, name, seed)
        self._glitches = spans_of(happenings, What.GLITCHES, sender.device)

    def day(self, day: ShedDay, at_s: Minutes, sagged: Minutes) -> Told:
        at = day.air.at
        nest = _nest_in(day.nests, self._sender.place)
        load = self._load.day(day.air, nest, at_s)
        is_ = self._sender.scale
        struck = inside(ms_of(at) + np.rint(1000.0 * at_s).astype(np.int64), self._glitches)
        counts = self._instrument.counts(
            at,
            at_s,
            load.grams,
            day.air.temperature_c,
            stirred=load.occupied,
            glitch_share=np.where(struck, is_.bad_glitch_share, is_.glitch_share),
        )
        handled = () if nest is None else nest.handled
        grams = self._instrument.grams(at, at_s, counts, handled)
        return {MASS: grams * (1.0 + self._sender.battery.sag_gain * sagged)}


class AirSense:
    """Temperature [°C], humidity [%] and light [lx], as far as it has them."""

    def __init__(self, sender: Sender, name: str, seed: int) -> None:
        self._sender = sender
        self._name = name
        self._seed = seed
        off = 2.0 * draws(seed, f"{name} accuracy").random(3) - 1.0
        is_ = sender.air
        self._warm_k = is_.temperature_accuracy_k * off[0]
        self._damp_pct = is_.humidity_accuracy_pct * off[1]
        self._bright = 1.0 + is_.light_accuracy_share * off[2]
        self._temperature = Follower(is_.temperature_lag_s)
        self._humidity = Follower(is_.humidity_lag_s)
        self._wetness = Wetness(is_)

    def day(self, day: ShedDay, at_s: Minutes, sagged: Minutes) -> Told:
        noise = draws(self._seed, f"{self._name} noise", day.air.at).standard_normal((3, len(at_s)))
        found: Told = {}
        if self._sender.kind.has_thermometer:
            temperature, vapour = _air(day.air, self._sender)
            found[TEMPERATURE] = self._warmth(temperature, at_s, noise[0], sagged)
            if self._sender.kind.has_hygrometer:
                damp = humidity_pct(temperature, vapour)
                found[HUMIDITY] = self._dampness(damp, at_s, noise[1], sagged)
        if self._sender.kind.has_eye:
            seen = day.air.light_lx[_minute(at_s)] * self._bright
            seen = seen * (1.0 + self._sender.air.light_noise_share * noise[2])
            found[LIGHT] = np.maximum(0.0, _whole(seen, self._sender.air.light_resolution_lx))
        return found

    def _warmth(self, truth: Minutes, at_s: Minutes, noise: Minutes, sagged: Minutes) -> Minutes:
        is_ = self._sender.air
        felt = self._temperature.day(truth, at_s) + self._warm_k
        felt = felt + is_.temperature_noise_k * noise + self._sender.battery.sag_k * sagged
        return np.clip(_whole(felt, is_.temperature_resolution_k), _COLDEST_C, _WARMEST_C)

    def _dampness(self, truth: Minutes, at_s: Minutes, noise: Minutes, sagged: Minutes) -> Minutes:
        is_ = self._sender.air
        felt = self._humidity.day(truth, at_s) + self._damp_pct
        felt = felt + is_.humidity_noise_pct * noise + self._sender.battery.sag_pct * sagged
        told = np.clip(_whole(felt, is_.humidity_resolution_pct), 0.0, 100.0)
        return np.where(self._wetness.day(truth)[_minute(at_s)], 100.0, told)


class Wetness:
    """Whether there is water on a humidity sensor: it comes fast and goes slowly."""

    def __init__(self, parameters: AirSensorParameters) -> None:
        self._parameters = parameters
        self._wet = False
        self._dry_min = 0

    def day(self, humidity: Minutes) -> NDArray[np.bool_]:
        """For each minute of a day, from the true humidity [%]."""
        found = np.zeros(len(humidity), dtype=np.bool_)
        if not self._wet and humidity.max() < self._parameters.wets_at_pct:
            return found
        needed = 60.0 * self._parameters.dries_in_h
        for minute, now in enumerate(humidity.tolist()):
            if now >= self._parameters.wets_at_pct:
                self._wet, self._dry_min = True, 0
            elif self._wet:
                is_dry = now < self._parameters.dries_below_pct
                self._dry_min = self._dry_min + 1 if is_dry else 0
                self._wet = self._dry_min <= needed
            found[minute] = self._wet
        return found


def _nest_in(nests: Sequence[NestDay], box: str) -> NestDay | None:
    return next((nest for nest in nests if nest.box == box), None)


def _air(air: AirDay, sender: Sender) -> tuple[Minutes, Minutes]:
    """Temperature [°C] of what it hangs in or sticks to; vapour pressure [Pa] of the air there."""
    if sender.where is Where.SHED:
        return air.temperature_c, air.vapour_pa
    if sender.where is Where.SURFACE:
        return air.surface_c, air.vapour_pa
    if sender.where is Where.OUTDOORS:
        dew = air.outdoors.dew_point_c
        return air.outdoors.temperature_c, saturation_pa(dew)
    box = air.boxes.get(sender.place)
    if box is None:
        raise ImpossibleParameterError(
            f"place of {sender.device}", sender.place, ", ".join(air.boxes) or "none: no boxes"
        )
    return box.temperature_c, box.vapour_pa


def _minute(at_s: Minutes) -> NDArray[np.int64]:
    return (at_s // 60.0).astype(np.int64)


def _whole(values: Minutes, resolution: float) -> Minutes:
    """To the next whole number of the resolution."""
    return np.rint(values / resolution) * resolution
