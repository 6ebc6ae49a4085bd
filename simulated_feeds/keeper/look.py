"""One look into a box: what the keeper saw and did there. Eggs and chicks by their true names."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """An egg, or the chick out of it, on the hand scale."""

    egg: str
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """``pair`` counts from 1, ``clutch`` is the name of the pair's clutch that lies or last lay
    there (None before its first egg was found).

    ``lying`` are eggs that were seen (guests among them), ``sitting`` chicks, both at the end of
    the look. ``lost``, ``candled``, ``ringed`` and ``gone`` are (egg, word).
    """

    at: datetime
    box: str
    pair: int
    clutch: str | None
    lying: tuple[str, ...]
    sitting: tuple[str, ...]
    hen: str
    found: tuple[str, ...] = ()
    hatched: tuple[str, ...] = ()
    lost: tuple[tuple[str, str], ...] = ()
    candled: tuple[tuple[str, str], ...] = ()
    ringed: tuple[tuple[str, str], ...] = ()
    gone: tuple[tuple[str, str], ...] = ()
    not_in_sight: tuple[str, ...] = ()
    bedding: str | None = None
    thrown_out: bool = False
    put_back: bool = False
    taken_out: bool = False
    weighed: tuple[Weighed, ...] = ()
    hide_in: bool = False
