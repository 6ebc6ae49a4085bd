"""Children that are started again."""

import errno
import os
import signal
import subprocess
import threading
from unittest.mock import patch

from service.commands.keeping_alive import Child, keep_alive, stop_on_signals


def test_a_child_that_can_not_be_started_is_said_and_tried_again() -> None:
    said: list[str] = []
    child = Child("watch", ["show", "--help"])
    no_memory = OSError(errno.ENOMEM, os.strerror(errno.ENOMEM))
    with patch.object(subprocess, "Popen", side_effect=no_memory):
        child.look_after(said.append)
    assert "can't be started" in said[0]
    child.stop()


def test_stop_ends_a_running_child() -> None:
    stop = threading.Event()
    child = Child("watch", ["--help"])
    child._command = ["sleep", "60"]
    threading.Timer(0.5, stop.set).start()
    keep_alive([child], stop, lambda _words: None)
    assert child._process is not None
    assert child._process.poll() is not None


def test_a_hang_up_that_is_ignored_stays_ignored() -> None:
    before = {
        number: signal.getsignal(number)
        for number in (signal.SIGHUP, signal.SIGTERM, signal.SIGINT)
    }
    try:
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
        stop = stop_on_signals()
        os.kill(os.getpid(), signal.SIGHUP)
        assert not stop.is_set()
        os.kill(os.getpid(), signal.SIGTERM)
        assert stop.wait(2)
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def test_a_child_that_starts_anew_is_another_process_at_the_next_look() -> None:
    child = Child("watch", ["--help"])
    child._command = ["sleep", "60"]
    child.look_after(lambda _words: None)
    assert child._process is not None
    first = child._process
    child.start_anew()
    child.look_after(lambda _words: None)
    assert first.poll() is not None
    assert child._process is not None
    assert child._process.pid != first.pid
    child.stop()


def test_children_are_ended_in_the_order_in_which_they_stand() -> None:
    ended: list[str] = []

    class Telling(Child):
        def stop(self) -> None:
            ended.append(self.name)
            super().stop()

    stop = threading.Event()
    stop.set()
    keep_alive([Telling("watch", []), Telling("broker", [])], stop, lambda _words: None)
    assert ended == ["watch", "broker"]
