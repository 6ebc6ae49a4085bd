"""The settings as the rest of the service sees them: whole, free of contradictions, frozen."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

from devices.sensor import Feed, Sensor
from service.climate.cold_surface import ColdSurface
from service.climate.light_plan import LightPlan, Site
from service.intake.broker_address import BrokerAddress
from service.nests.place import Place
from service.rules.limit import Limit
from service.rules.rule_settings import RuleSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """``file`` is where they were read from, None without one.

    ``not_in_this_version`` names, in words, what the file asks for and this version lacks.
    ``faults`` is not empty when the file on disk is wrong and these are the last good (or
    the built-in) settings: every page says so. ``limits_built_in`` is True where the
    built-in limits hold; those of the keeper's that bear the same id stand in their place.
    ``limits`` are those that hold, ``limits_off`` those that the keeper switched off.

    ``fixed`` are the paths that the file states (``("shed", "name")``, ``("light", "on")``,
    ``("place", "box-1")``, ``("sensor", "th-shed")``, ``("feed", topic)``, ``("limit", id)``,
    ``("broker", "url")``): pages show them as set in the file. All else comes from the pages,
    whose ``revision`` this is, or is built in. ``ignored`` are senders that the keeper wants to
    hear no more of. ``broker_told`` is False where neither file nor page names a broker.
    ``page_names`` are further host names under which the pages answer. ``away`` are sensors
    that stand in a salt jar now, each with the place that it was taken from. ``surface`` is
    None as long as the keeper has not told of one; ``heater_c`` is what a heater's thermostat is
    set to, None without a heater.
    """

    shed_id: str
    shed_name: str
    site: Site
    light: LightPlan
    broker: BrokerAddress
    places: tuple[Place, ...]
    feeds: tuple[Feed, ...]
    sensors: tuple[Sensor, ...]
    limits: tuple[Limit, ...]
    limits_built_in: bool
    readings_file: Path
    records_url: str
    keep_raw: timedelta
    bind: str
    port: int
    file: Path | None = None
    not_in_this_version: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    fixed: frozenset[tuple[str, ...]] = frozenset()
    revision: int = 0
    ignored: frozenset[str] = frozenset()
    broker_told: bool = True
    page_names: tuple[str, ...] = ()
    certificate_file: Path | None = None
    key_file: Path | None = None
    away: Mapping[str, str] = field(default_factory=dict)
    surface: ColdSurface | None = None
    heater_c: float | None = None
    limits_off: tuple[Limit, ...] = ()
    rules: RuleSettings = field(default_factory=RuleSettings)
