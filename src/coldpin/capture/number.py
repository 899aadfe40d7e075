"""Numbers and marks in the cells of a text capture: one declared grammar, the same on every machine."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from coldpin.records.dialect import Dialect

INSTRUMENT_INFINITY = 9.9e37
"""What an instrument that speaks SCPI sends for "beyond range" (SCPI 1999, volume 1, 7.2.1.4)."""

INSTRUMENT_NOT_A_NUMBER = 9.91e37
"""What an instrument that speaks SCPI sends for "no value" (SCPI 1999, volume 1, 7.2.1.5)."""


@cache
def _pattern(decimal_char: str) -> re.Pattern[str]:
    mark = re.escape(decimal_char)
    return re.compile(rf"[+-]?(?:[0-9]+(?:{mark}[0-9]*)?|{mark}[0-9]+)(?:[eE][+-]?[0-9]+)?")


def read_number(text: str, decimal_char: str = ".") -> float | None:
    """Return the number a text is, or None if it is none.

    A number is a sign, digits with at most one decimal character, and a power of ten after ``e`` or ``E``.
    Signs that group digits, ``1_000``, ``infinity`` and digits of other scripts are not numbers; nor is
    what exceeds a 64-bit float.

    Parameters
    ----------
    text : str
        The text, without spaces around it.
    decimal_char : str
        The character before the fraction.

    Returns
    -------
    float or None
        The nearest 64-bit float.

    Examples
    --------
    >>> read_number("-1.25E+03"), read_number("1,5", ","), read_number("1,5"), read_number("1_000")
    (-1250.0, 1.5, None, None)
    """
    if _pattern(decimal_char).fullmatch(text) is None:
        return None
    value = float(text if decimal_char == "." else text.replace(decimal_char, "."))
    return value if math.isfinite(value) else None


def written_digits(text: str, decimal_char: str = ".") -> tuple[int, int]:
    """Return the place of a number's last digit and how many significant digits were written.

    Parameters
    ----------
    text : str
        A number by the grammar of :func:`read_number`.
    decimal_char : str
        The character before the fraction.

    Returns
    -------
    tuple of int
        The power of ten of the last digit, and the number of digits from the first that is not zero.

    Examples
    --------
    >>> written_digits("0.0320"), written_digits("1.50E-06"), written_digits("120")
    ((-4, 3), (-8, 3), (0, 3))
    """
    mantissa, _, exponent = text.lower().lstrip("+-").partition("e")
    whole, _, fraction = mantissa.partition(decimal_char)
    return int(exponent or "0") - len(fraction), len((whole + fraction).lstrip("0"))


def written_shape(text: str, decimal_char: str = ".") -> tuple[int, int]:
    """Return how many digits stand behind the decimal sign and in the power of ten.

    Parameters
    ----------
    text : str
        A number by the grammar of :func:`read_number`.
    decimal_char : str
        The character before the fraction.

    Returns
    -------
    tuple of int
        The two counts.

    Examples
    --------
    >>> written_shape("12.50"), written_shape("1.250E-03")
    ((2, 0), (3, 2))
    """
    mantissa, _, exponent = text.lower().partition("e")
    return len(mantissa.partition(decimal_char)[2]), len(exponent.lstrip("+-"))


@dataclass(frozen=True, slots=True, kw_only=True)
class CellGrammar:
    """How a cell is read: its decimal character, and the words for "missing" and "beyond the range" (folded)."""

    decimal_char: str
    missing: frozenset[str]
    overload: frozenset[str]

    def kind(self, cell: str) -> str:
        """Say what a cell holds.

        Parameters
        ----------
        cell : str
            The text of the cell, without spaces around it.

        Returns
        -------
        str
            "number", "missing", "overload" or "text".
        """
        value = self.value(cell)
        if value is None:
            return "text"
        if math.isfinite(value):
            return "number"
        return "missing" if math.isnan(value) else "overload"

    def value(self, cell: str) -> float | None:
        """Return what a cell holds.

        Parameters
        ----------
        cell : str
            The text of the cell, without spaces around it.

        Returns
        -------
        float or None
            A number; NaN where it is a mark for "missing", infinity with its sign where it is a mark for
            "beyond the range"; None where it is neither.

        Examples
        --------
        >>> grammar = grammar_of(Dialect(decimal_char=","))
        >>> [grammar.value(cell) for cell in ("1,5", "NA", "-OL", "9,9E+37", "1.5")]
        [1.5, nan, -inf, inf, None]
        """
        word = cell.casefold()
        if word in self.missing:
            return math.nan
        if word in self.overload:
            return -math.inf if word.startswith("-") else math.inf
        number = read_number(cell, self.decimal_char)
        if number is not None and abs(number) < INSTRUMENT_INFINITY:
            return number
        if number is not None:
            return _instrument_mark(number)
        bare = word[1:]
        if word[:1] in ("+", "-") and bare[:1].isalpha():
            if bare in self.missing:
                return math.nan
            if bare in self.overload:
                return -math.inf if word[0] == "-" else math.inf
        return None

    def plain_values(self, fields: Sequence[str], wanted: Sequence[int]) -> list[float] | None:
        """Return what some fields hold if all of them are plain numbers: what :meth:`value` returns, sooner.

        Parameters
        ----------
        fields : sequence of str
            The fields of a row.
        wanted : sequence of int
            Which of them.

        Returns
        -------
        list of float or None
            The numbers; None if any field wanted is a mark, may be one, or is no number.
        """
        values = []
        plain, decimal_char = _pattern(self.decimal_char), self.decimal_char
        for index in wanted:
            cell = fields[index].strip()
            if plain.fullmatch(cell) is None or cell in self.missing or cell in self.overload:
                return None
            value = float(cell) if decimal_char == "." else float(cell.replace(decimal_char, "."))
            if not -INSTRUMENT_INFINITY < value < INSTRUMENT_INFINITY:
                return None
            values.append(value)
        return values

    def number_marks(self) -> tuple[float, ...]:
        """Return the marks that are written as numbers (99999), which no column of numbers shows by itself.

        Returns
        -------
        tuple of float
            The values.
        """
        numbers = (read_number(mark, self.decimal_char) for mark in sorted(self.missing | self.overload))
        return tuple(number for number in numbers if number is not None)


def _instrument_mark(number: float) -> float | None:
    if number == INSTRUMENT_NOT_A_NUMBER:
        return math.nan
    if abs(number) == INSTRUMENT_INFINITY:
        return math.copysign(math.inf, number)
    return number


def grammar_of(dialect: Dialect) -> CellGrammar:
    """Return the cell grammar a dialect declares.

    Parameters
    ----------
    dialect : Dialect
        The dialect; capitals in its marks make no difference.

    Returns
    -------
    CellGrammar
        The grammar.
    """
    return CellGrammar(
        decimal_char=dialect.decimal_char,
        missing=frozenset(mark.strip().casefold() for mark in dialect.missing),
        overload=frozenset(mark.strip().casefold() for mark in dialect.overload),
    )
