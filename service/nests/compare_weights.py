"""Masses that a check tells, against what an egg or a chick can weigh. Pure."""

from collections import Counter

from service.nests.nest import Nest, NestCheck
from service.nests.question import Question, QuestionKind

LEAST_G, MOST_G = 0.1, 200.0
"""What a hand scale may read for an egg or a chick of this species [g]; the widest that is no
slip of the finger: common practice, no source."""


def ask_about_weights(check: NestCheck, nest: Nest) -> tuple[Question, ...]:
    """Masses that can't be, twice told, or of a guest that is not in this box."""
    times = Counter((weighed.egg_id, weighed.egg_number) for weighed in check.weighed)
    here = {guest.egg.id for guest in nest.guests}
    questions = []
    for weighed in check.weighed:
        guests = () if weighed.egg_id is None else (weighed.egg_id,)
        sentence = None
        if not LEAST_G <= weighed.mass_g <= MOST_G:
            sentence = (
                f"{weighed.mass_g:g} g for egg or chick {weighed.egg_number}: "
                f"a mass is {LEAST_G:g} to {MOST_G:g} g. What did the scale say?"
            )
        elif times[weighed.egg_id, weighed.egg_number] > 1:
            sentence = f"Egg or chick {weighed.egg_number} was weighed twice. Which mass holds?"
        elif weighed.egg_id is not None and weighed.egg_id not in here:
            sentence = "One that was weighed is no longer in this box. Which one did you mean?"
        if sentence is not None:
            numbers = (weighed.egg_number,) if not guests else ()
            questions.append(
                Question(kind=QuestionKind.MASS, sentence=sentence, numbers=numbers, guests=guests)
            )
    return tuple(questions)
