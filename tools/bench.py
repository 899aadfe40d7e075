"""Measure speed, each figure in one run beside a reference, and write the section "Speed" of ``docs/measured.md``.

Wall times of whole processes, as a person waits for them, with warm caches. The median of several runs is given with
the lowest and the highest, so that the noise of the machine can be seen (a slow machine makes fewer runs, so that the
whole ends within some minutes); the ratio to a reference run in between on the same machine travels better than the
seconds do. Which row is at work is told on standard error.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from platform import machine, system
from statistics import median

import numpy as np

from tools import (
    bench_case,
    bench_copper,
    bench_drawing,
    bench_insulation,
    bench_logs,
    bench_page,
    bench_photo,
    bench_session,
    bench_wave,
)
from tools.bench_stream import section
from tools.measured_page import conditions, current_commit, table, write_section
from tools.timing import in_turns, tell

SAMPLES = 1_000_000
RATE = 1e6
RUNS = 7
PYTHON = sys.executable
COLDPIN = str(Path(PYTHON).parent / "coldpin")


@dataclass(frozen=True, slots=True, kw_only=True)
class Speed:
    """One thing timed beside its reference; times of each run. [s]"""

    name: str
    goal: float
    reference: str
    times: tuple[float, ...]
    reference_times: tuple[float, ...]

    @property
    def reached(self) -> bool:
        """Whether the median is within the goal."""
        return median(self.times) <= self.goal

    def cells(self) -> list[str]:
        """Return the row of the table.

        Returns
        -------
        list of str
            Name, median, spread, goal, reference, its median, ratio.
        """
        return [
            self.name,
            f"{median(self.times):.2f} s",
            f"{min(self.times):.2f} s to {max(self.times):.2f} s",
            f"≤ {self.goal:g} s" + ("" if self.reached else ", **not reached**"),
            self.reference,
            f"{median(self.reference_times):.2f} s",
            f"{median(self.times) / median(self.reference_times):.1f}",
        ]


def wall_time(command: Sequence[str]) -> float:
    """Return how long a command takes, from its start to its end.

    Parameters
    ----------
    command : sequence of str
        Program and arguments; it must succeed.

    Returns
    -------
    float
        Wall time. [s]
    """
    # An environment that forbids byte code would time the compiler instead of the program.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    begin = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment)
    return time.perf_counter() - begin


def compare(name: str, goal: float, command: Sequence[str], reference: str, other: Sequence[str]) -> Speed:
    """Time a command and a reference in turns, after one run of each that warms the caches.

    Parameters
    ----------
    name : str
        What is timed.
    goal : float
        The median shall be at most this. [s]
    command : sequence of str
        What is timed, as program and arguments.
    reference : str
        What it is compared with.
    other : sequence of str
        The reference, as program and arguments.

    Returns
    -------
    Speed
        All times.
    """
    tell(name)
    wall_time(command), wall_time(other)
    times, reference_times = in_turns(partial(wall_time, command), partial(wall_time, other), runs=RUNS)
    return Speed(name=name, goal=goal, reference=reference, times=times, reference_times=reference_times)


def write_capture(target: Path) -> None:
    """Write one second of a pilot in state C as a text capture: time and voltage, a header, noise of 20 mV.

    Parameters
    ----------
    target : Path
        The file to write.
    """
    seconds = np.arange(SAMPLES) / RATE
    noise = np.random.default_rng(1).normal(0.0, 0.02, SAMPLES)
    voltage = np.where(seconds * 1000.0 % 1.0 < 16.0 / 60.0, 6.0, -12.0) + noise
    rows = np.column_stack([seconds, voltage])
    np.savetxt(target, rows, fmt=("%.6f", "%.3f"), delimiter=",", header="Time (s),Voltage (V)", comments="")


PARTS = (
    section,
    bench_copper.section,
    bench_logs.section,
    bench_session.section,
    bench_photo.section,
    bench_insulation.section,
    bench_drawing.section,
    bench_case.section,
    bench_wave.section,
    bench_page.section,
)
"""Each gives a part of the text, and whether every goal in it is reached."""


def main() -> int:
    """Time everything, print it, and write the section.

    Returns
    -------
    int
        0 where every goal is reached, 1 otherwise.
    """
    with tempfile.TemporaryDirectory() as folder:
        capture = Path(folder) / "capture.csv"
        write_capture(capture)
        read_csv = f"import polars; polars.read_csv({str(capture)!r})"
        speeds = [
            compare("`coldpin --help`", 0.3, [COLDPIN, "--help"], "bare Python", [PYTHON, "-c", "pass"]),
            compare(
                "`coldpin pilot FILE --json`, 10⁶ samples of text",
                1.5,
                [COLDPIN, "pilot", str(capture), "--json"],
                "polars reads the file",
                [PYTHON, "-c", read_csv],
            ),
        ]
    parts = [part() for part in PARTS]
    head = ["what", "median", "lowest to highest", "goal", "reference", "its median", "ratio"]
    text = (
        f"{current_commit().words()}. {conditions()} {system()} on {machine()} with {os.cpu_count()} cores, "
        f"up to {RUNS} runs of each in turns, caches warm.\n\n"
        + "\n\n".join([table(head, [speed.cells() for speed in speeds]), *(told for told, _ in parts)])
    )
    write_section("Speed", text)
    print(text)
    return 0 if all(reached for _, reached in parts) and all(speed.reached for speed in speeds) else 1


if __name__ == "__main__":
    sys.exit(main())
