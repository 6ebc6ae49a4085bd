"""What every page says around its own matter: how the shed is, and what is amiss with settings."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameView:
    """``as_of`` is the local time of the page; ``trouble`` says that nothing is live, and why.

    ``night``: the shed is dark. ``faults`` are those of the settings file,
    ``notes`` what the watch has to tell: that readings can't be stored, for example.
    """

    title: str
    shed_name: str
    as_of: str
    night: bool
    verdict: str
    trouble: str | None
    last_heard: str
    faults: tuple[str, ...]
    notes: tuple[str, ...]
