"""Names that people give: to a shed, a cage, a sensor. Pure."""

LONGEST_NAME = 60


def name_faults(text: str, what: str) -> tuple[str, ...]:
    """Why ``text`` can't be a name, in words; empty where it can. ``what`` begins the sentence."""
    if not text.strip():
        return (f"{what}: a name is needed, of 1 to {LONGEST_NAME} signs.",)
    if len(text.strip()) > LONGEST_NAME:
        return (
            f"{what}: {len(text.strip())} signs are too many; allowed: 1 to {LONGEST_NAME} signs.",
        )
    if not text.strip().isprintable():
        return (f"{what}: there is a sign in it that can't be shown; type it anew.",)
    return ()
