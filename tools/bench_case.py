"""Speed of a whole case: assessed anew, assessed again, and a thousand cases laid beside each other."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from coldpin.workbench.comparing import compare
from coldpin.workbench.demo import tell_story
from tools.measured_page import table
from tools.timing import tell

COLD_GOAL, AGAIN_GOAL, COMPARED_GOAL = 5.0, 1.0, 60.0
"""Asked for: a complete case assessed with an empty cache, again, and a thousand cases compared. [s]"""

CASES = 1000
RUNS = 5
CASE = "skerrow-16"
"""The most complete of the three demonstration cases."""


def section() -> tuple[str, bool]:
    """Time a case of the demonstration by the command a person types, and a comparison of many cases.

    Returns
    -------
    tuple of str and bool
        A table, and whether every goal is reached.
    """
    with tempfile.TemporaryDirectory() as folder:
        shelf = tell_story(Path(folder) / "shelf")
        case = shelf / CASE
        tell("a complete case, assessed with an empty cache")
        cold = [_assessed(case, empty=True) for _ in range(RUNS)]
        tell("the same case, assessed again")
        again = [_assessed(case, empty=False) for _ in range(RUNS)]
        tell(f"{CASES} cases compared, assessed before")
        compare([case])
        shelves = [shelf, *(Path(folder) / f"{number:04}" for number in range(CASES - 1))]
        for other in shelves[1:]:
            shutil.copytree(shelf, other, copy_function=os.link, ignore=_other_cases)
        many = [one / CASE for one in shelves]
        compared = [_taken(lambda: compare(many)) for _ in range(2)]
    rows = [
        _row(f"`coldpin assess`, {CASE}, cache empty", cold, COLD_GOAL),
        _row("the same again, nothing changed", again, AGAIN_GOAL),
        _row(f"{CASES} cases compared, assessed before", compared[1:], COMPARED_GOAL),
    ]
    reached = median(cold) <= COLD_GOAL and median(again) <= AGAIN_GOAL and compared[-1] <= COMPARED_GOAL
    load = os.getloadavg()[0]
    text = f"A whole case with its report, as a person waits for it; load average at the end {load:.1f}.\n\n"
    return text + table(["case", "median", "lowest to highest", "goal"], rows), reached


def _other_cases(folder: str, names: list[str]) -> list[str]:
    """Leave out of a shelf's copy the cases that are not compared."""
    return [name for name in names if name != CASE and (Path(folder) / name / "case.toml").exists()]


def _assessed(case: Path, *, empty: bool) -> float:
    if empty:
        shutil.rmtree(case / "cache", ignore_errors=True)
    command = [str(Path(sys.executable).parent / "coldpin"), "assess", str(case)]
    return _taken(lambda: subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL))


def _taken(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def _row(what: str, times: list[float], goal: float) -> list[str]:
    told = f"≤ {goal:g} s" + ("" if median(times) <= goal else ", **not reached**")
    return [what, f"{median(times):.2f} s", f"{min(times):.2f} s to {max(times):.2f} s", told]


if __name__ == "__main__":
    print(section()[0])
