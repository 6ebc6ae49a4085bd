"""What is supposed of a shed before it was seen: the stated prior of the outlook.

It comes from simulated sheds in the weather of typical years, see ``made`` in the file beside
this one; ``tests/benchmarks/outlook_priors.py`` makes it anew.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files

import msgspec
import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Chosen = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class FallPrior:
    """Of one kind of fall at one hour, in features less ``mean`` over ``sd``.

    ``moments`` is the lower triangle, row by row, of the mean of z z' of a night; ``errors`` are
    equally likely errors in units of their size.
    """

    names: tuple[str, ...]
    mean: tuple[float, ...]
    sd: tuple[float, ...]
    moments: tuple[float, ...]
    weights: tuple[float, ...]
    size_k: float
    size_per_k: float
    errors: tuple[float, ...]

    @cached_property
    def square(self) -> Numbers:
        """The moments as a symmetric matrix."""
        size = len(self.names)
        found = np.zeros((size, size))
        found[np.tril_indices(size)] = self.moments
        return np.asarray(found + np.tril(found, -1).T)


@dataclass(frozen=True, kw_only=True)
class DampPrior:
    """Of condensation at one hour: the margin's fall, and the chance by it.

    ``information`` is what one night tells of the three numbers of ``logit``, row by row.
    """

    margin: FallPrior
    logit: tuple[float, float, float]
    information: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class HourPrior:
    """Of one hour, counted from lamps-off."""

    shed: FallPrior
    outdoors: FallPrior
    damp: DampPrior
    damp_outdoors: DampPrior


@dataclass(frozen=True, kw_only=True)
class OutlookPrior:
    """Of all hours; ``made`` says how, in words."""

    made: str
    hours: Mapping[int, HourPrior]


@cache
def stated_prior() -> OutlookPrior:
    """The prior that comes with the program."""
    text = (files("service.study") / "outlook_prior.json").read_bytes()
    return msgspec.json.decode(text, type=OutlookPrior)
