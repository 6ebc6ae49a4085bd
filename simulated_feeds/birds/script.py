"""What a scenario fixes beforehand of one pair's round; after it things go their own way."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ScriptedEgg:
    """``hatched_at`` is None for an egg that is lost, or of which nothing is fixed but that it
    is fertile. ``lost`` is its fate and the day on which the keeper finds it so.
    """

    laid_at: datetime
    hatched_at: datetime | None = None
    lost: tuple[date, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Script:
    """``candled`` gives for a day the result of each egg by its number.

    ``is_whole`` says that no egg follows those of the script. What is not scripted does not
    happen before ``until`` [UTC].
    """

    eggs: tuple[ScriptedEgg, ...] = ()
    candled: tuple[tuple[date, tuple[tuple[int, str], ...]], ...] = ()
    is_whole: bool = False
    until: datetime
