"""The circuit forward: levels and edges against published figures, the hand-made solution and ngspice."""

from __future__ import annotations

import math
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.pilot.circuit import (
    REFERENCE_CURRENT,
    diode_drop,
    dissipation,
    drop_in_circuit,
    edges,
    level,
    parallel,
    shorted_level,
)
from coldpin.standards import load_book
from coldpin.standards.parts import diode_behaviour
from coldpin.standards.vehicle import vehicle_parts
from tests.pilot import rc_circuit

LOADS = {"B": 2740.0, "C": parallel(2740.0, 1300.0), "D": parallel(2740.0, 270.0)}
SOURCE = {"source_resistance": 1000.0, "drop": 0.7}
RAILS = {"high_rail": 12.0, "low_rail": -12.0, "period": 1e-3}
POLISH = (
    "public note in Polish restating IEC 61851-1:2010 Annex A (secondary text, address not recorded), standing: read"
)
NOTE = "own notes of the project's start, standing: memory"

PUBLISHED_STEP = 0.01
"""The published edges are from a numerical solution, printed to 0.01 µs; that is taken as its step. [µs] A first-order
solution errs by half a step for each of some 2.2 time constants, a crossing on its grid by up to one more, and the
print by half a digit."""
PUBLISHED_WITHIN = PUBLISHED_STEP * (0.5 * math.log(9.0) + 1.0 + 0.5)

EDGES = [
    pytest.param(300.0, "B", 0.49, 0.64, -0.005, marks=pytest.mark.published(POLISH)),
    pytest.param(300.0, "C", 0.34, 0.64, -0.01, marks=pytest.mark.published(POLISH)),
    pytest.param(300.0, "D", 0.23, 0.64, -0.015, marks=pytest.mark.published(POLISH)),
    pytest.param(3100.0, "B", 5.16, 6.73, -0.053, marks=pytest.mark.published(POLISH)),
    pytest.param(3100.0, "C", 3.65, 6.71, -0.105, marks=pytest.mark.published(POLISH)),
    pytest.param(3100.0, "D", 2.38, 6.79, -0.158, marks=pytest.mark.published(POLISH)),
    pytest.param(5500.0, "B", 9.16, 11.94, -0.093, marks=pytest.mark.published(NOTE)),
    pytest.param(5500.0, "C", 6.49, 11.93, -0.186, marks=pytest.mark.published(NOTE)),
    pytest.param(5500.0, "D", 4.22, 12.05, -0.281, marks=pytest.mark.published(NOTE)),
]


@pytest.mark.parametrize(("picofarads", "state", "rise", "fall", "duty_error"), EDGES)
def test_edges_are_the_published_ones(
    picofarads: float, state: str, rise: float, fall: float, duty_error: float
) -> None:
    """Rise, fall and duty error at the published loads agree within the published solution's own step."""
    told = edges(**RAILS, **SOURCE, capacitance=1e-12 * picofarads, behind=LOADS[state])

    assert 1e6 * told.rise == pytest.approx(rise, abs=PUBLISHED_WITHIN)
    assert 1e6 * told.fall == pytest.approx(fall, abs=PUBLISHED_WITHIN)
    # one step of 0.01 µs is 0.001 points of a period of 1 ms; half a digit of the print comes on top
    assert told.duty_error == pytest.approx(duty_error, abs=0.0015)


@pytest.mark.published("edge limits 10 / 7 / 13 µs of IEC 61851-1:2017 Table A.2 (standing: read); D 5 µs (memory)")
@pytest.mark.parametrize(("state", "longest_rise"), [("B", 10.0), ("C", 7.0), ("D", 5.0)])
def test_the_largest_capacitance_just_keeps_the_published_limits(state: str, longest_rise: float) -> None:
    """3100 pF and 2400 pF through nominal resistors give edges inside the limits, and not far inside."""
    told = edges(**RAILS, **SOURCE, capacitance=5.5e-9, behind=LOADS[state])

    assert 0.8 * longest_rise < 1e6 * told.rise < longest_rise
    assert 0.8 * 13.0 < 1e6 * told.fall < 13.0


@pytest.mark.hand("(12 − 0.7) · 2740 / 3740 + 0.7 = 8.979; 5.995 and 2.929 in the same way; the low rail is unloaded")
def test_plateaus_of_a_vehicle() -> None:
    """High and low plateau of A to D."""
    assert level(rail=12.0, behind=math.inf, **SOURCE) == 12.0
    assert [round(float(level(rail=12.0, behind=LOADS[s], **SOURCE)), 3) for s in "BCD"] == [8.979, 5.995, 2.929]
    assert [level(rail=-12.0, behind=LOADS[s], **SOURCE) for s in "BCD"] == [-12.0] * 3


@pytest.mark.hand("12 · 2740 / 3740 = 8.791; 12 · 881.7 / 1881.7 = 5.623; 12 · 245.8 / 1245.8 = 2.367")
def test_a_shorted_diode_loads_both_rails() -> None:
    """The low level is the high one turned over; a resistor across and a shorted diode are one and the same."""
    for rail, sign in ((12.0, 1.0), (-12.0, -1.0)):
        shorted = [float(shorted_level(rail=rail, source_resistance=1000.0, load=LOADS[s])) for s in "BCD"]
        across = [float(level(rail=rail, behind=math.inf, across=LOADS[s], **SOURCE)) for s in "BCD"]

        assert [round(sign * one, 3) for one in shorted] == [8.791, 5.623, 2.367]
        assert across == pytest.approx(shorted, rel=1e-12)


@pytest.mark.published(
    "0.82 V and −0.89 V with 80 Ω in state C, secondary texts on IEC 61851-1 Annex A (standing: read)"
)
def test_80_ohms_across_the_pilot_in_state_c() -> None:
    """The published high level takes the load without a diode; with one of 0.7 V it is 0.87 V. Low is −0.89 V."""
    without = shorted_level(rail=12.0, source_resistance=1000.0, load=parallel(80.0, LOADS["C"]))

    assert without == pytest.approx(load_book().limit("pilot.short.high").nominal, abs=0.005)
    assert level(rail=12.0, behind=LOADS["C"], across=80.0, **SOURCE) == pytest.approx(0.874, abs=5e-4)
    low = level(rail=-12.0, behind=LOADS["C"], across=80.0, **SOURCE)
    assert low == pytest.approx(load_book().limit("pilot.short.low").nominal, abs=0.005)


@pytest.mark.published("a short behind the diode leaves +0.7 V and −12 V, a secondary text (standing: read)")
def test_a_short_behind_the_diode_leaves_the_low_rail() -> None:
    """High is the drop of the diode, low the rail."""
    assert level(rail=12.0, behind=0.0, **SOURCE) == pytest.approx(0.7)
    assert level(rail=-12.0, behind=0.0, **SOURCE) == -12.0


@pytest.mark.published("13 mA and 0.164 W in R1 at 12.6 V and 970 Ω, secondary text (standing: read)")
def test_current_and_heat_of_a_dead_short() -> None:
    """All of the power of a shorted pilot is in R1: its load is R1, its source nothing."""
    heat = dissipation(rail=12.6, source_resistance=0.0, load=970.0, drop=0.0)
    current = 1e3 * 12.6 / 970.0

    assert current == pytest.approx(load_book().limit("pilot.short.current").nominal, abs=0.05)
    assert heat == pytest.approx(0.164, abs=5e-4)


def test_numbers_and_arrays_give_the_same() -> None:
    """A formula of arrays is the formula of each of their members."""
    loads = np.array([*LOADS.values(), math.inf, 0.0])
    ones = np.ones(loads.size)
    together = edges(
        high_rail=12.0 * ones,
        low_rail=-12.0 * ones,
        source_resistance=1000.0 * ones,
        capacitance=2e-9 * ones,
        behind=loads,
        drop=0.7 * ones,
        period=1e-3,
    )
    for place, load in enumerate(loads.tolist()):
        alone = edges(**RAILS, **SOURCE, capacitance=2e-9, behind=load)
        for name in ("rise", "fall", "up", "down", "free_lag", "loaded_lag", "duty_error"):
            assert getattr(together, name)[place] == pytest.approx(getattr(alone, name), rel=1e-12, abs=1e-18)


def numerical_edges(load: rc_circuit.Load, unit: rc_circuit.Unit) -> tuple[float, float, float]:
    """Return rise, fall [s] and duty error [%] by searching the hand-made solution at 1 ns."""
    time = np.arange(0.0, 200e-6, 1e-9)
    times = []
    for start, source in ((unit.low, unit.high), (unit.high, unit.low)):
        begin, end = rc_circuit.rest(start, load, unit), rc_circuit.rest(source, load, unit)
        made = (rc_circuit.relax(begin, source, load, unit, time) - begin) / (end - begin)
        times.append(float(time[np.searchsorted(made, 0.9)] - time[np.searchsorted(made, 0.1)]))
    return times[0], times[1], rc_circuit.true_duty(50.0, load, unit) - 50.0


@pytest.mark.independent("the circuit solved by hand in tests/pilot/rc_circuit.py, searched at 1 ns")
@pytest.mark.parametrize(
    ("load", "behind", "across"),
    [
        (rc_circuit.NOTHING, math.inf, math.inf),
        (rc_circuit.B, LOADS["B"], math.inf),
        (rc_circuit.C, LOADS["C"], math.inf),
        (rc_circuit.D, LOADS["D"], math.inf),
        (rc_circuit.without_diode(rc_circuit.C), math.inf, LOADS["C"]),
        (rc_circuit.SHORT, math.inf, 80.0),
        (rc_circuit.BEHIND_DIODE, 1.0, math.inf),
    ],
)
def test_edges_are_those_of_the_stepwise_solution(load: rc_circuit.Load, behind: float, across: float) -> None:
    """Within the 2 ns that the search leaves, for every load of the trade."""
    unit = rc_circuit.Unit(high=11.7, low=-12.2, resistance=985.0, capacitance=2.3e-9)
    rise, fall, duty_error = numerical_edges(load, unit)
    told = edges(
        high_rail=unit.high,
        low_rail=unit.low,
        source_resistance=unit.resistance,
        capacitance=unit.capacitance,
        behind=behind,
        drop=0.7,
        across=across,
        period=1e-3,
    )

    assert told.rise == pytest.approx(rise, abs=2e-9)
    assert told.fall == pytest.approx(fall, abs=2e-9)
    assert told.duty_error == pytest.approx(duty_error, abs=1e-7)


SPICE_STEP = 2e-8
"""Longest step that ngspice is allowed. [s]"""


def run_spice(ngspice: str, folder: Path, lines: list[str], wanted: str) -> NDArray[np.float64]:
    """Run a circuit and return the table of what was wanted, the sweep in the first column."""
    control = [".control", "set wr_singlescale", "run", f"wrdata table.txt {wanted}", "quit 0", ".endc", ".end", ""]
    (folder / "circuit.cir").write_text("\n".join(["pilot", *lines, *control]), encoding="ascii")
    subprocess.run([ngspice, "-b", "circuit.cir"], cwd=folder, check=True, capture_output=True, timeout=60)
    return np.loadtxt(folder / "table.txt", ndmin=2)


def crossing(time: NDArray[np.float64], voltage: NDArray[np.float64], wanted: float) -> float:
    """Return when a rising or falling stretch passes a voltage, between its points. [s]"""
    rising = voltage[-1] > voltage[0]
    return float(np.interp(wanted, voltage if rising else voltage[::-1], time if rising else time[::-1]))


@pytest.mark.independent("ngspice, transient analysis; the diode as a current that starts at 0.7 V")
@pytest.mark.parametrize("picofarads", [300.0, 3100.0, 5500.0])
@pytest.mark.parametrize("state", ["B", "C", "D"])
def test_edges_against_ngspice(
    ngspice: str,
    tmp_path: Path,
    state: str,
    picofarads: float,
    measured: Callable[[str, float, str, str], None],
) -> None:
    """Rise, fall and duty error at the published loads agree within the simulation's own step."""
    lines = [
        "V1 src 0 PULSE(-12 12 100u 0.1n 0.1n 500u 1000u)",
        "R1 src cp 1000",
        f"C1 cp 0 {picofarads}p",
        f"B1 cp 0 I=max(v(cp)-0.7,0)/{LOADS[state]!r}",
        f".tran {SPICE_STEP!r} 700u 0 {SPICE_STEP!r}",
    ]
    time, voltage = run_spice(ngspice, tmp_path, lines, "v(cp)").T
    low, high = voltage[time < 100e-6][-1], voltage[time < 600e-6][-1]
    seen = {}
    for name, begin in (("up", 100e-6), ("down", 600e-6)):
        part = (time >= begin) & (time < begin + 95e-6)
        swing = [low + share * (high - low) for share in (0.1, 0.9)] + [0.0]
        seen[name] = [crossing(time[part] - begin, voltage[part], wanted) for wanted in swing]
    told = edges(**RAILS, **SOURCE, capacitance=1e-12 * picofarads, behind=LOADS[state])
    gaps = {
        "rise": told.rise - (seen["up"][1] - seen["up"][0]),
        "fall": told.fall - (seen["down"][0] - seen["down"][1]),
        "duty": told.duty_error * 1e-5 - (seen["down"][2] - seen["up"][2]),
    }
    what = f"{state}, {picofarads:g} pF"
    for name, gap in gaps.items():
        measured(f"{name} against ngspice: {what}", 1e9 * abs(gap), "ns", f"≤ {1e9 * SPICE_STEP:g}")

    assert {name: round(gap, 12) for name, gap in gaps.items() if abs(gap) > SPICE_STEP} == {}


@pytest.mark.independent("ngspice, operating point with its own diode model at 25 °C")
def test_the_drop_settles_as_in_ngspice(ngspice: str, tmp_path: Path) -> None:
    """The diode of the formula and that of the simulator take the same drop in B, C and D, at 25 °C within 1 mV."""
    behaviour = diode_behaviour(load_book())
    scale = behaviour.emission * behaviour.thermal_voltage
    saturation = REFERENCE_CURRENT / math.expm1(0.7 / scale)
    for place, load in enumerate(LOADS.values()):
        lines = [
            "V1 src 0 12",
            "R1 src cp 1000",
            "D1 cp n pilot",
            f"R2 n 0 {load!r}",
            f".model pilot D(IS={saturation!r} N={behaviour.emission!r})",
            ".options temp=25 tnom=25",
            ".dc V1 12 12.1 0.1",
        ]
        folder = tmp_path / str(place)
        folder.mkdir()
        drop = float(run_spice(ngspice, folder, lines, "v(cp)-v(n)")[0, 1])
        told = drop_in_circuit(
            rail=12.0, source_resistance=1000.0, behind=load, temperature=25.0, nominal=0.7, behaviour=behaviour
        )

        assert told == pytest.approx(drop, abs=1e-3)


@pytest.mark.hand("1.8 · 25.69 mV · ln(9.2 mA / 3.0 mA) = 52 mV; −2 mV/K from −20 °C to +60 °C makes 160 mV")
def test_the_published_span_of_the_drop_covers_a_day_outdoors() -> None:
    """From state B in frost to state D in heat the drop of a silicon diode stays in 0.55 V to 0.85 V."""
    span, behaviour = vehicle_parts(load_book()).drop, diode_behaviour(load_book())
    drops = [
        float(diode_drop(current=current, temperature=temperature, nominal=0.7, behaviour=behaviour))
        for current in (0.003, 0.0092)
        for temperature in (-20.0, 60.0)
    ]

    assert span.minimum is not None
    assert span.maximum is not None
    assert span.minimum < min(drops)
    assert max(drops) < span.maximum
    assert max(drops) - min(drops) == pytest.approx(0.052 + 0.160, abs=5e-4)
