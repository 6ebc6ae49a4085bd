"""Which senders there are, and what they are like. Pure.

Accuracy and lag are those that data sheets of small digital sensors for humidity and
temperature tell (typically ±0.2 °C, ±2 %, a time constant of 8 s for humidity in moving air;
in still air and a housing minutes: from memory). All else is common practice, no source.
"""

from dataclasses import dataclass, field
from datetime import timedelta
from enum import StrEnum

from devices.formats.sender_name import name_fault
from devices.formats.senml import MAX_RECORDS
from devices.sensor import Format
from simulated_feeds.day import DAY
from simulated_feeds.impossible import ImpossibleParameterError, allowed, refuse_impossible
from simulated_feeds.scales.parameters import ScaleParameters

LEAST_INTERVAL, MOST_INTERVAL = timedelta(milliseconds=100), timedelta(hours=6)
_MILLISECOND = timedelta(milliseconds=1)


class Where(StrEnum):
    """Whose air a sender hangs in, or that it sticks to the coldest surface of the shed.

    A cage stands in the air of the shed.
    """

    SHED = "shed"
    OUTDOORS = "outdoors"
    BOX = "box"
    SURFACE = "surface"


class SenderKind(StrEnum):
    """What a sender measures."""

    AIR = "air"
    THERMOMETER = "thermometer"
    AIR_AND_LIGHT = "air and light"
    LIGHT = "light"
    SCALE = "scale"
    MAINS = "mains"

    @property
    def has_thermometer(self) -> bool:
        """It tells temperature."""
        return self is SenderKind.THERMOMETER or self.has_hygrometer

    @property
    def has_hygrometer(self) -> bool:
        """It tells humidity, and then temperature too."""
        return self in (SenderKind.AIR, SenderKind.AIR_AND_LIGHT)

    @property
    def has_eye(self) -> bool:
        """It sees light."""
        return self in (SenderKind.LIGHT, SenderKind.AIR_AND_LIGHT)


@dataclass(frozen=True, slots=True, kw_only=True)
class AirSensorParameters:
    """A sensor of air and light.

    Each one is off by a constant that is drawn once, evenly within ± its accuracy; noise is
    the standard deviation from sample to sample. Lags are time constants; light has none.
    Values are told in whole numbers of the resolution.

    Damp that reaches ``wets_at_pct`` wets the humidity sensor: it tells 100 % until the air
    has been below ``dries_below_pct`` for ``dries_in_h``.
    """

    temperature_accuracy_k: float = allowed(0.0, 5.0, "°C", default=0.1)
    temperature_noise_k: float = allowed(0.0, 5.0, "°C", default=0.03)
    temperature_lag_s: float = allowed(0.0, 7200.0, "s", default=180.0)
    temperature_resolution_k: float = allowed(0.001, 5.0, "°C", default=0.01)
    humidity_accuracy_pct: float = allowed(0.0, 20.0, "%", default=0.8)
    humidity_noise_pct: float = allowed(0.0, 20.0, "%", default=0.25)
    humidity_lag_s: float = allowed(0.0, 7200.0, "s", default=120.0)
    humidity_resolution_pct: float = allowed(0.001, 10.0, "%", default=0.1)
    wets_at_pct: float = allowed(80.0, 101.0, "%", default=99.0)
    dries_below_pct: float = allowed(1.0, 100.0, "%", default=85.0)
    dries_in_h: float = allowed(0.0, 240.0, "h", default=2.0)
    light_accuracy_share: float = allowed(0.0, 0.5, default=0.05)
    light_noise_share: float = allowed(0.0, 0.5, default=0.015)
    light_resolution_lx: float = allowed(0.01, 100.0, "lx", default=1.0)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryParameters:
    """Falls by so much a day from full; the keeper changes it before it falls below ``least``.

    A battery that sags before its time brings the values along: at the very end air reads
    warmer by ``sag_k`` and damper by ``sag_pct``, and a scale has ``sag_gain`` more gain.
    """

    full_pct: float = allowed(50.0, 100.0, "%", default=96.0)
    least_pct: float = allowed(1.0, 40.0, "%", default=5.0)
    falls_pct_a_day: float = allowed(0.0, 50.0, "% a day", default=0.25)
    empty_v: float = allowed(0.5, 60.0, "V", default=2.4)
    full_v: float = allowed(0.5, 60.0, "V", default=3.3)
    told_every: int = allowed(1, 100_000, "messages", default=60)
    sag_k: float = allowed(0.0, 20.0, "°C", default=2.0)
    sag_pct: float = allowed(0.0, 50.0, "%", default=5.0)
    sag_gain: float = allowed(0.0, 0.5, default=0.02)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sender:
    """One device: where it hangs, what it measures, how and how often it speaks.

    ``interval`` lies between two samples, ``offset`` between the day's beginning and the
    first one. A message is sent with its last sample and holds ``samples_per_message``.
    ``on_battery``: else it lives on the mains and falls silent with them.
    ``powers_on_at_85``: its thermometer tells 85 °C in the first message after a restart.
    ``reboots_every`` and ``keeps_messages`` matter in a loop of reboots and in a backlog.
    """

    device: str
    place: str
    where: Where
    kind: SenderKind
    interval: timedelta
    offset: timedelta = timedelta(0)
    format: Format = Format.SENML
    samples_per_message: int = allowed(1, MAX_RECORDS // 2, "samples", default=1)
    on_battery: bool = True
    powers_on_at_85: bool = False
    reboots_every: timedelta = timedelta(seconds=3)
    keeps_messages: int = allowed(0, 100_000, "messages", default=5000)
    air: AirSensorParameters = field(default_factory=AirSensorParameters)
    battery: BatteryParameters = field(default_factory=BatteryParameters)
    scale: ScaleParameters = field(default_factory=ScaleParameters)

    def __post_init__(self) -> None:
        refuse_impossible(self)
        _refuse_name(self.device)
        _refuse_times(self)
        _refuse_place(self)
        _refuse_format(self)

    @property
    def topic(self) -> str:
        """Where its messages go; for plain numbers each quantity is one level below."""
        if self.format is Format.SENML:
            return f"clutchweather/{self.device}/senml"
        return f"gateway/{self.device}" if self.format is Format.JSON else f"plain/{self.device}"

    @property
    def status_topic(self) -> str | None:
        """Where its retained sign of life goes; None for senders of other makers."""
        is_ours = self.format is Format.SENML
        return f"clutchweather/{self.device}/status" if is_ours else None

    @property
    def message_interval(self) -> timedelta:
        """Between two messages."""
        return self.samples_per_message * self.interval


def _refuse_name(device: str) -> None:
    if ":" in device or "/" in device or name_fault(device) is not None:
        raise ImpossibleParameterError(
            "device", repr(device), "letters, digits and - . _, beginning with a letter or digit"
        )


def _refuse_times(sender: Sender) -> None:
    if not LEAST_INTERVAL <= sender.interval <= MOST_INTERVAL:
        raise ImpossibleParameterError("interval", sender.interval, "0.1 s to 6 h")
    if DAY % sender.message_interval or sender.interval % _MILLISECOND:
        raise ImpossibleParameterError(
            "interval times samples_per_message",
            sender.message_interval,
            "what divides a day evenly, such as 10 s, 1 min or 2 min",
        )
    if not timedelta(0) <= sender.offset < sender.interval or sender.offset % _MILLISECOND:
        raise ImpossibleParameterError(
            "offset", sender.offset, f"whole milliseconds from 0 to below {sender.interval}"
        )
    if not timedelta(seconds=1) <= sender.reboots_every <= timedelta(hours=1):
        raise ImpossibleParameterError("reboots_every", sender.reboots_every, "1 s to 1 h")


def _refuse_place(sender: Sender) -> None:
    if sender.kind is SenderKind.SCALE and sender.where is not Where.BOX:
        raise ImpossibleParameterError("where of a scale", sender.where, "box")
    if sender.where is Where.SURFACE and sender.kind is not SenderKind.THERMOMETER:
        raise ImpossibleParameterError(
            "kind of what sticks to a surface", sender.kind, SenderKind.THERMOMETER
        )
    is_shed_only = sender.kind.has_eye or sender.kind is SenderKind.MAINS
    if is_shed_only and sender.where is not Where.SHED:
        raise ImpossibleParameterError(f"where of {sender.kind}", sender.where, "shed")
    if sender.kind is SenderKind.MAINS and not sender.on_battery:
        raise ImpossibleParameterError(
            "on_battery of mains", False, "true: it must outlive what it watches"
        )


def _refuse_format(sender: Sender) -> None:
    if sender.format is not Format.SENML and sender.samples_per_message > 1:
        raise ImpossibleParameterError(
            f"samples_per_message of {sender.format}",
            sender.samples_per_message,
            "1; more only in senml",
        )
