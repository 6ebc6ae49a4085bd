"""Cells that a spreadsheet could take for a formula, made harmless and read back.

Which beginnings are dangerous: OWASP, "CSV Injection" (=, +, -, @, tab, carriage return, line
feed, and the wide forms of the four signs), from memory. The apostrophe itself is guarded too,
so that what is read is always what was written. Pure.
"""

GUARD = "'"
_DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", GUARD)  # noqa: RUF001


def guarded(cell: str) -> str:
    """The cell as it is written."""
    return GUARD + cell if cell.startswith(_DANGEROUS) else cell


def unguarded(cell: str) -> str:
    """The cell as it was meant.

    An apostrophe before anything harmless is the cell's own: somebody typed it.
    """
    if cell.startswith(GUARD) and cell[1:].startswith(_DANGEROUS):
        return cell[1:]
    return cell
