r"""From a measured rise to the temperature at rated current in the hottest air: what a gentle test says of use.

A rise ΔT at the current I in air of the temperature θa becomes, at the rated current in the hottest air,

.. math:: \Delta T_r = \Delta T\, q^{1/(1 + p)}, \quad
          q = \left( \frac{I_r}{I} \right)^2 \frac{1 + \alpha (\theta_r - 20)}{1 + \alpha (\theta - 20)}

θ and θr are the temperatures of the metal in both cases; p is the power by which the outer coefficient follows the
rise, 0 where heat is led away and 0.25 where it leaves to free air. Which of the two it is nobody knows of a plug or a
lead on a floor, so p is uncertain over that span. That radiation carries more in hotter air is left out: it errs to the
warm side.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, format_figure, format_value, propagate, rectangular
from coldpin.standards.book import Book
from coldpin.standards.conductors import REFERENCE_TEMPERATURE
from coldpin.standards.table import needed

Number = float | NDArray[np.float64]

HOTTEST = 400.0
"""Ours: a rise that comes out above this has run away; nothing of a lead is left there. [K]"""

_PASSES = 200


RADIATED = 0.6
"""Ours: the largest share of what leaves a dark surface in still air that is radiated, at the rises of a lead. [1]"""

ICE_POINT = 273.15
"""0 °C in kelvin, by definition. [K]"""


def left_out(*, ambient: float, max_ambient: float) -> float:
    r"""Return by how much at most a rise comes out too large because radiation in hotter air is left out.

    .. math:: 1 - \frac{1}{1 + s \left( (T_r / T)^3 - 1 \right)}

    Parameters
    ----------
    ambient : float
        Air at the measurement. [°C]
    max_ambient : float
        Air in which it is asked for. [°C]

    Returns
    -------
    float
        As a share of the rise, 0 where the air asked for is no hotter. [1]

    Examples
    --------
    >>> round(left_out(ambient=21.0, max_ambient=40.0), 2), left_out(ambient=21.0, max_ambient=10.0)
    (0.11, 0.0)

    Sources
    -------
    Stefan and Boltzmann, for a small rise; `RADIATED`. Finite volumes of cords and plugs show 0.09 where this has 0.11.
    """
    hotter = ((max_ambient + ICE_POINT) / (ambient + ICE_POINT)) ** 3 - 1.0
    return 1.0 - 1.0 / (1.0 + RADIATED * max(hotter, 0.0))


def scaled_rise(
    *,
    rise: Number,
    current: Number,
    rated_current: Number,
    ambient: Number,
    max_ambient: Number,
    metal_above: Number,
    exponent: Number,
    coefficient: Number,
) -> Number:
    """Return the rise at another current in another air; the formula is at the top of this module.

    Parameters
    ----------
    rise : float or array of shape (n,)
        Measured, in the end. [K]
    current : float or array of shape (n,)
        At which it was measured. [A]
    rated_current : float or array of shape (n,)
        At which it is asked for. [A]
    ambient : float or array of shape (n,)
        Air at the measurement. [°C]
    max_ambient : float or array of shape (n,)
        Air in which it is asked for. [°C]
    metal_above : float or array of shape (n,)
        By how much the metal was warmer than the place measured. [K]
    exponent : float or array of shape (n,)
        Power p by which the outer coefficient follows the rise. [1]
    coefficient : float or array of shape (n,)
        Temperature coefficient α of the metal at 20 °C. [1/K]

    Returns
    -------
    float or array of shape (n,)
        The rise; infinite where heat grows faster with it than it can leave. [K]

    Examples
    --------
    Twice the current is four times the heat, and more, since the metal resists more where it is warmer.

    >>> place = {"rise": 10.0, "ambient": 20.0, "max_ambient": 20.0, "metal_above": 0.0, "coefficient": 0.00393}
    >>> round(float(scaled_rise(**place, current=10.0, rated_current=20.0, exponent=0.0)), 1)
    45.3
    >>> round(float(scaled_rise(**place, current=10.0, rated_current=20.0, exponent=0.25)), 1)
    32.3

    Sources
    -------
    ``film.rise-exponent``; ``metal.*.temperature-coefficient``.
    """
    squared = (rated_current / current) ** 2
    tested = 1.0 + coefficient * (ambient + rise + metal_above - REFERENCE_TEMPERATURE)
    ratio = squared * np.ones_like(np.asarray(tested, dtype=float))
    with np.errstate(over="ignore", invalid="ignore"):
        for _ in range(_PASSES):
            found = rise * ratio ** (1.0 / (1.0 + exponent))
            warmed = 1.0 + coefficient * (max_ambient + found + metal_above * ratio - REFERENCE_TEMPERATURE)
            before, ratio = ratio, squared * warmed / tested
            if np.all((np.abs(ratio - before) <= SETTLED * ratio) | (found > HOTTEST)):
                break
    found = np.where(found > HOTTEST, np.inf, rise * ratio ** (1.0 / (1.0 + exponent)))
    return found if found.ndim else float(found)


SETTLED = 1e-12
"""Relative change between two passes below which the ratio of the losses counts as found."""


def at_rated(
    rise: Quantity,
    *,
    current: Quantity,
    rated_current: Quantity | float,
    ambient: Quantity,
    max_ambient: Quantity | float,
    coefficient: float,
    book: Book,
    metal_above: Quantity | float = 0.0,
) -> Quantity:
    """Return the temperature at rated current in the hottest air, from the rise of a test.

    Parameters
    ----------
    rise : Quantity
        In the end, above the air of the test. [K]
    current : Quantity
        Of the test. [A]
    rated_current : Quantity or float
        Asked for. [A]
    ambient : Quantity
        Air of the test. [°C]
    max_ambient : Quantity or float
        Hottest air it is to be used in. [°C]
    coefficient : float
        Temperature coefficient of the metal at 20 °C. [1/K]
    book : Book
        The constants.
    metal_above : Quantity or float
        By how much the metal was warmer than the place measured, in the test. [K]

    Returns
    -------
    Quantity
        Temperature of the place measured, with the span of the exponent in its budget. [°C]

    Raises
    ------
    OutsideRange
        A current is not above zero, or so much larger than that of the test that no end temperature follows.
    InputError
        A number is missing, or an own value of the case leaves the exponent without its span.

    Examples
    --------
    >>> from coldpin.quantity import normal
    >>> from coldpin.standards.book import load_book
    >>> found = at_rated(
    ...     normal(24.0, 0.5, "K", id="rise"), current=normal(16.0, 0.05, "A", id="meter"), rated_current=20.0,
    ...     ambient=normal(22.0, 0.3, "°C", id="room"), max_ambient=40.0, coefficient=0.00393, book=load_book())
    >>> round(found.value, 1), round(found.expanded, 1)
    (79.6, 3.1)

    Sources
    -------
    As in :func:`scaled_rise`.
    """
    asked = rated_current.value if isinstance(rated_current, Quantity) else rated_current
    for name, amperes in (("the test", current.value), ("use", asked)):
        if not amperes > 0.0:
            raise OutsideRange(f"the current of {name} is {format_value(amperes, 'A')}: it must be above zero")
    span = book.limit("film.rise-exponent")
    low, high = needed(span, "minimum"), needed(span, "maximum")
    exponent = rectangular(
        0.5 * (low + high), 0.5 * (high - low), "1", id=span.id, label="how the film follows the rise"
    )
    inputs: dict[str, Quantity | float] = {
        "rise": rise,
        "current": current,
        "rated_current": rated_current,
        "ambient": ambient,
        "max_ambient": max_ambient,
        "metal_above": metal_above,
        "exponent": exponent,
        "coefficient": coefficient,
    }
    plain = {name: given.value if isinstance(given, Quantity) else given for name, given in inputs.items()}
    if not np.isfinite(scaled_rise(**plain)):
        raise OutsideRange(
            f"a rise of {format_figure(rise)} at {format_value(current.value, 'A')} gives no end temperature "
            f"at {format_value(asked, 'A')}: the metal's resistance would grow faster than heat can leave; test nearer "
            "to that current"
        )
    return propagate(_temperature, inputs, "°C")


def _temperature(
    *,
    rise: Number,
    current: Number,
    rated_current: Number,
    ambient: Number,
    max_ambient: Number,
    metal_above: Number,
    exponent: Number,
    coefficient: Number,
) -> Number:
    return max_ambient + scaled_rise(
        rise=rise,
        current=current,
        rated_current=rated_current,
        ambient=ambient,
        max_ambient=max_ambient,
        metal_above=metal_above,
        exponent=exponent,
        coefficient=coefficient,
    )
