"""What one tap on the nest check form tells, as the fields of the whole form. Pure.

tap.egg.4            egg 4 was found
tap.hatched.egg.1    egg.1.fate = hatched           (tap.hatched.guest.17: guest.17.fate)
tap.out.chick.1      chick.1.fate = fledged         (tap.out.guest.17: guest.17.gone)
tap.weaned.chick.1   chick.1.fate = weaned
tap.ring.chick.2     chick.2.ring = what stands in ring.chick.2
tap.candle           each egg of its list that nothing else is told of is fertile
"""

from collections.abc import Mapping

from service.errors import InputError
from service.nests.nest import Candling, ChickFate, EggFate

YES = "yes"
CANDLE = "tap.candle"

_FATES = {"hatched": EggFate.HATCHED, "out": ChickFate.FLEDGED, "weaned": ChickFate.WEANED}
_PARTS = 4


def tap_egg(number: int) -> str:
    """The field of a new egg."""
    return f"tap.egg.{number}"


def with_taps(fields: Mapping[str, str]) -> dict[str, str]:
    """The fields with each tap written out; ``new_eggs`` is how many eggs were tapped.

    Raises:
        InputError: a tap and another field tell two stories of one egg or chick.
    """
    told = dict(fields)
    new_eggs = 0
    for name, value in fields.items():
        if not value.strip():
            continue
        if name.startswith("tap.egg."):
            new_eggs += 1
        elif name.startswith("tap.ring."):
            _tell(told, f"{_thing(name)}.ring", fields.get(f"ring.{_thing(name)}", "").strip())
        elif name.startswith("tap.") and name != CANDLE:
            _tell_fate(told, name)
    for thing in fields.get(CANDLE, "").split(","):
        if thing.strip():
            _tell_candled(told, thing.strip())
    told["new_eggs"] = str(new_eggs) if new_eggs else ""
    return told


def _thing(name: str) -> str:
    """``chick.2`` of ``tap.ring.chick.2``."""
    return ".".join(name.split(".")[2:])


def _tell_fate(told: dict[str, str], name: str) -> None:
    parts = name.split(".")
    if len(parts) != _PARTS or parts[1] not in _FATES:
        raise InputError(f"{name!r} is nothing that can be tapped")
    what = "gone" if parts[2] == "guest" and parts[1] != "hatched" else "fate"
    _tell(told, f"{_thing(name)}.{what}", _FATES[parts[1]])


def _tell(told: dict[str, str], field: str, value: str) -> None:
    before = told.get(field, "").strip()
    if before and before != value:
        thing = " ".join(field.split(".")[:2])
        raise InputError(f"{thing}: both {before!r} and {str(value)!r} are told. Which one is it?")
    told[field] = value


def _tell_candled(told: dict[str, str], thing: str) -> None:
    if not told.get(f"{thing}.fate", "").strip() and not told.get(f"{thing}.candled", "").strip():
        told[f"{thing}.candled"] = Candling.FERTILE
