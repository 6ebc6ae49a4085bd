"""A chick can't come out of an egg that a light showed clear. Pure."""

from datetime import tzinfo

from service.nests.book_says import BookSays, upper
from service.nests.compare_guests import hatches
from service.nests.nest import Candling, Clutch, Egg, Nest, NestCheck
from service.nests.question import Question, QuestionKind


def ask_about_clear_eggs(
    check: NestCheck,
    before: Clutch,
    nest: Nest,
    hatched: tuple[int, ...],
    *,
    book: BookSays,
    zone: tzinfo,
) -> tuple[Question, ...]:
    """A question for each egg that hatched, and was clear or is told to be.

    What this look's light showed counts before an earlier one.
    """
    told = {candled.number: candled.result for candled in check.candled}
    questions = []
    known = {egg.number: egg for egg in before.eggs}
    for number in hatched:
        egg = known.get(number)
        if told.get(number, egg and egg.candling) is Candling.CLEAR:
            sentence = _sentence(f"Egg {number}", None if number in told else egg, zone)
            questions.append(
                Question(kind=QuestionKind.CLEAR, sentence=sentence, numbers=(number,))
            )
    guests = {guest.egg.id: guest for guest in nest.guests}
    for seen in check.guests:
        guest = guests.get(seen.egg_id)
        if guest is None or guest.egg.fate is not None or not hatches(seen):
            continue
        if (seen.candled or guest.egg.candling) is Candling.CLEAR:
            words = upper(book.guest(guest))
            sentence = _sentence(words, None if seen.candled else guest.egg, zone)
            questions.append(
                Question(kind=QuestionKind.CLEAR, sentence=sentence, guests=(seen.egg_id,))
            )
    return tuple(questions)


def _sentence(words: str, egg: Egg | None, zone: tzinfo) -> str:
    when = ""
    if egg is not None and egg.candled_at is not None:
        day = egg.candled_at.astimezone(zone)
        when = f" on {day.day} {day:%B}"
    return (
        f"{words} was clear when held to a light{when}, and no chick comes out of a clear egg. "
        "Which egg hatched? If the light misled, correct that first."
    )
