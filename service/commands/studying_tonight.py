"""The study of the nights as a process of its own, begun by the watch: it gives way to all else."""

import logging
import os
from datetime import datetime
from pathlib import Path

from service.settings.load import read_file_or_last_good
from service.tonight.studying import study_nights
from service.wiring import open_shed

log = logging.getLogger(__name__)

LEAST_URGENT = 19


def run_study_tonight(data: Path, config: Path | None, at: datetime) -> None:
    """Study what is stored, as of ``at`` in the shed, and end.

    Raises:
        StoreUnavailableError: a store can't be used now; nothing was fitted.
    """
    os.nice(LEAST_URGENT)
    settings, stores = open_shed(read_file_or_last_good(config, data), data, writer=False)
    try:
        model = study_nights(stores.readings, stores.records.outlook, settings, at)
    finally:
        stores.close()
    log.info("the outlook was fitted to %d nights", model.nights_used)
