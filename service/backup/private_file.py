"""Files that nobody but their owner may read, from their first moment on."""

import os
from pathlib import Path
from typing import BinaryIO


def new_private_file(file: Path) -> BinaryIO:
    """Open a file for writing that is not there yet.

    Raises:
        FileExistsError: it is there.
        OSError: it can't be made.
    """
    return os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb")


def give_to_the_owner(made: Path, data: Path) -> None:
    """What root makes in a data folder belongs to whom the folder belongs to."""
    if os.geteuid() == 0 and made.is_relative_to(data):
        owner = data.stat()
        os.chown(made, owner.st_uid, owner.st_gid, follow_symlinks=False)


def sync_folder(folder: Path) -> None:
    """Have the names in a folder, as they are now, written to the disk."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
