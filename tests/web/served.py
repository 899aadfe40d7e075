"""A server as a person starts it: ``coldpin serve`` in a process of its own, which can be killed."""

from __future__ import annotations

import os
import resource
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx2

PATIENCE = 60.0
"""Seconds after which a server that does not answer is given up; it takes two or three."""

ASSESSED = 300.0
"""Seconds after which assessments are given up; those of the demonstration take a dozen."""

JSON = {"accept": "application/json"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """A server that answers."""

    process: subprocess.Popen[bytes]
    address: str
    log: Path

    def kill(self) -> None:
        """End it as a power cut does: without a word to it or to what it started."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=PATIENCE)

    def told(self) -> str:
        """What it wrote to its standard error."""
        return self.log.read_text(encoding="utf-8")

    def memory(self) -> float:
        """How much of the memory it holds, what it started left out. [MiB]"""
        pages = int(Path(f"/proc/{self.process.pid}/statm").read_text(encoding="ascii").split()[1])
        return pages * resource.getpagesize() / 2**20


@contextmanager
def served(shelf: Path, *, largest_file: int | None = None, log: Path | None = None) -> Iterator[Served]:
    """Serve a shelf; every file it writes may be limited, as a full disk limits it."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = log or shelf.with_name(f"{shelf.name}.log")
    command = [str(Path(sys.executable).parent / "coldpin"), "serve", str(shelf), "--port", str(port)]

    def limit() -> None:
        if largest_file is not None:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))

    with log.open("wb") as kept:
        process = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=kept, start_new_session=True, preexec_fn=limit
        )
    made = Served(process=process, address=f"http://127.0.0.1:{port}", log=log)
    try:
        wait_until_it_answers(made)
        yield made
    finally:
        if process.poll() is None:
            made.kill()


def wait_until_it_answers(server: Served) -> None:
    """Return once a server answers."""
    end = time.monotonic() + PATIENCE
    while True:
        try:
            httpx2.get(f"{server.address}/static/sign.svg", timeout=PATIENCE).raise_for_status()
        except httpx2.TransportError:
            assert server.process.poll() is None, server.told()
            assert time.monotonic() < end, server.told()
            time.sleep(0.02)
        else:
            return


def wait_until_assessed(server: Served) -> None:
    """Return once every case of the shelf is assessed as it stands."""
    end = time.monotonic() + ASSESSED
    while not all(one["fresh"] for one in httpx2.get(f"{server.address}/shelf.json").json()["cases"]):
        assert time.monotonic() < end, "the cases are not assessed"
        time.sleep(0.05)
