"""Birds in a real SQLite file: what is refused, what is kept, what can be taken back."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from service.errors import InputError, NotKnownError
from service.nests.nest import Bird, Life, Pair, Sex
from service.store.bird_book import mark_of
from service.store.faulty_bird import FaultyBirdError
from service.store.nest_book import ChangedMeanwhileError
from service.store.sql_records import Records, open_records
from tests.service.store.nest_book_contract import MARCH_1, NOON, PLACES

TODAY = date(2026, 3, 10)
MOSS = Bird(
    id=0,
    sex=Sex.COCK,
    ring="HZ 24 001",
    name="Moss",
    variety="opaline <b>grey</b>",
    hatched_on=date(2024, 5, 1),
    place="cage-1",
)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    opened.nest_book.put_places(PLACES)
    yield opened
    opened.close()


def add(records: Records, sex: Sex = Sex.COCK, **told: object) -> Bird:
    return records.birds.add(Bird(id=0, sex=sex, **told), today=TODAY)  # type: ignore[arg-type]


def change(records: Records, bird: Bird, **changed: object) -> None:
    records.birds.change(replace(bird, **changed), at=NOON, today=TODAY, by="Ida")  # type: ignore[arg-type]


def pair_up(records: Records) -> Pair:
    cock, hen = add(records, ring="C"), add(records, Sex.HEN, ring="H")
    return records.nest_book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=MARCH_1)


def test_a_bird_comes_back_as_it_was_told(records: Records, tmp_path: Path) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    young = add(records, Sex.HEN, sire_id=made.id, life=Life.SOLD, life_since=TODAY)
    other = open_records("sqlite:///records.db", tmp_path)
    assert list(other.birds.birds()) == [replace(MOSS, id=made.id), young]
    assert other.birds.bird(young.id).life is Life.SOLD
    other.close()


def test_an_unknown_bird_is_not_known(records: Records) -> None:
    for ask in (
        lambda: records.birds.bird(7),
        lambda: change(records, replace(MOSS, id=7)),
        lambda: records.birds.add_note(7, on=TODAY, text="fit", by=None, at=NOON),
        lambda: records.birds.end_pair(7, on=TODAY, by=None, at=NOON),
        lambda: records.birds.undo(7, by=None, at=NOON, today=TODAY),
    ):
        with pytest.raises(NotKnownError):
            ask()


def test_what_contradicts_the_book_is_refused_and_nothing_is_stored(records: Records) -> None:
    records.birds.add(MOSS, today=TODAY)
    with pytest.raises(FaultyBirdError) as refused:
        add(records, ring="hz 24 001", hatched_on=date(2027, 1, 1), place="cage-9")
    assert len(refused.value.faults) == 3
    assert len(records.birds.birds()) == 1


def test_a_change_keeps_what_stood_before_fact_by_fact(records: Records) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    told = records.birds.change(
        replace(made, ring=None, life=Life.DEAD, life_since=TODAY),
        at=NOON,
        today=TODAY,
        by="Ida",
        why="found in the morning",
    )
    assert [(one.fact, one.before, one.after) for one in told] == [
        ("ring", "HZ 24 001", None),
        ("life", "alive", "dead"),
        ("life_since", None, "2026-03-10"),
    ]
    assert records.birds.corrections(made.id) == told
    assert {(one.by, one.why, one.at) for one in told} == {("Ida", "found in the morning", NOON)}


def test_a_change_to_the_same_notes_nothing(records: Records) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    assert list(records.birds.change(made, at=NOON, today=TODAY)) == []
    assert list(records.birds.corrections(made.id)) == []


def test_a_change_of_what_was_changed_meanwhile_is_refused(records: Records) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    change(records, made, name="Mossy")
    with pytest.raises(ChangedMeanwhileError):
        records.birds.change(
            replace(made, variety="grey"), at=NOON, today=TODAY, based_on=mark_of(made)
        )
    assert records.birds.bird(made.id).name == "Mossy"


def test_changes_are_undone_in_turn_and_stay_in_the_record(records: Records) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    change(records, made, hatched_on=date(2024, 6, 1))
    change(records, made, hatched_on=None)
    first, second = records.birds.corrections(made.id)
    with pytest.raises(InputError, match="changed again since"):
        records.birds.undo(first.id, by="Jo", at=NOON, today=TODAY)
    for one in (second, first):
        records.birds.undo(one.id, by="Jo", at=NOON, today=TODAY)
    assert records.birds.bird(made.id) == made
    assert {one.undone_by for one in records.birds.corrections(made.id)} == {"Jo"}
    with pytest.raises(InputError, match="undone already"):
        records.birds.undo(first.id, by="Jo", at=NOON, today=TODAY)


def test_an_undoing_that_would_contradict_the_book_is_refused(records: Records) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    change(records, made, ring="HZ 24 002")
    add(records, ring="HZ 24 001")
    (only,) = records.birds.corrections(made.id)
    with pytest.raises(FaultyBirdError, match="a ring is given once"):
        records.birds.undo(only.id, by=None, at=NOON, today=TODAY)
    assert records.birds.bird(made.id).ring == "HZ 24 002"


def test_every_fact_of_a_bird_can_be_undone(records: Records) -> None:
    """Each is read back from its text into what it was."""
    sire, dam = add(records, ring="S"), add(records, Sex.HEN, ring="D")
    made = add(
        records,
        name="Bud",
        ring="B",
        variety="sky",
        hatched_on=date(2025, 1, 2),
        sire_id=sire.id,
        dam_id=dam.id,
        place="cage-1",
        life=Life.SOLD,
        life_since=date(2026, 1, 1),
    )
    bare = Bird(id=made.id, sex=Sex.UNKNOWN)
    records.birds.change(bare, at=NOON, today=TODAY)
    told = records.birds.corrections(made.id)
    assert len(told) == 10
    for one in reversed(told):
        records.birds.undo(one.id, by=None, at=NOON, today=TODAY)
    assert records.birds.bird(made.id) == made


def test_a_note_that_was_sent_twice_stands_once(records: Records) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    told = [
        records.birds.add_note(made.id, on=TODAY, text=text, by="Jo", at=NOON)
        for text in ("light", "light", "fit again")
    ]
    assert told[0] == told[1]
    assert [note.text for note in records.birds.notes(made.id)] == ["fit again", "light"]


def test_notes_come_newest_first_and_none_is_changed(records: Records) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    for day, text in ((3, "light"), (9, "fit again"), (5, "=1+1")):
        records.birds.add_note(made.id, on=date(2026, 3, day), text=text, by="Jo", at=NOON)
    assert [note.text for note in records.birds.notes(made.id)] == ["fit again", "=1+1", "light"]
    assert list(records.birds.notes(made.id + 1)) == []


def test_a_pair_ends_and_its_box_has_no_pair(records: Records) -> None:
    pair = pair_up(records)
    revision = records.nest_book.nest("box-1").revision
    ended = records.birds.end_pair(pair.id, on=TODAY, by="Ida", at=NOON)
    assert ended == replace(pair, ended_on=TODAY)
    nest = records.nest_book.nest("box-1")
    assert nest.pair is None
    assert nest.revision > revision


@pytest.mark.parametrize(
    ("day", "words"), [(MARCH_1 - timedelta(days=1), "before this pair was put up")]
)
def test_a_pair_cant_end_before_it_began(records: Records, day: date, words: str) -> None:
    pair = pair_up(records)
    with pytest.raises(InputError, match=words):
        records.birds.end_pair(pair.id, on=day, by=None, at=NOON)


def test_a_pair_ends_once(records: Records) -> None:
    pair = pair_up(records)
    records.birds.end_pair(pair.id, on=TODAY, by=None, at=NOON)
    with pytest.raises(InputError, match="ended already, on 10 March 2026"):
        records.birds.end_pair(pair.id, on=TODAY, by=None, at=NOON)


def test_the_end_of_a_pair_is_undone_while_its_cage_and_its_birds_are_free(
    records: Records,
) -> None:
    pair = pair_up(records)
    records.birds.end_pair(pair.id, on=TODAY, by=None, at=NOON)
    records.birds.undo(1, by="Jo", at=NOON, today=TODAY)
    assert records.nest_book.nest("box-1").pair == pair


def test_the_end_of_a_pair_is_not_undone_when_a_bird_is_paired_elsewhere(records: Records) -> None:
    pair = pair_up(records)
    records.birds.end_pair(pair.id, on=TODAY, by=None, at=NOON)
    other = add(records, Sex.HEN)
    book = records.nest_book
    book.put_up(cage="cage-2", cock_id=pair.cock.id, hen_id=other.id, on=TODAY)
    with pytest.raises(FaultyBirdError, match="a cock can't be in two cages"):
        records.birds.undo(1, by=None, at=NOON, today=TODAY)
    new = book.put_up(cage="cage-1", cock_id=add(records).id, hen_id=pair.hen.id, on=TODAY)
    assert book.nest("box-1").pair == new
    with pytest.raises(InputError, match="Another pair stands in Cage 1"):
        records.birds.undo(1, by=None, at=NOON, today=TODAY)


def test_the_end_of_a_pair_is_not_undone_over_a_pair_that_came_and_went(records: Records) -> None:
    pair = pair_up(records)
    records.birds.end_pair(pair.id, on=TODAY - timedelta(days=5), by=None, at=NOON)
    other = records.nest_book.put_up(
        cage="cage-1",
        cock_id=add(records, ring="C2").id,
        hen_id=add(records, Sex.HEN).id,
        on=TODAY - timedelta(days=3),
    )
    records.birds.end_pair(other.id, on=TODAY, by=None, at=NOON)
    with pytest.raises(FaultyBirdError, match="were put up in Cage 1 until 10 March 2026"):
        records.birds.undo(1, by=None, at=NOON, today=TODAY)


@pytest.mark.parametrize("life", [Life.DEAD, Life.SOLD])
def test_a_bird_that_is_gone_cant_be_put_up(records: Records, life: Life) -> None:
    cock = add(records, ring="C", life=life, life_since=TODAY)
    hen = add(records, Sex.HEN)
    with pytest.raises(InputError, match="C can't be put up"):
        records.nest_book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=TODAY)


def test_a_bird_cant_be_put_up_before_it_hatched(records: Records) -> None:
    cock, hen = add(records, ring="C", hatched_on=MARCH_1), add(records, Sex.HEN)
    with pytest.raises(InputError, match="C hatched on 1 March 2026"):
        records.nest_book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=MARCH_1)


def test_a_place_where_a_bird_lives_stays(records: Records) -> None:
    records.birds.add(MOSS, today=TODAY)
    with pytest.raises(InputError, match="a bird lives, or lived, there"):
        records.nest_book.remove_places(["cage-1", "box-1"])


def test_times_of_corrections_are_utc(records: Records) -> None:
    made = records.birds.add(MOSS, today=TODAY)
    change(records, made, name=None)
    (only,) = records.birds.corrections(made.id)
    assert only.at == datetime(2026, 3, 10, 12, tzinfo=UTC)


def test_the_cock_of_a_pair_is_no_hen_and_its_hen_no_cock(records: Records) -> None:
    pair = pair_up(records)
    with pytest.raises(FaultyBirdError, match="C is the cock of a pair in cage-1, so no hen"):
        change(records, pair.cock, sex=Sex.HEN)
    with pytest.raises(FaultyBirdError, match="H is the hen of a pair in cage-1, so no cock"):
        change(records, pair.hen, sex=Sex.COCK)
    change(records, pair.cock, sex=Sex.UNKNOWN)
    assert records.birds.bird(pair.cock.id).sex is Sex.UNKNOWN


def test_a_sex_is_not_undone_into_what_a_pair_says_otherwise(records: Records) -> None:
    bird, hen = add(records, Sex.HEN, ring="C"), add(records, Sex.HEN, ring="H")
    change(records, bird, sex=Sex.COCK)
    records.nest_book.put_up(cage="cage-1", cock_id=bird.id, hen_id=hen.id, on=MARCH_1)
    (told,) = records.birds.corrections(bird.id)
    with pytest.raises(FaultyBirdError, match="cock of a pair in cage-1, so no hen"):
        records.birds.undo(told.id, by="Ida", at=NOON, today=TODAY)
    assert records.birds.bird(bird.id).sex is Sex.COCK
