"""Night rows, models and outlooks as JSON text and back, for a store that looks into none."""

from typing import TypeVar

import msgspec

from devices.errors import ClutchweatherError
from service.climate.outlook.features import FEATURES
from service.climate.outlook.model import OutlookModel
from service.climate.outlook.night_row import NightRow
from service.climate.outlook.outlook import Outlook

_Kept = TypeVar("_Kept", NightRow, OutlookModel, Outlook)


class UnreadableOutlookError(ClutchweatherError, ValueError):
    """What was kept is not what this version keeps: it has to be made anew."""


def to_json(kept: NightRow | OutlookModel | Outlook) -> str:
    """As text; numbers lose nothing."""
    return msgspec.json.encode(kept).decode()


def night_row_from(text: str) -> NightRow:
    """Raises: UnreadableOutlookError; also where another version knew other features."""
    row = _read(text, NightRow)
    counts = {len(issue.features) for issue in row.issues.values()} - {len(FEATURES)}
    if counts:
        raise UnreadableOutlookError(
            f"this kept night has {counts.pop()} features, not {len(FEATURES)}"
        )
    return row


def model_from(text: str) -> OutlookModel:
    """Raises: UnreadableOutlookError."""
    return _read(text, OutlookModel)


def outlook_from(text: str) -> Outlook:
    """Raises: UnreadableOutlookError."""
    return _read(text, Outlook)


def _read(text: str, kind: type[_Kept]) -> _Kept:
    try:
        return msgspec.json.decode(text, type=kind)
    except msgspec.DecodeError as error:  # ValidationError is one
        raise UnreadableOutlookError(f"this is no kept {kind.__name__}: {error}") from error
