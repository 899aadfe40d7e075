"""A chain of steps rated on the spot, with nothing written anywhere."""

from __future__ import annotations

import re
from fractions import Fraction

from coldpin.conclusion.event_tree import check_span
from coldpin.conclusion.rating import rate_exactly
from coldpin.errors import InputError, QuantityTextError
from coldpin.records.scenario import RiskReading, Span
from coldpin.standards.book import load_book

_NUMBER = re.compile(
    r"(?P<top>\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE](?P<power>[-−]?\d+))?\s*(?:/\s*(?P<bottom>\d[\d ]*)|(?P<percent>%))?"
)


def rate_steps(steps: str, *, severity: int) -> RiskReading:
    """Rate a chain of conditional steps by the published matrix.

    Parameters
    ----------
    steps : str
        The steps in order, with commas between them: "1/10, 1/10, 1/3, 1/20". A step may have a name
        ("pins live=1/3") and a low, best and high ("0.01..0.1..0.3"). With semicolons between them a comma is decimal.
    severity : int
        Of the injury at the end, 1 (first aid) to 4 (fatal).

    Returns
    -------
    RiskReading
        Probability, band, level, what moves the level.

    Raises
    ------
    QuantityTextError
        A step cannot be read.
    InputError
        There is no step, one cannot happen, or a name comes twice.
    OutsideRange
        A probability is above 1, its low, best and high do not rise, or there is no such severity.

    Examples
    --------
    >>> told = rate_steps("1/10,1/10,1/3,1/20", severity=3)
    >>> told.fraction, told.level.value
    ('1/6 000', 'high')
    """
    pieces = [piece.strip() for piece in steps.split(";" if ";" in steps else ",")]
    if not any(pieces):
        raise InputError("no step is given: write them with commas between, such as --steps '1/10,1/3'")
    best: dict[str, Fraction] = {}
    spans: dict[str, Span] = {}
    for place, piece in enumerate(pieces, start=1):
        name, _, numbers = piece.rpartition("=")
        name = name.strip() or f"step {place}"
        if name in best:
            raise InputError(f"two steps are called {name!r}: give each a name of its own")
        best[name], spans[name] = _step(numbers, place, comma=";" in steps)
    return rate_exactly(load_book(), best, spans, severity)


def read_chance(text: str) -> float:
    """Read one probability as a person writes it.

    Parameters
    ----------
    text : str
        Such as "1/50", "0.02" or "2 %"; a comma is decimal.

    Returns
    -------
    float
        The probability. [1]

    Raises
    ------
    QuantityTextError
        It cannot be read.

    Examples
    --------
    >>> read_chance("1/50"), read_chance("2 %"), read_chance("0,02")
    (0.02, 0.02, 0.02)
    """
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        raise QuantityTextError(f"cannot read {text.strip()!r} as a probability; write '1/50', '0.02' or '2 %'")
    return float(_number(text, 1, text, comma=True))


def _step(text: str, place: int, *, comma: bool) -> tuple[Fraction, Span]:
    numbers = [_number(part, place, text, comma=comma) for part in text.split("..")]
    if len(numbers) not in (1, 3):
        raise QuantityTextError(
            f"step {place}, {text.strip()!r}: give one probability, or low..best..high as in '0.01..0.1..0.3'"
        )
    low, best, high = numbers if len(numbers) == 3 else numbers * 3
    span = Span(low=float(low), best=float(best), high=float(high))
    check_span(span, f"step {place}")
    if best == 0:
        raise InputError(
            f"step {place} is 0, so the injury cannot happen: leave the chain out; if the comma was meant as a decimal "
            "comma, put semicolons between the steps"
        )
    return best, span


def _number(text: str, place: int, whole: str, *, comma: bool) -> Fraction:
    found = _NUMBER.fullmatch(text.strip())
    if found is None or ("," in found["top"] and not comma):
        raise QuantityTextError(
            f"step {place}, {whole.strip()!r}: cannot read {text.strip()!r} as a probability; "
            "write '1/50', '0.02' or '2 %'"
        )
    number = Fraction(found["top"].replace(",", ".")) * Fraction(10) ** int((found["power"] or "0").replace("−", "-"))
    if found["bottom"]:
        bottom = int(found["bottom"].replace(" ", ""))
        if bottom == 0:
            raise QuantityTextError(f"step {place}, {whole.strip()!r}: nothing is divided by zero; write '1/50'")
        number /= bottom
    return number / 100 if found["percent"] else number
