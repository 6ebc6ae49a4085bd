"""What is typed of a bird: read into its facts, or every fault in words. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from dashboards.views.bird_names import bird_label, bird_meant
from service.nests.nest import Bird, Life, Sex
from service.nests.place import Place, PlaceKind

LIVED_IN = (PlaceKind.CAGE, PlaceKind.FLIGHT, PlaceKind.SHED, PlaceKind.OUTDOORS)
_LONGEST = {"ring": 40, "name": 60, "variety": 80}
LONGEST_NOTE = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdFormView:
    """``typed`` is what stands in the fields, by name."""

    title: str
    typed: Mapping[str, str]
    sires: tuple[str, ...]
    dams: tuple[str, ...]
    places: tuple[tuple[str, str], ...]
    today: str
    sexes: tuple[str, ...] = tuple(sex.value for sex in Sex)
    lives: tuple[str, ...] = tuple(life.value for life in Life)


def typed_of(bird: Bird, birds: Mapping[int, Bird]) -> dict[str, str]:
    """A bird as it would be typed."""
    sire, dam = birds.get(bird.sire_id or 0), birds.get(bird.dam_id or 0)
    return {
        "ring": bird.ring or "",
        "name": bird.name or "",
        "sex": bird.sex.value,
        "variety": bird.variety or "",
        "hatched": bird.hatched_on.isoformat() if bird.hatched_on else "",
        "sire": bird_label(sire) if sire else "",
        "dam": bird_label(dam) if dam else "",
        "place": bird.place or "",
        "life": bird.life.value,
        "since": bird.life_since.isoformat() if bird.life_since else "",
    }


def bird_form_view(
    title: str,
    typed: Mapping[str, str],
    birds: Sequence[Bird],
    places: Sequence[Place],
    today: date,
) -> BirdFormView:
    """The form; the lists of parents hold who could be one by its sex."""
    return BirdFormView(
        title=title,
        typed=typed,
        sires=tuple(bird_label(bird) for bird in birds if bird.sex is not Sex.HEN),
        dams=tuple(bird_label(bird) for bird in birds if bird.sex is not Sex.COCK),
        places=tuple((place.id, place.name) for place in places if place.kind in LIVED_IN),
        today=today.isoformat(),
    )


def read_bird(
    typed: Mapping[str, str], bird_id: int, birds: Sequence[Bird], places: Sequence[Place]
) -> Bird | tuple[str, ...]:
    """The bird that was typed, or what can't be read; ``bird_id`` is 0 for a new one."""
    faults: list[str] = []
    text = {name: _text(typed, name, longest, faults) for name, longest in _LONGEST.items()}
    parents = {what: _parent(typed, what, birds, faults) for what in ("sire", "dam")}
    days = {name: day_typed(typed.get(name, ""), name, faults) for name in ("hatched", "since")}
    sex = next((one for one in Sex if one.value == typed.get("sex")), None)
    life = next((one for one in Life if one.value == typed.get("life", "alive")), None)
    if sex is None:
        faults.append("Sex: choose cock, hen or unknown.")
    if life is None:
        faults.append("Now: choose alive, sold or dead.")
    if not (text["ring"] or text["name"]):
        faults.append("Ring or name: one of them is needed, so that the bird can be told apart.")
    place = typed.get("place", "").strip() or None
    if place and place not in {one.id for one in places if one.kind in LIVED_IN}:
        faults.append("Where it lives: choose one of the places.")
    if faults or sex is None or life is None:
        return tuple(faults)
    return Bird(
        id=bird_id,
        sex=sex,
        ring=text["ring"],
        name=text["name"],
        variety=text["variety"],
        hatched_on=days["hatched"],
        sire_id=parents["sire"],
        dam_id=parents["dam"],
        place=place,
        life=life,
        life_since=days["since"],
    )


def _text(typed: Mapping[str, str], name: str, longest: int, faults: list[str]) -> str | None:
    told = " ".join(typed.get(name, "").split(" ")).strip()
    what = name.capitalize()
    if len(told) > longest:
        faults.append(f"{what}: {len(told)} signs are too many; allowed: up to {longest}.")
    elif not told.isprintable():
        faults.append(f"{what}: there is a sign in it that can't be shown; type it anew.")
    return told or None


def _parent(
    typed: Mapping[str, str], what: str, birds: Sequence[Bird], faults: list[str]
) -> int | None:
    told = typed.get(what, "").strip()
    if not told:
        return None
    found = bird_meant(told[:200], birds, what.capitalize())
    if isinstance(found, str):
        faults.append(found)
        return None
    return found.id


def day_typed(told: str, what: str, faults: list[str]) -> date | None:
    """The day, None where nothing was typed or it is no day: a fault is added then."""
    if not told.strip():
        return None
    try:
        return date.fromisoformat(told.strip())
    except ValueError:
        faults.append(f"{what.capitalize()}: {told[:30]} is no day; allowed: such as 2026-05-03.")
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewNote:
    """A condition note as it was typed."""

    on: date
    text: str


def read_note(typed: Mapping[str, str], today: date) -> NewNote | tuple[str, ...]:
    """The day and the text of a condition note, or what is wrong with it."""
    faults: list[str] = []
    day = day_typed(typed.get("on", ""), "day", faults) or today
    if day > today:
        faults.append(f"Day: {day.isoformat()} is yet to come; allowed: up to today.")
    text = typed.get("text", "").strip()
    if not text:
        faults.append("Note: nothing was written.")
    elif len(text) > LONGEST_NOTE:
        faults.append(f"Note: {len(text)} signs are too many; allowed: up to {LONGEST_NOTE}.")
    elif not text.replace("\r", "").replace("\n", "").replace("\t", "").isprintable():
        faults.append("Note: there is a sign in it that can't be shown; type it anew.")
    return tuple(faults) if faults else NewNote(on=day, text=text)
