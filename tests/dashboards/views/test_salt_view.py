"""A salt trial in words, and which earlier one makes a line with it."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.calibration_facts import TrialNow
from dashboards.views.salt_view import TrialView, line_with, salt_choices, trial_view
from service.climate.salts import Salt
from service.quality.salt_trial import Progress, Stage
from service.store.calibration_store import SaltTrial

NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)
READY = Progress(
    stage=Stage.READY,
    why="Steady.",
    since=timedelta(hours=14, minutes=5),
    target_pct=75.48,
    measured_pct=73.2,
    spread_pct=0.2,
    temperature_c=20.0,
)


def trial(number: int, salt: Salt, *, ended_days_ago: float | None, device: str = "a") -> SaltTrial:
    ended = None if ended_days_ago is None else NOW - timedelta(days=ended_days_ago)
    return SaltTrial(
        id=number,
        device=device,
        salt=salt.value,
        started_at=(ended or NOW) - timedelta(hours=14),
        started_by=None,
        ended_at=ended,
        measured_pct=None if ended is None else 35.0,
        target_pct=None if ended is None else 33.07 if salt is Salt.MAGNESIUM_CHLORIDE else 75.48,
    )


OPEN = trial(9, Salt.SODIUM_CHLORIDE, ended_days_ago=None)


def told(now: Progress, ready: Progress | None = None) -> TrialView:
    at = NOW - timedelta(minutes=20) if ready else None
    found = TrialNow(now=now, ready=ready, ready_at=at)
    return trial_view(OPEN, found, None, typed="", now=NOW, zone=ZoneInfo("UTC"))


def test_a_ready_trial_tells_how_far_off_it_is_and_when_that_was() -> None:
    view = told(READY, READY)
    assert view.stage == "Ready"
    assert view.ready_at == "12:10"
    assert view.result == "It reads 2.3 % too little."
    assert ("In the jar", "14 h 05 min") in view.facts
    assert ("The salt holds", "75.5 %") in view.facts


def test_what_can_not_be_told_is_left_out() -> None:
    nothing = Progress(stage=Stage.CANNOT_TELL, why="Silent.", since=timedelta(hours=1))
    view = told(nothing)
    assert [name for name, _ in view.facts] == ["In the jar"]
    assert (view.ready_at, view.result, view.no_warmth) == ("", "", True)


def test_a_trial_with_a_far_salt_makes_a_line() -> None:
    dry = trial(1, Salt.MAGNESIUM_CHLORIDE, ended_days_ago=3)
    assert line_with([dry, OPEN], OPEN, NOW) is dry


def test_the_same_salt_a_near_one_an_old_trial_or_another_sensor_makes_none() -> None:
    same = trial(1, Salt.SODIUM_CHLORIDE, ended_days_ago=3)
    old = trial(2, Salt.MAGNESIUM_CHLORIDE, ended_days_ago=61)
    other = trial(3, Salt.MAGNESIUM_CHLORIDE, ended_days_ago=3, device="b")
    given_up = SaltTrial(
        id=4,
        device="a",
        salt="magnesium chloride",
        started_at=NOW - timedelta(days=2),
        started_by=None,
        ended_at=NOW - timedelta(days=1),
    )
    assert line_with([same, old, other, given_up, OPEN], OPEN, NOW) is None


def test_table_salt_is_offered_first_and_no_other_is_called_fine_to_eat() -> None:
    first, *others = salt_choices()
    assert first.words == "table salt"
    assert all("not for eating" in one.words for one in others)
