"""Charges made up row by row for the tests, with the phases they truly have."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.records.session import SessionReading
from coldpin.session.meter import Meter
from coldpin.standards.accuracy import parse_accuracy

METER = Meter(
    statements={
        LogQuantity.POWER: parse_accuracy("1 % + 1 W"),
        LogQuantity.CURRENT: parse_accuracy("1 % + 0.02 A"),
        LogQuantity.VOLTAGE: parse_accuracy("0.5 %"),
        LogQuantity.ENERGY: parse_accuracy("1 %"),
    }
)


class Part(NamedTuple):
    """One true phase: its kind, how long it lasts [s], the current at its ends [A], and whether there is a supply."""

    kind: str
    seconds: float
    start_a: float
    end_a: float
    supplied: bool = True


def rest(kind: str, seconds: float) -> Part:
    """Nothing drawn."""
    return Part(kind, seconds, 0.0, 0.0)


def level(kind: str, seconds: float, current: float) -> Part:
    """A level."""
    return Part(kind, seconds, current, current)


def lost(seconds: float) -> Part:
    """No supply."""
    return Part("supply lost", seconds, 0.0, 0.0, supplied=False)


def ramp(seconds: float, start: float, end: float) -> Part:
    """A change from one current to another."""
    return Part("ramp", seconds, start, end)


ORDINARY = (
    rest("waiting", 90.0),
    ramp(20.0, 0.0, 16.0),
    level("steady", 900.0, 16.0),
    level("reduced", 400.0, 10.0),
    rest("paused", 200.0),
    level("reduced", 300.0, 10.0),
    lost(60.0),
    rest("paused", 30.0),
    ramp(15.0, 0.0, 16.0),
    level("steady", 500.0, 16.0),
    rest("ended", 120.0),
)
"""A charge in which everything happens once."""


def edges(parts: Sequence[Part]) -> list[float]:
    """When each part begins. [s]"""
    return [0.0, *np.cumsum([part.seconds for part in parts]).tolist()[:-1]]


def current_at(parts: Sequence[Part], time_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """The true current. [A]"""
    found = np.zeros(time_s.size)
    for begin, part in zip(edges(parts), parts, strict=True):
        inside = (time_s >= begin) & (time_s < begin + part.seconds)
        share = (time_s[inside] - begin) / part.seconds
        found[inside] = part.start_a + (part.end_a - part.start_a) * share
    return found


def supplied_at(parts: Sequence[Part], time_s: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Where there is a supply."""
    found = np.ones(time_s.size, np.bool_)
    for begin, part in zip(edges(parts), parts, strict=True):
        found[(time_s >= begin) & (time_s < begin + part.seconds)] = part.supplied
    return found


def log_of(
    parts: Sequence[Part] = ORDINARY,
    *,
    step_s: float = 1.0,
    noise: float = 0.02,
    voltage: bool = True,
    power: bool = True,
    current: bool = True,
    energy: bool = False,
    seed: int = 1,
    keep: NDArray[np.bool_] | None = None,
) -> Log:
    """What a meter would have logged of these parts."""
    random = np.random.default_rng(seed)
    time = np.arange(0.0, sum(part.seconds for part in parts), step_s)
    true = current_at(parts, time)
    supplied = supplied_at(parts, time)
    amperes = np.where(true > 0.0, np.maximum(true + random.normal(0.0, noise, time.size), 0.0), 0.0)
    volts = np.where(supplied, 230.0 + random.normal(0.0, 0.3, time.size), 0.0)
    watts = amperes * volts * 0.99
    channels = []
    if current:
        channels.append(_channel("I", LogQuantity.CURRENT, "A", amperes, 0.01))
    if voltage:
        channels.append(_channel("U", LogQuantity.VOLTAGE, "V", volts, 0.1))
    if power:
        channels.append(_channel("P", LogQuantity.POWER, "W", watts, 1.0))
    if energy:
        counted = np.concatenate(([0.0], np.cumsum(0.5 * (watts[1:] + watts[:-1]) * step_s / 3600.0)))
        channels.append(_channel("E", LogQuantity.ENERGY, "Wh", counted, 0.1))
    kept = np.ones(time.size, np.bool_) if keep is None else keep[: time.size]
    return Log(time_s=time[kept], channels=tuple(_taken(channel, kept) for channel in channels))


def _channel(name: str, quantity: LogQuantity, unit: str, values: NDArray[np.float64], step: float) -> LogChannel:
    return LogChannel(name=name, quantity=quantity, unit=unit, values=np.round(values / step) * step, resolution=step)


def _taken(channel: LogChannel, kept: NDArray[np.bool_]) -> LogChannel:
    return LogChannel(
        name=channel.name,
        quantity=channel.quantity,
        unit=channel.unit,
        values=channel.values[kept],
        resolution=channel.resolution,
    )


def kinds(reading: SessionReading) -> list[str]:
    """The kinds of the phases, in order."""
    return [phase.kind.value for phase in reading.phases]


def column(
    name: str, quantity: LogQuantity, values: Sequence[float] | NDArray[np.float64], **more: object
) -> LogChannel:
    """A column of values in the unit that logs are kept in."""
    return LogChannel(name=name, quantity=quantity, unit="", values=np.asarray(values, np.float64), **more)  # type: ignore[arg-type]  # the step by name
