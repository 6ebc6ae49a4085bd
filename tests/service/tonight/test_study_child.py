"""The study as a process of its own: one at a time, and never for ever."""

import logging
import os
import sys
import time
from collections.abc import Callable

import pytest

from service.tonight.study_child import StudyChild

SLEEPS = (sys.executable, "-S", "-c", "import time; time.sleep(30)")
FAILS = (sys.executable, "-S", "-c", "raise SystemExit(3)")


def until(told: Callable[[], bool], within_s: float = 5.0) -> bool:
    end = time.monotonic() + within_s
    while not told():
        if time.monotonic() > end:
            return False
        time.sleep(0.01)
    return True


def test_a_second_study_does_not_begin_beside_the_first() -> None:
    child = StudyChild()
    assert child.begin(SLEEPS)
    assert child.runs
    assert not child.begin(SLEEPS)
    child.stop()
    assert not child.runs


def test_a_study_that_fails_is_told_in_the_log_and_may_begin_again(
    caplog: pytest.LogCaptureFixture,
) -> None:
    child = StudyChild()
    with caplog.at_level(logging.ERROR):
        child.begin(FAILS)
        assert until(lambda: not child.runs)
    assert "status 3" in caplog.text
    assert child.begin(FAILS)
    child.stop()


def test_a_study_that_hangs_is_ended_and_leaves_no_process() -> None:
    child = StudyChild(longest_s=0.05)
    child.begin(SLEEPS)
    process = child._process
    assert process is not None
    assert until(lambda: not child.runs)
    with pytest.raises(ChildProcessError):
        os.waitpid(process.pid, os.WNOHANG)


def test_a_program_that_is_not_there_is_told_and_not_raised(
    caplog: pytest.LogCaptureFixture,
) -> None:
    with caplog.at_level(logging.ERROR):
        assert not StudyChild().begin(("/nowhere/no-such-program",))
    assert "can't be started" in caplog.text
