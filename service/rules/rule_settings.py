"""What is set of the rules that are no limits, over what is usual. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from service.rules.settable import Settable
from service.rules.settables import BY_KIND


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSet:
    """One kind of rule as the keeper set it; ``numbers`` holds only those that were told."""

    is_on: bool
    numbers: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSettings:
    """``told`` are the kinds of which something is set. All others are as usual.

    ``known`` are the kinds that there are; a test may give its own.
    """

    told: Mapping[str, RuleSet] = field(default_factory=dict)
    known: Mapping[str, Settable] = field(default_factory=lambda: BY_KIND)

    def is_on(self, kind: str) -> bool:
        """Whether rules of that kind hold.

        Raises:
            KeyError: there is no such kind.
        """
        usual = self.known[kind].usually_on
        return self.told[kind].is_on if kind in self.told else usual

    def number(self, kind: str, key: str) -> float:
        """A number of that kind of rule, in the unit that stands in its key.

        Raises:
            KeyError: there is no such kind, or it has no such number.
        """
        usual = self.known[kind].usual[key]
        return self.told[kind].numbers.get(key, usual) if kind in self.told else usual
