"""Numerals as people write them: decimal comma, grouped digits, powers of ten, and what stays ambiguous."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from coldpin.errors import QuantityTextError

LONGEST = 60
"""Characters of the longest numeral read; nobody writes a longer one by hand."""

LEAST, MOST = Fraction(1, 10**200), Fraction(10**200)
"""What no measured value leaves; inside, products of a few values stay within double precision."""

_SPACES = dict.fromkeys(map(ord, "\t\u00a0\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f"), " ")
_MINUSES = dict.fromkeys(map(ord, "\u2212\u2010\u2011\ufe63\uff0d"), "-")
_RAISED = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")

_DIGITS = r"[0-9.,'’]*(?: [0-9][0-9.,'’]*)*"
_EXPONENT = r"[eE][+-]?[0-9]+| ?[×x·⋅*] ?10(?:\^[+-]?[0-9]+|[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)"
_NUMERAL = re.compile(rf"(?P<sign>[+-]?) ?(?P<digits>{_DIGITS})(?P<exponent>{_EXPONENT})?")
_POWER = re.compile(rf" ?(?P<exponent>{_EXPONENT})")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?: [0-9]{3})+(?:[.,][0-9]*)*")
_SPLIT = re.compile(r"(?P<whole>[0-9]*)(?:(?P<mark>[.,])(?P<part>[0-9]+))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Numeral:
    """A number as written: its exact value, and what one step of its last digit is worth."""

    value: Fraction
    step: Fraction


def plain_signs(text: str) -> str:
    """Return a text with every kind of space and minus made one.

    Parameters
    ----------
    text : str
        The text as written.

    Returns
    -------
    str
        The same with plain spaces, none repeated or at the ends, and plain minus signs.

    Examples
    --------
    >>> plain_signs(" \u22121\u202f000\u00a0V ")
    '-1 000 V'
    """
    return re.sub(r" +", " ", text.translate(_SPACES).translate(_MINUSES)).strip()


def take_numeral(text: str) -> tuple[Numeral, str]:
    """Read the numeral a text begins with.

    Parameters
    ----------
    text : str
        The text, of plain signs (see :func:`plain_signs`).

    Returns
    -------
    tuple of Numeral and str
        The number, and what follows it.

    Raises
    ------
    QuantityTextError
        There is no numeral, or it can be read in two ways.

    Examples
    --------
    >>> numeral, rest = take_numeral("2,74 kΩ")
    >>> float(numeral.value), float(numeral.step), rest
    (2.74, 0.01, ' kΩ')
    """
    found = _NUMERAL.match(text)
    assert found is not None
    digits = found["digits"].replace("’", "'")
    if not any(mark.isdigit() for mark in digits):
        raise QuantityTextError(f"{text!r} does not begin with a number: write the value first, as in '12.5 V'")
    if len(found[0]) > LONGEST:
        raise QuantityTextError(f"{found[0][:LONGEST]!r}… is longer than any number written by hand: use an exponent")
    whole, part = _split(digits)
    power = _power(found["exponent"])
    value = int(whole + part) * Fraction(10) ** (power - len(part))
    if value and not LEAST <= value <= MOST:
        raise QuantityTextError(f"{found[0]!r} is beyond what can be measured: check the exponent")
    return (
        Numeral(value=-value if found["sign"] == "-" else value, step=Fraction(10) ** (power - len(part))),
        text[found.end() :],
    )


def take_power(text: str) -> tuple[int, str]:
    """Read the power of ten a text begins with, as in "× 10^-9 V".

    Parameters
    ----------
    text : str
        The text, of plain signs.

    Returns
    -------
    tuple of int and str
        The exponent, 0 where none is written, and what follows it.

    Raises
    ------
    QuantityTextError
        The exponent is too large.

    Examples
    --------
    >>> take_power(" × 10^-9 V"), take_power("V")
    ((-9, ' V'), (0, 'V'))
    """
    found = _POWER.match(text)
    return (_power(found["exponent"]), text[found.end() :]) if found else (0, text)


def _power(exponent: str | None) -> int:
    if not exponent:
        return 0
    written = exponent.translate(_RAISED)
    # what follows e, or "10^", or the 10 of "10⁻⁹"
    number = re.split(r"[eE]|10\^?", written, maxsplit=1)[1]
    if len(number.lstrip("+-")) > 3:
        raise QuantityTextError(f"exponent {exponent.strip()!r} is beyond any measurement: give at most three digits")
    return int(number)


def _split(digits: str) -> tuple[str, str]:
    """Return the digits before and after the decimal mark; raise where another reading is possible."""
    if "'" in digits:
        raise QuantityTextError(f"{digits!r}: an apostrophe can mark thousands, feet or minutes: leave it out")
    if " " in digits and not _GROUPED.fullmatch(digits):
        raise QuantityTextError(
            f"{digits!r} is more than one number, or digits not grouped by threes: write one number"
        )
    marks = [mark for mark in digits if mark in ".,"]
    bare = digits.replace(" ", "")
    if len(marks) > 1:
        raise QuantityTextError(
            f"{digits!r} holds {len(marks)} decimal or thousands marks, which countries read differently: "
            "write the number with one decimal point and no thousands mark"
        )
    found = _SPLIT.fullmatch(bare)
    if not found:
        raise QuantityTextError(f"{digits!r} ends in a decimal mark: write the digits that follow it, or leave it out")
    whole, part = found["whole"], found["part"] or ""
    if found["mark"] == "," and " " not in digits and len(part) == 3 and re.fullmatch(r"[1-9][0-9]{0,2}", whole):
        raise QuantityTextError(
            f"{digits!r} is either {whole}.{part} or {whole}{part} (a comma before exactly three digits): "
            f"write {whole}.{part} or {whole}{part}"
        )
    return whole or "0", part
