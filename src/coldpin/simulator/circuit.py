"""The pilot circuit, stepped through time part by part.

One driver with its ramp, one source resistance, one capacitor from pilot to earth, a shunt, and a junction diode in
series with a resistor. Behind the node sits the scope's input as one pole, stepped along. The capacitor is stepped by
the trapezoidal rule; each step is solved by Newton's method. Steps are short after an event and grow with the time
since it, because nothing fast can happen later. Left out: junction capacitance and stored charge of the diode (a few
nanoseconds for the parts used here) and the inductance of the cable.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

from coldpin.errors import OutsideRange
from coldpin.simulator import nominal

FIRST_STEP = 2.0e-8
"""Longest step at an event; a tenth of the fastest time constant where that is shorter. [s]"""

GROWTH = 0.01
"""Longest step as a part of the time since the event. [1]"""

SETTLED = 40.0
"""Time constants after which nothing is left to step: exp(-40) of 24 V is far below the rounding of a float. [1]"""

_NEWTON_STEPS = 60
_NEWTON_TOLERANCE = 1.0e-10


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """The parts between driver and earth while nothing is being switched.

    ``source_resistance`` [Ω] is infinite where the pilot is broken between driver and connector. ``shunt`` is the
    conductance straight to earth: probe and short [S]. ``load`` is the resistor behind the diode [Ω], infinite where
    there is none; ``diode`` false puts a wire in the diode's place. ``scope_lag`` is the time constant of the scope's
    input [s].
    """

    source_resistance: float
    capacitance: float
    shunt: float
    load: float
    diode: bool
    diode_saturation: float
    diode_emission: float
    scope_lag: float

    def load_current(self, voltage: float) -> float:
        """Return the current that leaves the node through shunt and load.

        The junction obeys Shockley's law and the resistor Ohm's; the current through both in series is closed in
        Wright's omega function.

        Parameters
        ----------
        voltage : float
            Pilot to earth. [V]

        Returns
        -------
        float
            Current to earth. [A]

        Examples
        --------
        >>> network = Network(source_resistance=1000.0, capacitance=2e-9, shunt=0.0, load=2740.0, diode=True,
        ...                   diode_saturation=2.52e-9, diode_emission=1.752, scope_lag=0.0)
        >>> current = network.load_current(9.0)
        >>> drop = 1.752 * 0.02585 * math.log(current / 2.52e-9 + 1.0)
        >>> round(drop + 2740.0 * current, 9)
        9.0
        """
        through_shunt = self.shunt * voltage
        if math.isinf(self.load):
            return through_shunt
        if not self.diode:
            return through_shunt + voltage / self.load
        return through_shunt + self._series(voltage)[0]

    def load_conductance(self, voltage: float) -> float:
        """Return the slope of :meth:`load_current`.

        Parameters
        ----------
        voltage : float
            Pilot to earth. [V]

        Returns
        -------
        float
            Differential conductance. [S]
        """
        if math.isinf(self.load):
            return self.shunt
        if not self.diode:
            return self.shunt + 1.0 / self.load
        return self.shunt + self._series(voltage)[1]

    def _series(self, voltage: float) -> tuple[float, float]:
        scale = self.diode_emission * nominal.THERMAL_VOLTAGE
        offset = self.diode_saturation * self.load / scale
        omega = float(special.wrightomega(voltage / scale + offset + math.log(offset)))
        # Far below zero omega is the exponential itself and vanishes: the junction then leaks its saturation current.
        current = scale / self.load * omega - self.diode_saturation
        return current, omega / (1.0 + omega) / self.load

    def settled(self, driver: float) -> float:
        """Return the voltage at which the node comes to rest under a steady driver.

        Parameters
        ----------
        driver : float
            Driver level. [V]

        Returns
        -------
        float
            Pilot to earth. [V]

        Examples
        --------
        >>> unloaded = Network(source_resistance=1000.0, capacitance=2e-9, shunt=1e-7, load=math.inf, diode=True,
        ...                    diode_saturation=2.52e-9, diode_emission=1.752, scope_lag=0.0)
        >>> round(unloaded.settled(12.0), 4)
        11.9988
        """
        conductance = 1.0 / self.source_resistance

        def surplus(voltage: float) -> float:
            return conductance * (driver - voltage) - self.load_current(voltage)

        reach = abs(driver) + 1.0
        return float(optimize.brentq(surplus, -reach, reach, xtol=1e-12, rtol=1e-14))

    def follows(self, voltage: float) -> float:
        """Return the part of a slow movement of the driver that shows at the node.

        Parameters
        ----------
        voltage : float
            Where the node is at rest. [V]

        Returns
        -------
        float
            Change at the node per change of the driver. [1]
        """
        conductance = 1.0 / self.source_resistance
        if conductance == 0.0:
            return 0.0
        return conductance / (conductance + self.load_conductance(voltage))

    @property
    def time_constant(self) -> float:
        """The slowest time constant of the node itself, with the diode off. [s]"""
        conductance = 1.0 / self.source_resistance + self.shunt
        return self.capacitance / conductance if conductance > 0.0 else math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """The driver's level from an event on: a straight ramp that began ``since`` seconds before the event, then rest.

    ``start`` and ``end`` are the levels [V], ``edge_time`` is the whole ramp [s].
    """

    start: float
    end: float
    edge_time: float
    since: float = 0.0

    def level(self, elapsed: float) -> float:
        """Return the level some time after the event.

        Parameters
        ----------
        elapsed : float
            Time since the event. [s]

        Returns
        -------
        float
            Driver level. [V]
        """
        part = (elapsed + self.since) / self.edge_time
        return self.end if part >= 1.0 else self.start + (self.end - self.start) * part


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trajectory:
    """Node and scope input after an event, until both are at rest.

    ``elapsed``: array of shape (k,), time since the event. [s] ``voltage``: array of shape (k,), pilot to earth. [V]
    ``seen``: array of shape (k,), behind the scope's input. [V] Past the last step both keep their last value.
    """

    elapsed: NDArray[np.float64]
    voltage: NDArray[np.float64]
    seen: NDArray[np.float64]

    def at(self, elapsed: float) -> tuple[float, float]:
        """Return node and scope input some time after the event.

        Parameters
        ----------
        elapsed : float
            Time since the event. [s]

        Returns
        -------
        tuple of float
            Voltage at the node and behind the scope's input. [V]
        """
        if elapsed >= self.elapsed[-1]:
            return float(self.voltage[-1]), float(self.seen[-1])
        return float(np.interp(elapsed, self.elapsed, self.voltage)), float(np.interp(elapsed, self.elapsed, self.seen))

    def crossing(self) -> float | None:
        """Return when the node first passes through zero volts, or None where it does not.

        Returns
        -------
        float or None
            Time since the event. [s]
        """
        sign = self.voltage > 0.0
        changes = np.flatnonzero(sign[1:] != sign[:-1])
        if changes.size == 0:
            return None
        at = int(changes[0])
        low, high = self.voltage[at], self.voltage[at + 1]
        part = low / (low - high)
        return float(self.elapsed[at] + part * (self.elapsed[at + 1] - self.elapsed[at]))


def step_grid(network: Network, driver: Driver) -> NDArray[np.float64]:
    """Return the instants at which the circuit is stepped after an event.

    Parameters
    ----------
    network : Network
        The parts.
    driver : Driver
        The ramp, whose end is one of the instants.

    Returns
    -------
    numpy.ndarray
        Array of shape (k,), from 0 until everything is at rest. [s]

    Raises
    ------
    OutsideRange
        The pilot is broken and has no discharge path, so nothing would ever come to rest.
    """
    slowest = network.time_constant + network.scope_lag
    if not math.isfinite(slowest):
        raise OutsideRange("virtual pilot: nothing connects the pilot to anything; give the scope's probe a resistance")
    fastest = min(network.time_constant, network.scope_lag or network.time_constant)
    first = min(FIRST_STEP, 0.1 * fastest)
    ramp_left = max(0.0, driver.edge_time - driver.since)
    horizon = ramp_left + SETTLED * slowest
    instants = [0.0]
    while instants[-1] < horizon:
        now = instants[-1]
        following = now + max(first, GROWTH * now)
        if now < ramp_left < following:
            following = ramp_left
        instants.append(following)
    return np.array(instants)


def step_through(network: Network, driver: Driver, *, voltage: float, seen: float) -> Trajectory:
    """Step the circuit from an event until it is at rest.

    Parameters
    ----------
    network : Network
        The parts.
    driver : Driver
        What the driver does from the event on.
    voltage : float
        Pilot to earth at the event. [V]
    seen : float
        Voltage behind the scope's input at the event. [V]

    Returns
    -------
    Trajectory
        Node and scope input.

    Examples
    --------
    >>> bare = Network(source_resistance=1000.0, capacitance=1e-9, shunt=1e-9, load=math.inf, diode=True,
    ...                diode_saturation=2.52e-9, diode_emission=1.752, scope_lag=0.0)
    >>> step = step_through(bare, Driver(start=0.0, end=10.0, edge_time=1e-12), voltage=0.0, seen=0.0)
    >>> round(step.at(1e-6)[0] / 10.0, 4), round(1.0 - math.exp(-1.0), 4)
    (0.6321, 0.6321)
    """
    instants = step_grid(network, driver)
    voltages = np.empty_like(instants)
    voltages[0] = voltage
    source = 1.0 / network.source_resistance
    inflow = source * (driver.level(0.0) - voltage) - network.load_current(voltage)
    now = voltage
    for at in range(1, instants.size):
        step = float(instants[at] - instants[at - 1])
        now, inflow = _trapezoid(network, driver.level(float(instants[at])), now, inflow, step)
        voltages[at] = now
    return Trajectory(
        elapsed=instants, voltage=voltages, seen=_one_pole(instants, voltages, lag=network.scope_lag, start=seen)
    )


def _trapezoid(network: Network, level: float, start: float, inflow: float, step: float) -> tuple[float, float]:
    source = 1.0 / network.source_resistance
    stiffness = 2.0 * network.capacitance / step
    trial = start
    for _ in range(_NEWTON_STEPS):
        new_inflow = source * (level - trial) - network.load_current(trial)
        residual = stiffness * (trial - start) - inflow - new_inflow
        change = residual / (stiffness + source + network.load_conductance(trial))
        trial -= change
        if abs(change) < _NEWTON_TOLERANCE:
            break
    else:
        raise ArithmeticError(f"virtual pilot: a step of {step:g} s from {start:g} V did not converge")
    return trial, source * (level - trial) - network.load_current(trial)


def _one_pole(
    instants: NDArray[np.float64], voltage: NDArray[np.float64], *, lag: float, start: float
) -> NDArray[np.float64]:
    """Follow ``voltage``, straight between its instants, through one pole; exact for straight pieces."""
    if lag == 0.0:
        return voltage.copy()
    seen = np.empty_like(voltage)
    seen[0] = start
    steps = np.diff(instants)
    kept = np.exp(-steps / lag)
    slopes = np.diff(voltage) / steps
    for at in range(steps.size):
        # A ramp is followed at a distance of slope times lag; only the departure from that dies away.
        behind = voltage[at] - slopes[at] * lag
        seen[at + 1] = voltage[at + 1] - slopes[at] * lag + (seen[at] - behind) * kept[at]
    return seen
