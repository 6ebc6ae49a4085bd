"""Whether and when an egg hatches. Pure."""

from service.nests.nest import Candling, Egg
from service.nests.sitting import Sitting, growth_began
from service.nests.span import Span
from service.nests.species import SpeciesSettings


def hatch_span(egg: Egg, began: Sitting, species: SpeciesSettings) -> Span:
    """When this egg hatches if it does: later of laid and sat on, plus the species' span."""
    return growth_began(egg, began).after(species.hatch_after_sitting)


def may_hatch(egg: Egg) -> bool:
    """It lies there, and no light has shown it clear."""
    return egg.fate is None and egg.candling is not Candling.CLEAR
