"""Was a form filled in upon what stands now? Each carries a mark of what it showed. Pure.

Of two who open the same form, the second to send it would else put back, without knowing, what
the first has just changed.
"""

import hashlib
from collections.abc import Mapping

FIELD = "as_shown"
MEANWHILE = (
    "Somebody else has changed this since you opened it, so nothing of yours was kept yet. What "
    "you typed stands below; what holds now stands beside it. Look at both, then send it again."
)


def mark_of(shown: object) -> str:
    """A short mark that is another one as soon as anything of it is."""
    return hashlib.sha256(repr(shown).encode()).hexdigest()[:16]


def is_stale(sent: Mapping[str, str], stands: object) -> bool:
    """Whether a form was served with something else. One without a mark is taken at its word."""
    return sent.get(FIELD, mark_of(stands)) != mark_of(stands)
