"""What somebody, or a tablet, may be called."""

import unicodedata

from service.errors import InputError

MOST_CHARACTERS = 40


def person_name(told: str) -> str:
    """The name as it is kept: without spaces around it.

    Raises:
        InputError: nothing, too long, or with something in it that can't be seen.
    """
    name = " ".join(unicodedata.normalize("NFC", told).split())
    if not name:
        raise InputError("A name is needed.")
    if len(name) > MOST_CHARACTERS:
        raise InputError(f"The name has {len(name)} characters; at most {MOST_CHARACTERS}.")
    if not name.isprintable():
        raise InputError("The name has something in it that can't be seen.")
    return name


def same_name(one: str, other: str) -> bool:
    """Whether two names are told apart only by the size of their letters."""
    return _folded(one) == _folded(other)


def _folded(name: str) -> str:
    return unicodedata.normalize("NFKC", name).casefold()
