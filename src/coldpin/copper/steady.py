r"""A loaded cable in the end: how warm metal and sheath become.

.. math:: W = n I^2 R'(\theta), \quad R'(\theta) = R'_{20} (1 + \alpha (\theta - 20)), \quad
          \Delta T_s = \frac{W}{\pi D h(\Delta T_s)}, \quad \theta = \theta_a + \Delta T_s + W (T_1 / n + T_3)

Written from the surface inwards nothing needs to be guessed: a sheath temperature gives the loss, the loss the metal's
temperature, both the current. That is how it is solved, for one cable or for a whole map of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.air_film import Arrangement, FilmInterval, film_interval, film_scale
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, format_value, propagate, rectangular
from coldpin.standards.conductors import REFERENCE_TEMPERATURE

Number = float | NDArray[np.float64]
Outer = Callable[[Number, Number], Number]
"""Outer coefficient from temperatures of surface and air. [W/(m²·K)]"""

HOTTEST_SHEATH = 250.0
"""Ours: no sheath of a lead lives above this; the properties of air are asked for no further. [°C]"""

COLDEST_RISE = 1e-9
"""Ours: where the search for a rise begins. [K]"""

STEPS = 80
"""Most steps of the search; a step of the secant gains digits, one of the bisection a factor of two."""

SETTLED = 1e-12
"""Relative difference of the current at which a search ends."""

GENTLEST_SLOPE, STEEPEST_SLOPE = 0.05, 2.0
"""Ours: between these the current follows the rise of a surface, as a power; what a secant says beyond is rounding."""

USUAL_SLOPE = 0.6
"""Ours: power with which the current follows the rise of a surface in still air, to begin with."""


def hot_resistance(*, resistance: Number, temperature: Number, coefficient: Number) -> Number:
    r"""Return a resistance at a temperature.

    .. math:: R(\theta) = R_{20} (1 + \alpha (\theta - 20))

    Parameters
    ----------
    resistance : float or array of shape (n,)
        R20, at 20 °C, in any unit.
    temperature : float or array of shape (n,)
        Temperature θ of the metal. [°C]
    coefficient : float or array of shape (n,)
        α of the metal at 20 °C. [1/K]

    Returns
    -------
    float or array of shape (n,)
        In the unit of ``resistance``.

    Examples
    --------
    >>> round(hot_resistance(resistance=7.98, temperature=70.0, coefficient=0.00393), 3)
    9.548

    Sources
    -------
    ``metal.*.temperature-coefficient``.
    """
    return resistance * (1.0 + coefficient * (temperature - REFERENCE_TEMPERATURE))


def current_for_sheath(
    *,
    sheath: Number,
    ambient: Number,
    diameter: Number,
    inner: Number,
    resistance: Number,
    coefficient: Number,
    cores: Number,
    outer: Outer,
) -> Number:
    """Return the current that brings a sheath to a temperature in the end: explicit, nothing is iterated.

    Parameters
    ----------
    sheath : float or array of shape (n,)
        Temperature of the surface. [°C]
    ambient : float or array of shape (n,)
        Temperature of the air. [°C]
    diameter : float or array of shape (n,)
        Over the sheath. [m]
    inner : float or array of shape (n,)
        T1/n + T3, for the loss of the whole cable. [K·m/W]
    resistance : float or array of shape (n,)
        R' of one core at 20 °C. [Ω/m]
    coefficient : float or array of shape (n,)
        α of the metal at 20 °C. [1/K]
    cores : float or array of shape (n,)
        Loaded cores n. [1]
    outer : callable
        Outer coefficient from temperatures of surface and air. [W/(m²·K)]

    Returns
    -------
    float or array of shape (n,)
        The current. [A]

    Examples
    --------
    >>> amperes = current_for_sheath(
    ...     sheath=50.0, ambient=30.0, diameter=0.0112, inner=0.5, resistance=0.00798, coefficient=0.00393, cores=2.0,
    ...     outer=lambda surface, air: 14.0)
    >>> round(float(amperes), 1)
    23.3

    Sources
    -------
    IEC 60287-1-1, a cable without losses in its sheath; ``metal.*.temperature-coefficient``.
    """
    loss = np.pi * diameter * outer(sheath, ambient) * (sheath - ambient)
    metal = sheath + loss * inner
    return np.sqrt(loss / (cores * hot_resistance(resistance=resistance, temperature=metal, coefficient=coefficient)))


def sheath_temperature(
    *,
    current: Number,
    ambient: Number,
    diameter: Number,
    inner: Number,
    resistance: Number,
    coefficient: Number,
    cores: Number,
    outer: Outer,
) -> Number:
    """Return the temperature that the sheath of a loaded cable reaches in the end.

    Parameters
    ----------
    current : float or array of shape (n,)
        In each loaded core. [A]
    ambient : float or array of shape (n,)
        Temperature of the air. [°C]
    diameter : float or array of shape (n,)
        Over the sheath. [m]
    inner : float or array of shape (n,)
        T1/n + T3, for the loss of the whole cable. [K·m/W]
    resistance : float or array of shape (n,)
        R' of one core at 20 °C. [Ω/m]
    coefficient : float or array of shape (n,)
        α of the metal at 20 °C. [1/K]
    cores : float or array of shape (n,)
        Loaded cores n. [1]
    outer : callable
        Outer coefficient from temperatures of surface and air. [W/(m²·K)]

    Returns
    -------
    float or array of shape (n,)
        The temperature; infinite where it would be above 250 °C or never settle. [°C]

    Examples
    --------
    >>> warm = sheath_temperature(
    ...     current=23.3, ambient=30.0, diameter=0.0112, inner=0.5, resistance=0.00798, coefficient=0.00393, cores=2.0,
    ...     outer=lambda surface, air: 14.0)
    >>> round(warm, 1)
    50.0

    Sources
    -------
    The inverse of :func:`current_for_sheath`, by a secant on logarithms held in a bracket.
    """
    amperes, air = np.broadcast_arrays(np.asarray(current, dtype=float), np.asarray(ambient, dtype=float))

    def reached(rise: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(
            current_for_sheath(
                sheath=air + rise,
                ambient=air,
                diameter=diameter,
                inner=inner,
                resistance=resistance,
                coefficient=coefficient,
                cores=cores,
                outer=outer,
            )
        )

    shape = reached(np.ones(air.shape)).shape
    amperes, air = np.broadcast_to(amperes, shape), np.broadcast_to(air, shape)
    rise = solve_rising(reached, amperes, np.full(shape, COLDEST_RISE), HOTTEST_SHEATH - air)
    found = air + rise
    return found if found.ndim else float(found)


def solve_rising(
    reached: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    wanted: NDArray[np.float64],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return where a rising function reaches what is wanted, by a secant on logarithms held in a bracket.

    Parameters
    ----------
    reached : callable
        The function, above 0 and rising; takes and returns an array of shape (m, n).
    wanted : NDArray[np.float64]
        Array of shape (m, n), or any other.
    low : NDArray[np.float64]
        Array of shape (m, n): lower end of the bracket, above 0.
    high : NDArray[np.float64]
        Array of shape (m, n): upper end of the bracket.

    Returns
    -------
    NDArray[np.float64]
        0 where nothing is wanted, infinite where what is wanted lies beyond the bracket.

    Examples
    --------
    >>> found = solve_rising(lambda x: x**1.25, np.array([0.0, 32.0, 1e9]), np.full(3, 1e-9), np.full(3, 100.0))
    >>> found.round(9).tolist()
    [0.0, 16.0, inf]
    """
    never = reached(high) < wanted
    idle = wanted <= 0.0
    aim = np.log(np.where(idle | never, reached(np.sqrt(low * high)), wanted))
    here = np.sqrt(low * high)
    slope = np.full(here.shape, USUAL_SLOPE)
    last_place, last_value = np.zeros(here.shape), np.zeros(here.shape)
    for step in range(STEPS):
        value, place = np.log(reached(here)), np.log(here)
        gap = value - aim
        if np.all(np.abs(gap) <= SETTLED):
            break
        low, high = np.where(gap < 0.0, here, low), np.where(gap > 0.0, here, high)
        moved = place - last_place
        steep = (value - last_value) / np.where(np.abs(moved) > SETTLED, moved, 1.0)
        if step:
            slope = np.where(np.abs(moved) > SETTLED, np.clip(steep, GENTLEST_SLOPE, STEEPEST_SLOPE), slope)
        last_place, last_value = place, value
        further = here * np.exp(-gap / slope)
        inside = (further > low) & (further < high)
        here = np.where(np.abs(gap) <= SETTLED, here, np.where(inside, further, np.sqrt(low * high)))
    return np.where(idle, 0.0, np.where(never, np.inf, here))


def metal_temperature(
    *,
    sheath: Number,
    current: Number,
    inner: Number,
    resistance: Number,
    coefficient: Number,
    cores: Number,
) -> Number:
    r"""Return the temperature of the metal under a sheath of known temperature, at a current of known resistance.

    .. math:: \theta = \frac{\theta_s + n I^2 R'_{20} T_i (1 - 20 \alpha)}{1 - n I^2 R'_{20} T_i \alpha}

    Parameters
    ----------
    sheath : float or array of shape (n,)
        Temperature θs of the surface. [°C]
    current : float or array of shape (n,)
        I in each loaded core. [A]
    inner : float or array of shape (n,)
        Ti, for the loss of the whole cable. [K·m/W]
    resistance : float or array of shape (n,)
        R' of one core at 20 °C. [Ω/m]
    coefficient : float or array of shape (n,)
        α of the metal at 20 °C. [1/K]
    cores : float or array of shape (n,)
        Loaded cores n. [1]

    Returns
    -------
    float or array of shape (n,)
        θ; infinite where the inside alone would run away. [°C]

    Examples
    --------
    >>> round(float(metal_temperature(
    ...     sheath=50.0, current=23.3, inner=0.5, resistance=0.00798, coefficient=0.00393, cores=2.0)), 1)
    54.9

    Sources
    -------
    W = n I² R'(θ) put into θ = θs + W Ti.
    """
    loss = cores * current**2 * resistance
    left = 1.0 - loss * inner * coefficient
    with np.errstate(divide="ignore", invalid="ignore"):
        found = (sheath + loss * inner * (1.0 - coefficient * REFERENCE_TEMPERATURE)) / left
    return np.where(left > 0.0, found, np.inf)[()]


def outer_of(arrangement: Arrangement, diameter: Number, scale: Number = 1.0) -> Outer:
    """Return the middle of a film as a function of the temperatures of surface and air.

    Parameters
    ----------
    arrangement : Arrangement
        How the cable lies.
    diameter : float or array of shape (n,)
        Over the sheath. [m]
    scale : float or array of shape (n,)
        By which the middle is multiplied. [1]

    Returns
    -------
    callable
        Takes both temperatures [°C], returns the coefficient. [W/(m²·K)]
    """

    def outer(surface: Number, ambient: Number) -> Number:
        return scale * film_interval(arrangement, diameter=diameter, surface=surface, ambient=ambient).middle

    return outer


def reached_metal(
    *,
    current: Number,
    ambient: Number,
    diameter: Number,
    inner: Number,
    resistance: Number,
    scale: Number,
    factor: Number,
    coefficient: Number,
    cores: Number,
    arrangement: Arrangement,
) -> Number:
    """Return the temperature that the metal of a loaded cable reaches in the end.

    Bundled, coiled or on a drum the metal is taken to become as warm at I as it would in free air at I over the factor
    on the current: that is what such a factor says.

    Parameters
    ----------
    current : float or array of shape (n,)
        In each loaded core. [A]
    ambient : float or array of shape (n,)
        Temperature of the air. [°C]
    diameter : float or array of shape (n,)
        Over the sheath. [m]
    inner : float or array of shape (n,)
        T1/n + T3, for the loss of the whole cable. [K·m/W]
    resistance : float or array of shape (n,)
        R' of one core at 20 °C. [Ω/m]
    scale : float or array of shape (n,)
        By which the middle of the film is multiplied. [1]
    factor : float or array of shape (n,)
        On the current in free air, 1 for a cable alone. [1]
    coefficient : float or array of shape (n,)
        α of the metal at 20 °C. [1/K]
    cores : float or array of shape (n,)
        Loaded cores n. [1]
    arrangement : Arrangement
        How the cable lies.

    Returns
    -------
    float or array of shape (n,)
        The temperature; infinite where the sheath alone would be above 250 °C. [°C]

    Sources
    -------
    As in :func:`sheath_temperature` and :func:`metal_temperature`.
    """
    alone = current / factor
    cable = {"inner": inner, "resistance": resistance, "coefficient": coefficient, "cores": cores}
    sheath = sheath_temperature(
        current=alone, ambient=ambient, diameter=diameter, outer=outer_of(arrangement, diameter, scale), **cable
    )
    return metal_temperature(sheath=sheath, current=alone, **cable)


def loss(*, current: Number, metal: Number, resistance: Number, coefficient: Number, cores: Number) -> Number:
    """Return the heat of all loaded cores.

    Parameters
    ----------
    current : float or array of shape (n,)
        In each loaded core. [A]
    metal : float or array of shape (n,)
        Temperature of the metal. [°C]
    resistance : float or array of shape (n,)
        R' of one core at 20 °C. [Ω/m]
    coefficient : float or array of shape (n,)
        α of the metal at 20 °C. [1/K]
    cores : float or array of shape (n,)
        Loaded cores n. [1]

    Returns
    -------
    float or array of shape (n,)
        W. [W/m]

    Examples
    --------
    >>> round(loss(current=16.0, metal=38.0, resistance=0.00798, coefficient=0.00393, cores=2.0), 2)
    4.37
    """
    return cores * current**2 * hot_resistance(resistance=resistance, temperature=metal, coefficient=coefficient)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatedCable:
    """A cable as its heating sees it.

    ``diameter`` over the sheath [m], ``inner`` is T1/n + T3 [K·m/W], ``resistance`` of one core at 20 °C [Ω/m],
    ``coefficient`` α of its metal at 20 °C [1/K], ``cores`` how many are loaded.
    """

    diameter: Quantity
    inner: Quantity
    resistance: Quantity
    coefficient: float
    cores: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyState:
    """A loaded cable in the end.

    ``metal`` and ``sheath`` [°C], ``heat`` of the whole cable [W/m]; ``film`` is the interval of the outer coefficient
    in free air that their uncertainty holds. [W/(m²·K)]
    """

    metal: Quantity
    sheath: Quantity
    heat: Quantity
    film: FilmInterval


def factor_of(arrangement: Arrangement) -> Quantity:
    """Return the factor on the current of an arrangement, uncertain where the texts differ.

    Parameters
    ----------
    arrangement : Arrangement
        How the cable lies.

    Returns
    -------
    Quantity
        1 for a cable alone. [1]

    Examples
    --------
    >>> from coldpin.copper.air_film import arrange
    >>> from coldpin.standards.book import load_book
    >>> factor_of(arrange(load_book(), "bundled", turns=2)).value
    0.8
    """
    low, middle, high = arrangement.factor
    return rectangular(
        middle, max(high - middle, middle - low), "1", id=f"{arrangement.name}: factor", label="factor of how it lies"
    )


def steady_state(cable: HeatedCable, *, current: Quantity, ambient: Quantity, arrangement: Arrangement) -> SteadyState:
    """Return how warm a loaded cable becomes, with the interval of the film in the uncertainty.

    Parameters
    ----------
    cable : HeatedCable
        The cable.
    current : Quantity
        In each loaded core. [A]
    ambient : Quantity
        Temperature of the air. [°C]
    arrangement : Arrangement
        How it lies.

    Returns
    -------
    SteadyState
        Temperatures of metal and sheath, and the heat. By the linear sum: the film is no better known than that.

    Raises
    ------
    OutsideRange
        It would be warmer than 250 °C, or never settle.
    InputError
        A number is missing.

    Examples
    --------
    >>> from coldpin.copper.air_film import arrange
    >>> from coldpin.quantity import normal
    >>> from coldpin.standards.book import load_book
    >>> cord = HeatedCable(
    ...     diameter=normal(0.0112, 0.0001, "m", id="D"), inner=normal(0.83, 0.08, "K·m/W", id="Ti"),
    ...     resistance=normal(0.00798, 3e-5, "Ω/m", id="R"), coefficient=0.00393, cores=2)
    >>> warm = steady_state(cord, current=normal(16.0, 0.05, "A", id="I"), ambient=normal(25.0, 0.3, "°C", id="a"),
    ...                     arrangement=arrange(load_book()))
    >>> f"{warm.sheath.value:.1f} {warm.metal.value:.1f} {warm.metal.expanded:.1f}"
    '35.1 38.7 1.7'

    Sources
    -------
    As in :func:`reached_metal`.
    """
    fixed = {"coefficient": cable.coefficient, "cores": float(cable.cores)}
    inputs: dict[str, Quantity | float] = {
        "current": current,
        "ambient": ambient,
        "diameter": cable.diameter,
        "inner": cable.inner,
        "resistance": cable.resistance,
        "scale": 1.0,
        "factor": factor_of(arrangement),
    }
    plain = {name: given.value if isinstance(given, Quantity) else given for name, given in inputs.items()}
    middle = float(reached_metal(**plain, **fixed, arrangement=arrangement))
    if not np.isfinite(middle):
        raise OutsideRange(
            f"at {format_value(current.value, 'A')} in air of {format_value(ambient.value, '°C')}, {arrangement.name}, "
            f"the sheath would be above {HOTTEST_SHEATH:g} °C or never settle: check current and resistance"
        )
    alone = plain["current"] / plain["factor"]
    heat = loss(current=alone, metal=middle, resistance=plain["resistance"], **fixed)
    film = film_interval(
        arrangement,
        diameter=plain["diameter"],
        surface=middle - float(heat) * plain["inner"],
        ambient=plain["ambient"],
    )
    inputs["scale"] = film_scale(film)

    # the slopes of all three results are asked for at the same places
    reached: dict[tuple[Number, ...], Number] = {}

    def metal(**given: Number) -> Number:
        at = tuple(given[name] for name in inputs)
        if at not in reached:
            reached[at] = reached_metal(**given, **fixed, arrangement=arrangement)
        return reached[at]

    def heat_of(**given: Number) -> Number:
        return loss(current=given["current"], metal=metal(**given), resistance=given["resistance"], **fixed)

    def sheath(**given: Number) -> Number:
        return metal(**given) - heat_of(**given) * given["inner"]

    return SteadyState(
        metal=propagate(metal, inputs, "°C", monte_carlo=False),
        sheath=propagate(sheath, inputs, "°C", monte_carlo=False),
        heat=propagate(heat_of, inputs, "W/m", monte_carlo=False),
        film=film,
    )
