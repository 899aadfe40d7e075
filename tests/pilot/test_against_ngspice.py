"""The pilot circuit run in ngspice, seen by an 8-bit scope at 1 MS/s with noise and hum, and read."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.pilot import ScopeAccuracy, read_pilot
from coldpin.records.pilot import Diode
from coldpin.records.waveform import Waveform
from coldpin.standards import Edition, load_book

Numbers = NDArray[np.float64]

FREQUENCY = 1000.9
"""Off the scope's clock, so that 60 cycles see edges at many places between two samples. [Hz]"""

STEP = 40.0 / 256.0
NOISE = 0.05
HUM = 0.1
INTERVAL = 1e-6
DUTY_WITHIN = 0.1
LEVEL_WITHIN = 0.1
VEHICLE = {"A": None, "B": "R2 n 0 2740", "C": "R2 n 0 2740\nR3 n 0 1300", "D": "R2 n 0 2740\nR3 n 0 270"}
DIODE = {
    "present": "D1 cp n pilot",
    # the two ways to be without: no diode fitted, and one that has failed short
    "left out": "R9 cp n 1m",
    "shorted": "D1 cp n pilot\nR9 cp n 0.05",
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Truth:
    """One period as ngspice has it: times [s] and voltages [V] of shape (k,), levels at rest [V], duty at 0 V [%]."""

    time: Numbers
    voltage: Numbers
    high: float
    low: float
    duty: float


@cache
def transient(ngspice: str, letter: str, diode: str, nanofarads: float, duty: float) -> Truth:
    """Run the circuit for three periods and return the last."""
    period = 1.0 / FREQUENCY
    load = VEHICLE[letter]
    netlist = "\n".join(
        [
            "pilot",
            f"V1 src 0 PULSE(-12 12 0 1u 1u {period * duty / 100.0 - 1e-6!r} {period!r})",
            "R1 src cp 1000",
            f"C1 cp 0 {nanofarads}n",
            *([DIODE[diode], load] if load else []),
            ".model pilot D(IS=2.5n N=1.75 RS=0.57)",
            f".tran 0.1u {3.0 * period!r} 0 0.1u",
            ".control",
            "set wr_singlescale",
            "run",
            "wrdata pilot.txt v(cp)",
            "quit 0",
            ".endc",
            ".end",
            "",
        ]
    )
    with TemporaryDirectory() as folder:
        (Path(folder) / "pilot.cir").write_text(netlist, encoding="ascii")
        subprocess.run([ngspice, "-b", "pilot.cir"], cwd=folder, check=True, capture_output=True, timeout=60)
        table = np.loadtxt(Path(folder) / "pilot.txt")
    time, voltage = table[:, 0] - 2.0 * period, table[:, 1]
    last = (time >= 0.0) & (time < period)
    time, voltage = time[last], voltage[last]
    turns = np.flatnonzero((voltage[1:] > 0.0) != (voltage[:-1] > 0.0))
    up, down = (float(time[i] + (time[i + 1] - time[i]) * voltage[i] / (voltage[i] - voltage[i + 1])) for i in turns)
    # the end of each half, a microsecond before the source turns
    high = float(np.interp(period * duty / 100.0 - 1e-6, time, voltage))
    low = float(np.interp(period - 1e-6, time, voltage))
    return Truth(time=time, voltage=voltage, high=high, low=low, duty=100.0 * (down - up) / period)


def seen(truth: Truth, *, cycles: int = 60, seed: int = 1) -> Waveform:
    """Let an 8-bit scope see it: repeated, with hum and noise, sampled at 1 MS/s."""
    rng = np.random.default_rng(seed)
    times = np.arange(round(cycles / FREQUENCY / INTERVAL)) * INTERVAL
    voltage = np.interp((times + 0.31 / FREQUENCY) % (1.0 / FREQUENCY), truth.time, truth.voltage)
    voltage = voltage + HUM * np.sin(2.0 * np.pi * 50.0 * times + 1.0) + rng.normal(0.0, NOISE, times.size)
    return Waveform(voltage=np.round(voltage / STEP) * STEP, sample_interval=INTERVAL, resolution=STEP)


CASES = [("A", "present")] + [(letter, diode) for letter in "BCD" for diode in DIODE]


@pytest.mark.independent("ngspice, transient analysis with its own diode model")
@pytest.mark.parametrize("nanofarads", [1.0, 2.0, 3.1])
@pytest.mark.parametrize(("letter", "diode"), CASES)
def test_an_8_bit_scope_reads_what_ngspice_says(
    ngspice: str, letter: str, diode: str, nanofarads: float, measured: Callable[[str, float, str, str], None]
) -> None:
    """Duty within 0.1 point, levels within 0.1 V, state and diode right, and the truth within the 95 % intervals."""
    truth = transient(ngspice, letter, diode, nanofarads, 26.67)
    (run,) = read_pilot(seen(truth), book=load_book(), edition=Edition.IEC_3).runs
    assert run.duty_percent
    assert run.high_v
    assert run.low_v
    what = f"{letter}, diode {diode}, {nanofarads} nF"
    measured(f"duty against ngspice: {what}", abs(run.duty_percent.value - truth.duty), "point", "≤ 0.1")
    measured(f"high level against ngspice: {what}", abs(run.high_v.value - truth.high), "V", "≤ 0.1")
    measured(f"low level against ngspice: {what}", abs(run.low_v.value - truth.low), "V", "≤ 0.1")

    assert run.state.value == f"{letter}2"
    assert run.duty_percent.value == pytest.approx(truth.duty, abs=DUTY_WITHIN)
    assert run.high_v.value == pytest.approx(truth.high, abs=LEVEL_WITHIN)
    assert run.low_v.value == pytest.approx(truth.low, abs=LEVEL_WITHIN)
    for figure, true in ((run.duty_percent, truth.duty), (run.high_v, truth.high), (run.low_v, truth.low)):
        assert figure.u is not None
        assert figure.value == pytest.approx(true, abs=4.0 * figure.u)
    expected = {"present": Diode.PRESENT, "left out": Diode.ABSENT, "shorted": Diode.ABSENT}[diode]
    assert run.diode is (Diode.UNKNOWN if letter == "A" else expected)


@pytest.mark.independent("ngspice, transient analysis with its own diode model")
@pytest.mark.parametrize("duty", [5.0, 10.0, 53.33, 85.0, 96.0])
def test_all_offers_read_against_ngspice(ngspice: str, duty: float) -> None:
    """The same accuracy from a digital offer to 80 A, in state C at the largest capacitance of unit and cable."""
    truth = transient(ngspice, "C", "present", 3.1, duty)
    (run,) = read_pilot(seen(truth), book=load_book(), edition=Edition.IEC_3).runs
    assert run.duty_percent
    assert run.high_v
    assert run.low_v

    assert (run.state.value, run.diode) == ("C2", Diode.PRESENT)
    assert run.duty_percent.value == pytest.approx(truth.duty, abs=DUTY_WITHIN)
    assert run.high_v.value == pytest.approx(truth.high, abs=LEVEL_WITHIN)
    assert run.low_v.value == pytest.approx(truth.low, abs=LEVEL_WITHIN)


@pytest.mark.independent("ngspice, transient analysis with its own diode model")
def test_the_sequence_of_loads_is_told(ngspice: str) -> None:
    """Captures of A, B, C, B put one behind the other give these states in order."""
    letters = "ABCB"
    captures = [
        seen(transient(ngspice, letter, "present", 1.0, 26.67), seed=place) for place, letter in enumerate(letters)
    ]
    joined = np.concatenate([capture.voltage for capture in captures])
    reading = read_pilot(
        Waveform(voltage=joined, sample_interval=INTERVAL, resolution=STEP), book=load_book(), edition=Edition.IEC_3
    )

    assert [run.state.value for run in reading.runs] == ["A2", "B2", "C2", "B2"]
    assert [run.end_s for run in reading.runs] == pytest.approx(
        np.cumsum([capture.duration for capture in captures]).tolist(), abs=2e-3
    )


EDGE_LOADS = [(letter, nanofarads) for letter in "BCD" for nanofarads in (0.3, 3.1, 5.5)]
"""States by all capacitance on the pilot: the least at the supply unit, the most of unit and cable, and that with the
most of a vehicle. [nF]"""

EDGE_STEP = 20e-9
"""Longest time step of the transient. [s]"""

PUBLISHED_EDGES = {
    ("B", 0.3): (0.49, 0.64),
    ("C", 0.3): (0.34, 0.64),
    ("D", 0.3): (0.23, 0.64),
    ("B", 3.1): (5.16, 6.73),
    ("C", 3.1): (3.65, 6.71),
    ("D", 3.1): (2.38, 6.79),
    ("B", 5.5): (9.16, 11.94),
    ("C", 5.5): (6.49, 11.93),
    ("D", 5.5): (4.22, 12.05),
}
"""Rise and fall as published. [µs]"""

PUBLISHED_WITHIN = 0.025
"""Two references that differ in their diode, a constant drop there and a junction here, and in steps that are not
published: at 5500 pF they differ by 0.02 µs of 9, and by as much at 300 pF. [µs]"""


@cache
def edge_transient(ngspice: str, letter: str, nanofarads: float) -> tuple[Numbers, Numbers]:
    """Run the circuit with an ideal generator for two periods; return time [s] and voltage [V] of the last."""
    period, on = 1.0 / FREQUENCY, 0.4 / FREQUENCY
    netlist = "\n".join(
        [
            "pilot",
            f"V1 src 0 PULSE(-12 12 0 1n 1n {on!r} {period!r})",
            "R1 src cp 1000",
            f"C1 cp 0 {nanofarads}n",
            DIODE["present"],
            VEHICLE[letter] or "",
            ".model pilot D(IS=2.5n N=1.75 RS=0.57)",
            f".tran {EDGE_STEP!r} {2.0 * period!r} {period!r} {EDGE_STEP!r}",
            ".control",
            "set wr_singlescale",
            "run",
            "wrdata pilot.txt v(cp)",
            "quit 0",
            ".endc",
            ".end",
            "",
        ]
    )
    with TemporaryDirectory() as folder:
        (Path(folder) / "pilot.cir").write_text(netlist, encoding="ascii")
        subprocess.run([ngspice, "-b", "pilot.cir"], cwd=folder, check=True, capture_output=True, timeout=60)
        table = np.loadtxt(Path(folder) / "pilot.txt")
    return table[:, 0] - period, table[:, 1]


def edges_in(time: Numbers, voltage: Numbers) -> tuple[float, float]:
    """Return rise and fall between 10 % and 90 % of the swing, straight from the transient. [s]"""
    on = 0.4 / FREQUENCY
    low, high = float(voltage[-1]), float(np.interp(on, time, voltage))
    rising, falling = time < on, time >= on
    up = np.interp([0.1, 0.9], (voltage[rising] - low) / (high - low), time[rising])
    down = np.interp([0.1, 0.9], (high - voltage[falling]) / (high - low), time[falling])
    return float(up[1] - up[0]), float(down[1] - down[0])


@pytest.mark.independent("ngspice, transient analysis with its own diode model")
@pytest.mark.parametrize(("letter", "nanofarads"), EDGE_LOADS)
def test_edges_read_as_ngspice_has_them(
    ngspice: str, letter: str, nanofarads: float, measured: Callable[[str, float, str, str], None]
) -> None:
    """At 10 MS/s clean ones within the transient's step; with noise and 8 bits within U, a tenth at most."""
    time, voltage = edge_transient(ngspice, letter, nanofarads)
    true = edges_in(time, voltage)
    samples = np.arange(round(40.0 / FREQUENCY / 1e-7)) * 1e-7
    clean = np.interp((samples + 0.31 / FREQUENCY) % (1.0 / FREQUENCY), time, voltage)
    noisy = clean + np.random.default_rng(1).normal(0.0, NOISE, clean.size)
    accuracy = ScopeAccuracy(bandwidth=100e6)
    for name, shown, step in (("clean", clean, None), ("8 bits", np.round(noisy / STEP) * STEP, STEP)):
        given = Waveform(voltage=shown, sample_interval=1e-7, resolution=step)
        (run,) = read_pilot(given, book=load_book(), edition=Edition.IEC_3, accuracy=accuracy).runs
        for edge, read, expected in (("rise", run.rise_s, true[0]), ("fall", run.fall_s, true[1])):
            assert read is not None
            assert read.expanded is not None
            measured(
                f"{edge} against ngspice, {name}: {letter}, {nanofarads} nF",
                1e9 * abs(read.value - expected),
                "ns",
                "≤ 20 clean",
            )
            if name == "clean":
                assert read.value == pytest.approx(expected, abs=EDGE_STEP)
            else:
                assert read.expanded < 0.1 * expected
            assert read.value == pytest.approx(expected, abs=2.0 * read.expanded)


@pytest.mark.published(
    "numerical solution of the circuit: 300 and 3100 pF in a public note (secondary text, address not recorded), "
    "5500 pF from memory; printed to 0.01 µs"
)
@pytest.mark.parametrize(("letter", "nanofarads"), EDGE_LOADS)
def test_ngspice_agrees_with_the_published_edges(ngspice: str, letter: str, nanofarads: float) -> None:
    """The two references agree, diode for diode: 9.2, 6.5 and 12 µs at the largest load."""
    published = PUBLISHED_EDGES[letter, nanofarads]
    for edge, expected in zip(edges_in(*edge_transient(ngspice, letter, nanofarads)), published, strict=True):
        assert edge * 1e6 == pytest.approx(expected, abs=PUBLISHED_WITHIN)
