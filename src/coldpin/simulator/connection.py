"""Unit, vehicle and probe put together: the circuit at the pilot, and what the unit senses on its own end of it."""

from __future__ import annotations

import math
from functools import lru_cache

from coldpin.simulator.circuit import Network
from coldpin.simulator.load import read_load
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle


def network(unit: VirtualUnit, vehicle: VirtualVehicle, load: str, *, probe: tuple[float, float, float]) -> Network:
    """Put unit, vehicle and probe together for one load.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    load : str
        What is connected, as a schedule says it.
    probe : tuple of float
        Resistance [Ω] and capacitance [F] of the probe and time constant of the scope's input [s].

    Returns
    -------
    Network
        The parts as seen from the connector's pilot pin.
    """
    probe_resistance, probe_capacitance, lag = probe
    step = read_load(load)
    reached = step.letter != "A" and (step.earth or unit.pilot_return != "earth")
    broken = unit.pilot == "open"
    shunt = 1.0 / probe_resistance
    if unit.pilot == "shorted":
        shunt += 1.0 / unit.short_resistance
    if step.letter == "E" and reached and not step.behind_diode:
        shunt += 1.0 / (step.resistance or vehicle.short)
    # What is left beyond a break is a stretch of cable: a tenth of the whole keeps the node a node.
    own = 0.1 * unit.capacitance if broken else unit.capacitance
    return Network(
        source_resistance=math.inf if broken else unit.source_resistance,
        capacitance=own + probe_capacitance + (vehicle.capacitance if reached else 0.0),
        shunt=shunt,
        load=vehicle.resistance(load) if reached else math.inf,
        diode=(step.diode or vehicle.diode) == "present",
        diode_saturation=vehicle.diode_saturation,
        diode_emission=vehicle.diode_emission,
        scope_lag=lag,
    )


@lru_cache(maxsize=1024)
def high_part(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> float:
    """Return the high level that the unit sees at its own end, as a part of its rail.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    load : str
        What is connected.

    Returns
    -------
    float
        The part; 1 where the pilot is broken, as the unit then sees its own rail. [1]
    """
    if unit.pilot == "open":
        return 1.0
    return _seen_by_unit(unit, vehicle, load).settled(unit.rail_high) / unit.rail_high


@lru_cache(maxsize=1024)
def diode_seen(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> bool:
    """Say whether the low level goes as far down as it does behind a diode, by the unit's own window.

    Parameters
    ----------
    unit : VirtualUnit
        The unit, which oscillates.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    load : str
        What is connected.

    Returns
    -------
    bool
        True where it does.
    """
    if unit.pilot == "open":
        return True
    low = _seen_by_unit(unit, vehicle, load).settled(unit.rail_low)
    return low < unit.controller.windows.low_reached * unit.rail_low


def sensed_state(unit: VirtualUnit, vehicle: VirtualVehicle, load: str, before: str = "") -> str:
    """Return the state a unit takes a load for, by its own windows on the high level.

    Parameters
    ----------
    unit : VirtualUnit
        The unit, which looks at its own end of the pilot.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    load : str
        What is connected.
    before : str
        What the unit took the pilot for until now; empty for nothing yet.

    Returns
    -------
    str
        A letter from A to E.

    Examples
    --------
    >>> [sensed_state(VirtualUnit(), VirtualVehicle(), load) for load in "ABCDE"]
    ['A', 'B', 'C', 'D', 'E']
    >>> sensed_state(VirtualUnit(), VirtualVehicle(diode="open"), "C")
    'A'
    >>> sensed_state(VirtualUnit(), VirtualVehicle(), "C, PE open")
    'A'
    """
    return unit.controller.windows.sense(high_part(unit, vehicle, load), before)


def _seen_by_unit(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> Network:
    return network(unit, vehicle, load, probe=(math.inf, 0.0, 0.0))
