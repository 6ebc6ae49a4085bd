"""Nothing of late is anywhere but on this machine. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from service.rules.limit import Priority
from service.rules.nest_rules.said import CANNOT_TELL, CLEAR, Said, breached
from service.rules.nest_rules.words import DAY, days_told, on_day
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "backup-old"

_CLOCKS_MAY_DIFFER_BY = timedelta(minutes=5)


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupKnown:
    """When the last good backup was made, None where none is known; and since when there is
    something to lose, None where nothing is.
    """

    at: datetime | None
    records_since: datetime | None


def judge(known: BackupKnown, now: datetime, numbers: Mapping[str, float], zone: tzinfo) -> Said:
    """Cannot tell by a backup of a time to come: the clock is wrong now, or was then."""
    allowed = numbers["after_d"] * DAY
    since = known.at or known.records_since
    if since is None:
        return CLEAR
    age = now - since
    if age < -_CLOCKS_MAY_DIFFER_BY:
        return CANNOT_TELL
    if age < allowed:
        return CLEAR
    days = days_told(int(age / DAY))
    what = (
        f"The last backup is {days} old, of {on_day(known.at, zone)}"
        if known.at
        else f"No backup is known, and {days} of records are nowhere else"
    )
    text = f"{what}. Make one today, on a stick or another machine: a card can fail any day."
    return breached(
        text, newest=since + allowed, value=round(age / DAY, 2), setpoint=numbers["after_d"]
    )


SETTABLE = Settable(
    kind=KIND,
    name="Backup too old",
    says="Told when the last backup is so old, or none is known.",
    needs="readings or a nest book to lose",
    numbers=(
        Number(key="after_d", words="after so many days", unit="days", usual=7, least=1, most=60),
    ),
)
RATIONALE = Rationale(
    cause="The nightly backup is not set up or fails, or its stick is full or gone.",
    consequence="When the memory card fails, all that came since is lost.",
    response="Make a backup to a stick or another machine. See why the nightly one fails.",
    respond_within=timedelta(days=2),
    priority=Priority.LOW,
    why_setpoint="A week of looks and readings is about what anybody would want to lose at most.",
    source=COMMON_PRACTICE,
)
