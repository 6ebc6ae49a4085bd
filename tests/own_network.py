"""A network of a test's own: what listens beyond loopback in it, nobody else can reach.

A Linux network namespace with loopback and one more address (network_namespaces(7)). An
ordinary user gets one inside a user namespace, where the machine allows that.
"""

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ADDRESS = "192.168.77.1"

_SET_UP = f"""
set -e
PATH=$PATH:/usr/sbin:/sbin
ip link set lo up
ip link add shed0 type veth peer name shed1
ip addr add {ADDRESS}/24 dev shed0
ip link set shed0 up
ip link set shed1 up
ip route add default dev shed0
echo ready
exec cat
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnNetwork:
    """``prefix`` goes before a command that shall run in it; ``address`` is beyond loopback."""

    prefix: tuple[str, ...]
    address: str

    def program(self, path: str, folder: Path) -> str:
        """A script in ``folder`` that runs the program ``path`` in this network."""
        script = folder / f"{Path(path).name}-in-its-network"
        script.write_text(f'#!/bin/sh\nexec {" ".join(self.prefix)} {path} "$@"\n')
        script.chmod(0o755)
        return str(script)


@contextmanager
def own_network() -> Iterator[OwnNetwork | None]:
    """The network while the block runs; None where the machine allows none."""
    if not all(shutil.which(one, path=_PATH) for one in ("unshare", "nsenter", "ip")):
        yield None
        return
    holder = subprocess.Popen(
        ["unshare", "--user", "--map-root-user", "--net", "sh", "-c", _SET_UP],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert holder.stdin is not None
    assert holder.stdout is not None
    try:
        ready = holder.stdout.readline().strip() == "ready"
        prefix = (
            "nsenter",
            f"--target={holder.pid}",
            "--user",
            "--net",
            "--preserve-credentials",
            "--",
        )
        yield OwnNetwork(prefix=prefix, address=ADDRESS) if ready else None
    finally:
        holder.stdin.close()
        holder.wait(10)
        holder.stdout.close()


_PATH = "/usr/bin:/bin:/usr/sbin:/sbin:/usr/local/bin"
