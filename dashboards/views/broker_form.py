"""Which broker: what was typed, and what it means. Pure.

A password that is set is never shown again; left empty it stays as it is.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from service.settings.settings import Settings
from service.settings.written import broker_address

URL, USERNAME = ("broker", "url"), ("broker", "username")
PASSWORD, CERTIFICATE = ("broker", "password_file"), ("broker", "ca_file")
MOST_PASSWORD = 200
_MOST_CERTIFICATE = 16_384
_BEGIN, _END = "-----BEGIN CERTIFICATE-----", "-----END CERTIFICATE-----"


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokerForm:
    """As typed."""

    url: str
    username: str
    password: str = ""
    certificate: str = ""
    forget: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokerAnswer:
    """What it means: ``password`` and ``certificate`` are None where they stay as they are."""

    url: str
    username: str | None
    password: str | None
    certificate: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokerFormView:
    """The form; of what is secret only that it is there."""

    form: BrokerForm
    told: bool
    has_password: bool
    has_certificate: bool
    in_file: bool
    standing: str


def broker_form(settings: Settings) -> BrokerForm:
    """The form as it is first shown."""
    broker = settings.broker
    host = f"[{broker.host}]" if ":" in broker.host else broker.host
    scheme = "mqtts" if broker.tls else "mqtt"
    return BrokerForm(url=f"{scheme}://{host}:{broker.port}", username=broker.username or "")


def typed_broker(told: Mapping[str, str]) -> BrokerForm:
    """The form as it was sent."""
    return BrokerForm(
        url=told.get("url", "").strip(),
        username=told.get("username", "").strip(),
        password=told.get("password", ""),
        certificate=told.get("certificate", "").replace("\r\n", "\n").strip(),
        forget=told.get("forget") == "yes",
    )


def read_broker(form: BrokerForm) -> BrokerAnswer | tuple[str, ...]:
    """What it means, or every fault in words. No secret stands in one."""
    faults = []
    url = form.url if "://" in form.url else f"mqtt://{form.url}"
    try:
        tls = broker_address(url).tls
    except ValueError:
        tls = True
        shown = "what was typed" if "@" in form.url else form.url[:60] or "nothing"
        faults.append(
            f"Address: {shown} is not allowed; allowed: mqtt://host, mqtt://host:port or "
            "mqtts://host:port, with name and password in their own fields."
        )
    if form.password and not form.username:
        faults.append("Name: it is missing; a password belongs to a name.")
    if len(form.password) > MOST_PASSWORD or not form.password.isprintable():
        faults.append(f"Password: allowed: at most {MOST_PASSWORD} signs, all on one line.")
    faults += _certificate_faults(form.certificate, tls=tls)
    if faults:
        return tuple(faults)
    return BrokerAnswer(
        url=url,
        username=form.username or None,
        password=form.password or None,
        certificate=form.certificate or None,
    )


def _certificate_faults(text: str, *, tls: bool) -> list[str]:
    if not text:
        return []
    if not (text.startswith(_BEGIN) and text.endswith(_END)) or len(text) > _MOST_CERTIFICATE:
        return [f"Certificate: allowed: its text, from {_BEGIN} to {_END}."]
    if not tls:
        return ["Certificate: it is of use only with an address that begins with mqtts://."]
    return []


def broker_form_view(form: BrokerForm, settings: Settings, standing: str) -> BrokerFormView:
    """The form without its secrets; ``standing`` is what watch tells of the broker."""
    broker = settings.broker
    return BrokerFormView(
        form=BrokerForm(url=form.url, username=form.username, certificate=form.certificate),
        told=settings.broker_told,
        has_password=broker.password_file is not None,
        has_certificate=broker.ca_file is not None,
        in_file=any(path[0] == "broker" for path in settings.fixed),
        standing=standing,
    )
