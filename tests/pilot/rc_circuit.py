"""The pilot's circuit solved by hand: one capacitor, one resistor towards the source, a load behind an ideal diode.

While the diode blocks or conducts the circuit is linear, so its voltage is an exponential towards a known level; the
two meet where the voltage passes the drop of the diode. Nothing here comes from the code under test.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What hangs on the pilot: a resistance [Ω] behind a diode of constant drop [V], or without one (``drop`` None)."""

    resistance: float = math.inf
    drop: float | None = 0.7


NOTHING = Load()
B = Load(resistance=2740.0)
C = Load(resistance=1.0 / (1.0 / 2740.0 + 1.0 / 1300.0))
D = Load(resistance=1.0 / (1.0 / 2740.0 + 1.0 / 270.0))
SHORT = Load(resistance=80.0, drop=None)
BEHIND_DIODE = Load(resistance=1.0)
LOADS = {"A": NOTHING, "B": B, "C": C, "D": D}


def without_diode(load: Load) -> Load:
    """The same load with its diode shorted."""
    return Load(resistance=load.resistance, drop=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A stretch of time [s] with one load and one duty cycle [%], or a steady source (``duty`` 100 or 0)."""

    duration: float
    load: Load
    duty: float = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A generator: rails [V], source resistance [Ω], all capacitance on the pilot [F], frequency [Hz]."""

    high: float = 12.0
    low: float = -12.0
    resistance: float = 1000.0
    capacitance: float = 1.0e-9
    frequency: float = 1000.0


def sample_times(samples: int, interval: float) -> Numbers:
    """Return times at equal steps from 0. [s]"""
    return np.asarray(np.arange(samples) * interval, dtype=np.float64)


def rest(source: float, load: Load, unit: Unit) -> float:
    """Return the voltage the pilot comes to rest at."""
    drop = 0.0 if load.drop is None else load.drop
    if math.isinf(load.resistance) or (load.drop is not None and source <= drop):
        return source
    return drop + (source - drop) * load.resistance / (unit.resistance + load.resistance)


def _approach(start: float, end: float, lag: float, time: Numbers) -> Numbers:
    return end + (start - end) * np.exp(-time / lag)


def relax(start: float, source: float, load: Load, unit: Unit, time: Numbers) -> Numbers:
    """Return the voltage at times after the source or the load has changed."""
    free_lag = unit.resistance * unit.capacitance
    loaded_lag = (
        free_lag if math.isinf(load.resistance) else free_lag * load.resistance / (unit.resistance + load.resistance)
    )
    loaded_end = rest(source, Load(resistance=load.resistance, drop=None), unit)
    if load.drop is None or math.isinf(load.resistance):
        return _approach(start, loaded_end, loaded_lag, time)
    share = load.resistance / (unit.resistance + load.resistance)
    loaded_end = load.drop + (source - load.drop) * share
    ends, lags = (source, loaded_end), (free_lag, loaded_lag)
    first = int(start > load.drop or (start == load.drop and source > load.drop))
    if (ends[first] > load.drop) == bool(first):
        return _approach(start, ends[first], lags[first], time)
    passed = lags[first] * math.log((start - ends[first]) / (load.drop - ends[first]))
    before = _approach(start, ends[first], lags[first], time)
    after = _approach(load.drop, ends[1 - first], lags[1 - first], np.maximum(time - passed, 0.0))
    return np.where(time < passed, before, after)


def waveform(stages: Sequence[Stage], unit: Unit, time: Numbers, phase: float = 0.0) -> Numbers:
    """Return the pilot's voltage at rising times, the first stage beginning at time 0 and the oscillator at a phase."""
    voltage = np.empty(time.size)
    now = 0.0
    level = rest(unit.high if stages[0].duty else unit.low, stages[0].load, unit)
    for until, source, load in _events(stages, unit, phase):
        first, stop = np.searchsorted(time, (now, until))
        voltage[first:stop] = relax(level, source, load, unit, time[first:stop] - now)
        level = float(relax(level, source, load, unit, np.array([until - now]))[0])
        now = until
    first = int(np.searchsorted(time, now))
    voltage[first:] = level
    return voltage


def _events(stages: Sequence[Stage], unit: Unit, phase: float) -> list[tuple[float, float, Load]]:
    period = 1.0 / unit.frequency
    events = []
    begin = 0.0
    for stage in stages:
        end = begin + stage.duration
        if stage.duty in (0.0, 100.0):
            events.append((end, unit.high if stage.duty else unit.low, stage.load))
            begin = end
            continue
        number = math.floor(begin / period - phase) - 1
        while begin < end:
            for fraction, source in ((stage.duty / 100.0, unit.high), (1.0, unit.low)):
                until = min(end, (number + phase + fraction) * period)
                if until > begin:
                    events.append((until, source, stage.load))
                    begin = until
            number += 1
    return events


def crossing(start: float, source: float, load: Load, unit: Unit) -> float:
    """Return the time from an edge of the source to the crossing of 0 V, found by bisection. [s]"""
    low, high = 0.0, 100.0 * unit.resistance * unit.capacitance
    for _ in range(80):
        middle = 0.5 * (low + high)
        value = float(relax(start, source, load, unit, np.array([middle]))[0])
        low, high = (middle, high) if (value < 0.0) == (start < 0.0) else (low, middle)
    return high


def true_duty(duty: float, load: Load, unit: Unit) -> float:
    """Return the duty cycle between the crossings of 0 V at the pilot, the halves being long enough to settle. [%]"""
    period = 1.0 / unit.frequency
    up = crossing(rest(unit.low, load, unit), unit.high, load, unit)
    down = crossing(rest(unit.high, load, unit), unit.low, load, unit)
    return duty + 100.0 * (down - up) / period
