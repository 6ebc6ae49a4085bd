"""Which treatment reached a place last."""

from datetime import UTC, datetime, timedelta

from service.nests.treatment import Against, Treatment, last_treatment

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
DAY = timedelta(days=1)
WITHIN = {"shed": None, "cage-1": "shed", "box-1": "cage-1", "box-2": "cage-2", "cage-2": "shed"}


def given(
    nth: int, place: str, day: int, against: Against = Against.MITES, undone: int | None = None
) -> Treatment:
    return Treatment(
        id=nth,
        place=place,
        against=against,
        at=NOON + day * DAY,
        undone_at=None if undone is None else NOON + undone * DAY,
    )


def last(told: list[Treatment], place: str = "box-1", day: int = 30) -> int | None:
    found = last_treatment(told, place, Against.MITES, WITHIN, NOON + day * DAY)
    return None if found is None else found.id


def test_what_a_place_stands_in_was_treated_with_it() -> None:
    assert last([given(1, "shed", 0), given(2, "cage-1", 3)]) == 2
    assert last([given(1, "shed", 5), given(2, "cage-1", 3)]) == 1


def test_what_stands_elsewhere_or_inside_does_not_reach_it() -> None:
    assert last([given(1, "box-2", 0), given(2, "cage-2", 0)]) is None
    assert last([given(1, "box-1", 0)], "shed") is None


def test_undone_ones_others_and_those_to_come_do_not_count() -> None:
    told = [given(1, "shed", 0, undone=1), given(2, "shed", 1, Against.MOULD), given(3, "shed", 40)]
    assert last(told) is None
