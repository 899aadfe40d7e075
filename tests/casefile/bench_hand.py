"""A hand at the bench, as a process of its own: writes into a case and says what was acknowledged, until it is stopped.

Run as ``bench_hand.py nursery CASE`` it starts such writers on request and kills each after a given time; run with
another word it does that one job and ends.
"""

from __future__ import annotations

import contextlib
import functools
import os
import signal
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from coldpin.casefile import Case, new_entry, open_case
from coldpin.errors import ConflictError

NOW = datetime(2026, 3, 14, 9, 5, 1, tzinfo=UTC)


def write_until_stopped(case: Case, tell: Callable[[str], None], source: Path) -> None:
    """Append, edit and file evidence in turn; tell each acknowledgement after it was given."""
    serial = case.description().specimen.serial
    number = int(serial or 0)
    while True:
        for _ in range(2):
            entry = case.append(new_entry("reading", "earth resistance", "Ada", NOW, recorded=NOW, readings=("0.1 Ω",)))
            tell(f"entry {entry.id}")
        number += 1
        case.edit("specimen.serial", serial, str(number), who="Ada", now=NOW)
        serial = str(number)
        tell(f"serial {serial}")
        source.write_bytes(os.urandom(50_000))
        filed = case.file_evidence(source, "photograph")
        tell(f"filed {filed.file} {filed.sha256}")


class WarmedUp(Exception):
    """Ends the rehearsal."""


def nursery(rehearsal: Case) -> None:
    """Read lines ``CASE TOLD COUNT SECONDS``: start a writer and kill it that long after so many acknowledgements.

    All it acknowledged is then in the file TOLD, and a line with the signal that ended it is the answer. One round on a
    case of its own comes first: what is set up once per process must not use up the writers' time.
    """

    def until_filed(text: str) -> None:
        if text.startswith("filed"):
            raise WarmedUp

    with contextlib.suppress(WarmedUp):
        write_until_stopped(rehearsal, until_filed, rehearsal.folder / "photo")
    for line in sys.stdin:
        folder, told, count, seconds = line.rstrip("\n").split("\t")
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            write_until_stopped(
                open_case(folder), functools.partial(print_to, writing), Path(told).with_suffix(".photo")
            )
        os.close(writing)
        with os.fdopen(reading, encoding="utf-8") as pipe, Path(told).open("a", encoding="utf-8") as kept:
            kept.writelines(pipe.readline() for _ in range(int(count)))
            time.sleep(float(seconds))
            os.kill(child, signal.SIGKILL)
            # What was told before the end is still in the pipe.
            kept.writelines(pipe)
        _, status = os.waitpid(child, 0)
        print(os.WTERMSIG(status) if os.WIFSIGNALED(status) else f"ended {status}", flush=True)


def print_to(descriptor: int, text: str) -> None:
    """Write a line at once."""
    os.write(descriptor, f"{text}\n".encode())


def append_many(case: Case, count: int, who: str) -> None:
    """Append readings, and print each id when it is acknowledged."""
    for number in range(count):
        entry = new_entry("reading", "earth resistance", who, NOW, recorded=NOW, readings=(f"0.{number:03} Ω",))
        print(case.append(entry).id, flush=True)


def edit_many(case: Case, count: int, key: str) -> None:
    """Set a key to 1, 2, 3 …, each from the value before."""
    old = ""
    for number in range(1, count + 1):
        case.edit(key, old, str(number), who=key, now=NOW)
        old = str(number)


def edit_once(case: Case, key: str, new: str) -> None:
    """Set a key that was seen empty; print what came of it."""
    try:
        case.edit(key, "", new, who=new, now=NOW)
    except ConflictError as error:
        print(f"conflict {error}")
    else:
        print("done")


def main(arguments: list[str]) -> None:
    """Do one job."""
    match arguments:
        case ["nursery", folder]:
            nursery(open_case(folder))
        case ["append", folder, count, who]:
            append_many(open_case(folder), int(count), who)
        case ["edit", folder, count, key]:
            edit_many(open_case(folder), int(count), key)
        case ["edit once", folder, key, new]:
            edit_once(open_case(folder), key, new)
        case ["file", folder, path]:
            print(open_case(folder).file_evidence(path, "photograph").file)
        case _:
            sys.exit(f"unknown job {arguments}")


if __name__ == "__main__":
    main(sys.argv[1:])
