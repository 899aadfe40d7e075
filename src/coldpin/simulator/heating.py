"""A virtual heating test: a cable under current, sensors on it, a logger beside it, draughts and a wandering room.

What the sensors wrote comes with the truth: the temperatures as they were, and where each would have ended in still
air, which is found by running the finite volumes to their end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from coldpin.errors import OutsideRange, UnknownName
from coldpin.records.log import LOG_UNITS, Log, LogChannel, LogQuantity
from coldpin.simulator.cable import VirtualCable
from coldpin.simulator.cable_heat import settle, warm
from coldpin.simulator.cable_mesh import CableMesh, cut_cable
from coldpin.simulator.logger import Floats, Stamps, VirtualLogger, in_steps

LONGEST_STEP = 10.0
"""The finite volumes take no longer steps than this. [s]"""

AT = ("ambient", "sheath", "conductor", "plug", "connector", "plug joint", "connector joint")
"""Where a temperature can be read."""

ELECTRIC = {"current": LogQuantity.CURRENT, "drop": LogQuantity.VOLTAGE, "resistance": LogQuantity.RESISTANCE}
"""What else can be logged: the current, the voltage along a core between its joints, the quotient of both."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedSensor:
    """A column of a heating log.

    ``at``: one of :data:`AT` or of :data:`ELECTRIC`; ``place`` is how far along the cable, from the plug [m], ``core``
    the number of the loaded core, from 0. ``gain`` and ``offset`` are its errors, relative and in its unit, ``noise``
    is r.m.s., ``step`` what it is written in; ``lag`` a time constant [s]. ``lifted`` is the part of the rise over
    ambient that a sensor laid on a surface does not see [1].
    """

    name: str
    at: str
    place: float = 0.0
    core: int = 0
    gain: float = 0.0
    offset: float = 0.0
    noise: float = 0.05
    step: float = 0.1
    lag: float = 8.0
    lifted: float = 0.0

    def __post_init__(self) -> None:
        if self.at not in AT and self.at not in ELECTRIC:
            raise UnknownName.among("place of a virtual sensor", self.at, (*AT, *ELECTRIC))

    @property
    def quantity(self) -> LogQuantity:
        """What its column holds."""
        return ELECTRIC.get(self.at, LogQuantity.TEMPERATURE)


SENSORS = (
    LoggedSensor(name="ambient", at="ambient", lag=60.0),
    LoggedSensor(name="sheath", at="sheath", place=2.5),
    LoggedSensor(name="plug", at="plug"),
    LoggedSensor(name="current", at="current", noise=0.01, step=0.01, lag=0.0),
)
"""What an ordinary tester logs: the room, the sheath well away from both ends, the plug's face, the current."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingRun:
    """What happens during a test.

    ``currents``: so many seconds at so many amperes, one after another. ``ambient`` at the start [°C], with a ``drift``
    [K/h] and a swing of ``swing`` K every ``swing_period`` s. ``draughts`` come so often an hour, each blowing at up
    to ``draught`` m/s for some ``draught_seconds``. ``wobble`` is how the current wanders, r.m.s., relative.
    ``stopped_at``: the logger is switched off then, whatever still was to come [s].
    """

    currents: Sequence[tuple[float, float]] = ((3600.0, 16.0),)
    ambient: float = 21.0
    drift: float = 0.0
    swing: float = 0.0
    swing_period: float = 1500.0
    draughts: float = 0.0
    draught: float = 0.5
    draught_seconds: float = 40.0
    wobble: float = 0.0
    stopped_at: float | None = None

    @property
    def seconds(self) -> float:
        """How long it lasts. [s]"""
        return sum(seconds for seconds, _ in self.currents)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingTruth:
    """What really was: temperatures by column at each row, and where they end.

    ``at_rows``: by column an array of shape (n,), before any error of a sensor. ``ends``: by column where it comes in
    the end at ``current`` and ``ambient``, in still air. ``hottest`` is the hottest place of a conductor away from its
    ends, in the end [°C]. ``resistance_20`` of each loaded core between its joints [Ω].
    """

    at_rows: dict[str, Floats]
    ends: dict[str, float]
    hottest: float
    current: float
    ambient: float
    resistance_20: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SimulatedHeating:
    """A heating log, its stamps, and the truth behind it."""

    log: Log
    stamps: Stamps
    truth: HeatingTruth


def log_heating(
    cable: VirtualCable,
    run: HeatingRun,
    *,
    seed: int | np.random.Generator,
    sensors: Sequence[LoggedSensor] = SENSORS,
    logger: VirtualLogger | None = None,
) -> SimulatedHeating:
    """Warm a cable and write down what sensors show.

    Parameters
    ----------
    cable : VirtualCable
        The cable.
    run : HeatingRun
        What happens.
    seed : int or numpy.random.Generator
        Where draughts, noise and the logger's lapses come from.
    sensors : sequence of LoggedSensor
        The columns.
    logger : VirtualLogger, optional
        How it keeps time; a row every ten seconds if left out.

    Returns
    -------
    SimulatedHeating
        Log and truth.

    Raises
    ------
    OutsideRange
        The run is shorter than two rows, or the cable comes to no end.

    Examples
    --------
    >>> seen = log_heating(VirtualCable(), HeatingRun(stopped_at=600.0), seed=1)
    >>> [channel.name for channel in seen.log.channels], seen.log.rows
    (['ambient', 'sheath', 'plug', 'current'], 61)
    >>> bool(seen.log.channels[1].values[-1] < seen.truth.ends["sheath"])
    True
    """
    rng = np.random.default_rng(seed)
    mesh = cut_cable(cable)
    lasting = run.seconds if run.stopped_at is None else min(run.seconds, run.stopped_at)
    stamps = (logger or VirtualLogger(interval=10.0)).stamps(lasting, rng)
    time = np.linspace(0.0, lasting, int(np.ceil(lasting / LONGEST_STEP)) + 1)
    current = _currents(run, time, rng)
    ambient = run.ambient + run.drift / 3600.0 * time + run.swing * np.sin(2.0 * np.pi * time / run.swing_period)
    draught = _draughts(run, time, rng)
    seen = warm(mesh, time, current=current, ambient=ambient, draught=draught)
    given = _Given(mesh=mesh, temperatures=seen.temperatures, current=current, ambient=ambient)
    channels, rows = [], {}
    for sensor in sensors:
        true = given.read(sensor)
        rows[sensor.name] = np.interp(stamps.true_s, time, true)
        shown = np.interp(stamps.true_s, time, _shown(sensor, true, ambient, time))
        shown = shown + sensor.noise * rng.standard_normal(shown.size) if sensor.noise else shown
        quantity = sensor.quantity
        channels.append(
            LogChannel(
                name=sensor.name,
                quantity=quantity,
                unit=LOG_UNITS[quantity],
                values=in_steps(shown, sensor.step),
                resolution=sensor.step or None,
            )
        )
    last = max((amperes for _, amperes in run.currents), default=0.0)
    mean = float(ambient.mean())
    return SimulatedHeating(
        log=Log(
            time_s=stamps.time_s,
            channels=tuple(channels),
            clock_steps=stamps.clock_steps,
        ),
        stamps=stamps,
        truth=heating_end(mesh, current=last, ambient=mean, sensors=sensors, at_rows=rows),
    )


def heating_end(
    mesh: CableMesh,
    *,
    current: float,
    ambient: float,
    sensors: Sequence[LoggedSensor] = SENSORS,
    at_rows: dict[str, Floats] | None = None,
) -> HeatingTruth:
    """Return where a cable comes in the end in still air.

    Parameters
    ----------
    mesh : CableMesh
        The cable, cut.
    current : float
        Through every loaded core, such as the rated one. [A]
    ambient : float
        Of the surroundings, such as the highest. [°C]
    sensors : sequence of LoggedSensor
        What is asked for.
    at_rows : dict, optional
        Truth by column at the rows of a log, which is passed on.

    Returns
    -------
    HeatingTruth
        The end.

    Raises
    ------
    OutsideRange
        The cable comes to no end.

    Examples
    --------
    >>> end = heating_end(cut_cable(VirtualCable()), current=16.0, ambient=30.0)
    >>> 30.0 < end.ends["plug"] < end.ends["sheath"] < end.hottest < 50.0
    True
    """
    end = settle(mesh, current=current, ambient=ambient)
    given = _Given(mesh=mesh, temperatures=end[None, :], current=np.array([current]), ambient=np.array([ambient]))
    middle = mesh.widths.size // 2
    return HeatingTruth(
        at_rows=at_rows or {},
        ends={sensor.name: float(given.read(sensor)[0]) for sensor in sensors},
        hottest=float(end[mesh.metal[:, middle]].max()),
        current=current,
        ambient=ambient,
        resistance_20=mesh.resistance_20 * mesh.cable.length,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Given:
    """A cable's temperatures at m instants, and what was done to it."""

    mesh: CableMesh
    temperatures: Floats
    current: Floats
    ambient: Floats

    def read(self, sensor: LoggedSensor) -> Floats:
        """Return what is at a sensor's place: array of shape (m,)."""
        mesh, found = self.mesh, self.temperatures
        end = 1 if sensor.at.startswith("connector") else 0
        match sensor.at:
            case "ambient":
                return self.ambient
            case "sheath":
                return mesh.along(found[:, mesh.surface], sensor.place)
            case "conductor":
                return mesh.along(found[:, mesh.metal[sensor.core]], sensor.place)
            case "plug" | "connector":
                return np.asarray(found[:, mesh.bodies[end]])
            case "plug joint" | "connector joint":
                return np.asarray(found[:, mesh.joints[end, sensor.core]])
            case "current":
                return self.current
        resistance = mesh.core_resistance(found, sensor.core)
        return resistance if sensor.at == "resistance" else resistance * self.current


def _shown(sensor: LoggedSensor, true: Floats, ambient: Floats, time: Floats) -> Floats:
    """Return what a sensor shows, but for its noise: array of shape (m,)."""
    seen = true - sensor.lifted * (true - ambient) if sensor.quantity is LogQuantity.TEMPERATURE else true
    if sensor.lag > 0.0 and time.size > 1:
        keeps = float(np.exp(-(time[1] - time[0]) / sensor.lag))
        seen = seen[0] + np.asarray(lfilter([1.0 - keeps], [1.0, -keeps], seen - seen[0]))
    return seen * (1.0 + sensor.gain) + sensor.offset


def _currents(run: HeatingRun, time: Floats, rng: np.random.Generator) -> Floats:
    """Return the current in the step that ends at each instant: array of shape (m,). [A]"""
    if not run.currents:
        raise OutsideRange("virtual heating: no current is given; give seconds and amperes")
    ends = np.cumsum([seconds for seconds, _ in run.currents])
    which = np.minimum(np.searchsorted(ends, time - 1e-9), len(run.currents) - 1)
    amperes = np.array([amperes for _, amperes in run.currents])[which]
    if not run.wobble:
        return np.asarray(amperes)
    # a current source wanders slowly: steps of a fading memory, as strong in the long run as said
    memory = 0.98
    wander = lfilter([np.sqrt(1.0 - memory**2)], [1.0, -memory], rng.standard_normal(time.size))
    return np.asarray(amperes * (1.0 + run.wobble * wander))


def _draughts(run: HeatingRun, time: Floats, rng: np.random.Generator) -> Floats:
    """Return the speed of the air in the step that ends at each instant: array of shape (m,). [m/s]"""
    speed = np.zeros(time.size)
    for _ in range(rng.poisson(run.draughts * time[-1] / 3600.0)):
        start, lasts = rng.uniform(0.0, time[-1]), rng.exponential(run.draught_seconds)
        blows: NDArray[np.bool_] = (time >= start) & (time < start + lasts)
        speed[blows] = np.maximum(speed[blows], rng.uniform(0.3, 1.0) * run.draught)
    return speed


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorLimits:
    """Half-widths from which the errors of temperature sensors are drawn: offset [K], gain and lifting [1]."""

    offset: float = 0.5
    gain: float = 0.004
    lifted: float = 0.04


def draw_sensors(
    rng: np.random.Generator, sensors: Sequence[LoggedSensor] = SENSORS, limits: SensorLimits | None = None
) -> tuple[LoggedSensor, ...]:
    """Return sensors with errors drawn within limits, as thermocouples of one logger have them.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where the errors come from.
    sensors : sequence of LoggedSensor
        The sensors without errors.
    limits : SensorLimits, optional
        Their limits.

    Returns
    -------
    tuple of LoggedSensor
        The same places; electric columns are given gain errors only.

    Examples
    --------
    >>> drawn = draw_sensors(np.random.default_rng(1))
    >>> abs(drawn[0].offset) <= 0.5, drawn[3].offset
    (True, 0.0)
    """
    limit = limits or SensorLimits()
    drawn = []
    for sensor in sensors:
        offset, gain, lifted = rng.uniform(-1.0, 1.0), rng.uniform(-1.0, 1.0), rng.uniform(0.0, 1.0)
        thermal = sensor.quantity is LogQuantity.TEMPERATURE
        laid = sensor.at in ("sheath", "plug", "connector")
        drawn.append(
            replace(
                sensor,
                gain=sensor.gain + gain * limit.gain,
                offset=sensor.offset + (offset * limit.offset if thermal else 0.0),
                lifted=lifted * limit.lifted if laid else sensor.lifted,
            )
        )
    return tuple(drawn)
