"""The zone of the shed in these tests."""

from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/Amsterdam")
