"""The study of the nights: the table filled, a model fitted and kept. Loads numpy.

So the watch never imports this; it is a process of its own, or the end of a replay.
"""

from collections.abc import Sequence
from datetime import datetime

from service.climate.outlook.model import OutlookModel
from service.climate.outlook.night_row import NightRow
from service.climate.outlook.outlook_json import UnreadableOutlookError, model_from, to_json
from service.settings.settings import Settings
from service.store.outlook_store import KeptModel, OutlookStore
from service.store.reading_store import ReadingStore
from service.study.outlook_fit import fit
from service.tonight.night_table import fill_nights
from service.tonight.quarter_hours import QuarterHours


def study_nights(
    readings: ReadingStore, kept: OutlookStore, settings: Settings, at: datetime
) -> OutlookModel:
    """Put in the nights that are over at ``at``, and fit the model of then.

    Raises:
        StoreUnavailableError: a store can't be used now; the model before stays.
    """
    return fit_model(readings, kept, settings, fill_nights(readings, kept, settings, at), at)


def fit_model(
    readings: ReadingStore,
    kept: OutlookStore,
    settings: Settings,
    rows: Sequence[NightRow],
    at: datetime,
) -> OutlookModel:
    """Fit and keep it; what has gone on from night to night goes on from the model before.

    Raises:
        StoreUnavailableError: a store can't be used now; the model before stays.
    """
    model = fit(
        rows,
        fitted_at=at,
        surface_by=QuarterHours(readings, settings).surface_by,
        heater_c=settings.heater_c,
        looks=kept.looks(),
        previous=_model_before(kept, at),
    )
    kept.put_model(KeptModel(fitted_at=at, body=to_json(model)))
    return model


def _model_before(kept: OutlookStore, at: datetime) -> OutlookModel | None:
    newest = kept.model(at)
    if newest is None:
        return None
    try:
        return model_from(newest.body)
    except UnreadableOutlookError:
        return None
