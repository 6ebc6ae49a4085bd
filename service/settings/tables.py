"""The tables of the configuration file, each key with its type and what is allowed.

What one key says is settled here; what two keys say to each other, in ``agreement``.
"""

from datetime import timedelta
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from service.intake.broker_address import BrokerAddress
from service.rules.limit import During, Priority, When
from service.settings.key_types import (
    Bind,
    BrokerUrl,
    ClockTime,
    Day,
    Delay,
    Device,
    Dimming,
    DuringWord,
    FileName,
    FormatWord,
    HostName,
    Id,
    Interval,
    Keeping,
    KindWord,
    Mirror,
    Name,
    OverdueAfter,
    Pointer,
    PriorityWord,
    QuantityWord,
    Records,
    SqliteFile,
    TopicFilter,
    WhenWord,
    Zone,
)


class Table(BaseModel):
    """A TOML table: nothing is converted silently, and unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


class ShedTable(Table):
    """``[shed]``: without coordinates there is no sunset to reckon with."""

    id: Id = "shed"
    name: Name | None = None
    latitude: float | None = Field(
        default=None, ge=-90, le=90, description="degrees north, a number from -90 to 90"
    )
    longitude: float | None = Field(
        default=None, ge=-180, le=180, description="degrees east, a number from -180 to 180"
    )
    timezone: Zone | None = None


class BrokerTable(Table):
    """``[broker]``"""

    url: BrokerUrl = BrokerAddress()
    username: Name | None = None
    password_file: FileName | None = None
    ca_file: FileName | None = None


class PlaceTable(Table):
    """``[[place]]``"""

    id: Id
    kind: KindWord
    name: Name | None = None
    within: Id | None = Field(default=None, alias="in")
    order: int | None = Field(
        default=None, ge=0, le=9999, description="a whole number from 0 to 9999, the walking order"
    )


class DeviceTable(Table):
    """``device = { level = 2 }``: where the name of the sender stands; one of the three."""

    level: int | None = Field(
        default=None, ge=1, le=100, description="the number of a topic level, counted from 1"
    )
    pointer: Pointer | None = None
    name: Device | None = None


class TimeTable(Table):
    """``time = { pointer = "/t" }``: where the time of measuring stands."""

    pointer: Pointer


class FieldTable(Table):
    """One quantity in a JSON object."""

    pointer: Pointer
    quantity: QuantityWord
    unit: Name


class FeedTable(Table):
    """``[[feed]]``: topics that share a format."""

    topic: TopicFilter
    format: FormatWord
    device: DeviceTable | None = Field(
        default=None, description='one of { level = 2 }, { pointer = "/id" } and { name = "x" }'
    )
    time: TimeTable | None = Field(default=None, description='{ pointer = "/time" }')
    fields: list[FieldTable] = Field(
        default=[],
        description='a list of { pointer = "/t", quantity = "temperature", unit = "Cel" }',
    )
    quantity: QuantityWord | None = None
    unit: Name | None = None


class SensorTable(Table):
    """``[[sensor]]``: a sender with a place."""

    device: Device
    place: Id
    name: Name | None = None
    interval: Interval
    overdue_after: OverdueAfter | None = None
    measures: dict[str, QuantityWord] = Field(
        default={}, description='{ sender\'s name = "quantity" }'
    )


class IgnoredTable(Table):
    """``[[ignored]]``: a sender that the keeper wants to hear no more of."""

    device: Device


class LightTable(Table):
    """``[light]``: without ``on`` and ``off`` there are no lamps."""

    on: ClockTime | None = None
    off: ClockTime | None = None
    dim: Dimming = timedelta(0)
    threshold_lx: float = Field(
        default=20.0, gt=0, le=100_000, description="a number above 0 and up to 100000 [lx]"
    )


class LightStepTable(Table):
    """``[[light_step]]``: from the morning of that day on the lamps burn so; dim as ever."""

    since: Day = Field(alias="from")
    on: ClockTime
    off: ClockTime


class SurfaceTable(Table):
    """``[surface]``: how cold the coldest surface of the shed is; one of the two."""

    temperature_factor: float | None = Field(
        default=None, ge=0, le=1, description="a number from 0 (as outdoors) to 1 (as the air)"
    )
    below_air_c: float | None = Field(
        default=None, gt=0, le=40, description="a number above 0 and up to 40 [°C]"
    )


class HeaterTable(Table):
    """``[heater]``: a heater that keeps the shed from falling below that."""

    thermostat_c: float = Field(ge=-10, le=35, description="a number from -10 to 35 [°C]")


class LimitTable(Table):
    """``[[limit]]``: a rule on one quantity at one place."""

    id: Id
    place: Id
    quantity: QuantityWord
    when: WhenWord = When.ALWAYS
    during: DuringWord = During.ALWAYS
    low: float | None = Field(default=None, description="a number in the unit of the quantity")
    high: float | None = Field(default=None, description="a number in the unit of the quantity")
    deadband: float = Field(
        default=0.0, ge=0, description="a number in the unit of the quantity, 0 or more"
    )
    on_delay: Delay = timedelta(0)
    off_delay: Delay = timedelta(0)
    priority: PriorityWord = Priority.MEDIUM
    latching: bool = Field(default=False, description="true or false")
    on: bool = Field(default=True, description="true or false")


class LimitsTable(Table):
    """``[limits]``: whether the built-in ones hold; left out, where the file has no limit."""

    built_in: bool | None = Field(default=None, description="true or false")


class RuleTable(Table):
    """``[[rule]]``: what is set of a kind of rule that is no limit."""

    kind: Id
    on: bool | None = Field(default=None, description="true or false")
    numbers: dict[str, float] = Field(default={}, description="{ key = number }")


class NoticesTable(Table):
    """``[notices]``"""

    urls_file: FileName | None = None
    quiet: list[ClockTime] | None = Field(
        default=None,
        min_length=2,
        max_length=2,
        description='two times, such as ["22:00", "07:00"]',
    )


class StoreTable(Table):
    """``[store]``"""

    readings: SqliteFile = Path("readings.db")
    mirror: Mirror | None = None
    records: Records = Path("records.db")
    keep_raw: Keeping = timedelta(days=400)


class PagesTable(Table):
    """``[pages]``"""

    bind: Bind = "127.0.0.1"
    names: list[HostName] = Field(
        default=[], description='a list of host names, such as ["shed.example"]'
    )
    certificate: FileName | None = None
    key: FileName | None = None
    port: int = Field(default=8460, ge=1, le=65535, description="a whole number from 1 to 65535")


class ConfigurationFile(Table):
    """The whole file."""

    shed: ShedTable = Field(default=ShedTable(), description="a table [shed]")
    broker: BrokerTable = Field(default=BrokerTable(), description="a table [broker]")
    place: list[PlaceTable] = Field(default=[], description="tables [[place]]")
    feed: list[FeedTable] = Field(default=[], description="tables [[feed]]")
    sensor: list[SensorTable] = Field(default=[], description="tables [[sensor]]")
    ignored: list[IgnoredTable] = Field(default=[], description="tables [[ignored]]")
    light: LightTable = Field(default=LightTable(), description="a table [light]")
    light_step: list[LightStepTable] = Field(default=[], description="tables [[light_step]]")
    surface: SurfaceTable | None = Field(default=None, description="a table [surface]")
    heater: HeaterTable | None = Field(default=None, description="a table [heater]")
    limit: list[LimitTable] = Field(default=[], description="tables [[limit]]")
    limits: LimitsTable = Field(default=LimitsTable(), description="a table [limits]")
    rule: list[RuleTable] = Field(default=[], description="tables [[rule]]")
    notices: NoticesTable | None = Field(default=None, description="a table [notices]")
    store: StoreTable = Field(default=StoreTable(), description="a table [store]")
    pages: PagesTable = Field(default=PagesTable(), description="a table [pages]")
