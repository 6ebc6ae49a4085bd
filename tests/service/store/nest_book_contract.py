"""What every nest book must do; a test module gives it a ``book`` fixture."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest

from service.errors import InputError, NotKnownError
from service.nests.book_correction import BookCorrection, Subject
from service.nests.nest import (
    Candling,
    Chick,
    ChickFate,
    ChickGone,
    ChickRinged,
    Clutch,
    Egg,
    EggCandled,
    EggFate,
    EggLost,
    HenSeen,
    NestCheck,
    Pair,
    Sex,
)
from service.nests.place import Place, PlaceKind
from service.nests.species import DaySpan, EggSpan, SpeciesSettings
from service.store.nest_book import ChangedMeanwhileError, NestBook

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
MARCH_1 = date(2026, 3, 1)
SHED = Place(id="shed", kind=PlaceKind.SHED, name="Shed")
PLACES = (
    Place(id="box-2", kind=PlaceKind.BOX, name="Box 2", within="cage-2", order=5),
    Place(id="box-1", kind=PlaceKind.BOX, name="Box 1", within="cage-1", order=6),
    Place(id="cage-1", kind=PlaceKind.CAGE, name="Cage 1", within="shed", order=2),
    Place(id="cage-2", kind=PlaceKind.CAGE, name="Cage 2", within="shed", order=3),
    SHED,
)


def pair_up(book: NestBook, cage: str = "cage-1", on: date = MARCH_1) -> Pair:
    cock = book.add_bird(sex=Sex.COCK, name="Moss")
    hen = book.add_bird(sex=Sex.HEN, name="Fern")
    return book.put_up(cage=cage, cock_id=cock.id, hen_id=hen.id, on=on)


def a_check(at: datetime = NOON, box: str = "box-1", eggs: int = 1) -> NestCheck:
    return NestCheck(form_id=uuid4(), box=box, at=at, eggs=eggs, chicks=0)


def an_egg(number: int) -> Egg:
    return Egg(id=0, number=number, laid_from=NOON - timedelta(days=1), laid_to=NOON)


def a_clutch(pair: Pair, *, eggs: int = 1, box: str = "box-1") -> Clutch:
    laid = tuple(an_egg(number) for number in range(1, eggs + 1))
    return Clutch(id=0, box=box, pair_id=pair.id, round=1, eggs=laid)


def stored_clutch(book: NestBook, box: str = "box-1") -> Clutch:
    clutch = book.nest(box).clutch
    assert clutch is not None
    return clutch


class NestBookContract:
    """Collected by the subclass that brings a ``book`` with PLACES in it."""

    def test_places_come_in_walking_order(self, book: NestBook) -> None:
        told = [place.id for place in book.places()]
        assert told == ["shed", "cage-1", "cage-2", "box-2", "box-1"]

    def test_place_is_replaced_by_id_and_the_others_stay(self, book: NestBook) -> None:
        book.put_places([replace(PLACES[1], name="The sunny box")])
        names = {place.id: place.name for place in book.places()}
        assert names["box-1"] == "The sunny box"
        assert len(names) == len(PLACES)

    def test_place_in_an_unknown_place_is_refused_with_all_others(self, book: NestBook) -> None:
        lost = Place(id="box-9", kind=PlaceKind.BOX, name="Box 9", within="cage-9")
        flight = Place(id="flight", kind=PlaceKind.FLIGHT, name="Flight")
        with pytest.raises(InputError, match="cage-9"):
            book.put_places([flight, lost])
        assert len(book.places()) == len(PLACES)

    def test_bird_comes_back_as_it_was_told(self, book: NestBook) -> None:
        bird = book.add_bird(
            sex=Sex.HEN, ring="HZ 25 001", name="Fern", variety="opaline", hatched_on=MARCH_1
        )
        assert bird.id > 0
        assert list(book.birds()) == [bird]

    def test_ring_of_another_bird_is_refused(self, book: NestBook) -> None:
        book.add_bird(sex=Sex.HEN, ring="HZ 25 001")
        with pytest.raises(InputError, match="another bird's"):
            book.add_bird(sex=Sex.COCK, ring="HZ 25 001")
        assert len(book.birds()) == 1

    def test_birds_without_a_ring_are_many(self, book: NestBook) -> None:
        book.add_bird(sex=Sex.HEN)
        book.add_bird(sex=Sex.COCK)
        assert len(book.birds()) == 2

    def test_pair_sits_in_the_box_of_its_cage(self, book: NestBook) -> None:
        pair = pair_up(book, "cage-2")
        assert book.nest("box-2").pair == pair
        assert book.nest("box-1").pair is None

    def test_next_pair_in_a_cage_ends_the_one_before(self, book: NestBook) -> None:
        first = pair_up(book)
        second = pair_up(book, on=date(2026, 4, 1))
        assert book.nest("box-1").pair == second
        assert list(book.pairs()) == [second, replace(first, ended_on=date(2026, 4, 1))]

    def test_same_pair_put_up_twice_is_one_pair(self, book: NestBook) -> None:
        pair = pair_up(book)
        again = book.put_up(
            cage="cage-1", cock_id=pair.cock.id, hen_id=pair.hen.id, on=date(2026, 3, 2)
        )
        assert again == pair
        assert len(book.pairs()) == 1

    def test_bird_that_is_paired_elsewhere_is_refused(self, book: NestBook) -> None:
        pair = pair_up(book)
        hen = book.add_bird(sex=Sex.HEN)
        with pytest.raises(InputError, match="is paired in Cage 1"):
            book.put_up(cage="cage-2", cock_id=pair.cock.id, hen_id=hen.id, on=MARCH_1)

    def test_hen_for_a_cock_is_refused(self, book: NestBook) -> None:
        one, other = book.add_bird(sex=Sex.HEN), book.add_bird(sex=Sex.HEN)
        with pytest.raises(InputError, match="a cock and a hen"):
            book.put_up(cage="cage-1", cock_id=one.id, hen_id=other.id, on=MARCH_1)

    def test_pair_can_not_follow_one_that_came_later(self, book: NestBook) -> None:
        pair_up(book)
        with pytest.raises(InputError, match="was put up on 1 March 2026"):
            pair_up(book, on=date(2026, 2, 1))
        assert len(book.pairs()) == 1

    @pytest.mark.parametrize("cage", ["cage-9", "box-1", "shed"])
    def test_pair_in_what_is_no_cage_is_refused(self, book: NestBook, cage: str) -> None:
        with pytest.raises(NotKnownError, match="no cage"):
            pair_up(book, cage)

    def test_pair_of_an_unknown_bird_is_refused(self, book: NestBook) -> None:
        with pytest.raises(NotKnownError, match="no bird 44"):
            book.put_up(cage="cage-1", cock_id=44, hen_id=45, on=MARCH_1)

    def test_unknown_box_is_not_known(self, book: NestBook) -> None:
        with pytest.raises(NotKnownError, match="box-9"):
            book.nest("box-9")
        with pytest.raises(NotKnownError, match="box-9"):
            book.record(a_check(box="box-9"), None)

    def test_check_comes_back_as_it_was_told(self, book: NestBook) -> None:
        check = NestCheck(
            form_id=uuid4(),
            box="box-1",
            at=NOON.replace(microsecond=123456),
            eggs=3,
            chicks=2,
            hen=HenSeen.SITTING,
            hatched=(1, 2),
            lost=(EggLost(number=3, fate=EggFate.DEAD_IN_SHELL),),
            candled=(EggCandled(number=4, result=Candling.UNSURE),),
            ringed=(ChickRinged(egg_number=1, ring="Ü 'quoted' 7"),),
            gone=(ChickGone(egg_number=2, fate=ChickFate.MOVED),),
            hide_in=True,
            sure=True,
            note="<b>soft shell</b>\nold bedding",
            by="Ida",
        )
        assert book.record(check, None, changes=("egg 1 hatched",))
        assert book.check(str(check.form_id)) == check
        assert book.changes(str(check.form_id)) == ("egg 1 hatched",)

    def test_check_that_was_never_sent_is_none(self, book: NestBook) -> None:
        assert book.check(str(uuid4())) is None
        assert book.changes(str(uuid4())) == ()

    def test_clutch_comes_back_with_ids(self, book: NestBook) -> None:
        pair = pair_up(book)
        assert book.record(a_check(eggs=2), a_clutch(pair, eggs=2))
        clutch = stored_clutch(book)
        assert clutch.id > 0
        assert [egg.number for egg in clutch.eggs] == [1, 2]
        assert 0 not in [egg.id for egg in clutch.eggs]
        without_ids = replace(clutch, id=0, eggs=tuple(replace(egg, id=0) for egg in clutch.eggs))
        assert without_ids == a_clutch(pair, eggs=2)

    def test_clutch_is_changed_in_place(self, book: NestBook) -> None:
        book.record(a_check(eggs=2), a_clutch(pair_up(book), eggs=2))
        first = stored_clutch(book)
        changed = replace(
            first,
            eggs=(
                replace(first.eggs[0], fate=EggFate.HATCHED, fate_from=NOON, fate_to=NOON),
                replace(first.eggs[1], candling=Candling.FERTILE, candled_at=NOON),
            ),
            chicks=(
                Chick(
                    id=0, egg_number=1, hatched_from=NOON, hatched_to=NOON, ring="A", ringed_at=NOON
                ),
            ),
            hide_in_at=NOON,
            closed_at=NOON,
        )
        book.record(a_check(NOON + timedelta(days=20)), changed)
        second = stored_clutch(book)
        assert second.chicks[0].id > 0
        assert replace(second, chicks=(replace(second.chicks[0], id=0),)) == changed

    def test_same_form_again_changes_nothing(self, book: NestBook) -> None:
        check, clutch = a_check(), a_clutch(pair_up(book))
        assert book.record(check, clutch)
        before = book.nest("box-1")
        assert not book.record(check, clutch)
        assert not book.record(replace(check, eggs=5), a_clutch(pair_up(book, "cage-2"), eggs=5))
        assert book.nest("box-1") == before

    def test_check_refused_leaves_nothing_behind(self, book: NestBook) -> None:
        pair = pair_up(book)
        check = a_check()
        with pytest.raises(NotKnownError, match="no pair 99"):
            book.record(check, replace(a_clutch(pair), pair_id=99))
        with pytest.raises(NotKnownError, match="no clutch 99"):
            book.record(check, replace(a_clutch(pair), id=99))
        assert book.check(str(check.form_id)) is None
        assert book.nest("box-1").clutch is None

    def test_check_based_on_an_older_revision_is_refused(self, book: NestBook) -> None:
        clutch = a_clutch(pair_up(book))
        read = book.nest("box-1").revision
        assert book.record(a_check(), clutch, based_on=read)
        with pytest.raises(ChangedMeanwhileError):
            book.record(a_check(), None, based_on=read)
        assert len(book.nest("box-1").checks) == 1

    def test_revision_of_one_box_is_nobody_elses(self, book: NestBook) -> None:
        read = book.nest("box-1").revision
        book.record(a_check(box="box-2", eggs=0), None)
        assert book.record(a_check(eggs=0), None, based_on=read)

    def test_new_pair_is_a_new_revision_of_its_box(self, book: NestBook) -> None:
        read = book.nest("box-1").revision
        pair_up(book)
        assert book.nest("box-1").revision > read

    def test_looks_before_the_first_egg_stay_with_the_clutch(self, book: NestBook) -> None:
        pair = pair_up(book)
        empty = a_check(NOON - timedelta(days=1), eggs=0)
        full = a_check()
        book.record(empty, None)
        book.record(full, a_clutch(pair))
        assert book.nest("box-1").checks == (empty, full)

    def test_checks_of_a_former_pair_are_not_this_pairs(self, book: NestBook) -> None:
        pair_up(book)
        book.record(a_check(eggs=0), None)
        pair_up(book, on=date(2026, 4, 1))
        assert book.nest("box-1").checks == ()

    def test_last_clutch_stays_in_sight_until_the_next(self, book: NestBook) -> None:
        pair = pair_up(book)
        book.record(a_check(), a_clutch(pair))
        book.record(a_check(NOON + timedelta(days=1)), replace(stored_clutch(book), closed_at=NOON))
        assert stored_clutch(book).closed_at == NOON
        later = a_check(NOON + timedelta(days=2))
        book.record(later, replace(a_clutch(pair), round=2))
        assert stored_clutch(book).round == 2
        assert book.nest("box-1").checks == (later,)

    def test_nests_come_in_walking_order_with_what_is_in_each(self, book: NestBook) -> None:
        one, two = pair_up(book), pair_up(book, "cage-2")
        book.record(a_check(), a_clutch(one))
        book.record(a_check(box="box-2", eggs=3), a_clutch(two, eggs=3, box="box-2"))
        told = [(nest.box.id, nest.clutch and len(nest.clutch.eggs)) for nest in book.nests()]
        assert told == [("box-2", 3), ("box-1", 1)]
        assert [book.nest(nest.box.id) for nest in book.nests()] == list(book.nests())

    def test_sitting_is_set_and_taken_back_and_both_are_kept(self, book: NestBook) -> None:
        book.record(a_check(), a_clutch(pair_up(book)))
        clutch_id = stored_clutch(book).id
        later = NOON + timedelta(hours=1)
        book.set_sitting_from(clutch_id, NOON, by="Ida", now=NOON)
        assert stored_clutch(book).sitting_from == NOON
        book.set_sitting_from(clutch_id, None, by=None, now=later)
        assert stored_clutch(book).sitting_from is None
        told = "2026-03-10T12:00:00+00:00"
        first = BookCorrection(
            id=1,
            subject=Subject.CLUTCH,
            subject_id=clutch_id,
            clutch_id=clutch_id,
            fact="sitting from",
            before=None,
            after=told,
            why=None,
            by="Ida",
            at=NOON,
        )
        back = replace(first, id=2, before=told, after=None, by=None, at=later)
        assert list(book.corrections(clutch_id)) == [first, back]

    def test_sitting_of_an_unknown_clutch_is_not_known(self, book: NestBook) -> None:
        with pytest.raises(NotKnownError, match="no clutch 5"):
            book.set_sitting_from(5, NOON, by=None, now=NOON)

    def test_sitting_set_meanwhile_is_not_overwritten_by_a_check(self, book: NestBook) -> None:
        book.record(a_check(), a_clutch(pair_up(book)))
        read = book.nest("box-1")
        assert read.clutch is not None
        book.set_sitting_from(read.clutch.id, NOON, by=None, now=NOON)
        with pytest.raises(ChangedMeanwhileError):
            book.record(a_check(), read.clutch, based_on=read.revision)
        assert stored_clutch(book).sitting_from == NOON

    def test_species_has_its_defaults_until_edited(self, book: NestBook) -> None:
        assert book.species() == SpeciesSettings()

    def test_species_comes_back_as_edited(self, book: NestBook) -> None:
        edited = replace(
            SpeciesSettings(),
            hatch_after_sitting=DaySpan(least=17.5, most=21, source="our own book, 2025"),
            eggs_before_sitting=EggSpan(least=2, most=3, source="our own book"),
        )
        book.put_species(edited)
        assert book.species() == edited

    def test_a_look_that_told_nothing_is_taken_back_once(self, book: NestBook) -> None:
        pair = pair_up(book)
        book.record(a_check(NOON - timedelta(days=1)), a_clutch(pair), changes=["egg 1 found"])
        plain = a_check()
        book.record(plain, book.nest("box-1").clutch)
        before = book.nest("box-1").revision
        assert book.withdraw(str(plain.form_id)) is True
        assert book.withdraw(str(plain.form_id)) is False
        kept = book.nest("box-1")
        assert (len(kept.checks), kept.revision) == (1, before + 1)

    def test_a_look_that_changed_the_book_is_not_taken_back(self, book: NestBook) -> None:
        pair, look = pair_up(book), a_check()
        book.record(look, a_clutch(pair), changes=["egg 1 found"])
        with pytest.raises(InputError, match="corrected on the nest's page"):
            book.withdraw(str(look.form_id))
        assert book.check(str(look.form_id)) == look

    def test_a_look_that_told_of_the_hen_is_not_taken_back(self, book: NestBook) -> None:
        pair_up(book)
        look = replace(a_check(eggs=0), hen=HenSeen.IN_BOX)
        book.record(look, None)
        with pytest.raises(InputError, match="told something"):
            book.withdraw(str(look.form_id))

    def test_a_look_with_another_after_it_is_not_taken_back(self, book: NestBook) -> None:
        pair_up(book)
        first, second = a_check(NOON - timedelta(hours=1), eggs=0), a_check(eggs=0)
        book.record(first, None)
        book.record(second, None)
        with pytest.raises(InputError, match="another look since"):
            book.withdraw(str(first.form_id))
