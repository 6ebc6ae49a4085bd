"""Passwords: what may be one, and how one is kept and compared.

Kept as argon2id with 19 MiB, two passes and one lane: the least that the OWASP Password
Storage cheat sheet names for argon2id. The second recommendation of RFC 9106 (64 MiB) would,
with two people signing in at once, take a quarter of the memory of a small board that also
watches the birds.

At most two are hashed at once in a process, and never on the thread that serves the pages:
callers are plain functions in worker threads.
"""

import secrets
import threading
import unicodedata
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from service.errors import InputError
from service.people.letters import LETTERS

LEAST_CHARACTERS = 10
MOST_CHARACTERS = 200

_AT_ONCE = threading.BoundedSemaphore(2)
_HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)


def acceptable(password: str, name: str) -> None:
    """Whether somebody of that name may have this password; typed spaces count.

    Raises:
        InputError: too short, too long, or the name.
    """
    written = _written(password)
    if len(written) < LEAST_CHARACTERS:
        raise InputError(
            f"The password has {len(written)} characters; at least {LEAST_CHARACTERS} are needed. "
            "A few words in a row are easy to keep in mind."
        )
    if len(written) > MOST_CHARACTERS:
        raise InputError(f"The password is longer than {MOST_CHARACTERS} characters.")
    if written.strip().casefold() == name.strip().casefold():
        raise InputError("The password is the name: that would be tried first.")
    if len(set(written)) == 1:
        raise InputError("The password is one character again and again.")


def password_hash(password: str) -> str:
    """What is kept instead of the password. Takes a moment, on purpose."""
    with _AT_ONCE:
        return _HASHER.hash(_written(password))


def is_password(kept: str | None, password: str) -> bool:
    """Whether this is the password that was kept.

    For somebody who is not there (``None``) the same work is done, so that the time of the
    answer does not tell who is.
    """
    with _AT_ONCE:
        try:
            right = _HASHER.verify(kept or _nobodys_hash(), _written(password))
        except (VerificationError, InvalidHashError):
            return False
    return right and kept is not None


def is_outdated(kept: str) -> bool:
    """Whether it was hashed with other parameters than are used now."""
    return _HASHER.check_needs_rehash(kept)


def one_time_password() -> str:
    """A random password that is easy to read out: four times four letters, 79 bits."""
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(4)) for _ in range(4))


def _written(password: str) -> str:
    """Two keyboards may write one letter in two ways.

    Source: NIST SP 800-63B, 5.1.1.2: apply NFKC or NFKD before hashing.
    """
    return unicodedata.normalize("NFKC", password)[: 2 * MOST_CHARACTERS]


@cache
def _nobodys_hash() -> str:
    return _HASHER.hash(secrets.token_urlsafe())
