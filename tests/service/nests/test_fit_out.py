"""What is missing in which place, in walking order; not having looked is never "there"."""

from datetime import UTC, datetime

from service.nests.fit_out import PROPOSED, FitOutItem, FitOutSeen, fit_outs
from service.nests.place import Place, PlaceKind

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
PLACES = (
    Place(id="shed", kind=PlaceKind.SHED, name="Shed"),
    Place(id="cage-2", kind=PlaceKind.CAGE, name="Cage 2", order=1),
    Place(id="box-2", kind=PlaceKind.BOX, name="Box 2", order=2),
    Place(id="cage-1", kind=PlaceKind.CAGE, name="Cage 1", order=3),
)
ITEMS = (
    FitOutItem(id=5, kind=PlaceKind.CAGE, name="water", position=2),
    FitOutItem(id=9, kind=PlaceKind.CAGE, name="perches", position=1),
    FitOutItem(id=7, kind=PlaceKind.BOX, name="bedding", position=1),
)
SEEN = (
    FitOutSeen(place="cage-2", item_id=9, there=True, at=NOON),
    FitOutSeen(place="cage-2", item_id=5, there=False, at=NOON),
)


def test_places_keep_their_order_and_items_that_of_looking() -> None:
    told = [
        (one.place.id, [item.item.name for item in one.items])
        for one in fit_outs(PLACES, ITEMS, SEEN)
    ]
    assert told == [
        ("cage-2", ["perches", "water"]),
        ("box-2", ["bedding"]),
        ("cage-1", ["perches", "water"]),
    ]


def test_missing_unseen_and_there_are_three_things() -> None:
    first, box, last = fit_outs(PLACES, ITEMS, SEEN)
    assert [one.item.name for one in first.missing] == ["water"]
    assert [one.is_there for one in first.items] == [True, False]
    assert first.unseen == ()
    assert [one.item.name for one in box.unseen] == ["bedding"]
    assert (last.missing, len(last.unseen)) == ((), 2)
    assert not any(one.is_there for one in last.items)


def test_a_place_without_a_list_has_nothing_to_look_for() -> None:
    assert all(one.items == () for one in fit_outs(PLACES, (), ()))


def test_what_is_proposed_names_nothing_twice() -> None:
    for names in PROPOSED.values():
        assert len(set(names)) == len(names) > 0
