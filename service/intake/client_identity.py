"""The name under which the broker keeps our session: the same at every start.

It is made of the host and the data folder, so that a second host or a second data folder has
a name of its own. A memory card copied bit by bit brings the machine id along: then two
listeners of one name push each other out, which ``ConnectCounter`` notices.
"""

import hashlib
import platform
from pathlib import Path

MACHINE_ID = Path("/etc/machine-id")


def fixed_client_id(data: Path, machine_id: Path = MACHINE_ID) -> str:
    """``clutchweather-`` and 9 hexadecimal digits, 23 bytes in all.

    23 is the length that every broker must accept (OASIS MQTT 5.0, section 3.1.3.1). A host
    without a machine id is known by its network name.
    """
    try:
        host = machine_id.read_text().strip() or platform.node()
    except OSError:
        host = platform.node()
    digest = hashlib.sha256(f"{host}\n{data.resolve()}".encode()).hexdigest()
    return f"clutchweather-{digest[:9]}"
