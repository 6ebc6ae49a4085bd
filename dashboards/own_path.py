"""Where a visitor may be sent on to: to our own pages, nowhere else. Pure."""

from urllib.parse import urlsplit

_PRINTABLE = frozenset(chr(code) for code in range(0x21, 0x7F)) - {"\\"}


def own_path(told: str, *, otherwise: str = "/") -> str:
    """``told`` if it is a path of ours, else ``otherwise``.

    Browsers read a backslash as a stroke, and drop tabs and line ends, before they decide
    where an address leads (WHATWG URL standard, 4.4): so no character is let through that
    could become another one.
    """
    parts = urlsplit(told) if set(told) <= _PRINTABLE else None
    if parts is None or parts.scheme or parts.netloc:
        return otherwise
    if not told.startswith("/") or told.startswith("//") or parts.path == "/login":
        return otherwise
    return told
