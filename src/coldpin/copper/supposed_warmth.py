"""Conductors in use whose temperature nobody measured: the one that is supposed, and what it leaves open.

The printed table's stands in for it. Within is then only what is so with conductors as hot as in the hottest table too,
beyond only what is so with conductors hardly warmer than a room.
"""

from __future__ import annotations

from enum import StrEnum

from coldpin.copper.resistance import Number
from coldpin.copper.steady import hot_resistance
from coldpin.quantity import Quantity, decide, propagate
from coldpin.standards.book import Book
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.voltage_drop import cord_temperature

HOTTEST_TABLE = 90.0
"""Ours: conductors whose temperature nobody measured may be as hot as the hottest printed table has them. [°C]"""

COOLEST_IN_USE = 30.0
"""Ours: nor are they cooler in use: a loaded cord is warmer than a room. [°C]"""


class Open(StrEnum):
    """What may undo an outcome: conductors that are hotter, or cooler, than supposed, or what is not counted."""

    NOTHING = ""
    HIGHER = "higher"
    COOLER = "cooler"


def supposed_temperature(book: Book) -> float:
    """Return the temperature in use that is supposed where nobody measured it: the printed table's.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        Of the conductors. [°C]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> supposed_temperature(load_book())
    60.0
    """
    return cord_temperature(book)


def more_if_hot(temperature: float, book: Book) -> float:
    """Return how much more conductors take that are as hot as in the hottest printed table.

    Parameters
    ----------
    temperature : float
        For which their drop is told. [°C]
    book : Book
        The constants.

    Returns
    -------
    float
        As a part of that drop. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(more_if_hot(60.0, load_book()), 3), more_if_hot(95.0, load_book())
    (0.102, 0.0)
    """
    return _ratio(max(HOTTEST_TABLE, temperature), temperature, book) - 1.0


def less_if_cool(temperature: float, book: Book, *, coolest: float = COOLEST_IN_USE) -> float:
    """Return how much less conductors take that are hardly warmer than a room.

    Parameters
    ----------
    temperature : float
        For which their drop is told. [°C]
    book : Book
        The constants.
    coolest : float
        The least that they may have in use. [°C]

    Returns
    -------
    float
        As a part of that drop. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(less_if_cool(60.0, load_book()), 3), less_if_cool(25.0, load_book())
    (0.102, 0.0)
    """
    return 1.0 - _ratio(min(coolest, temperature), temperature, book)


def _ratio(other: float, temperature: float, book: Book) -> float:
    coefficient = temperature_coefficient(book)
    at_other, told = (
        hot_resistance(resistance=1.0, temperature=one, coefficient=coefficient) for one in (other, temperature)
    )
    return float(at_other / told)


def undone_by(drop: Quantity, most: float, *, warmer: float, cooler: float, allowed: float = 0.0) -> Open:
    """Return what may undo the outcome of a drop that is told for conductors of a supposed temperature.

    Parameters
    ----------
    drop : Quantity
        As told. [V or %]
    most : float
        What it is held against, in the same unit.
    warmer : float
        How much more hotter conductors take, as a part of it; nought where their temperature was measured. [1]
    cooler : float
        How much less cooler ones take. [1]
    allowed : float
        The most that is allowed for what is not counted, in the same unit.

    Returns
    -------
    Open
        Nothing where the outcome holds of all of them, or where nothing is decided anyhow.

    Examples
    --------
    >>> [undone_by(Quantity(value, 0.01, "%"), 5.0, warmer=0.1, cooler=0.1).value for value in (4.5, 4.8, 5.2, 5.8)]
    ['', 'higher', 'cooler', '']
    """
    outcome = decide(drop, maximum=most).outcome
    if outcome == "within" and decide(moved(drop, allowed + warmer * drop.value), maximum=most).outcome != "within":
        return Open.HIGHER
    if outcome == "beyond" and decide(moved(drop, -cooler * drop.value), maximum=most).outcome != "beyond":
        return Open.COOLER
    return Open.NOTHING


def moved(quantity: Quantity, by: float) -> Quantity:
    """Return a quantity moved as a whole.

    Parameters
    ----------
    quantity : Quantity
        Any.
    by : float
        In its unit.

    Returns
    -------
    Quantity
        With the same uncertainty.

    Examples
    --------
    >>> moved(Quantity(4.5, 0.1, "%"), 0.5).value
    5.0
    """
    if not by:
        return quantity
    return propagate(_moved, {"quantity": quantity, "by": by}, quantity.unit, monte_carlo=False)


def _moved(*, quantity: Number, by: float) -> Number:
    return quantity + by


def supposed_remark(temperature: float, book: Book) -> str:
    """Say that a temperature in use is supposed, and what that leaves open.

    Parameters
    ----------
    temperature : float
        The one that is supposed. [°C]
    book : Book
        The constants.

    Returns
    -------
    str
        In two sentences.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> supposed_remark(60.0, load_book())[:102]
    'Nobody measured how warm the conductors are in use: reckoned at 60 °C. At 90 °C they take 10 % more, a'
    """
    more, less = (100.0 * part for part in (more_if_hot(temperature, book), less_if_cool(temperature, book)))
    return (
        f"Nobody measured how warm the conductors are in use: reckoned at {temperature:g} °C. At {HOTTEST_TABLE:g} °C "
        f"they take {more:.0f} % more, at {COOLEST_IN_USE:g} °C {less:.0f} % less; within is only what is so at the "
        "one, beyond only what is so at the other."
    )
