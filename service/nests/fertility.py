"""Whether an egg was fertile, as far as anybody knows. Pure."""

from service.nests.nest import Candling, Egg, EggFate


def fertility(egg: Egg) -> bool | None:
    """Whether it was fertile; None where nobody knows.

    What became of it outweighs the light: a chick in it, hatched or dead, proves it fertile. A
    light that showed nothing sure, and an addled, broken or missing egg that no light had gone
    through, prove nothing.
    """
    if egg.fate in (EggFate.HATCHED, EggFate.DEAD_IN_SHELL):
        return True
    if egg.fate is EggFate.CLEAR or egg.candling is Candling.CLEAR:
        return False
    return True if egg.candling is Candling.FERTILE else None
