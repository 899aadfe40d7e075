"""A virtual capture of tests with residual currents: the current on the first channel, the output on the second."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.records.waveform import Waveform
from coldpin.simulator import nominal
from coldpin.simulator.bench import Bench
from coldpin.simulator.residual import Form, VirtualSafeguard, Way, trip_time
from coldpin.simulator.scope import digitise

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One residual current put on: what flows [mA], its form and way, for how long it is left on [s].

    ``angle`` is where half waves are cut [°]. ``rate`` is how fast it rises from ``current``; 0 for at once [mA/s].
    """

    current: float
    form: Form = "alternating"
    way: Way = "0°"
    lasts: float = 0.5
    angle: float = 0.0
    rate: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueShot:
    """What is true of a shot: when its current began and when the contacts parted, None where they did not. [s]"""

    began: float
    opened: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ResidualCapture:
    """A waveform as a reader would deliver it, and the truth behind it."""

    waveform: Waveform
    shots: tuple[TrueShot, ...]


def simulate_residual(
    guard: VirtualSafeguard,
    shots: Sequence[Shot],
    bench: Bench,
    *,
    seed: int | np.random.Generator,
    sensor: float = 10.0,
    sample_interval: float = 1.0e-4,
    before: float = 0.15,
    after: float = 0.3,
    leak: float = 0.0,
) -> ResidualCapture:
    """Put residual currents on one after the other, the output live before each, and capture current and output.

    A current that comes from the output's own line ends with it; smooth current comes from a source of its own and
    stays until it is switched off.

    Parameters
    ----------
    guard : VirtualSafeguard
        The safeguard.
    shots : sequence of Shot
        What is put on.
    bench : Bench
        The instruments, with their errors.
    seed : int or numpy.random.Generator
        Where contacts and noise scatter from.
    sensor : float
        Volts of the first channel per ampere. [Ω]
    sample_interval : float
        Time between samples by the scope's clock. [s]
    before, after : float
        How long the output is live before each current, and how long it is watched after. [s]
    leak : float
        What flows all the time in the sensor, r.m.s. [mA]

    Returns
    -------
    ResidualCapture
        Waveform and truth.

    Examples
    --------
    >>> from coldpin.simulator.bench import set_up_bench
    >>> from coldpin.simulator.scope import VirtualScope
    >>> bench = set_up_bench(VirtualScope(full_scale=4.0, noise=0.002), seed=1)
    >>> taken = simulate_residual(VirtualSafeguard(), [Shot(current=31.0)], bench, seed=1)
    >>> 0.02 < taken.shots[0].opened - taken.shots[0].began < 0.06
    True
    """
    rng = np.random.default_rng(seed)
    period = 1.0 / nominal.MAINS_FREQUENCY
    clock = sample_interval * (1.0 + bench.timebase)
    lengths = [before + shot.lasts + after for shot in shots]
    times: Numbers = np.arange(round(sum(lengths) / clock), dtype=np.float64) * clock
    current, live = np.zeros_like(times), np.zeros(times.size, dtype=np.bool_)
    truth: list[TrueShot] = []
    start = 0.0
    for shot, length in zip(shots, lengths, strict=True):
        began = _beginning(start + before, shot, period)
        opens = began + _acts(guard, shot, rng)
        ends = began + shot.lasts
        opened = opens if opens < ends else None
        own = shot.form != "smooth" and opened is not None
        flows = (times >= began) & (times < (opens if own else ends))
        current[flows] = _wave(times[flows], began, shot)
        live |= (times >= start) & (times < (opens if opened is not None else start + length))
        truth.append(TrueShot(began=began, opened=opened))
        start += length
    phase = 2.0 * math.pi * nominal.MAINS_FREQUENCY
    current += math.sqrt(2.0) * leak * np.sin(phase * times)
    shown = sensor * current / 1000.0 * (1.0 + bench.gain) + bench.offset
    shown = shown + rng.normal(0.0, bench.scope.noise, times.size)
    voltage, beyond = digitise(shown, full_scale=bench.scope.full_scale, bits=bench.scope.bits)
    then = times - bench.sensor.delay
    seen = np.interp(then, times, live.astype(np.float64)) > 0.5
    mains = math.sqrt(2.0) * nominal.MAINS * np.sin(phase * then) * seen
    noisy = mains * (1.0 + bench.output_gain) + rng.normal(0.0, bench.scope.output_noise, times.size)
    output, _ = digitise(noisy, full_scale=bench.scope.output_full_scale, bits=bench.scope.bits)
    waveform = Waveform(
        voltage=voltage,
        output=output,
        overload=beyond,
        sample_interval=sample_interval,
        resolution=bench.scope.full_scale / 2.0**bench.scope.bits,
    )
    return ResidualCapture(waveform=waveform, shots=tuple(truth))


def _beginning(earliest: float, shot: Shot, period: float) -> float:
    """Return when a current begins: one that the mains drives at its zero crossing, a smooth one at once."""
    if shot.form == "smooth":
        return earliest
    turn = math.ceil(earliest / period) * period
    return turn + 0.5 * period if shot.way in ("180°", "negative") else turn


def _acts(guard: VirtualSafeguard, shot: Shot, rng: np.random.Generator) -> float:
    if not shot.rate:
        return trip_time(guard, shot.current, shot.form, shot.way, rng=rng)
    times = np.linspace(0.0, shot.lasts, 20_000)
    pace = [1.0 / guard.order_after(shot.current + shot.rate * one, shot.form, shot.way) for one in times.tolist()]
    filled = np.flatnonzero(np.cumsum(pace) * (times[1] - times[0]) >= 1.0)
    return float(times[filled[0]]) + guard.release if filled.size else math.inf


def _wave(times: Numbers, began: float, shot: Shot) -> Numbers:
    """Return what flows, of the r.m.s. value asked; a smooth current has that as its mean. [mA]"""
    since = times - began
    level = shot.current + shot.rate * since
    sign = -1.0 if shot.way in ("180°", "negative") else 1.0
    if shot.form == "smooth":
        return sign * level
    angle = 2.0 * math.pi * nominal.MAINS_FREQUENCY * since
    sine = np.sin(angle)
    if shot.form == "alternating":
        return sign * math.sqrt(2.0) * level * sine
    cut = math.radians(shot.angle)
    conducts = (np.mod(angle, 2.0 * math.pi) >= cut) & (np.mod(angle, 2.0 * math.pi) < math.pi)
    # r.m.s. over a whole period of a half wave that is cut at an angle
    part = math.sqrt((math.pi - cut + 0.5 * math.sin(2.0 * cut)) / (4.0 * math.pi))
    return sign * level / part * np.where(conducts, sine, 0.0)
