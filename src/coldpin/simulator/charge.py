"""A charge as a power meter logs it: supply with its impedance, the unit's own draw, a car, a meter with its steps."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from coldpin.records.log import LOG_UNITS, Log, LogChannel, LogQuantity
from coldpin.simulator.car import CarEvent, Segment, VirtualCar, Visit, course_of
from coldpin.simulator.charge_line import DAY, DRAWING, ChargeLine, VirtualSupply, open_circuit
from coldpin.simulator.logger import Stamps, VirtualLogger, in_steps


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualPowerMeter:
    """A meter with relative gain errors, noise as a part of the reading, and steps of its columns.

    ``means``: whether a row holds the mean since the row before, or the value of the moment. ``survives``: whether it
    writes rows while the supply is lost. ``columns`` are what it writes, with the step of each.
    """

    columns: Mapping[LogQuantity, float] = field(
        default_factory=lambda: {
            LogQuantity.POWER: 1.0,
            LogQuantity.CURRENT: 0.01,
            LogQuantity.VOLTAGE: 0.1,
            LogQuantity.POWER_FACTOR: 0.01,
            LogQuantity.ENERGY: 1.0,
        }
    )
    power_gain: float = 0.0
    current_gain: float = 0.0
    voltage_gain: float = 0.0
    noise: float = 5.0e-4
    means: bool = False
    survives: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class TruePhase:
    """A stretch of a charge as it was, by the clock of the log from its first row. [s], [A], [W]

    ``kind``: "waiting", "ramp", "steady", "reduced", "taper", "paused", "supply lost" or "ended".
    """

    kind: str
    start_s: float
    end_s: float
    current: float
    power: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedMark:
    """An event as somebody wrote it down by another clock.

    ``true_s`` is when it was, by the clock of the log from its first row; ``shown_s`` what was written, in seconds from
    the same instant by the other clock. ``current`` is what the car drew. [s], [A]
    """

    kind: str
    true_s: float
    shown_s: float
    current: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargeTruth:
    """What really was. ``energy_wh`` from the first row to the last, ``outages`` by the log's clock. [s]"""

    phases: tuple[TruePhase, ...]
    energy_wh: float
    outages: tuple[tuple[float, float], ...]
    standby_w: float
    segments: tuple[Segment, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SimulatedCharge:
    """A power log with the truth behind it, and the marks beside it."""

    log: Log
    stamps: Stamps
    truth: ChargeTruth
    marks: tuple[SimulatedMark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkClock:
    """The watch by which events are written down.

    It is ``offset`` ahead of the log's clock [s], read to ``step`` s, by a hand that is up to ``late`` s late.
    """

    offset: float = 0.0
    step: float = 1.0
    late: float = 0.8


def log_charge(
    car: VirtualCar,
    visits: Sequence[Visit],
    *,
    seconds: float,
    seed: int | np.random.Generator,
    supply: VirtualSupply | None = None,
    meter: VirtualPowerMeter | None = None,
    logger: VirtualLogger | None = None,
    clock: MarkClock | None = None,
    standby: float = 1.6,
    standby_reactive: float = -9.0,
) -> SimulatedCharge:
    """Charge a car and write down what a power meter shows.

    Parameters
    ----------
    car : VirtualCar
        The car.
    visits : sequence of Visit
        When it comes, what it is offered, when it is unlocked, when it goes.
    seconds : float
        How long is logged. [s]
    seed : int or numpy.random.Generator
        Where the supply's wander, noise, and the logger's lapses come from.
    supply : VirtualSupply, optional
        The supply; an ordinary one without outages if left out.
    meter : VirtualPowerMeter, optional
        The meter; one without gain errors if left out.
    logger : VirtualLogger, optional
        How it keeps time; a row each second if left out.
    clock : MarkClock, optional
        The watch by which events are marked; one that agrees with the log's clock if left out.
    standby : float
        What the unit itself draws. [W]
    standby_reactive : float
        And its reactive power. [var]

    Returns
    -------
    SimulatedCharge
        Log, truth and marks.

    Raises
    ------
    OutsideRange
        Visits or outages are out of order, or the run is too short for two rows.

    Examples
    --------
    >>> visit = Visit(plugged=20.0, unplugged=580.0, offer=[(0.0, 16.0), (300.0, 10.0)], unlock=500.0)
    >>> seen = log_charge(VirtualCar(), [visit], seconds=600.0, seed=1)
    >>> [phase.kind for phase in seen.truth.phases]
    ['waiting', 'ramp', 'steady', 'ramp', 'reduced', 'ramp', 'ended']
    >>> [mark.kind for mark in seen.marks]
    ['plugged in', 'offer lowered', 'unlock', 'lock released', 'unplugged']
    """
    rng = np.random.default_rng(seed)
    mains, by, keeps = supply or VirtualSupply(), meter or VirtualPowerMeter(), logger or VirtualLogger()
    segments, events = course_of(car, visits, seconds=seconds, outages=mains.outages)
    if not by.survives:
        keeps = _with_gaps(keeps, mains.outages)
    stamps = keeps.stamps(seconds, rng)
    line = ChargeLine(
        segments=segments,
        supply=mains,
        open_circuit=open_circuit(mains, seconds, rng),
        standby=(standby, standby_reactive),
        reactive=car.reactive,
    )
    rows = line.rows(stamps.true_s, means=by.means)
    gains = {
        LogQuantity.POWER: by.power_gain,
        LogQuantity.ENERGY: by.power_gain,
        LogQuantity.CURRENT: by.current_gain,
        LogQuantity.VOLTAGE: by.voltage_gain,
    }
    channels = []
    for quantity, step in by.columns.items():
        values = rows[quantity] * (1.0 + gains.get(quantity, 0.0))
        if quantity is not LogQuantity.ENERGY and by.noise:
            values = values * (1.0 + by.noise * rng.standard_normal(values.size))
        channels.append(
            LogChannel(
                name=quantity.value,
                quantity=quantity,
                unit=LOG_UNITS[quantity],
                values=in_steps(values, step),
                resolution=step or None,
            )
        )
    first = float(stamps.true_s[0])

    def by_log(at: float) -> float:
        return (at - first) * (1.0 + keeps.clock_rate)

    phases = _phases(segments)
    edges = np.array([phases[0][1], *(end for _, _, end in phases)])
    powers = 3600.0 * np.diff(line.energy(edges)) / np.diff(edges)
    energy = line.energy(stamps.true_s[[0, -1]])
    return SimulatedCharge(
        log=Log(time_s=stamps.time_s, channels=tuple(channels), clock_steps=stamps.clock_steps),
        stamps=stamps,
        truth=ChargeTruth(
            phases=tuple(
                TruePhase(
                    kind=kind,
                    start_s=by_log(start),
                    end_s=by_log(end),
                    current=line.mean_current(start, end),
                    power=float(power),
                )
                for (kind, start, end), power in zip(phases, powers, strict=True)
            ),
            energy_wh=float(energy[1] - energy[0]),
            outages=tuple((by_log(start), by_log(end)) for start, end in mains.outages),
            standby_w=standby,
            segments=segments,
        ),
        marks=_marks(events, by_log, clock or MarkClock(), rng),
    )


def _phases(segments: Sequence[Segment]) -> list[tuple[str, float, float]]:
    """Return kind, start and end of phases: rests by what comes before and after them, levels by those held before."""
    draws = [place for place, one in enumerate(segments) if one.kind in DRAWING]
    found: list[tuple[str, float, float]] = []
    held = 0.0
    for place, one in enumerate(segments):
        kind = one.kind
        if kind == "away":
            held = 0.0
        if kind in ("away", "resting"):
            before, after = bool(draws) and place > draws[0], bool(draws) and place < draws[-1]
            kind = "paused" if before and after else "ended" if before else "waiting"
        elif kind == "level":
            kind = "reduced" if one.level < LOWER * held else "steady"
            held = max(held, one.level)
        if found and found[-1][0] == kind and one.kind != "level":
            found[-1] = (kind, found[-1][1], one.end)
        else:
            found.append((kind, one.start, one.end))
    return found


def _marks(
    events: Sequence[CarEvent], by_log: Callable[[float], float], clock: MarkClock, rng: np.random.Generator
) -> tuple[SimulatedMark, ...]:
    found = []
    for event in events:
        true = by_log(event.at)
        noted = true + clock.offset + float(rng.uniform(0.0, clock.late))
        shown = float(np.floor(noted / clock.step) * clock.step) if clock.step else noted
        found.append(SimulatedMark(kind=event.kind, true_s=true, shown_s=shown, current=event.current))
    return tuple(found)


def _with_gaps(logger: VirtualLogger, outages: Sequence[tuple[float, float]]) -> VirtualLogger:
    return replace(logger, gaps=(*logger.gaps, *outages))


LOWER = 0.97
"""A level below this part of the highest one held before in the same visit is a reduced one. [1]"""


def month_of_charging(
    seed: int, *, days: int = 30, interval: float = 1.0, car: VirtualCar | None = None, outages: int = 2
) -> SimulatedCharge:
    """Log a month of ordinary charging: plugged in on most evenings, unlocked in the mornings, an outage now and then.

    Parameters
    ----------
    seed : int
        Another seed is another month.
    days : int
        How many.
    interval : float
        Between rows. [s]
    car : VirtualCar, optional
        The car; an ordinary one if left out.
    outages : int
        How many outages, each of some minutes.

    Returns
    -------
    SimulatedCharge
        Log, truth and marks.

    Examples
    --------
    >>> month_of_charging(1, days=2, interval=60.0).log.rows
    2881
    """
    rng = np.random.default_rng(seed)
    visits, lost = [], []
    for day in range(days):
        if rng.random() < USED_DAYS:
            plugged = (day + rng.uniform(0.70, 0.85)) * DAY
            unplugged = min((day + 1 + rng.uniform(0.25, 0.35)) * DAY, days * DAY - 1.0)
            if unplugged - plugged > DAY / 24.0:
                offer = [(plugged, float(rng.choice([10.0, 16.0, 32.0])))]
                visits.append(
                    Visit(plugged=plugged, unplugged=unplugged, offer=offer, unlock=unplugged - rng.uniform(15.0, 60.0))
                )
    for day in sorted(int(one) for one in rng.choice(days, size=min(outages, days), replace=False)):
        start = (day + rng.uniform(0.1, 0.9)) * DAY
        lost.append((start, start + rng.uniform(60.0, 1800.0)))
    return log_charge(
        car or VirtualCar(),
        visits,
        seconds=days * DAY,
        seed=rng,
        supply=VirtualSupply(outages=lost),
        logger=VirtualLogger(interval=interval),
    )


USED_DAYS = 0.75
"""Part of the evenings on which the car is plugged in. [1]"""
