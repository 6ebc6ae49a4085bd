"""A folder in the place of a machine, whose systemctl writes down what it is told.

systemd is outside of this machine here: nothing runs it where tests run. The small program in
its place knows which units run, by files that the test makes.
"""

import os
from dataclasses import dataclass
from pathlib import Path

from service.commands.install_units import Place

_SYSTEMCTL = """\
#!/bin/sh
echo "$(basename "$0") $*" >>"{log}"
[ "$1" != is-active ] || [ -e "{folder}/up" ] || exit 3
[ "$1" = is-active ] || [ ! -e "{folder}/fails-$1" ] || {{ echo "no such bus" >&2; exit 1; }}
{then}
exit 0
"""

FILES = {
    "pyproject.toml": '[project]\nname = "x"\n',
    "service/start": "#!/bin/sh\n",
    "service/venv.sh": "# none\n",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayedMachine:
    """``place`` is handed to the commands; ``told`` is what the machine was told to do."""

    place: Place
    folder: Path

    def told(self) -> list[str]:
        log = self.folder / "log"
        return log.read_text().splitlines() if log.exists() else []

    def units_run(self, *, run: bool) -> None:
        if run:
            (self.folder / "up").touch()
        else:
            (self.folder / "up").unlink(missing_ok=True)

    def runs_only(self, stamp: str) -> None:
        """From now on units come up only while this version is in use."""
        then = (
            f'[ "$1" != start ] || {{ case "$(readlink "{self.place.versions.folder}/current")" in '
            f'*{stamp}) touch "{self.folder}/up";; *) rm -f "{self.folder}/up";; esac; }}'
        )
        self._program("systemctl", then)

    def fails(self, order: str) -> None:
        (self.folder / f"fails-{order}").touch()

    def _program(self, name: str, then: str = "") -> None:
        file = self.folder / "bin" / name
        file.write_text(_SYSTEMCTL.format(log=self.folder / "log", folder=self.folder, then=then))
        file.chmod(0o755)


def played_machine(folder: Path, *, mosquitto: bool = True) -> PlayedMachine:
    """A new machine; its programs must come first on PATH (``path_of``)."""
    root = folder / "root"
    (root / "etc/mosquitto/conf.d" if mosquitto else root / "etc").mkdir(parents=True)
    (folder / "bin").mkdir()
    machine = PlayedMachine(
        place=Place(root=root, make_venv=lambda place: (place / "venv-made").touch()),
        folder=folder,
    )
    for name in ("systemctl", "systemd-sysusers", "chown"):
        machine._program(name)
    machine.units_run(run=True)
    return machine


def path_of(machine: PlayedMachine) -> str:
    return os.pathsep.join([str(machine.folder / "bin"), os.environ["PATH"]])


def version_folder(folder: Path, words: str) -> Path:
    """A checked-out version, told apart by ``words``."""
    for name, text in FILES.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)
    (folder / "words").write_text(words)
    (folder / ".git").mkdir(exist_ok=True)
    return folder


def words_in_use(machine: PlayedMachine) -> str:
    return (machine.place.versions.folder / "current" / "words").read_text()
