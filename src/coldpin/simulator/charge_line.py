"""What hangs on a supply while a car charges, as exact functions of time: current, voltage, power, energy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from coldpin.records.log import LogQuantity
from coldpin.simulator.car import Segment
from coldpin.simulator.logger import Floats

DAY = 86_400.0

WANDER_EVERY = 30.0
"""Grid on which the supply's slow wander is drawn. [s]"""

WANDER_MEMORY = 0.97
"""Part of the wander that is left after one step of the grid. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualSupply:
    """A single-phase supply.

    Its open-circuit ``voltage`` swings by ``swing`` over the day and wanders by ``wander`` r.m.s. [V]; ``resistance``
    is that of the loop as far as the meter [Ω]; ``outages`` from and to [s].
    """

    voltage: float = 231.0
    swing: float = 2.5
    wander: float = 0.8
    resistance: float = 0.4
    outages: Sequence[tuple[float, float]] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargeLine:
    """The supply with what hangs on it, as functions of time.

    ``open_circuit`` is a grid of times [s] and the supply's voltage without load on it [V], ``standby`` the unit's own
    power and reactive power [W], [var], ``reactive`` that of the car's charger while it is on the supply [var].
    """

    segments: Sequence[Segment]
    supply: VirtualSupply
    open_circuit: tuple[Floats, Floats]
    standby: tuple[float, float]
    reactive: float

    def rows(self, time: Floats, *, means: bool) -> dict[LogQuantity, Floats]:
        """Return what a meter sees at each time.

        Parameters
        ----------
        time : numpy.ndarray
            Array of shape (n,), rising, from the start of the run. [s]
        means : bool
            Whether power is the mean since the row before.

        Returns
        -------
        dict of LogQuantity to numpy.ndarray
            Arrays of shape (n,), in the units of logs.
        """
        voltage, power, reactive, live = self._seen(time)
        energy = self.energy(time)
        if means:
            power[1:] = 3600.0 * np.diff(energy) / np.diff(time)
        apparent = np.hypot(power, reactive)
        return {
            LogQuantity.POWER: power,
            LogQuantity.VOLTAGE: voltage,
            LogQuantity.CURRENT: np.divide(apparent, voltage, out=np.zeros(time.size), where=live),
            LogQuantity.POWER_FACTOR: np.divide(power, apparent, out=np.zeros(time.size), where=apparent > 0.0),
            LogQuantity.ENERGY: energy,
            LogQuantity.REACTIVE_POWER: reactive,
            LogQuantity.APPARENT_POWER: apparent,
            LogQuantity.FREQUENCY: np.where(live, FREQUENCY, 0.0),
        }

    def _seen(self, time: Floats) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
        """Return voltage, power, reactive power and whether there is a supply, at each time."""
        current, live = self._current(time), self._live(time)
        voltage = np.where(live, np.interp(time, *self.open_circuit) - self.supply.resistance * current, 0.0)
        power = voltage * current + self.standby[0] * live
        reactive = np.asarray((self.reactive * self._closed(time) + self.standby[1]) * live, dtype=np.float64)
        return voltage, np.asarray(power), reactive, live

    def mean_current(self, start: float, end: float) -> float:
        """Return the mean of what a meter sees as current.

        Parameters
        ----------
        start : float
            From when on. [s]
        end : float
            Until when. [s]

        Returns
        -------
        float
            Mean current. [A]
        """
        edges = np.linspace(start, end, FINE + 1)
        voltage, power, reactive, live = self._seen(0.5 * (edges[1:] + edges[:-1]))
        return float(np.divide(np.hypot(power, reactive), voltage, out=np.zeros(FINE), where=live).mean())

    def energy(self, time: Floats) -> Floats:
        """Return the energy since the start of the run.

        Parameters
        ----------
        time : numpy.ndarray
            Array of shape (n,), rising, from the start of the run. [s]

        Returns
        -------
        numpy.ndarray
            Array of shape (n,). [Wh]
        """
        grid, volts = self.open_circuit
        at = np.unique(np.concatenate([[0.0], grid[grid < time[-1]], time]))
        middle = np.interp(0.5 * (at[1:] + at[:-1]), grid, volts)
        charge, squares = self._sums(at)
        drawn = middle * np.diff(charge) - self.supply.resistance * np.diff(squares)
        joules = np.concatenate([[0.0], np.cumsum(drawn)])[np.searchsorted(at, time)]
        return np.asarray((joules + self.standby[0] * self._live_seconds(time)) / 3600.0)

    def _arrays(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        columns = [(one.start, one.end, one.level, one.slope, one.fade) for one in self.segments]
        start, end, level, slope, fade = np.array(columns).T
        return start, end, level, slope, fade

    def _which(self, time: Floats) -> NDArray[np.intp]:
        start = np.array([segment.start for segment in self.segments])
        return np.maximum(np.searchsorted(start, time, side="right") - 1, 0)

    def _current(self, time: Floats) -> Floats:
        start, _, level, slope, fade = self._arrays()
        at = self._which(time)
        since = time - start[at]
        current = level[at] + slope[at] * since
        fading = fade[at] > 0.0
        current[fading] *= np.exp(-fade[at[fading]] * since[fading])
        return np.asarray(current)

    def _closed(self, time: Floats) -> NDArray[np.bool_]:
        drawing = np.array([segment.kind in DRAWING for segment in self.segments])
        return np.asarray(drawing[self._which(time)])

    def _live(self, time: Floats) -> NDArray[np.bool_]:
        lost = np.array([segment.kind == "supply lost" for segment in self.segments])
        return np.asarray(~lost[self._which(time)])

    def _live_seconds(self, time: Floats) -> Floats:
        live = time.copy()
        for start, end in self.supply.outages:
            live -= np.clip(time, start, end) - start
        return live

    def _sums(self, time: Floats) -> tuple[Floats, Floats]:
        """Return the integrals of the car's current and of its square at rising times. [A·s], [A²·s]"""
        start, end, level, slope, fade = self._arrays()
        whole = _integrals(end - start, level, slope, fade)
        before = np.concatenate([np.zeros((2, 1)), np.cumsum(whole, axis=1)], axis=1)
        at = self._which(time)
        part = _integrals(time - start[at], level[at], slope[at], fade[at])
        return before[0][at] + part[0], before[1][at] + part[1]


def _integrals(lasts: Floats, level: Floats, slope: Floats, fade: Floats) -> Floats:
    """Return the integrals of a segment's current and of its square after some time: array of shape (2, n)."""
    charge = level * lasts + 0.5 * slope * lasts**2
    squares = level**2 * lasts + level * slope * lasts**2 + slope**2 * lasts**3 / 3.0
    fades = fade > 0.0
    if np.any(fades):
        by, a, t = fade[fades], level[fades], lasts[fades]
        charge[fades] = -a * np.expm1(-by * t) / by
        squares[fades] = -(a**2) * np.expm1(-2.0 * by * t) / (2.0 * by)
    return np.stack([charge, squares])


def open_circuit(supply: VirtualSupply, seconds: float, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Return the supply's voltage without load on a grid of times.

    Parameters
    ----------
    supply : VirtualSupply
        The supply.
    seconds : float
        How long the grid is. [s]
    rng : numpy.random.Generator
        Where the wander comes from.

    Returns
    -------
    tuple of numpy.ndarray
        Times [s] and voltages [V], arrays of one shape.
    """
    time = np.append(np.arange(0.0, seconds, WANDER_EVERY), seconds)
    noise = rng.standard_normal(time.size) * np.sqrt(1.0 - WANDER_MEMORY**2)
    wander = lfilter([1.0], [1.0, -WANDER_MEMORY], noise)
    swing = supply.swing * np.sin(2.0 * np.pi * time / DAY)
    return time, supply.voltage + swing + supply.wander * np.asarray(wander)


DRAWING = ("ramp", "level", "taper")
"""Segments in which the unit's contacts are closed and the car's charger hangs on the supply."""

FINE = 400
"""In so many parts is the mean current of a phase taken."""

FREQUENCY = 50.0
"""Of the supply. [Hz]"""
