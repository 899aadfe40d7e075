"""Whether 95 % intervals cover: against the simulator's bench, and against the circuit solved by hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import stats

from coldpin.pilot import ScopeAccuracy, read_pilot
from coldpin.quantity import COVERAGE, Quantity
from coldpin.records.waveform import Waveform
from coldpin.simulator import VirtualScope, VirtualUnit, draw_unit, draw_vehicle, set_up_bench, simulate_capture
from coldpin.standards import Edition, load_book, parse_accuracy

from .rc_circuit import LOADS, Stage, Unit, rest, sample_times, true_duty, waveform

Note = Callable[[str, float, str, str], None]
SURE = 0.998
"""A right program fails one of these bands once in 500 runs of another seed; the seeds here are fixed."""


def covers(quantity: Quantity | None, truth: float | None) -> bool:
    """Whether a 95 % interval holds the truth."""
    assert quantity is not None
    assert quantity.low is not None
    assert quantity.high is not None
    assert truth is not None
    return quantity.low <= truth <= quantity.high


def fewest(trials: int) -> int:
    """The lower edge of the exact binomial band of the number of intervals that cover."""
    return int(stats.binom.ppf(0.5 * (1.0 - SURE), trials, COVERAGE))


def most(trials: int) -> int:
    """The upper edge."""
    return int(stats.binom.ppf(0.5 * (1.0 + SURE), trials, COVERAGE))


@pytest.mark.independent("simulator: component-level time stepping, bench errors drawn from the stated limits")
def test_intervals_cover_on_simulated_captures(proving: bool, measured: Note) -> None:
    """On a new bench each time, intervals of levels, duty and frequency cover at least as often as said.

    Where a rounding or an edge between two samples rules, an interval may cover more often; never less. When proving,
    units and vehicles are drawn anew each time as well; else there are 30: their true duty cycle takes long to step.
    """
    trials = 2000 if proving else 300
    specimens = trials if proving else 30
    scope = VirtualScope(noise=0.05, gain_limit=0.02, offset_limit=0.05, timebase_limit=50e-6)
    stated = ScopeAccuracy(vertical=parse_accuracy("2 % of reading + 0.05 V"), timebase=parse_accuracy("50 ppm"))
    hits = {"high level": 0, "low level": 0, "duty cycle": 0, "frequency": 0}
    for seed in range(trials):
        rng = np.random.default_rng(seed % specimens)
        unit = draw_unit(
            rng, unit=VirtualUnit(duty=float(rng.uniform(8.0, 92.0)), capacitance=rng.uniform(3e-10, 3e-9))
        )
        letter = "BCD"[seed % 3]
        captured = simulate_capture(
            unit,
            draw_vehicle(rng),
            [(0.02, letter)],
            set_up_bench(scope, seed=seed),
            seed=seed,
            sample_interval=(5e-7, 1e-6, 2e-6)[seed // specimens % 3],
        )
        (truth,) = captured.truth.runs
        (run,) = read_pilot(captured.waveform, book=load_book(), edition=Edition.IEC_3, accuracy=stated).runs
        assert run.state.value == truth.state
        hits["high level"] += covers(run.high_v, truth.high)
        hits["low level"] += covers(run.low_v, truth.low)
        hits["duty cycle"] += covers(run.duty_percent, truth.duty)
        hits["frequency"] += covers(run.frequency_hz, truth.frequency)
    for name, count in hits.items():
        measured(
            f"95 % intervals that cover: {name}", 100.0 * count / trials, "%", f"≥ {100 * fewest(trials) / trials:.2f}"
        )

    assert min(hits.values()) >= fewest(trials), hits


@pytest.mark.independent("circuit solved by hand, white noise only")
def test_intervals_of_scatter_cover_as_often_as_said(proving: bool, measured: Note) -> None:
    """Where independent noise is all there is, levels cover neither less nor more often than 95 %."""
    trials = 2000 if proving else 300
    rng = np.random.default_rng(99)
    hits = {"high": 0, "low": 0, "duty": 0}
    unit, duty = Unit(frequency=1003.7, capacitance=1e-9), 40.0
    times = sample_times(15_000, 1e-6)
    true = {
        "high": rest(unit.high, LOADS["B"], unit),
        "low": unit.low,
        "duty": true_duty(duty, LOADS["B"], unit),
    }
    for _ in range(trials):
        clean = waveform([Stage(duration=0.016, load=LOADS["B"], duty=duty)], unit, times, phase=float(rng.random()))
        given = Waveform(voltage=clean + rng.normal(0.0, 0.1, times.size), sample_interval=1e-6)
        (run,) = read_pilot(given, book=load_book(), edition=Edition.IEC_3).runs
        hits["high"] += covers(run.high_v, true["high"])
        hits["low"] += covers(run.low_v, true["low"])
        hits["duty"] += covers(run.duty_percent, true["duty"])
    for name, count in hits.items():
        measured(f"95 % intervals of scatter that cover: {name}", 100.0 * count / trials, "%", "95")

    assert fewest(trials) <= hits["high"] <= most(trials)
    assert fewest(trials) <= hits["low"] <= most(trials)
    # edges at 1 MS/s: what is left of placing them is bounded, not drawn
    assert fewest(trials) <= hits["duty"]


@pytest.mark.independent("circuit solved by hand, every kind of capture")
def test_intervals_cover_whatever_the_capture(proving: bool, measured: Note) -> None:
    """From 48 kS/s to 10 MS/s, with and without steps, noise and diode, 5 ms or 0.1 s long, intervals cover."""
    trials = 2000 if proving else 120
    rng = np.random.default_rng(123)
    hits = {"high": 0, "low": 0, "duty": 0}
    for _ in range(trials):
        interval = float(rng.choice([1e-7, 5e-7, 1e-6, 2e-6, 1.0 / 192000.0, 1.0 / 48000.0]))
        duration = 0.01 if interval < 2e-7 else float(rng.choice([0.005, 0.02, 0.1]))
        step = float(rng.choice([0.0, 40.0 / 4096.0, 40.0 / 256.0]))
        noise = float(rng.choice([0.005, 0.02, 0.05, 0.1]))
        unit = Unit(
            high=float(rng.uniform(11.5, 12.5)),
            low=-float(rng.uniform(11.5, 12.5)),
            capacitance=float(rng.uniform(3e-10, 3.1e-9)),
            frequency=1000.0 if rng.random() < 0.3 else float(rng.uniform(995.0, 1005.0)),
        )
        letter, duty = str(rng.choice(list("ABCD"))), float(rng.uniform(6.0, 94.0))
        times = sample_times(round(duration / interval), interval * (1.0 + float(rng.uniform(-5e-5, 5e-5))))
        clean = waveform([Stage(duration=1.01 * duration, load=LOADS[letter], duty=duty)], unit, times, rng.random())
        voltage = clean + rng.normal(0.0, noise, times.size)
        if step:
            voltage = np.round(voltage / step) * step
        given = Waveform(voltage=voltage, sample_interval=interval, resolution=step or None)
        (run,) = read_pilot(given, book=load_book(), edition=Edition.IEC_3).runs
        assert run.state.value == f"{letter}2"
        hits["high"] += covers(run.high_v, rest(unit.high, LOADS[letter], unit))
        hits["low"] += covers(run.low_v, rest(unit.low, LOADS[letter], unit))
        hits["duty"] += covers(run.duty_percent, true_duty(duty, LOADS[letter], unit))
    for name, count in hits.items():
        measured(f"95 % intervals that cover, every kind of capture: {name}", 100.0 * count / trials, "%", "≥ 95")

    assert min(hits.values()) >= fewest(trials), hits
