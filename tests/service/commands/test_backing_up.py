"""``backup``, ``restore`` and ``doctor`` as a person runs them: processes of their own."""

import json
import os
import subprocess
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pytest

from service.clock import FixedClock
from service.nest_check_path import NestCheckPath
from service.nests.nest import HenSeen, NestCheck, Sex
from tests.service.backup.kept_shed import NAME, NAMED, SECRETS, filled_shed
from tests.service.shed_in_a_folder import CONFIGURATION, EVENING, minutes, shed_in
from tests.walks.command_line import run, shown
from tests.walks.running_shed import SHED, running_shed

DAY = timedelta(days=1)
ANSWERS = ("latest", "nests", "alarms", "readings", "nights", "dead-letters")


def told(done: subprocess.CompletedProcess[str]) -> str:
    return done.stdout + done.stderr


WITH_A_CAGE = CONFIGURATION.replace("[[place]]", NAMED, 1).replace(
    '[[place]]\nid = "box-1"\nkind = "box"\nin = "shed"',
    '[[place]]\nid = "cage-1"\nkind = "cage"\nin = "shed"\n'
    '[[place]]\nid = "box-1"\nkind = "box"\nin = "cage-1"',
)


@pytest.fixture
def first(tmp_path: Path) -> Path:
    """A shed with a clutch, and a replay's end as its present, so that ages stand still."""
    data = filled_shed(tmp_path / "first")
    with shed_in(data, WITH_A_CAGE) as shed:
        shed.walk(*minutes(9.0, 60, 90))
        book = shed.stores.records.nest_book
        cock, hen = (book.add_bird(sex=sex).id for sex in (Sex.COCK, Sex.HEN))
        book.put_up(cage="cage-1", cock_id=cock, hen_id=hen, on=EVENING.date() - 10 * DAY)
        path = NestCheckPath(book, FixedClock(EVENING))
        path.record(
            NestCheck(
                form_id=UUID(int=1), box="box-1", at=EVENING, eggs=3, chicks=0, hen=HenSeen.SITTING
            )
        )
    (data / "replayed-until").write_text((EVENING + timedelta(hours=3)).isoformat() + "\n")
    return data


def test_an_empty_folder_gives_the_same_answers_after_a_restore(
    first: Path, tmp_path: Path
) -> None:
    before = {what: shown(what, first) for what in ANSWERS}
    assert before["latest"]
    assert before["alarms"]
    assert before["nests"][0]["eggs"] == 3
    backup = run("backup", tmp_path / "stick", "--data", first)
    assert backup.returncode == 0, backup.stderr
    (archive,) = (tmp_path / "stick").iterdir()
    restore = run("restore", archive, "--data", tmp_path / "second")
    assert restore.returncode == 0, restore.stderr
    assert {what: shown(what, tmp_path / "second") for what in ANSWERS} == before
    assert "90 readings" in backup.stdout
    assert "90 readings" in restore.stdout
    assert NAME in restore.stdout


def test_a_restore_over_another_shed_gives_the_answers_of_the_first(
    first: Path, tmp_path: Path
) -> None:
    second = filled_shed(tmp_path / "second", celsius=21.0)
    run("backup", tmp_path / "kept.tar.gz", "--data", first)
    restore = run("restore", tmp_path / "kept.tar.gz", "--data", second)
    assert restore.returncode == 0, restore.stderr
    assert "before-restore-" in restore.stdout
    assert shown("latest", second) == shown("latest", first)


def test_a_backup_without_a_destination_lies_in_the_data_folder_and_gets_an_age(
    first: Path,
) -> None:
    assert shown("health", first)["backup_age_h"] is None
    done = run("backup", "--data", first)
    assert "same disk" in done.stdout
    assert len(list((first / "backups").iterdir())) == 1
    assert shown("health", first)["backup_age_h"] == pytest.approx(0, abs=0.1)


@pytest.mark.parametrize(
    ("kind", "words"), [("damaged", "not a whole backup"), ("missing", "no such file")]
)
def test_what_is_no_backup_is_refused_with_status_2(
    first: Path, tmp_path: Path, kind: str, words: str
) -> None:
    source = tmp_path / "kept.tar.gz"
    if kind == "damaged":
        source.write_bytes(os.urandom(1000))
    before = shown("latest", first)
    done = run("restore", source, "--data", first)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert shown("latest", first) == before


def test_a_destination_that_cannot_be_written_is_told_with_status_1(
    first: Path, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("in the way")
    done = run("backup", tmp_path / "file" / "below", "--data", first)
    assert done.returncode == 1
    assert "no backup was made" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.broker
@pytest.mark.faults
def test_a_running_watch_is_not_restored_under(tmp_path: Path) -> None:
    with running_shed(tmp_path) as shed:
        shed.watch()
        assert run("backup", tmp_path / "kept.tar.gz", "--data", shed.data).returncode == 0
        done = run("restore", tmp_path / "kept.tar.gz", "--data", shed.data)
        assert done.returncode == 2
        assert "another copy" in done.stderr
        shed.stop_watch()
        done = run("restore", tmp_path / "kept.tar.gz", "--data", shed.data)
        assert done.returncode == 0, done.stderr


@pytest.mark.broker
def test_doctor_finds_a_watch_and_its_broker_well(tmp_path: Path) -> None:
    with running_shed(tmp_path, configuration=SHED) as shed:
        shed.watch()
        done = run("doctor", "--data", shed.data, "--json")
    found = {one["what"]: one["state"] for one in json.loads(done.stdout)}
    assert (found["watch"], found["broker"]) == ("well", "well")
    assert found["pages"] == "look at this"
    assert done.returncode == 1


def test_doctor_tells_what_to_do_about_each_thing_that_is_not_well(first: Path) -> None:
    done = run("doctor", "--data", first, "--json", "--deep")
    wrong = [one for one in json.loads(done.stdout) if one["state"] != "well"]
    assert wrong
    assert all(one["to_do"] for one in wrong)


def test_doctor_of_no_folder_is_status_2(tmp_path: Path) -> None:
    done = run("doctor", "--data", tmp_path / "none")
    assert (done.returncode, "no such data folder" in done.stderr) == (2, True)


def test_no_command_prints_a_secret(first: Path, tmp_path: Path) -> None:
    outputs = [
        told(run("backup", tmp_path / "kept.tar.gz", "--data", first)),
        told(run("doctor", "--data", first)),
        told(run("doctor", "--data", first, "--json")),
        told(run("restore", tmp_path / "kept.tar.gz", "--data", tmp_path / "second")),
        told(run("show", "health", "--data", first, "--json")),
    ]
    (first / "clutchweather.toml").write_text(f'[broker]\npassword = "{SECRETS[0]}"\n[x')
    outputs += [
        told(run("backup", tmp_path / "second.tar.gz", "--data", first)),
        told(run("doctor", "--data", first)),
    ]
    for secret in SECRETS:
        assert not [text for text in outputs if secret in text]
