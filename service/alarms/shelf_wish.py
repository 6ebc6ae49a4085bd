"""What a page asks of watch when a person shelves a rule or takes it out of service, as text."""

from datetime import timedelta
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from service.alarms.suppression import LONGEST_REASON
from service.errors import InputError


class ShelfWish(BaseModel):
    """``for_s`` is how long [s]; None: as long as is allowed, or without an end where a rule is
    taken out of service. ``one_shot``: until the condition is over, if that is sooner.
    """

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    reason: str
    for_s: Annotated[float, Field(gt=0.0, le=400 * 86400.0)] | None = None
    one_shot: bool = False

    @property
    def span(self) -> timedelta | None:
        """How long, None where that was not asked."""
        return None if self.for_s is None else timedelta(seconds=self.for_s)

    @property
    def tidy_reason(self) -> str:
        """The reason on one line.

        Raises:
            InputError: there is none, or it is too long.
        """
        told = " ".join(self.reason.split())
        if not told:
            raise InputError("Say in a few words why: a reason is missing.")
        if len(told) > LONGEST_REASON:
            raise InputError(
                f"The reason has {len(told)} characters; {LONGEST_REASON} at most are kept."
            )
        return told

    def to_text(self) -> str:
        """As it stands in a request."""
        return self.model_dump_json()


def wish_from(text: str | None) -> ShelfWish:
    """The wish that stands in a request.

    Raises:
        InputError: it is none.
    """
    try:
        return ShelfWish.model_validate_json(text or "")
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "the wish"
        raise InputError(f"What was asked can't be read: {where}: {first['msg']}.") from error
