"""What a keeper may set of a rule that is no limit: on or off, and its numbers within bounds. Pure.

A limit is set whole (``limit.py``); any other kind of rule states here what may be set of it, once
for all places that it watches.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """One number of a rule. ``words`` stand before it in a form, ``unit`` behind it.

    ``key`` ends with its unit (``for_min``). ``usual`` holds where nothing is set; ``least`` and
    ``most`` are the bounds, both allowed: beyond them the rule would be another one.
    """

    key: str
    words: str
    unit: str
    usual: float
    least: float
    most: float

    def __post_init__(self) -> None:
        if not self.least <= self.usual <= self.most:
            raise ValueError(f"{self.key}: {self.usual} is outside {self.least} to {self.most}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Settable:
    """A kind of rule as a keeper sets it.

    ``kind`` is what stands before the colon of its rules' ids, ``name`` what people call it,
    ``says`` one sentence of when it speaks, ``needs`` the sensors or records without which it
    can't. ``usually_on`` holds where nothing is set.
    """

    kind: str
    name: str
    says: str
    needs: str
    numbers: tuple[Number, ...] = ()
    usually_on: bool = True

    @property
    def usual(self) -> Mapping[str, float]:
        """The usual numbers by their keys."""
        return {number.key: number.usual for number in self.numbers}
