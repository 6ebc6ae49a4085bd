"""What may be said, and when."""

from dataclasses import replace
from datetime import timedelta

import pytest

from service.climate.outlook.features import FEATURES, OUTDOORS
from service.climate.outlook.model import FitWatch, OutlookModel
from service.climate.outlook.outlook import Level, Outlook, Why, issue_outlook
from service.climate.outlook.outlook_json import (
    UnreadableOutlookError,
    model_from,
    night_row_from,
    outlook_from,
    to_json,
)
from service.climate.outlook.wording import (
    why_in_words,
)
from service.study.outlook_fit import fit
from tests.service.study.made_up_nights import quarters_of, rows_of

ROWS = rows_of(quarters_of(37), 35)
LAST = ROWS[-1]
AT = LAST.night.since
MODEL = fit(ROWS[:-1], fitted_at=AT - timedelta(hours=12), surface_by="below 2.0")
LIMITS = (2.0, 5.0)


def _said(model: OutlookModel | None, hour: int = 0) -> Outlook:
    return issue_outlook(model, LAST.night, LAST.night.issue_at(hour), LAST.issues[hour], LIMITS)


@pytest.mark.parametrize(
    ("nights", "level"),
    [
        (0, Level.SILENT),
        (6, Level.SILENT),
        (7, Level.LEARNING),
        (13, Level.LEARNING),
        (14, Level.CHANCES),
        (29, Level.CHANCES),
        (30, Level.ALL),
    ],
)
def test_more_is_said_after_more_nights(nights: int, level: Level) -> None:
    model = fit(ROWS[:nights], fitted_at=AT - timedelta(hours=12), surface_by="below 2.0")
    said = _said(model)
    assert said.level is level
    assert said.nights_used == nights
    assert (said.low_c is not None) == (level is not Level.SILENT)
    assert bool(said.chance_below) == (level in (Level.CHANCES, Level.ALL))
    assert (said.low_at is not None) == (level is Level.ALL)
    assert (said.chance_condensation is not None) == (level is Level.ALL)


def test_without_a_model_it_is_silent_and_says_why() -> None:
    said = _said(None)
    assert (said.level, said.whys) == (Level.SILENT, (Why.NO_MODEL,))
    assert why_in_words(Why.NO_MODEL) == "not enough nights yet"


def test_without_a_temperature_it_is_silent_and_says_why() -> None:
    said = issue_outlook(MODEL, LAST.night, AT, None, LIMITS)
    assert (said.level, said.whys, said.low_c) == (Level.SILENT, (Why.NO_TEMPERATURE,), None)


@pytest.mark.parametrize(
    ("days", "level", "why"),
    [
        (2.9, Level.ALL, None),
        (3.1, Level.ALL, Why.MODEL_AGES),
        (14.1, Level.SILENT, Why.MODEL_TOO_OLD),
    ],
)
def test_an_old_model_is_owned_up_to_and_then_silent(
    days: float, level: Level, why: Why | None
) -> None:
    said = _said(replace(MODEL, fitted_at=AT - timedelta(days=days)))
    assert said.level is level
    assert (why in said.whys) if why else not said.whys


def test_without_an_outdoor_thermometer_the_other_model_speaks_and_says_so() -> None:
    issue = LAST.issues[0]
    alone = replace(
        issue,
        features=tuple(
            None if name in OUTDOORS else told
            for name, told in zip(FEATURES, issue.features, strict=True)
        ),
    )
    said = issue_outlook(MODEL, LAST.night, AT, alone, LIMITS)
    frozen = issue_outlook(MODEL, LAST.night, AT, alone, LIMITS, outdoors_frozen=True)
    assert said.low_c is not None
    assert (said.with_outdoor, _said(MODEL).with_outdoor) == (False, True)
    assert said.whys == (Why.NO_OUTDOORS,)
    assert frozen.whys == (Why.OUTDOORS_FROZEN,)


def test_chances_are_never_nothing_nor_certain() -> None:
    said = issue_outlook(MODEL, LAST.night, AT, LAST.issues[0], (-60.0, 60.0))
    assert said.chance_below[-60.0] == pytest.approx(0.005)
    assert said.chance_below[60.0] == pytest.approx(0.995)


def test_a_limit_that_was_crossed_tonight_is_told_as_measured() -> None:
    cold = replace(LAST.issues[4], low_so_far_c=1.0)
    said = issue_outlook(MODEL, LAST.night, LAST.night.issue_at(4), cold, LIMITS)
    assert said.crossed_c == LIMITS
    assert said.low_c is not None
    assert said.low_c.p90 <= 1.0


def test_it_is_stale_after_two_hours() -> None:
    said = _said(MODEL)
    assert not said.stale(AT + timedelta(hours=2))
    assert said.stale(AT + timedelta(hours=2, seconds=1))


def test_the_low_comes_late_in_the_night_as_it_mostly_did() -> None:
    said = _said(MODEL)
    assert said.low_from is not None
    assert said.low_at is not None
    assert said.low_to is not None
    assert AT < said.low_from <= said.low_at <= said.low_to <= LAST.night.until


def test_a_shed_that_behaves_differently_is_told_of_for_a_fortnight() -> None:
    evening = AT.date()
    for days, told in ((13, True), (15, False)):
        watch = FitWatch(
            changed_since=evening - timedelta(days=20), noticed_on=evening - timedelta(days=days)
        )
        said = _said(replace(MODEL, watch=watch))
        assert (Why.CHANGED in said.whys) is told
        assert (said.changed_since is not None) is told


def test_a_shed_that_cools_faster_than_ever_is_asked_about_its_door() -> None:
    usual = MODEL.usual_falls[1]
    issue = replace(LAST.issues[1], gap_at_off_k=5.0)
    expected = usual.constant_k + 5.0 * usual.per_k
    for fallen, told in ((expected + 3.9 * usual.sd_k, False), (expected + 4.1 * usual.sd_k, True)):
        at = LAST.night.issue_at(1)
        said = issue_outlook(MODEL, LAST.night, at, replace(issue, fallen_k=fallen), LIMITS)
        assert (Why.FALLS_FAST in said.whys) is told
    unknown = replace(issue, fallen_k=99.0, gap_at_off_k=None)
    said = issue_outlook(MODEL, LAST.night, LAST.night.issue_at(1), unknown, LIMITS)
    assert Why.FALLS_FAST not in said.whys


def test_rows_models_and_outlooks_come_back_from_json_as_they_were() -> None:
    assert night_row_from(to_json(LAST)) == LAST
    assert model_from(to_json(MODEL)) == MODEL
    assert outlook_from(to_json(_said(MODEL))) == _said(MODEL)


def test_what_is_no_kept_model_is_refused_in_words() -> None:
    with pytest.raises(UnreadableOutlookError, match="no kept OutlookModel"):
        model_from('{"fitted_at": "yesterday"}')


def test_a_kept_night_of_other_features_is_made_anew() -> None:
    issue = replace(LAST.issues[0], features=LAST.issues[0].features[:-1])
    with pytest.raises(UnreadableOutlookError, match="features"):
        night_row_from(to_json(replace(LAST, issues={0: issue})))
