"""The outlook at the end of a recording, as the watch would have come to it by then."""

import logging
from datetime import datetime

from service.settings.settings import Settings
from service.store.outlook_store import OutlookStore
from service.store.reading_store import ReadingStore
from service.tonight.issuing import HourlyIssuing, last_morning
from service.tonight.night_table import fill_nights

log = logging.getLogger(__name__)


def catch_up(
    readings: ReadingStore, kept: OutlookStore, settings: Settings, until: datetime
) -> None:
    """Study the nights as of the last morning, and issue the last outlook before ``until``.

    What fails here is told in the log: the recording itself is stored by now.
    """
    try:
        _catch_up(readings, kept, settings, until)
    except Exception:
        log.exception("the outlook failed; all else of the recording is stored")


def _catch_up(
    readings: ReadingStore, kept: OutlookStore, settings: Settings, until: datetime
) -> None:
    issuing = HourlyIssuing(readings, kept, settings)
    if issuing.study_due(until) is not None:
        morning = last_morning(settings.light, until) or until
        rows = fill_nights(readings, kept, settings, morning)
        if rows:
            from service.tonight.studying import fit_model  # noqa: PLC0415 - loads numpy

            fit_model(readings, kept, settings, rows, morning)
    at = issuing.due(until)
    if at is not None:
        issuing.issue(at)
