"""What may stand in a scenario file (TOML); README.md beside it tells it to people.

Times in a file are local ones of a numbered day. Where the file says when it ``begins``, day 1
is that date. Where it ends at the present instead, day 0 is the date on whose evening the
present night began, or the last one did, and earlier days are negative.
"""

from datetime import date, time
from typing import Annotated, Any, Literal, Self
from zoneinfo import ZoneInfo

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from simulated_feeds.happening import What
from simulated_feeds.scenario_files.told_values import clock_time

LONGEST_DAYS = 3700
LARGEST_SEED = 2**32 - 1
EARLIEST_DAY = 400
FIRST, LAST = date(1975, 1, 1), date(2200, 1, 1)

_Date = Annotated[date, Field(strict=True, ge=FIRST, le=LAST)]


def _known_zone(name: object) -> object:
    try:
        ZoneInfo(str(name))
    except (KeyError, ValueError, OSError) as error:
        raise ValueError("no such time zone; write one like Europe/Amsterdam") from error
    return name


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Moment(_Table):
    """A local time of a numbered day."""

    day: Annotated[int, Field(strict=True, ge=-EARLIEST_DAY, le=LONGEST_DAYS + 1)]
    at: Annotated[time, BeforeValidator(clock_time)]


class _Span(_Table):
    since: Moment = Field(alias="from")
    until: Moment = Field(alias="to")


class HappeningTable(_Span):
    """``who``: a box or a device. ``amount``: as in ``happening.What``."""

    what: What
    who: str | None = None
    amount: Annotated[float, Field(strict=True)] | None = None


class AtPresentTable(_Table):
    """What holds from the present on, for good."""

    what: What
    who: str | None = None
    amount: Annotated[float, Field(strict=True)] | None = None


class FollowsTable(_Span):
    """``alarm`` is a rule's id, ``event`` a kind of event; one of the two."""

    place: str
    alarm: str | None = None
    event: str | None = None

    @model_validator(mode="after")
    def _one_of_the_two(self) -> Self:
        if (self.alarm is None) == (self.event is None):
            raise ValueError("give alarm or event, one of the two")
        return self


class SiteTable(_Table):
    """Where the shed stands."""

    latitude: Annotated[float, Field(strict=True, ge=-90.0, le=90.0)] = 53.2
    longitude: Annotated[float, Field(strict=True, ge=-180.0, le=180.0)] = 6.6
    timezone: Annotated[str, BeforeValidator(_known_zone)] = "Europe/Amsterdam"


class LimitsTable(_Table):
    """What the configuration that goes with the feed calls too cold and too damp."""

    cold_c: Annotated[float, Field(strict=True, ge=-10.0, le=25.0)] = 5.0
    damp_pct: Annotated[float, Field(strict=True, ge=30.0, le=99.0)] = 80.0


class PairsTable(_Table):
    """A pair in every cage, put up within some days from ``put_up_on``; parted on a day."""

    put_up_on: _Date
    ended_on: _Date | None = None
    rounds: Annotated[int, Field(strict=True, ge=0, le=5)] = 2
    spread_days: Annotated[int, Field(strict=True, ge=1, le=60)] = 10


Part = dict[str, Any]
"""A table whose keys are the fields of a part's own parameters."""


class ScenarioFile(_Table):
    """A file, whole. Parts are read by ``parts.py``."""

    about: Annotated[str, Field(min_length=1)]
    seed: Annotated[int, Field(strict=True, ge=0, le=LARGEST_SEED)] = 1
    days: Annotated[int, Field(strict=True, ge=1, le=LONGEST_DAYS)]
    begins: _Date | None = None
    present: Literal["now", "before the cold"] | None = None
    site: SiteTable = SiteTable()
    limits: LimitsTable = LimitsTable()
    weather: Part = Field(default={})
    building: Part = Field(default={})
    lamps: Part = Field(default={})
    birds: Part = Field(default={})
    keeper: Part = Field(default={})
    pairs: tuple[PairsTable, ...] = ()
    sender: tuple[Part, ...] = ()
    happening: tuple[HappeningTable, ...] = ()
    at_present: tuple[AtPresentTable, ...] = ()
    must_follow: tuple[FollowsTable, ...] = ()

    @model_validator(mode="after")
    def _begins_or_ends(self) -> Self:
        if (self.begins is None) == (self.present is None):
            raise ValueError("give begins (a date) or present, one of the two")
        return self
