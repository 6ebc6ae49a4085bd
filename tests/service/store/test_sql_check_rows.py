"""Looks into columns and back, whatever was told; and rows of an older version."""

import json
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from hypothesis import given
from hypothesis import strategies as st

from service.nests.nest import (
    BeddingLevel,
    BeddingSeen,
    Candling,
    ChickFate,
    EggFate,
    GuestSeen,
    NestCheck,
    Weighed,
)
from service.store.sql_check_rows import check_of, check_row

IDS = st.integers(1, 10**6)
GUESTS = st.builds(
    GuestSeen,
    egg_id=IDS,
    candled=st.none() | st.sampled_from(Candling),
    lost=st.none() | st.sampled_from(EggFate),
    hatched=st.booleans(),
    ring=st.none() | st.text(),
    gone=st.none() | st.sampled_from(ChickFate),
    not_in_sight=st.booleans(),
)
BEDDING = st.builds(
    BeddingSeen,
    level=st.none() | st.sampled_from(BeddingLevel),
    thrown_out=st.booleans(),
    put_back=st.booleans(),
    taken_out=st.booleans(),
)
WEIGHED = st.builds(
    Weighed, egg_number=st.integers(0, 30), mass_g=st.floats(0.1, 200), egg_id=st.none() | IDS
)
LOOKS = st.builds(
    NestCheck,
    form_id=st.uuids(),
    box=st.just("box-1"),
    at=st.just(datetime(2026, 3, 1, tzinfo=UTC)),
    eggs=st.integers(0, 30),
    chicks=st.integers(0, 30),
    guests=st.lists(GUESTS, max_size=3).map(tuple),
    not_in_sight=st.lists(st.integers(1, 30), max_size=3).map(tuple),
    bedding=st.none() | BEDDING,
    weighed=st.lists(WEIGHED, max_size=3).map(tuple),
)


@given(LOOKS)
def test_look_comes_back_as_it_was_told(check: NestCheck) -> None:
    row: Any = check_row(check, ())
    assert check_of(row) == check


def test_row_of_an_older_version_says_nothing_of_what_that_did_not_know() -> None:
    old = ("hide_in", "sure", "hatched", "lost", "candled", "ringed", "gone")
    check = NestCheck(
        form_id=uuid4(),
        box="box-1",
        at=datetime(2026, 3, 1, tzinfo=UTC),
        eggs=2,
        chicks=0,
    )
    row: Any = check_row(check, ())
    assert set(json.loads(row["told"])) == set(old)
    assert check_of(row) == check
