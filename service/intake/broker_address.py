"""Where the broker is and how to be let in."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokerAddress:
    """Parsed from ``mqtt://host:port`` or ``mqtts://…`` and its companions."""

    host: str = "127.0.0.1"
    port: int = 1883
    tls: bool = False
    username: str | None = None
    password_file: Path | None = None
    ca_file: Path | None = None
