"""Lines of the password file against those that mosquitto_passwd makes."""

import base64
import hashlib
import re
import subprocess
from pathlib import Path

import pytest

from service.machine.mosquitto_passwords import new_password, password_line
from tests.needs import need

pytestmark = pytest.mark.broker


@pytest.mark.parametrize("password", ["secret1", "kuhe-23ab-x9y8", "grüße und $ : zeichen"])
def test_a_line_is_that_of_mosquitto_passwd_for_the_same_salt(
    tmp_path: Path, password: str
) -> None:
    """Source: mosquitto_passwd itself, of the mosquitto that is installed."""
    program = need("mosquitto_passwd", "broker")
    file = tmp_path / "passwords"
    subprocess.run([program, "-c", "-b", file, "th-shed", password], check=True)
    theirs = file.read_text().strip()
    _, kind, rounds, salt, _ = theirs.split(":", 1)[1].split("$")
    assert kind == "7"
    assert password_line("th-shed", password, base64.b64decode(salt), int(rounds)) == theirs


def test_the_hash_is_pbkdf2_of_sixty_four_bytes() -> None:
    line = password_line("a", "b", b"123456789012")
    wanted = hashlib.pbkdf2_hmac("sha512", b"b", b"123456789012", 101, 64)
    assert base64.b64decode(line.rpartition("$")[2]) == wanted


def test_the_same_password_gives_another_line_each_time() -> None:
    assert password_line("a", "b") != password_line("a", "b")


def test_passwords_are_typed_easily_and_never_repeat() -> None:
    drawn = [new_password() for _ in range(500)]
    assert len(set(drawn)) == 500
    for password in drawn:
        assert re.fullmatch(r"[a-hjkmnp-z2-9]{4}(-[a-hjkmnp-z2-9]{4}){2}", password)
