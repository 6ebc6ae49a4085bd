"""Between which instants eggs were laid that one look found together. Pure."""

from datetime import datetime, timedelta
from itertools import pairwise

from service.nests.span import Span
from service.nests.species import DaySpan


def laid_between(
    count: int, since: datetime | None, until: datetime, interval: DaySpan
) -> tuple[Span, ...]:
    """One span for each of ``count`` new eggs, in laying order.

    ``since`` is the last look without them; None where there was none: then laying is taken
    to have gone on up to this look (``until``). One egg fills the whole time between the
    looks. Of several each leaves the others their interval; where there is less time than
    that, they share it evenly.
    """
    least = timedelta(days=interval.least)
    if since is None:
        since = until - count * timedelta(days=interval.most)
    if since + (count - 1) * least > until:
        # Divided last, so that rounding never puts the last egg after the look that found it.
        parts = [since + place * (until - since) / count for place in range(count + 1)]
        return tuple(Span(since=begin, until=end) for begin, end in pairwise(parts))
    return tuple(
        Span(since=since + place * least, until=until - (count - 1 - place) * least)
        for place in range(count)
    )


def most_eggs_between(since: datetime, until: datetime, interval: DaySpan) -> int:
    """How many eggs one hen can have laid since a look that saw none of them."""
    if interval.least == 0:
        return 1_000
    return int((until - since) / timedelta(days=interval.least)) + 1
