"""What is set, where it was set, and what this version does not do."""

from dataclasses import dataclass, fields

from dashboards.views.alarm_words import value_in_words
from dashboards.views.local_words import age
from service.nests.species import DaySpan, SpeciesSettings
from service.rules.limit import Limit
from service.settings.settings import Settings


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
class SpanRow:
    """A span of the species' settings, to be edited."""

    name: str
    words: str
    least: str
    most: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupView:
    """``source`` says where the settings come from."""

    source: str
    shed: tuple[tuple[str, str], ...]
    limits: tuple[LimitRow, ...]
    limits_built_in: bool
    sensors: tuple[tuple[str, str, str, str], ...]
    places: tuple[tuple[str, str, str], ...]
    not_in_this_version: tuple[str, ...]
    spans: tuple[SpanRow, ...]
    eggs_before_sitting: int


_SPAN_WORDS = {
    "next_egg_after_egg": "from one egg to the next",
    "candle_after_sitting": "from sitting to candling",
    "hatch_after_sitting": "from sitting to hatching",
    "ring_after_hatch": "from hatching to the ring",
    "hide_before_fledge": "a place to hide, before the first outing",
    "fledge_after_hatch": "from hatching to the first outing",
    "independent_after_hatch": "from hatching to feeding itself",
}


def setup_view(settings: Settings, species: SpeciesSettings) -> SetupView:
    """All of it in words."""
    names = {place.id: place.name for place in settings.places}
    return SetupView(
        source=str(settings.file) if settings.file else "no file: all of it is built in",
        shed=_shed(settings),
        limits=tuple(_limit(limit, names) for limit in settings.limits),
        limits_built_in=settings.limits_built_in,
        sensors=tuple(
            (
                sensor.device,
                names.get(sensor.place, sensor.place),
                age(sensor.interval.total_seconds()),
                age(sensor.overdue_after.total_seconds()),
            )
            for sensor in settings.sensors
        ),
        places=tuple(
            (place.name, place.kind.value, names.get(place.within or "", ""))
            for place in settings.places
        ),
        not_in_this_version=settings.not_in_this_version,
        spans=span_rows(species),
        eggs_before_sitting=species.eggs_before_sitting,
    )


def _shed(settings: Settings) -> tuple[tuple[str, str], ...]:
    light = settings.light
    site = settings.site
    where = "not told"
    if site.latitude is not None and site.longitude is not None:
        where = f"{site.latitude:g}, {site.longitude:g}"
    lamps = "none set"
    if light.schedule is not None:
        lamps = f"{light.schedule.on:%H:%M} to {light.schedule.off:%H:%M}"
    dark_min = light.dark_for.total_seconds() / 60
    return (
        ("Shed", settings.shed_name),
        ("Where (north, east)", where),
        ("Time zone", str(site.timezone)),
        ("Lamps", lamps),
        ("Night", f"darker than {light.threshold_lx:g} lx for {dark_min:g} min"),
        ("Pages", f"{settings.bind}, port {settings.port}"),
    )


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


def span_rows(species: SpeciesSettings) -> tuple[SpanRow, ...]:
    """The spans in the order in which a nest goes through them."""
    rows = []
    for field in fields(species):
        span = getattr(species, field.name)
        if isinstance(span, DaySpan):
            rows.append(
                SpanRow(
                    name=field.name,
                    words=_SPAN_WORDS.get(field.name, field.name.replace("_", " ")),
                    least=f"{span.least:g}",
                    most=f"{span.most:g}",
                    source=span.source,
                )
            )
    return tuple(rows)
