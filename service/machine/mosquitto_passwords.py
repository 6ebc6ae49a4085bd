"""Lines of mosquitto's password file: ``name:$7$iterations$salt$hash``.

PBKDF2 with HMAC-SHA512 over the password, salt and hash in base64, as mosquitto_passwd of
mosquitto 2.0 writes them (mosquitto_passwd(1), "sha512-pbkdf2"). Its 101 rounds are few, and
enough for passwords that are drawn by chance and never chosen by a person.
"""

import base64
import hashlib
import secrets

ITERATIONS = 101
SALT_BYTES = 12

_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is taken for another: no i, l, o, 0, 1
_GROUPS = 3
_GROUP_LETTERS = 4


def new_password() -> str:
    """Three groups of four letters and digits, easily typed: 59 bits of chance."""
    groups = (
        "".join(secrets.choice(_LETTERS) for _ in range(_GROUP_LETTERS)) for _ in range(_GROUPS)
    )
    return "-".join(groups)


def password_line(
    name: str, password: str, salt: bytes | None = None, rounds: int = ITERATIONS
) -> str:
    """The line of one account, with a fresh salt unless one is given."""
    salted = secrets.token_bytes(SALT_BYTES) if salt is None else salt
    digest = hashlib.pbkdf2_hmac("sha512", password.encode(), salted, rounds)
    return f"{name}:$7${rounds}${_base64(salted)}${_base64(digest)}"


def _base64(octets: bytes) -> str:
    return base64.b64encode(octets).decode("ascii")
