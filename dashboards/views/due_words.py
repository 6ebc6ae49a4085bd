"""What is due, in words. Pure."""

from service.nests.due import Due, DueKind

DUE_WORDS = {
    DueKind.NEXT_EGG: "next egg",
    DueKind.CLUTCH_COMPLETE: "clutch complete",
    DueKind.CANDLE: "candle",
    DueKind.HATCH: "hatch",
    DueKind.RING: "ring",
    DueKind.HIDE_IN: "a place to hide goes in",
    DueKind.FLEDGE: "out of the box",
    DueKind.INDEPENDENT: "feeds itself",
    DueKind.SPLIT: "apart from its parents",
    DueKind.BOX_OFF: "box off",
}


def due_thing(due: Due, names: dict[str, str]) -> str:
    """``egg 3``, ``chick 2 of Box 4``; empty for what concerns the whole box.

    ``names`` are those of boxes by id.
    """
    if due.egg_number is None:
        return ""
    noun = "egg" if due.kind in (DueKind.HATCH, DueKind.NEXT_EGG) else "chick"
    told = f"{noun} {due.egg_number}"
    if due.laid_in is None:
        return told
    if due.laid_in == due.box:
        return f"{told} of the round before"
    return f"{told} of {names.get(due.laid_in, due.laid_in)}"


def due_title(due: Due, names: dict[str, str]) -> str:
    """``egg 3, hatch``; ``candle``; ``egg 5 to be laid``."""
    if due.kind is DueKind.NEXT_EGG:
        return f"egg {due.egg_number} to be laid"
    thing = due_thing(due, names)
    return f"{thing}, {DUE_WORDS[due.kind]}" if thing else DUE_WORDS[due.kind]
