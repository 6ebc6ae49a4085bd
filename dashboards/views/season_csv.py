"""The sums of a season as one CSV file, a pair a line and all of them at the end. Pure.

RFC 4180; cells that a spreadsheet could take for a formula have an apostrophe before them.
Shares are between 0 and 1, their intervals hold the truth nine times in ten. Empty: not known.
"""

import csv
from collections.abc import Iterator
from datetime import datetime
from io import StringIO

from dashboards.views.bird_names import bird_label
from dashboards.views.season_view import season_name
from service.book.cell_guard import guarded
from service.book.plain_cells import time_written
from service.nests.nest import EggFate
from service.nests.season_sum import LOSSES, SeasonSum, Sum
from service.nests.share import Share

_SHARES = ("fertile", "hatched", "fledged")
COLUMNS = (
    "season",
    "pair",
    "cock",
    "hen",
    "cage",
    "put_up_on",
    "clutches",
    "eggs",
    *(
        f"{share}{part}"
        for share in _SHARES
        for part in ("", "_of_known", "_share", "_share_low", "_share_high")
    ),
    "eggs_lying",
    "chicks_in_box",
    "chicks_moved",
    *(
        f"{'egg' if isinstance(fate, EggFate) else 'chick'}_{fate.replace(' ', '_')}"
        for fate in LOSSES
    ),
    "first_egg_from",
    "first_egg_to",
    "first_hatch_from",
    "first_hatch_to",
    "last_out_at",
)


def season_csv(found: SeasonSum) -> str:
    """The whole file."""
    told = StringIO(newline="")
    writer = csv.writer(told, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    name = season_name(found.season)
    for one in found.pairs:
        pair = one.pair
        who = (str(pair.id), bird_label(pair.cock), bird_label(pair.hen), pair.cage)
        head = (name, *who, pair.put_up_on.isoformat())
        writer.writerow([guarded(cell) for cell in (*head, *_sum(one.sum))])
    head = (name, "all", "", "", "", "")
    writer.writerow([guarded(cell) for cell in (*head, *_sum(found.all))])
    return told.getvalue()


def _sum(told: Sum) -> Iterator[str]:
    yield from (str(told.clutches), str(told.eggs))
    for share in (told.fertile_share, told.hatched_share, told.fledged_share):
        yield from _share(share)
    yield from (str(told.lying), str(told.in_box), str(told.moved))
    lost = dict(told.losses)
    yield from (str(lost.get(fate, 0)) for fate in LOSSES)
    for span in (told.first_egg, told.first_hatch):
        yield _time(span.since if span else None)
        yield _time(span.until if span else None)
    yield _time(told.last_out)


def _share(share: Share) -> Iterator[str]:
    interval = share.interval()
    yield from (str(share.count), str(share.of))
    if share.value is None or interval is None:
        yield from ("", "", "")
    else:
        yield from (f"{part:.4f}" for part in (share.value, interval.low, interval.high))


def _time(at: datetime | None) -> str:
    return "" if at is None else time_written(at)
