"""Room and wear. Numbers of the kernel's files are from its documentation, named in the source."""

from pathlib import Path

import pytest

from service.machine.disk_look import device_of, look_at_room, look_at_wear
from service.machine.finding import State
from service.machine.machine import Space, space_at
from tests.service.machine.machines import machine

CARD = "sys/devices/mmc/block/mmcblk0"


def card(root: Path, up_for_s: int, sectors: int, **told: str) -> Path:
    """A card with one part, 179:2, on which the data lies."""
    files = {
        "proc/uptime": f"{up_for_s}.00 1.00",
        f"{CARD}/stat": f"1 0 8 1 5 0 {sectors} 1 0 1 1",
        f"{CARD}/mmcblk0p2/partition": "2",
        **{f"{CARD}/device/{name}": text for name, text in told.items()},
    }
    machine(root, files)
    (root / "sys/dev/block").mkdir(parents=True)
    (root / "sys/dev/block/179:2").symlink_to(root / CARD / "mmcblk0p2")
    return root


@pytest.mark.parametrize(
    ("free_bytes", "expected", "words"),
    [
        (5_000_000_000, State.WELL, "5.0 GB"),
        (1_000_000_000, State.WELL, "1.0 GB"),
        (999_000_000, State.LOOK, "below 1 GB"),
        (200_000_000, State.LOOK, "below 1 GB"),
        (199_000_000, State.LOOK, "soon find no room"),
        (0, State.LOOK, "soon find no room"),
    ],
)
def test_room_is_told_by_two_bounds(free_bytes: int, expected: State, words: str) -> None:
    found = look_at_room(Space(free_bytes=free_bytes, free_files=900, files=1000))
    assert found.state is expected
    assert words in found.sentence


def test_a_disk_can_run_out_of_files_before_it_is_full() -> None:
    found = look_at_room(Space(free_bytes=10**10, free_files=10, files=1000))
    assert found.state is State.LOOK


def test_a_disk_that_counts_no_files_has_enough_of_them() -> None:
    assert look_at_room(Space(free_bytes=10**10, free_files=0, files=0)).state is State.WELL


def test_a_disk_that_tells_nothing_is_not_well(tmp_path: Path) -> None:
    assert look_at_room(space_at(tmp_path / "not there")).state is State.CANNOT_TELL


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ({}, State.WELL),
        ({"life_time": "0x01 0x01", "pre_eol_info": "0x01"}, State.WELL),
        ({"life_time": "0x02 0x09", "pre_eol_info": "0x01"}, State.WELL),
        ({"life_time": "0x02 0x0a"}, State.LOOK),
        ({"life_time": "0x0b 0x01"}, State.LOOK),
        ({"life_time": "0x00 0x00", "pre_eol_info": "0x02"}, State.LOOK),
        ({"life_time": "nonsense"}, State.WELL),
    ],
)
def test_a_card_that_tells_of_its_wear_is_believed(
    tmp_path: Path, told: dict[str, str], expected: State
) -> None:
    root = card(tmp_path, up_for_s=86400, sectors=2_000_000, **told)
    assert look_at_wear(machine(root), "179:2").state is expected


def test_what_is_written_a_day_is_reckoned_from_the_start(tmp_path: Path) -> None:
    root = card(tmp_path, up_for_s=2 * 86400, sectors=2 * 2_000_000)
    found = look_at_wear(machine(root), "179:2")
    assert "1.0 GB a day" in found.sentence  # 2 000 000 sectors of 512 bytes: 1.024 GB


def test_much_writing_is_told(tmp_path: Path) -> None:
    root = card(tmp_path, up_for_s=86400, sectors=12_000_000)
    assert look_at_wear(machine(root), "179:2").state is State.LOOK


def test_in_the_first_hour_the_rate_cannot_be_told(tmp_path: Path) -> None:
    root = card(tmp_path, up_for_s=600, sectors=1000)
    assert look_at_wear(machine(root), "179:2").state is State.CANNOT_TELL


def test_a_worn_card_is_told_in_the_first_hour_too(tmp_path: Path) -> None:
    root = card(tmp_path, up_for_s=600, sectors=1000, life_time="0x0b 0x0b")
    assert look_at_wear(machine(root), "179:2").state is State.LOOK


def test_an_unknown_disk_is_not_well(tmp_path: Path) -> None:
    assert look_at_wear(machine(tmp_path), device_of(tmp_path)).state is State.CANNOT_TELL
