"""The simulated shed's places: shed, outdoors, a flight, nine cages with a box each."""

from simulated_feeds.keeper.story import Place, places_of

BOXES = tuple(f"box-{number}" for number in range(1, 10))


def places() -> tuple[Place, ...]:
    """All of them, in walking order."""
    return places_of(len(BOXES))
