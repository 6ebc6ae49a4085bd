"""Calibrations and salt trials, in records.db."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import Connection, RowMapping, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.errors import InputError, NotKnownError
from service.quality.correction import Correction
from service.store.calibration_store import Calibration, SaltTrial
from service.store.kept_settings import Change
from service.store.sql_engine import Transactions
from service.store.sql_kept_settings import note_change
from service.store.sql_tables import CALIBRATIONS, SALT_TRIALS


class SqlCalibrations:
    """Fulfils ``CalibrationStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def revision(self) -> int:
        # Rows are never removed and a trial ends once, so that the sum only grows.
        count = func.count
        made = select(count(CALIBRATIONS.c.id)).scalar_subquery()
        begun = select(count(SALT_TRIALS.c.id)).scalar_subquery()
        ended = select(count(SALT_TRIALS.c.ended_at)).scalar_subquery()
        asked = select(made + begun + ended)
        return int(self._transactions.read(lambda found: found.execute(asked).scalar_one()))

    def calibrations(self) -> Sequence[Calibration]:
        asked = select(*CALIBRATIONS.c).order_by(CALIBRATIONS.c.id)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [_calibration(row) for row in rows]

    def add(self, calibration: Calibration, *, change: Change | None = None) -> Calibration:
        def write(connection: Connection) -> Calibration:
            _note(connection, change)
            return _add(connection, calibration)

        return self._transactions.write(write)

    def trials(self) -> Sequence[SaltTrial]:
        asked = select(*SALT_TRIALS.c).order_by(SALT_TRIALS.c.id)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [SaltTrial(**row) for row in rows]

    def start_trial(
        self,
        device: str,
        salt: str,
        *,
        by: str | None,
        at: datetime,
        change: Change | None = None,
    ) -> SaltTrial:
        row = {"device": device, "salt": salt, "started_at": at, "started_by": by}

        def write(connection: Connection) -> SaltTrial:
            made = connection.execute(insert(SALT_TRIALS).values(row)).inserted_primary_key
            assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
            _note(connection, change)
            return SaltTrial(
                id=int(made[0]), device=device, salt=salt, started_at=at, started_by=by
            )

        try:
            return self._transactions.write(write)
        except IntegrityError as error:
            raise InputError(f"{device} is in a jar already: end that trial first.") from error

    def end_trial(
        self,
        trial: SaltTrial,
        *,
        calibration: Calibration | None = None,
        change: Change | None = None,
    ) -> None:
        ended = {
            "ended_at": trial.ended_at,
            "measured_pct": trial.measured_pct,
            "target_pct": trial.target_pct,
            "temperature_c": trial.temperature_c,
        }
        if trial.ended_at is None:
            raise InputError(f"The trial of {trial.device} needs the time at which it ended.")
        still_open = (SALT_TRIALS.c.id == trial.id) & SALT_TRIALS.c.ended_at.is_(None)

        def write(connection: Connection) -> None:
            done = connection.execute(update(SALT_TRIALS).where(still_open).values(ended))
            if done.rowcount != 1:
                raise NotKnownError(f"{trial.device} has no such open trial any more.")
            if calibration is not None:
                _add(connection, calibration)
            _note(connection, change)

        self._transactions.write(write)


def _add(connection: Connection, calibration: Calibration) -> Calibration:
    correction = calibration.correction
    row = {
        "device": correction.device,
        "quantity": correction.quantity,
        "since": correction.since,
        "slope": correction.slope,
        "offset": correction.offset,
        "method": calibration.method,
        "reference": calibration.reference,
        "before": calibration.before,
        "after": calibration.after,
        "by": calibration.by,
        "made_at": calibration.made_at,
    }
    made = connection.execute(insert(CALIBRATIONS).values(row)).inserted_primary_key
    assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
    return replace(calibration, id=int(made[0]))


def _note(connection: Connection, change: Change | None) -> None:
    if change is not None:
        note_change(connection, change)


def _calibration(row: RowMapping) -> Calibration:
    return Calibration(
        id=row["id"],
        correction=Correction(
            device=row["device"],
            quantity=row["quantity"],
            since=row["since"],
            slope=row["slope"],
            offset=row["offset"],
        ),
        method=row["method"],
        reference=row["reference"],
        before=row["before"],
        after=row["after"],
        by=row["by"],
        made_at=row["made_at"],
    )
