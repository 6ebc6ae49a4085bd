"""How the nests stand: the answer to ``nests``."""

from datetime import UTC, datetime, tzinfo

from typing_extensions import TypedDict

from service.answers.telling import rfc3339, rfc3339_or_none
from service.nests.due import Due
from service.nests.due_dates import due_dates, next_due
from service.nests.nest import Bird, Nest, Pair
from service.nests.species import SpeciesSettings
from service.nests.stage import counts, stage
from service.store.nest_book import NestBook

NextAnswer = TypedDict(
    "NextAnswer",
    {"what": str, "from": str, "to": str, "why": str, "egg": int | None, "laid_in": str | None},
)


class PairAnswer(TypedDict):
    """Both birds by ring, name or number."""

    cock: str
    hen: str
    cage: str


class NestAnswer(TypedDict):
    """Counts are of the open or last clutch; ``fertile`` is None where nobody knows yet."""

    box: str
    pair: PairAnswer | None
    round: int | None
    stage: str
    first_egg: str | None
    eggs: int
    fertile: int | None
    hatched: int
    chicks: int
    next: NextAnswer | None


def nests(book: NestBook, now: datetime, zone: tzinfo = UTC) -> list[NestAnswer]:
    """One item for each box, in walking order. ``zone`` is the shed's, for days in reasons.

    Raises:
        StoreUnavailableError: the book can't be read now.
    """
    species = book.species()
    return [nest_answer(nest, species, now, zone) for nest in book.nests()]


def bird_in_words(bird: Bird) -> str:
    """Its name, else its ring, else its number in the book."""
    return bird.name or bird.ring or f"bird {bird.id}"


def nest_answer(nest: Nest, species: SpeciesSettings, now: datetime, zone: tzinfo) -> NestAnswer:
    """One box."""
    counted = counts(nest)
    return NestAnswer(
        box=nest.box.id,
        pair=_pair(nest.pair),
        round=nest.clutch.round if nest.clutch else None,
        stage=stage(nest, now, species).value,
        first_egg=rfc3339_or_none(counted.first_egg),
        eggs=counted.eggs,
        fertile=counted.fertile,
        hatched=counted.hatched,
        chicks=counted.chicks,
        next=_next(next_due(due_dates(nest, species, now, zone), now)),
    )


def _pair(pair: Pair | None) -> PairAnswer | None:
    if pair is None:
        return None
    return PairAnswer(cock=bird_in_words(pair.cock), hen=bird_in_words(pair.hen), cage=pair.cage)


def _next(due: Due | None) -> NextAnswer | None:
    if due is None:
        return None
    return {
        "what": due.kind.value,
        "from": rfc3339(due.since),
        "to": rfc3339(due.until),
        "why": due.why,
        "egg": due.egg_number,
        "laid_in": due.laid_in,
    }
