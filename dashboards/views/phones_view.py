"""How phones and tablets reach the pages. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from dashboards.marks.qr import qr_svg
from service.settings.settings import Settings
from service.settings.written import is_loopback

BIND = ("pages", "bind")
EVERYWHERE = "0.0.0.0"  # noqa: S104 - what the keeper switches on, and only with a password
THIS_MACHINE = "127.0.0.1"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhonesView:
    """``addresses`` are whole URLs, the likeliest first; ``code`` is the first as a QR code.

    ``may_change`` is False where the file states it, or before there is a keeper.
    """

    let_in: bool
    in_file: bool
    has_keeper: bool
    addresses: tuple[str, ...]
    code: str | None

    @property
    def may_change(self) -> bool:
        """Whether the switch is there."""
        return self.has_keeper and not self.in_file


def phones_view(
    settings: Settings,
    *,
    has_keeper: bool,
    addresses: Sequence[str],
    names: Sequence[str],
    port: int,
) -> PhonesView:
    """``addresses`` and ``names`` are those of this machine, beyond loopback."""
    let_in = not is_loopback(settings.bind)
    scheme = "https" if settings.certificate_file else "http"
    local = [name for name in names if name.endswith(".local")]
    urls = tuple(f"{scheme}://{host}:{port}" for host in (*addresses, *local)) if let_in else ()
    return PhonesView(
        let_in=let_in,
        in_file=BIND in settings.fixed,
        has_keeper=has_keeper,
        addresses=urls,
        code=qr_svg(urls[0]) if urls else None,
    )
