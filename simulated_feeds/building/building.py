"""The shed's air, one day after the other."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from simulated_feeds.building.birds import CHICK_W_PER_G, least_w_per_g
from simulated_feeds.building.box_air import box_air, followed
from simulated_feeds.building.climate import Balance, Climate, Found, Minute, ShedAir, saturated_pa
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.day import DAY, MINUTES, AirDay, BoxAir, Minutes, NestDay, OutdoorDay
from simulated_feeds.happening import Happening, What
from simulated_feeds.lamps.lamps import Lamps, within
from simulated_feeds.moist_air import saturation_pa

_OWN = (What.HEATER_FAILS, What.VENT_STUCK_SHUT, What.POWER_CUT)
# So often does the first day run before it counts, so that walls and wood have settled.
_SETTLING_DAYS = 3
_FIRST_WARMER_K = 3.0
_FIRST_HUMIDITY = 0.6
# Cracks let more through in wind: this much in a calm, and for each m/s [share].
_CALM_SHARE, _WIND_SHARE = 0.6, 0.1
_COVER_KEEPS = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBalance:
    """What came, went and stayed within a day: heat [J] and water [g].

    Heat is given by sun, lamps, heater and birds (less what the clear sky takes), lost to
    outdoors, bound by water that evaporated, and the rest is ``stored_j``. Water comes with
    changes of air (less than 0: it goes), from birds and open water, runs off the pane, and
    the rest is ``stored_g``.
    """

    given_j: float
    lost_j: float
    bound_j: float
    stored_j: float
    vented_g: float
    added_g: float
    drained_g: float
    stored_g: float


class Building:
    """A shed that lives its days one after the other, from the first that it is given on.

    Args:
        parameters: of the shed.
        lamps: with their own faults.
        happenings: those of heater, vent and mains matter here; they hold by whole minutes.
        climate: with which the first day begins; without one the shed settles on that day's
            weather first.
    """

    def __init__(
        self,
        parameters: BuildingParameters,
        lamps: Lamps,
        happenings: Iterable[Happening] = (),
        climate: Climate | None = None,
    ) -> None:
        self._p = parameters
        self._lamps = lamps
        self._happenings = tuple(each for each in happenings if each.what in _OWN)
        self._air = ShedAir(parameters)
        self._climate = climate
        self._warm: dict[str, float] = {}
        self._balance: DayBalance | None = None

    @property
    def climate(self) -> Climate | None:
        """With which the coming day begins, None before the first without a given one."""
        return self._climate

    @property
    def balance(self) -> DayBalance | None:
        """Of the day lived last, None before the first."""
        return self._balance

    def day(self, outdoors: OutdoorDay, nests: tuple[NestDay, ...]) -> AirDay:
        """The day that has this weather and these nests; it must follow the one before."""
        at = outdoors.at
        mains = self._works(What.POWER_CUT, at)
        lamps = self._lamps.day(at) * mains
        light = self._lamps.light_lx(lamps, outdoors.sun_w_m2)
        acting = list(self._acting(outdoors, nests, lamps, light))
        if self._climate is None:
            self._climate = self._settled(outdoors, acting)
        found, begins = Found(), self._climate
        self._climate = self._lived(begins, acting, found)
        self._balance = self._balanced(begins, self._climate, found.balances)

        temperature, vapour = np.array(found.air_c), np.array(found.vapour_pa)
        return AirDay(
            at=at,
            outdoors=outdoors,
            temperature_c=temperature,
            vapour_pa=vapour,
            surface_c=np.array(found.surface_c),
            condensate_g=np.maximum(0.0, found.film_g),
            lamp_share=lamps,
            light_lx=light,
            heater_w=np.array(found.heater_w),
            mains=mains,
            boxes={nest.box: self._box(nest, temperature, vapour) for nest in nests},
        )

    def _acting(
        self, outdoors: OutdoorDay, nests: tuple[NestDay, ...], lamps: Minutes, light: Minutes
    ) -> Iterator[Minute]:
        p = self._p
        sun, clear = outdoors.sun_w_m2, 1.0 - _COVER_KEEPS * outdoors.cloud**2
        brood_g = sum((nest.brood_g for nest in nests), np.zeros(MINUTES))
        grown_g = p.birds * p.bird_g
        air_w = sun * p.window_m2 * p.window_sun_share + lamps * self._lamps.parameters.full_w
        given = (
            outdoors.temperature_c,
            saturation_pa(outdoors.dew_point_c),
            outdoors.temperature_c - p.clear_sky_k * clear,
            p.cracks_per_h * (_CALM_SHARE + _WIND_SHARE * outdoors.wind_m_s),
            self._works(What.VENT_STUCK_SHUT, outdoors.at) > 0.0,
            self._works(What.POWER_CUT, outdoors.at) * self._works(What.HEATER_FAILS, outdoors.at)
            > 0.0,
            air_w + brood_g * CHICK_W_PER_G,
            sun * p.roof_sun_m2 - clear * p.clear_sky_w,
            np.full(MINUTES, grown_g),
            least_w_per_g(light),
            (p.birds + brood_g / p.bird_g) * p.vapour_of_bird_g_per_h,
        )
        return map(Minute, *(values.tolist() for values in given))

    def _lived(self, climate: Climate, acting: Iterable[Minute], found: Found) -> Climate:
        minute = self._air.minute
        for acts in acting:
            climate = minute(climate, acts, found)
        return climate

    def _settled(self, outdoors: OutdoorDay, acting: list[Minute]) -> Climate:
        first_c = float(np.mean(outdoors.temperature_c)) + _FIRST_WARMER_K
        vapour = _FIRST_HUMIDITY * saturated_pa(first_c)
        climate = Climate(first_c, first_c, vapour, _FIRST_HUMIDITY)
        for _ in range(_SETTLING_DAYS):
            climate = self._lived(climate, acting, Found())
        return climate

    def _balanced(self, begins: Climate, ends: Climate, minutes: list[Balance]) -> DayBalance:
        given, lost, bound, vented, added, drained = (
            sum(each) for each in zip(*minutes, strict=True)
        )
        return DayBalance(
            given_j=given,
            lost_j=lost,
            bound_j=bound,
            stored_j=self._air.stored_j(ends) - self._air.stored_j(begins),
            vented_g=vented,
            added_g=added,
            drained_g=drained,
            stored_g=self._air.stored_g(ends) - self._air.stored_g(begins),
        )

    def _box(self, nest: NestDay, shed_c: Minutes, shed_pa: Minutes) -> BoxAir:
        p = self._p
        before = self._warm.get(nest.box, float(nest.warm_share[0]))
        warm = followed(nest.warm_share, before, p.box_follows_min)
        self._warm[nest.box] = float(warm[-1])
        return box_air(p, warm, shed_c, shed_pa)

    def _works(self, what: What, at: datetime) -> Minutes:
        """1 in minutes in which something does not happen, 0 in those in which it does."""
        works = np.ones(MINUTES)
        for each in self._happenings:
            if each.what is what and each.since < at + DAY and at < each.until:
                works[within(each, at)] = 0.0
        return works
