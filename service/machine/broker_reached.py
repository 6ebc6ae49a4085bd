"""Where devices reach a broker that listens at every address of this machine.

Addresses change when the router gives out others: they are looked up when somebody asks.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from service.intake.broker_standing import BrokerStanding, read_standing
from service.machine.own_addresses import own_addresses

WHEREVER = "0.0.0.0"  # noqa: S104 - stands for every address of this machine


def standing_now(
    data: Path, addresses: Callable[[], tuple[str, ...]] = own_addresses
) -> BrokerStanding | None:
    """How it stands with the broker, with the addresses that this machine has now."""
    standing = read_standing(data)
    if standing is None or WHEREVER not in standing.reached_at:
        return standing
    return replace(standing, reached_at=addresses())
