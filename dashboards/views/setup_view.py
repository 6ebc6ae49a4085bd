"""What is set, where it was set, and what this version does not do."""

from dataclasses import dataclass, replace

from dashboards.views.alarm_words import value_in_words
from dashboards.views.heater_form import THERMOSTAT, heater_in_words
from dashboards.views.lamps_form import light_in_words
from dashboards.views.local_words import age, count, day_word
from dashboards.views.shed_form import city_of, where_in_words
from dashboards.views.species_form import SpanRow, span_rows
from dashboards.views.surface_form import BELOW, FACTOR, surface_in_words
from service.nests.place import PlaceKind
from service.nests.species import SpeciesSettings
from service.rules.limit import Limit
from service.settings.settings import Settings
from service.settings.written import is_loopback


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """A limit in words."""

    id: str
    place: str
    rule: str
    when: str
    delays: str
    priority: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing that is set; ``in_file``: the file states it."""

    name: str
    value: str
    in_file: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Things that are changed on one page; ``address`` is None where the file states them all."""

    title: str
    lines: tuple[Line, ...]
    address: str | None
    act: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupView:
    """``file`` is the configuration file, None without one."""

    file: str | None
    parts: tuple[Part, ...]
    limits: tuple[LimitRow, ...]
    limits_built_in: bool
    not_in_this_version: tuple[str, ...]
    spans: tuple[SpanRow, ...]


def setup_view(settings: Settings, species: SpeciesSettings, broker: str) -> SetupView:
    """All of it in words; ``broker`` says how it stands with it."""
    names = {place.id: place.name for place in settings.places}
    return SetupView(
        file=str(settings.file) if settings.file else None,
        parts=(
            _shed(settings),
            _lamps(settings),
            _coldest(settings),
            _places(settings),
            _broker(settings, broker),
            _pages(settings),
        ),
        limits=tuple(_limit(limit, names) for limit in settings.limits),
        limits_built_in=settings.limits_built_in,
        not_in_this_version=settings.not_in_this_version,
        spans=span_rows(species),
    )


def _shed(settings: Settings) -> Part:
    where = where_in_words(settings.site) or "not told: no sunset to reckon with"
    if city := city_of(settings.site):
        where += f", reckoned for {city}"
    lines = (
        _line("Name", settings.shed_name, ("shed", "name"), settings),
        _line("Time zone", str(settings.site.timezone), ("shed", "timezone"), settings),
        _line("Where", where, ("shed", "latitude"), settings),
    )
    return _part("The shed", lines, "/setup/shed", "Change the shed")


def _lamps(settings: Settings) -> Part:
    light = settings.light
    burn = "none"
    if light.schedule is not None:
        on_off = f"{light.schedule.on:%H:%M} to {light.schedule.off:%H:%M}"
        burn = f"{on_off}: {light_in_words(light.schedule)}"
    dark_min = light.dark_for.total_seconds() / 60
    night = f"darker than {light.threshold_lx:g} lx for {dark_min:g} min, where a sensor tells"
    lines = (
        _line("Lamps", burn, ("light", "on"), settings),
        Line(name="Programme", value=_steps(settings)),
        _line("Night", night, ("light", "threshold_lx"), settings),
    )
    return _part("Lamps", lines, "/setup/lamps", "Change the lamps, lengthen the days")


def _steps(settings: Settings) -> str:
    steps = settings.light.steps
    if not steps:
        return "none: the lamps burn alike all year" if settings.light.schedule else "none"
    first, last = steps[0].since, steps[-1].since
    return f"{count(len(steps), 'step')}, {day_word(first)} to {day_word(last)} {last.year}"


def _coldest(settings: Settings) -> Part:
    lines = (
        _line("Coldest surface", surface_in_words(settings.surface), FACTOR, settings),
        _line("Heater", heater_in_words(settings.heater_c), THERMOSTAT, settings),
    )
    if BELOW in settings.fixed:
        lines = (replace(lines[0], in_file=True), lines[1])
    return _part("Coldest surface, heater", lines, "/setup/air", "Change these")


def _places(settings: Settings) -> Part:
    counted = [
        count(number, kind.value, "boxes" if kind is PlaceKind.BOX else None)
        for kind in (PlaceKind.CAGE, PlaceKind.BOX, PlaceKind.FLIGHT)
        if (number := sum(place.kind is kind for place in settings.places))
    ]
    in_file = any(path[0] == "place" for path in settings.fixed)
    lines = (Line(name="Places", value=", ".join(counted) or "the shed alone", in_file=in_file),)
    return Part(
        title="Cages, boxes, places",
        lines=lines,
        address="/setup/places",
        act="Names, walking order, add, take away",
    )


def _broker(settings: Settings, standing: str) -> Part:
    told = settings.broker
    scheme = "mqtts" if told.tls else "mqtt"
    address = f"{scheme}://{told.host}:{told.port}" if settings.broker_told else "found by itself"
    lines = (
        _line("Address", address, ("broker", "url"), settings),
        Line(name="Now", value=standing),
    )
    fixed = any(path[0] == "broker" for path in settings.fixed)
    return _part("Broker", lines, None if fixed else "/setup/broker", "Change the broker")


def _pages(settings: Settings) -> Part:
    alone = is_loopback(settings.bind)
    answer = "this machine alone" if alone else f"phones and tablets too ({settings.bind})"
    lines = (
        _line("They answer", answer, ("pages", "bind"), settings),
        _line("Port", str(settings.port), ("pages", "port"), settings),
    )
    return _part("The pages", lines, "/setup/phones", "Phones and tablets")


def _line(name: str, value: str, path: tuple[str, ...], settings: Settings) -> Line:
    return Line(name=name, value=value, in_file=path in settings.fixed)


def _part(title: str, lines: tuple[Line, ...], address: str | None, act: str) -> Part:
    if all(line.in_file for line in lines):
        address = None
    return Part(title=title, lines=lines, address=address, act=act)


def _limit(limit: Limit, names: dict[str, str]) -> LimitRow:
    side = "not under" if limit.low is not None else "not over"
    when = {"always": "always", "day": "by day", "night": "by night"}[limit.when.value]
    return LimitRow(
        id=limit.id,
        place=names.get(limit.place, limit.place),
        rule=f"{limit.quantity.value.replace('_', ' ')} {side} "
        f"{value_in_words(limit.setpoint, limit.quantity)}",
        when=when,
        delays=f"raised after {age(limit.on_delay.total_seconds())}, over after "
        f"{age(limit.off_delay.total_seconds())} clear by {limit.deadband:g}",
        priority={"high": "act", "medium": "watch", "low": "noted"}[limit.priority.value],
    )
