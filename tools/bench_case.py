"""Speed of a whole case: assessed anew and again, the next test advised, and a thousand cases compared."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from coldpin.workbench import record
from coldpin.workbench.comparing import compare
from coldpin.workbench.demo import tell_story
from tools.measured_page import table
from tools.timing import tell

COLD_GOAL, AGAIN_GOAL, NEXT_GOAL, COMPARED_GOAL = 5.0, 1.0, 3.0, 60.0
"""Asked for: a complete case assessed with an empty cache, again, the next test advised, 1000 cases compared. [s]"""

CASES = 1000
RUNS = 5
CASE = "skerrow-16"
"""The most complete of the three demonstration cases."""

LATER = datetime(2026, 3, 20, 9, 0, tzinfo=UTC)
"""After the last entry of the demonstration."""


@dataclass(frozen=True, slots=True)
class Taken:
    """How long something took by the clock, until its first line where it told one, and of the processor. [s]"""

    wall: float
    processor: float
    first_line: float = 0.0


def section() -> tuple[str, bool]:
    """Time a case of the demonstration by the commands a person types, and a comparison of many cases.

    Returns
    -------
    tuple of str and bool
        A table, and whether every goal is reached.
    """
    with tempfile.TemporaryDirectory() as folder:
        shelf = tell_story(Path(folder) / "shelf")
        case = shelf / CASE
        # as installed: compiled once, by the first call
        asked = _Command(case, Path(folder) / "compiled")
        asked.taken("assess")
        tell("a complete case, assessed with an empty cache")
        cold = [asked.taken("assess", empty=True) for _ in range(RUNS)]
        tell("the same case, assessed again")
        again = [asked.taken("assess") for _ in range(RUNS)]
        tell("the next test, after one new entry and again")
        after_entry = []
        for number in range(RUNS):
            _remark(case, number)
            after_entry.append(asked.taken("next"))
        next_again = [asked.taken("next") for _ in range(RUNS)]
        tell("assessed after one new entry")
        _remark(case, RUNS)
        with_entry = [asked.taken("assess")]
        tell(f"{CASES} cases compared, assessed before")
        compare([case])
        shelves = [shelf, *(Path(folder) / f"{number:04}" for number in range(CASES - 1))]
        for other in shelves[1:]:
            shutil.copytree(shelf, other, copy_function=os.link, ignore=_other_cases)
        many = [one / CASE for one in shelves]
        compared = [_taken(lambda: compare(many), resource.RUSAGE_SELF) for _ in range(2)]
    rows = [
        (f"`coldpin assess`, {CASE}, cache empty: assessed, the conclusion told", _told(cold), COLD_GOAL),
        ("its report drawn, typeset and written too", cold, None),
        ("all of it again, nothing changed", again, AGAIN_GOAL),
        ("the same after one new entry", with_entry, None),
        ("`coldpin next`, after one new entry", after_entry, NEXT_GOAL),
        ("`coldpin next` again", next_again, NEXT_GOAL),
        (f"{CASES} cases compared, assessed before", compared[1:], COMPARED_GOAL),
    ]
    reached = all(_reached(times, goal) for _, times, goal in rows)
    load = os.getloadavg()[0]
    text = (
        "A whole case as a person waits for it: first the conclusion, which is told before the report is drawn and "
        f"typeset, then its files; load average at the end {load:.1f}. Of the processor is the time of all its cores "
        "together, to the end, which the load of others hardly moves.\n\n"
    )
    head = ["case", "median", "lowest to highest", "of the processor", "goal"]
    return text + table(head, [_row(*row) for row in rows]), reached


@dataclass(frozen=True, slots=True)
class _Command:
    """Runs coldpin on a case; what it compiles of itself is kept in a folder of its own."""

    case: Path
    compiled: Path

    def taken(self, command: str, *, empty: bool = False) -> Taken:
        if empty:
            shutil.rmtree(self.case / "cache", ignore_errors=True)
        whole = [str(Path(sys.executable).parent / "coldpin"), command, str(self.case)]
        around = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        around["PYTHONPYCACHEPREFIX"] = str(self.compiled)
        began, used = time.perf_counter(), _processor(resource.RUSAGE_CHILDREN)
        with subprocess.Popen(whole, env=around, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as running:
            assert running.stdout is not None
            told = running.stdout.readline()
            first_line = time.perf_counter() - began
            running.stdout.read()
        wall = time.perf_counter() - began
        if running.returncode or not told:
            raise RuntimeError(f"{' '.join(whole)} ended with {running.returncode}")
        return Taken(wall, _processor(resource.RUSAGE_CHILDREN) - used, first_line)


def _remark(case: Path, number: int) -> None:
    made = LATER + timedelta(minutes=number)
    record(case, shows="remark", who="Ines", note=f"looked at again, {number}", made=made, now=made)


def _other_cases(folder: str, names: list[str]) -> list[str]:
    """Leave out of a shelf's copy the cases that are not compared."""
    return [name for name in names if name != CASE and (Path(folder) / name / "case.toml").exists()]


def _taken(work: Callable[[], object], of_whom: int) -> Taken:
    began, used = time.perf_counter(), _processor(of_whom)
    work()
    return Taken(time.perf_counter() - began, _processor(of_whom) - used)


def _told(times: list[Taken]) -> list[Taken]:
    """Return the times until the conclusion was told; the processor's are of the whole."""
    return [replace(one, wall=one.first_line) for one in times]


def _processor(of_whom: int) -> float:
    used = resource.getrusage(of_whom)
    return used.ru_utime + used.ru_stime


def _reached(times: list[Taken], goal: float | None) -> bool:
    return goal is None or median(one.wall for one in times) <= goal


def _row(what: str, times: list[Taken], goal: float | None) -> list[str]:
    wall = [one.wall for one in times]
    told = "none" if goal is None else f"≤ {goal:g} s" + ("" if _reached(times, goal) else ", **not reached**")
    processor = median(one.processor for one in times)
    return [
        what,
        f"{median(wall):.2f} s",
        f"{min(wall):.2f} s to {max(wall):.2f} s",
        f"{processor:.2f} s",
        told,
    ]


if __name__ == "__main__":
    print(section()[0])
