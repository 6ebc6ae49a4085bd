"""A restore that is killed at its n-th step on the disk. Run by a test.

    python killed_restore.py ARCHIVE DATA N

A step is anything that Python is about to do to a file (PEP 578 audit events of open,
rename, mkdir, remove, rmdir, chmod, chown), and each statement to SQLite's connect.
Ends with status 0 where there were fewer steps.
"""

import os
import signal
import sys
from pathlib import Path

from service.backup.restoring import restore
from tests.service.backup.kept_shed import NOW

STEPS = ("os.", "open", "shutil.", "sqlite3.")


def main() -> None:
    left = int(sys.argv[3])

    def step(event: str, _arguments: tuple[object, ...]) -> None:
        nonlocal left
        if event.startswith(STEPS):
            left -= 1
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(step)
    restore(Path(sys.argv[1]), Path(sys.argv[2]), now=NOW)


if __name__ == "__main__":
    main()
