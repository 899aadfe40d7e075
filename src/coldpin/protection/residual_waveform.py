"""Residual currents in a captured channel: when each began and ended, its form, its way, and how much flowed.

What lies above the noise makes stretches; a stretch is one current, for even half waves cut at 135° come back within a
period. Its form is told by which sides it takes and whether it rests in between; the amplitude by a sine fitted to what
conducts, so that a current that the contacts cut within a period is still told by the r.m.s. value it would have had.
A sine leaves zero slowly: it may have begun as much earlier as it takes to come out of the noise, and that is in the
bracket.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import CaptureError, OutsideRange
from coldpin.protection.residual_load import half_waves
from coldpin.protection.trip_test import bounds_ma
from coldpin.quantity import Component, Quantity, assemble
from coldpin.records.pilot import Bracket
from coldpin.records.trip_test import ResidualKind, ResidualPulse
from coldpin.standards.accuracy import ScopeAccuracy

Numbers = NDArray[np.float64]

LONGEST_REST = 1.25
"""Ours: half waves cut at 135° rest for seven eighths of a period; a rest longer than this ends a current. [periods]"""

ABOVE_NOISE = 6.0
"""Ours: samples so far from the middle, in standard deviations of the quiet ones, belong to a current. [1]"""

QUIET_SHARE = 0.2
"""Ours: the fifth of the periods with the least means tells their noise: a current is on for a part of the time. [1]"""

UNQUIET = 3.0
"""Ours: a first period that scatters by more than so many times the quietest one has a current on already. [1]"""

LEAST_SAMPLES = 5
"""Ours: what lies above the noise for fewer samples is a spike. [1]"""

BOTH_SIDES, ONE_SIDE = 0.5, 0.15
"""Ours: a current whose weaker side has more than the first of its stronger alternates; with less than the second it
keeps to one side. [1]"""

LOW, RESTING = 0.15, 0.35
"""Ours: one that keeps to one side and lies below the first of its peak for more than the second of a period pulsates;
whole half waves rest for half of it, a smooth current never. [1]"""

WHOLE_PERIODS = 1.1
"""Ours: a form is told from no less than this: one half wave may be that of either form. [periods]"""

RISES = 1.2
"""Ours: a current that grows by more than a fifth from its second period on rises. [1]"""

FEWEST_PERIODS = 8
"""Ours: a rise is told from so many periods. [1]"""

NEAR_ZERO_DEG = 20.0
"""Ours: a current that began within this of 0° or 180° began there; the tests are made at these two. [°]"""

SURELY = 1.5
"""Ours: a current of less than so many times the height above the noise is read by its means. [1]"""

TOWERS = 2.0
"""Ours: what reaches so many times the height above the noise is no noise on a smaller current. [1]"""

LEAST_MEAN = 0.1
"""Ours: a mean of less than this part of the height above the noise is what beats between mains and samples. [1]"""

FEWEST_MEANS = 2
"""Ours: a current is seen in means from so many periods on. [1]"""

EDGE = 2e-3
"""Ours: what is left out at either end of a smooth current, where it is switched. [s]"""

MEDIAN_TO_SIGMA = 0.6745
"""The median of the absolute values of a normal variable, in standard deviations. [1]"""

ANGLES_DEG = (0.0, 90.0, 135.0)
"""At which angles testers cut half waves; a stretch of conduction is taken for the nearest. [°]"""

USUAL_FREQUENCIES = (50.0, 60.0)
"""The two frequencies of the mains. [Hz]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSensor:
    """What the first channel sits on: volts per ampere, and what is said of the scope that reads them.

    ``kind`` is the form that a person stated, None where it is to be recognised. ``frequency`` is that of the mains.
    [Hz]
    """

    volts_per_ampere: Quantity
    accuracy: ScopeAccuracy | None = None
    kind: ResidualKind | None = None
    frequency: float = USUAL_FREQUENCIES[0]


def mains_frequency(output: Numbers, interval: float) -> float:
    """Return whether a channel beside the current shows mains of 50 Hz or of 60 Hz.

    Parameters
    ----------
    output : NDArray[np.float64]
        Array of shape (n,), NaN where a sample is missing. [V]
    interval : float
        Time between samples. [s]

    Returns
    -------
    float
        The one of the two that is stronger; 50 Hz where neither is there. [Hz]

    Examples
    --------
    >>> time = np.arange(2000) * 1e-3
    >>> mains_frequency(np.sin(2 * np.pi * 60.0 * time), 1e-3)
    60.0
    """
    voltage = np.nan_to_num(output - np.nanmean(output)) if np.isfinite(output).any() else np.zeros(1)
    times = np.arange(voltage.size) * interval
    strengths = [abs(np.vdot(np.exp(2j * np.pi * hertz * times), voltage)) for hertz in USUAL_FREQUENCIES]
    return USUAL_FREQUENCIES[int(np.argmax(strengths))]


def read_residual(
    voltage: Numbers, interval: float, sensor: CurrentSensor, *, overload: NDArray[np.bool_] | None = None
) -> tuple[ResidualPulse, ...]:
    """Find the residual currents in a channel.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), the first channel as read, NaN where a sample is missing. [V]
    interval : float
        Time between samples. [s]
    sensor : CurrentSensor
        What the channel sits on.
    overload : NDArray[np.bool_] or None
        Array of shape (n,), true where the channel was driven beyond its range.

    Returns
    -------
    tuple of ResidualPulse
        In order of time.

    Raises
    ------
    OutsideRange
        The volts per ampere are not above zero.
    CaptureError
        The capture is shorter than two periods of the mains, or sampled too rarely for them.

    Examples
    --------
    >>> time = np.arange(4000) * 1e-4
    >>> flows = (time >= 0.1) & (time < 0.2)
    >>> rng = np.random.default_rng(1)
    >>> volts = np.where(flows, 0.42 * np.sin(2 * np.pi * 50.0 * time), 0.0) + rng.normal(0.0, 1e-3, 4000)
    >>> (pulse,) = read_residual(volts, 1e-4, CurrentSensor(volts_per_ampere=Quantity(10.0, 0.0, "Ω")))
    >>> pulse.kind.value, pulse.way, round(pulse.current_ma.value, 1), pulse.began_s[0] <= 0.1 <= pulse.began_s[1]
    ('alternating', '0°', 29.7, True)
    """
    per_ampere = sensor.volts_per_ampere.value
    if not per_ampere > 0.0:
        raise OutsideRange(f"the sensor gives {per_ampere:g} V per ampere: it must be above zero, as '10 Ω' of a shunt")
    period = 1.0 / sensor.frequency
    block = round(period / interval)
    if block < 4 * LEAST_SAMPLES or voltage.size < 2 * block:
        raise CaptureError(
            f"residual current: {voltage.size} samples, {block} in a period of the mains: capture at least two periods "
            f"with {4 * LEAST_SAMPLES} samples or more in each"
        )
    middle, noise = _quiet(voltage, block)
    current = voltage - middle
    above = ABOVE_NOISE * noise
    slow = _steady(current, block, least=LEAST_MEAN * above)
    spans = [_Span(first=first, last=last) for first, last in _stretches(np.abs(current) > above, LONGEST_REST * block)]
    found = [
        span
        for span in spans
        if span.last - span.first + 1 >= LEAST_SAMPLES and not _lost_in(span, slow, current, above)
    ]
    found = [_widened(span, slow, block) for span in found]
    found += [
        span for span in slow if not any(span.first <= other.last and other.first <= span.last for other in found)
    ]
    pulses = []
    for span in sorted(found, key=lambda one: one.first):
        pulse = _pulse(current, span, interval, above, sensor)
        clipped = overload is not None and bool(overload[span.first : span.last + 1].any())
        pulses.append(_clipped(pulse) if clipped else pulse)
    return tuple(pulses)


def _clipped(pulse: ResidualPulse) -> ResidualPulse:
    """Say of a current beyond the channel's range that no more is known than a least."""
    why = "the channel was driven beyond its range"
    least = Quantity(pulse.current_ma.value, None, "mA", low=bounds_ma(pulse.current_ma)[0], why=why)
    return replace(pulse, current_ma=least, why="; ".join(filter(None, (pulse.why, why))))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Span:
    """Samples of one current; ``early`` and ``late`` is how many before and behind it may hold some of it. [1]"""

    first: int
    last: int
    early: int = 0
    late: int = 0


def _stretches(active: NDArray[np.bool_], longest_rest: float) -> list[tuple[int, int]]:
    """Return first and last of the samples that lie no farther apart than a rest."""
    place = np.flatnonzero(active)
    cuts = np.split(place, np.flatnonzero(np.diff(place) > longest_rest) + 1)
    return [(int(cut[0]), int(cut[-1])) for cut in cuts if cut.size]


def _steady(current: Numbers, block: int, *, least: float) -> list[_Span]:
    """Find currents that have a mean, by means over periods: what alternates has none, and noise little."""
    count = current.size // block
    means = np.nanmean(current[: count * block].reshape(count, block), axis=1) if count else np.empty(0)
    noise = float(np.median(np.abs(means[np.argsort(np.abs(means))[: max(2, round(QUIET_SHARE * count))]])))
    noise = max(noise / MEDIAN_TO_SIGMA, _least(current) / math.sqrt(block))
    runs = _stretches(np.abs(means) > max(ABOVE_NOISE * noise, least), 1.0)
    return [
        _Span(first=first * block, last=(last + 1) * block - 1, early=block, late=block)
        for first, last in runs
        if last - first + 1 >= FEWEST_MEANS
    ]


def _lost_in(span: _Span, slow: list[_Span], current: Numbers, above: float) -> bool:
    """Say whether a stretch is but the noise on a current too small to be seen without means."""
    if float(np.nanmax(np.abs(current[span.first : span.last + 1]))) > TOWERS * above:
        return False
    around = [one for one in slow if one.first <= span.last and span.first <= one.last]
    return any(abs(float(np.nanmean(current[one.first : one.last + 1]))) < SURELY * above for one in around)


def _widened(span: _Span, slow: list[_Span], block: int) -> _Span:
    """Let a current that rises out of the noise begin where its means do."""
    around = [one for one in slow if one.first <= span.last and span.first <= one.last]
    first = min((one.first for one in around), default=span.first)
    if span.first - first <= FEWEST_MEANS * block:
        return span
    return replace(span, first=first, early=block)


def _quiet(voltage: Numbers, block: int) -> tuple[float, float]:
    """Return middle and noise of the channel at rest: as it begins, for a current must be seen to begin. [V]"""
    count = voltage.size // block
    blocks = voltage[: count * block].reshape(count, block)
    blocks = blocks[np.isfinite(blocks).all(axis=1)]
    if not blocks.shape[0]:
        raise CaptureError("residual current: no whole period of the mains without missing samples")
    spread = blocks.std(axis=1)
    # one that begins with a current on has its rest somewhere else
    rest = (
        blocks[0]
        if spread[0] <= UNQUIET * max(float(spread.min()), 2.0 * _least(voltage))
        else blocks[int(spread.argmin())]
    )
    return float(rest.mean()), max(float(rest.std()), _least(voltage))


def _least(voltage: Numbers) -> float:
    """Return half a step of the converter as it shows in the samples, so that a silent channel has some noise. [V]"""
    steps = np.diff(np.unique(voltage[np.isfinite(voltage)]))
    return 0.5 * float(steps.min()) if steps.size else 1e-12


def _pulse(current: Numbers, span: _Span, interval: float, above: float, sensor: CurrentSensor) -> ResidualPulse:
    period = 1.0 / sensor.frequency
    part: Numbers = np.nan_to_num(current[span.first : span.last + 1])
    kind: ResidualKind | None
    if sensor.kind is not None:
        kind, why = sensor.kind, ""
    elif span.early and span.late:
        kind, why = ResidualKind.SMOOTH, ""
    else:
        kind, why = _kind(part, interval, period)
    times: Numbers = np.arange(part.size, dtype=np.float64) * interval
    if kind is ResidualKind.SMOOTH:
        level, rate = _smooth(part, times, interval)
        # one that hardly stands out of the noise may have flowed unseen for a while
        unseen = period if abs(level) < SURELY * above and not span.early else 0.0
        return replace(
            _made(kind, span, current.size, interval, unseen, unseen),
            current_ma=_amperes(abs(level), sensor),
            way="positive" if level > 0.0 else "negative",
            rate_ma_s=_rate(rate, sensor),
        )
    peak = float(np.abs(part[: block_of(period, interval)]).max())
    # noise may hide it for a little longer than its height says
    rests = period * math.asin(min(1.0, SURELY * above / peak)) / (2.0 * math.pi)
    angle = _angle(part, times, sensor.frequency) if kind is ResidualKind.PULSATING else 0.0
    amplitude, rate = _amplitude(part, times, sensor.frequency)
    to_rms = _rms_part(kind, angle)
    way = _way(part, times, kind, sensor.frequency, seen_late_deg=math.degrees(2.0 * math.pi * rests / period))
    after = period if kind is not ResidualKind.ALTERNATING else rests
    return replace(
        _made(kind, span, current.size, interval, 0.0 if angle else rests, after),
        current_ma=_amperes(amplitude * to_rms, sensor),
        way=way,
        angle_deg=angle,
        rate_ma_s=_rate(rate * to_rms, sensor),
        why=why or ("" if way else "it began at neither 0° nor 180°"),
    )


def block_of(period: float, interval: float) -> int:
    """Return how many samples a period has.

    Parameters
    ----------
    period : float
        Of the mains. [s]
    interval : float
        Time between samples. [s]

    Returns
    -------
    int
        At least one. [1]

    Examples
    --------
    >>> block_of(0.02, 1e-4)
    200
    """
    return max(1, round(period / interval))


def _made(
    kind: ResidualKind | None, span: _Span, size: int, interval: float, before: float, after: float
) -> ResidualPulse:
    """Return a pulse with its brackets; ``before`` and ``after`` are how far it may reach beyond what is seen. [s]"""
    begins: Bracket = (
        max(0.0, (span.first - 1 - span.early) * interval - before),
        (span.first + span.early) * interval,
    )
    ends: Bracket | None = ((span.last - span.late) * interval, (span.last + 1 + span.late) * interval + after)
    if span.last + span.late >= size - 2 - round(after / interval):
        ends = None
    return ResidualPulse(kind=kind, began_s=begins, ended_s=ends, current_ma=Quantity(0.0, None, "mA"))


def _kind(part: Numbers, interval: float, period: float) -> tuple[ResidualKind | None, str]:
    """Tell a form by whole periods, or why it cannot be told."""
    block = block_of(period, interval)
    one_sided = min(float(np.maximum(part, 0.0).sum()), float(np.maximum(-part, 0.0).sum()))
    both = float(np.abs(part).sum()) - one_sided
    share = one_sided / both
    if share > BOTH_SIDES:
        return ResidualKind.ALTERNATING, ""
    if part.size < WHOLE_PERIODS * block:
        flat = float(np.mean(np.abs(part) > (1.0 - LOW) * np.abs(part).max()))
        if share < ONE_SIDE and part.size > block // 2 + LEAST_SAMPLES and flat > 1.0 - RESTING:
            return ResidualKind.SMOOTH, ""
        return None, "it was cut too soon to tell its form: state 'form'"
    if share > ONE_SIDE:
        return None, "it is neither of one side nor of both: state 'form'"
    whole = np.abs(part[: part.size // block * block]).reshape(-1, block)
    resting = float(np.median((whole < LOW * whole.max(axis=1, keepdims=True)).mean(axis=1)))
    return (ResidualKind.PULSATING if resting > RESTING else ResidualKind.SMOOTH), ""


def _smooth(part: Numbers, times: Numbers, interval: float) -> tuple[float, float]:
    """Return level at the beginning, with its sign, and how fast it grows; 0 where it stays. [V], [V/s]"""
    edge = min(part.size // 10, round(EDGE / interval))
    inner = slice(edge, max(edge + 3, part.size - edge))
    mean = float(part[inner].mean())
    slope, start = (float(one) for one in np.polyfit(times[inner], part[inner], 1))
    end = start + slope * float(times[-1])
    grows = abs(end) > RISES * abs(start) and float(times[-1]) * USUAL_FREQUENCIES[0] > FEWEST_PERIODS
    return (start, slope * math.copysign(1.0, mean)) if grows else (mean, 0.0)


def _angle(part: Numbers, times: Numbers, frequency: float) -> float:
    """Return at which angle half waves are cut, by the phase of the sine at which the first begins to conduct. [°]"""
    phase = _phase(part, times, frequency)
    return min(ANGLES_DEG, key=lambda angle: abs(phase - angle))


def _phase(part: Numbers, times: Numbers, frequency: float) -> float:
    """Return the phase of the sine at the first sample, of the first stretch that conducts to one side. [°]"""
    up = bool(np.median(part[:LEAST_SAMPLES]) > 0.0)
    side = part if up else -part
    other = np.flatnonzero(side < LOW * float(side.max()))
    behind = other[other > LEAST_SAMPLES]
    some = slice(0, int(behind[0]) if behind.size else part.size)
    turns = 2.0 * math.pi * frequency * times[some]
    rows = np.column_stack((np.sin(turns), np.cos(turns)))
    (sine, cosine), *_ = np.linalg.lstsq(rows, side[some], rcond=None)
    return math.degrees(math.atan2(float(cosine), float(sine)))


def _rms_part(kind: ResidualKind | None, angle_deg: float) -> float:
    """Return r.m.s. over amplitude of a sine, of which half waves from an angle on may be let through."""
    whole = 1.0 / math.sqrt(2.0)
    return whole * half_waves(angle_deg) if kind is ResidualKind.PULSATING else whole


def _amplitude(part: Numbers, times: Numbers, frequency: float) -> tuple[float, float]:
    """Return amplitude at the beginning, and how fast it grows, by a sine fitted to what conducts. [V], [V/s]"""
    block = block_of(1.0 / frequency, float(times[1] - times[0]))
    turns = 2.0 * math.pi * frequency * times
    conducts = np.abs(part) > LOW * np.abs(part).max()

    def fitted(place: slice) -> float:
        rows = np.column_stack((np.sin(turns[place]), np.cos(turns[place])))[conducts[place]]
        if rows.shape[0] < LEAST_SAMPLES:
            return math.nan
        weights, *_ = np.linalg.lstsq(rows, part[place][conducts[place]], rcond=None)
        return float(np.hypot(*weights))

    count = part.size // block
    if count >= FEWEST_PERIODS:
        levels = np.array([fitted(slice(place * block, (place + 1) * block)) for place in range(count)])
        middles = (np.arange(count) + 0.5) * block * float(times[1] - times[0])
        good = np.isfinite(levels)
        if good.sum() >= FEWEST_PERIODS // 2:
            slope, start = (float(one) for one in np.polyfit(middles[good], levels[good], 1))
            if start + slope * float(times[-1]) > RISES * start:
                return start, slope
    return fitted(slice(None)), 0.0


def _way(part: Numbers, times: Numbers, kind: ResidualKind | None, frequency: float, *, seen_late_deg: float) -> str:
    """Return at which phase an alternating current began, or to which side another goes; empty where at neither."""
    up = bool(np.median(part[:LEAST_SAMPLES]) > 0.0)
    if kind is ResidualKind.PULSATING:
        return "positive" if up else "negative"
    phase = _phase(part, times, frequency)
    near = abs(phase) <= NEAR_ZERO_DEG + seen_late_deg
    return ("0°" if up else "180°") if near else ""


def _rate(slope: float, sensor: CurrentSensor) -> float | None:
    return 1000.0 * slope / sensor.volts_per_ampere.value if slope else None


def _amperes(volts: float, sensor: CurrentSensor) -> Quantity:
    """Return a level of the channel as a current, with what is said of sensor and scope. [mA]"""
    gain = sensor.volts_per_ampere
    value = 1000.0 * volts / gain.value
    vertical = None if sensor.accuracy is None else sensor.accuracy.vertical
    if gain.u is None or vertical is None or sensor.accuracy is None:
        missing = "sensor" if gain.u is None else "scope"
        return Quantity(value, None, "mA", why=f"accuracy of the current's {missing} not stated")
    of_scope = vertical.components(volts, "V", id=f"{sensor.accuracy.id}: residual current", label="scope")
    parts = [replace(part, contribution=1000.0 * part.contribution / gain.value) for part in of_scope]
    parts += [replace(part, contribution=-value * part.contribution / gain.value) for part in _named(gain)]
    return assemble(value, "mA", [part for part in parts if part.contribution])


def _named(gain: Quantity) -> tuple[Component, ...]:
    if gain.components:
        label = "current sensor"
        return tuple(replace(part, id=part.id or label, label=part.label or label) for part in gain.components)
    return (Component(id="current sensor", label="current sensor", contribution=gain.u or 0.0, dof=gain.dof),)
