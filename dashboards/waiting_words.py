"""How long somebody has to wait, in words that promise nothing too early. Pure."""

import math


def wait_words(seconds: float) -> str:
    """``in 40 seconds``, ``in 3 minutes``: rounded up."""
    if seconds <= 90:
        whole = max(1, math.ceil(seconds))
        return f"in {whole} second{'s' if whole != 1 else ''}"
    return f"in {math.ceil(seconds / 60)} minutes"
