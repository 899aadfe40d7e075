"""Resistors and diodes as they are sold: preferred numbers, tolerance, ratings, and how a diode's drop behaves."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import needed

_SERIES = "resistor.series."


@dataclass(frozen=True, slots=True, kw_only=True)
class PreferredNumbers:
    """A series of preferred numbers: those of one decade, from 1 up to below 10, with the entry they are from."""

    series: str
    decade: tuple[float, ...]
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodeBehaviour:
    """How the drop of a silicon diode follows current and temperature.

    ``thermal_voltage`` is kT/e at 25 °C [V], ``emission`` the emission coefficient [1], ``per_kelvin`` the change of
    the drop with each kelvin [V].
    """

    thermal_voltage: float
    emission: float
    per_kelvin: float
    limits: tuple[Limit, ...]


def preferred_numbers(book: Book, series: str) -> PreferredNumbers:
    """Return a series of preferred numbers.

    Parameters
    ----------
    book : Book
        The constants.
    series : str
        "E24" or "E96".

    Returns
    -------
    PreferredNumbers
        The numbers of one decade, rising.

    Raises
    ------
    UnknownName
        The table has no such series.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> numbers = preferred_numbers(load_book(), "e24").decade
    >>> len(numbers), numbers[:3], numbers[-1]
    (24, (1.0, 1.1, 1.2), 9.1)

    Sources
    -------
    ``resistor.series.*``.
    """
    rows = {row.word("series"): row for row in book.under(_SERIES)}
    row = rows.get(series.strip().upper())
    if row is None:
        raise UnknownName.among("series of resistors", series, rows)
    first = 10.0 ** (row.number("digits") - 1.0)
    decade = tuple(float(word) / first for word in row.words("values"))
    return PreferredNumbers(series=row.word("series"), decade=decade, limit=row.limit)


def film_tolerance(book: Book) -> Limit:
    """Return the tolerance of the resistors one buys for a bench load.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In per cent of the marked value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> film_tolerance(load_book()).maximum
    1.0

    Sources
    -------
    ``resistor.metal-film-tolerance``.
    """
    return book.limit("resistor.metal-film-tolerance")


def stock_ratings(book: Book) -> tuple[float, ...]:
    """Return the dissipations for which resistors are sold.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of float
        Rising. [W]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> stock_ratings(load_book())[:2]
    (0.25, 0.5)

    Sources
    -------
    ``resistor.ratings``.
    """
    return tuple(sorted(float(word) for word in book.row("resistor.ratings").words("watts")))


def diode_behaviour(book: Book) -> DiodeBehaviour:
    """Return how a small-signal silicon diode's drop follows current and temperature.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    DiodeBehaviour
        Thermal voltage, emission coefficient and change with each kelvin.

    Raises
    ------
    InputError
        An own value of the case has no nominal number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> diode_behaviour(load_book()).per_kelvin
    -0.002

    Sources
    -------
    ``diode.thermal-voltage``, ``diode.emission-coefficient``, ``diode.drop-per-kelvin``.
    """
    thermal, emission, per_kelvin = (
        book.limit(f"diode.{name}") for name in ("thermal-voltage", "emission-coefficient", "drop-per-kelvin")
    )
    return DiodeBehaviour(
        thermal_voltage=1e-3 * needed(thermal, "nominal"),
        emission=needed(emission, "nominal"),
        per_kelvin=1e-3 * needed(per_kelvin, "nominal"),
        limits=(thermal, emission, per_kelvin),
    )
