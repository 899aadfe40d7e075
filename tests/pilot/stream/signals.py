"""Signals for the tests of the stream: everything a pilot and its probe may do, as whole counts."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from types import TracebackType
from typing import Any, Self

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.pilot.scale import Scale
from coldpin.pilot.states import windows_of
from coldpin.pilot.stream.plan import Plan, plan_of
from coldpin.records.dialect import Dialect
from coldpin.standards import Edition, load_book

BOOK = load_book()
WINDOWS = windows_of(BOOK, Edition.IEC_3)
GAIN = 1e-3
"""Volts of one count. [V]"""

Counts = NDArray[Any]

FEW = settings(max_examples=300 if os.environ.get("COLDPIN_PROVE") == "1" else 15)
"""For tests that read whole captures more than once."""


def scale(interval: float, *, hysteresis: float = 0.2, spread: float = 0.1, noise: float = 0.0) -> Scale:
    """A scale that is told, not measured."""
    return Scale(interval=interval, noise=noise, step=0.0, hysteresis=hysteresis, spread=spread)


def plan_for(samples: int, interval: float, *, page: int = 1, stored: str = "int16", spread: float = 0.1) -> Plan:
    """A plan whose pages are so many blocks of 1 ms."""
    known = scale(interval, spread=spread)
    return plan_of(
        samples=samples,
        scale=known,
        windows=WINDOWS,
        stored=np.dtype(stored),
        gain=GAIN,
        page=page * max(1, known.count(1e-3)),
    )


@st.composite
def stretches(draw: st.DrawFn, interval: float) -> NDArray[np.float64]:
    """One stretch of a signal. [V]"""
    kind = draw(st.sampled_from(["pwm", "pwm", "pwm", "steady", "chatter", "near zero", "noise", "glitches", "ramp"]))
    # around the longest half, where rules change
    about = st.integers(round(4.6e-3 / interval), round(5.1e-3 / interval))
    samples = draw(st.one_of(about, about, st.integers(1, round(0.03 / interval))))
    random = np.random.default_rng(draw(st.integers(0, 1000)))
    place = np.arange(samples)
    high = draw(st.sampled_from([12.0, 9.0, 6.0, 3.0, 0.7, 7.5, 32.7]))
    if kind == "steady":
        return np.full(samples, draw(st.sampled_from([12.0, 9.0, 6.0, -12.0, 0.0, 0.15, 0.4])))
    if kind == "chatter":
        return np.where(place % draw(st.integers(2, 9)) == 0, 1.0, -1.0)
    if kind == "near zero":
        return np.asarray(random.normal(0.0, draw(st.sampled_from([0.05, 0.15])), samples))
    if kind == "noise":
        return np.asarray(random.normal(0.0, 4.0, samples))
    if kind == "ramp":
        return np.linspace(-12.0, high, samples)
    period = draw(st.sampled_from([0.4e-3, 1e-3, 1.0037e-3, 4.7e-3, 11e-3])) / interval
    duty = draw(st.sampled_from([0.03, 0.05, 0.1, 0.27, 0.5, 0.96]))
    signal = np.where((place + draw(st.floats(0.0, 1.0)) * period) % period < duty * period, high, -12.0)
    if kind == "glitches":
        for _ in range(draw(st.integers(1, 8))):
            start = draw(st.integers(0, samples - 1))
            stop = start + draw(st.integers(1, 1 + round(20e-6 / interval)))
            signal[start:stop] = -signal[start:stop]
    return np.asarray(signal)


@st.composite
def captures(draw: st.DrawFn, interval: float, *, missing: bool = False) -> NDArray[np.float64]:
    """A capture of several stretches with noise, perhaps with missing samples. [V]"""
    parts = draw(st.lists(stretches(interval), min_size=1, max_size=9))
    random = np.random.default_rng(draw(st.integers(0, 1000)))
    voltage = np.concatenate(parts)
    voltage = voltage + random.normal(0.0, draw(st.sampled_from([0.0, 0.01, 0.03])), voltage.size)
    if missing:
        for _ in range(draw(st.integers(0, 6))):
            start = draw(st.integers(0, voltage.size - 1))
            voltage[start : start + draw(st.sampled_from([1, 2, 5, 40, 3000]))] = np.nan
        if draw(st.booleans()):
            voltage[random.random(voltage.size) < 0.02] = np.nan
    return voltage


def to_int16(voltage: NDArray[np.float64]) -> NDArray[np.int16]:
    """Store a capture in whole steps, clipped where it does not fit."""
    return np.clip(np.rint(voltage / GAIN), -32768, 32767).astype(np.int16)


@dataclass(eq=False)
class ArraySource:
    """Samples in memory, or made on the way, as a capture that stays where it is."""

    make: Callable[[int, int], Counts]
    samples: int
    sample_interval: float
    dtype: np.dtype[Any]
    gain: float = GAIN
    zero: float = 0.0
    start: float = 0.0
    resolution: float | None = GAIN
    overload: tuple[int, int] | None = None
    seekable: bool = True
    remarks: tuple[str, ...] = ()
    dialect: Dialect = field(default_factory=lambda: Dialect(format="raw int16"))

    def read(self, first: int, into: Counts) -> int:
        """Fill an array from a place on."""
        made = self.make(first, min(first + into.size, self.samples))
        into[: made.size] = made
        return int(made.size)

    def chunks(self, samples: int) -> Iterator[tuple[Counts, Counts | None]]:
        """Give all samples in order, in an array that is used again."""
        buffer = np.empty(min(samples, self.samples), self.dtype)
        for first in range(0, self.samples, samples):
            count = self.read(first, buffer[: self.samples - first])
            yield buffer[:count], None

    def close(self) -> None:
        """Nothing is open."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()


def source_of(raw: Counts, interval: float, **others: Any) -> ArraySource:
    """A capture of these samples."""
    return ArraySource(lambda a, b: raw[a:b], raw.size, interval, raw.dtype, **others)
