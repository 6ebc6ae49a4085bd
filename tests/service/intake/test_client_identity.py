"""The fixed name of a listener."""

from pathlib import Path

from service.intake.client_identity import fixed_client_id


def test_the_name_is_the_same_at_every_start(tmp_path: Path) -> None:
    assert fixed_client_id(tmp_path) == fixed_client_id(tmp_path / "x" / "..")


def test_another_folder_or_another_host_has_another_name(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    one.write_text("a\n")
    other.write_text("b\n")
    names = {
        fixed_client_id(folder, host)
        for folder in (Path("/a"), Path("/b"))
        for host in (one, other)
    }
    assert len(names) == 4


def test_the_name_is_one_that_every_broker_must_accept(tmp_path: Path) -> None:
    """OASIS MQTT 5.0, [MQTT-3.1.3-5]: 1 to 23 bytes of digits and letters.

    The hyphen is beyond that set and accepted by every broker known to us (from memory).
    """
    name = fixed_client_id(tmp_path, tmp_path / "no machine id")
    assert len(name.encode()) <= 23
    assert name.replace("-", "").isalnum()
