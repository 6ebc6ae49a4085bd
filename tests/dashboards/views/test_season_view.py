"""The words and marks of a season's page."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from dashboards.marks.share_mark import share_mark
from dashboards.views.season_view import SeasonView, percent, season_view, share_cell
from service.nests.nest import Bird, Chick, ChickFate, Clutch, Egg, EggFate, Pair, Sex
from service.nests.season import Season
from service.nests.season_sum import season_sums
from service.nests.share import Share

ZONE = ZoneInfo("Europe/Amsterdam")
AT = datetime(2026, 3, 10, 8, tzinfo=UTC)
AT_BEFORE = AT.replace(year=2025)
NOW = AT + timedelta(days=90)
OLD = Season(id=1, name="2025", began_on=date(2025, 1, 1), closed_on=date(2025, 10, 1))
NEW = Season(id=2, name="2026", began_on=date(2026, 2, 1))
CAGES = {"cage-1": "Cage 1", "cage-2": "Cage 2"}


def pair(number: int, cage: str, year: int) -> Pair:
    cock = Bird(id=2 * number, sex=Sex.COCK, ring=f"C{number}")
    hen = Bird(id=2 * number + 1, sex=Sex.HEN, ring=f"H{number}")
    return Pair(id=number, cage=cage, cock=cock, hen=hen, put_up_on=date(year, 3, 1))


def clutch(of: int, hatched: int, clear: int, laid: datetime = AT) -> Clutch:
    fates = [EggFate.HATCHED] * hatched + [EggFate.CLEAR] * clear
    eggs = tuple(
        Egg(id=n, number=n, laid_from=laid - timedelta(hours=14), laid_to=laid, fate=fate)
        for n, fate in enumerate(fates, start=1)
    )
    chicks = tuple(
        Chick(id=n, egg_number=n, hatched_from=AT, hatched_to=AT, fate=ChickFate.WEANED)
        for n in range(1, hatched + 1)
    )
    return Clutch(id=of, box="box-1", pair_id=of, round=1, eggs=eggs, chicks=chicks)


def viewed(now: tuple[int, int], before: tuple[int, int]) -> SeasonView:
    """Two seasons with so many hatched and clear eggs."""
    pairs = [pair(1, "cage-2", 2026), pair(2, "cage-1", 2026), pair(3, "cage-1", 2025)]
    sums = season_sums([OLD, NEW], pairs, [clutch(1, *now), clutch(3, *before, AT_BEFORE)])
    return season_view(sums[0], sums, CAGES, NOW, ZONE)


def test_a_share_is_told_with_its_span_and_what_it_rests_on() -> None:
    cell = share_cell(Share(count=27, of=51))
    assert (cell.counts, cell.told) == ("27 of 51", "53 % (41 to 65)")


def test_too_few_are_said_to_be_too_few() -> None:
    cell = share_cell(Share(count=3, of=5))
    assert (cell.counts, cell.told) == ("3 of 5", "too few to say")


def test_nothing_known_is_said_to_be_not_known() -> None:
    cell = share_cell(Share(count=0, of=0))
    assert (cell.counts, cell.told) == ("not known", "")


@pytest.mark.parametrize(
    ("share", "told"), [(0, "0"), (0.001, "under 1"), (0.5, "50"), (0.999, "over 99"), (1, "100")]
)
def test_only_none_is_nought_and_only_all_is_a_hundred(share: float, told: str) -> None:
    assert percent(share) == told


def test_seasons_that_are_near_are_not_told_apart() -> None:
    before = viewed((30, 20), (28, 22)).lines[1].before
    assert before == (
        "Before: 28 of 50, 56 % (43 to 68). Too near to tell apart: chance alone can make such a "
        "difference."
    )


@pytest.mark.parametrize(
    ("now", "before", "told"),
    [
        ((45, 5), (25, 25), "More than before, by 25 to 52 points."),
        ((25, 25), (45, 5), "Less than before, by 25 to 52 points."),
    ],
)
def test_seasons_that_are_far_apart_are_told_with_the_span_between(
    now: tuple[int, int], before: tuple[int, int], told: str
) -> None:
    # Newcombe's method 10 at 90 %: statsmodels 0.14, confint_proportions_2indep(45, 50, 25, 50,
    # method="newcomb", alpha=0.1).
    assert viewed(now, before).lines[1].before.endswith(told)


def test_few_before_are_too_few_to_compare() -> None:
    assert viewed((30, 20), (2, 3)).lines[1].before.endswith("Too few to compare.")


def test_pairs_stand_as_they_are_walked_by() -> None:
    found = viewed((3, 2), (2, 3)).pairs
    assert [(one.cage, one.cock, one.eggs) for one in found] == [
        ("Cage 1", "C2", 0),
        ("Cage 2", "C1", 5),
    ]
    assert [one.first_egg for one in found] == ["no egg", "9 to 10 March"]


def test_losses_stand_beside_those_of_before() -> None:
    (row,) = viewed((3, 2), (4, 3)).losses
    assert (row.cause, row.now, row.before) == ("egg clear", 2, 3)


def test_the_mark_has_cords_only_where_a_share_is_told() -> None:
    assert share_mark(Share(count=27, of=51), "").count("<circle") == 1
    assert "stroke-dasharray" in share_mark(Share(count=3, of=5), "")
    assert "<circle" not in share_mark(Share(count=3, of=5), "")
    bare = share_mark(Share(count=0, of=0), "")
    assert "<circle" not in bare
    assert "dasharray" not in bare


def test_the_mark_says_in_words_what_it_draws() -> None:
    assert 'aria-label="27 of 51, &lt;53 %&gt;"' in share_mark(
        Share(count=27, of=51), "27 of 51, <53 %>"
    )
