"""Energy from rows at uneven times: summed where there are rows, bounded where there are none."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity import Component, Quantity, assemble
from coldpin.quantity.model import SQRT3, Shape
from coldpin.records.log import LogQuantity
from coldpin.records.session import CounterComparison
from coldpin.session.charge_log import LOGGED, SMALLER, ChargeLog
from coldpin.session.meter import UNSTATED, Meter

SECONDS_PER_HOUR = 3600.0
"""Seconds in an hour, exactly. [s/h]"""


def trapezoids(time_s: NDArray[np.float64], power_w: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the energy between each two rows that follow each other, the power joined by a straight line.

    Parameters
    ----------
    time_s : NDArray[np.float64]
        Array of shape (n,), rising. [s]
    power_w : NDArray[np.float64]
        Array of shape (n,). [W]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n - 1,). [Wh]

    Examples
    --------
    >>> trapezoids(np.array([0.0, 3600.0, 5400.0]), np.array([1000.0, 1000.0, 0.0])).tolist()
    [1000.0, 250.0]
    """
    return 0.5 * (power_w[1:] + power_w[:-1]) * np.diff(time_s) / SECONDS_PER_HOUR


@dataclass(frozen=True, slots=True, kw_only=True)
class Unrecorded:
    """A time without rows: from the row ``first`` to the next one, of which ``lost_s`` were without supply. [s]"""

    first: int
    lost_s: float = 0.0


def gap_energy(time_s: NDArray[np.float64], power_w: NDArray[np.float64], gap: Unrecorded, *, most: float) -> Quantity:
    """Return what may have gone by in a time without rows: from nothing to the most, and nowhere likelier.

    Parameters
    ----------
    time_s : NDArray[np.float64]
        Array of shape (n,), rising. [s]
    power_w : NDArray[np.float64]
        Array of shape (n,). [W]
    gap : Unrecorded
        Where.
    most : float
        The most that can have been drawn. [W]

    Returns
    -------
    Quantity
        Half of the most, rectangular. [Wh]

    Examples
    --------
    >>> power = gap_energy(np.array([0.0, 3600.0]), np.array([3680.0, 3680.0]), Unrecorded(first=0), most=3680.0)
    >>> power.value, round(power.u, 1)
    (1840.0, 1062.3)
    """
    powered = max(float(time_s[gap.first + 1] - time_s[gap.first]) - gap.lost_s, 0.0)
    half = 0.5 * max(most, float(power_w[gap.first]), 0.0) * powered / SECONDS_PER_HOUR
    if half <= 0.0:
        return Quantity(0.0, 0.0, "Wh")
    part = Component(
        id=f"gap after row {gap.first + 1}",
        label=f"nothing recorded for {powered:.6g} s",
        contribution=half / SQRT3,
        shape=Shape.RECTANGULAR,
    )
    return assemble(half, "Wh", [part])


def summed_energy(
    log: ChargeLog, meter: Meter, *, unrecorded: Sequence[Unrecorded] = (), first: int = 0, last: int | None = None
) -> Quantity:
    """Return the energy of rows by trapezoids, without the times in which there are none.

    What the meter states is taken at the mean power and for the whole time, for its limits are the same thing at every
    row. Between two rows the power may have changed at any moment: half of the change times the interval either way,
    each by itself, or all the same way where a logger writes on change and each row holds until the next.

    Parameters
    ----------
    log : ChargeLog
        With a power.
    meter : Meter
        The meter.
    unrecorded : sequence of Unrecorded
        Times without rows, which are left out here.
    first, last : int
        The rows, both included; the whole log where left out. [1]

    Returns
    -------
    Quantity
        Without an uncertainty where the meter's accuracy is not stated; not a number where the power is not known.
        [Wh]
    """
    if log.power_w is None:
        return Quantity(math.nan, None, "Wh", why="the log has no power, and no voltage is stated")
    end = log.time_s.size - 1 if last is None else last
    time, power = log.time_s[first : end + 1], log.power_w[first : end + 1]
    parts = trapezoids(time, power)
    changes = np.diff(power) * np.diff(time) / (2.0 * SECONDS_PER_HOUR)
    seconds = float(time[-1] - time[0])
    holes = np.array([gap.first - first for gap in unrecorded if first <= gap.first < end], np.intp)
    seconds -= float(np.sum(time[holes + 1] - time[holes]))
    parts[holes] = changes[holes] = 0.0
    total = float(np.sum(parts))
    if seconds <= 0.0:
        return Quantity(0.0, 0.0, "Wh")
    stated = _power_components(log, meter, total * SECONDS_PER_HOUR / seconds)
    if stated is None:
        return Quantity(total, None, "Wh", why=_why_unknown(log, meter))
    hours = seconds / SECONDS_PER_HOUR
    between = max(float(np.sqrt(np.sum(changes**2))), abs(float(np.sum(changes)))) / SQRT3
    components = [_scaled(part, hours) for part in stated]
    if between > 0.0:
        components.append(
            Component(
                id=f"between rows {first + 1} to {end + 1}",
                label="changes between two rows",
                contribution=between,
            )
        )
    summed = assemble(total, "Wh", components)
    return summed if log.power_from == LOGGED else at_most_so_much(summed, SMALLER)


def at_most_so_much(quantity: Quantity, why: str) -> Quantity:
    """Return a quantity of which only the most is known.

    Parameters
    ----------
    quantity : Quantity
        As it would be without what makes it smaller.
    why : str
        What makes it smaller, by how much nobody knows.

    Returns
    -------
    Quantity
        Its value and the upper end of its interval, without an uncertainty; unchanged where it has none, or is zero.

    Examples
    --------
    >>> most = at_most_so_much(Quantity(3680.0, 10.0, "W"), "by the power factor")
    >>> most.u, most.low, round(most.high, 1)
    (None, None, 3699.6)
    """
    if quantity.u is None or quantity.value == 0.0:
        return quantity
    return Quantity(quantity.value, None, quantity.unit, high=quantity.high, why=why)


def _why_unknown(log: ChargeLog, meter: Meter) -> str:
    if log.power_from == LOGGED:
        return meter.why(LogQuantity.POWER)
    made_of = (LogQuantity.CURRENT, LogQuantity.VOLTAGE)
    return next((meter.doubts[quantity] for quantity in made_of if quantity in meter.doubts), UNSTATED)


def _scaled(part: Component, factor: float) -> Component:
    return Component(
        id=part.id, label=part.label, contribution=part.contribution * factor, dof=part.dof, shape=part.shape
    )


def _power_components(log: ChargeLog, meter: Meter, mean: float) -> tuple[Component, ...] | None:
    """Return what the meter, or the two quantities power was made of, add to a mean power. [W]"""
    if log.power_from == LOGGED:
        return meter.components(LogQuantity.POWER, mean, label="power")
    assert log.current_a is not None, "power is logged or made of a current"
    volts = _usual_voltage(log)
    if volts <= 0.0:
        # without a voltage nothing was drawn, and nothing is unsure
        return ()
    current = meter.components(LogQuantity.CURRENT, mean / volts, label="current")
    if current is None:
        return None
    if log.stated_voltage is not None:
        if log.stated_voltage.u is None:
            return None
        voltage: tuple[Component, ...] | None = (
            Component(id="stated voltage", label="voltage as stated", contribution=log.stated_voltage.u),
        )
    else:
        voltage = meter.components(LogQuantity.VOLTAGE, volts, label="voltage")
    if voltage is None:
        return None
    return (
        *(_scaled(part, volts) for part in current),
        *(_scaled(part, mean / volts) for part in voltage),
    )


def _usual_voltage(log: ChargeLog) -> float:
    """Return the voltage that a power was made with: as stated, else the median while there was one. [V]"""
    if log.stated_voltage is not None:
        return log.stated_voltage.value
    assert log.voltage_v is not None, "a power that was not logged is made with a voltage"
    present = log.voltage_v[log.voltage_v > 0.0]
    return float(np.median(present)) if present.size else 0.0


def counted_over_gap(log: ChargeLog, meter: Meter, gap: Unrecorded) -> Quantity | None:
    """Return what the meter's own counter rose by over a time without rows.

    Parameters
    ----------
    log : ChargeLog
        The rows.
    meter : Meter
        The meter.
    gap : Unrecorded
        Where.

    Returns
    -------
    Quantity or None
        None where there is no counter on both sides, it fell, or its step or accuracy is not known. [Wh]
    """
    if log.energy_wh is None or not log.energy_step or LogQuantity.ENERGY not in meter.statements:
        return None
    rise = float(log.energy_wh[gap.first + 1] - log.energy_wh[gap.first])
    if not rise >= 0.0:
        return None
    return _counter_quantity(log, meter, rise, 0, name=f"counter after row {gap.first + 1}")


def compare_counter(
    log: ChargeLog, meter: Meter, summed: Quantity, *, unrecorded: Sequence[Unrecorded] = ()
) -> CounterComparison | None:
    """Hold the energy summed from power against what the meter's own counter says of the same rows.

    Where the counter ran on through a time without rows, the difference is what went by in it; so both are compared
    over the recorded rows only. A counter that falls was reset: it began again at what it then showed.

    Parameters
    ----------
    log : ChargeLog
        The rows.
    meter : Meter
        The meter.
    summed : Quantity
        The energy by trapezoids over the recorded rows. [Wh]
    unrecorded : sequence of Unrecorded
        Times without rows.

    Returns
    -------
    CounterComparison or None
        None where the log has no counter, or fewer than two rows of it.
    """
    counter = log.energy_wh
    if counter is None or np.count_nonzero(np.isfinite(counter)) < 2:
        return None
    rises, resets = counter_rises(counter)
    total = float(np.sum(rises)) - math.fsum(rises[gap.first] for gap in unrecorded)
    shown = _counter_quantity(log, meter, total, resets)
    difference = Quantity(summed.value - total, None, "Wh", why=summed.why or shown.why)
    agrees = "cannot tell"
    if summed.u is not None and shown.u is not None:
        u = math.hypot(summed.u, shown.u)
        difference = Quantity(summed.value - total, u, "Wh")
        width = difference.expanded or 0.0
        agrees = "yes" if abs(difference.value) <= width else "no"
    return CounterComparison(counter_wh=shown, summed_wh=summed, difference_wh=difference, agrees=agrees, resets=resets)


def counter_rises(counter_wh: NDArray[np.float64]) -> tuple[NDArray[np.float64], int]:
    """Return what a counter rose by from row to row, and how often it was reset.

    Parameters
    ----------
    counter_wh : NDArray[np.float64]
        Array of shape (n,), NaN where nothing was written. [Wh]

    Returns
    -------
    tuple of NDArray[np.float64] and int
        Array of shape (n - 1,): rises [Wh], what lies over rows without a value at the row that has one again; and the
        number of resets, after which the counter's own value is the rise.

    Examples
    --------
    >>> rises, resets = counter_rises(np.array([100.0, 101.0, np.nan, 103.0, 0.5]))
    >>> rises.tolist(), resets
    ([1.0, 0.0, 2.0, 0.5], 1)
    """
    known = np.flatnonzero(np.isfinite(counter_wh))
    values = counter_wh[known]
    steps = np.diff(values)
    fell = steps < 0.0
    rises = np.zeros(counter_wh.size - 1)
    rises[known[1:] - 1] = np.where(fell, values[1:], steps)
    return rises, int(np.count_nonzero(fell))


def _counter_quantity(
    log: ChargeLog, meter: Meter, total: float, resets: int, *, name: str = "energy counter"
) -> Quantity:
    """Return a difference of two readings: the share of the reading, and the step at both ends."""
    stated = meter.components(LogQuantity.ENERGY, total, label=name)
    if stated is None:
        return Quantity(total, None, "Wh", why="the accuracy of the energy counter is not stated")
    step = log.energy_step or 0.0
    # a reading may lie anywhere within its step: two of them make a triangle, each reset another two
    size = step / SQRT3 * math.sqrt(0.5 * (1.0 + resets))
    parts = [*stated]
    if size > 0.0:
        parts.append(
            Component(
                id=f"steps of the {name}",
                label="step of the counter at both ends",
                contribution=size,
                shape=Shape.TRIANGULAR if not resets else Shape.NORMAL,
            )
        )
    return assemble(total, "Wh", parts)


def cost_of(energy: Quantity, price: float, currency: str) -> Quantity:
    """Return what an energy costs at a stated price.

    Parameters
    ----------
    energy : Quantity
        The energy. [Wh]
    price : float
        For each kilowatt-hour, in the currency; exact, for it is stated. [currency/kWh]
    currency : str
        Its name, which becomes the unit.

    Returns
    -------
    Quantity
        In the currency.

    Examples
    --------
    >>> cost_of(Quantity(8760.0, 87.6, "Wh"), 0.35, "EUR").value
    3.066
    """
    factor = 1e-3 * price
    if energy.u is None:
        high = None if energy.high is None else energy.high * factor
        return Quantity(energy.value * factor, None, currency, high=high, why=energy.why)
    if not energy.components:
        return Quantity(energy.value * factor, energy.u * factor, currency)
    return assemble(energy.value * factor, currency, [_scaled(part, factor) for part in energy.components])
