"""Random nest books that agree with themselves, with every hostile text in them."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from hypothesis import strategies as st

from service.nests.book_correction import Subject
from service.nests.book_rows import (
    BirdRow,
    BookRow,
    BookRows,
    BoxOffRow,
    CageSizeRow,
    CheckRow,
    ChickRow,
    CleanDownRow,
    ClutchRow,
    ConditionNoteRow,
    CorrectionRow,
    EggRow,
    FitOutItemRow,
    FitOutSeenRow,
    MoveRow,
    PairRow,
    SeasonRow,
    SpanRow,
    WeighingRow,
)
from service.nests.nest import (
    BeddingLevel,
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    EggCandled,
    EggFate,
    EggLost,
    GuestSeen,
    HenSeen,
    Life,
    Sex,
    Weighed,
)
from service.nests.place import Place, PlaceKind

BOXES = 3
PLACES = (
    Place(id="shed", kind=PlaceKind.SHED, name="Shed"),
    Place(id="flight", kind=PlaceKind.FLIGHT, name="Flight", within="shed"),
    *(
        Place(id=f"cage-{n}", kind=PlaceKind.CAGE, name=f"Cage {n}", within="shed")
        for n in range(1, BOXES + 1)
    ),
    *(
        Place(id=f"box-{n}", kind=PlaceKind.BOX, name=f"Box {n}", within=f"cage-{n}")
        for n in range(1, BOXES + 1)
    ),
)
BEGIN = datetime(2025, 3, 1, 6, tzinfo=UTC)
NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)

HOSTILE = (
    '=HYPERLINK("x";"y")',
    "+1",
    "-1",
    "@SUM(A1)",
    "'",
    "''=1",
    "\ttab",
    "\rreturn",
    "\nline",
    "a\r\nb",
    'say "so"',
    '"',
    ",",
    ";",
    "\\",
    "\\;",
    "a;b,c:d=e\\",
    "\u202eright to left\u200f",
    "\ufeffmark",
    "＝1",  # noqa: RUF001
    " spaces ",
    "long " * 20,
    "é🥚",
)
# No page lets a NUL in; a lone surrogate is no character, and no file can hold one.
text = st.one_of(
    st.sampled_from(HOSTILE),
    st.text(
        st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1, max_size=12
    ),
)
perhaps_text = st.none() | text
times = st.datetimes(
    min_value=datetime(2025, 3, 1),  # noqa: DTZ001 - hypothesis wants it so
    max_value=datetime(2026, 4, 20),  # noqa: DTZ001
).map(lambda at: at.replace(tzinfo=UTC))
days = st.dates(min_value=date(2020, 1, 1), max_value=date(2026, 4, 20))
amounts = st.floats(min_value=0.001, max_value=1e6, allow_nan=False)


@st.composite
def sound_books(draw: st.DrawFn) -> BookRows:
    """A whole book; every table has rows in most of them."""
    rings = draw(st.lists(text, unique=True, min_size=12, max_size=12))
    birds = _birds(draw, rings[:4])
    pairs = _pairs(draw)
    clutches, eggs, chicks = _nests(draw, pairs, rings[4:])
    rows: list[BookRow] = [*birds, *pairs, *clutches, *eggs, *chicks]
    rows += _moves(draw, clutches, eggs)
    rows += _checks(draw, clutches, eggs)
    rows += _rest(draw, eggs)
    by_type: dict[type[BookRow], tuple[BookRow, ...]] = {}
    for row in rows:
        by_type[type(row)] = (*by_type.get(type(row), ()), row)
    return BookRows(by_type)


def _birds(draw: st.DrawFn, rings: Sequence[str]) -> list[BirdRow]:
    """Two cocks, two hens, and a youngster; its father has the larger number."""
    sexes = (Sex.COCK, Sex.HEN, Sex.COCK, Sex.HEN)
    old = [
        BirdRow(
            bird=10 + n,
            ring=draw(st.sampled_from([rings[n], None])),
            name=draw(perhaps_text),
            sex=sexes[n],
            variety=draw(perhaps_text),
            hatched_on=draw(st.sampled_from([date(2020, 1, 1), None])),
            place=draw(st.sampled_from(["flight", "cage-1", None])),
            life=draw(st.sampled_from(Life)),
            life_since=draw(st.none() | days),
        )
        for n in range(4)
    ]
    young = BirdRow(bird=3, sex=Sex.UNKNOWN, hatched_on=date(2025, 5, 1), sire=10, dam=13)
    return [young, *old]


def _pairs(draw: st.DrawFn) -> list[PairRow]:
    """One after the other in one cage, and one that stands elsewhere."""
    ended = draw(st.dates(min_value=date(2025, 6, 1), max_value=date(2026, 1, 1)))
    return [
        PairRow(pair=1, cage="cage-1", cock=10, hen=11, put_up_on=BEGIN.date(), ended_on=ended),
        PairRow(pair=2, cage="cage-1", cock=10, hen=13, put_up_on=ended),
        PairRow(pair=7, cage="cage-2", cock=12, hen=11, put_up_on=ended),
    ]


def _nests(
    draw: st.DrawFn, pairs: Sequence[PairRow], rings: Sequence[str]
) -> tuple[list[ClutchRow], list[EggRow], list[ChickRow]]:
    clutches: list[ClutchRow] = []
    eggs: list[EggRow] = []
    chicks: list[ChickRow] = []
    free = list(rings)
    for number, pair in enumerate(pairs, start=1):
        began = datetime.combine(pair.put_up_on, BEGIN.time(), UTC)
        clutches.append(
            ClutchRow(
                clutch=number,
                box=pair.cage.replace("cage", "box"),
                pair=pair.pair,
                round=draw(st.integers(1, 3)),
                sitting_from=draw(st.none() | times),
                hide_in_at=draw(st.none() | times),
                closed_at=began + timedelta(days=70) if pair.ended_on else None,
            )
        )
        for laid in range(draw(st.integers(0, 4))):
            _egg(draw, number, laid + 1, began, eggs, chicks, free)
    return clutches, eggs, chicks


def _egg(  # noqa: PLR0917 - one egg of a story
    draw: st.DrawFn,
    clutch: int,
    number: int,
    began: datetime,
    eggs: list[EggRow],
    chicks: list[ChickRow],
    rings: list[str],
) -> None:
    laid = began + timedelta(days=2 * number, microseconds=draw(st.sampled_from([0, 1, 500])))
    fate = draw(st.none() | st.sampled_from(EggFate))
    hatched = fate is EggFate.HATCHED
    until = laid + timedelta(days=18)
    egg = EggRow(
        egg=100 * clutch + number,
        clutch=clutch,
        number=number,
        laid_from=laid - timedelta(hours=12),
        laid_to=laid,
        length_mm=draw(st.none() | amounts),
        breadth_mm=draw(st.none() | amounts),
        candling=draw(st.sampled_from([None, Candling.FERTILE, Candling.UNSURE])),
        candled_at=draw(st.sampled_from([None, laid + timedelta(days=6)])),
        fate=fate,
        fate_from=laid if fate else None,
        fate_to=until if fate else None,
    )
    eggs.append(egg)
    if hatched:
        wears_one: bool = draw(st.booleans())
        ring = rings.pop() if rings and wears_one else None
        gone = draw(st.none() | st.sampled_from(ChickFate))
        chicks.append(
            ChickRow(
                chick=len(chicks) + 1,
                egg=egg.egg,
                hatched_from=laid,
                hatched_to=until,
                ring=ring,
                ringed_at=until if ring else None,
                fate=gone,
                fate_at=until if gone else None,
                bird=3 if not chicks else None,
            )
        )


def _moves(draw: st.DrawFn, clutches: Sequence[ClutchRow], eggs: Sequence[EggRow]) -> list[MoveRow]:
    if not eggs or not draw(st.booleans()):
        return []
    egg = eggs[0]
    home = next(clutch.box for clutch in clutches if clutch.clutch == egg.clutch)
    at = egg.laid_to + timedelta(hours=1)
    there = MoveRow(move=1, egg=egg.egg, at=at, from_box=home, to_box="box-3", why=draw(text))
    back = MoveRow(move=2, egg=egg.egg, at=at, from_box="box-3", to_box=home, by=draw(perhaps_text))
    return [there, back]


def _checks(
    draw: st.DrawFn, clutches: Sequence[ClutchRow], eggs: Sequence[EggRow]
) -> list[CheckRow]:
    ids = [egg.egg for egg in eggs]
    found = []
    for number in range(draw(st.integers(0, 3))):
        clutch = draw(st.sampled_from(clutches))
        last = sum(egg.clutch == clutch.clutch for egg in eggs)
        found.append(_check(draw, number, clutch, list(range(1, last + 1)), ids))
    return found


def _check(
    draw: st.DrawFn, number: int, clutch: ClutchRow, numbers: list[int], eggs: list[int]
) -> CheckRow:
    some = st.lists(st.sampled_from(numbers), unique=True) if numbers else st.just([])
    guests = st.lists(st.sampled_from(eggs), unique=True) if eggs else st.just([])
    lost = st.sampled_from([fate for fate in EggFate if fate is not EggFate.HATCHED])
    return CheckRow(
        check=number + 5,
        form=UUID(int=number + draw(st.integers(0, 2**40)) * 8),
        box=clutch.box,
        at=draw(times),
        pair=clutch.pair,
        clutch=clutch.clutch,
        eggs=draw(st.integers(0, 9)),
        chicks=draw(st.integers(0, 9)),
        hen=draw(st.sampled_from(HenSeen)),
        hatched=tuple(draw(some)),
        lost=tuple(EggLost(number=n, fate=draw(lost)) for n in draw(some)),
        candled=tuple(
            EggCandled(number=n, result=draw(st.sampled_from(Candling))) for n in draw(some)
        ),
        ringed=tuple(ChickRinged(egg_number=n, ring=draw(text)) for n in draw(some)),
        gone=tuple(
            ChickGone(egg_number=n, fate=draw(st.sampled_from(ChickFate))) for n in draw(some)
        ),
        guests=tuple(
            GuestSeen(
                egg_id=egg,
                candled=draw(st.none() | st.sampled_from(Candling)),
                lost=draw(st.none() | lost),
                hatched=draw(st.booleans()),
                ring=draw(perhaps_text),
                gone=draw(st.none() | st.sampled_from(ChickFate)),
                not_in_sight=draw(st.booleans()),
            )
            for egg in draw(guests)
        ),
        not_in_sight=tuple(draw(some)),
        bedding=draw(st.none() | st.sampled_from(BeddingLevel)),
        thrown_out=draw(st.booleans()),
        put_back=draw(st.booleans()),
        taken_out=draw(st.booleans()),
        weighed=(
            *(Weighed(egg_number=n, mass_g=draw(amounts)) for n in draw(some)),
            *(Weighed(egg_number=1, mass_g=draw(amounts), egg_id=egg) for egg in draw(guests)),
        ),
        hide_in=draw(st.booleans()),
        sure=draw(st.booleans()),
        note=draw(text),
        by=draw(perhaps_text),
        changes=tuple(draw(st.lists(text, max_size=3))),
    )


def _rest(draw: st.DrawFn, eggs: Sequence[EggRow]) -> list[BookRow]:
    egg = eggs[0].egg if eggs else None
    weighing = WeighingRow(
        weighing=4,
        egg=egg,
        bird=None if egg else 10,
        at=draw(times),
        mass_g=draw(amounts),
        by=draw(perhaps_text),
    )
    rows: list[BookRow] = [
        ConditionNoteRow(
            note=2, bird=11, on=draw(days), text=draw(text), by=draw(perhaps_text), noted_at=NOW
        ),
        SeasonRow(
            season=1,
            name=draw(text),
            began_on=date(2025, 1, 1),
            closed_on=date(2025, 12, 1),
            closed_by=draw(perhaps_text),
        ),
        SeasonRow(season=2, name=draw(text), began_on=date(2025, 12, 1)),
        CorrectionRow(
            correction=9,
            subject=Subject.BIRD,
            subject_id=10,
            fact=draw(text),
            before=draw(perhaps_text),
            after=draw(perhaps_text),
            why=draw(perhaps_text),
            by=draw(perhaps_text),
            at=BEGIN,
            undone_at=draw(st.none() | times),
            undone_by=draw(perhaps_text),
        ),
        SpanRow(span="next_egg_after_egg", least=1.5, most=draw(amounts) + 2, source=draw(text)),
        CageSizeRow(place="cage-1", width_cm=60, depth_cm=draw(amounts), height_cm=40.5),
        FitOutItemRow(item=1, kind=PlaceKind.CAGE, name=draw(text), position=0),
        FitOutSeenRow(place="cage-1", item=1, there=draw(st.booleans()), at=draw(times)),
        CleanDownRow(task=1, season=1, place="box-1", what=draw(text), done_at=draw(times)),
        CleanDownRow(task=2, season=1, what=draw(text), done_by=draw(perhaps_text)),
        BoxOffRow(box="box-3", since=draw(times), by=draw(perhaps_text)),
        weighing,
    ]
    return rows
