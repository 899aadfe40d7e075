"""A warm sheath: what its temperature says of the resistance of the metal below it, and how little."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.air_film import Arrangement, FilmInterval, film_interval, film_scale
from coldpin.copper.steady import Outer, factor_of, hot_resistance, metal_temperature
from coldpin.errors import InputError
from coldpin.quantity import Quantity, format_quantity, propagate

Number = float | NDArray[np.float64]


def resistance_for_sheath(
    *,
    sheath: Number,
    ambient: Number,
    current: Number,
    diameter: Number,
    inner: Number,
    coefficient: Number,
    cores: Number,
    outer: Outer,
) -> Number:
    r"""Return the resistance at 20 °C that explains a warm sheath.

    .. math:: R'_{20} = \frac{\pi D h \Delta T_s}{n I^2 (1 + \alpha (\theta - 20))}

    Parameters
    ----------
    sheath : float or array of shape (n,)
        Temperature of the surface in the end. [°C]
    ambient : float or array of shape (n,)
        Temperature of the air. [°C]
    current : float or array of shape (n,)
        I in each loaded core. [A]
    diameter : float or array of shape (n,)
        D, over the sheath. [m]
    inner : float or array of shape (n,)
        T1/n + T3, for the loss of the whole cable. [K·m/W]
    coefficient : float or array of shape (n,)
        α of the metal at 20 °C. [1/K]
    cores : float or array of shape (n,)
        Loaded cores n. [1]
    outer : callable
        Outer coefficient h from temperatures of surface and air. [W/(m²·K)]

    Returns
    -------
    float or array of shape (n,)
        R' of one core at 20 °C. [Ω/m]

    Examples
    --------
    >>> found = resistance_for_sheath(
    ...     sheath=50.0, ambient=30.0, current=23.3, diameter=0.0112, inner=0.5, coefficient=0.00393, cores=2.0,
    ...     outer=lambda surface, air: 14.0)
    >>> round(1e3 * float(found), 2)
    7.98

    Sources
    -------
    As in :func:`coldpin.copper.steady.current_for_sheath`.
    """
    loss = np.pi * diameter * outer(sheath, ambient) * (sheath - ambient)
    metal = sheath + loss * inner
    return loss / (cores * current**2 * hot_resistance(resistance=1.0, temperature=metal, coefficient=coefficient))


@dataclass(frozen=True, slots=True, kw_only=True)
class SheathVerdict:
    """What a warm sheath says of the metal below it.

    ``resistance`` of one core at 20 °C [Ω/m] with the film's uncertainty, ``metal`` the temperature that goes with it
    [°C], ``film`` the interval of the outer coefficient. [W/(m²·K)]
    """

    resistance: Quantity
    metal: Quantity
    film: FilmInterval


def resistance_from_sheath(
    *,
    sheath: Quantity,
    ambient: Quantity,
    current: Quantity,
    diameter: Quantity,
    inner: Quantity,
    coefficient: float,
    cores: int,
    arrangement: Arrangement,
    emissivity: Quantity | None = None,
) -> SheathVerdict:
    """Return the resistance that explains a warm sheath: enough to find half the copper, not a tenth too little.

    Parameters
    ----------
    sheath : Quantity
        Temperature of the surface in the end. [°C]
    ambient : Quantity
        Temperature of the air. [°C]
    current : Quantity
        In each loaded core. [A]
    diameter : Quantity
        Over the sheath. [m]
    inner : Quantity
        T1/n + T3, for the loss of the whole cable. [K·m/W]
    coefficient : float
        α of the metal at 20 °C. [1/K]
    cores : int
        Loaded cores.
    arrangement : Arrangement
        How it lies: in free air or on a surface. In a coil the sheath says nothing of the metal.
    emissivity : Quantity, optional
        Of the sheath, where it is known better than "a dark sheath". [1]

    Returns
    -------
    SheathVerdict
        Resistance with about 18 % at k = 2, and the metal's temperature.

    Raises
    ------
    InputError
        The sheath is not warmer than the air, or the cable lies so that its sheath tells nothing.

    Examples
    --------
    >>> from coldpin.copper.air_film import arrange
    >>> from coldpin.quantity import normal
    >>> from coldpin.standards.book import load_book
    >>> told = resistance_from_sheath(
    ...     sheath=normal(45.0, 0.5, "°C", id="s"), ambient=normal(25.0, 0.3, "°C", id="a"),
    ...     current=normal(22.0, 0.1, "A", id="I"), diameter=normal(0.0112, 0.0001, "m", id="D"),
    ...     inner=normal(0.83, 0.08, "K·m/W", id="Ti"), coefficient=0.00393, cores=2, arrangement=arrange(load_book()))
    >>> round(1e3 * told.resistance.value, 1), round(100 * told.resistance.expanded / told.resistance.value)
    (9.1, 17)

    Sources
    -------
    As in :func:`resistance_for_sheath`; ``film.spread``.
    """
    if factor_of(arrangement).value != 1.0:
        raise InputError(
            f"a lead that lies {arrangement.name} warms itself: its sheath says nothing of the metal; lay it straight"
        )
    if not sheath.value > ambient.value:
        raise InputError(
            f"the sheath at {format_quantity(sheath)} is not warmer than the air at {format_quantity(ambient)}: "
            "wait until it is warm, or look which of the two thermometers is which"
        )
    film = film_interval(
        arrangement,
        diameter=diameter.value,
        surface=sheath.value,
        ambient=ambient.value,
        emissivity=None if emissivity is None else emissivity.value,
    )
    inputs: dict[str, Quantity | float] = {
        "sheath": sheath,
        "ambient": ambient,
        "current": current,
        "diameter": diameter,
        "inner": inner,
        "scale": film_scale(film),
    }
    if emissivity is not None:
        inputs["emissivity"] = emissivity

    def told(**given: Number) -> Number:
        scale, shines = given.pop("scale"), given.pop("emissivity", None)

        def outer(surface: Number, air: Number) -> Number:
            found = film_interval(
                arrangement, diameter=given["diameter"], surface=surface, ambient=air, emissivity=shines
            )
            return scale * found.middle

        return resistance_for_sheath(**given, coefficient=coefficient, cores=float(cores), outer=outer)

    def metal(**given: Number) -> Number:
        resistance = told(**given)
        return metal_temperature(
            sheath=given["sheath"],
            current=given["current"],
            inner=given["inner"],
            resistance=resistance,
            coefficient=coefficient,
            cores=float(cores),
        )

    return SheathVerdict(
        resistance=propagate(told, inputs, "Ω/m", monte_carlo=False),
        metal=propagate(metal, inputs, "°C", monte_carlo=False),
        film=film,
    )
