"""How fast a capacitor between the pins of a plug empties, and what a reading of it says."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange

Number = float | NDArray[np.float64]

MISSED = 0.05
"""Ours: the chance we leave that all of several withdrawals met a moment milder than is allowed for. [1]"""


def voltage_left(*, start: Number, time: Number, resistance: Number, capacitance: Number) -> Number:
    r"""Return the voltage that is left on a capacitor after a time.

    .. math:: U(t) = U_0 e^{-t / (R C)}

    Parameters
    ----------
    start : float or array
        Voltage when the plug was drawn. [V]
    time : float or array
        Since then. [s]
    resistance : float or array
        Of what empties it. [Ω]
    capacitance : float or array
        Between the pins. [F]

    Returns
    -------
    float or array
        The voltage. [V]

    Examples
    --------
    >>> round(float(voltage_left(start=339.41, time=1.0, resistance=1e6, capacitance=330e-9)), 3)
    16.394

    Sources
    -------
    Printed with the rule of IEC 60204-1 (``residual-voltage.plug.machine``).
    """
    return start * np.exp(-time / (resistance * capacitance))


def time_to_reach(*, start: Number, voltage: Number, resistance: Number, capacitance: Number) -> Number:
    r"""Return how long a capacitor takes to fall to a voltage.

    .. math:: t = R C \ln(U_0 / U)

    Parameters
    ----------
    start : float or array
        Voltage when the plug was drawn. [V]
    voltage : float or array
        The voltage it shall fall to. [V]
    resistance : float or array
        Of what empties it. [Ω]
    capacitance : float or array
        Between the pins. [F]

    Returns
    -------
    float or array
        0 where it never was above. [s]

    Examples
    --------
    >>> round(float(time_to_reach(start=325.27, voltage=60.0, resistance=1e6, capacitance=470e-9)), 3)
    0.794
    """
    return np.maximum(resistance * capacitance * np.log(start / voltage), 0.0)


def largest_discharge_resistance(*, start: float, voltage: float, time: float, capacitance: float) -> float:
    r"""Return the largest resistance that still empties a capacitor in time.

    .. math:: R = t / (C \ln(U_0 / U))

    Parameters
    ----------
    start : float
        Voltage when the plug was drawn. [V]
    voltage : float
        The voltage it shall have fallen to. [V]
    time : float
        In that time. [s]
    capacitance : float
        Between the pins. [F]

    Returns
    -------
    float
        The resistance; infinite where the voltage never is above. [Ω]

    Raises
    ------
    OutsideRange
        One of them is not above 0.

    Examples
    --------
    >>> round(1e-3 * largest_discharge_resistance(start=339.41, voltage=34.0, time=1.0, capacitance=470e-9), 1)
    924.7
    """
    for name, value in (("start", start), ("voltage", voltage), ("time", time), ("capacitance", capacitance)):
        if not value > 0.0:
            raise OutsideRange(f"{name} is {value:g}: it must be above 0")
    return time / (capacitance * math.log(start / voltage)) if start > voltage else math.inf


def without_probe(*, reading: Number, time: Number, probe: Number, capacitance: Number) -> Number:
    r"""Return what would have been left without the probe, which empties the capacitor as well.

    .. math:: U = U_\mathrm{read} e^{t / (R_\mathrm{p} C)}

    Parameters
    ----------
    reading : float or array
        Voltage read. [V]
    time : float or array
        Since the plug was drawn, the probe on it all the while. [s]
    probe : float or array
        Input resistance of the probe. [Ω]
    capacitance : float or array
        Between the pins. [F]

    Returns
    -------
    float or array
        The voltage, always more than was read. [V]

    Examples
    --------
    >>> round(float(without_probe(reading=30.0, time=1.0, probe=10e6, capacitance=0.1e-6)), 1)
    81.5
    """
    return reading * np.exp(time / (probe * capacitance))


def bound_at(*, reading: float, start: float, time: float, at: float) -> float:
    r"""Return what a plug can have held at another time: the most there can have been earlier, the least later.

    It began at ``start`` at most, and fell by one law from there.

    .. math:: U(t') = U(t) \left(\frac{U_0}{U(t)}\right)^{(t - t') / t}

    Parameters
    ----------
    reading : float
        Voltage read. [V]
    start : float
        The most that there can have been when the plug was drawn. [V]
    time : float
        When it was read, since then. [s]
    at : float
        The other time. [s]

    Returns
    -------
    float
        The voltage. [V]

    Raises
    ------
    OutsideRange
        A voltage or the time is not above 0, or the other time is below 0.

    Examples
    --------
    >>> [round(bound_at(reading=12.0, start=358.0, time=1.02, at=at), 2) for at in (1.0, 1.02, 1.04)]
    [12.83, 12.0, 11.23]
    """
    if not (reading > 0.0 and start > 0.0 and time > 0.0 and at >= 0.0):
        raise OutsideRange(f"{reading:g} V at {time:g} s cannot be taken to {at:g} s: give voltages and a time above 0")
    return float(reading * max(start / reading, 1.0) ** ((time - at) / time))


def peak_met(withdrawals: int) -> float:
    r"""Return what part of the peak the best of several withdrawals at least met.

    A plug is drawn at any moment of the mains period. The largest of n readings is from a moment at which the voltage
    was at least this part of its peak, but for a chance of one in twenty.

    .. math:: s = \sin\left(\frac{\pi}{2} p^{1/n}\right)

    Parameters
    ----------
    withdrawals : int
        How many readings there are, each from a withdrawal of its own.

    Returns
    -------
    float
        From 0 to 1. [1]

    Raises
    ------
    OutsideRange
        There is none.

    Examples
    --------
    >>> [round(peak_met(count), 2) for count in (1, 3, 10, 30)]
    [0.08, 0.55, 0.92, 0.99]

    Sources
    -------
    By calculation: the phase of a withdrawal is uniform, so \|sin\| is below s with probability (2/π) arcsin s.
    """
    if withdrawals < 1:
        raise OutsideRange(f"{withdrawals} withdrawals say nothing: draw the plug at least once")
    return math.sin(0.5 * math.pi * MISSED ** (1.0 / withdrawals))
