"""Whether watch, the pages, the broker and the settings are as they should be."""

import http.client
import socket
import ssl
from collections.abc import Callable
from pathlib import Path

from service.answers.health import pulse
from service.heartbeat import Heartbeat
from service.intake.broker_address import BrokerAddress
from service.intake.broker_standing import broker_in_force
from service.intake.mqtt_finding import Answer, Found, Login, look_for_broker
from service.looks.surroundings import Surroundings
from service.machine.finding import Finding, cannot_tell, look, well
from service.settings.settings import Settings

_PAGES_WITHIN_S = 5.0

Ask = Callable[[str, int, Login | None], Found]


def look_at_watch(heartbeat: Heartbeat | None) -> Finding:
    """By its heartbeat: the only thing that shows that the birds are watched."""
    what = "watch"
    start = "Start the service: clutchweather up, or sudo systemctl start clutchweather-watch"
    if heartbeat is None:
        return look(what, "Nobody watches: watch shows no sign of life.", start)
    found = pulse(heartbeat)
    if not found.lives:
        return look(what, f"Nobody watches: watch fell silent {found.age_s or 0:.0f} s ago.", start)
    stuck = [part for part, moves in found.well.items() if not moves]
    if stuck:
        return look(
            what,
            f"watch lives, and its {', '.join(stuck)} does not move. {' '.join(heartbeat.notes)}",
            "Look at the broker first (below), then start the service anew.",
        )
    return well(what, "watch lives, and all its parts move.")


def look_at_pages(settings: Settings) -> Finding:
    """By asking for /health."""
    what = "pages"
    host = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(settings.bind, settings.bind)  # noqa: S104
    try:
        status = _status(host, settings)
    except (OSError, http.client.HTTPException) as error:
        reason = getattr(error, "strerror", None) or str(error) or "no answer"
        return look(
            what,
            f"Nothing answers at {host}, port {settings.port}: {reason}.",
            "Start the service: clutchweather up, or sudo systemctl start clutchweather-pages",
        )
    if status not in {200, 503}:  # 503: they live, and tell that watch does not
        return look(
            what,
            f"Something answers at {host}, port {settings.port}, but not the pages ({status}).",
            "Give the pages another port: [pages] port in clutchweather.toml",
        )
    return well(what, f"The pages answer at port {settings.port}.")


def look_at_broker(
    around: Surroundings, heartbeat: Heartbeat | None, ask: Ask = look_for_broker
) -> Finding:
    """Whether it answers and lets us in; a listener that is connected is the best witness."""
    what = "broker"
    settings = around.settings
    address = broker_in_force(settings.broker, around.data, told=settings.broker_told)
    if heartbeat is not None and pulse(heartbeat).well["listener"]:
        return well(what, f"{address.host}, port {address.port}: watch is connected.")
    if address.tls:
        return cannot_tell(
            what,
            f"{address.host}, port {address.port}: watch is not connected, and only watch speaks "
            "TLS to it.",
            "Start watch, and look here again.",
        )
    login, fault = _login(address)
    if fault is not None:
        return fault
    return _told(what, ask(address.host, address.port, login), address)


def look_at_settings(faults: tuple[str, ...]) -> Finding:
    """Whether all of the settings are in force."""
    what = "settings"
    if faults:
        return look(
            what,
            f"Not all settings are in force: {'; '.join(faults)}",
            "Mend what is named there, in the file or on /setup.",
        )
    return well(what, "All settings are in force.")


def _status(host: str, settings: Settings) -> int:
    if settings.certificate_file is None:
        connection = http.client.HTTPConnection(host, settings.port, timeout=_PAGES_WITHIN_S)
    else:
        # Whether they live is asked, not who they are: their own certificate may be anyone's.
        unverified = ssl.create_default_context()
        unverified.check_hostname = False
        unverified.verify_mode = ssl.CERT_NONE
        connection = http.client.HTTPSConnection(
            host, settings.port, timeout=_PAGES_WITHIN_S, context=unverified
        )
    try:
        connection.request("GET", "/health", headers={"Host": f"localhost:{settings.port}"})
        return connection.getresponse().status
    finally:
        connection.close()


def _login(address: BrokerAddress) -> tuple[Login | None, Finding | None]:
    if address.username is None:
        return None, None
    file: Path | None = address.password_file
    try:
        password = "" if file is None else file.read_text().strip()
    except OSError as error:
        return None, look(
            "broker",
            f"{file}, the password for the broker, can't be read: {error.strerror}.",
            "Write it anew on /setup, or run this as the user that the service runs as.",
        )
    return Login(name=address.username, password=password), None


def _told(what: str, found: Found, address: BrokerAddress) -> Finding:
    where = f"{address.host}, port {address.port}"
    if found.answer is Answer.LETS_US_IN:
        return well(what, f"{where}: it answers and lets us in.")
    sentences = {
        Answer.WANTS_A_PASSWORD: ("it does not let us in with this name and password",
                                  "Set name and password on /setup."),
        Answer.REFUSES: (f"it refuses us: {found.words}", "Look at the broker's own log."),
        Answer.NO_BROKER: ("something answers, and it is no broker",
                           "Set the broker's address on /setup."),
        Answer.NOBODY: (f"nobody answers{_unknown_name(address.host)}",
                        "Start the broker, or set its address on /setup."),
    }  # fmt: skip
    sentence, to_do = sentences[found.answer]
    return look(what, f"{where}: {sentence}.", to_do)


def _unknown_name(host: str) -> str:
    try:
        socket.getaddrinfo(host, None)
    except OSError:
        return "; the name is not known here"
    return ""
