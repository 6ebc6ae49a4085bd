"""A name and a password for a new sensor, and who has one. Pure."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from dashboards.views.waiting_view import EXAMPLE, Reach
from service.settings.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class AccountRow:
    """Somebody who may write to the broker. ``is_sensor``: it has a place."""

    name: str
    topics: str
    is_sensor: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """An account as it is shown, once. ``code`` is a drawing of ``text`` for a camera."""

    name: str
    password: str
    topic: str
    text: str
    code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AccountView:
    """``ours`` is False where the broker is not ours to say: then it gives names itself."""

    ours: bool
    broker: str
    reach: Reach
    name: str
    topics: str
    example: str
    accounts: tuple[AccountRow, ...]
    given: Given | None


def account_view(
    *,
    ours: bool,
    settings: Settings,
    reach: Reach,
    names: Sequence[tuple[str, Sequence[str]]],
    form_name: str | None,
    form_topics: str,
    given: Given | None,
) -> AccountView:
    """``names`` are the accounts with what each may write to."""
    set_up = {sensor.device for sensor in settings.sensors}
    scheme = "mqtts" if settings.broker.tls else "mqtt"
    suggested = free_name({name for name, _ in names} | set_up)
    return AccountView(
        ours=ours,
        broker=f"{scheme}://{settings.broker.host}:{settings.broker.port}",
        reach=reach,
        name=suggested if form_name is None else form_name,
        topics=form_topics,
        example=EXAMPLE,
        accounts=tuple(
            AccountRow(name=name, topics=", ".join(topics), is_sensor=name in set_up)
            for name, topics in names
        ),
        given=given,
    )


def free_name(taken: Collection[str]) -> str:
    """``sensor-3``, the first that nobody has."""
    number = 1
    while f"sensor-{number}" in taken:
        number += 1
    return f"sensor-{number}"


def to_type(reach: Reach, name: str, password: str, topic: str) -> str:
    """All that is typed into a sensor, a line each."""
    lines = [("server", reach.hosts[0] if reach.hosts else "127.0.0.1")]
    if reach.port is not None:
        lines.append(("port", str(reach.port)))
    if reach.tls_port is not None:
        lines.append(("port with TLS", str(reach.tls_port)))
    lines += [("name", name), ("password", password), ("topic", topic)]
    return "\n".join(f"{what}: {told}" for what, told in lines)
