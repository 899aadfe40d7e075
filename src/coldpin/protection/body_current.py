"""The current through a person: impedance at the touch voltage, current, what the heart meets of it, and the zone.

The published tables give the impedance from hand to hand for three parts of the population. Any other part is read from
them as if the impedance were log-normal between each two columns; beyond the outer ones the last slope is kept.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from coldpin.errors import OutsideRange
from coldpin.standards.body_current import ImpedanceTable, ZoneCurve

Number = float | NDArray[np.float64]

LOWEST_PERCENTILE = 1.0
HIGHEST_PERCENTILE = 99.0
"""Ours: how far beyond the printed columns of 5 % and 95 % the rule is followed; further out nobody was measured."""


def body_impedance(*, voltage: Number, percentile: Number, table: ImpedanceTable) -> NDArray[np.float64]:
    r"""Return the impedance from hand to hand that some per cent of people do not exceed.

    Between the rows of the table each column is straight over the voltage; beyond them its end is kept. Between two
    columns, at the normal quantiles q of their percentages,

    .. math:: \ln Z(q) = \ln Z_1 + \frac{q - q_1}{q_2 - q_1} \ln\frac{Z_2}{Z_1}

    Parameters
    ----------
    voltage : float or array of shape (n,)
        Touch voltage, r.m.s. or d.c. [V]
    percentile : float or array of shape (n,)
        Per cent of people, 1 to 99. [%]
    table : ImpedanceTable
        The columns.

    Returns
    -------
    array of shape (n,)
        Z; of shape () where both are single numbers. [Ω]

    Raises
    ------
    OutsideRange
        A voltage is below 0, or a percentile is not one that the rule is followed to.

    Examples
    --------
    >>> from coldpin.records.body_current import Kind
    >>> from coldpin.records.person import Wetness
    >>> from coldpin.standards.body_current import impedance_table
    >>> from coldpin.standards.book import load_book
    >>> table = impedance_table(load_book(), kind=Kind.AC, wetness=Wetness.DRY)
    >>> [round(float(body_impedance(voltage=230.0, percentile=one, table=table)), 1) for one in (5.0, 50.0, 95.0)]
    [772.9, 1217.1, 1882.1]
    >>> round(float(body_impedance(voltage=230.0, percentile=20.0, table=table)), 1)
    964.8

    Sources
    -------
    ``body.impedance.*``; linear between rows is the usual reading of these tables, log-normal between columns ours.
    """
    if np.any(np.asarray(voltage) < 0.0):
        raise OutsideRange(f"the touch voltage is {np.min(voltage):g} V: give its r.m.s. or d.c. value, 0 or more")
    if np.any(np.asarray(percentile) < LOWEST_PERCENTILE) or np.any(np.asarray(percentile) > HIGHEST_PERCENTILE):
        raise OutsideRange(
            f"the percentile is {np.asarray(percentile)} %: the published columns are those of "
            f"{', '.join(f'{one:g} %' for one in table.percentiles)}, and are followed from {LOWEST_PERCENTILE:g} % to "
            f"{HIGHEST_PERCENTILE:g} %"
        )
    logs = [np.log(np.interp(voltage, table.voltages, column)) for column in table.columns]
    quantiles = ndtri(np.asarray(table.percentiles) / 100.0)
    wanted = ndtri(np.asarray(percentile) / 100.0)
    found = _between(wanted, quantiles[0], quantiles[1], logs[0], logs[1])
    for place in range(1, len(logs) - 1):
        further = _between(wanted, quantiles[place], quantiles[place + 1], logs[place], logs[place + 1])
        found = np.where(wanted <= quantiles[place], found, further)
    return np.asarray(np.exp(found), dtype=np.float64)


def _between(at: Number, low: float, high: float, from_: Number, to: Number) -> Number:
    return from_ + (at - low) / (high - low) * (to - from_)


def touch_voltage(
    *, voltage: Number, series: Number, part: float, percentile: Number, table: ImpedanceTable
) -> NDArray[np.float64]:
    r"""Return the voltage that is left for a person behind a series resistance.

    .. math:: U_T \left(1 + \frac{R}{k Z(U_T)}\right) = U

    Z falls with the voltage, so the left side rises and there is one answer, found by halving.

    Parameters
    ----------
    voltage : float or array of shape (n,)
        U, that drives. [V]
    series : float or array of shape (n,)
        R before the person. [Ω]
    part : float
        k, the path's part of the impedance hand to hand. [1]
    percentile : float or array of shape (n,)
        Per cent of people who have no more impedance. [%]
    table : ImpedanceTable
        The columns.

    Returns
    -------
    array of shape (n,)
        U_T. [V]

    Raises
    ------
    OutsideRange
        A resistance or a voltage is below 0, or a percentile cannot be.

    Examples
    --------
    >>> from coldpin.records.body_current import Kind
    >>> from coldpin.records.person import Wetness
    >>> from coldpin.standards.body_current import impedance_table
    >>> from coldpin.standards.book import load_book
    >>> table = impedance_table(load_book(), kind=Kind.AC, wetness=Wetness.DRY)
    >>> volts = float(touch_voltage(voltage=230.0, series=1000.0, part=0.75, percentile=50.0, table=table))
    >>> round(volts, 1)
    123.9
    """
    if np.any(np.asarray(series) < 0.0):
        raise OutsideRange(f"the series resistance is {np.min(series):g} Ω: give 0 Ω or more")
    high = np.asarray(voltage, dtype=np.float64) + 0.0 * np.asarray(series)
    low = np.zeros_like(high)
    wanted = high
    for _ in range(60):
        middle = 0.5 * (low + high)
        behind = part * body_impedance(voltage=middle, percentile=percentile, table=table)
        above = middle * (1.0 + series / behind) > wanted
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return np.where(np.asarray(series) == 0.0, wanted, 0.5 * (low + high))


def curve_current(curve: ZoneCurve, duration: Number) -> NDArray[np.float64]:
    r"""Return the current of a curve at a duration: straight between its points on two logarithmic axes.

    .. math:: \ln I(t) = \ln I_1 + \frac{\ln t - \ln t_1}{\ln t_2 - \ln t_1} \ln\frac{I_2}{I_1}

    Beyond its ends the curve keeps its end values.

    Parameters
    ----------
    curve : ZoneCurve
        The curve.
    duration : float or array of shape (n,)
        t, above 0; infinite for a current that nothing breaks. [s]

    Returns
    -------
    array of shape (n,)
        I. [mA]

    Raises
    ------
    OutsideRange
        A duration is not above 0.

    Examples
    --------
    >>> from coldpin.records.body_current import Kind
    >>> from coldpin.standards.body_current import zone_curves
    >>> from coldpin.standards.book import load_book
    >>> c2 = zone_curves(load_book(), Kind.AC)[3]
    >>> [round(float(curve_current(c2, one))) for one in (0.05, 0.3, 1.0, float("inf"))]
    [900, 369, 80, 50]

    Sources
    -------
    ``body.curve.*``.
    """
    return np.asarray(np.exp(_log_current(curve, duration)), dtype=np.float64)


def _log_current(curve: ZoneCurve, duration: Number) -> Number:
    """Return the logarithm of a curve's current, which at its points is exact."""
    if not np.all(np.asarray(duration) > 0.0):
        raise OutsideRange(f"the current flows for {np.min(duration):g} s: give a time above 0 s")
    return np.interp(np.log(duration), np.log(curve.durations), np.log(curve.currents))


def longest_below(curve: ZoneCurve, current: float) -> float:
    """Return for how long a current may flow before it reaches a curve.

    Parameters
    ----------
    curve : ZoneCurve
        The curve.
    current : float
        The reference current. [mA]

    Returns
    -------
    float
        The time; infinite where the current never reaches the curve, 0 where it always lies above. [s]

    Examples
    --------
    >>> from coldpin.records.body_current import Kind
    >>> from coldpin.standards.body_current import zone_curves
    >>> from coldpin.standards.book import load_book
    >>> c1 = zone_curves(load_book(), Kind.AC)[2]
    >>> [round(longest_below(c1, one), 3) for one in (39.0, 252.0, 600.0)]
    [inf, 0.167, 0.0]
    """
    if current < curve.currents[-1]:
        return math.inf
    if current >= curve.currents[0]:
        return 0.0
    last = max(place for place, one in enumerate(curve.currents) if one > current)
    before, after = curve.currents[last], curve.currents[last + 1]
    first, second = curve.durations[last], curve.durations[last + 1]
    share = math.log(before / current) / math.log(before / after)
    return float(first * (second / first) ** share)


def zone_place(curves: tuple[ZoneCurve, ...], *, current: Number, duration: Number) -> NDArray[np.int64]:
    """Return in which zone a current lies: how many of the curves it reaches.

    Parameters
    ----------
    curves : tuple of ZoneCurve
        Lowest first.
    current : float or array of shape (n,)
        Reference current, r.m.s. or d.c. [mA]
    duration : float or array of shape (n,)
        How long it flows. [s]

    Returns
    -------
    array of shape (n,)
        0 below the lowest curve; on a curve, the zone above it. [1]

    Raises
    ------
    OutsideRange
        A duration is not above 0.

    Examples
    --------
    >>> from coldpin.records.body_current import Kind
    >>> from coldpin.standards.body_current import zone_curves
    >>> from coldpin.standards.book import load_book
    >>> curves = zone_curves(load_book(), Kind.AC)
    >>> [int(zone_place(curves, current=189.0, duration=one)) for one in (0.04, 0.1, 0.3, 0.5, 1.0)]
    [2, 2, 3, 3, 5]
    """
    with np.errstate(divide="ignore"):
        log = np.log(np.asarray(current, dtype=np.float64))
    reached = [np.asarray(log >= _log_current(curve, duration), dtype=np.int64) for curve in curves]
    return np.asarray(np.sum(reached, axis=0), dtype=np.int64)


def charge_current(duration: Number, *, at_one_second: float, at_last: float, last: float) -> NDArray[np.float64]:
    r"""Return the current of the independent model: a constant charge, then a constant current.

    .. math:: I(t) = I_1 \cdot 1\,\mathrm{s} / t

    Parameters
    ----------
    duration : float or array of shape (n,)
        t. [s]
    at_one_second : float
        I_1. [mA]
    at_last : float
        The current of long durations. [mA]
    last : float
        Where they begin. [s]

    Returns
    -------
    array of shape (n,)
        I. [mA]

    Examples
    --------
    >>> at = {"at_one_second": 100.0, "at_last": 38.0, "last": 5.0}
    >>> [float(charge_current(one, **at)) for one in (0.1, 1.0, 10.0)]
    [1000.0, 100.0, 38.0]

    Sources
    -------
    ``body.charge-model.*``.
    """
    at = np.asarray(duration, dtype=np.float64)
    return np.where(at > last, at_last, at_one_second / at)
