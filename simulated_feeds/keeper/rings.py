"""The numbers on the rings of the year's chicks."""

from simulated_feeds.birds.states import EggState, instant

_A_BOX = 20


class Rings:
    """Each box has twenty numbers, each round of a box the next stretch of them."""

    def __init__(self, *, boxes: int) -> None:
        self._stride = _A_BOX * (1 + boxes) if boxes > 9 else 200
        self._seen: dict[str, list[str]] = {}

    def next_for(self, egg: EggState) -> str:
        """A ring that no other chick has; the year is that of its hatching."""
        clutch = egg.clutch
        of_box = self._seen.setdefault(clutch.box, [])
        if clutch.name not in of_box:
            of_box.append(clutch.name)
        box = int("".join(sign for sign in clutch.box if sign.isdigit()) or 0)
        number = self._stride * of_box.index(clutch.name) + _A_BOX * box + egg.number
        year = instant(egg.chick.hatched_s).year if egg.chick else 0
        return f"HZ-{year % 100:02d}-{number:03d}"
