"""Runs the pages on one address until told to stop; open event streams don't hold it up."""

import uvicorn
from fastapi import FastAPI


def server_for(app: FastAPI, host: str, port: int) -> uvicorn.Server:
    """A server whose event streams end as soon as it is told to stop."""
    config = uvicorn.Config(
        app,
        host=host,
        port=port,
        log_level="warning",
        access_log=False,
        timeout_graceful_shutdown=3,
        server_header=False,
    )
    server = uvicorn.Server(config)
    app.state.streams.stopping = lambda: server.should_exit
    return server


def serve(app: FastAPI, host: str, port: int) -> None:
    """Serve until SIGTERM or SIGINT.

    Raises:
        SystemExit: the port can't be had; uvicorn says why on standard error.
    """
    server_for(app, host, port).run()
