"""A certificate authority of the shed's own, and the broker's certificate, by openssl(1).

Devices are given ``ca.crt`` once and know the broker by it. Both hold for ten years: a
machine without a clock that is right must not lose its sensors over a date. Alarms never
depend on it: watch speaks to the broker on this machine without TLS.
"""

import shutil
import subprocess
from collections.abc import Sequence
from ipaddress import ip_address
from pathlib import Path

from devices.errors import ClutchweatherError
from service.machine.whole_file import replace_file

CA_CERTIFICATE = "ca.crt"
CA_KEY = "ca.key"
CERTIFICATE = "server.crt"
KEY = "server.key"
DAYS = "3650"

_CURVE = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes")


class CertificateNotMadeError(ClutchweatherError):
    """openssl is missing or failed; with its last words."""


def make_certificates(folder: Path, names: Sequence[str]) -> None:
    """The broker's certificate for these names and addresses, anew; the authority only once.

    An authority that is there stays: the devices know it.

    Raises:
        CertificateNotMadeError: nothing usable was made.
    """
    folder.mkdir(parents=True, exist_ok=True)
    if not ((folder / CA_CERTIFICATE).exists() and (folder / CA_KEY).exists()):
        _openssl(
            *("req", "-x509", *_CURVE, "-days", DAYS, "-subj", "/CN=Clutchweather of this shed"),
            *("-addext", "basicConstraints=critical,CA:TRUE,pathlen:0"),
            *("-addext", "keyUsage=critical,keyCertSign,cRLSign"),
            *("-keyout", str(folder / CA_KEY), "-out", str(folder / CA_CERTIFICATE)),
        )
    request, extensions = folder / "server.csr", folder / "server.ext"
    try:
        _openssl(
            *("req", *_CURVE, "-subj", f"/CN={names[0]}"),
            *("-keyout", str(folder / KEY), "-out", str(request)),
        )
        replace_file(extensions, _extensions(names), 0o600)
        _openssl(
            *("x509", "-req", "-in", str(request), "-days", DAYS, "-extfile", str(extensions)),
            *("-CA", str(folder / CA_CERTIFICATE), "-CAkey", str(folder / CA_KEY)),
            *("-CAcreateserial", "-out", str(folder / CERTIFICATE)),
        )
    finally:
        request.unlink(missing_ok=True)
        extensions.unlink(missing_ok=True)
    for name in (CA_CERTIFICATE, CERTIFICATE):
        (folder / name).chmod(0o644)
    (folder / CA_KEY).chmod(0o600)
    (folder / KEY).chmod(0o640)


def _extensions(names: Sequence[str]) -> str:
    """RFC 5280, section 4.2.1.6: addresses and names are of different kinds."""
    told = ",".join(f"{'IP' if _is_address(name) else 'DNS'}:{name}" for name in names)
    return (
        f"subjectAltName={told}\nbasicConstraints=critical,CA:FALSE\n"
        "keyUsage=critical,digitalSignature,keyAgreement\nextendedKeyUsage=serverAuth\n"
    )


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True


def _openssl(*arguments: str) -> None:
    program = shutil.which("openssl")
    if program is None:
        raise CertificateNotMadeError("openssl is not installed (Debian: sudo apt install openssl)")
    done = subprocess.run(  # noqa: S603 - a program that was looked for by name
        [program, *arguments], capture_output=True, text=True, check=False, umask=0o077
    )
    if done.returncode:
        raise CertificateNotMadeError(f"no certificate was made: {done.stderr.strip()}")
