"""A child ends with its parent, also with one that is killed without a chance to end it.

Else it would be left behind holding the ports and locks that the next parent needs. The
kernel (Linux) is asked for it: prctl(2), PR_SET_PDEATHSIG. It counts for the thread that
starts the child, so start it from one that lives as long as the process.
"""

import ctypes
import os
import signal
from collections.abc import Callable, MutableMapping

_PR_SET_PDEATHSIG = 1
_PARENT = "CLUTCHWEATHER_PARENT"


def ends_with_its_parent() -> Callable[[], None]:
    """For ``preexec_fn``, where the child is another's program. Does one system call."""
    prctl = getattr(ctypes.CDLL(None), "prctl", None)
    return lambda: prctl and prctl(_PR_SET_PDEATHSIG, signal.SIGTERM)


def environment_of_a_child() -> dict[str, str]:
    """The environment in which our own program knows whose child it is."""
    return {**os.environ, _PARENT: str(os.getpid())}


def end_with_parent(environment: MutableMapping[str, str] = os.environ) -> None:
    """In a child of our own: ask for it; end at once where the parent is gone already."""
    parent = environment.pop(_PARENT, None)
    if parent is None:
        return
    ends_with_its_parent()()
    if os.getppid() != int(parent):
        os.kill(os.getpid(), signal.SIGTERM)
