"""Levels and duty cycles of virtual units against tolerance corners and readings found elsewhere."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from coldpin.simulator import VirtualScope, VirtualUnit, VirtualVehicle
from coldpin.simulator.connection import network
from coldpin.simulator.fault import fault
from coldpin.simulator.truth import true_duty

SCOPE = VirtualScope()
CORNERS_MEMORY = (
    "tolerance corners from rails ±5 %, resistors ±3 %, diode 0.55 V to 0.85 V (inputs from IEC 61851-1:2010 "
    "Tables A.1, A.2 as restated in public texts; R3's tolerance from memory), worked out with a fixed diode drop"
)
PRINTED = 0.005
DROP = (0.55, 0.85)


def level(unit: VirtualUnit, vehicle: VirtualVehicle, load: str, *, high: bool) -> float:
    return network(unit, vehicle, load, probe=SCOPE.probe).settled(unit.rail_high if high else unit.rail_low)


def corners() -> list[tuple[VirtualUnit, VirtualVehicle]]:
    made = []
    for rail, source, load in itertools.product((0.95, 1.0, 1.05), (0.97, 1.0, 1.03), (0.97, 1.0, 1.03)):
        unit = VirtualUnit(rail_high=12.0 * rail, rail_low=-12.0 * rail, source_resistance=1000.0 * source)
        made.append((unit, VirtualVehicle(r2=2740.0 * load, r3_c=1300.0 * load, r3_d=270.0 * load)))
    return made


@pytest.mark.independent(CORNERS_MEMORY)
@pytest.mark.parametrize(
    ("load", "nominal", "lowest", "highest"),
    [("B", 8.98, 8.37, 9.59), ("C", 6.00, 5.47, 6.53), ("D", 2.93, 2.59, 3.28)],
)
def test_high_levels_fill_the_tolerance_corners(load: str, nominal: float, lowest: float, highest: float) -> None:
    """Every corner lies inside, the nominal unit in the middle, and the outermost ones as near as the diode allows."""
    levels = [level(unit, vehicle, load, high=True) for unit, vehicle in corners()]
    share = 1000.0 / (1000.0 + VirtualVehicle().resistance(load))
    # A junction's drop moves with current; ours lies somewhere in the span the corners allow.
    diode_room = (DROP[1] - DROP[0]) * share

    assert lowest - PRINTED <= min(levels) <= lowest + diode_room
    assert highest - diode_room <= max(levels) <= highest + PRINTED
    assert level(VirtualUnit(), VirtualVehicle(), load, high=True) == pytest.approx(nominal, abs=0.15 * share)


@pytest.mark.independent(CORNERS_MEMORY)
@pytest.mark.parametrize(
    ("load", "nominal", "lowest", "highest"),
    [("B", -8.79, -9.38, -8.22), ("C", -5.62, -6.09, -5.17), ("D", -2.37, -2.61, -2.14)],
)
def test_low_levels_without_a_diode(load: str, nominal: float, lowest: float, highest: float) -> None:
    """With the diode shorted or absent the low level is a divider, corner for corner; both faults are one waveform."""
    for diode in ("vehicle diode shorted", "vehicle diode absent"):
        broken = [(unit, fault(diode).vehicle(vehicle)) for unit, vehicle in corners()]
        levels = [level(unit, vehicle, load, high=False) for unit, vehicle in broken]

        assert min(levels) == pytest.approx(lowest, abs=PRINTED)
        assert max(levels) == pytest.approx(highest, abs=PRINTED)
        nominal_vehicle = fault(diode).vehicle(VirtualVehicle())
        assert level(VirtualUnit(), nominal_vehicle, load, high=False) == pytest.approx(nominal, abs=PRINTED)


@pytest.mark.published("a public implementation: 80 Ω from pilot to earth leaves -0.89 V of -12 V")
def test_a_short_leaves_the_low_level_read_elsewhere() -> None:
    """The short of the test box pulls the low level to the one read elsewhere."""
    assert level(VirtualUnit(), VirtualVehicle(), "E", high=False) == pytest.approx(-0.89, abs=PRINTED)


@pytest.mark.published(
    "a scope reading of an 11 kW wall unit: low level -12.3 V in B against -12.4 V in C, high 9.5 V, 6.4 V"
)
def test_the_low_level_does_not_depend_on_the_load() -> None:
    """With a diode the low level is that of the open driver, whatever hangs behind it, as on a real unit."""
    lows = [level(VirtualUnit(rail_low=-12.3), VirtualVehicle(), load, high=False) for load in "ABCD"]

    assert max(lows) - min(lows) < 1e-4
    assert lows[0] == pytest.approx(-12.3, abs=0.002)


@pytest.mark.hand(
    "source 12 V, 1 kΩ, C = 5.5 nF: crossings counted from exponentials give -0.09 points in B, -0.19 in C"
)
@pytest.mark.parametrize(("load", "shift"), [("B", -0.09), ("C", -0.19)])
def test_capacitance_shortens_the_duty_cycle_at_the_connector(load: str, shift: float) -> None:
    """The largest capacitance shortens what arrives at the connector by the amount worked out by hand."""
    unit = VirtualUnit(capacitance=3.1e-9, duty=50.0)
    vehicle = VirtualVehicle(capacitance=2.4e-9)
    duty = true_duty(unit, network(unit, vehicle, load, probe=(1.0e7, 0.0, 0.0)))

    assert duty is not None
    assert duty - 50.0 == pytest.approx(shift, abs=0.01)


@pytest.mark.hand("an unloaded pilot rises and falls alike, so its duty cycle is the one set")
def test_duty_is_the_one_set_where_nothing_is_connected() -> None:
    """In A the duty at the connector is the one set; rails that differ shift it by the ramp and the pole."""
    even = VirtualUnit(duty=53.33)
    weak = replace(even, rail_low=-10.6)

    assert true_duty(even, network(even, VirtualVehicle(), "A", probe=SCOPE.probe)) == pytest.approx(53.33, abs=1e-6)
    shifted = true_duty(weak, network(weak, VirtualVehicle(), "A", probe=SCOPE.probe))
    assert shifted is not None
    assert 0.005 < shifted - 53.33 < 0.05
