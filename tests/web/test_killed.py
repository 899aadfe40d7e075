"""A server that is killed, or whose disk is full, loses nothing that a page told somebody was kept."""

from __future__ import annotations

import contextlib
import hashlib
import itertools
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import httpx2
import pytest

from coldpin.casefile import open_case
from coldpin.casefile.storage import TEMPORARY
from coldpin.workbench.shelving import open_shelf
from tests.web.served import JSON, PATIENCE, served
from tests.workbench.quay import make_case, make_shelf

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX processes and signals")

CASE = "skerrow-16"
WRITERS = 4
A_WRITE_TAKES = 0.05
"""Seconds within which a server is killed after its last acknowledgement."""
MORE_KILLS = 40
"""How many more servers are killed where none of the first was in the middle of a write."""


@dataclass(slots=True)
class Acknowledged:
    """What the page said is kept."""

    notes: dict[str, str] = field(default_factory=dict)
    files: dict[str, str] = field(default_factory=dict)
    instruments: set[str] = field(default_factory=set)
    odd: list[str] = field(default_factory=list)


def write_until_killed(address: str, who: str, told: Acknowledged) -> None:
    """Write notes, files and instruments in turn, and keep what was acknowledged; a lost connection ends it."""
    chance = random.Random(who)
    with httpx2.Client(base_url=address, timeout=PATIENCE, headers=JSON) as client, contextlib.suppress(Exception):
        for number in range(10_000):
            note = f"{who}, {number}"
            answer = client.post(f"/case/{CASE}/record/remark", data={"who": who, "note": note})
            if answer.status_code == 201:
                told.notes[answer.json()["entries"][0]["id"]] = note
            else:
                told.odd.append(answer.text)
            content = chance.randbytes(200_000)
            kept = {"file": (f"plate {number}.pdf", content, "application/pdf")}
            answer = client.post(f"/case/{CASE}/record/document", data={"who": who}, files=kept)
            if answer.status_code == 201:
                told.files[answer.json()["entries"][0]["evidence"]["file"]] = hashlib.sha256(content).hexdigest()
            else:
                told.odd.append(answer.text)
            if number % 5 == 0:
                name = f"tongs {who} {number}"
                answer = client.post("/instruments", data={"name": name, "title": "clamp", "kind": "clamp"})
                if answer.status_code == 201:
                    told.instruments.add(name)
                else:
                    told.odd.append(answer.text)


def missing(shelf: Path, told: Acknowledged) -> list[str]:
    """What was acknowledged and is not there; fail where the case does not open without a problem."""
    case = open_case(shelf / CASE)
    loaded = case.entries()
    assert loaded.problems == ()
    notes = {entry.id: entry.note for entry in loaded.entries}
    lost = [note for name, note in told.notes.items() if notes.get(name) != note]
    for file, sha256 in told.files.items():
        path = shelf / CASE / "evidence" / file
        if not path.exists() or hashlib.sha256(path.read_bytes()).hexdigest() != sha256:
            lost.append(file)
    return lost + sorted(told.instruments - set(open_shelf(shelf).instruments()))


@pytest.fixture
def nursery() -> Iterator[Callable[[Path], tuple[int, str]]]:
    """Starts a server over a shelf and returns the number of its process and its address, once it answers."""
    command = [sys.executable, "-m", "tests.web.server_nursery"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        begun = []

        def start(shelf: Path) -> tuple[int, str]:
            with socket.socket() as free:
                free.bind(("127.0.0.1", 0))
                port = free.getsockname()[1]
            process.stdin.write(f"{shelf}\t{port}\n")  # type: ignore[union-attr]  # seen above
            process.stdin.flush()  # type: ignore[union-attr]  # seen above
            begun.append(int(process.stdout.readline()))  # type: ignore[union-attr]  # seen above
            end = time.monotonic() + PATIENCE
            while True:
                with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
                    return begun[-1], f"http://127.0.0.1:{port}"
                assert time.monotonic() < end
                time.sleep(0.005)

        yield start
        for number in begun:
            with contextlib.suppress(ProcessLookupError):
                os.kill(number, signal.SIGKILL)
        process.stdin.close()
        process.wait(timeout=PATIENCE)


def test_a_killed_server_loses_nothing_that_was_acknowledged(
    tmp_path: Path,
    nursery: Callable[[Path], tuple[int, str]],
    proving: bool,
    measured: Callable[[str, float, str, str], None],
) -> None:
    """Killed at any moment under many writers: each entry, file and instrument is there afterwards, and whole."""
    kills = 300 if proving else 4
    chance = random.Random(2026)
    told, lost = Acknowledged(), list[str]()
    shelf = make_shelf(tmp_path / "shelf")
    make_case(shelf)
    caught = 0
    for kill in itertools.count():
        # a few kills may all fall between two writes: then more are tried
        if kill >= kills and (caught or kill >= kills + MORE_KILLS):
            break
        number, address = nursery(shelf)
        hands = [
            threading.Thread(target=write_until_killed, args=(address, f"hand {kill}-{hand}", told))
            for hand in range(WRITERS)
        ]
        for hand in hands:
            hand.start()
        wanted, end = len(told.notes) + chance.randrange(6), time.monotonic() + PATIENCE
        while len(told.notes) < wanted:
            assert time.monotonic() < end
            time.sleep(0.001)
        time.sleep(chance.uniform(0.0, A_WRITE_TAKES))
        os.kill(number, signal.SIGKILL)
        for hand in hands:
            hand.join(PATIENCE)
        lost += missing(shelf, told)
        left = [path for path in shelf.rglob(f"{TEMPORARY}*") if path.is_file()]
        caught += len(left)
        for path in left:
            path.unlink()

    assert lost == []
    assert told.odd == []
    # else no server was ever killed in the middle of a write and this would say nothing
    assert caught > 0
    assert len(told.notes) >= kills
    acknowledged = len(told.notes) + len(told.files) + len(told.instruments)
    measured("servers killed under writers", kills, "1", "300 in prove")
    measured("acknowledgements before they were killed", acknowledged, "1", "none lost")
    measured("of these lost", len(lost), "1", "0")


def test_a_full_disk_is_told_and_costs_nothing_that_was_kept(tmp_path: Path) -> None:
    """What does not fit is refused with what to do, what fits is taken, and what was kept before stays."""
    shelf = make_shelf(tmp_path / "shelf")
    make_case(shelf)
    with served(shelf, largest_file=64_000) as server:
        with httpx2.Client(base_url=server.address, timeout=PATIENCE, headers=JSON) as client:
            note = {"who": "Ines", "note": "before"}
            first = client.post(f"/case/{CASE}/record/remark", data=note)
            assert first.status_code == 201
            before = {path: path.stat().st_size for path in shelf.rglob("*") if path.is_file()}
            for size in (65_000, 2_000_000, 30_000_000):
                large = {"file": ("plate.pdf", os.urandom(1000) * (size // 1000), "application/pdf")}
                refused = client.post(f"/case/{CASE}/record/document", data={"who": "Ines"}, files=large)
                assert refused.status_code == 507, refused.text
                assert "larger than may be written here" in refused.json()["error"]
                assert str(tmp_path) not in refused.text
            assert {path: path.stat().st_size for path in shelf.rglob("*") if path.is_file()} == before
            again = client.post(f"/case/{CASE}/record/remark", data={"who": "Ines", "note": "after"})
            assert again.status_code == 201
        assert "Traceback" not in server.told()
    assert [entry.note for entry in open_case(shelf / CASE).entries().entries] == ["before", "after"]
