r"""Hot metal: a conductor's temperature from its own resistance, under load or just after it, beside what a model says.

.. math:: t = \frac{R}{R_c} \left( \frac{1}{\alpha} - 20 + t_c \right) - \left( \frac{1}{\alpha} - 20 \right)

R over the cold Rc between the same two taps is read under load from voltage and current, or with direct current after
the load is off; then the metal cools while one measures, and the readings are led back to the moment of switching off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Quantity, format_quantity, format_value, normal, propagate, rectangular
from coldpin.standards.conductors import REFERENCE_TEMPERATURE

Number = float | NDArray[np.float64]

FEWEST = 4
"""Readings after switching off: two for a line, two more to know how well it fits."""

LATEST_FIRST = 0.25
"""Ours: where the first reading came later than this part of the cooling's own time, the way back is a guess."""


QUICK_FALL = (0.0, 0.13)
"""Ours: what a conductor loses at first into its own insulation and one exponential of later readings does not show, as
shares of its rise. Finite volumes of cords of 1 mm² to 6 mm², read from 2 s to 60 s on, give 0.01 to 0.12."""


def temperature_from_resistance(*, hot: Number, cold: Number, cold_temperature: Number, coefficient: Number) -> Number:
    """Return the temperature of a conductor from its resistance, hot and cold; the formula is at the module's top.

    Parameters
    ----------
    hot : float or array of shape (n,)
        R, between the taps. [Ω]
    cold : float or array of shape (n,)
        Rc, between the same taps before the load. [Ω]
    cold_temperature : float or array of shape (n,)
        tc of the metal then: that of the room after hours without load. [°C]
    coefficient : float or array of shape (n,)
        α of the metal at 20 °C. [1/K]

    Returns
    -------
    float or array of shape (n,)
        t. [°C]

    Examples
    --------
    One per cent of resistance is 2.6 K.

    >>> round(temperature_from_resistance(hot=40.4, cold=40.0, cold_temperature=25.0, coefficient=0.00393), 2)
    27.59

    Sources
    -------
    ``metal.*.temperature-coefficient``; a public page prints the same for the linear resistance of cables.
    """
    zero = 1.0 / coefficient - REFERENCE_TEMPERATURE
    return hot / cold * (zero + cold_temperature) - zero


def metal_temperature_under_load(
    *, hot: Quantity, cold: Quantity, cold_temperature: Quantity, coefficient: float
) -> Quantity:
    """Return the mean temperature of the metal between two taps under load.

    Parameters
    ----------
    hot : Quantity
        Resistance between the taps, voltage over current. [Ω]
    cold : Quantity
        The same before the load. [Ω]
    cold_temperature : Quantity
        Temperature of the metal then. [°C]
    coefficient : float
        α of the metal at 20 °C. [1/K]

    Returns
    -------
    Quantity
        Where the same meter read both, give its share the same id: then most of it cancels. [°C]

    Raises
    ------
    OutsideRange
        A resistance is not above zero.
    InputError
        A number is missing.

    Examples
    --------
    >>> found = metal_temperature_under_load(
    ...     hot=normal(43.5, 0.05, "mΩ", id="hot"), cold=normal(40.0, 0.05, "mΩ", id="cold"),
    ...     cold_temperature=normal(23.0, 0.3, "°C", id="room"), coefficient=0.00393)
    >>> round(found.value, 1), round(found.expanded, 1)
    (45.5, 1.1)

    Sources
    -------
    As in :func:`temperature_from_resistance`.
    """
    for name, reading in (("hot", hot), ("cold", cold)):
        if not reading.value > 0.0:
            raise OutsideRange(
                f"the {name} resistance is {format_value(reading.value, reading.unit)}: it must be above zero; look at "
                "the taps and at the sign of the voltage"
            )
    if hot.unit != cold.unit:
        raise InputError(f"hot and cold resistance in {hot.unit} and {cold.unit}: give both in one unit")

    def temperature(*, hot: Number, cold: Number, cold_temperature: Number) -> Number:
        return temperature_from_resistance(
            hot=hot, cold=cold, cold_temperature=cold_temperature, coefficient=coefficient
        )

    return propagate(temperature, {"hot": hot, "cold": cold, "cold_temperature": cold_temperature}, "°C")


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchOff:
    """Readings of a cooling conductor led back to the moment when the load was switched off.

    ``resistance`` in the unit of the readings; ``time_constant`` of the cooling as read [s]; ``scatter`` is the
    standard deviation of the readings about the curve, in their unit. ``remarks`` say what makes the way back doubtful.
    """

    resistance: Quantity
    time_constant: Quantity
    scatter: float
    remarks: tuple[str, ...] = ()


def at_switch_off(times: Sequence[float], readings: Sequence[Quantity], *, cold: Quantity) -> SwitchOff:
    r"""Return the resistance at the moment of switching off from readings while the metal cooled.

    .. math:: R(t) = R_c + (R_0 - R_c) e^{-t / \tau}

    is a line in t after taking the logarithm of R - Rc; it is laid by least squares with the weight that this gives
    each reading.

    Parameters
    ----------
    times : sequence of float
        Since switching off, rising. [s]
    readings : sequence of Quantity
        Resistance between the taps at these times. What the meter has in common to all (its gain) belongs into an id
        shared with ``cold``.
    cold : Quantity
        Resistance between the same taps when cold.

    Returns
    -------
    SwitchOff
        R at t = 0 with the scatter of the readings and the meter's share; the conductor's first quick fall into its
        insulation is not in one exponential, and is allowed for: it makes the value higher and its interval wider.

    Raises
    ------
    InputError
        There are fewer than four readings, not one time for each, times do not rise, or a reading is not above cold.

    Examples
    --------
    >>> cold = normal(40.0, 0.02, "mΩ", id="cold")
    >>> found = at_switch_off(
    ...     [10.0, 20.0, 30.0, 60.0, 90.0],
    ...     [normal(40.0 + 4.0 * 2.718281828 ** (-t / 300.0), 0.0, "mΩ") for t in (10.0, 20.0, 30.0, 60.0, 90.0)],
    ...     cold=cold)
    >>> round(found.resistance.value, 3), round(found.time_constant.value), round(found.resistance.expanded, 2)
    (44.26, 300, 0.29)

    Sources
    -------
    Cooling of one body; least squares as in JCGM 100:2008 H.3 (standing: memory, recomputed).
    """
    _check(times, readings, cold)
    moments = np.asarray(times, dtype=float)
    values = np.array([reading.value for reading in readings])
    first = readings[0]
    height, decay, spread, scatter = _cooling(moments, values - cold.value)
    freedom = moments.size - 2
    start, tau = math.exp(height), 1.0 / decay

    def total(*, cold: float, meter: float, fitted: float, quick: float) -> float:
        by_these, *_ = _cooling(moments, values + (meter - first.value) - cold)
        return cold + math.exp(by_these) * (1.0 + quick) + fitted

    least, most = QUICK_FALL
    inputs = {
        "quick": rectangular(
            0.5 * (least + most),
            0.5 * (most - least),
            "1",
            id="quick fall",
            label="first quick fall of the metal after switching off",
        ),
        "cold": cold,
        "meter": first,
        "fitted": normal(
            0.0,
            start * math.sqrt(spread[0, 0]),
            cold.unit,
            id="cooling curve",
            label="scatter of the readings after switching off",
            dof=freedom,
        ),
    }
    late = moments[0] > LATEST_FIRST * tau
    return SwitchOff(
        resistance=propagate(total, inputs, cold.unit, monte_carlo=False),
        time_constant=normal(
            tau, tau**2 * math.sqrt(spread[1, 1]), "s", id="cooling time", label="cooling time", dof=freedom
        ),
        scatter=scatter,
        remarks=(_LATE.format(first=moments[0], tau=tau),) if late else (),
    )


_LATE = (
    "The first reading came {first:.0f} s after switching off and the metal cools with {tau:.0f} s: its first quick "
    "fall was missed, the metal was warmer than this."
)


def _cooling(
    moments: NDArray[np.float64], above: NDArray[np.float64]
) -> tuple[float, float, NDArray[np.float64], float]:
    """Return height and decay of the logarithm's line, their covariance, and the scatter of the readings about it."""
    # the logarithm spreads what is small: its weight takes that back
    design = np.column_stack([np.ones_like(moments), -moments])
    weighed = design * above[:, None]
    (height, decay), *_ = np.linalg.lstsq(weighed, np.log(above) * above, rcond=None)
    if not decay > 0.0:
        raise InputError(
            "the resistance does not fall after switching off: look whether the load was off, and at the order of times"
        )
    left = above - np.exp(design @ np.array([height, decay]))
    scatter = math.sqrt(float(np.sum(left**2)) / (moments.size - 2))
    covariance = np.asarray(np.linalg.inv(weighed.T @ weighed) * scatter**2, dtype=np.float64)
    return float(height), float(decay), covariance, scatter


def _check(times: Sequence[float], readings: Sequence[Quantity], cold: Quantity) -> None:
    if len(times) != len(readings) or len(times) < FEWEST:
        raise InputError(
            f"{len(readings)} readings at {len(times)} times after switching off: give at least {FEWEST}, each with "
            "its time"
        )
    if times[0] < 0.0 or any(later <= earlier for earlier, later in pairwise(times)):
        raise InputError("the times after switching off must rise from 0 s on: look at their order")
    for moment, reading in zip(times, readings, strict=True):
        if reading.unit != cold.unit:
            raise InputError(f"reading after {moment:g} s in {reading.unit}, cold in {cold.unit}: give all in one unit")
        if not reading.value > cold.value:
            raise InputError(
                f"reading after {moment:g} s is {format_value(reading.value, reading.unit)}, not above the cold "
                f"{format_value(cold.value, cold.unit)}: leave out what was read after it had cooled"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossCheck:
    """Two ways to one temperature: what the metal's own resistance says, and what a model makes of the sheath.

    ``difference`` is the first less the second [K]; ``agree`` is None where an uncertainty is not known. ``statement``
    says it in a sentence.
    """

    by_resistance: Quantity
    by_sheath: Quantity
    difference: Quantity
    agree: bool | None
    statement: str


def cross_check(*, by_resistance: Quantity, by_sheath: Quantity) -> CrossCheck:
    """Compare the metal's temperature from its resistance with that from the sheath.

    Parameters
    ----------
    by_resistance : Quantity
        From the taps. [°C]
    by_sheath : Quantity
        From the sheath, through the layers. [°C]

    Returns
    -------
    CrossCheck
        They agree where 0 K lies in the 95 % interval of the difference; what both share cancels.

    Raises
    ------
    InputError
        A temperature is missing.

    Examples
    --------
    >>> told = cross_check(by_resistance=normal(52.0, 0.6, "°C"), by_sheath=normal(47.0, 1.5, "°C"))
    >>> told.agree, told.statement.split(":")[0]
    (False, 'The metal is 52.0 °C ± 1.2 °C by its resistance and 47.0 °C ± 2.9 °C by its sheath')

    Sources
    -------
    JCGM 100:2008 5.1 (standing: memory).
    """

    def less(*, by_resistance: Number, by_sheath: Number) -> Number:
        return by_resistance - by_sheath

    difference = propagate(less, {"by_resistance": by_resistance, "by_sheath": by_sheath}, "K")
    agree = None
    if difference.low is not None and difference.high is not None:
        agree = difference.low <= 0.0 <= difference.high
    told = {
        True: "they agree",
        False: "they differ by more than their uncertainties allow; look for a warm joint between the taps, a draught, "
        "or layers other than assumed",
        None: "whether they agree cannot be said without both uncertainties",
    }[agree]
    return CrossCheck(
        by_resistance=by_resistance,
        by_sheath=by_sheath,
        difference=difference,
        agree=agree,
        statement=f"The metal is {format_quantity(by_resistance)} by its resistance and {format_quantity(by_sheath)} "
        f"by its sheath: {told}.",
    )
