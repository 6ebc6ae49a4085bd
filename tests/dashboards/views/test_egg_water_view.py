"""The water of eggs in words."""

from dataclasses import replace
from datetime import timedelta

from dashboards.views.egg_water_view import egg_water_view, share
from service.answers.egg_losses import LossOfEgg
from service.climate.egg_water import Loss
from service.climate.egg_weighed import EggLoss, EggWeighed
from tests.dashboards.filled_shed import NOW, ZONE

ABOUT = Loss(middle=0.10, spread=0.02)


def of(lost: EggLoss, *, over: bool = False, ahead: Loss | None = None) -> LossOfEgg:
    return LossOfEgg(number=3, home=None, days=11.8, over=over, lost=lost, by_hatching=ahead)


def test_a_loss_is_a_range_of_whole_per_cents_outwards() -> None:
    # Ten to ninety per cent of a normal spread: 0.10 -+ 1.2816 * 0.02.
    assert share(ABOUT) == "7 to 13 %"


def test_without_a_sensor_or_scale_there_is_nothing_to_show() -> None:
    assert egg_water_view((), ZONE) is None


def test_each_row_says_what_it_rests_on() -> None:
    first = EggWeighed(at=NOW - timedelta(days=8), mass_g=2.1)
    last = EggWeighed(at=NOW, mass_g=1.95)
    weighed = EggLoss(
        loss=ABOUT, coverage=0.97, vapour_pa=None, weighed=ABOUT, between=(first, last)
    )
    view = egg_water_view([of(weighed, ahead=ABOUT)], ZONE)
    assert view is not None
    assert view.rows[0].so_far == "7 to 13 % in 11 days"
    assert view.rows[0].by_hatching == "7 to 13 %"
    assert view.rows[0].rests_on == (
        "weighed 2.1 g and 1.95 g on 13 April and 21 April; known for 97 % of the time"
    )
    assert (view.usual, view.reckoned) == ("12.5 to 17.5 %", False)


def test_too_little_measured_is_told_and_never_a_number() -> None:
    view = egg_water_view([of(EggLoss(loss=None, coverage=0.2, vapour_pa=None))], ZONE)
    assert view is not None
    assert (view.rows[0].so_far, view.rows[0].by_hatching) == ("cannot tell", "cannot tell")
    assert "known for 20 % of the time" in view.rows[0].rests_on


def test_weighings_that_no_egg_can_have_are_told_as_not_used() -> None:
    doubted = EggLoss(loss=ABOUT, coverage=1.0, vapour_pa=900, doubt="an egg gains nothing")
    view = egg_water_view([of(doubted)], ZONE)
    assert view is not None
    assert view.rows[0].rests_on.endswith("weighings not used: an egg gains nothing")


def test_an_egg_whose_end_nobody_told_says_so() -> None:
    lost = EggLoss(loss=ABOUT, coverage=1.0, vapour_pa=900)
    view = egg_water_view([replace(of(lost, over=True), overdue=True)], ZONE)
    assert view is not None
    assert view.rows[0].by_hatching == "overdue: nobody told what became of it"
