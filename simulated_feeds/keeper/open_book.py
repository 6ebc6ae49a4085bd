"""The book while the keeper writes it: which clutch a box's card shows, and what lies where."""

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from simulated_feeds.keeper.look import Look
from simulated_feeds.keeper.rows import ChickRow, ClutchRow, EggRow

# So long without an egg and laying is over: common practice, no source.
_LAYING_IS_OVER = timedelta(days=5)


@dataclass(slots=True, eq=False)
class OpenEgg:
    """``home`` is the box that it was laid in, ``box`` where it is."""

    name: str
    row: EggRow
    clutch: "OpenClutch"
    home: str
    box: str
    chick: ChickRow | None = None
    moved_at: datetime | None = None

    @property
    def is_over(self) -> bool:
        """Whether it, or its chick, has its fate."""
        return self.row.fate is not None if self.chick is None else self.chick.fate is not None


@dataclass(slots=True, eq=False)
class OpenClutch:
    """``name`` is the true one; ``sat`` says that the hen was seen sitting on it."""

    name: str
    row: ClutchRow
    eggs: list[OpenEgg] = field(default_factory=list)
    sat: bool = False


@dataclass(frozen=True, slots=True)
class Before:
    """Of a box's clutch before a look."""

    known: int
    sat: bool
    hide_in: bool


class OpenBook:
    """Clutches and eggs by their true names, in the order of their numbers."""

    def __init__(self) -> None:
        self.clutches: dict[str, OpenClutch] = {}
        self.eggs: dict[str, OpenEgg] = {}
        self._shown: dict[str, OpenClutch] = {}
        self._looked: dict[str, datetime] = {}
        self._chicks = 0

    def of_look(self, look: Look, pair: int) -> OpenClutch | None:
        """The clutch on the box's card: a new one when the first egg of one is found."""
        name = look.clutch
        if look.found and name is not None and name not in self.clutches:
            row = ClutchRow(
                clutch=len(self.clutches) + 1,
                box=look.box,
                pair=pair,
                round=int(name.split(".")[1]),
            )
            self.clutches[name] = self._shown[look.box] = OpenClutch(name, row)
        return self._shown.get(look.box)

    def copy_of(self, clutch: OpenClutch | None) -> Before:
        """What was known before the look."""
        if clutch is None:
            return Before(known=0, sat=False, hide_in=False)
        return Before(
            known=len(clutch.eggs), sat=clutch.sat, hide_in=clutch.row.hide_in_at is not None
        )

    def add(self, name: str, row: EggRow, box: str) -> None:
        """An egg was found."""
        clutch = self._shown[box]
        egg = OpenEgg(name=name, row=row, clutch=clutch, home=box, box=box)
        clutch.eggs.append(egg)
        self.eggs[name] = egg

    def next_chick(self) -> int:
        """The number of the next chick."""
        self._chicks += 1
        return self._chicks

    def close(self, look: Look, clutch: OpenClutch | None) -> bool:
        """Close what is over by this look; says whether the box's own clutch was."""
        for other in {self.eggs[name].clutch.name for name, _ in (*look.gone, *look.lost)}:
            self._close_of_guests(self.clutches[other], clutch, look.at)
        if clutch is None or clutch.row.closed_at is not None or not clutch.eggs:
            return False
        if any(egg.box == clutch.row.box and not egg.is_over for egg in clutch.eggs):
            return False
        hatched = any(egg.chick is not None for egg in clutch.eggs)
        if not hatched and look.at - clutch.eggs[-1].row.laid_to < _LAYING_IS_OVER:
            return False
        clutch.row = replace(clutch.row, closed_at=look.at)
        return True

    def _close_of_guests(self, other: OpenClutch, clutch: OpenClutch | None, at: datetime) -> None:
        """A clutch whose last egg or chick got its fate in another box."""
        if other is clutch or other.row.closed_at is not None:
            return
        if any(egg.chick is not None for egg in other.eggs) and all(
            egg.is_over for egg in other.eggs
        ):
            other.row = replace(other.row, closed_at=at)

    def looked(self, look: Look) -> None:
        """The look is written."""
        self._looked[look.box] = look.at
        clutch = self._shown.get(look.box)
        if clutch is not None and clutch.eggs and look.hen == "sitting":
            clutch.sat = True

    def looked_at(self, box: str) -> datetime | None:
        """The last look into a box before this one."""
        return self._looked.get(box)
