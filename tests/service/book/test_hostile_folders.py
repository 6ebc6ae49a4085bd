"""Folders that nobody would hand in by intent: devices, pipes, links, and books without an end."""

import os
import time
from itertools import pairwise
from pathlib import Path

import pytest

from service.book.folder import LARGEST_FILE, read_folder
from service.book.sound import Surroundings, faults_of
from service.errors import InputError
from tests.service.book.sound_books import NOW, PLACES
from tests.service.book.zone import ZONE

BIRDS = "bird,ring,sex,sire,dam\n"
EGGS = "egg,clutch,number,laid_from,laid_to\n"


def faults_in(folder: Path, name: str, content: str) -> list[str]:
    (folder / f"{name}.csv").write_text(content)
    read = read_folder(folder)
    around = Surroundings(places=PLACES, now=NOW, zone=ZONE, left_out=read.left_out)
    return [str(fault) for fault in (*read.faults, *faults_of(read.book, around))]


@pytest.mark.timeout(20)
def test_a_pipe_a_device_or_a_folder_is_no_table_and_nobody_waits_for_it(tmp_path: Path) -> None:
    birds = tmp_path / "birds.csv"
    os.mkfifo(birds)
    with pytest.raises(InputError, match="no file that could hold a table"):
        read_folder(tmp_path)
    birds.unlink()
    birds.symlink_to("/dev/zero")
    with pytest.raises(InputError, match="no file that could hold a table"):
        read_folder(tmp_path)
    birds.unlink()
    birds.mkdir()
    with pytest.raises(InputError, match=r"birds\.csv"):
        read_folder(tmp_path)


def test_a_link_to_nothing_is_told_by_its_name(tmp_path: Path) -> None:
    (tmp_path / "birds.csv").symlink_to(tmp_path / "gone.csv")
    with pytest.raises(InputError, match=r"birds\.csv: it can't be read"):
        read_folder(tmp_path)


def test_a_file_without_an_end_is_refused_before_it_is_read(tmp_path: Path) -> None:
    with (tmp_path / "birds.csv").open("wb") as sparse:
        sparse.truncate(LARGEST_FILE * 40)
    with pytest.raises(InputError, match="larger than 200 MB"):
        read_folder(tmp_path)


def test_a_long_pedigree_is_walked_once(tmp_path: Path) -> None:
    told = BIRDS + "1,R1,cock,,\n"
    told += "".join(f"{n},R{n},cock,{before},\n" for before, n in pairwise(range(1, 20_001)))
    begun = time.process_time()
    assert faults_in(tmp_path, "birds", told) == []
    assert time.process_time() - begun < 10  # for every bird anew: more than a minute


def test_birds_in_a_loop_are_named_and_those_beside_it_are_not(tmp_path: Path) -> None:
    """3 and 4 are each other's parents; 1 is a parent of 3, and 5 and 6 are their young."""
    told = BIRDS + "1,R1,cock,,\n3,R3,cock,4,\n4,R4,cock,3,\n5,R5,cock,4,\n6,R6,hen,5,\n"
    assert [fault.partition(": ")[2] for fault in faults_in(tmp_path, "birds", told)] == [
        "bird 3 is among its own ancestors",
        "bird 4 is among its own ancestors",
    ]


def test_thousands_of_eggs_after_holes_are_named_quickly(tmp_path: Path) -> None:
    laid = "2025-03-10T18:00:00Z,2025-03-11T08:00:00Z"
    told = EGGS + "".join(f"{n},1,{2 * n},{laid}\n" for n in range(1, 20_001))
    begun = time.process_time()
    assert len(faults_in(tmp_path, "eggs", told)) == 40_000
    assert time.process_time() - begun < 6
