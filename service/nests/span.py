"""A stretch of time within which something happened, or is to be expected."""

from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from service.nests.species import DaySpan


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """``since`` to ``until``, both UTC; equal where the instant is known."""

    since: datetime
    until: datetime

    def after(self, days: DaySpan) -> "Span":
        """When something happens that follows this by so many days."""
        return Span(
            since=self.since + timedelta(days=days.least),
            until=self.until + timedelta(days=days.most),
        )

    def or_later(self, other: "Span") -> "Span":
        """When both have happened."""
        return Span(since=max(self.since, other.since), until=max(self.until, other.until))


def in_days(span: Span, zone: tzinfo) -> str:
    """``4 March``, ``4 to 5 March`` or ``28 February to 1 March``, by the shed's calendar."""
    first, last = span.since.astimezone(zone), span.until.astimezone(zone)
    if first.date() == last.date():
        return f"{last.day} {last:%B}"
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {last.day} {last:%B}"
    return f"{first.day} {first:%B} to {last.day} {last:%B}"


def days_in_words(days: DaySpan) -> str:
    """``17 to 20 days``."""
    if days.least == days.most:
        return f"{days.least:g} days"
    return f"{days.least:g} to {days.most:g} days"
