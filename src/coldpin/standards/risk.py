"""The published matrix: bands of probability, severities, and the level that stands where the two meet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from coldpin.errors import InputError, OutsideRange
from coldpin.records.finding import Limit
from coldpin.records.scenario import RiskLevel
from coldpin.standards.book import Book
from coldpin.standards.table import needed

SEVERITIES = (1, 2, 3, 4)
"""The severities of the published method, mildest first."""

LEVELS = tuple(RiskLevel)
"""The levels, mildest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskBand:
    """One row of the matrix: probabilities from ``lower`` up to the row above, and the level at each severity."""

    row: int
    label: str
    lower: Fraction
    levels: tuple[RiskLevel, ...]
    limit: Limit


def exactly(number: float | Fraction) -> Fraction:
    """Return a number as the fraction that its decimals say, so that 0.1 is a tenth.

    Parameters
    ----------
    number : float or Fraction
        The number, as written. [1]

    Returns
    -------
    Fraction
        The same number.

    Examples
    --------
    >>> exactly(0.1) * exactly(0.1) * exactly(0.1) == Fraction(1, 1000)
    True
    """
    return number if isinstance(number, Fraction) else Fraction(repr(float(number)))


@lru_cache(maxsize=32)
def risk_bands(book: Book) -> tuple[RiskBand, ...]:
    """Return the rows of the matrix.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of RiskBand
        The likeliest first.

    Raises
    ------
    InputError
        A row has no lower bound, or its bounds do not fall.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [band.label for band in risk_bands(load_book())][:3]
    ['> 50 %', '> 1/10', '> 1/100']

    Sources
    -------
    ``risk.band.*``.
    """
    bands = tuple(
        RiskBand(
            row=int(row.number("row")),
            label=row.limit.title,
            lower=exactly(needed(row.limit, "minimum")),
            levels=tuple(RiskLevel(row.word(f"severity_{severity}")) for severity in SEVERITIES),
            limit=row.limit,
        )
        for row in book.under("risk.band.")
    )
    if any(above.lower <= below.lower for above, below in pairwise(bands)):
        raise InputError("the lower bounds of risk.band.* must fall from row to row: mend the own constants")
    return bands


def band_of(book: Book, probability: float | Fraction) -> RiskBand:
    """Return the row of the matrix in which a probability lies; on a bound, that of the graver row.

    Parameters
    ----------
    book : Book
        The constants.
    probability : float or Fraction
        Of the injury, in the life of the product. [1]

    Returns
    -------
    RiskBand
        The row.

    Raises
    ------
    OutsideRange
        It is no probability.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> band_of(load_book(), Fraction(1, 500)).label
    '> 1/1 000'

    Sources
    -------
    ``risk.band.*``; where a bound itself belongs is ours, as the text leaves it open.
    """
    if not 0 <= probability <= 1:
        raise OutsideRange(f"a probability lies between 0 and 1, given {float(probability):g}")
    count, of = exactly(probability).as_integer_ratio()
    return next(band for band in risk_bands(book) if count * band.lower.denominator >= band.lower.numerator * of)


def risk_level(book: Book, probability: float | Fraction, severity: int) -> RiskLevel:
    """Return the level of a risk.

    Parameters
    ----------
    book : Book
        The constants.
    probability : float or Fraction
        Of the injury, in the life of the product. [1]
    severity : int
        Of the injury, 1 to 4.

    Returns
    -------
    RiskLevel
        The cell of the matrix.

    Raises
    ------
    OutsideRange
        It is no probability, or there is no such severity.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> risk_level(load_book(), Fraction(1, 6000), 3).value
    'high'

    Sources
    -------
    ``risk.band.*``.
    """
    check_severity(severity)
    return band_of(book, probability).levels[severity - 1]


def worst(levels: Iterable[RiskLevel]) -> RiskLevel:
    """Return the gravest of several levels: one product has one risk.

    Parameters
    ----------
    levels : iterable of RiskLevel
        The levels; low where there are none.

    Returns
    -------
    RiskLevel
        The gravest.

    Examples
    --------
    >>> worst([RiskLevel.HIGH, RiskLevel.LOW]).value
    'high'

    Sources
    -------
    ``risk.product``.
    """
    return max(levels, key=LEVELS.index, default=RiskLevel.LOW)


def severity_meaning(book: Book, severity: int) -> Limit:
    """Return what a severity means.

    Parameters
    ----------
    book : Book
        The constants.
    severity : int
        1 to 4.

    Returns
    -------
    Limit
        Its title says it; there is no number.

    Raises
    ------
    OutsideRange
        There is no such severity.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> severity_meaning(load_book(), 1).title
    'first aid is enough, usually no doctor; normally fully reversible'

    Sources
    -------
    ``risk.severity.*``.
    """
    check_severity(severity)
    return book.limit(f"risk.severity.{severity}")


def level_meaning(book: Book, level: RiskLevel) -> Limit:
    """Return what an authority would do about a level.

    Parameters
    ----------
    book : Book
        The constants.
    level : RiskLevel
        The level.

    Returns
    -------
    Limit
        Its title says it; there is no number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> level_meaning(load_book(), RiskLevel.LOW).title
    'normally no action for a product that is on the market'

    Sources
    -------
    ``risk.meaning.*``.
    """
    return book.limit(f"risk.meaning.{level.value}")


def check_severity(severity: int) -> None:
    """Refuse what is no severity.

    Parameters
    ----------
    severity : int
        The severity.

    Raises
    ------
    OutsideRange
        It is not 1, 2, 3 or 4.
    """
    if severity not in SEVERITIES:
        raise OutsideRange(
            f"severity is {severity}; it is 1 (first aid), 2 (emergency room), 3 (hospital) or 4 (fatal)"
        )
