"""Kinship in plain words: what it is, the number, what it means, how much the book knows."""

import pytest

from dashboards.views.kinship_view import Kin, per_cent
from service.nests.nest import Bird, Sex


def book(**parents: tuple[str, str]) -> dict[str, Bird]:
    """Birds by ring; those named as sires are cocks. A parent "-" is not known."""
    rings = [*parents, *(one for both in parents.values() for one in both if one != "-")]
    ids = {ring: n for n, ring in enumerate(dict.fromkeys(rings), start=1)}
    sires = {both[0] for both in parents.values()}
    return {
        ring: Bird(
            id=n,
            sex=Sex.COCK if ring in sires else Sex.HEN,
            ring=ring,
            sire_id=ids.get(parents.get(ring, ("-", "-"))[0]),
            dam_id=ids.get(parents.get(ring, ("-", "-"))[1]),
        )
        for ring, n in ids.items()
    }


WHOLE = {
    f"{name}{n}": (f"{name}{2 * n}", f"{name}{2 * n + 1}") for name in "ab" for n in range(1, 4)
}
"""a1 and b1 have every forebear of two generations in the book, and none in common."""


def told(birds: dict[str, Bird], cock: str, hen: str) -> tuple[str, str, str, str]:
    view = Kin({bird.id: bird for bird in birds.values()}).of_pair(birds[cock], birds[hen])
    return view.what, view.number, view.meaning, view.known


def test_brother_and_sister_are_told_with_their_parents() -> None:
    birds = book(c=("S", "D"), h=("S", "D"))
    what, number, meaning, known = told(birds, "c", "h")
    assert what == "Full brother and sister, both out of S and D"
    assert number == "at least 25 %"
    assert "about 1 part in 4 is expected to come twice" in meaning
    assert known.endswith(
        "4 of 4 grandparents and 0 of 8 great-grandparents of the chicks stand in it."
    )


def test_cousins_are_told_by_whom() -> None:
    birds = book(c=("f", "-"), h=("-", "m"), f=("S", "D"), m=("S", "D"))
    assert told(birds, "c", "h")[:2] == ("First cousins, by S and D", "at least 6.25 %")


def test_a_parent_is_told_without_more() -> None:
    birds = book(h=("c", "m"))
    assert told(birds, "c", "h")[0] == "Father and daughter"


def test_birds_of_which_little_is_known_are_never_called_strangers() -> None:
    what, number, meaning, known = told(book(c=("-", "-"), h=("-", "-")), "c", "h")
    assert (what, number) == ("No common forebear stands in the book", "no kinship known")
    assert "too little to call them strangers" in meaning
    assert "0 of 4 grandparents" in known


def test_nought_is_a_number_only_where_three_generations_are_known() -> None:
    _, number, meaning, _ = told(book(**WHOLE), "a1", "b1")
    assert number == "0 %"
    assert "Three generations back they share nobody" in meaning


def test_at_least_is_left_out_where_three_generations_are_known() -> None:
    # a1's sire is brother to b1's sire, and every great-grandparent of the chicks is told.
    birds = book(**(WHOLE | {"b2": ("a4", "a5")}))
    what, number, _, _ = told(birds, "a1", "b1")
    assert (what, number) == ("First cousins, by a4 and a5", "6.25 %")


def test_kin_in_two_ways_are_said_to_be_closer() -> None:
    birds = book(c=("S", "D"), h=("S", "d"), d=("-", "D"))
    view = Kin({bird.id: bird for bird in birds.values()}).of_pair(birds["c"], birds["h"])
    assert "closer kin than that alone" in view.further
    assert view.number == "at least 18.75 %"


def test_no_word_of_blame_stands_anywhere() -> None:
    birds = book(c=("S", "D"), h=("S", "D"))
    words = " ".join(told(birds, "c", "h")).lower()
    for blame in ("bad", "wrong", "danger", "should", "must", "never", "inbred"):
        assert blame not in words


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.25, "25 %"), (0.125, "12.5 %"), (0.03125, "3.125 %"), (0.375, "37.5 %"), (0, "0 %")],
)
def test_per_cent_is_exact_for_close_kin(share: float, words: str) -> None:
    assert per_cent(share) == words


@pytest.mark.parametrize(
    ("rounds", "words"),
    [
        (1, "1 part in 4 is"),
        (2, "3 parts in 8 are"),
        (3, "1 part in 2 is"),
        (4, "3 parts in 5 are"),
    ],
)
def test_parts_follow_the_number(rounds: int, words: str) -> None:
    """Brother and sister for generations: F is 0.25, 0.375, 0.5, 0.594."""
    parents = {f"{sex}1": ("c0", "h0") for sex in "ch"}
    for n in range(2, rounds + 1):
        parents |= {f"{sex}{n}": (f"c{n - 1}", f"h{n - 1}") for sex in "ch"}
    assert words in told(book(**parents), f"c{rounds}", f"h{rounds}")[2]
