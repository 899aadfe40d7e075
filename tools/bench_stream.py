"""Measure the reading of long captures: ratios to what the machine's memory and files can do at best, in one run.

A thousand million int16 samples at 1 MS/s (2 GB in memory and 2 GB on disk), fewer where memory is short: state and
pulse width change every minute, the period wanders, noise of 50 mV, a dip of 5 µs in every thousandth cycle.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from mmap import mmap
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.pilot.scale import scale_of
from coldpin.pilot.states import windows_of
from coldpin.pilot.stream.cycles import all_cycles
from coldpin.pilot.stream.engine import SPECIFICATION, Engine, accelerator
from coldpin.pilot.stream.plan import Plan, plan_of
from coldpin.standards import Edition, load_book
from tools.measured_page import table
from tools.timing import LEAST_RUNS, in_turns, tell, timed

INTERVAL = 1e-6
GAIN = 5e-4
MOST = 10**9
SIZES = (10**7, 3 * 10**7, 10**8, 3 * 10**8, MOST)
SLOW = 2 * 10**7
"""Samples the specification is timed with; it is compared sample for sample."""

RUNS = 7
BUFFER = 1 << 20
"""Bytes of a plain read."""

MEBI = 1 << 20
Signal = NDArray[np.int16]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratio:
    """One thing held against a reference, a ratio for each run."""

    name: str
    goal: float
    unit: str
    ratios: tuple[float, ...]
    at_least: bool = False
    note: str = ""

    @property
    def reached(self) -> bool:
        """Whether the median is within the goal."""
        middle = median(self.ratios)
        return middle >= self.goal if self.at_least else middle <= self.goal

    def cells(self) -> list[str]:
        """Return the row of the table.

        Returns
        -------
        list of str
            Name, median, spread, goal, note.
        """
        sign = "≥" if self.at_least else "≤"
        return [
            self.name,
            f"{median(self.ratios):.2f}{self.unit}",
            f"{min(self.ratios):.2f} to {max(self.ratios):.2f}",
            f"{sign} {self.goal:g}{self.unit}" + ("" if self.reached else ", **not reached**"),
            self.note,
        ]


def make_signal(samples: int) -> Signal:
    """Make a capture whose state and pulse width change every minute, and which ends with a fortieth of constant level.

    Parameters
    ----------
    samples : int
        Number of samples. [1]

    Returns
    -------
    NDArray[np.int16]
        Array of shape (n,), in steps of 0.5 mV.
    """
    random = np.random.default_rng(1)
    period = min(samples, 10**7)
    seconds = np.arange(period) * INTERVAL
    # the oscillator wanders by a sample or so
    phase = (seconds * 1003.7 + 0.001 * np.sin(2.0 * np.pi * 3.1 * seconds)) % 1.0
    noise = random.normal(0.0, 0.05, period)
    blocks = []
    for high, duty in ((9.0, 0.1), (6.0, 0.2667), (9.0, 0.5), (6.0, 0.5333)):
        on = phase < duty
        for dip in range(period // 1000, period - 5, 10**6):
            on[dip : dip + 5] = ~on[dip : dip + 5]
        blocks.append(np.rint((np.where(on, high, -12.0) + noise) / GAIN).astype(np.int16))
    signal = np.empty(samples, np.int16)
    for place, first in enumerate(range(0, samples, period)):
        signal[first : first + period] = blocks[place // 6 % 4][: samples - first]
    constant = signal[-(samples // 40) :]
    for first in range(0, constant.size, period):
        part = constant[first : first + period]
        part[:] = np.rint((12.0 + noise[: part.size]) / GAIN)
    return signal


def plan_for(signal: Signal) -> Plan:
    """Return the plan of a capture in memory.

    Parameters
    ----------
    signal : NDArray[np.int16]
        Array of shape (n,).

    Returns
    -------
    Plan
        Its plan.
    """
    scale = scale_of(np.asarray(signal[: 10**6] * GAIN, np.float64), INTERVAL, GAIN)
    windows = windows_of(load_book(), Edition.IEC_3)
    return plan_of(samples=signal.size, scale=scale, windows=windows, stored=signal.dtype, gain=GAIN)


def memory_pass() -> Callable[[Signal], object]:
    """Return the fastest read-only pass over memory that one core makes here: OR of 64-bit words.

    Returns
    -------
    callable
        It reads every word of an array once.
    """
    import numba

    @numba.njit(nogil=True)
    def words(values: Any) -> Any:
        found = np.uint64(0)
        for value in values:
            found |= value
        return found

    def run(signal: Signal) -> object:
        return words(signal[: signal.size // 4 * 4].view(np.uint64))

    run(np.zeros(64, np.int16))
    return run


def plain_read(path: Path) -> None:
    """Read a file into one small buffer that is used again, and do nothing with it.

    Parameters
    ----------
    path : Path
        The file.
    """
    # begins with a page of memory: into one that does not, copying takes half as long again
    buffer = mmap(-1, BUFFER)
    with path.open("rb", buffering=0) as file:
        while file.readinto(buffer):
            pass


def read_runs(path: Path, hands: int | None = None, engine: Engine | None = None) -> object:
    """Read the runs of a capture on disk.

    Parameters
    ----------
    path : Path
        A raw file of int16.
    hands : int or None
        Threads; None for one a core.
    engine : Engine or None
        Who does the work.

    Returns
    -------
    object
        The reading.
    """
    from coldpin.capture import open_samples
    from coldpin.pilot import read_pilot_stream

    choices: dict[str, str | float | int] = {"format": "raw int16", "rate": 1.0 / INTERVAL, "scale": GAIN * 32768.0}
    with open_samples(path, choices=choices) as source:
        return read_pilot_stream(source, book=load_book(), edition=Edition.IEC_3, hands=hands, engine=engine)


MEMORY = """
import sys
from pathlib import Path
from tools.bench_stream import read_runs, peak, forget_peak
from coldpin.pilot.stream.engine import accelerator
small, large = map(Path, sys.argv[1:])
import coldpin.capture, coldpin.pilot
bare = peak()
read_runs(small, engine=accelerator())
forget_peak()
before = peak()
read_runs(large, engine=accelerator())
print(peak() - before, before - bare)
"""


def peak() -> int:
    """Return the largest memory this process has had. [byte]

    Returns
    -------
    int
        Peak resident set size. [byte]
    """
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.split("VmHWM:")[1].split()[0]) << 10


def forget_peak() -> None:
    """Let the peak begin again at what is held now."""
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")


def memory_taken(small: Path, large: Path) -> tuple[float, float]:
    """Return what reading a long capture takes above a process that has read a short one.

    Parameters
    ----------
    small, large : Path
        Raw files of int16.

    Returns
    -------
    tuple of float
        That, and what loading the accelerator took before. [MiB]
    """
    command = [sys.executable, "-c", MEMORY, str(small), str(large)]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return int(told[0]) / MEBI, int(told[1]) / MEBI


def growth(sizes: list[int], times: list[float]) -> float:
    """Return the exponent of growth, by least squares on logarithms.

    Parameters
    ----------
    sizes : list of int
        Numbers of samples. [1]
    times : list of float
        Times. [s]

    Returns
    -------
    float
        The exponent. [1]
    """
    return float(np.polyfit(np.log(sizes), np.log(times), 1)[0])


def largest_size() -> int:
    """Return how many samples fit into three quarters of the memory that is free, a thousand million at most.

    Returns
    -------
    int
        Number of samples. [1]
    """
    told = Path("/proc/meminfo").read_text(encoding="ascii").split("MemAvailable:")[1].split()[0]
    free = int(told) << 10
    # as much again for the file in the page cache
    return max(size for size in SIZES if size == SIZES[0] or 5 * size < 0.75 * free)


def measure() -> list[Ratio]:
    """Measure all.

    Returns
    -------
    list of Ratio
        One for each goal.
    """
    engine = accelerator()
    assert engine is not None, "make bench needs numba, which the development lock holds"
    words = memory_pass()
    most = largest_size()
    tell(f"{most:.0e} samples: made")
    signal = make_signal(most)
    hands = os.cpu_count() or 1

    def decode(size: int, who: Engine = engine, count: int = hands) -> float:
        part = signal[:size]
        plan = plan_for(part)
        return timed(lambda: all_cycles(part, plan, gain=GAIN, hands=count, engine=who))

    decode(SIZES[0])
    tell(f"{most:.0e} samples: from memory, over a pass over it")
    memory, memory_2, in_ram, alone = in_turns(
        lambda: min(timed(lambda: words(signal)), timed(signal.max)),
        lambda: timed(lambda: _by_halves(words, signal, hands)),
        lambda: decode(most),
        lambda: decode(most, count=1),
        runs=RUNS,
    )
    tell(f"{SLOW:.0e} samples: the specification")
    slow = [decode(SLOW, SPECIFICATION) / SLOW for _ in range(LEAST_RUNS)]
    ratios = [
        Ratio(
            name=f"{most:.0e} int16 in memory → all cycle figures, over a read-only memory pass by one core",
            goal=2.0,
            unit="",
            ratios=_ratios(in_ram, memory),
            note=f"{median(in_ram):.3f} s over {median(memory):.3f} s; by one core {median(alone):.3f} s; a pass by "
            f"{hands} cores {median(memory_2):.3f} s",
        ),
        Ratio(
            name="the numpy specification over the accelerator, sample for sample",
            goal=15.0,
            unit="",
            at_least=True,
            ratios=tuple(one / (median(in_ram) / most) for one in slow),
            note=f"specification: {median(slow) * 1e9:.1f} ns a sample, timed with {SLOW:.0e}",
        ),
    ]
    sizes = [size for size in SIZES if size <= most]
    tell("growth in memory")
    by_size = in_turns(*(partial(decode, size) for size in sizes), runs=RUNS)
    ratios.append(
        Ratio(
            name="growth exponent in memory",
            goal=1.05,
            unit="",
            ratios=(growth(sizes, [*map(median, by_size)]),),
            note=", ".join(f"{size:.0e}" for size in sizes),
        )
    )
    with tempfile.TemporaryDirectory() as folder:
        paths = {size: Path(folder) / f"{size}.raw" for size in sizes}
        tell("files written")
        for size, path in paths.items():
            signal[:size].tofile(path)
        ratios += _from_files(paths, engine)
    return ratios


def _by_halves(words: Callable[[Signal], object], signal: Signal, hands: int) -> None:
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(hands) as pool:
        list(pool.map(words, np.array_split(signal, hands)))


def _ratios(times: Sequence[float], references: Sequence[float]) -> tuple[float, ...]:
    return tuple(one / other for one, other in zip(times, references, strict=True))


def _from_files(paths: dict[int, Path], engine: Engine) -> list[Ratio]:
    largest = paths[max(paths)]
    read_runs(paths[min(paths)], engine=engine)
    plain_read(largest)
    tell("the largest file, over a plain read of it")
    plain, runs = in_turns(
        lambda: timed(lambda: plain_read(largest)), lambda: timed(lambda: read_runs(largest, engine=engine)), runs=RUNS
    )
    tell("growth from files")
    by_size = in_turns(*(partial(timed, partial(read_runs, path, engine=engine)) for path in paths.values()), runs=RUNS)
    times = [*map(median, by_size)]
    tell("memory while reading the largest file")
    taken, loading = memory_taken(paths[min(paths)], largest)
    return [
        Ratio(
            name=f"{max(paths):.0e} int16 in a page-cached raw file → runs, over a plain read of the file",
            goal=2.0,
            unit="",
            ratios=_ratios(runs, plain),
            note=f"{median(runs):.3f} s over {median(plain):.3f} s",
        ),
        Ratio(
            name="growth exponent from files",
            goal=1.05,
            unit="",
            ratios=(growth(list(paths), times),),
            note=", ".join(f"{size:.0e}" for size in paths),
        ),
        Ratio(
            name="memory while reading that file, above the process before",
            goal=64.0,
            unit=" MiB",
            ratios=(taken,),
            note=f"loading the accelerator took {loading:.0f} MiB before",
        ),
    ]


def section() -> tuple[str, bool]:
    """Measure all and return the text of the section.

    Returns
    -------
    tuple of str and bool
        A table, and whether every goal is reached.
    """
    ratios = measure()
    head = ["long captures", "median", "lowest to highest", "goal", "measured"]
    text = (
        f"Samples of int16 at 1 MS/s with a cycle of a millisecond, caches warm, up to {RUNS} runs in turns with their "
        f"references, {os.cpu_count()} threads; load average at the end {os.getloadavg()[0]:.1f}.\n\n"
    )
    return text + table(head, [ratio.cells() for ratio in ratios]), all(ratio.reached for ratio in ratios)
