r"""What a cable may carry: by the formula of the rating standard, and by the tables that others printed.

.. math:: I = \sqrt{\frac{\theta_c - \theta_a}{n R'(\theta_c) (T_1/n + T_3 + T_4)}}, \quad
          \text{factor} = \sqrt{\frac{\theta_c - \theta_a}{\theta_c - 30}}

The tables of flexible cables lie 16 % to 21 % below the formula in free air: they count with a cable on a surface, and
with something in hand. So a cool sheath is no proof of copper, and no lead is judged by the formula: by the tables.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.steady import COLDEST_RISE, SETTLED, Outer, hot_resistance, solve_rising
from coldpin.errors import OutsideRange
from coldpin.quantity import format_value
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.cable_ratings import CableRating, ambient_factors, cable_ratings

Number = float | NDArray[np.float64]


def formula_rating(
    *,
    metal: float,
    ambient: float,
    diameter: float,
    inner: float,
    resistance: float,
    coefficient: float,
    cores: float,
    outer: Outer,
) -> float:
    """Return the current that brings the metal of a cable to its limit in the end.

    Parameters
    ----------
    metal : float
        Temperature θc that the insulation bears. [°C]
    ambient : float
        Temperature of the air. [°C]
    diameter : float
        Over the sheath. [m]
    inner : float
        T1/n + T3, for the loss of the whole cable. [K·m/W]
    resistance : float
        R' of one core at 20 °C. [Ω/m]
    coefficient : float
        α of the metal at 20 °C. [1/K]
    cores : float
        Loaded cores n. [1]
    outer : callable
        Outer coefficient from temperatures of surface and air. [W/(m²·K)]

    Returns
    -------
    float
        The current. [A]

    Raises
    ------
    OutsideRange
        The air is as hot as the metal may be.

    Examples
    --------
    >>> amperes = formula_rating(
    ...     metal=70.0, ambient=30.0, diameter=0.0112, inner=0.5, resistance=0.00798, coefficient=0.00393, cores=2.0,
    ...     outer=lambda surface, air: 15.0)
    >>> round(amperes, 1)
    29.6

    Sources
    -------
    IEC 60287-1-1, a cable without losses in its sheath.
    """
    if not metal > ambient:
        raise OutsideRange(
            f"air of {format_value(ambient, '°C')} leaves nothing for a conductor of {format_value(metal, '°C')}: "
            "give an ambient below it"
        )

    (heat,) = heat_for(warm=metal, ambient=np.array([ambient]), diameter=diameter, inner=inner, outer=outer)
    hot = hot_resistance(resistance=resistance, temperature=metal, coefficient=coefficient)
    return float(np.sqrt(heat / (cores * hot)))


def heat_for(
    *, warm: float, ambient: NDArray[np.float64], diameter: float, inner: float, outer: Outer
) -> NDArray[np.float64]:
    r"""Return the heat that brings a place inside a cable to a temperature in the end, over ambients.

    .. math:: \theta_a + \Delta T_s + W T = \theta, \quad W = \pi D h \Delta T_s

    Parameters
    ----------
    warm : float
        Temperature θ of the place. [°C]
    ambient : NDArray[np.float64]
        Array of shape (m,), temperature θa of the air. [°C]
    diameter : float
        D, over the sheath. [m]
    inner : float
        T from the place to the surface, for the loss of the whole cable; 0 for the surface itself. [K·m/W]
    outer : callable
        Outer coefficient h from temperatures of surface and air. [W/(m²·K)]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (m,); 0 where the air is as warm. [W/m]

    Examples
    --------
    >>> air = np.array([30.0, 75.0])
    >>> heat_for(warm=70.0, ambient=air, diameter=0.0112, inner=0.5, outer=lambda s, a: 15.0).round(1)
    array([16.7,  0. ])

    Sources
    -------
    As in :func:`coldpin.copper.steady.current_for_sheath`.
    """
    left = np.maximum(warm - ambient, 0.0)

    def heat(rise: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.pi * diameter * outer(ambient + rise, ambient) * rise)

    top = np.maximum(left, 2.0 * COLDEST_RISE)
    rise = solve_rising(
        lambda rise: rise + heat(rise) * inner, left, np.full(left.shape, COLDEST_RISE), top * (1.0 + SETTLED)
    )
    return heat(rise)


def ambient_factor(*, metal: Number, ambient: Number, base: Number) -> Number:
    r"""Return the factor on a current for another ambient than that of its row.

    .. math:: \sqrt{(\theta_c - \theta_a) / (\theta_c - \theta_b)}

    Parameters
    ----------
    metal : float or array of shape (n,)
        θc, what the insulation bears. [°C]
    ambient : float or array of shape (n,)
        θa. [°C]
    base : float or array of shape (n,)
        θb, ambient of the row. [°C]

    Returns
    -------
    float or array of shape (n,)
        The factor; 0 where the air is as hot as the metal may be. [1]

    Examples
    --------
    >>> [round(float(ambient_factor(metal=60.0, ambient=air, base=30.0)), 2) for air in (35.0, 40.0, 55.0)]
    [0.91, 0.82, 0.41]

    Sources
    -------
    Rule behind ``cable-rating.ambient.*``: it makes the printed row of 60 °C to the last digit.
    """
    return np.sqrt(np.maximum(metal - ambient, 0.0) / (metal - base))


@dataclass(frozen=True, slots=True, kw_only=True)
class RowAt:
    """A published row at another ambient. ``current`` is the row's times the factor [A]; ``factor`` by rule [1].

    ``printed`` is the factor that a text prints for that ambient and family, with its entry; None where none does.
    """

    row: CableRating
    ambient: float
    factor: float
    current: float
    printed: Limit | None = None


_PRINTED = {60.0: "60", 70.0: "70", 90.0: "90"}
"""Families of printed factors by the conductor's temperature: of cables; the 90 °C cord has a set of its own."""


def rows_at(
    book: Book,
    *,
    cross_section_mm2: float,
    loaded_cores: int,
    ambient: float,
    metal: float,
    families: tuple[str, ...] = (),
) -> tuple[RowAt, ...]:
    """Return what the published tables let a cable carry at an ambient.

    Parameters
    ----------
    book : Book
        The constants.
    cross_section_mm2 : float
        As the tables have it. [mm²]
    loaded_cores : int
        1, 2 or 3.
    ambient : float
        Temperature of the air. [°C]
    metal : float
        What the conductor bears, where the row does not say it. [°C]
    families : tuple of str
        Those wanted; empty for all that are made for leads.

    Returns
    -------
    tuple of RowAt
        Lowest first. Below the ambient of a row its current is not raised.

    Raises
    ------
    InputError
        An own value of the case leaves a row without its number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(at.row.family, round(at.current, 1)) for at in rows_at(
    ...     load_book(), cross_section_mm2=2.5, loaded_cores=2, ambient=40.0, metal=70.0)]
    [('cord', 20.4), ('cord', 21.7), ('multicore', 22.5)]

    Sources
    -------
    ``cable-rating.*``, ``cable-rating.ambient.*``.
    """
    found = []
    for row in cable_ratings(book, cross_section_mm2=cross_section_mm2, loaded_cores=loaded_cores, families=families):
        bears = row.conductor_temperature or metal
        factor = float(ambient_factor(metal=bears, ambient=max(ambient, row.ambient), base=row.ambient))
        printed = next(
            (
                one.limit
                for one in (ambient_factors(book, _PRINTED[bears]) if bears in _PRINTED else ())
                if one.ambient == ambient
            ),
            None,
        )
        found.append(RowAt(row=row, ambient=ambient, factor=factor, current=row.current * factor, printed=printed))
    return tuple(sorted(found, key=lambda at: at.current))
