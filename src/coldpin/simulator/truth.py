"""What only a simulator knows: the truth behind a capture, so that a reader's intervals can be held against it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from coldpin.simulator.circuit import Driver, Network, step_through
from coldpin.simulator.controller import Condition, network
from coldpin.simulator.scope import VirtualScope
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle

_CYCLES_TO_REPEAT = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueRun:
    """A stretch in which load and oscillator stay as they are, and what is true of it.

    ``load`` is what was connected and ``state`` the word for it as it was set up, with 1 for a steady and 2 for an
    oscillating pilot; a fault does not change the word. Times are from the first sample, by a perfect
    clock [s]. ``high`` and ``low`` are the levels at which the connector's pilot comes to rest, the probe on it [V];
    ``low`` is None while the oscillator is off. ``frequency`` [Hz] and ``duty`` [%] are None where there is none;
    ``duty`` is between the zero crossings at the connector.
    """

    load: str
    state: str
    start: float
    end: float
    high: float
    low: float | None
    frequency: float | None
    duty: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureTruth:
    """What is true of a capture, before the scope.

    ``switching`` holds the instants at which the output became live (True) or dead (False), ``live_at_start`` what it
    was before [s]. ``duty_set`` is what the controller sets; the edges shift a little what arrives at the
    connector [%].
    """

    runs: tuple[TrueRun, ...]
    duty_set: float
    live_at_start: bool
    switching: tuple[tuple[float, bool], ...]


def true_duty(unit: VirtualUnit, parts: Network) -> float | None:
    """Return the duty cycle between zero crossings of the repeating waveform, or None where zero is not crossed.

    Parameters
    ----------
    unit : VirtualUnit
        The unit, whose driver oscillates.
    parts : Network
        What hangs on it.

    Returns
    -------
    float or None
        Part of the period above zero at the connector. [%]
    """
    if math.isinf(parts.source_resistance):
        return None
    period = 1.0 / unit.frequency
    length_high = period * unit.duty / 100.0
    voltage = parts.settled(unit.rail_low)
    crossings: dict[bool, float | None] = {}
    for _ in range(_CYCLES_TO_REPEAT):
        for high, length in ((True, length_high), (False, period - length_high)):
            levels = (unit.rail_low, unit.rail_high) if high else (unit.rail_high, unit.rail_low)
            driver = Driver(start=levels[0], end=levels[1], edge_time=unit.edge_time)
            path = step_through(parts, driver, voltage=voltage, seen=voltage)
            crossings[high] = path.crossing()
            voltage = path.at(length)[0]
    rise, fall = crossings[True], crossings[False]
    if rise is None or fall is None or rise >= length_high:
        return None
    return 100.0 * (length_high + fall - rise) / period


@lru_cache(maxsize=1024)
def _levels(
    unit: VirtualUnit, vehicle: VirtualVehicle, load: str, oscillating: bool, probe: tuple[float, float, float]
) -> tuple[float, float | None, float | None]:
    here = network(unit, vehicle, load, probe=probe)
    if math.isinf(here.source_resistance):
        return 0.0, 0.0 if oscillating else None, None
    high = here.settled(unit.rail_high)
    return (high, here.settled(unit.rail_low), true_duty(unit, here)) if oscillating else (high, None, None)


def truth_of(
    unit: VirtualUnit, vehicle: VirtualVehicle, parts: Sequence[Condition], scope: VirtualScope
) -> CaptureTruth:
    """Say what is true of a capture.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    parts : sequence of Condition
        What happened, in order.
    scope : VirtualScope
        The scope, whose probe loads the pilot.

    Returns
    -------
    CaptureTruth
        Runs, and the instants at which the output was switched.
    """
    runs: list[TrueRun] = []
    switching: list[tuple[float, bool]] = []
    live = parts[0].energised
    for part in parts:
        if part.energised != live:
            live = part.energised
            switching.append((part.start, live))
        same = runs and runs[-1].load == part.load and (runs[-1].low is not None) == part.oscillating
        begin = runs.pop().start if same else part.start
        high, low, duty = _levels(unit, vehicle, part.load, part.oscillating, scope.probe)
        runs.append(
            TrueRun(
                load=part.load,
                state="E" if part.load == "E" else f"{part.load}{2 if part.oscillating else 1}",
                start=begin,
                end=part.end,
                high=high,
                low=low,
                frequency=unit.frequency if part.oscillating and duty is not None else None,
                duty=duty,
            )
        )
    return CaptureTruth(
        runs=tuple(runs), duty_set=unit.duty, live_at_start=parts[0].energised, switching=tuple(switching)
    )
