r"""Outer film of a cable: how much heat leaves its surface for each kelvin, told as an interval and never as a number.

Two ways lead to the same film. Churchill and Chu's free convection with radiation beside it,

.. math:: h = Nu\, k / D + \varepsilon \sigma (T_s^2 + T_a^2)(T_s + T_a)

lies lowest at the size of a cord; the standard for the rating of cables, which holds both in one,

.. math:: h = (Z / D^g + E)\, \Delta T_s^{0.25}

lies 4 % to 14 % above it. What a lead on a bench really has lies between, or beside, by a draught or what it lies on.
So temperatures are bounded with the low end and resistances with the high end, and the interval is never narrower than
the budget of such a film.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange, UnknownName
from coldpin.quantity import Quantity, rectangular
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.cable_heating import (
    Air,
    AirCoefficients,
    Draught,
    FilmConstants,
    FreeConvection,
    PowerLaw,
    air_coefficients,
    bundle_factor,
    coil_factor,
    drum_factors,
    film_constants,
)
from coldpin.standards.table import needed

Number = float | NDArray[np.float64]

FREE_AIR, ON_A_SURFACE, BUNDLED, COILED, ON_A_DRUM = "free air", "on a surface", "bundled", "coiled", "on a drum"
ARRANGEMENTS = (FREE_AIR, ON_A_SURFACE, BUNDLED, COILED, ON_A_DRUM)
"""How a lead may lie. The last three are told as factors on the current, of which the tables speak."""

_SQRT3 = np.sqrt(3.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class AirProperties:
    """Air at one temperature: conductivity [W/(m·K)], kinematic viscosity [m²/s], Prandtl number [1]."""

    conductivity: Number
    viscosity: Number
    prandtl: Number


def air_properties(temperature: Number, air: Air) -> AirProperties:
    r"""Return the properties of dry air at sea level.

    .. math:: \mu = \frac{\beta T^{1.5}}{T + S}, \quad k = \frac{a T^{1.5}}{T + b\, 10^{-c/T}},
              \quad \nu = \frac{\mu R T}{p}, \quad Pr = \frac{c_p \mu}{k}

    Parameters
    ----------
    temperature : float or array of shape (n,)
        Of the air; of a film the mean of surface and room. [°C]
    air : Air
        The constants.

    Returns
    -------
    AirProperties
        Conductivity, kinematic viscosity, Prandtl number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> film = air_properties(45.0, film_constants(load_book()).air)
    >>> f"{film.conductivity:.5f} {film.viscosity:.4g} {film.prandtl:.3f}"
    '0.02765 1.74e-05 0.702'

    Sources
    -------
    U.S. Standard Atmosphere 1976 (``air.*``).
    """
    kelvin = temperature + air.ice_point
    slope, sutherland = air.viscosity
    viscosity = slope * kelvin * np.sqrt(kelvin) / (kelvin + sutherland)
    rise, step, decay = air.conductivity
    conductivity = rise * kelvin * np.sqrt(kelvin) / (kelvin + step * 10.0 ** (-decay / kelvin))
    ratio = air.heat_capacity_ratio
    heat_capacity = air.gas_constant * ratio / (ratio - 1.0)
    return AirProperties(
        conductivity=conductivity,
        viscosity=viscosity * air.gas_constant * kelvin / air.pressure,
        prandtl=heat_capacity * viscosity / conductivity,
    )


def free_convection(*, rayleigh: Number, prandtl: Number, numbers: FreeConvection) -> Number:
    r"""Return the Nusselt number of still air around a horizontal cylinder, by Churchill and Chu.

    .. math:: Nu = \left( 0.60 + \frac{0.387\, Ra^{1/6}}{(1 + (0.559/Pr)^{9/16})^{8/27}} \right)^2

    Parameters
    ----------
    rayleigh : float or array of shape (n,)
        Ra, by the diameter. [1]
    prandtl : float or array of shape (n,)
        Pr of the film. [1]
    numbers : FreeConvection
        The numbers of the formula.

    Returns
    -------
    float or array of shape (n,)
        Nu. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> numbers = film_constants(load_book()).free
    >>> round(float(free_convection(rayleigh=0.69 * 2.63e9, prandtl=0.69, numbers=numbers)), 4)
    139.1349

    Sources
    -------
    Churchill and Chu 1975 (``film.free-convection``), Ra up to 1e12.
    """
    hindered = (1.0 + (numbers.prandtl / prandtl) ** numbers.prandtl_exponent) ** numbers.outer_exponent
    root = numbers.offset + numbers.factor * rayleigh**numbers.ra_exponent / hindered
    return root**numbers.power


def free_convection_by_ranges(*, rayleigh: Number, laws: tuple[PowerLaw, ...]) -> Number:
    r"""Return the Nusselt number of still air around a horizontal cylinder, by Morgan: a power of Ra by ranges.

    .. math:: Nu = C\, Ra^n

    Parameters
    ----------
    rayleigh : float or array of shape (n,)
        Ra, by the diameter. [1]
    laws : tuple of PowerLaw
        By rising Ra.

    Returns
    -------
    float or array of shape (n,)
        Nu; it jumps a little where the ranges meet. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> laws = film_constants(load_book()).morgan
    >>> round(float(free_convection_by_ranges(rayleigh=0.705 * 2000.0, laws=laws)), 4)
    3.3226

    Sources
    -------
    Morgan 1975 (``film.free-convection.morgan.*``). The rating standard's coefficients follow it within 3 %.
    """
    inside = [np.less_equal(rayleigh, law.ra_to) for law in laws[:-1]]
    by_law = [law.factor * np.asarray(rayleigh, dtype=float) ** law.power for law in laws]
    found = np.select(inside, by_law[:-1], by_law[-1])
    return found if np.ndim(rayleigh) else float(found)


def draught_convection(*, reynolds: Number, prandtl: Number, numbers: Draught) -> Number:
    r"""Return the Nusselt number of air that moves across a cylinder, by Churchill and Bernstein.

    Parameters
    ----------
    reynolds : float or array of shape (n,)
        Re, by the diameter. [1]
    prandtl : float or array of shape (n,)
        Pr of the film. [1]
    numbers : Draught
        The numbers of the formula.

    Returns
    -------
    float or array of shape (n,)
        Nu. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> numbers = film_constants(load_book()).draught
    >>> round(float(draught_convection(reynolds=200.0, prandtl=0.7, numbers=numbers)), 2)
    7.19

    Sources
    -------
    Churchill and Bernstein 1977 (``film.draught``, standing: memory).
    """
    hindered = (1.0 + (numbers.prandtl / prandtl) ** numbers.prandtl_exponent) ** numbers.outer_exponent
    turbulent = (1.0 + (reynolds / numbers.transition) ** numbers.transition_exponent) ** numbers.power
    return numbers.offset + numbers.factor * np.sqrt(reynolds) * prandtl**numbers.pr_exponent / hindered * turbulent


def convection_coefficient(
    *, diameter: Number, surface: Number, ambient: Number, constants: FilmConstants, draught: float = 0.0
) -> Number:
    """Return what leaves a horizontal cable by convection, for each kelvin.

    Parameters
    ----------
    diameter : float or array of shape (n,)
        Over the sheath. [m]
    surface : float or array of shape (n,)
        Temperature of the sheath. [°C]
    ambient : float or array of shape (n,)
        Temperature of the air. [°C]
    constants : FilmConstants
        Air and correlations.
    draught : float
        Speed of air across the cable; 0 for still air. [m/s]

    Returns
    -------
    float or array of shape (n,)
        The convective part of the outer coefficient. [W/(m²·K)]

    Examples
    --------
    A draught that is hardly felt doubles it.

    >>> from coldpin.standards.book import load_book
    >>> place = {"diameter": 0.010, "surface": 50.0, "ambient": 30.0, "constants": film_constants(load_book())}
    >>> [round(float(convection_coefficient(**place, draught=speed)), 1) for speed in (0.0, 0.3)]
    [7.8, 18.7]

    Sources
    -------
    As in :func:`free_convection` and :func:`draught_convection`, joined by ``film.mixed``.
    """
    air = constants.air
    mean = 0.5 * (surface + ambient)
    film = air_properties(mean, air)
    rise = np.maximum(surface - ambient, 0.0)
    grashof = air.gravity / (mean + air.ice_point) * rise * diameter**3 / film.viscosity**2
    nusselt = free_convection(rayleigh=grashof * film.prandtl, prandtl=film.prandtl, numbers=constants.free)
    if draught > 0.0:
        reynolds = draught * diameter / film.viscosity
        moved = draught_convection(reynolds=reynolds, prandtl=film.prandtl, numbers=constants.draught)
        power = constants.draught.mixed_power
        nusselt = (nusselt**power + moved**power) ** (1.0 / power)
    return nusselt * film.conductivity / diameter


def radiation_coefficient(*, surface: Number, ambient: Number, emissivity: Number, air: Air) -> Number:
    r"""Return what leaves a surface by radiation into a room of the air's temperature, for each kelvin.

    .. math:: h_r = \varepsilon \sigma (T_s^2 + T_a^2)(T_s + T_a)

    Parameters
    ----------
    surface : float or array of shape (n,)
        Temperature of the surface. [°C]
    ambient : float or array of shape (n,)
        Temperature of the room. [°C]
    emissivity : float or array of shape (n,)
        Emissivity ε of the surface. [1]
    air : Air
        Where the constants of nature stand.

    Returns
    -------
    float or array of shape (n,)
        The radiated part of the outer coefficient. [W/(m²·K)]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> air = film_constants(load_book()).air
    >>> round(30.0 * float(radiation_coefficient(surface=60.0, ambient=30.0, emissivity=0.9, air=air)), 2)
    197.65

    Sources
    -------
    Stefan and Boltzmann (``radiation.stefan-boltzmann``).
    """
    hot, cold = surface + air.ice_point, ambient + air.ice_point
    return emissivity * air.stefan_boltzmann * (hot**2 + cold**2) * (hot + cold)


def standard_coefficient(diameter: Number, numbers: AirCoefficients) -> Number:
    r"""Return the outer coefficient of the rating standard, which holds convection and radiation in one.

    .. math:: h = Z / D^g + E

    Parameters
    ----------
    diameter : float or array of shape (n,)
        Over the sheath. [m]
    numbers : AirCoefficients
        Z, E and g of the arrangement.

    Returns
    -------
    float or array of shape (n,)
        h; times ΔT^0.25 it is the coefficient for each kelvin. [W/(m²·K^1.25)]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(float(standard_coefficient(0.0755, air_coefficients(load_book(), "three flat"))), 10)
    3.1327826671

    Sources
    -------
    IEC 60287-2-1 (``cable.air.*``).
    """
    return numbers.z / diameter**numbers.g + numbers.e


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmInterval:
    """Outer coefficient at one place: low end, middle, high end. [W/(m²·K)] Arrays of shape (n,) where asked so."""

    low: Number
    middle: Number
    high: Number

    @property
    def half(self) -> Number:
        """Half of the interval as a part of the middle. [1]"""
        return 0.5 * (self.high - self.low) / self.middle


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """How a cable lies, and what follows for its film and for the current it may carry.

    ``standard`` are the standard's coefficients of this arrangement, the lowest first. ``factor`` are low, middle and
    high of the factor on the current in free air [1]; all are 1 for a cable alone. ``draught`` is the largest speed of
    air that may have been there [m/s]: it widens the film upwards and never bounds a temperature.
    """

    name: str
    constants: FilmConstants
    standard: tuple[AirCoefficients, ...]
    exponent: float
    factor: tuple[float, float, float] = (1.0, 1.0, 1.0)
    draught: float = 0.0
    limits: tuple[Limit, ...] = ()


def arrange(book: Book, name: str = FREE_AIR, *, turns: int = 3, layers: int = 2, draught: float = 0.0) -> Arrangement:
    """Return how a cable lies.

    Parameters
    ----------
    book : Book
        The constants.
    name : str
        One of "free air", "on a surface", "bundled", "coiled", "on a drum".
    turns : int
        Cables, or turns of one, side by side in a bundle; used for "bundled" only.
    layers : int
        Layers on the drum; used for "on a drum" only.
    draught : float
        The largest speed of air across the cable that cannot be ruled out. [m/s]

    Returns
    -------
    Arrangement
        With its factor on the current where it has one: between the texts where they differ.

    Raises
    ------
    UnknownName
        There is no such arrangement, or no text has that many layers.
    OutsideRange
        The speed of the air is negative.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [arrange(load_book(), name).factor for name in ("free air", "coiled", "on a drum")]
    [(1.0, 1.0, 1.0), (0.35, 0.42, 0.5), (0.61, 0.63, 0.65)]

    Sources
    -------
    ``cable.air.*``, ``cable.coil``, ``cable.bundle.*``, ``cable.drum.*``.
    """
    if name not in ARRANGEMENTS:
        raise UnknownName.among("arrangement", name, ARRANGEMENTS)
    if draught < 0.0:
        raise OutsideRange(f"air moves at {draught:g} m/s: give its speed without sign, 0 for still air")
    free, wall = air_coefficients(book, FREE_AIR), air_coefficients(book, ON_A_SURFACE)
    low, middle, high = 1.0, 1.0, 1.0
    limits: tuple[Limit, ...] = ()
    if name == BUNDLED:
        limits = (bundle_factor(book, turns),)
        low = middle = high = needed(limits[0], "nominal")
    elif name == COILED:
        limits = (coil_factor(book),)
        low, middle, high = (needed(limits[0], "minimum"), needed(limits[0], "nominal"), needed(limits[0], "maximum"))
    elif name == ON_A_DRUM:
        limits = drum_factors(book, layers)
        found = [needed(limit, "nominal") for limit in limits]
        low, high = min(found), max(found)
        middle = 0.5 * (low + high)
    standard = (wall, free) if name == ON_A_SURFACE else (free,)
    return Arrangement(
        name=name,
        constants=film_constants(book),
        standard=standard,
        exponent=needed(book.limit("film.rise-exponent"), "maximum"),
        factor=(low, middle, high),
        draught=draught,
        limits=(*(numbers.limit for numbers in standard), *limits),
    )


def film_interval(
    arrangement: Arrangement, *, diameter: Number, surface: Number, ambient: Number, emissivity: Number | None = None
) -> FilmInterval:
    """Return the outer coefficient of a cable between its low and its high end.

    Parameters
    ----------
    arrangement : Arrangement
        How it lies.
    diameter : float or array of shape (n,)
        Over the sheath. [m]
    surface : float or array of shape (n,)
        Temperature of the sheath. [°C]
    ambient : float or array of shape (n,)
        Temperature of air and room. [°C]
    emissivity : float or array of shape (n,), optional
        Of the sheath; that of a dark sheath where not given. The standard's figures are moved by the difference.

    Returns
    -------
    FilmInterval
        From the lowest to the highest of what the texts give, and never narrower than a rectangle whose standard
        uncertainty is that of the budget.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> free = film_interval(arrange(load_book()), diameter=0.010, surface=50.0, ambient=30.0)
    >>> f"{free.low:.1f} {free.middle:.1f} {free.high:.1f}"
    '12.7 14.7 16.8'

    Sources
    -------
    As in :func:`convection_coefficient`, :func:`radiation_coefficient`, :func:`standard_coefficient`; ``film.spread``.
    """
    constants = arrangement.constants
    usual = needed(constants.emissivity, "nominal")
    shines = usual if emissivity is None else emissivity
    dark = radiation_coefficient(surface=surface, ambient=ambient, emissivity=usual, air=constants.air)
    radiated = dark / usual * shines
    moved = radiated - dark
    rise = np.maximum(surface - ambient, 0.0) ** arrangement.exponent
    found = [
        convection_coefficient(diameter=diameter, surface=surface, ambient=ambient, constants=constants) + radiated,
        *(standard_coefficient(diameter, numbers) * rise + moved for numbers in arrangement.standard),
    ]
    if arrangement.draught > 0.0:
        blown = convection_coefficient(
            diameter=diameter,
            surface=surface,
            ambient=ambient,
            constants=constants,
            draught=arrangement.draught,
        )
        found.append(blown + radiated)
    low, high = reduce(np.minimum, found), reduce(np.maximum, found)
    middle = 0.5 * (low + high)
    half = np.maximum(0.5 * (high - low), _SQRT3 * constants.spread * middle)
    return FilmInterval(low=middle - half, middle=middle, high=middle + half)


def film_scale(interval: FilmInterval) -> Quantity:
    """Return the uncertain factor by which the true film may differ from the middle of its interval.

    Parameters
    ----------
    interval : FilmInterval
        At one place.

    Returns
    -------
    Quantity
        1, anywhere within the interval with the same chance. Its id is the same wherever it turns up, so that it
        cancels between two cables in one room. [1]

    Examples
    --------
    >>> round(film_scale(FilmInterval(low=12.7, middle=14.75, high=16.8)).u, 2)
    0.08
    """
    return rectangular(1.0, float(interval.half), "1", id=FILM, label="film of air around the cable")


FILM = "cable film"
"""Id of the film's component in every budget."""
