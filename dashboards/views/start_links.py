"""The pages that a visitor may open, each with the question that it answers. Pure."""

from dataclasses import dataclass

from service.people.role import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class StartLink:
    """One line of the start page."""

    address: str
    name: str
    question: str


_WALL = (
    StartLink(address="/wall", name="Wall", question="Is all well? Which nest needs me next?"),
)
_SHED = (
    StartLink(
        address="/today",
        name="Today",
        question="What do I do on this visit? From cage to cage, one tap a cage.",
    ),
    StartLink(
        address="/nests",
        name="Nests",
        question="How is this nest, and what air did it have? Write down a nest check.",
    ),
    StartLink(
        address="/air", name="Air", question="How was the night, how will it be, and the light?"
    ),
    StartLink(
        address="/setup/birds", name="Birds", question="Who is this, and who is kin to whom?"
    ),
    StartLink(
        address="/season", name="Season", question="How did it go? Close it, and open the next."
    ),
    StartLink(address="/alarms", name="Alarms", question="What is wrong, and what was?"),
    StartLink(address="/sensors", name="Sensors", question="Who is talking, how well, who is new?"),
    StartLink(address="/setup", name="Set-up", question="What is set, and the days in a nest"),
)
_MINDING = (
    *_SHED[:2],
    StartLink(address="/alarms", name="Alarms", question="What is wrong, and what was?"),
    StartLink(address="/today/low", name="What runs low", question="Add it with one tap."),
    StartLink(
        address="/today/helper", name="On paper", question="The coming days as a list to print."
    ),
)
"""What somebody needs who minds the shed; the rest stays the keeper's to look for."""

_PEOPLE = (
    StartLink(address="/people", name="People", question="Who may come in; tablets for the wall"),
)
_REST = (
    StartLink(address="/help", name="Help", question="How do I…?"),
    StartLink(address="/api", name="For scripts", question="The same facts as JSON"),
)


def start_links(role: Role, *, has_keeper: bool) -> tuple[StartLink, ...]:
    """In the order in which they are needed; people come in once there is a keeper."""
    if role is Role.WALL:
        return _WALL
    if role is Role.HELPER:
        return (*_MINDING, *_WALL, _REST[0])
    people = _PEOPLE if role is Role.KEEPER and has_keeper else ()
    return (*_WALL, *_SHED, *people, *_REST)
