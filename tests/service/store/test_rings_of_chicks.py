"""A ring is given once, to a chick or to a bird."""

from pathlib import Path

import pytest

from service.nests.nest import Bird, ChickRinged, Sex
from service.store.faulty_bird import FaultyBirdError
from service.store.sql_records import open_records
from tests.service.store.fostering import LAST_DAY, two_boxes


def test_a_new_bird_cant_have_the_ring_of_a_chick_that_is_another(tmp_path: Path) -> None:
    records = open_records("sqlite:///records.db", tmp_path)
    boxes = two_boxes(records.nest_book)
    boxes.lay("box-1", 1)
    boxes.look("box-1", 20, 0, 1, hatched=(1,))
    boxes.look("box-1", 29, 0, 1, ringed=(ChickRinged(egg_number=1, ring="HZ-26-021"),))
    typed = Bird(id=0, sex=Sex.UNKNOWN, ring="hz-26-021")
    with pytest.raises(FaultyBirdError, match="chick 1 of Box 1 wears it"):
        records.birds.add(typed, today=LAST_DAY.date())

    chick = boxes.clutch("box-1").chicks[0]
    known = {"at": LAST_DAY, "today": LAST_DAY.date()}
    bird = records.nest_book.bird_of_chick(chick.id, Bird(id=0, sex=Sex.HEN), **known)  # type: ignore[arg-type]
    named = Bird(id=bird.id, sex=Sex.HEN, ring=bird.ring, name="Moss", sire_id=bird.sire_id)
    records.birds.change(named, **known)  # type: ignore[arg-type]
    assert records.birds.bird(bird.id).name == "Moss"
    records.close()
