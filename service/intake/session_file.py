"""What we remember, from start to start, of the session that the broker keeps for us."""

import json
import logging
from collections.abc import Collection
from pathlib import Path

log = logging.getLogger(__name__)

SESSION_FILE = "broker-session-known"


class SessionFile:
    """Whether the broker knew us, and which topic filters we may be subscribed to there.

    A broker goes on sending what was once subscribed to, long after the configuration has
    forgotten it; so we must not. Without a folder all is remembered only while we run.
    ``known`` is True from the first confirmed subscription on. ``filters`` are none where an
    older file, which is empty, or a damaged one does not tell.
    """

    def __init__(self, folder: Path | None) -> None:
        self._file = None if folder is None else folder / SESSION_FILE
        self.known = self._file is not None and self._file.exists()
        self.filters = _read(self._file) if self._file is not None and self.known else frozenset()

    def remember(self, filters: Collection[str]) -> None:
        """Note the filters that the broker may have, and that it knows us."""
        if self.known and self.filters == set(filters):
            return
        self.known = True
        self.filters = frozenset(filters)
        if self._file is None:
            return
        try:
            unfinished = self._file.with_suffix(".new")
            unfinished.write_text(json.dumps(sorted(filters)), encoding="utf-8")
            unfinished.replace(self._file)
        except OSError as error:
            log.warning("cannot write %s: %s", self._file, error.strerror)


def _read(file: Path) -> frozenset[str]:
    try:
        told = json.loads(file.read_text(encoding="utf-8") or "[]")
    except (OSError, ValueError) as error:
        log.warning("cannot read %s: %s", file, error)
        return frozenset()
    if not isinstance(told, list):
        return frozenset()
    return frozenset(name for name in told if isinstance(name, str))
