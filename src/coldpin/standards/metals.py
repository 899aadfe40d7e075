"""Metals of which a core may be made: constants of copper and aluminium; clad, tinned and steel-cored wire."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.quantity import convert
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import needed

_NANO = 1e-9
_MEGA = 1e6
_PURE = ("copper", "aluminium")
_CLAD = {"clad_10": ("clad-10", ("maker",)), "clad_15": ("clad-15", ("maker", "second-maker"))}
"""Clad wire by the name of its metal: how its ids begin, and whose tables there are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PureMetal:
    """A metal by itself: all values that are published, the one in use first.

    ``resistivities`` at 20 °C [Ω·m], ``densities`` [kg/m³], ``temperature_coefficient`` of the resistance at 20 °C
    [1/K], ``volumetric_heat`` [J/(m³·K)].
    """

    metal: str
    resistivities: tuple[float, ...]
    densities: tuple[float, ...]
    temperature_coefficient: float
    volumetric_heat: float
    limits: tuple[Limit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CladWire:
    """Copper-clad aluminium: its copper as a share of the cross-section, and the values published for it.

    ``copper_share`` is least, nominal and largest [1]; ``resistivities`` are the makers' and then the largest that the
    standard's least conductivity allows [Ω·m]; ``density`` is the makers' [kg/m³].
    """

    metal: str
    copper_share: tuple[float, float, float]
    resistivities: tuple[float, ...]
    density: float
    limits: tuple[Limit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelCoredWire:
    """Copper-clad steel by its grades: largest resistivities [Ω·m], densities [kg/m³]; and steel by itself."""

    resistivities: tuple[float, ...]
    densities: tuple[float, ...]
    steel_resistivity: float
    steel_volumetric_heat: float
    limits: tuple[Limit, ...]


def _constant(book: Book, metal: str, name: str, unit: str) -> float:
    if metal not in _PURE:
        raise UnknownName.among("metal", metal, _PURE)
    limit = book.limit(f"metal.{metal}.{name}")
    return convert(needed(limit, "nominal"), limit.unit, unit)


def resistivity(book: Book, metal: str = "copper") -> float:
    """Return the resistivity of a metal at 20 °C.

    Parameters
    ----------
    book : Book
        The constants.
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    float
        ρ. [Ω·m]

    Raises
    ------
    UnknownName
        There is no such metal here.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> resistivity(load_book(), "copper")
    1.7241e-08

    Sources
    -------
    ``metal.*.resistivity``.
    """
    return _constant(book, metal, "resistivity", "Ω·m")


def temperature_coefficient(book: Book, metal: str = "copper") -> float:
    """Return the temperature coefficient of a metal's resistance at 20 °C.

    Parameters
    ----------
    book : Book
        The constants.
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    float
        α. [1/K]

    Raises
    ------
    UnknownName
        There is no such metal here.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> temperature_coefficient(load_book(), "copper")
    0.00393

    Sources
    -------
    ``metal.*.temperature-coefficient``, the exact formulas of IEC 60228 Annex B.
    """
    return _constant(book, metal, "temperature-coefficient", "1/K")


def reciprocal_coefficient(book: Book, metal: str = "copper") -> float:
    """Return the reciprocal of the temperature coefficient of a metal's resistance at 0 °C.

    Parameters
    ----------
    book : Book
        The constants.
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    float
        β: the metal would lose its resistance at −β °C if it went on as it does near 20 °C. [K]

    Raises
    ------
    UnknownName
        There is no such metal here.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> reciprocal_coefficient(load_book(), "copper")
    234.5

    Sources
    -------
    ``metal.*.beta``.
    """
    return _constant(book, metal, "beta", "K")


def volumetric_heat(book: Book, metal: str = "copper") -> float:
    """Return the heat that warms a cubic metre of a metal by one kelvin.

    Parameters
    ----------
    book : Book
        The constants.
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    float
        Heat capacity by volume. [J/(m³·K)]

    Raises
    ------
    UnknownName
        There is no such metal here.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> volumetric_heat(load_book(), "copper")
    3450000.0

    Sources
    -------
    ``metal.*.volumetric-heat``.
    """
    return _constant(book, metal, "volumetric-heat", "J/(m³·K)")


def pure_metal(book: Book, metal: str) -> PureMetal:
    """Return what is published of copper or of aluminium.

    Parameters
    ----------
    book : Book
        The constants.
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    PureMetal
        Resistivities, densities, temperature coefficient, heat capacity.

    Raises
    ------
    UnknownName
        It is neither.
    InputError
        An own value of the case has no nominal number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> aluminium = pure_metal(load_book(), "aluminium")
    >>> aluminium.densities, [round(1e9 * value, 3) for value in aluminium.resistivities]
    ((2703.0, 2710.0), [28.264, 28.73])

    Sources
    -------
    ``metal.copper.*``, ``metal.aluminium.*``.
    """
    if metal not in _PURE:
        raise UnknownName.among("pure metal", metal, _PURE)
    resisting, coefficient, heat, density = (
        book.limit(f"metal.{metal}.{name}")
        for name in ("resistivity", "temperature-coefficient", "volumetric-heat", "density")
    )
    second = tuple(row.limit for row in book.under(f"metal.{metal}.resistivity."))
    return PureMetal(
        metal=metal,
        resistivities=tuple(_NANO * needed(limit, "nominal") for limit in (resisting, *second)),
        densities=(needed(density, "nominal"), *((density.maximum,) if density.maximum is not None else ())),
        temperature_coefficient=needed(coefficient, "nominal"),
        volumetric_heat=_MEGA * needed(heat, "nominal"),
        limits=(resisting, *second, density, coefficient, heat),
    )


def clad_wire(book: Book, metal: str) -> CladWire:
    """Return what is published of a kind of copper-clad aluminium.

    Parameters
    ----------
    book : Book
        The constants.
    metal : str
        "clad_10" or "clad_15".

    Returns
    -------
    CladWire
        Share of copper, resistivities, density.

    Raises
    ------
    UnknownName
        There is no such kind.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> clad = clad_wire(load_book(), "clad_15")
    >>> clad.copper_share, [round(1e9 * value, 2) for value in clad.resistivities]
    ((0.13, 0.15, 0.17), [25.89, 27.31, 26.77])

    Sources
    -------
    ``metal.clad-10.*``, ``metal.clad-15.*``; ``metal.copper.resistivity``, to which a conductivity in per cent refers.
    """
    if metal not in _CLAD:
        raise UnknownName.among("kind of clad wire", metal, _CLAD)
    word, makers = _CLAD[metal]
    share, conductivity, density = (
        book.limit(f"metal.{word}.{name}") for name in ("copper-share", "conductivity", "density")
    )
    tables = tuple(book.limit(f"metal.{word}.resistivity.{maker}") for maker in makers)
    copper = _NANO * needed(book.limit("metal.copper.resistivity"), "nominal")
    return CladWire(
        metal=metal,
        copper_share=(
            needed(share, "minimum") / 100.0,
            needed(share, "nominal") / 100.0,
            needed(share, "maximum") / 100.0,
        ),
        resistivities=(
            *(_NANO * needed(table, "nominal") for table in tables),
            100.0 * copper / needed(conductivity, "minimum"),
        ),
        density=needed(density, "nominal"),
        limits=(share, *tables, conductivity, density),
    )


def steel_cored_wire(book: Book) -> SteelCoredWire:
    """Return what is published of copper-clad steel.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    SteelCoredWire
        Resistivities and densities by grade, and steel's own.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [round(1e9 * value, 2) for value in steel_cored_wire(load_book()).resistivities]
    [83.67, 58.6, 44.0]

    Sources
    -------
    ``metal.steel-cored.*``, ``metal.steel.*``.
    """
    grades = tuple(row.limit for row in book.under("metal.steel-cored.resistivity."))
    densities = tuple(row.limit for row in book.under("metal.steel-cored.density."))
    resisting, heat = book.limit("metal.steel.resistivity"), book.limit("metal.steel.volumetric-heat")
    return SteelCoredWire(
        resistivities=tuple(_NANO * needed(limit, "maximum") for limit in grades),
        densities=tuple(needed(limit, "nominal") for limit in densities),
        steel_resistivity=_NANO * needed(resisting, "nominal"),
        steel_volumetric_heat=_MEGA * needed(heat, "nominal"),
        limits=(*grades, *densities, resisting, heat),
    )


def tinned_excess(book: Book) -> Limit:
    """Return by how much tinned copper of one size may resist more than plain copper.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In per cent.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> tinned_excess(load_book()).maximum
    3.0

    Sources
    -------
    ``metal.tinned-copper.excess``.
    """
    return book.limit("metal.tinned-copper.excess")


def lay_factor(book: Book) -> Limit:
    """Return the length of a wire in one metre of cable.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        Its range.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> lay_factor(load_book()).minimum, lay_factor(load_book()).maximum
    (1.02, 1.05)

    Sources
    -------
    ``metal.lay-factor``.
    """
    return book.limit("metal.lay-factor")
