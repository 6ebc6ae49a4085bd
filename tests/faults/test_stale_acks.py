"""Acknowledgements that come after the broker has forgotten what they were for.

A broker that restarts without its sessions numbers its messages from 1 again: a late
acknowledgement of an old message would tell it that a new one is safe.
"""

import subprocess
import sys
from pathlib import Path

import pytest

from service.clock import SystemClock
from service.intake.mqtt_listener import MqttListener
from tests.broker_fixture import FORGETFUL, running_broker
from tests.listening import listen_until, payloads, publish, wait_until

pytestmark = [pytest.mark.broker, pytest.mark.faults]

HOLDER = Path(__file__).with_name("holder.py")
ROOT = Path(__file__).parents[2]
OLD = [f"old {n}" for n in range(20)]
NEW = [f"new {n}" for n in range(20)]


def test_a_late_acknowledgement_does_not_reach_a_new_message_of_the_same_number(
    tmp_path: Path,
) -> None:
    with running_broker(tmp_path, FORGETFUL) as broker:
        holder = subprocess.Popen(
            [sys.executable, str(HOLDER), str(broker.port), "20"],
            cwd=ROOT,
            env={"PYTHONPATH": str(ROOT)},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert holder.stdin is not None
        assert holder.stdout is not None
        try:
            wait_until(lambda: "Sending SUBACK to holder" in broker.log())
            publish(broker.address, OLD)
            assert [holder.stdout.readline().strip() for _ in OLD] == OLD
            broker.kill()
            broker.start()
            assert holder.stdout.readline() == "lost\n"
            publish(broker.address, NEW)
            assert [holder.stdout.readline().strip() for _ in NEW] == NEW
            holder.stdin.write("acknowledge the old ones\n")
            holder.stdin.flush()
            assert holder.stdout.readline() == "acked\n"
        finally:
            holder.kill()
            holder.wait()
            holder.stdin.close()
            holder.stdout.close()
        again = MqttListener(broker.address, "holder", ["shed/#"], clock=SystemClock())
        again.start()
        try:
            assert payloads(listen_until(again, 20)) == NEW
        finally:
            again.stop()
