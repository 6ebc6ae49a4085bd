"""A token in every form, so that only a page that we have served can send one. Pure.

It is derived from the visitor's cookie, which no script and no other site can read; so nothing
has to be kept, and it ends when the cookie changes (at sign-in, and at sign-out).

Source: OWASP Cross-Site Request Forgery Prevention cheat sheet, "HMAC-based token pattern";
the cookie itself is the key here, 32 random bytes that only this browser has.
"""

import hashlib
import hmac

from markupsafe import Markup

FIELD = "csrf"
HEADER = "x-csrf-token"


def csrf_token(cookie: str) -> str:
    """The token that belongs to a cookie."""
    return hmac.new(cookie.encode(), b"a form of ours", hashlib.sha256).hexdigest()


def csrf_field(token: str) -> Markup:
    """The hidden input that carries the token."""
    return Markup('<input type="hidden" name="{}" value="{}">').format(FIELD, token)


def is_token(sent: str, token: str) -> bool:
    """Whether what was sent is the token, told in a time that does not depend on it."""
    return hmac.compare_digest(sent.encode(), token.encode())
