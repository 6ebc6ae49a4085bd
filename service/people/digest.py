"""Secrets that are random and long are kept as their SHA-256 digest.

They can't be guessed, so nothing slow is needed; who reads the file can't use what is there.
"""

import hashlib
import secrets

SECRET_BYTES = 32


def new_secret() -> str:
    """32 random bytes as text that fits a cookie and an address."""
    return secrets.token_urlsafe(SECRET_BYTES)


def digest_of(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode(errors="replace")).hexdigest()
