"""Pages that are really served, over real files, with a clock that the test sets."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from dashboards.app import create_app
from dashboards.serving import Address, Server
from service.clock import FixedClock
from tests.browser.pages_process import free_port
from tests.dashboards.filled_shed import NOW, FilledShed, open_shed


@dataclass(kw_only=True)
class ShedInTime:
    """``address`` stays the same over restarts; time stands still until the test moves it."""

    shed: FilledShed
    clock: FixedClock
    port: int
    server: Server | None = field(default=None)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Serve the pages, as they stand in the files."""
        self.server = Server(
            create_app(self.shed.services()),
            Address(host="127.0.0.1", port=self.port),
            alone=True,
        )

    def stop(self) -> None:
        """The pages answer nobody any more; the files stay."""
        if self.server is not None:
            self.server.stop()
            self.server = None


@contextmanager
def shed_in_time(
    folder: Path, *, at: datetime = NOW, boxes: int = 4, **changed: object
) -> Iterator[ShedInTime]:
    """A shed whose places are in its book, served from ``at`` on; ``changed`` are settings."""
    clock = FixedClock(at)
    shed = open_shed(folder, boxes=boxes, clock=clock, **changed)
    served = ShedInTime(shed=shed, clock=clock, port=free_port())
    served.start()
    try:
        yield served
    finally:
        served.stop()
        shed.close()
