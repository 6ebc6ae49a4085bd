"""A file that is replaced at once: whoever reads it finds the old one or the new one."""

import os
import tempfile
from pathlib import Path


def replace_file(file: Path, content: str | bytes, mode: int) -> None:
    """Write ``content`` beside ``file``, sync it, and put it in its place.

    Args:
        file: Where it shall stand; its folder must be there.
        content: Text is written as UTF-8.
        mode: The permissions, whatever the umask is.
    """
    octets = content.encode() if isinstance(content, str) else content
    with tempfile.NamedTemporaryFile(dir=file.parent, prefix=".new-", delete=False) as new:
        try:
            new.write(octets)
            new.flush()
            os.fchmod(new.fileno(), mode)
            os.fsync(new.fileno())
            Path(new.name).replace(file)
        except BaseException:
            Path(new.name).unlink(missing_ok=True)
            raise
    folder = os.open(file.parent, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
