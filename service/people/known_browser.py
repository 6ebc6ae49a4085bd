"""The proof that somebody has signed in with this browser before.

It opens nothing: it only gives the browser a lane of its own when passwords are tried
(``tries.py``). It is made from the person's kept hash, so nothing has to be stored, nobody
can invent one, and a new password ends it.
"""

import hashlib
import hmac
import secrets

_PURPOSE = b"a browser that has signed in: "


def proof(password_hash: str) -> str:
    """A new proof for the person with this kept hash."""
    nonce = secrets.token_urlsafe(16)
    return f"{nonce}.{_seal(password_hash, nonce)}"


def proven(told: str, password_hash: str | None) -> str | None:
    """What tells this browser from others, if the proof is good; otherwise None."""
    nonce, _, seal = told.partition(".")
    if password_hash is None or not nonce or len(told) > 200:
        return None
    good = hmac.compare_digest(seal.encode(), _seal(password_hash, nonce).encode())
    return nonce if good else None


def _seal(password_hash: str, nonce: str) -> str:
    made = hmac.new(password_hash.encode(), _PURPOSE + nonce.encode(), hashlib.sha256)
    return made.hexdigest()
