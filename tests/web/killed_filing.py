"""Files a capture that waits, killed before each change of the disk in turn; tells what lies in the case each time.

Run as a program of its own, so that it forks before anything of it has begun a thread.
"""

from __future__ import annotations

import json
import os
import shutil
import sys
from pathlib import Path

from coldpin.casefile import open_case
from coldpin.casefile.arrivals import arrivals, new_arrival
from coldpin.casefile.storage import TEMPORARY
from coldpin.workbench.arriving import file_waiting
from coldpin.workbench.settling import settle
from tests.workbench.quay import capture_text

CHANGES = ("os.link", "os.rename", "os.remove", "os.rmdir", "os.chmod", "os.mkdir", "os.utime", "shutil.rmtree")


def file_until(case: Path, token: str, last: int) -> None:
    """File it in this process, which ends before so many changes are made."""
    left = last

    def watch(event: str, given: tuple[object, ...]) -> None:
        nonlocal left
        if event not in CHANGES or not str(given[0]).startswith(str(case)):
            return
        left -= 1
        if left < 0:
            os._exit(9)

    sys.addaudithook(watch)
    file_waiting(
        case,
        token,
        names=("steps.csv",),
        shows="pilot capture",
        who="Ines",
        conditions={"load": "steps"},
        progress=lambda _: None,
    )
    os._exit(0)


def main(case: Path, content: bytes) -> None:
    """Kill it ever later, until it comes to its end."""
    for last in range(1000):
        arrival = new_arrival(case)
        with arrival.new_file("steps.csv") as file:
            file.write(content)
        arrival = arrival.arrived()
        child = os.fork()
        if child == 0:
            file_until(case, arrival.token, last)
        _, status = os.waitpid(child, 0)
        settle(case)
        loaded = open_case(case).entries()
        assert loaded.problems == ()
        found = {
            "killed": os.waitstatus_to_exitcode(status) != 0,
            "entries": len(loaded.entries),
            "evidence": len(list((case / "evidence").glob("[!.]*"))),
            "dialects": len(list((case / "dialects").glob("*.json"))),
            "waits": sum(len(one.names()) for one in arrivals(case)),
            "half": [path.name for path in case.rglob(f"{TEMPORARY}*")],
        }
        print(json.dumps(found))
        if not found["killed"]:
            return
        for folder in ("entries", "evidence", "dialects", "cache"):
            shutil.rmtree(case / folder, ignore_errors=True)
            (case / folder).mkdir()


if __name__ == "__main__":
    main(Path(sys.argv[1]), capture_text())
