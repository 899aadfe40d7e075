"""The stepped circuit against another circuit simulator and against closed forms."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.simulator import (
    VirtualScope,
    VirtualUnit,
    VirtualVehicle,
    set_up_bench,
    simulate_capture,
)
from coldpin.simulator.circuit import Driver, Network, step_through
from coldpin.simulator.connection import network
from coldpin.simulator.load import VehicleDiode
from coldpin.simulator.truth import true_duty

from .netlist import pilot_netlist, run_ngspice

IDEAL = VirtualScope(bits=24, noise=0.0, gain_limit=0.0, offset_limit=0.0, timebase_limit=0.0)
STEP = 5.0e-8
UNLOADED = Network(
    source_resistance=1000.0,
    capacitance=2.0e-9,
    shunt=1.0e-7,
    load=math.inf,
    diode=True,
    diode_saturation=2.52e-9,
    diode_emission=1.752,
    scope_lag=0.0,
)


def chord_gap(unit: VirtualUnit, capacitance: float) -> float:
    """Return how far the chord of one step of the other program lies from the curve: step² / 8 times its bend. [V]"""
    swing = unit.rail_high - unit.rail_low
    bend = swing / unit.edge_time / (unit.source_resistance * capacitance)
    return STEP**2 / 8.0 * bend


@pytest.mark.independent("ngspice, trapezoidal integration with its own diode model")
@pytest.mark.parametrize("diode", ["present", "shorted"])
@pytest.mark.parametrize("load", ["A", "B", "C", "D", "E"])
@pytest.mark.parametrize("capacitance", [1.1e-9, 3.1e-9])
def test_waveform_is_that_of_ngspice(
    ngspice: str, tmp_path: Path, load: str, diode: VehicleDiode, capacitance: float
) -> None:
    """Pilot and scope input follow the other program's within the chord of its step; duty to a ten-thousandth point."""
    unit, vehicle = VirtualUnit(capacitance=capacitance), VirtualVehicle(diode=diode)
    other = run_ngspice(ngspice, pilot_netlist(unit, vehicle, IDEAL, load, step=STEP), tmp_path)
    parts = network(unit, vehicle, load, probe=IDEAL.probe)
    period = 1.0 / unit.frequency
    high_for = period * unit.duty / 100.0
    rest = parts.settled(unit.rail_low)
    up, down = (Driver(start=s * 12.0, end=-s * 12.0, edge_time=unit.edge_time) for s in (-1.0, 1.0))
    rise = step_through(parts, up, voltage=rest, seen=rest)
    top, top_seen = rise.at(high_for)
    fall = step_through(parts, down, voltage=top, seen=top_seen)
    second = (other.time > period) & (other.time < 2.0 * period)
    time, pilot = other.time[second] - period, other.pilot[second]

    def ours(up: NDArray[np.float64], down: NDArray[np.float64]) -> NDArray[np.float64]:
        later = np.interp(time - high_for, fall.elapsed, down)
        return np.asarray(np.where(time < high_for, np.interp(time, rise.elapsed, up), later), dtype=np.float64)

    gap = chord_gap(unit, parts.capacitance)
    assert np.abs(ours(rise.voltage, fall.voltage) - pilot).max() < gap
    assert np.abs(ours(rise.seen, fall.seen) - other.seen[second]).max() < 2.0 * gap
    at = np.flatnonzero((pilot[1:] > 0.0) != (pilot[:-1] > 0.0))
    crossings = time[at] - pilot[at] * (time[at + 1] - time[at]) / (pilot[at + 1] - pilot[at])
    assert true_duty(unit, parts) == pytest.approx(100.0 * (crossings[1] - crossings[0]) / period, abs=1e-4)


@pytest.mark.independent("ngspice with junction capacitance and stored charge, which the simulator leaves out")
@pytest.mark.parametrize("load", ["B", "C"])
def test_what_is_left_out_of_the_diode_does_not_matter(ngspice: str, tmp_path: Path, load: str) -> None:
    """A small fast diode's 4 pF and 20 ns move levels by less than 1 mV and duty by less than 0.01 points."""
    unit, vehicle = VirtualUnit(), VirtualVehicle()
    netlist = pilot_netlist(unit, vehicle, IDEAL, load, step=STEP, diode="CJO=4p TT=20n RS=0.568")
    other = run_ngspice(ngspice, netlist, tmp_path)
    parts = network(unit, vehicle, load, probe=IDEAL.probe)
    period = 1.0 / unit.frequency
    second = (other.time > period) & (other.time < 2.0 * period)
    time, pilot = other.time[second] - period, other.pilot[second]

    assert np.interp(2.0e-4, time, pilot) == pytest.approx(parts.settled(unit.rail_high), abs=5e-3)
    assert np.interp(8.0e-4, time, pilot) == pytest.approx(parts.settled(unit.rail_low), abs=1e-3)
    at = np.flatnonzero((pilot[1:] > 0.0) != (pilot[:-1] > 0.0))
    assert true_duty(unit, parts) == pytest.approx(100.0 * (time[at[1]] - time[at[0]]) / period, abs=0.01)


@pytest.mark.independent("ngspice, sampled at the same instants")
def test_a_perfect_scope_samples_the_waveform_of_ngspice(
    ngspice: str, tmp_path: Path, measured: Callable[[str, float, str, str], None]
) -> None:
    """Whole captures, not only trajectories, agree: the sample after each rise lies where the phase puts it."""
    unit, vehicle = VirtualUnit(duty=5.0), VirtualVehicle()
    capture = simulate_capture(unit, vehicle, [(0.02, "C")], set_up_bench(IDEAL, seed=1), seed=4)
    other = run_ngspice(ngspice, pilot_netlist(unit, vehicle, IDEAL, "C", step=STEP), tmp_path)
    voltage = capture.waveform.voltage
    first = int(np.flatnonzero((voltage[1:] > 0.0) & (voltage[:-1] <= 0.0))[3])
    window = voltage[first - 100 : first + 800]
    # The phase is random: find it by the slope at the crossing, then hold 900 samples against the other program.
    second = other.time > 1.0e-3
    time, seen = other.time[second] - 1.0e-3, other.seen[second]
    crossing = float(np.interp(0.0, seen[(time < 8e-6)], time[time < 8e-6]))
    begin = float(np.interp(window[100], seen[time < 8e-6], time[time < 8e-6]))
    instants = 1.0e-3 + begin + 1.0e-6 * np.arange(-100, 800)

    furthest = float(np.abs(window - np.interp(instants, other.time, other.seen)).max())
    measured("virtual capture against ngspice, 900 samples with an edge, largest difference", furthest, "V", "< 0.02")
    assert crossing > begin
    assert furthest < 0.02


@pytest.mark.hand("one pole: 63.2 % after one time constant, 10-90 % in ln 9 time constants")
def test_an_unloaded_pilot_rises_as_one_pole() -> None:
    """A step through 1 kΩ into 2 nF follows 1 - exp(-t/τ)."""
    quick = Driver(start=-12.0, end=12.0, edge_time=1e-13)
    path = step_through(replace(UNLOADED, shunt=0.0), quick, voltage=-12.0, seen=-12.0)
    tau = 2.0e-6

    assert path.at(tau)[0] == pytest.approx(-12.0 + 24.0 * (1.0 - math.exp(-1.0)), abs=2e-4)
    ten, ninety = (float(np.interp(level, path.voltage, path.elapsed)) for level in (-9.6, 9.6))
    assert ninety - ten == pytest.approx(tau * math.log(9.0), rel=1e-4)


@pytest.mark.hand("a ramp through one pole lags by slope times the time constant")
def test_the_scope_lags_a_ramp_by_its_time_constant() -> None:
    """Behind a slow scope the ramp of the driver arrives one time constant late."""
    slow = replace(UNLOADED, capacitance=1.0e-14, shunt=0.0, scope_lag=1.0e-5)
    path = step_through(slow, Driver(start=0.0, end=10.0, edge_time=1.0e-3), voltage=0.0, seen=0.0)

    assert path.at(6.0e-4)[1] == pytest.approx(6.0 - 10.0 / 1.0e-3 * 1.0e-5, abs=1e-3)


@pytest.mark.hand("12 V through 1 kΩ into 10 MΩ; -12 V x 881.7 / 1881.7")
def test_levels_at_rest_without_a_junction() -> None:
    """Where no junction conducts, the level at rest is a divider."""
    unit, shorted = VirtualUnit(), VirtualVehicle(diode="shorted")

    assert UNLOADED.settled(12.0) == pytest.approx(12.0 / 1.0001, abs=1e-9)
    low = network(unit, shorted, "C", probe=(math.inf, 0.0, 0.0)).settled(-12.0)
    assert low == pytest.approx(-12.0 * 881.683 / 1881.683, abs=1e-4)


@pytest.mark.hand("a broken pilot has no source: with no probe either, nothing fixes its voltage")
def test_a_pilot_that_hangs_on_nothing_is_refused() -> None:
    """A node without any path is an error that says what to add."""
    nothing = replace(UNLOADED, source_resistance=math.inf, shunt=0.0)

    with pytest.raises(
        OutsideRange, match="nothing connects the pilot to anything; give the scope's probe a resistance"
    ):
        step_through(nothing, Driver(start=0.0, end=0.0, edge_time=1e-6), voltage=0.0, seen=0.0)
