"""What the book has stored of a look, for the page that comes after it. Reads the book."""

from dataclasses import dataclass

from dashboards.views.check_preview import beside, there_in_words
from service.nests.nest import NestCheck
from service.store.nest_book import NestBook


@dataclass(frozen=True, slots=True, kw_only=True)
class LookSaved:
    """``words`` is a sentence of what was stored; ``differs``: the form said something else the
    first time, and that stands.
    """

    form_id: str
    name: str
    words: str
    differs: bool


def look_saved(book: NestBook, form_id: str | None, *, differs: bool = False) -> LookSaved | None:
    """None where no look of that form is in the book."""
    check = book.check(form_id) if form_id else None
    if check is None or form_id is None:
        return None
    names = {place.id: place.name for place in book.places()}
    return LookSaved(
        form_id=form_id,
        name=names.get(check.box, check.box),
        words=_sentence(check, book.changes(form_id)),
        differs=differs,
    )


def _sentence(check: NestCheck, changes: tuple[str, ...]) -> str:
    """As it stands in the book, and nothing else."""
    news = "; ".join(changes) if changes else "nothing new"
    told = ", ".join([f"{news}. {_upper(there_in_words(check))}", *beside(check)])
    return f"{told}, hen {check.hen}."


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]
