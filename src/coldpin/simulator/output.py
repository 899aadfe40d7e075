"""The second channel: supply through the contacts, what is left at the pins after opening, and the sensor on it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.simulator import nominal
from coldpin.simulator.course import Course
from coldpin.simulator.load import read_load
from coldpin.simulator.unit import VirtualUnit

Sees = Literal["output", "coil"]


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualSensor:
    """What stands between the pins, or the relay's coil, and the second channel.

    ``delay`` is how late it shows what is there [s], ``gain`` how much of it [1]. ``sees`` says on what it sits.
    ``coupled`` is the part of the supply that couples across open contacts into its input [1].
    """

    delay: float = 0.0
    gain: float = 1.0
    sees: Sees = "output"
    coupled: float = 0.0

    def __post_init__(self) -> None:
        if self.delay < 0.0:
            raise OutsideRange(f"virtual sensor: delay is {self.delay:g} s; it cannot be negative")


def supply_voltage(unit: VirtualUnit, times: NDArray[np.float64], *, phase: float) -> NDArray[np.float64]:
    """Return the supply before the contacts, as if it were never interrupted.

    Parameters
    ----------
    unit : VirtualUnit
        The unit with its supply.
    times : numpy.ndarray
        Array of shape (n,). [s]
    phase : float
        Phase of an alternating supply at time zero. [rad]

    Returns
    -------
    numpy.ndarray
        Array of shape (n,). [V]

    Examples
    --------
    >>> supply_voltage(VirtualUnit(supply="d.c.", mains=24.0), np.zeros(1), phase=0.0).tolist()
    [24.0]
    """
    if unit.supply == "d.c.":
        return np.full_like(times, unit.mains)
    turns = 2.0 * math.pi * unit.mains_frequency * times + phase
    return np.asarray(math.sqrt(2.0) * unit.mains * np.sin(turns), dtype=np.float64)


def part_at_pins(course: Course) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return from when on which part of the supply is at the pins; none while there is no supply.

    Parameters
    ----------
    course : Course
        What happened.

    Returns
    -------
    tuple of numpy.ndarray
        Instants in order, the first -inf, array of shape (k,) [s], and the part from each on, array of shape (k,),
        never the same twice in a row [1].
    """
    touched = np.array([contact.at for contact in course.contacts])
    parts = np.array([contact.part for contact in course.contacts])
    starts = np.array([-math.inf, *(condition.start for condition in course.conditions[1:])])
    supplied = np.array([read_load(condition.load).supply for condition in course.conditions])
    instants = np.union1d(touched, starts)
    at_pins = (
        parts[np.searchsorted(touched, instants, side="right") - 1]
        * supplied[np.searchsorted(starts, instants, side="right") - 1]
    )
    changes = np.flatnonzero(np.concatenate([[True], at_pins[1:] != at_pins[:-1]]))
    return instants[changes], np.asarray(at_pins[changes], dtype=np.float64)


def seen_by_sensor(
    times: NDArray[np.float64], unit: VirtualUnit, course: Course, sensor: VirtualSensor, *, phase: float
) -> NDArray[np.float64]:
    """Return what the sensor shows.

    After opening, the capacitance at the pins keeps the voltage of that instant and lets it decay; while the contacts
    are open the supply couples across them as far as the sensor's input lets it. No load draws
    current, so there is no arc: the contacts interrupt where they part.

    Parameters
    ----------
    times : numpy.ndarray
        Array of shape (n,), from the start of the schedule. [s]
    unit : VirtualUnit
        The unit.
    course : Course
        What happened.
    sensor : VirtualSensor
        The sensor.
    phase : float
        Phase of an alternating supply at the start. [rad]

    Returns
    -------
    numpy.ndarray
        Array of shape (n,). [V]
    """
    then = times - sensor.delay
    if sensor.sees == "coil":
        starts = np.array([condition.start for condition in course.conditions])
        driven = np.array([condition.commanded for condition in course.conditions])
        place = np.maximum(np.searchsorted(starts, then, side="right") - 1, 0)
        return np.asarray(sensor.gain * nominal.COIL * driven[place], dtype=np.float64)
    instants, parts = part_at_pins(course)
    place = np.searchsorted(instants, then, side="right") - 1
    voltage = supply_voltage(unit, then, phase=phase) * parts[place]
    if unit.output_capacitance > 0.0 and instants.size > 1:
        left = supply_voltage(unit, np.maximum(instants, 0.0), phase=phase)[1:] * parts[:-1]
        decays = (parts[place] == 0.0) & (place > 0)
        since = then[decays] - instants[place[decays]]
        tau = unit.output_bleed * unit.output_capacitance
        voltage[decays] = left[place[decays] - 1] * np.exp(-since / tau)
    if sensor.coupled:
        open_ = (parts[place] == 0.0) & _supplied(then, course)
        voltage[open_] += sensor.coupled * supply_voltage(unit, then[open_], phase=phase)
    return np.asarray(sensor.gain * voltage, dtype=np.float64)


def _supplied(times: NDArray[np.float64], course: Course) -> NDArray[np.bool_]:
    starts = np.array([condition.start for condition in course.conditions])
    supplied = np.array([read_load(condition.load).supply for condition in course.conditions], dtype=np.bool_)
    return np.asarray(supplied[np.maximum(np.searchsorted(starts, times, side="right") - 1, 0)], dtype=np.bool_)
