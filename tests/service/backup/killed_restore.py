"""Restores that are killed at their n-th step on the disk. Run by a test.

    python killed_restore.py

Reads lines "ARCHIVE<tab>DATA<tab>N" and answers each with "killed", "done" or "failed". Each
restore runs in a process of its own, forked, so that hundreds of them take seconds.

A step is anything that Python is about to do to a file (PEP 578 audit events of open,
rename, mkdir, remove, rmdir, chmod, chown), and each connection to SQLite.
"""

import os
import signal
import sys
from pathlib import Path

from service.backup.restoring import restore
from tests.service.backup.kept_shed import NOW

STEPS = ("os.", "open", "shutil.", "sqlite3.")


def restored(archive: Path, data: Path, kill_at: int) -> None:
    left = kill_at

    def step(event: str, _arguments: tuple[object, ...]) -> None:
        nonlocal left
        if event.startswith(STEPS):
            left -= 1
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(step)
    restore(archive, data, now=NOW)


def in_a_process(archive: Path, data: Path, kill_at: int) -> str:
    child = os.fork()
    if child == 0:
        status = 3
        try:
            restored(archive, data, kill_at)
            status = 0
        finally:
            os._exit(status)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return {0: "done", -signal.SIGKILL: "killed"}.get(status, "failed")


def main() -> None:
    for line in sys.stdin:
        archive, data, kill_at = line.rstrip("\n").split("\t")
        sys.stdout.write(f"{in_a_process(Path(archive), Path(data), int(kill_at))}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
