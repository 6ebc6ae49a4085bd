"""A simulated season's book, imported: the page of the season tells what was truly the case.

The truth is that of the simulated birds, which share no line with what reads the book.
"""

import csv
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import datetime
from io import StringIO
from pathlib import Path

import pytest

from service.book.folder import read_folder
from service.book.importing import import_book
from service.clock import FixedClock
from service.nests.fertility import fertility
from simulated_feeds.birds.truth import ClutchTruth, EggTruth
from simulated_feeds.keeper.book import book_of
from simulated_feeds.keeper.csv_book import write_book
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import ZONE, FilledShed, open_shed
from tests.simulated_feeds.birds.lived_seasons import fostering

LOSSES = ("clear", "addled", "dead in shell", "broken", "missing")


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FilledShed]:
    """A season with fostering: eggs and chicks are counted for the pair that laid them."""
    told = fostering()
    folder: Path = tmp_path_factory.mktemp("truth")
    book = book_of(told.looks, told.pairs, told.clutches, seed=57)
    write_book(folder / "book", book)
    filled = open_shed(folder, boxes=9, clock=FixedClock(told.last))
    read = read_folder(folder / "book")
    places = filled.records.nest_book.places()
    import_book(read, filled.records.book_copy, places, now=told.last, zone=ZONE)
    yield filled
    filled.close()


@pytest.fixture(scope="module")
def rows(shed: FilledShed) -> list[dict[str, str]]:
    client: TestClient = client_of(shed)
    answer = client.get("/season/table.csv")
    assert answer.status_code == 200
    return list(csv.DictReader(StringIO(answer.text, newline="")))


def clutches_of(row: dict[str, str]) -> Sequence[ClutchTruth]:
    """The true clutches of the pair in a line, or all of them; names begin with the pair."""
    if row["pair"] == "all":
        return fostering().clutches
    return [one for one in fostering().clutches if one.name.split(".")[0] == row["pair"]]


def eggs_of(row: dict[str, str]) -> list[EggTruth]:
    return [egg for clutch in clutches_of(row) for egg in clutch.eggs]


def test_there_is_a_line_for_each_pair_and_for_all(rows: list[dict[str, str]]) -> None:
    pairs = {clutch.name.split(".")[0] for clutch in fostering().clutches}
    assert len(pairs) > 2
    assert pairs <= {row["pair"] for row in rows}
    assert rows[-1]["pair"] == "all"
    assert any(egg.moves for egg in eggs_of(rows[-1]))


def test_eggs_and_clutches_are_those_that_were_laid(rows: list[dict[str, str]]) -> None:
    told = [(row["pair"], int(row["eggs"]), int(row["clutches"])) for row in rows]
    true = [
        (row["pair"], len(eggs_of(row)), sum(bool(one.eggs) for one in clutches_of(row)))
        for row in rows
    ]
    assert told == true


def test_hatched_and_fledged_are_those_that_truly_were(rows: list[dict[str, str]]) -> None:
    told = [(row["pair"], int(row["hatched"]), int(row["fledged"])) for row in rows]
    true = []
    for row in rows:
        chicks = [egg.chick for egg in eggs_of(row) if egg.chick]
        out = [chick for chick in chicks if chick.fate in ("fledged", "weaned")]
        true.append((row["pair"], len(chicks), len(out)))
    assert told == true
    assert true[-1][2] > 0


def test_losses_have_the_causes_that_they_truly_had(rows: list[dict[str, str]]) -> None:
    for row in rows:
        fates = Counter(egg.fate for egg in eggs_of(row))
        told = {fate: int(row[f"egg_{fate.replace(' ', '_')}"]) for fate in LOSSES}
        assert (row["pair"], told) == (row["pair"], {fate: fates[fate] for fate in LOSSES})
        died = sum(egg.chick is not None and egg.chick.fate == "died" for egg in eggs_of(row))
        assert (row["pair"], int(row["chick_died"])) == (row["pair"], died)


def test_the_first_egg_was_laid_between_the_two_looks(rows: list[dict[str, str]]) -> None:
    told = 0
    for row in rows:
        laid = min((egg.laid_at for egg in eggs_of(row)), default=None)
        if laid is None:
            assert row["first_egg_to"] == ""
            continue
        span = (row["first_egg_from"], row["first_egg_to"])
        since, until = (datetime.fromisoformat(at) for at in span)
        assert since <= laid <= until
        told += 1
    assert told > 2


def test_no_egg_is_known_for_fertile_or_clear_that_was_not(shed: FilledShed) -> None:
    true = {
        (clutch.name.split(".")[0], clutch.round, egg.number): egg.fertile
        for clutch in fostering().clutches
        for egg in clutch.eggs
    }
    known = {
        (str(clutch.pair_id), clutch.round, egg.number): fertility(egg)
        for clutch in shed.records.nest_book.clutches()
        for egg in clutch.eggs
    }
    wrong = {
        name: (found, true[name])
        for name, found in known.items()
        if found is not None and found is not true[name]
    }
    assert wrong == {}
    assert sum(found is not None for found in known.values()) > len(known) / 2


def test_the_page_says_the_same_in_words(shed: FilledShed, rows: list[dict[str, str]]) -> None:
    told = client_of(shed).get("/season").text
    everything = rows[-1]
    assert f"laid {everything['eggs']} eggs in {everything['clutches']} clutches" in told
    assert f"{everything['hatched']} hatched, and {everything['fledged']} left the box." in told
