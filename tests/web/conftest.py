"""A small shelf for the page, made once: a filled case, an empty one, one that cannot be read; a server."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn

from coldpin.web.app import create_app
from tests.web.drawn_board import file_board
from tests.workbench.quay import fill, make_case, make_shelf


@pytest.fixture(scope="session")
def quay(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shelf."""
    place = tmp_path_factory.mktemp("web")
    shelf = make_shelf(place / "shelf")
    case = make_case(shelf)
    fill(case, place)
    file_board(case, place)
    make_case(shelf, "empty & new", "Not begun")
    broken = make_case(shelf, "broken")
    (broken / "case.toml").write_text("title = [", encoding="utf-8")
    return shelf


@pytest.fixture(scope="package")
def address(quay: Path) -> Iterator[str]:
    """Where a server shows the shelf, on a port that was free."""
    server = uvicorn.Server(uvicorn.Config(create_app(quay), host="127.0.0.1", port=0, log_level="warning"))
    listening = threading.Thread(target=server.run)
    listening.start()
    end = time.monotonic() + 30
    while not server.started and time.monotonic() < end:
        time.sleep(0.02)
    assert server.started, "the server did not begin to listen within 30 s"
    yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    server.should_exit = True
    listening.join(timeout=30)
