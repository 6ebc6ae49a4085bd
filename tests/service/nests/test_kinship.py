"""Coefficients of inbreeding against printed values and against two other ways of reckoning."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.nests.kinship import (
    Kinship,
    KnownForebears,
    Parents,
    PedigreeLoopError,
    known_forebears,
)

Pedigree = dict[int, Parents]

# Parents 1 and 2, 3 and 4, ... are strangers; the asked pair is 90 and 91.
PARENT_AND_CHILD: Pedigree = {90: (None, None), 91: (90, 2)}
FULL_SIBS: Pedigree = {90: (1, 2), 91: (1, 2)}
HALF_SIBS: Pedigree = {90: (1, 2), 91: (1, 3)}
FIRST_COUSINS: Pedigree = {10: (1, 2), 11: (1, 2), 90: (10, 3), 91: (4, 11)}


@pytest.mark.parametrize(
    ("parents", "expected"),
    [
        pytest.param(PARENT_AND_CHILD, 0.25, id="parent and child"),
        pytest.param(FULL_SIBS, 0.25, id="full sibs"),
        pytest.param(HALF_SIBS, 0.125, id="half sibs"),
        pytest.param(FIRST_COUSINS, 0.0625, id="first cousins"),
    ],
)
def test_chicks_of_kin_have_the_inbreeding_of_wright(parents: Pedigree, expected: float) -> None:
    """Wright, S. (1922), Am. Nat. 56, 330-338: his formula, by hand for each of these."""
    assert Kinship(parents).of_pair(90, 91) == expected


def test_a_small_herd_agrees_with_a_printed_table() -> None:
    """Christensen, K., Population genetics, section 4.4: seven animals and the F beside each.

    Course of the Royal Veterinary and Agricultural University, Copenhagen; printed with three
    decimals, cut off.
    """
    sires_and_dams = [(0, 0), (1, 0), (1, 0), (1, 0), (2, 3), (4, 3), (5, 6)]
    printed = [0.0, 0.0, 0.0, 0.0, 0.125, 0.125, 0.218]
    kinship = Kinship(
        {n: (sire or None, dam or None) for n, (sire, dam) in enumerate(sires_and_dams, start=1)}
    )
    reckoned = [kinship.inbreeding(n) for n in range(1, 8)]
    assert reckoned == pytest.approx(printed, abs=0.001)


def test_brother_and_sister_for_generations_agree_with_a_printed_series() -> None:
    """Falconer, D. S., Introduction to Quantitative Genetics, table 5.1, full sibs: from memory."""
    parents: Pedigree = {1: STRANGERS, 2: STRANGERS}
    for generation in range(1, 6):
        old = 2 * generation
        parents[old + 1] = parents[old + 2] = (old - 1, old)
    kinship = Kinship(parents)
    reckoned = [kinship.inbreeding(2 * generation + 1) for generation in range(1, 6)]
    assert reckoned == pytest.approx([0.0, 0.25, 0.375, 0.5, 0.594], abs=0.0005)


STRANGERS: Parents = (None, None)


@st.composite
def pedigrees(draw: st.DrawFn, most: int = 14) -> Pedigree:
    """Each bird out of two earlier ones, or of strangers; odd ones are cocks. Much inbreeding.

    The numbers are shuffled afterwards, so that a bird's number tells nothing about its age.
    """
    size = draw(st.integers(min_value=3, max_value=most))
    made: Pedigree = {}
    for bird in range(1, size + 1):
        cocks = [one for one in made if one % 2]
        hens = [one for one in made if not one % 2]
        sire = draw(st.sampled_from([None, *cocks]))
        dam = draw(st.sampled_from([None, *hens]))
        made[bird] = (sire, dam)
    new = dict(zip(made, draw(st.permutations(list(made))), strict=True))
    return {new[bird]: (sire and new[sire], dam and new[dam]) for bird, (sire, dam) in made.items()}


def by_age(parents: Pedigree) -> list[int]:
    """Parents before their young."""
    placed: list[int] = []
    while len(placed) < len(parents):
        placed += [
            bird
            for bird, both in parents.items()
            if bird not in placed and all(one is None or one in placed for one in both)
        ]
    return placed


def relationship_table(parents: Pedigree) -> dict[tuple[int, int], float]:
    """The additive relationships of all, row by row: the tabular method.

    Emik, L. O. and Terrill, C. E. (1949), Systematic procedures for calculating inbreeding
    coefficients, Journal of Heredity 40, 51-55 (from memory).
    """
    table: dict[tuple[int, int], float] = {}
    done: list[int] = []
    for bird in by_age(parents):
        sire, dam = parents[bird]
        for older in done:
            of_sire = table[older, sire] if sire is not None else 0.0
            of_dam = table[older, dam] if dam is not None else 0.0
            table[older, bird] = table[bird, older] = 0.5 * (of_sire + of_dam)
        kin = table[sire, dam] if sire is not None and dam is not None else 0.0
        table[bird, bird] = 1.0 + 0.5 * kin
        done.append(bird)
    return table


def lines_up(bird: int, parents: Pedigree) -> list[list[int]]:
    """Every way from a bird to each of its forebears, itself first."""
    found = [[bird]]
    for parent in parents[bird]:
        if parent is not None:
            found += [[bird, *line] for line in lines_up(parent, parents)]
    return found


def by_paths(bird: int, parents: Pedigree) -> float:
    """Wright's own sum: over pairs of lines that meet in a forebear and nowhere before it."""
    sire, dam = parents[bird]
    if sire is None or dam is None:
        return 0.0
    whole = 0.0
    for one in lines_up(sire, parents):
        for other in lines_up(dam, parents):
            if one[-1] == other[-1] and not set(one[:-1]) & set(other[:-1]):
                links = len(one) - 1 + len(other) - 1
                whole += 0.5 ** (links + 1) * (1 + by_paths(one[-1], parents))
    return whole


@given(pedigrees())
def test_every_bird_and_every_pair_agrees_with_the_table(parents: Pedigree) -> None:
    kinship, table = Kinship(parents), relationship_table(parents)
    for one in parents:
        assert kinship.inbreeding(one) == pytest.approx(table[one, one] - 1, abs=1e-12)
        for other in parents:
            assert kinship.of_pair(one, other) == pytest.approx(table[one, other] / 2, abs=1e-12)


@given(pedigrees(most=9))
def test_every_bird_agrees_with_the_sum_over_paths(parents: Pedigree) -> None:
    kinship = Kinship(parents)
    for bird in parents:
        assert kinship.inbreeding(bird) == pytest.approx(by_paths(bird, parents), abs=1e-12)


@given(pedigrees())
def test_a_bird_more_that_is_known_never_lowers_the_number(parents: Pedigree) -> None:
    """So that what is reckoned from a book with gaps is the least that it can be."""
    whole = Kinship(parents)
    for gap in parents:
        short = Kinship({**parents, gap: STRANGERS})
        assert all(short.inbreeding(one) <= whole.inbreeding(one) + 1e-12 for one in parents)


def test_a_forebear_that_is_inbred_itself_counts_for_more() -> None:
    inbred: Pedigree = {1: STRANGERS, 2: (1, None), 5: (1, 2), 90: (5, 3), 91: (5, 4)}
    assert Kinship(inbred).inbreeding(5) == 0.25
    assert Kinship(inbred).of_pair(90, 91) == 0.125 * 1.25


@pytest.mark.parametrize(
    ("parents", "loop"),
    [
        ({1: (1, None)}, (1, 1)),
        ({1: (2, None), 2: (1, None)}, (1, 2, 1)),
        ({1: (None, 2), 2: (3, None), 3: (None, 1), 4: (1, 2)}, (1, 2, 3, 1)),
    ],
)
def test_a_bird_that_is_its_own_forebear_is_refused_in_words(
    parents: Pedigree, loop: tuple[int, ...]
) -> None:
    with pytest.raises(PedigreeLoopError, match="bird 1 would be its own forebear") as refused:
        Kinship(parents)
    assert refused.value.birds == loop


def test_a_line_of_ten_thousand_birds_is_reckoned() -> None:
    long: Pedigree = {n: (n - 1 if n > 1 else None, None) for n in range(10_000, 0, -1)}
    kinship = Kinship(long)
    assert kinship.of_pair(10_000, 9_999) == 0.25
    assert kinship.of_pair(10_000, 9_990) == 0.5**11


def test_forty_generations_of_brother_and_sister_are_reckoned() -> None:
    """Their paths would be more than could ever be walked one by one."""
    parents: Pedigree = {1: STRANGERS, 2: STRANGERS}
    for generation in range(1, 41):
        parents[2 * generation + 1] = (2 * generation - 1, 2 * generation)
        parents[2 * generation + 2] = (2 * generation - 1, 2 * generation)
    assert 0.99 < Kinship(parents).inbreeding(81) < 1


def test_unknown_forebears_are_counted_generation_by_generation() -> None:
    parents: Pedigree = {90: (1, None), 91: (None, None), 1: (5, 6)}
    assert known_forebears(parents, 90, 91) == (
        KnownForebears(known=2, of=2),
        KnownForebears(known=1, of=4),
        KnownForebears(known=2, of=8),
    )
