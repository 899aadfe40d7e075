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

from coldpin.pilot import read_pilot
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
