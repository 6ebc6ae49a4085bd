"""Letters for codes that are read off one screen and typed into another."""

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""Without i, l, o, 0 and 1, which are taken for one another. 31 of them: 4.95 bits each."""


def typed(text: str) -> str:
    """A code as it was meant: case, spaces and strokes between the groups don't matter."""
    return "".join(letter for letter in text.lower() if letter.isalnum())
