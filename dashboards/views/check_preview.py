"""What a look will write, in words, while its form is still open. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass

from dashboards.views.local_words import count
from service.nest_check_path import Foreseen
from service.nests.nest import NestCheck


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckPreview:
    """``news`` are the changes that the book will know, ``there`` what the look says that lies
    there. ``asks`` are sentences, for what will be asked first; ``saved`` that it is stored.
    """

    news: tuple[str, ...]
    there: str
    asks: tuple[str, ...]
    saved: bool


def check_preview(check: NestCheck, foreseen: Foreseen) -> CheckPreview:
    """Of a check that is not stored yet."""
    news = foreseen.changes if foreseen.already else (*foreseen.changes, *beside(check))
    return CheckPreview(
        news=tuple(news),
        there=f"{there_in_words(check)}, hen {check.hen}",
        asks=tuple(one.sentence for one in foreseen.questions),
        saved=foreseen.already,
    )


def there_in_words(check: NestCheck) -> str:
    """``4 eggs, 1 chick``; what is not there is left out."""
    told = [
        count(number, noun)
        for number, noun in ((check.eggs, "egg"), (check.chicks, "chick"))
        if number
    ]
    return ", ".join(told) or "nothing lies there"


def beside(check: NestCheck) -> Iterator[str]:
    """What a look tells besides eggs and chicks."""
    if check.weighed:
        yield f"{len(check.weighed)} weighed"
    if check.bedding is not None:
        yield "bedding"
    if check.note:
        yield "a note"
