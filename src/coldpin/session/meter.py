"""The meter behind a log: what its maker states, and how sure the mean of many rows is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity import Component, Quantity, assemble
from coldpin.quantity.model import SQRT3, Shape
from coldpin.records.log import LOG_UNITS, LogQuantity
from coldpin.session.row_means import RowMean, row_means
from coldpin.standards.accuracy import AccuracyStatement

UNSTATED = "the accuracy of the meter is not stated"
"""Why a mean has no uncertainty."""

ROUNDING = 1e-12
"""Ours: a scatter below this part of the mean is what rounding leaves of rows that are all alike. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """A meter as its maker describes it: a statement for each quantity it logs; ``id`` names the instrument.

    ``doubts`` says of what was logged implausibly why: no statement holds for that. ``summed`` says of how many columns
    a quantity is the sum: the statement holds for each, and what is wrong with one meter is taken to be wrong with all.
    """

    id: str = "meter"
    statements: Mapping[LogQuantity, AccuracyStatement] = field(default_factory=dict)
    doubts: Mapping[LogQuantity, str] = field(default_factory=dict)
    summed: Mapping[LogQuantity, int] = field(default_factory=dict)

    def components(self, quantity: LogQuantity, value: float, *, label: str) -> tuple[Component, ...] | None:
        """Return what the meter adds to the uncertainty of a value.

        Parameters
        ----------
        quantity : LogQuantity
            What was logged.
        value : float
            The value, in the unit of ``LOG_UNITS``.
        label : str
            What was read, for the budget.

        Returns
        -------
        tuple of Component or None
            None where nothing is stated of that quantity, or it is in doubt.
        """
        statement = self.statements.get(quantity)
        if statement is None or quantity in self.doubts:
            return None
        columns = self.summed.get(quantity, 1)
        each = statement.components(value / columns, LOG_UNITS[quantity], id=f"{self.id}:{quantity.value}", label=label)
        if columns == 1:
            return each
        return tuple(replace(part, contribution=columns * part.contribution) for part in each)

    def why(self, quantity: LogQuantity) -> str:
        """Return why a quantity has no uncertainty.

        Parameters
        ----------
        quantity : LogQuantity
            What was logged.

        Returns
        -------
        str
            The doubt, or that nothing is stated of it.
        """
        return self.doubts.get(quantity, UNSTATED)

    def resolution(self, quantity: LogQuantity) -> float:
        """Return the step that the statement for a quantity holds.

        Parameters
        ----------
        quantity : LogQuantity
            What was logged.

        Returns
        -------
        float
            In the unit of ``LOG_UNITS``; 0 where none is stated.
        """
        statement = self.statements.get(quantity)
        return 0.0 if statement is None else statement.resolution(LOG_UNITS[quantity])


def mean_reading(
    time_s: NDArray[np.float64],
    values: NDArray[np.float64],
    quantity: LogQuantity,
    meter: Meter,
    *,
    step: float | None,
    label: str,
    level: bool = True,
) -> Quantity:
    """Return the mean over time of the rows of a phase: scatter, what the meter adds, and its step.

    The step counts where the rows scatter by less than it; where they scatter more, rounding is part of the scatter.

    Parameters
    ----------
    time_s : NDArray[np.float64]
        Array of shape (n,), rising, n at least 1. [s]
    values : NDArray[np.float64]
        Array of shape (n,), in the unit of ``LOG_UNITS``.
    quantity : LogQuantity
        What the values are.
    meter : Meter
        The meter.
    step : float or None
        One step of the values as written, in the same unit; None where it cannot be told.
    label : str
        What was read, for the budget.
    level : bool
        Whether the rows keep to a level. Where they do not, only what they scatter by beside their way counts.

    Returns
    -------
    Quantity
        Without an uncertainty where the meter's accuracy is not stated.

    Examples
    --------
    >>> from coldpin.standards.accuracy import parse_accuracy
    >>> meter = Meter(statements={LogQuantity.CURRENT: parse_accuracy("1 %")})
    >>> seconds, current = np.arange(100.0), np.full(100, 16.0)
    >>> mean = mean_reading(seconds, current, LogQuantity.CURRENT, meter, step=0.1, label="phase 1")
    >>> round(mean.u, 3), [part.label for part in mean.components]
    (0.097, ['phase 1: 1 %', 'phase 1: step of the log'])

    Sources
    -------
    JCGM 100:2008 4.2, 4.3.7 and F.2.2.1 (standing: memory, recomputed).
    """
    whole = np.array([0]), np.array([values.size - 1])
    return reading_of(row_means(time_s, values, *whole).at(0), quantity, meter, step=step, label=label, level=level)


def reading_of(
    rows: RowMean, quantity: LogQuantity, meter: Meter, *, step: float | None, label: str, level: bool = True
) -> Quantity:
    """Return what the rows of a phase come to as a reading of the meter.

    Parameters
    ----------
    rows : RowMean
        What the rows come to, in the unit of ``LOG_UNITS``.
    quantity : LogQuantity
        What the values are.
    meter : Meter
        The meter.
    step : float or None
        One step of the values as written, in the unit of ``LOG_UNITS``; None where it cannot be told.
    label : str
        What was read, for the budget.
    level : bool
        As for :func:`mean_reading`.

    Returns
    -------
    Quantity
        As :func:`mean_reading`.
    """
    unit = LOG_UNITS[quantity]
    stated = meter.components(quantity, rows.mean, label=label)
    if stated is None:
        return Quantity(rows.mean, None, unit, why=meter.why(quantity))
    parts = [*stated]
    scatter = rows.about_mean if level else rows.about_way
    if scatter > ROUNDING * abs(rows.mean):
        parts.append(
            Component(
                id=f"{label}: scatter of {rows.rows} rows",
                label=f"{label}: scatter",
                contribution=scatter,
                dof=rows.parts - 1.0,
            )
        )
    written = step or 0.0
    if written > rows.deviation and written > meter.resolution(quantity):
        parts.append(
            Component(
                id=f"{label}: step of the log at {rows.mean:.12g} {unit}",
                label=f"{label}: step of the log",
                contribution=0.5 * written / SQRT3,
                shape=Shape.RECTANGULAR,
            )
        )
    return assemble(rows.mean, unit, parts)
