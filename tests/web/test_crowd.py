"""Many read while many write, on the page and by the command line: nobody is refused, nothing is lost."""

from __future__ import annotations

import asyncio
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from statistics import quantiles

import httpx2
import pytest

from coldpin.casefile import open_case
from tests.web.awaited import awaited
from tests.web.served import JSON, Served, served, wait_until_assessed

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX processes and signals")

CASE = "skerrow-16"
BUSY = "empty & new"
"""The case that is written to; the other is assessed and read."""

PAGES = ("/", "/shelf.json", f"/case/{CASE}", f"/case/{CASE}.json", "/instruments", "/case/empty%20%26%20new")


@dataclass(slots=True)
class Heard:
    """What readers and writers were told."""

    waits: list[float] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    acknowledged: dict[str, str] = field(default_factory=dict)


@pytest.fixture
def server(quay: Path, tmp_path: Path) -> Iterator[Served]:
    """A server over a copy of the shelf, every case assessed."""
    shelf = tmp_path / "shelf"
    shutil.copytree(quay, shelf)
    with served(shelf) as running:
        wait_until_assessed(running)
        yield running


def shelf_of(server: Served) -> Path:
    """The shelf that a server shows."""
    return Path(str(server.process.args[2]))  # type: ignore[index]  # a list of words


async def read_on(server: Served, client: httpx2.AsyncClient, first: int, end: float, heard: Heard) -> None:
    """Read page after page until the end."""
    number = first
    while time.monotonic() < end:
        place = PAGES[number % len(PAGES)]
        number += 1
        begin = time.perf_counter()
        answer = await client.get(f"{server.address}{place}")
        heard.waits.append(time.perf_counter() - begin)
        if answer.status_code != 200:
            heard.refusals.append(f"{place}: {answer.status_code} {answer.text[:200]}")


async def write_on(server: Served, client: httpx2.AsyncClient, who: str, end: float, heard: Heard) -> None:
    """Write remark after remark until the end."""
    number = 0
    while time.monotonic() < end:
        number += 1
        note = f"{who} {number}"
        address = f"{server.address}/case/empty%20%26%20new/record/remark"
        answer = await client.post(address, data={"who": who, "note": note}, headers=JSON)
        if answer.status_code == 201:
            (entry,) = answer.json()["entries"]
            heard.acknowledged[entry["id"]] = note
        else:
            heard.refusals.append(f"{note}: {answer.status_code} {answer.text[:200]}")


async def crowd(server: Served, *, readers: int, writers: int, seconds: float) -> Heard:
    """Let readers and writers come for some seconds, each with a connection of its own."""
    heard, end = Heard(), time.monotonic() + seconds
    limits = httpx2.Limits(max_connections=None)
    async with httpx2.AsyncClient(timeout=300.0, limits=limits) as client:
        reading = [read_on(server, client, number, end, heard) for number in range(readers)]
        writing = [write_on(server, client, f"page {number}", end, heard) for number in range(writers)]
        await asyncio.gather(*reading, *writing)
    return heard


def at_the_command_line(case: Path, who: str, end: float) -> dict[str, str]:
    """Record remark after remark by the command until the end, and return what was acknowledged."""
    told: dict[str, str] = {}
    command = [str(Path(sys.executable).parent / "coldpin"), "record", str(case), "--shows", "remark", "--who", who]
    while time.monotonic() < end or not told:
        note = f"{who} {len(told) + 1}"
        done = subprocess.run([*command, "--note", note], capture_output=True, text=True, check=True, timeout=60)
        told[done.stdout.strip()] = note
    return told


def test_many_read_and_write_and_nothing_is_lost(
    server: Served, proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """Every answer is the page or an acknowledgement, and each acknowledged entry is there, the command line's too."""
    readers, writers, seconds = (200, 20, 120.0) if proving else (20, 4, 3.0)
    case = shelf_of(server) / BUSY
    before = {entry.id: entry.note for entry in open_case(case).entries().entries}  # of the shelf that was copied

    async def both() -> tuple[Heard, dict[str, str]]:
        end = time.monotonic() + seconds
        beside = asyncio.to_thread(at_the_command_line, case, "command line", end)
        heard, told = await asyncio.gather(crowd(server, readers=readers, writers=writers, seconds=seconds), beside)
        return heard, told

    heard, told = awaited(both())
    assert heard.refusals == []
    assert len(heard.acknowledged) >= writers
    assert len(heard.waits) >= readers

    loaded = open_case(case).entries()
    assert loaded.problems == ()
    held = {entry.id: entry.note for entry in loaded.entries}
    assert held == before | heard.acknowledged | told
    assert "Traceback" not in server.told()
    measured("readers and writers at once", readers + writers, "1", "220 in prove, for two minutes")
    measured("pages read meanwhile", len(heard.waits), "1", "each answered")
    measured("entries acknowledged meanwhile", len(held), "1", "none lost")
    measured("wait for a page among them, median", quantiles(heard.waits, n=2)[0], "s", "told, no goal")
    measured("wait for a page among them, 99 of 100", quantiles(heard.waits, n=100)[98], "s", "told, no goal")
