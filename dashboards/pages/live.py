"""The event stream: a heartbeat while, and only while, the stores can be read.

Each heartbeat carries the server's time and the version of the wall. A page that hears none
for 15 s covers itself. The stream ends at once when the server is told to stop.
"""

import asyncio
import json
import time
from collections import Counter
from collections.abc import AsyncIterator, Callable

from fastapi import APIRouter, Request
from fastapi.responses import Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from dashboards.dependencies import Wall, Who
from dashboards.templating import build_id
from dashboards.wall_watch import WallSnapshot, WallWatch
from service.errors import StoreUnavailableError
from service.people.role import Visitor

router = APIRouter()

HEARTBEAT_S = 3.0
ASK_AGAIN_S = 20.0
"""So often it is asked whether the session, or the token of the tablet, still holds."""
_LOOK_S = 1.0
_STEPS = 10
MOST_STREAMS = 32
MOST_OF_ONE = 16
"""A tablet in wrong hands must not take the streams of all the others."""


class Streams:
    """Counts open streams, in all and of each visitor."""

    def __init__(self) -> None:
        self.open = 0
        self.of: Counter[Visitor] = Counter()
        self.stopping: Callable[[], bool] = lambda: False

    def is_one_too_many(self, who: Visitor) -> bool:
        """Whether ``who`` has to wait. Before there is a keeper nobody has a name."""
        return self.open >= MOST_STREAMS or (who.name is not None and self.of[who] >= MOST_OF_ONE)

    def begin(self, who: Visitor) -> None:
        """One more."""
        self.open += 1
        self.of[who] += 1

    def end(self, who: Visitor) -> None:
        """One less."""
        self.open -= 1
        self.of[who] -= 1
        if not self.of[who]:
            del self.of[who]


@router.get("/live")
async def live(request: Request, wall: Wall, who: Who) -> Response:
    streams: Streams = request.app.state.streams
    if streams.is_one_too_many(who):
        return Response("Too many open pages.", 503, headers={"retry-after": "30"})
    ending = getattr(request.state, "ending", lambda: False)
    return StreamingResponse(
        _events(
            wall,
            streams,
            who,
            holds=request.state.holds,
            stopping=lambda: streams.stopping() or ending(),
        ),
        media_type="text/event-stream",
        headers={"cache-control": "no-store", "x-accel-buffering": "no"},
    )


async def _events(
    wall: WallWatch,
    streams: Streams,
    who: Visitor,
    *,
    holds: Callable[[], bool],
    stopping: Callable[[], bool],
) -> AsyncIterator[str]:
    streams.begin(who)
    try:
        version, sent_at, asked_at = "", 0.0, time.monotonic()
        while not stopping():
            if time.monotonic() - asked_at >= ASK_AGAIN_S:
                asked_at = time.monotonic()
                if not await run_in_threadpool(_may_go_on, holds):
                    return
            snapshot = await run_in_threadpool(_look, wall)
            if snapshot is None:
                await _pause(stopping)
                continue
            if snapshot.version != version or time.monotonic() - sent_at >= HEARTBEAT_S:
                version, sent_at = snapshot.version, time.monotonic()
                yield heartbeat_event(snapshot)
            await _pause(stopping)
    finally:
        streams.end(who)


def _may_go_on(holds: Callable[[], bool]) -> bool:
    """Whether who listens still may; while that can't be told nobody is turned away."""
    try:
        return holds()
    except StoreUnavailableError:
        return True


def _look(wall: WallWatch) -> WallSnapshot | None:
    """The newest snapshot; None while the stores can't be read: then there is no heartbeat."""
    try:
        return wall.current()
    except StoreUnavailableError:
        return None


def heartbeat_event(snapshot: WallSnapshot) -> str:
    """One event of the stream."""
    told = {
        "now": snapshot.now.isoformat(),
        "clock": snapshot.clock,
        "version": snapshot.version,
        "build": build_id(),
        "live": not snapshot.state.blind,
    }
    return f"event: heartbeat\ndata: {json.dumps(told)}\n\n"


async def _pause(stopping: Callable[[], bool]) -> None:
    """Wait for the next look, in steps short enough to notice that the server stops."""
    for _ in range(_STEPS):
        if stopping():
            return
        await asyncio.sleep(_LOOK_S / _STEPS)
