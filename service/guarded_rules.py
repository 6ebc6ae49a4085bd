"""The paths of rules beside the limits, so that a fault in one of them stops nothing else.

Limits, silence and storing go on; the fault is told as a trouble, and each path goes on with the
next reading.
"""

import logging
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from functools import partial

from service.errors import StoreUnavailableError
from service.quality.flag import Judged
from service.rule_path import RulePath
from service.store.reading_store import ReadingStore

log = logging.getLogger(__name__)

_AGAIN_AFTER = timedelta(minutes=1)


class GuardedRules:
    """Several paths as one, which raises nothing. For one thread."""

    def __init__(self, paths: Sequence[RulePath] = ()) -> None:
        self._paths = tuple(paths)
        self._faults: dict[str, str] = {}
        self._not_before: dict[str, datetime] = {}

    @property
    def trouble(self) -> str | None:
        """What went wrong since the start, in words; None where nothing did."""
        if not self._faults:
            return None
        told = "; ".join(f"{path}: {fault}" for path, fault in self._faults.items())
        return f"a fault in this service: some rules may not have spoken ({told})"

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up where the stored readings and the open alarms left off.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        for path in self._paths:
            self._try(path, partial(path.restore, store, now))

    def reading(self, judged: Judged) -> None:
        """One reading, not older than a day when it came."""
        for path in self._paths:
            try:
                path.reading(judged)
            except Exception as error:  # noqa: BLE001 - whatever it is, the limits go on
                self._note(path, error)

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which something is due without a reading."""
        deadlines = [at for path in self._paths if (at := self._deadline_of(path)) is not None]
        return min(deadlines) if deadlines else None

    def _deadline_of(self, path: RulePath) -> datetime | None:
        at, not_before = path.next_deadline(), self._not_before.get(type(path).__name__)
        return at if at is None or not_before is None else max(at, not_before)

    def tick(self, now: datetime) -> None:
        """Do what is due at ``now``."""
        for path in self._paths:
            if not self._try(path, partial(path.tick, now)):
                # Its deadline may stand still: it must not be come back to for ever.
                self._not_before[type(path).__name__] = now + _AGAIN_AFTER

    def _try(self, path: RulePath, step: Callable[[], None]) -> bool:
        """Whether it went well."""
        try:
            step()
        except StoreUnavailableError:
            raise
        except Exception as error:  # noqa: BLE001 - as above
            self._note(path, error)
            return False
        return True

    def _note(self, path: RulePath, error: Exception) -> None:
        name, fault = type(path).__name__, f"{type(error).__name__}: {error}"
        if self._faults.get(name) != fault:
            log.exception("a fault of ours in %s", name)
        self._faults[name] = fault
