"""What a loaded cable's temperature follows from: plastics, the air around it, how it lies, what a hand may meet."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import Row, needed

_RESISTIVITY = "cable.thermal-resistivity."
_CAPACITY = "cable.heat-capacity."
_AIR = "cable.air."
_TOUCH = "touch-temperature."
_DRUM = "cable.drum."
_BUNDLE = "cable.bundle."
_THICKNESS = "cable.core-thickness."
_DIAMETER = "cable.diameter."


@dataclass(frozen=True, slots=True, kw_only=True)
class AirCoefficients:
    """Z, E and g of one arrangement: the outer coefficient is Z/Dᵍ + E [W/(m²·K^1.25)], D in metres."""

    arrangement: str
    z: float
    e: float
    g: float
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeConvection:
    """The numbers of Churchill and Chu's formula for a horizontal cylinder.

    Nu = (offset + factor Ra^ra_exponent / (1 + (prandtl/Pr)^prandtl_exponent)^outer_exponent)^power.
    """

    offset: float
    factor: float
    ra_exponent: float
    prandtl: float
    prandtl_exponent: float
    outer_exponent: float
    power: float
    ra_to: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerLaw:
    """One range of Morgan's formula: Nu = factor Ra^power for Ra from ``ra_from`` to ``ra_to``."""

    factor: float
    power: float
    ra_from: float
    ra_to: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Draught:
    """The numbers of Churchill and Bernstein's formula for air moving across a cylinder, and how it joins free air."""

    offset: float
    factor: float
    pr_exponent: float
    prandtl: float
    prandtl_exponent: float
    outer_exponent: float
    transition: float
    transition_exponent: float
    power: float
    mixed_power: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """What the properties of air are computed from, and the constants of nature beside them.

    ``viscosity`` and ``conductivity`` are the numbers of the formulas as their rows tell them, ``gas_constant`` is in
    J/(kg·K), ``pressure`` in Pa, ``gravity`` in m/s², ``stefan_boltzmann`` in W/(m²·K⁴), ``ice_point`` in K.
    """

    viscosity: tuple[float, float]
    conductivity: tuple[float, float, float]
    gas_constant: float
    heat_capacity_ratio: float
    pressure: float
    gravity: float
    stefan_boltzmann: float
    ice_point: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmConstants:
    """Everything the outer film of a cable is computed from, but how it lies.

    ``emissivity`` is that of a dark sheath with its span [1], ``spread`` the standard uncertainty of an outer
    coefficient as a part of it [1].
    """

    air: Air
    free: FreeConvection
    morgan: tuple[PowerLaw, ...]
    draught: Draught
    emissivity: Limit
    spread: float


def thermal_resistivity(book: Book, material: str) -> Limit:
    """Return the thermal resistivity of a plastic.

    Parameters
    ----------
    book : Book
        The constants.
    material : str
        Such as "pvc", "rubber", "epr", "polychloroprene", "tpu".

    Returns
    -------
    Limit
        In K·m/W; with minimum and maximum where texts differ.

    Raises
    ------
    UnknownName
        The table has no such material.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> thermal_resistivity(load_book(), "epr").nominal
    3.5

    Sources
    -------
    ``cable.thermal-resistivity.*``.
    """
    return _one(book, _RESISTIVITY, material, "material of insulation or sheath").limit


def heat_capacity(book: Book, material: str) -> Limit:
    """Return the heat capacity by volume of a plastic.

    Parameters
    ----------
    book : Book
        The constants.
    material : str
        Such as "pvc", "rubber", "polyethylene", "tpu".

    Returns
    -------
    Limit
        In MJ/(m³·K).

    Raises
    ------
    UnknownName
        The table has no such material.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> heat_capacity(load_book(), "pvc").nominal
    1.7

    Sources
    -------
    ``cable.heat-capacity.*``.
    """
    return _one(book, _CAPACITY, material, "material of insulation or sheath").limit


def air_coefficients(book: Book, arrangement: str) -> AirCoefficients:
    """Return the air coefficients of one arrangement.

    Parameters
    ----------
    book : Book
        The constants.
    arrangement : str
        Such as "free air", "on a surface", "trefoil".

    Returns
    -------
    AirCoefficients
        Z, E and g with their entry.

    Raises
    ------
    UnknownName
        The table has no such arrangement.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> found = air_coefficients(load_book(), "free air")
    >>> found.z, found.e, found.g
    (0.21, 3.94, 0.6)

    Sources
    -------
    ``cable.air.*``.
    """
    rows = {row.word("arrangement"): row for row in book.under(_AIR)}
    if arrangement not in rows:
        raise UnknownName.among("arrangement of a cable in air", arrangement, rows)
    row = rows[arrangement]
    return AirCoefficients(
        arrangement=arrangement, z=row.number("z"), e=row.number("e"), g=row.number("g"), limit=row.limit
    )


def film_constants(book: Book) -> FilmConstants:
    """Return everything the outer film of a cable is computed from.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    FilmConstants
        Properties of air, the correlations' numbers, emissivity and spread.

    Raises
    ------
    InputError
        An own value of the case leaves the spread or the emissivity without its number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> found = film_constants(load_book())
    >>> found.spread, found.free.factor, len(found.morgan)
    (0.08, 0.387, 5)

    Sources
    -------
    ``film.*``, ``air.*``, ``gravity.standard``, ``radiation.stefan-boltzmann``, ``temperature.ice-point``,
    ``cable.emissivity.sheath``.
    """
    free, draught = book.row("film.free-convection"), book.row("film.draught")
    viscosity, conductivity = book.row("air.viscosity"), book.row("air.conductivity")
    emissivity = book.limit("cable.emissivity.sheath")
    needed(emissivity, "nominal")
    return FilmConstants(
        air=Air(
            viscosity=(viscosity.number("value"), viscosity.number("second")),
            conductivity=(conductivity.number("value"), conductivity.number("second"), conductivity.number("third")),
            gas_constant=book.row("air.gas-constant").number("value"),
            heat_capacity_ratio=book.row("air.heat-capacity-ratio").number("value"),
            pressure=book.row("air.pressure").number("value"),
            gravity=book.row("gravity.standard").number("value"),
            stefan_boltzmann=book.row("radiation.stefan-boltzmann").number("value"),
            ice_point=book.row("temperature.ice-point").number("value"),
        ),
        free=FreeConvection(
            offset=free.number("offset"),
            factor=free.number("factor"),
            ra_exponent=free.number("ra_exponent"),
            prandtl=free.number("prandtl"),
            prandtl_exponent=free.number("prandtl_exponent"),
            outer_exponent=free.number("outer_exponent"),
            power=free.number("power"),
            ra_to=free.number("ra_to"),
        ),
        morgan=tuple(
            PowerLaw(
                factor=row.number("factor"),
                power=row.number("power"),
                ra_from=row.number("ra_from"),
                ra_to=row.number("ra_to"),
            )
            for row in book.under("film.free-convection.morgan.")
        ),
        draught=Draught(
            offset=draught.number("offset"),
            factor=draught.number("factor"),
            pr_exponent=draught.number("pr_exponent"),
            prandtl=draught.number("prandtl"),
            prandtl_exponent=draught.number("prandtl_exponent"),
            outer_exponent=draught.number("outer_exponent"),
            transition=draught.number("transition"),
            transition_exponent=draught.number("transition_exponent"),
            power=draught.number("power"),
            mixed_power=book.row("film.mixed").number("power"),
        ),
        emissivity=emissivity,
        spread=needed(book.limit("film.spread"), "maximum") / 100.0,
    )


def drum_factors(book: Book, layers: int) -> tuple[Limit, ...]:
    """Return what wound cable may carry, as a part of its current in free air: the British and the German factor.

    Parameters
    ----------
    book : Book
        The constants.
    layers : int
        Layers on the drum.

    Returns
    -------
    tuple of Limit
        One or two factors. [1]

    Raises
    ------
    UnknownName
        No text has that many layers.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [factor.nominal for factor in drum_factors(load_book(), 2)]
    [0.65, 0.61]

    Sources
    -------
    ``cable.drum.*``.
    """
    rows = [row for nation in ("british", "german") for row in book.under(f"{_DRUM}{nation}.")]
    found = tuple(row.limit for row in rows if row.number("layers") == layers)
    if not found:
        known = sorted({f"{row.number('layers'):g}" for row in rows})
        raise UnknownName.among("layers on a drum:", str(layers), known)
    return found


def coil_factor(book: Book) -> Limit:
    """Return what a lead left coiled is taken to carry, as a part of its current in free air.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        With minimum, nominal and maximum. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> found = coil_factor(load_book())
    >>> found.minimum, found.maximum
    (0.35, 0.5)

    Sources
    -------
    ``cable.coil``.
    """
    return book.limit("cable.coil")


def bundle_factor(book: Book, turns: int) -> Limit:
    """Return what each of several cables bundled may carry, as a part of its current alone.

    Parameters
    ----------
    book : Book
        The constants.
    turns : int
        Cables, or turns of one cable, that lie side by side in the bundle.

    Returns
    -------
    Limit
        That of the next larger bundle where the number itself is not in the table; the largest where there is none
        larger. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> bundle_factor(load_book(), 3).nominal, bundle_factor(load_book(), 7).nominal
    (0.7, 0.5)

    Sources
    -------
    ``cable.bundle.*``.
    """
    rows = sorted(book.under(_BUNDLE), key=lambda row: row.number("turns"))
    return next((row.limit for row in rows if row.number("turns") >= turns), rows[-1].limit)


def touch_temperature(book: Book, part: str = "sheath") -> Limit:
    """Return the highest temperature of a part that can be touched.

    Parameters
    ----------
    book : Book
        The constants.
    part : str
        "sheath", "plastic", "grasped.metal", "grasped.plastic", "touched.metal" or "touched.plastic".

    Returns
    -------
    Limit
        In °C.

    Raises
    ------
    UnknownName
        The table has no such part.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> touch_temperature(load_book()).maximum
    60.0

    Sources
    -------
    ``touch-temperature.*``.
    """
    return _one(book, _TOUCH, part, "part that can be touched").limit


def core_thickness(book: Book, material: str, cross_section_mm2: float) -> Limit:
    """Return how thick the insulation of a core usually is.

    Parameters
    ----------
    book : Book
        The constants.
    material : str
        "pvc" or "rubber".
    cross_section_mm2 : float
        Marked size of the core. [mm²]

    Returns
    -------
    Limit
        In millimetres; that of the nearest size where the size itself is not in the table.

    Raises
    ------
    UnknownName
        The table has no such material.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> core_thickness(load_book(), "pvc", 2.5).nominal
    0.8

    Sources
    -------
    ``cable.core-thickness.*`` (standing: memory).
    """
    rows = [row for row in book.under(_THICKNESS) if row.word("material") == material]
    if not rows:
        known = {row.word("material") for row in book.under(_THICKNESS)}
        raise UnknownName.among("material of a core", material, known)
    return min(rows, key=lambda row: abs(row.number("cross_section") - cross_section_mm2)).limit


def usual_diameter(book: Book, cross_section_mm2: float) -> Limit:
    """Return how thick a three-core rubber cable is, where nobody measured it.

    Parameters
    ----------
    book : Book
        The constants.
    cross_section_mm2 : float
        Marked size of a core. [mm²]

    Returns
    -------
    Limit
        Minimum and maximum in millimetres; those of the nearest size where the size itself is not in the table.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> usual_diameter(load_book(), 2.5).maximum
    14.0

    Sources
    -------
    ``cable.diameter.*`` (standing: memory).
    """
    rows = book.under(_DIAMETER)
    return min(rows, key=lambda row: abs(row.number("cross_section") - cross_section_mm2)).limit


def _one(book: Book, prefix: str, name: str, what: str) -> Row:
    rows = {row.limit.id.removeprefix(prefix): row for row in book.under(prefix)}
    if name not in rows:
        raise UnknownName.among(what, name, rows)
    return rows[name]
