"""A virtual capture: the pilot as the scope shows it, and beside it the truth that only a simulator knows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.records.waveform import Waveform
from coldpin.simulator import nominal
from coldpin.simulator.bench import Bench
from coldpin.simulator.circuit import Driver, Network, Trajectory, step_through
from coldpin.simulator.connection import network
from coldpin.simulator.controller import follow
from coldpin.simulator.course import Condition, Course
from coldpin.simulator.interference import Spike, added_by, draw_spikes
from coldpin.simulator.load import Schedule
from coldpin.simulator.oscillator import driver_edges
from coldpin.simulator.output import seen_by_sensor
from coldpin.simulator.scope import digitise
from coldpin.simulator.truth import CaptureTruth, truth_of
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle

SAME_START = 1.0e-7
"""Two stretches that start within this voltage of each other are stepped once and used twice. [V]"""

_KEPT_TRAJECTORIES = 512


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SimulatedCapture:
    """A waveform as a reader of captures would deliver it, and the truth behind it."""

    waveform: Waveform
    truth: CaptureTruth


def simulate_capture(
    unit: VirtualUnit,
    vehicle: VirtualVehicle,
    schedule: Schedule,
    bench: Bench,
    *,
    seed: int | np.random.Generator,
    sample_interval: float = 1.0e-6,
    start: float = 0.0,
    with_output: bool = False,
) -> SimulatedCapture:
    """Connect loads to a unit one after the other and capture its pilot.

    The circuit is stepped from each edge of the oscillator and each change of load until it rests; a stretch that
    starts from the same voltage under the same parts is stepped once. Each sample is then looked up at its own
    instant by the scope's clock. The phase of the oscillator at the first sample is random.

    Parameters
    ----------
    unit : VirtualUnit
        The unit under test.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    schedule : sequence of (float, str)
        What is connected for how long: seconds and load; the capture is as long as all of it.
    bench : Bench
        The instruments, with their errors.
    seed : int or numpy.random.Generator
        Where phase, jitter and noise come from.
    sample_interval : float
        Time between samples by the scope's clock. [s]
    start : float
        Time the scope gives the first sample. [s]
    with_output : bool
        Whether the second channel sees the output.

    Returns
    -------
    SimulatedCapture
        Waveform and truth.

    Raises
    ------
    OutsideRange
        The sample interval is not above zero, or nothing is sampled in the time given.

    Examples
    --------
    >>> from coldpin.simulator.bench import set_up_bench
    >>> from coldpin.simulator.scope import VirtualScope
    >>> bench = set_up_bench(VirtualScope(), seed=1)
    >>> capture = simulate_capture(VirtualUnit(), VirtualVehicle(), [(0.01, "A"), (0.06, "B")], bench, seed=1)
    >>> [run.state for run in capture.truth.runs], capture.waveform.samples
    (['A1', 'B1', 'B2'], 70000)
    """
    waveform, course, spikes = _simulated(
        unit, vehicle, schedule, bench, seed=seed, interval=sample_interval, start=start, with_output=with_output
    )
    return SimulatedCapture(waveform=waveform, truth=truth_of(unit, vehicle, course, bench.scope, spikes))


def simulate_waveform(
    unit: VirtualUnit,
    vehicle: VirtualVehicle,
    schedule: Schedule,
    bench: Bench,
    *,
    seed: int | np.random.Generator,
    sample_interval: float = 1.0e-6,
    with_output: bool = False,
) -> Waveform:
    """Capture as :func:`simulate_capture` does, without finding out the truth, which takes as long again.

    Parameters
    ----------
    unit : VirtualUnit
        The unit under test.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    schedule : sequence of (float, str)
        What is connected for how long: seconds and load; the capture is as long as all of it.
    bench : Bench
        The instruments, with their errors.
    seed : int or numpy.random.Generator
        Where phase, jitter and noise come from.
    sample_interval : float
        Time between samples by the scope's clock. [s]
    with_output : bool
        Whether the second channel sees the output.

    Returns
    -------
    Waveform
        That of :func:`simulate_capture` with the same seed.

    Raises
    ------
    OutsideRange
        The sample interval is not above zero, or nothing is sampled in the time given.
    """
    return _simulated(
        unit, vehicle, schedule, bench, seed=seed, interval=sample_interval, start=0.0, with_output=with_output
    )[0]


def _simulated(
    unit: VirtualUnit,
    vehicle: VirtualVehicle,
    schedule: Schedule,
    bench: Bench,
    *,
    seed: int | np.random.Generator,
    interval: float,
    start: float,
    with_output: bool,
) -> tuple[Waveform, Course, tuple[Spike, ...]]:
    rng = np.random.default_rng(seed)
    # Drawn apart, so that with the same seed a fault of the pilot leaves the output as it was, and the other way.
    for_relay, for_output, for_spikes = rng.spawn(3)
    course = follow(unit, vehicle, schedule, rng=for_relay)
    parts = course.conditions
    times = _sample_times(parts[-1].end, interval, bench)
    # A scope with a slow clock is still sampling when the schedule ends: what was connected last stays connected.
    parts = (*parts[:-1], replace(parts[-1], end=max(parts[-1].end, float(times[-1]) + interval)))
    course = replace(course, conditions=parts)
    events, paths = _events(unit, vehicle, parts, bench, rng)
    pilot = _seen_at(times, events, paths)
    spikes = draw_spikes(unit, parts[-1].end, for_spikes)
    pilot += added_by(spikes, times)
    pilot += _ripple(pilot, times, unit, vehicle, parts, bench, rng)
    voltage, beyond = _through_scope(pilot, times, bench, rng)
    output, output_beyond = _output(times, unit, course, bench, for_output) if with_output else (None, None)
    waveform = Waveform(
        voltage=voltage,
        sample_interval=interval,
        start=start,
        output=output,
        overload=_marks(beyond, output_beyond),
        resolution=bench.scope.step,
    )
    return waveform, course, spikes


def _sample_times(duration: float, sample_interval: float, bench: Bench) -> NDArray[np.float64]:
    if not sample_interval > 0.0:
        raise OutsideRange(f"virtual capture: the sample interval is {sample_interval:g} s; it must be above zero")
    count = round(duration / sample_interval)
    if count < 2:
        raise OutsideRange(
            f"virtual capture: {duration:g} s hold {count} samples of {sample_interval:g} s; make the schedule longer"
        )
    return np.arange(count, dtype=np.float64) * (sample_interval * (1.0 + bench.timebase))


def _driver_events(
    unit: VirtualUnit, parts: Sequence[Condition], edges: NDArray[np.float64], rising: NDArray[np.bool_]
) -> Iterator[tuple[float, str, float]]:
    """Yield every instant at which something changes: when, what is connected from then on, the driver's level."""
    levels = {True: unit.rail_high, False: unit.rail_low}
    at_rest = {"high": unit.rail_high, "low": unit.rail_low, "off": 0.0}
    for part in parts:
        first, past = (int(at) for at in np.searchsorted(edges, [part.start, part.end]))
        yield part.start, part.load, levels[bool(rising[first - 1])] if part.oscillating else at_rest[part.rest]
        if part.oscillating:
            for at in range(first, past):
                yield float(edges[at]), part.load, levels[bool(rising[at])]


@lru_cache(maxsize=_KEPT_TRAJECTORIES)
def _stepped(parts: Network, driver: Driver, voltage: float, seen: float) -> Trajectory:
    return step_through(parts, driver, voltage=voltage, seen=seen)


def _events(
    unit: VirtualUnit,
    vehicle: VirtualVehicle,
    parts: Sequence[Condition],
    bench: Bench,
    rng: np.random.Generator,
) -> tuple[NDArray[np.float64], list[Trajectory]]:
    """Step the circuit through all events: their instants, and the trajectory that follows each."""
    # Two periods before the first sample, so that an oscillating pilot already repeats itself there.
    begin = parts[0].start - 2.0 / unit.frequency
    whole = (replace(parts[0], start=begin), *parts[1:])
    edges, rising = driver_edges(unit, whole, rng)
    networks = {part.load: network(unit, vehicle, part.load, probe=bench.scope.probe) for part in parts}
    first = networks[parts[0].load]
    level = 0.0 if parts[0].rest == "off" else unit.rail_high
    now = seen = 0.0 if math.isinf(first.source_resistance) else first.settled(level)
    times: list[float] = []
    paths: list[Trajectory] = []
    before, turned = level, -math.inf
    for at, load, new_level in _driver_events(unit, whole, edges, rising):
        if paths:
            now, seen = paths[-1].at(at - times[-1])
        if new_level != level:
            before, level, turned = level, new_level, at
        ramp = unit.edge_time if before and level else nominal.DRIVER_COLLAPSE
        driver = Driver(start=before, end=level, edge_time=ramp, since=min(at - turned, ramp))
        times.append(at)
        paths.append(_stepped(networks[load], driver, _rounded(now), _rounded(seen)))
    return np.array(times), paths


def _rounded(voltage: float) -> float:
    return round(voltage / SAME_START) * SAME_START


def _seen_at(
    times: NDArray[np.float64], events: NDArray[np.float64], paths: Sequence[Trajectory]
) -> NDArray[np.float64]:
    """Look each sample up on the trajectory of the event before it."""
    number: dict[int, int] = {}
    for path in paths:
        number.setdefault(id(path), len(number))
    distinct = {number[id(path)]: path for path in paths}
    of_event = np.array([number[id(path)] for path in paths])
    event = np.searchsorted(events, times, side="right") - 1
    elapsed = times - events[event]
    of_sample = of_event[event]
    order = np.argsort(of_sample, kind="stable")
    bounds = np.searchsorted(of_sample[order], np.arange(len(distinct) + 1))
    seen = np.empty_like(times)
    for which, path in distinct.items():
        here = order[bounds[which] : bounds[which + 1]]
        seen[here] = np.interp(elapsed[here], path.elapsed, path.seen)
    return seen


def _ripple(
    pilot: NDArray[np.float64],
    times: NDArray[np.float64],
    unit: VirtualUnit,
    vehicle: VirtualVehicle,
    parts: Sequence[Condition],
    bench: Bench,
    rng: np.random.Generator,
) -> NDArray[np.float64]:
    """Return what the rails' ripple adds at the pilot: it follows its rails without lag, as far as the load lets it."""
    added = np.zeros_like(times)
    if not unit.ripple or unit.pilot == "open":
        return added
    moved = unit.ripple * np.sin(2.0 * math.pi * unit.ripple_frequency * times + float(rng.uniform(0.0, 2.0 * math.pi)))
    for part in parts:
        here = network(unit, vehicle, part.load, probe=bench.scope.probe)
        high, low = (here.follows(here.settled(rail)) for rail in (unit.rail_high, unit.rail_low))
        if part.rest == "off":
            continue
        chosen = slice(*np.searchsorted(times, [part.start, part.end]))
        added[chosen] = moved[chosen] * np.where(pilot[chosen] > 0.0, high, low)
    return added


def _through_scope(
    pilot: NDArray[np.float64], times: NDArray[np.float64], bench: Bench, rng: np.random.Generator
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    scope = bench.scope
    read = pilot * (1.0 + bench.gain) + bench.offset
    if scope.hum:
        read += scope.hum * np.sin(2.0 * math.pi * scope.hum_frequency * times + float(rng.uniform(0.0, 2.0 * math.pi)))
    if scope.noise:
        read += rng.normal(0.0, scope.noise, times.size)
    return digitise(read, full_scale=scope.full_scale, bits=scope.bits)


def _output(
    times: NDArray[np.float64],
    unit: VirtualUnit,
    course: Course,
    bench: Bench,
    rng: np.random.Generator,
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Return the second channel: what the sensor sees, through its own gain error, noise and converter."""
    voltage = seen_by_sensor(times, unit, course, bench.sensor, phase=float(rng.uniform(0.0, 2.0 * math.pi)))
    voltage *= 1.0 + bench.output_gain
    voltage += rng.normal(0.0, bench.scope.output_noise, times.size)
    return digitise(voltage, full_scale=bench.scope.output_full_scale, bits=bench.scope.bits)


def _marks(beyond: NDArray[np.bool_], output_beyond: NDArray[np.bool_] | None) -> NDArray[np.bool_] | None:
    marks = beyond if output_beyond is None else beyond | output_beyond
    return marks if bool(marks.any()) else None
