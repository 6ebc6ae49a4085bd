"""One data folder, one copy: a lock file that the kernel lets go of when its holder dies."""

import fcntl
import os
from pathlib import Path
from types import TracebackType
from typing import Self

from service.errors import AlreadyRunningError

LOCK_FILE = "clutchweather.lock"


class DataLock:
    """Held from construction until ``release``, or until the process ends in any way.

    Args:
        data: The data folder; made when missing.

    Raises:
        AlreadyRunningError: another process holds the folder; the message tells which.
    """

    def __init__(self, data: Path) -> None:
        data.mkdir(parents=True, exist_ok=True)
        self.path = data.resolve() / LOCK_FILE
        self._descriptor = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
        try:
            fcntl.flock(self._descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            holder = os.pread(self._descriptor, 32, 0).decode("ascii", "replace").strip()
            os.close(self._descriptor)
            raise AlreadyRunningError(
                f"{data}: another copy of Clutchweather is at work in this data folder "
                f"(process {holder or 'unknown'}). Stop that one first, or give this one a "
                "folder of its own with --data."
            ) from None
        os.ftruncate(self._descriptor, 0)
        os.pwrite(self._descriptor, f"{os.getpid()}\n".encode(), 0)

    def release(self) -> None:
        """Let go. The file stays: removing it would let two holders lock two files."""
        if self._descriptor >= 0:
            os.close(self._descriptor)
            self._descriptor = -1

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.release()
