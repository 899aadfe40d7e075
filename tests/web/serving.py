"""A server in this process, for a browser."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import uvicorn
from fastapi import FastAPI

from coldpin.web.app import create_app


@contextmanager
def serving(shown: Path | FastAPI) -> Iterator[str]:
    """Show a shelf, or the application that shows one, on a port that was free; gives its address."""
    app = create_app(shown) if isinstance(shown, Path) else shown
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=0, log_level="warning"))
    listening = threading.Thread(target=server.run)
    listening.start()
    try:
        end = time.monotonic() + 30
        while not server.started and time.monotonic() < end:
            time.sleep(0.02)
        assert server.started, "the server did not begin to listen within 30 s"
        yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    finally:
        server.should_exit = True
        listening.join(timeout=30)
