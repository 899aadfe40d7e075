"""What only a simulator knows: the truth behind a capture, so that a reader's intervals can be held against it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from coldpin.simulator.circuit import Driver, Network, step_through
from coldpin.simulator.connection import network
from coldpin.simulator.course import Condition, Course, Response
from coldpin.simulator.interference import Spike
from coldpin.simulator.load import read_load
from coldpin.simulator.oscillator import cycles_since_start, warmed
from coldpin.simulator.output import part_at_pins
from coldpin.simulator.scope import VirtualScope
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle

_CYCLES_TO_REPEAT = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueRun:
    """A stretch in which load and oscillator stay as they are, and what is true of it.

    ``load`` is what was connected and ``state`` the word for it as it was set up, with 1 for a steady and 2 for an
    oscillating pilot; a fault does not change the word. "E" is a pilot at rest near zero, shorted or without supply,
    "F" one that the unit holds low. Times are from the first sample, by a perfect clock [s]. ``high`` and ``low`` are
    the levels at which the connector's pilot comes to rest, the probe on it [V]; ``low`` is None while the oscillator
    is off. ``frequency`` [Hz] and ``duty`` [%] are None where there is none; ``duty`` is between the zero crossings at
    the connector. Of a unit that warms up, frequency and duty are those of the whole run.
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
    was before, ``live`` the stretches in which it was, from the first touch to the last parting; bounces are inside
    them [s]. ``one_pole`` are the stretches in which one pole alone was closed [s]. ``responses`` tell for each order
    of the controller which change of load it answers, when the coil was driven and when the contacts followed.
    ``spikes`` coupled onto the pilot from outside. ``duty_set`` is what the controller sets; the edges shift a little
    what arrives at the connector [%].
    """

    runs: tuple[TrueRun, ...]
    duty_set: float
    live_at_start: bool
    switching: tuple[tuple[float, bool], ...]
    live: tuple[tuple[float, float], ...] = ()
    one_pole: tuple[tuple[float, float], ...] = ()
    responses: tuple[Response, ...] = ()
    spikes: tuple[Spike, ...] = ()


def true_duty(unit: VirtualUnit, parts: Network, *, duty: float | None = None) -> float | None:
    """Return the duty cycle between zero crossings of the repeating waveform, or None where zero is not crossed.

    Parameters
    ----------
    unit : VirtualUnit
        The unit, whose driver oscillates.
    parts : Network
        What hangs on it.
    duty : float, optional
        What the controller sets, where that is not the unit's own. [%]

    Returns
    -------
    float or None
        Part of the period above zero at the connector. [%]
    """
    if math.isinf(parts.source_resistance):
        return None
    period = 1.0 / unit.frequency
    length_high = period * (unit.duty if duty is None else duty) / 100.0
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
    unit: VirtualUnit,
    vehicle: VirtualVehicle,
    load: str,
    driven: str,
    duty: float,
    probe: tuple[float, float, float],
) -> tuple[float, float | None, float | None]:
    oscillating = driven == "oscillates"
    here = network(unit, vehicle, load, probe=probe)
    if math.isinf(here.source_resistance) or driven == "off":
        return 0.0, 0.0 if oscillating else None, None
    if driven == "low":
        return here.settled(unit.rail_low), None, None
    high = here.settled(unit.rail_high)
    return (high, here.settled(unit.rail_low), true_duty(unit, here, duty=duty)) if oscillating else (high, None, None)


def truth_of(
    unit: VirtualUnit,
    vehicle: VirtualVehicle,
    course: Course,
    scope: VirtualScope,
    spikes: tuple[Spike, ...] = (),
) -> CaptureTruth:
    """Say what is true of a capture.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    course : Course
        What happened.
    scope : VirtualScope
        The scope, whose probe loads the pilot.
    spikes : tuple of Spike
        What coupled onto the pilot from outside.

    Returns
    -------
    CaptureTruth
        Runs, the stretches in which the output was live, and what answered what.
    """
    end = course.conditions[-1].end
    live = _stretches(course, end, lambda part: part == 1.0, within=_bounces(course))
    one_pole = _stretches(course, end, lambda part: 0.0 < part < 1.0, within=())
    changes = sorted((at, on) for stretch in live for at, on in zip(stretch, (True, False), strict=True))
    return CaptureTruth(
        runs=_runs(unit, vehicle, course.conditions, scope),
        duty_set=unit.duty,
        live_at_start=bool(live) and live[0][0] == 0.0,
        switching=tuple((at, on) for at, on in changes if 0.0 < at < end),
        live=live,
        one_pole=one_pole,
        responses=course.responses,
        spikes=spikes,
    )


def _bounces(course: Course) -> tuple[tuple[float, float], ...]:
    """Return the stretches in which contacts bounced."""
    return tuple(
        (one.contacts, one.settled)
        for one in course.responses
        if one.closes and one.contacts is not None and one.settled is not None
    )


def _stretches(
    course: Course, end: float, chosen: Callable[[float], bool], *, within: Sequence[tuple[float, float]]
) -> tuple[tuple[float, float], ...]:
    """Return the stretches of a capture in which the part at the pins is one chosen; ``within`` are never parted."""
    instants, parts = part_at_pins(course)
    bounds = np.clip(np.append(instants, math.inf), 0.0, end).tolist()
    found: list[tuple[float, float]] = []
    for start, stop, part in zip(bounds, bounds[1:], parts.tolist(), strict=False):
        if start == stop or not chosen(part):
            continue
        bounced = found and any(first < start <= last for first, last in within)
        found.append((found.pop()[0] if bounced else start, stop))
    return tuple(found)


def _runs(
    unit: VirtualUnit, vehicle: VirtualVehicle, parts: Sequence[Condition], scope: VirtualScope
) -> tuple[TrueRun, ...]:
    stretches: list[Condition] = []
    for part in parts:
        if stretches and _same_pilot(stretches[-1], part):
            stretches[-1] = replace(stretches[-1], end=part.end)
        else:
            stretches.append(part)
    return tuple(_run(unit, vehicle, stretch, scope) for stretch in stretches)


def _same_pilot(one: Condition, other: Condition) -> bool:
    return (one.load, one.oscillating, one.duty) == (other.load, other.oscillating, other.duty) and (
        one.oscillating or one.rest == other.rest
    )


def _run(unit: VirtualUnit, vehicle: VirtualVehicle, part: Condition, scope: VirtualScope) -> TrueRun:
    ends = np.array([part.start, part.end])
    middle_duty = part.duty + unit.duty_drift * float(warmed(unit, ends.mean(keepdims=True))[0])
    driven = "oscillates" if part.oscillating else part.rest
    high, low, duty = _levels(unit, vehicle, part.load, driven, middle_duty, scope.probe)
    frequency: float | None = None
    if part.oscillating and duty is not None:
        frequency = unit.frequency
        if unit.frequency_drift:
            frequency = float(np.diff(cycles_since_start(unit, ends))[0]) / (part.end - part.start)
    return TrueRun(
        load=part.load,
        state=_state(part),
        start=part.start,
        end=part.end,
        high=high,
        low=low,
        frequency=frequency,
        duty=duty,
    )


def _state(part: Condition) -> str:
    letter = read_load(part.load).state
    if letter == "E" or (part.rest == "off" and not part.oscillating):
        return "E"
    if part.rest == "low" and not part.oscillating:
        return "F"
    return f"{letter}{2 if part.oscillating else 1}"
