"""Faulty files: each row named with file, line and column, all at once, nothing imported."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from service.book.errors import BookFaultsError
from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.importing import Imported, import_book
from service.errors import InputError
from service.nests.book_rows import BirdRow, CheckRow, ChickRow, EggRow, PairRow
from service.store.sql_records import Records, open_records
from tests.service.book.sound_books import NOW, PLACES
from tests.service.book.zone import ZONE

FORM = "0b4c9f6e-0f0c-4e57-9a52-3f1f6a1d2c11"
SOUND = {
    "birds": """bird,ring,sex,hatched_on,sire,dam
1,A1,cock,2023-05-01,,
2,A2,hen,2023-05-02,,
3,A3,cock,2023-05-03,,
4,A4,hen,2024-05-04,1,2
""",
    "seasons": """season,name,began_on,closed_on
1,2025,2025-01-01,2025-12-01
2,2026,2026-01-01,
""",
    "pairs": """pair,cage,cock,hen,put_up_on,ended_on
1,cage-1,1,2,2025-03-01,2025-09-01
2,cage-2,1,4,2025-09-01,
3,cage-3,3,2,2025-09-01,
""",
    "clutches": """clutch,box,pair,round,closed_at
1,box-1,1,1,2025-06-01T08:00:00Z
2,box-2,2,1,
""",
    "eggs": """egg,clutch,number,laid_from,laid_to,candling,fate,fate_from,fate_to
1,1,1,2025-03-10T18:00:00Z,2025-03-11T08:00:00Z,fertile,hatched,2025-03-28T18:00:00Z,2025-03-29T08:00:00Z
2,1,2,2025-03-12T18:00:00Z,2025-03-13T08:00:00Z,clear,clear,2025-04-01T18:00:00Z,2025-04-02T08:00:00Z
3,1,3,2025-03-14T18:00:00Z,2025-03-15T08:00:00Z,fertile,hatched,2025-04-01T18:00:00Z,2025-04-02T08:00:00Z
4,2,1,2025-10-14T18:00:00Z,2025-10-15T08:00:00Z,,,,
""",
    "chicks": """chick,egg,hatched_from,hatched_to,ring,fate,fate_at
1,1,2025-03-28T18:00:00Z,2025-03-29T08:00:00Z,C1,fledged,2025-05-01T08:00:00Z
2,3,2025-04-01T18:00:00Z,2025-04-02T08:00:00Z,C2,died,2025-04-10T08:00:00Z
""",
    "moves": """move,egg,at,from_box,to_box
1,1,2025-03-20T08:00:00Z,box-1,box-3
2,1,2025-03-22T08:00:00Z,box-3,box-1
""",
    "weighings": """weighing,egg,bird,at,mass_g
1,1,,2025-03-12T08:00:00Z,2.1
""",
    "checks": f"""check,form,box,at,pair,clutch,eggs,chicks,hen,hatched,lost,ringed,guests
1,{FORM},box-1,2025-04-02T08:00:00Z,1,1,0,2,sitting,3,2:clear,1:C1,4
""",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shed:
    records: Records
    folder: Path

    def write(self, files: Mapping[str, str]) -> None:
        for name, content in files.items():
            (self.folder / f"{name}.csv").write_text(content, newline="\r\n")

    def take_in(self, *, skip_bad: bool = False) -> Imported:
        return import_book(
            read_folder(self.folder),
            self.records.book_copy,
            PLACES,
            now=NOW,
            zone=ZONE,
            skip_bad=skip_bad,
        )

    def faults(self, changed: Mapping[str, str]) -> list[str]:
        self.write({**SOUND, **changed})
        with pytest.raises(BookFaultsError) as told:
            self.take_in()
        assert not any(self.records.book_copy.rows().by_type.values())
        return [str(fault) for fault in told.value.faults]


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Records]:
    """Nothing is ever imported in these tests, so one file serves all."""
    opened = open_records("sqlite:///records.db", tmp_path_factory.mktemp("shed"))
    opened.nest_book.put_places(PLACES)
    yield opened
    opened.close()


@pytest.fixture
def shed(records: Records, tmp_path: Path) -> Shed:
    return Shed(records=records, folder=tmp_path)


def replaced(table: str, before: str, after: str) -> dict[str, str]:
    assert SOUND[table].count(before) == 1
    return {table: SOUND[table].replace(before, after)}


CELLS = {
    "no such day": (
        replaced("birds", "2023-05-01", "2023-02-30"),
        ["birds.csv, line 2, hatched_on: '2023-02-30' is no day; write it as 2026-04-21"],
    ),
    "day in another order": (
        replaced("birds", "2023-05-01", "01.05.2023"),
        ["birds.csv, line 2, hatched_on: '01.05.2023' is no day; write it as 2026-04-21"],
    ),
    "time without a zone": (
        replaced("moves", "2025-03-20T08:00:00Z", "2025-03-20T08:00:00"),
        [
            "moves.csv, line 2, at: '2025-03-20T08:00:00' is no time; write it in UTC, as "
            "2026-04-21T18:30:00Z"
        ],
    ),
    "decimal comma": (
        replaced("weighings", "2.1", '"2,1"'),
        [
            "weighings.csv, line 2, mass_g: '2,1' is no number; write it with a decimal point, "
            "as 2.1"
        ],
    ),
    "unknown word": (
        replaced("birds", "A2,hen", "A2,female"),
        ["birds.csv, line 3, sex: 'female' is not known; it can be cock, hen, unknown"],
    ),
    "empty where something is needed": (
        replaced("birds", "A2,hen", "A2,"),
        ["birds.csv, line 3, sex: it is empty; it must be cock or hen or unknown"],
    ),
    "no number": (
        replaced("pairs", "2,cage-2,1,4", "two,cage-2,1,4"),
        ["pairs.csv, line 3, pair: 'two' is no whole number from 0 on"],
    ),
    "number nought": (
        replaced("moves", "\n1,1,", "\n0,1,"),
        ["moves.csv, line 2, move: 0 can't be; it must be more than 0"],
    ),
    "NUL": (
        replaced("birds", "A2", "A\0"),
        ["birds.csv, line 3, ring: a character with the number nought stands in it; take it out"],
    ),
    "list": (
        replaced("checks", "2:clear", "2-clear"),
        [
            "checks.csv, line 2, lost: '2-clear' is no item of this list; write number:fate, as "
            "in 4:clear"
        ],
    ),
    "cell too many": (
        replaced("moves", "box-1,box-3", "box-1,box-3,x"),
        ["moves.csv, line 2: 6 cells, and the header names 5 columns"],
    ),
    "unknown column": (
        replaced("moves", "move,egg", "move,colour,egg"),
        [
            "moves.csv, line 1, colour: no such column; there are move, egg, at, from_box, to_box, "
            "why, by"
        ],
    ),
    "missing column": (
        {"moves": "move,egg,at,from_box\n"},
        ["moves.csv, line 1, to_box: this column is missing"],
    ),
    "semicolons": (
        {"moves": SOUND["moves"].replace(",", ";")},
        ["moves.csv, line 1: its cells are not apart by commas; save it as comma-separated"],
    ),
    "open quote": (
        replaced("moves", "2025-03-22T08:00:00Z", '"2025-03-22T08:00:00Z'),
        ["moves.csv, line 3: a quote is opened here and never closed. Nothing after it was read"],
    ),
}

CONTRADICTIONS = {
    "a chick from a clear egg": (
        replaced("chicks", "2,3,2025", "2,2,2025"),
        [
            "chicks.csv, line 3, egg: egg 2 (eggs.csv, line 3) is known as clear; no chick comes "
            "of it",
            "eggs.csv, line 4, fate: chicks.csv has no chick out of egg 3",
        ],
    ),
    "a chick from an egg that was candled clear": (
        replaced("eggs", "2025-03-15T08:00:00Z,fertile", "2025-03-15T08:00:00Z,clear"),
        [
            "chicks.csv, line 3, egg: egg 3 (eggs.csv, line 4) was candled clear; correct that "
            "first, if a chick came of it"
        ],
    ),
    "a chick without an egg": (
        replaced("chicks", "2,3,2025", "2,99,2025"),
        [
            "chicks.csv, line 3, egg: there is no egg 99 in eggs.csv",
            "eggs.csv, line 4, fate: chicks.csv has no chick out of egg 3",
        ],
    ),
    "a ring twice among birds": (
        replaced("birds", "2,A2", "2,A1"),
        ["birds.csv, line 3, ring: the same ring stands on line 2 already"],
    ),
    "a ring twice among chicks": (
        replaced("chicks", "C2", "C1"),
        ["chicks.csv, line 3, ring: the same ring stands on line 2 already"],
    ),
    "a hen in two cages at once": (
        replaced("pairs", "3,cage-3,3,2,2025-09-01", "3,cage-3,3,2,2025-08-31"),
        [
            "pairs.csv, line 4, hen: bird 2 is in cage-1 with pair 1, put up on 2025-03-01 until "
            "2025-09-01; it can't be in cage-3 too"
        ],
    ),
    "two pairs in a cage": (
        replaced("pairs", "3,cage-3,3,2,2025-09-01", "3,cage-2,3,2,2025-09-02"),
        [
            "pairs.csv, line 4, cage: cage-2 holds pair 2, put up on 2025-09-01 and has not "
            "ended: one cage, one pair"
        ],
    ),
    "a hen for a cock": (
        replaced("pairs", "3,cage-3,3,2", "3,cage-3,2,2"),
        [
            "pairs.csv, line 4, cock: bird 2 is a hen",
            "pairs.csv, line 4, hen: a pair is a cock and a hen, and this is one bird twice",
        ],
    ),
    "a day to come": (
        replaced("pairs", "3,cage-3,3,2,2025-09-01", "3,cage-3,3,2,2026-04-22"),
        ["pairs.csv, line 4, put_up_on: 2026-04-22 is still to come"],
    ),
    "a time to come": (
        replaced("checks", "2025-04-02T08:00:00Z", "2026-04-21T12:36:00Z"),
        ["checks.csv, line 2, at: 2026-04-21T12:36:00Z is still to come"],
    ),
    "laid backwards": (
        replaced("eggs", "2025-03-10T18:00:00Z", "2025-03-11T18:00:00Z"),
        [
            "eggs.csv, line 2, laid_to: 2025-03-11T08:00:00Z is before laid_from, "
            "2025-03-11T18:00:00Z"
        ],
    ),
    "egg numbers with a hole": (
        replaced("eggs", "3,1,3,", "3,1,4,"),
        ["eggs.csv, line 4, number: egg 4 follows a hole: there is no egg 3 in clutch 1"],
    ),
    "an egg number twice": (
        replaced("eggs", "3,1,3,", "3,1,2,"),
        ["eggs.csv, line 4, number: the same clutch and number stands on line 3 already"],
    ),
    "eggs numbered against time": (
        replaced(
            "eggs",
            "3,1,3,2025-03-14T18:00:00Z,2025-03-15T08:00:00Z",
            "3,1,3,2025-03-08T18:00:00Z,2025-03-09T08:00:00Z",
        ),
        [
            "eggs.csv, line 4, laid_to: egg 3 was laid before egg 2 (line 3); eggs are numbered "
            "as laid"
        ],
    ),
    "an unknown place": (
        replaced("clutches", "2,box-2", "2,box-9"),
        [
            "clutches.csv, line 3, box: there is no place 'box-9' in the settings; there are "
            "box-1, box-2, box-3"
        ],
    ),
    "a cage for a box": (
        replaced("clutches", "2,box-2", "2,cage-2"),
        ["clutches.csv, line 3, box: cage-2 is a cage, and this must be a box"],
    ),
    "two open clutches in a box": (
        replaced("clutches", "1,box-1,1,1,2025-06-01T08:00:00Z", "1,box-2,1,1,"),
        [
            "checks.csv, line 2, clutch: clutch 1 is in box-2, and this look is into another box",
            "clutches.csv, line 3, closed_at: clutch 1 in box-2 is not closed either (line 2); "
            "only one can go on in a box",
            "moves.csv, line 2, from_box: egg 1 lay in box-2 then, not in box-1",
        ],
    ),
    "a move from where it was not": (
        replaced("moves", "box-3,box-1", "box-2,box-1"),
        ["moves.csv, line 3, from_box: egg 1 lay in box-3 then, not in box-2"],
    ),
    "a weighing of two": (
        replaced("weighings", "1,1,,", "1,1,1,"),
        ["weighings.csv, line 2, egg: a weighing is of one egg or of one bird, not of both"],
    ),
    "a look that names an egg nobody laid": (
        replaced("checks", "2:clear", "7:clear"),
        ["checks.csv, line 2, lost: there is no egg 7 in clutch 1"],
    ),
    "an own ancestor": (
        replaced("birds", "1,A1,cock,2023-05-01,,", "1,A1,cock,,,4"),
        [
            "birds.csv, line 2, sire: bird 1 is among its own ancestors",
            "birds.csv, line 5, sire: bird 4 is among its own ancestors",
        ],
    ),
    "a dam for a sire": (
        replaced("birds", "4,A4,hen,2024-05-04,1,2", "4,A4,hen,2024-05-04,2,2"),
        ["birds.csv, line 5, sire: bird 2 is a hen, which can't be a sire"],
    ),
    "a parent younger than its young": (
        replaced("birds", "2024-05-04", "2023-05-01"),
        [
            "birds.csv, line 5, dam: bird 2 hatched on 2023-05-02, not before its young "
            "(2023-05-01)",
            "birds.csv, line 5, sire: bird 1 hatched on 2023-05-01, not before its young "
            "(2023-05-01)",
        ],
    ),
    "two seasons at once": (
        replaced("seasons", "2026-01-01", "2025-11-30"),
        ["seasons.csv, line 3, began_on: season 1 was not closed by then (line 2)"],
    ),
    "sitting from no egg": (
        {"species": "span,least,most\neggs_before_sitting,0,3\n"},
        ["species.csv, line 2, least: there is no egg 0; it must be 1 or more"],
    ),
    "a span nobody knows": (
        {"species": "span,least,most\nmoult,1,2\n"},
        None,
    ),
}


def test_the_sound_book_has_no_fault(tmp_path: Path) -> None:
    """Or the tables below would show nothing."""
    (tmp_path / "in").mkdir()
    records = open_records("sqlite:///records.db", tmp_path)
    records.nest_book.put_places(PLACES)
    sound = Shed(records=records, folder=tmp_path / "in")
    sound.write(SOUND)
    done = sound.take_in()
    records.close()
    assert done.added == {
        "birds": 4,
        "seasons": 2,
        "pairs": 3,
        "clutches": 2,
        "eggs": 4,
        "chicks": 2,
        "moves": 2,
        "weighings": 1,
        "checks": 1,
    }


@pytest.mark.parametrize(("changed", "told"), CELLS.values(), ids=CELLS.keys())
def test_a_cell_that_cannot_be_read_is_named(
    shed: Shed, changed: Mapping[str, str], told: list[str]
) -> None:
    assert shed.faults(changed) == told


@pytest.mark.parametrize(("changed", "told"), CONTRADICTIONS.values(), ids=CONTRADICTIONS.keys())
def test_a_contradiction_is_named(
    shed: Shed, changed: Mapping[str, str], told: list[str] | None
) -> None:
    found = shed.faults(changed)
    if told is None:
        assert found[0].startswith("species.csv, line 2, span: no such span 'moult'; there are ")
    else:
        assert found == told


def test_all_faults_are_told_at_once(shed: Shed) -> None:
    changed = {
        **replaced("birds", "2023-05-01", "1.5.23"),
        **replaced("moves", "box-3,box-1", "box-2,box-1"),
        **replaced("weighings", "2.1", "heavy"),
    }
    assert [fault.partition(":")[0] for fault in shed.faults(changed)] == [
        "birds.csv, line 2, hatched_on",
        "moves.csv, line 3, from_box",
        "weighings.csv, line 2, mass_g",
    ]


def test_a_row_is_named_by_the_line_on_which_it_begins(shed: Shed) -> None:
    two_lines = SOUND["birds"].replace("A1", '"A\n1"').replace("2024-05-04", "May")
    assert shed.faults({"birds": two_lines}) == [
        "birds.csv, line 6, hatched_on: 'May' is no day; write it as 2026-04-21"
    ]


def test_bytes_that_are_no_utf_8_are_named_by_their_line(shed: Shed) -> None:
    shed.write(SOUND)
    content = SOUND["birds"].replace("A2", "\u00e92").encode("latin-1")
    (shed.folder / "birds.csv").write_bytes(content)
    with pytest.raises(BookFaultsError, match=r"birds\.csv, line 3: these bytes are no UTF-8"):
        shed.take_in()


def test_a_csv_file_of_another_name_is_a_fault(shed: Shed) -> None:
    found = shed.faults({"bird": "bird,sex\n"})
    assert found[0].startswith("bird.csv: it is no file of a book; there can be birds.csv")


def test_a_folder_without_a_book_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no file of a book is in it"):
        read_folder(tmp_path)


def test_what_spreadsheets_write_is_read(shed: Shed) -> None:
    """A byte order mark, lines that end in LF, columns in another order, a blank line."""
    shed.write(SOUND)
    told = "\ufeffsex,bird,ring\n\nhen,2,A2\n"
    (shed.folder / "birds.csv").write_bytes(told.encode())
    read = read_folder(shed.folder)
    assert [one.row for one in read.book.of(BirdRow)] == [
        BirdRow(bird=2, ring="A2", sex=read.book.of(BirdRow)[0].row.sex)
    ]
    assert read.faults == ()


class TestSkippingBadRows:
    @pytest.fixture
    def own(self, tmp_path: Path) -> Iterator[Shed]:
        (tmp_path / "in").mkdir()
        opened = open_records("sqlite:///records.db", tmp_path)
        opened.nest_book.put_places(PLACES)
        yield Shed(records=opened, folder=tmp_path / "in")
        opened.close()

    def test_rows_that_rest_on_a_bad_one_are_left_out_too(self, own: Shed) -> None:
        own.write({**SOUND, **replaced("birds", "4,A4,hen,2024-05-04", "4,A4,hen,May")})
        done = own.take_in(skip_bad=True)
        assert [str(fault) for fault in done.left_out] == [
            "birds.csv, line 5, hatched_on: 'May' is no day; write it as 2026-04-21",
            "checks.csv, line 2, guests: there is no egg 4 in eggs.csv",
            "clutches.csv, line 3, pair: pair 2, on which it rests, is left out",
            "eggs.csv, line 5, clutch: clutch 2, on which it rests, is left out",
            "pairs.csv, line 3, hen: bird 4, on which it rests, is left out",
        ]
        rows = own.records.book_copy.rows()
        assert [row.bird for row in rows.of(BirdRow)] == [1, 2, 3]
        assert [row.pair for row in rows.of(PairRow)] == [1, 3]
        assert rows.of(CheckRow) == ()

    def test_no_sound_row_is_blamed_for_what_a_bad_one_says(self, own: Shed) -> None:
        changed = {
            **replaced("birds", "4,A4,hen,2024-05-04", "4,A4,hen,May"),
            **replaced("pairs", "3,cage-3,3,2,2025-09-01", "3,cage-2,3,2,2025-09-02"),
        }
        own.write({**SOUND, **changed})
        own.take_in(skip_bad=True)
        found = own.records.book_copy.rows().of(PairRow)
        assert [(row.pair, row.cage) for row in found] == [(1, "cage-1"), (3, "cage-2")]

    def test_eggs_after_a_hole_are_left_out(self, own: Shed) -> None:
        own.write({**SOUND, **replaced("eggs", "2,1,2,2025-03-12T18:00:00Z", "2,1,2,March")})
        done = own.take_in(skip_bad=True)
        rows = own.records.book_copy.rows()
        assert [row.egg for row in rows.of(EggRow)] == [1, 4]
        assert [row.chick for row in rows.of(ChickRow)] == [1]
        assert "eggs.csv, line 4, number: egg 3 follows a hole: there is no egg 2 in clutch 1" in [
            str(fault) for fault in done.left_out
        ]

    def test_what_is_left_can_go_out_and_in_again(self, own: Shed, tmp_path: Path) -> None:
        own.write({**SOUND, **replaced("birds", "1,A1,cock", "1,A1,rooster")})
        own.take_in(skip_bad=True)
        export_book(own.records.book_copy.rows(), tmp_path / "out")
        again = Shed(records=own.records, folder=tmp_path / "out")
        assert again.take_in().added == {}

    def test_a_file_that_cannot_be_told_apart_is_not_left_out(self, own: Shed) -> None:
        own.write({**SOUND, "birds": SOUND["birds"].replace(",", ";")})
        with pytest.raises(BookFaultsError, match="not apart by commas"):
            own.take_in(skip_bad=True)
        assert own.records.book_copy.rows().of(BirdRow) == ()
