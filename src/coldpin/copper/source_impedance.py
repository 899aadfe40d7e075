r"""Impedance of the supply: how far its voltage gives way to current, from a log or from two readings.

.. math:: R = -\Delta U / \Delta I

Where a load goes on or off between two rows of a log, current and voltage step together. Other loads move the voltage
too: they scatter the quotients, and so many steps are needed. Two estimates stand side by side: the least squares
through the origin, which the large steps rule, and the median of the quotients, which no odd step moves. What a load
that heats shows is the part of the impedance in phase with it, nearly the whole of a household supply's.

A row that is the mean of a minute serves as well as a moment's reading: both means step in proportion.

Where a log writes whole volts, a step of some volts is told no better than to one of them, and many steps of one heater
repeat the same error: the steps in which its columns are written enter by themselves, and no number of rows helps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.resistance import Number
from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Component, Quantity, Shape, assemble, format_value, propagate
from coldpin.records.voltage_drop import SourceImpedance

LEAST_STEP = 8.0
"""Ours: a step of the current that stands out of the voltage's own wandering of some tenths of a volt. [A]"""

FEWEST_STEPS = 10
"""Ours: of fewer steps neither median nor scatter says much."""

LONGEST_GAP = 120.0
"""Ours: over a longer time between two rows the voltage of a supply wanders by itself. [s]"""

LARGEST_PLAUSIBLE = 5.0
"""Ours: no supply with a socket for charging is so weak; a column in milliamperes looks like it. [Ω]"""

SMALLEST_PLAUSIBLE = 0.005
"""Ours: nor so strong; a column of voltage that does not move with the load looks like it. [Ω]"""

MEDIAN_TO_SIGMA = 1.4826
"""Standard deviation of normal scatter over its median absolute deviation, 1/Φ⁻¹(3/4)."""

MEDIAN_EFFICIENCY = math.sqrt(math.pi / 2.0)
"""Standard error of the median of many normal values, over that of their mean."""

LOG, TWO_READINGS = "steps of current in a log", "one voltage without and one with load"
"""How an impedance was found, as it is told."""

OTHER_LOADS = "Other loads on the supply move the voltage too: that is what scatters the steps."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Steps:
    """Steps of a log: change of current [A] and of voltage [V], arrays of shape (n,), and the row after each.

    ``current_written`` [A] and ``voltage_written`` [V] are the steps in which the log writes its two columns.
    """

    current: NDArray[np.float64]
    voltage: NDArray[np.float64]
    row: NDArray[np.int64]
    current_written: float = 0.0
    voltage_written: float = 0.0


def find_steps(
    time_s: NDArray[np.float64],
    *,
    voltage: NDArray[np.float64],
    current: NDArray[np.float64],
    least_step: float = LEAST_STEP,
    longest_gap: float = LONGEST_GAP,
) -> Steps:
    """Return the places where the current of a log steps.

    Parameters
    ----------
    time_s : array of shape (n,)
        Rising. [s]
    voltage : array of shape (n,)
        NaN where nothing was written. [V]
    current : array of shape (n,)
        NaN where nothing was written. [A]
    least_step : float
        The smallest step of the current that counts. [A]
    longest_gap : float
        The longest time between two rows that are compared. [s]

    Returns
    -------
    Steps
        Between neighbouring rows; none across a gap or beside a row without a value.

    Raises
    ------
    InputError
        The three do not have one length.
    OutsideRange
        The least step is not above zero.

    Examples
    --------
    >>> steps = find_steps(
    ...     np.arange(4.0), voltage=np.array([230.0, 226.0, 226.1, 230.0]), current=np.array([0.0, 16.0, 16.0, 0.0])
    ... )
    >>> steps.current.tolist(), steps.row.tolist()
    ([16.0, -16.0], [1, 3])
    """
    if not time_s.shape == voltage.shape == current.shape:
        raise InputError(
            f"a log of {time_s.size} times, {voltage.size} voltages and {current.size} currents: each row needs all "
            "three"
        )
    if least_step <= 0.0:
        raise OutsideRange(f"least step is {least_step:g} A: it must be above 0 A")
    steps = np.diff(current)
    # a comparison with NaN is false: a row without a value makes no step
    taken = (np.abs(steps) >= least_step) & (np.diff(time_s) <= longest_gap) & np.isfinite(np.diff(voltage))
    row = np.flatnonzero(taken)
    return Steps(
        current=steps[row],
        voltage=np.diff(voltage)[row],
        row=row + 1,
        current_written=written_step(current),
        voltage_written=written_step(voltage),
    )


def written_step(column: NDArray[np.float64]) -> float:
    """Return the step in which a column of a log is written: the median gap between its neighbouring values.

    Parameters
    ----------
    column : array of shape (n,)
        As written, in any unit; NaN where nothing was. [V or A]

    Returns
    -------
    float
        In the unit of the column; zero where it has one value only. [V or A]

    Examples
    --------
    >>> written_step(np.array([230.0, 231.0, 228.0, 229.0, 231.0]))
    1.0
    """
    values = np.unique(column[np.isfinite(column)])
    return float(np.median(np.diff(values))) if values.size > 1 else 0.0


def impedance_from_steps(steps: Steps, *, accuracy: float | None) -> SourceImpedance:
    """Return the impedance that the steps of a log show.

    Parameters
    ----------
    steps : Steps
        At least ten.
    accuracy : float or None
        Relative standard uncertainty that the meter's own accuracy leaves in the quotient; None where it is not stated:
        then the uncertainty of the result is not known. [1]

    Returns
    -------
    SourceImpedance
        The median with, as its uncertainty, the scatter of the steps over their number, half of what the least squares
        differ, the steps in which voltage and current are written, and the meter's accuracy.

    Raises
    ------
    OutsideRange
        There are too few steps, the voltage is written too coarsely for them, or it rises with the current.

    Examples
    --------
    >>> rise = np.tile([8.0, -8.0], 10)
    >>> steps = Steps(current=rise, voltage=-0.25 * rise + 0.01 * np.resize([1.0, 1.0, -1.0], 20), row=np.arange(20))
    >>> told = impedance_from_steps(steps, accuracy=0.005)
    >>> round(told.resistance_ohm.value, 2), told.steps
    (0.25, 20)
    """
    if steps.current.size < FEWEST_STEPS:
        raise OutsideRange(
            f"the log has {steps.current.size} steps of current that are large enough, at least {FEWEST_STEPS} are "
            "needed: log longer, switch a heater of 2 kW on and off some ten times, or ask for smaller steps"
        )
    step = float(np.median(np.abs(steps.current)))
    quotients = -steps.voltage / steps.current
    median = float(np.median(quotients))
    fitted = float(-np.dot(steps.voltage, steps.current) / np.dot(steps.current, steps.current))
    scatter = float(np.median(np.abs(quotients - median)))
    if abs(median) * step < steps.voltage_written and median <= 0.0:
        raise OutsideRange(
            f"the log writes its voltage in steps of {format_value(steps.voltage_written, 'V')}, and steps of "
            f"{format_value(step, 'A')} move it by less: log with more digits, or switch a larger load"
        )
    if median <= 0.0:
        raise OutsideRange(
            f"the voltage rises with the current, by {format_value(-median, 'Ω')} of impedance: are voltage and "
            "current of one phase, and does a source feed in beside the load?"
        )
    parts = [
        Component(
            id="source impedance: scatter",
            label="scatter of the steps, other loads among them",
            contribution=MEDIAN_EFFICIENCY * MEDIAN_TO_SIGMA * scatter / math.sqrt(steps.current.size),
            dof=float(steps.current.size - 1),
        ),
        Component(
            id="source impedance: estimator",
            label="least squares against median",
            contribution=0.5 * abs(fitted - median) / math.sqrt(3.0),
            shape=Shape.RECTANGULAR,
        ),
        *_as_written(steps, step, median),
    ]
    if accuracy is None:
        found = Quantity(median, None, "Ω", why="accuracy of the meter that wrote the log not known")
    else:
        meter = Component(
            id="source impedance: meter", label="accuracy of voltage and current", contribution=accuracy * median
        )
        found = assemble(median, "Ω", [part for part in (*parts, meter) if part.contribution])
    return SourceImpedance(
        resistance_ohm=found,
        method=LOG,
        steps=int(steps.current.size),
        least_squares_ohm=fitted,
        median_ohm=median,
        scatter_ohm=scatter,
        remarks=(OTHER_LOADS, *questions(median)),
    )


def _as_written(steps: Steps, step: float, impedance: float) -> tuple[Component, ...]:
    """Return what the digits of the log leave open: a difference of two rounded values is off by up to one of them."""
    off = {
        "voltage": steps.voltage_written / step,
        "current": impedance * steps.current_written / step,
    }
    return tuple(
        Component(
            id=f"source impedance: {what} as written",
            label=f"steps in which the log writes its {what}",
            contribution=by / math.sqrt(6.0),
            shape=Shape.TRIANGULAR,
        )
        for what, by in off.items()
    )


def impedance_of_two(*, unloaded: Number, loaded: Number, current: Number) -> Number:
    r"""Return the impedance that a voltage without and one with load show.

    .. math:: R = (U_0 - U_1) / I

    Parameters
    ----------
    unloaded : float or array of shape (n,)
        U0. [V]
    loaded : float or array of shape (n,)
        U1. [V]
    current : float or array of shape (n,)
        I of the load. [A]

    Returns
    -------
    float or array of shape (n,)
        R. [Ω]

    Examples
    --------
    >>> round(impedance_of_two(unloaded=232.4, loaded=228.4, current=16.0), 3)
    0.25
    """
    return (unloaded - loaded) / current


def impedance_from_readings(*, unloaded: Quantity, loaded: Quantity, current: Quantity) -> SourceImpedance:
    """Return the impedance that a voltage without and one with load show, with its uncertainty.

    Parameters
    ----------
    unloaded : Quantity
        The voltage without load. [V]
    loaded : Quantity
        The voltage with load. [V]
    current : Quantity
        Of the load. [A]

    Returns
    -------
    SourceImpedance
        Where both voltages are by one meter its error of scale is in both and cancels.

    Raises
    ------
    OutsideRange
        The voltage did not fall, or the current is not above zero.

    Examples
    --------
    >>> told = impedance_from_readings(
    ...     unloaded=Quantity(232.4, 0.1, "V"), loaded=Quantity(228.4, 0.1, "V"), current=Quantity(16.0, 0.1, "A")
    ... )
    >>> round(told.resistance_ohm.value, 3), round(told.resistance_ohm.u, 3)
    (0.25, 0.009)
    """
    if current.value <= 0.0:
        raise OutsideRange(f"current of the load is {format_value(current.value, 'A')}: it must be above 0 A")
    if loaded.value >= unloaded.value:
        raise OutsideRange(
            f"the voltage with load, {format_value(loaded.value, 'V')}, is not below that without, "
            f"{format_value(unloaded.value, 'V')}: are the two changed over, or did the supply wander between them? "
            "Read both again, three times in turn"
        )
    found = propagate(impedance_of_two, {"unloaded": unloaded, "loaded": loaded, "current": current}, "Ω")
    drift = "Between the two readings the supply may have wandered by itself: read them in turn, several times."
    return SourceImpedance(resistance_ohm=found, method=TWO_READINGS, remarks=(drift, *questions(found.value)))


def questions(impedance: float) -> tuple[str, ...]:
    """Return what is to be asked of an impedance that no ordinary supply has.

    Parameters
    ----------
    impedance : float
        As found. [Ω]

    Returns
    -------
    tuple of str
        Empty where it is plausible. The value is left as it is.

    Examples
    --------
    >>> questions(0.25), len(questions(250.0))
    ((), 1)
    """
    if impedance > LARGEST_PLAUSIBLE:
        more = f"An impedance of {format_value(impedance, 'Ω')} is more than a supply for charging has"
        return (f"{more}: is the current in A and not in mA, and is the voltage that of the same phase?",)
    if impedance < SMALLEST_PLAUSIBLE:
        less = f"An impedance of {format_value(impedance, 'Ω')} is less than a household supply has"
        return (f"{less}: is the current in A, and is the voltage read where the current flows?",)
    return ()
