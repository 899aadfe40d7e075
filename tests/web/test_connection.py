"""A connection over which no whole request comes is given up; one that is used stays."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from typing import ClassVar

import pytest
import uvicorn
from fastapi import FastAPI

from coldpin.web.connection import Connection

PATIENCE = 30.0
"""Seconds after which a test gives up."""

CASE = "/case/skerrow-16"
ASKED = b"GET / HTTP/1.1\r\nhost: 127.0.0.1\r\n\r\n"


class Hasty(Connection):
    """One that waits for a tenth of a second."""

    patience: ClassVar[float] = 0.1


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    """Where a server of one route listens."""
    app = FastAPI()

    @app.get("/")
    def read() -> str:
        time.sleep(3 * Hasty.patience)
        return "read"

    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=0, log_level="critical", http=Hasty))
    listening = threading.Thread(target=server.run, daemon=True)
    listening.start()
    end = time.monotonic() + PATIENCE
    while not server.started and time.monotonic() < end:
        time.sleep(0.01)
    yield server.servers[0].sockets[0].getsockname()[1]
    server.should_exit = True
    listening.join(PATIENCE)


def opened(port: int) -> socket.socket:
    """A connection to it."""
    made = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE)
    made.settimeout(PATIENCE)
    return made


def is_ended(connection: socket.socket) -> bool:
    """Wait for the other side to say something, and whether it says that it ends."""
    try:
        return connection.recv(1000) == b""
    except ConnectionResetError:
        return True


@pytest.mark.parametrize("begun", [b"", b"GET / HTTP/1.1\r\nhost: 127.0.0.1\r\nx: "])
def test_a_head_that_does_not_come_is_not_waited_for(port: int, begun: bytes) -> None:
    """Neither the first letter nor the last."""
    with opened(port) as connection:
        if begun:
            connection.sendall(begun)
        assert is_ended(connection)


def test_an_answer_that_takes_longer_is_waited_for_and_the_next_may_follow(port: int) -> None:
    """The clock runs for heads alone; of the next request too."""
    with opened(port) as connection:
        for _ in range(2):
            connection.sendall(ASKED)
            told = b""
            while b"read" not in told:
                told += connection.recv(1000)
            assert told.startswith(b"HTTP/1.1 200")
        connection.sendall(ASKED[:-3])
        assert is_ended(connection)


FORM = {
    "a file that is stopped": (
        b"multipart/form-data; boundary=b",
        b'--b\r\ncontent-disposition: form-data; name="file"; filename="a.csv"\r\n\r\n0,1\r\n',
    ),
    "a field that is typed on in": (b"application/x-www-form-urlencoded", b"note=half"),
}


@pytest.mark.parametrize("sent", FORM)
def test_who_goes_away_within_a_form_is_no_error_of_ours(
    address: str, sent: str, caplog: pytest.LogCaptureFixture
) -> None:
    """Stop was pressed, or another letter typed: the terminal of who shows the shelf stays quiet, and it goes on."""
    kind, begun = FORM[sent]
    host = address.removeprefix("http://")
    with opened(int(host.rpartition(":")[2])) as connection:
        head = f"POST {CASE}/add HTTP/1.1\r\nhost: {host}\r\norigin: {address}\r\ncontent-length: 1000000\r\n"
        connection.sendall(head.encode() + b"content-type: " + kind + b"\r\n\r\n" + begun)
        time.sleep(5 * Hasty.patience)
    time.sleep(5 * Hasty.patience)

    assert [one.getMessage() for one in caplog.records if one.levelname == "ERROR"] == []
    with opened(int(host.rpartition(":")[2])) as connection:
        connection.sendall(f"GET /static/sign.svg HTTP/1.1\r\nhost: {host}\r\n\r\n".encode())
        assert connection.recv(1000).startswith(b"HTTP/1.1 200")
