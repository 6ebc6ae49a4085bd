"""JSON of strangers, read without trust: RFC 8259, as far as a payload of a sensor goes.

Taken: what the standard allows, and a byte order mark before it (section 8.1 lets a reader pass
over it). Where a key stands twice in one object the last one counts (section 4 leaves that to
the reader). A value that is no JSON number (NaN, Infinity) or no finite one (1e999, 5,000
digits) is kept as a text or as infinity, so that whoever asks for it can refuse it and its
neighbours stay.
"""

import json
import re
from collections.abc import Mapping, Sequence

import msgspec

from devices.errors import DecodeError

Json = Mapping[str, "Json"] | Sequence["Json"] | str | int | float | bool | None

MAX_DEPTH = 8
"""Objects and lists within each other. Sensors need three or four (common practice)."""

_BYTE_ORDER_MARK = b"\xef\xbb\xbf"
# A text, ended or not, counts as one piece, so that no bracket in it is taken for a real one.
_PIECES = re.compile(rb'"(?:[^"\\]|\\.)*"?|[\[{\]}]', re.DOTALL)
_LONGEST_INTEGER = 18


def read_json(topic: str, payload: bytes) -> Json:
    """The value that the payload is.

    Raises:
        DecodeError: it is not JSON, or nested deeper than MAX_DEPTH.
    """
    text = payload.removeprefix(_BYTE_ORDER_MARK)
    if not text.strip():
        raise DecodeError(topic, "the payload is empty, where JSON should be")
    if text.count(b"[") + text.count(b"{") > MAX_DEPTH:
        _refuse_depth(topic, text)
    try:
        value: Json = msgspec.json.decode(text)
    except (msgspec.DecodeError, UnicodeDecodeError):
        return _read_slowly(topic, text)
    return value


def _read_slowly(topic: str, text: bytes) -> Json:
    """With Python's own reader, which takes what one field alone may be refused for."""
    try:
        value: Json = json.loads(text.decode("utf-8"), parse_constant=str, parse_int=_read_int)
    except UnicodeDecodeError as error:
        raise DecodeError(topic, "the payload is not UTF-8 text") from error
    except ValueError as error:
        raise DecodeError(topic, f"the payload is not JSON: {str(error)[:120]}") from error
    return value


def _read_int(digits: str) -> int | float:
    return int(digits) if len(digits) <= _LONGEST_INTEGER else float(digits)


def _refuse_depth(topic: str, text: bytes) -> None:
    depth = 0
    for piece in _PIECES.finditer(text):
        sign = piece[0]
        if sign in b"[{":
            depth += 1
            if depth > MAX_DEPTH:
                raise DecodeError(topic, f"the JSON is nested deeper than {MAX_DEPTH} levels")
        elif sign in b"]}":
            depth -= 1
