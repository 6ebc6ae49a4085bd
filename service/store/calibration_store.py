"""What may be asked of the store of calibrations."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from service.quality.correction import Correction
from service.store.kept_settings import Change


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """A correction and how it came about.

    ``method`` is "offset", "two points" or "salt"; ``reference`` says in words what it was
    compared with. ``before`` and ``after`` are the reading at the reference without and with
    it. ``by`` is who did it.
    """

    id: int
    correction: Correction
    method: str
    reference: str
    before: float
    after: float
    by: str | None
    made_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltTrial:
    """A humidity sensor in a jar above a saturated salt.

    Open while ``ended_at`` is None: the sensor's readings are then no readings of its place.
    The results are None where the trial was given up.
    """

    id: int
    device: str
    salt: str
    started_at: datetime
    started_by: str | None
    ended_at: datetime | None = None
    measured_pct: float | None = None
    target_pct: float | None = None
    temperature_c: float | None = None


class CalibrationStore(Protocol):
    """Pages write, watch and pages read. One transaction each.

    ``change`` is the line for the record of changes, written in the same transaction.
    """

    def revision(self) -> int:
        """Changes with every calibration and trial: cheap, asked every second."""
        ...

    def calibrations(self) -> Sequence[Calibration]:
        """All of them, oldest first. None is ever removed or changed."""
        ...

    def add(self, calibration: Calibration, *, change: Change | None = None) -> Calibration:
        """Add one (its id is given here)."""
        ...

    def trials(self) -> Sequence[SaltTrial]:
        """All salt trials, oldest first."""
        ...

    def start_trial(
        self,
        device: str,
        salt: str,
        *,
        by: str | None,
        at: datetime,
        change: Change | None = None,
    ) -> SaltTrial:
        """Begin one.

        Raises:
            InputError: the device is in a trial already.
        """
        ...

    def end_trial(
        self,
        trial: SaltTrial,
        *,
        calibration: Calibration | None = None,
        change: Change | None = None,
    ) -> None:
        """End the trial of that id with what it came to, and add its calibration if any.

        Raises:
            InputError: it has no ``ended_at``.
            NotKnownError: no open trial has this id.
        """
        ...


def sensors_away(trials: Sequence[SaltTrial]) -> frozenset[str]:
    """The devices that are in a jar now."""
    return frozenset(one.device for one in trials if one.ended_at is None)
