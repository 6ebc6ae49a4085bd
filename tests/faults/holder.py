"""A consumer that holds what it got and acknowledges the first messages when told to.

    python holder.py PORT COUNT

Prints each payload, ``lost`` when its session was lost and it listens anew, and ``acked``.
"""

import sys
import threading
import time

from service.clock import SystemClock
from service.intake.broker_address import BrokerAddress
from service.intake.liveness import Patience
from service.intake.mqtt_listener import MqttListener


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def wait_for_a_line(told: threading.Event) -> None:
    sys.stdin.readline()
    told.set()


def main() -> None:
    first = int(sys.argv[2])
    listener = MqttListener(
        BrokerAddress(port=int(sys.argv[1])),
        "holder",
        ["shed/#"],
        clock=SystemClock(),
        patience=Patience(first_pause=0.1, longest_pause=0.2),
    )
    told = threading.Event()
    threading.Thread(target=wait_for_a_line, args=(told,), daemon=True).start()
    listener.start()
    held = []
    lost = False
    while not told.is_set():
        for delivery in listener.take(0.05):
            held.append(delivery)
            say(delivery.message.payload.decode())
        lost = lost or bool(listener.take_gaps())
        if lost and listener.liveness().ok:
            lost = False
            say("lost")
    listener.acknowledge(held[:first])
    time.sleep(0.5)
    say("acked")
    time.sleep(60)


main()
