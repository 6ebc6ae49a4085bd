"""Who may speak to the broker: mosquitto's password file and access list, kept by us.

Each device has a name and a password of its own and may write below ``clutchweather/<name>``
alone, or, for a gateway, to the topics that were named for it; it reads nothing. The
service's own account reads everything and writes its canary. The formats are those of
mosquitto_passwd(1) and mosquitto.conf(5), "acl_file".

Both files are replaced at once, so that mosquitto never reads half of one. It reads them anew
when it is told to (SIGHUP): by ``changed``, or by a systemd path unit that watches them.
"""

import fcntl
import os
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from service.errors import InputError, NotKnownError
from service.intake.mqtt_topics import is_valid_filter
from service.machine.mosquitto_passwords import new_password, password_line
from service.machine.whole_file import replace_file

PASSWORDS = "passwords"
ACCESS = "access"
SERVICE_ACCOUNT = "clutchweather"
SERVICE_PASSWORD = "service-password"  # noqa: S105 - the name of a file

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")
_NAME_ALLOWED = "1 to 32 letters (a-z), digits, - and _, beginning with a letter or digit"
_HEAD = "# Made by Clutchweather; what is changed here by hand is lost.\n"
_SERVICE_RULES = (
    "topic read #",
    "topic read $SYS/#",
    "topic readwrite clutchweather/+/canary",
)
_FOR_THE_BROKER = 0o640
_FOR_US_ALONE = 0o600


class BrokerAccounts:
    """The accounts in one folder; any number of processes may change them, one after another.

    Args:
        folder: Made when missing. Where it has the set-group-ID bit, new files get its group,
            so that a broker that runs as another user can read them.
        changed: Called after each change, to make a running broker read the files anew.
    """

    def __init__(self, folder: Path, changed: Callable[[], None] = lambda: None) -> None:
        self.folder = folder
        self._changed = changed

    @property
    def passwords_file(self) -> Path:
        """mosquitto's ``password_file``."""
        return self.folder / PASSWORDS

    @property
    def access_file(self) -> Path:
        """mosquitto's ``acl_file``."""
        return self.folder / ACCESS

    @property
    def service_password_file(self) -> Path:
        """The password of SERVICE_ACCOUNT, in plain text, for the service alone."""
        return self.folder / SERVICE_PASSWORD

    def names(self) -> tuple[str, ...]:
        """The devices that have an account, by name."""
        return tuple(sorted(set(self._lines()) - {SERVICE_ACCOUNT}))

    def topics(self, name: str) -> tuple[str, ...]:
        """What ``name`` may write to.

        Raises:
            NotKnownError: there is no such account.
        """
        if name not in self.names():
            raise NotKnownError(_unknown(name))
        return tuple(rule.removeprefix("topic write ") for rule in self._rules().get(name, ()))

    def add(self, name: str, topics: Sequence[str] | None = None) -> str:
        """A new account; returns its password, which is kept nowhere else.

        Args:
            name: The device.
            topics: Filters that it may write to; None for all below ``clutchweather/<name>``.

        Raises:
            InputError: a name or a topic is not allowed, or the name has an account already.
        """
        _refuse_name(name)
        for topic in topics or ():
            _refuse_topic(topic)
        written = topics or (f"clutchweather/{name}/#",)
        password = new_password()
        with self._alone():
            _refuse_topics_of_others(name, written, set(self._lines()))
            if name in self._lines():
                raise InputError(
                    f'"{name}" has a name and a password at the broker already; '
                    "give it a new password, or take the account away first"
                )
            lines = {**self._lines(), name: password_line(name, password)}
            rules = {**self._rules(), name: tuple(f"topic write {topic}" for topic in written)}
            self._write(lines, rules)
        self._changed()
        return password

    def renew(self, name: str) -> str:
        """A new password for an account; the old one counts no more.

        Raises:
            NotKnownError: there is no such account.
        """
        password = new_password()
        with self._alone():
            if name not in self.names():
                raise NotKnownError(_unknown(name))
            lines = {**self._lines(), name: password_line(name, password)}
            self._write(lines, self._rules())
        self._changed()
        return password

    def remove(self, name: str) -> None:
        """Take an account away. A device that is connected stays so until it connects anew.

        Raises:
            NotKnownError: there is no such account.
        """
        with self._alone():
            if name not in self.names():
                raise NotKnownError(_unknown(name))
            lines, rules = self._lines(), self._rules()
            del lines[name]
            rules.pop(name, None)
            self._write(lines, rules)
        self._changed()

    def make_ready(self) -> None:
        """Both files, and the service's own account, where they are missing."""
        with self._alone():
            whole = (
                SERVICE_ACCOUNT in self._lines()
                and self._rules().get(SERVICE_ACCOUNT) == _SERVICE_RULES
                and self.service_password_file.exists()
            )
            if whole:
                return
            password = new_password()
            replace_file(self.service_password_file, f"{password}\n", _FOR_US_ALONE)
            lines = {**self._lines(), SERVICE_ACCOUNT: password_line(SERVICE_ACCOUNT, password)}
            self._write(lines, {**self._rules(), SERVICE_ACCOUNT: _SERVICE_RULES})
        self._changed()

    def _lines(self) -> dict[str, str]:
        """The line of each account in the password file."""
        text = _read(self.passwords_file)
        return {line.partition(":")[0]: line for line in text.splitlines() if ":" in line}

    def _rules(self) -> dict[str, tuple[str, ...]]:
        """The rules of each account in the access list."""
        rules: dict[str, tuple[str, ...]] = {}
        user = ""
        for line in _read(self.access_file).splitlines():
            word, _, rest = line.partition(" ")
            if word == "user":
                user = rest
            elif word == "topic" and user:
                rules[user] = (*rules.get(user, ()), line)
        return rules

    def _write(self, lines: Mapping[str, str], rules: Mapping[str, Sequence[str]]) -> None:
        """The access list first where it grows: nobody gets in before it says what he may."""
        paragraphs = ["\n".join([f"user {name}", *rules[name], ""]) for name in sorted(rules)]
        replace_file(self.access_file, "\n".join([_HEAD, *paragraphs]), _FOR_THE_BROKER)
        text = "".join(f"{lines[name]}\n" for name in sorted(lines))
        replace_file(self.passwords_file, text, _FOR_THE_BROKER)

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """One change at a time, over all processes; the lock is on the folder itself."""
        self.folder.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(self.folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX)
            yield
        finally:
            os.close(descriptor)


def _refuse_name(name: str) -> None:
    if name == SERVICE_ACCOUNT:
        raise InputError(f'"{name}" is the name of the service itself; choose another')
    if not _NAME.fullmatch(name):
        raise InputError(f'"{name}" can\'t be a name at the broker; allowed: {_NAME_ALLOWED}')


def _refuse_topic(topic: str) -> None:
    first = topic.partition("/")[0]
    plain = topic.isprintable() and topic == topic.strip() and is_valid_filter(topic)
    if not plain or first in {"", "+", "#"} or first.startswith("$"):
        raise InputError(
            f'"{topic}" can\'t be what a device may write to; allowed: a topic that begins with '
            'a word of its own, such as "gateway/#" or "gateway/+/state"'
        )


def _refuse_topics_of_others(name: str, topics: Sequence[str], accounts: set[str]) -> None:
    """Below ``clutchweather/`` each sensor speaks for itself, and the service for its canary."""
    for topic in topics:
        first, second, *rest = [*topic.split("/"), ""]
        if first != "clutchweather" or second == name:
            continue
        if second in {"", "+", "#"} | accounts or rest[:1] in (["canary"], ["+"], ["#"]):
            raise InputError(
                f'"{topic}" is what others speak under; below clutchweather/ allowed: '
                f'"clutchweather/{name}/#", or the topic of a sender without an account of its '
                'own, such as "clutchweather/attic/senml"'
            )


def _unknown(name: str) -> str:
    return f'there is no account "{name}" at the broker'


def _read(file: Path) -> str:
    return file.read_text() if file.exists() else ""
