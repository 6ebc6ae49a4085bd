"""A nest that changed since a page showed it."""

from dataclasses import replace

from service.nests.as_seen import ask_about_meanwhile, sign_of, who_and_when
from service.nests.nest import Candling, ChickFate, EggFate, Nest
from service.nests.question import QuestionKind
from tests.service.nests.nests_in_days import chick, day, egg, look, nest

LAYING = nest([egg(1, 5), egg(2, 7)], checks=[look(7, 2)])


def changed(of: Nest) -> bool:
    return sign_of(of) != sign_of(LAYING)


def test_look_that_found_nothing_new_leaves_the_sign() -> None:
    assert not changed(replace(LAYING, checks=(*LAYING.checks, look(8, 2)), revision=9))


def test_times_that_were_narrowed_leave_the_sign() -> None:
    assert not changed(nest([egg(1, 5), egg(2, 7.5)]))


def test_everything_a_look_can_tell_of_an_egg_or_chick_changes_the_sign() -> None:
    others = [
        nest([egg(1, 5), egg(2, 7), egg(3, 9)]),
        nest([egg(1, 5)]),
        nest([egg(1, 5, candling=Candling.CLEAR), egg(2, 7)]),
        nest([egg(1, 5, fate=EggFate.BROKEN), egg(2, 7)]),
        nest([egg(1, 5, fate=EggFate.HATCHED), egg(2, 7)], [chick(1, 23)]),
        nest([egg(1, 5, fate=EggFate.HATCHED), egg(2, 7)], [chick(1, 23, ring="HZ-1")]),
        nest([egg(1, 5, fate=EggFate.HATCHED), egg(2, 7)], [chick(1, 23, fate=ChickFate.DIED)]),
        nest([egg(1, 5), egg(2, 7)], hide_in_at=day(8)),
        nest([egg(1, 5), egg(2, 7)], closed_at=day(9)),
    ]
    signs = {sign_of(one) for one in others}
    assert sign_of(LAYING) not in signs
    assert len(signs) == len(others)


def test_question_names_who_looked_and_what_it_changed() -> None:
    (question,) = ask_about_meanwhile(LAYING, "another", [("Jo, 8 March 12:00", ("egg 2 found",))])
    assert question.kind is QuestionKind.MEANWHILE
    assert "Jo, 8 March 12:00: egg 2 found" in question.sentence


def test_same_sign_asks_nothing() -> None:
    assert ask_about_meanwhile(LAYING, sign_of(LAYING), []) == ()


def test_looks_since_are_those_after_the_one_that_the_page_knew() -> None:
    from datetime import UTC

    one, two, three = look(5, 1), look(6, 1, by="Jo"), look(7, 2)
    of = nest([egg(1, 5), egg(2, 7)], checks=[one, two, three])
    found = who_and_when(of, str(one.form_id), UTC)
    assert [form_id for form_id, _ in found] == [str(two.form_id), str(three.form_id)]
    assert [who for _, who in found] == ["Jo, 7 March 12:00", "a look, 8 March 12:00"]
    assert len(who_and_when(of, "", UTC)) == 3
