"""The steps from a bare machine to a live value, and which of them comes next. Pure.

Nothing is remembered about them: what is set tells how far the keeper has come, so leaving
and coming back continues.
"""

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from service.nests.place import PlaceKind
from service.settings.settings import Settings
from service.settings.written import is_loopback


class Step(StrEnum):
    """One question a page, in this order; the value is the last part of its address."""

    KEEPER = "keeper"
    SHED = "shed"
    LAMPS = "lamps"
    CAGES = "cages"
    PHONES = "phones"
    SENSOR = "sensor"

    @property
    def address(self) -> str:
        """Where its page is."""
        return f"/first/{self.value}"

    @property
    def words(self) -> str:
        """What it is about."""
        return _WORDS[self]


_WORDS = {
    Step.KEEPER: "the first keeper",
    Step.SHED: "the shed",
    Step.LAMPS: "lamps",
    Step.CAGES: "cages and boxes",
    Step.PHONES: "phones and tablets",
    Step.SENSOR: "the first sensor",
}


STEPS = tuple(Step)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepFrame:
    """What stands around one question: ``3 of 6``, the way back, and the way past it.

    ``back`` and ``skip`` are addresses, None where there is no such way.
    """

    number: int
    of: int
    back: str | None
    skip: str | None


def step_frame(step: Step) -> StepFrame:
    """The frame of a step; the last leads on to all pages."""
    at = STEPS.index(step)
    return StepFrame(
        number=at + 1,
        of=len(STEPS),
        back=STEPS[at - 1].address if at else None,
        skip=STEPS[at + 1].address if at + 1 < len(STEPS) else "/start",
    )


def after(step: Step) -> str:
    """The address that follows a step."""
    return step_frame(step).skip or "/start"


def steps_set(settings: Settings, *, has_keeper: bool, has_value: bool) -> frozenset[Step]:
    """The steps whose answer is set."""
    places = {place.kind for place in settings.places}
    told = {
        Step.KEEPER: has_keeper,
        Step.SHED: settings.site.latitude is not None,
        Step.LAMPS: settings.light.schedule is not None,
        Step.CAGES: bool(places & {PlaceKind.CAGE, PlaceKind.BOX}),
        Step.PHONES: not is_loopback(settings.bind),
        Step.SENSOR: has_value,
    }
    return frozenset(step for step, is_set in told.items() if is_set)


def next_step(done: Collection[Step]) -> Step | None:
    """Where to go on; None once there is a keeper and a value.

    A question may be answered with "none", which leaves nothing behind: whatever lies before
    an answer that is set was passed, but for the keeper.
    """
    if Step.KEEPER not in done:
        return Step.KEEPER
    if Step.SENSOR in done:
        return None
    last = max(STEPS.index(step) for step in done)
    return STEPS[last + 1]
