"""How makers write what their instruments are good for, read into numbers."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from coldpin.errors import QuantityTextError, UnitError
from coldpin.quantity import convert, convert_difference, coverage_factor, find_unit
from coldpin.quantity.numeral import plain_signs, take_numeral
from coldpin.standards.book import Book
from coldpin.standards.table import needed

FORMS = (
    "0.5 % of reading + 3 digits, resolution 0.1 V",
    "0.5 % + 2 digits on 600 V, resolution 0.1 V",
    "3 % of full scale 40 V + 8 bit",
    "14 ppm of reading + 2 ppm of range, range 1 V",
    "50 ppm",
    "± 0.5 °C",
    "type K class 1",
    "U = 0.2 V, k = 2",
    "0.1 V at 95 %",
)
"""The accepted forms, as error messages list them."""

_COMMA = re.compile(r"(?<!\d),|,(?!\d)")
_CLASS_COMMA = re.compile(r"(type [A-Z]), ?(class)", re.IGNORECASE)
_PLUS_MINUS = re.compile(r"\+ ?/ ?-|\+-")
_AT = re.compile(r"^at (?P<percent>[0-9]+(?:[.,][0-9]+)?) ?%(?: coverage| confidence)?$", re.IGNORECASE)
_AT_TAIL = re.compile(
    r"^(?P<head>.+?) at (?P<percent>[0-9]+(?:[.,][0-9]+)?) ?%(?: coverage| confidence)?$", re.IGNORECASE
)
_BRACKET_TAIL = re.compile(
    r"^(?P<head>.*\w.*?) ?\((?:(?P<percent>[0-9]+(?:[.,][0-9]+)?) ?%|k ?= ?(?P<factor>[0-9]+(?:[.,][0-9]+)?))\)$"
)
_ON_TAIL = re.compile(r"^(?P<head>.*?) ?\bon (?:the )?(?P<amount>[^+]+?)(?: range)?$", re.IGNORECASE)
_RANGE = re.compile(r"^(?:range|full[ -]scale)(?: of)? (?P<amount>.+)$", re.IGNORECASE)
_RESOLUTION = re.compile(r"^(?:with )?resolution(?: of)? (?P<amount>.+)$", re.IGNORECASE)
_FACTOR = re.compile(r"^k ?= ?(?P<factor>.+)$")
_EXPANDED = re.compile(r"^U ?= ?(?P<amount>.+)$")
_SHARE = re.compile(
    r"^(?P<sign>%|ppm|‰)(?: ?(?:of )?(?:the )?(?P<of>reading|rdg\.?|value|measured value|range|full[ -]scale|fs|f\.s\.)"
    r"(?P<amount> .+)?)?$",
    re.IGNORECASE,
)
_DIGITS = re.compile(r"^(?:digits?|dgts?\.?|counts?|lsd)$", re.IGNORECASE)
_BITS = re.compile(r"^-?bits?$", re.IGNORECASE)
_THERMOCOUPLE = re.compile(
    r"^(?:thermocouple )?(?:type )?(?P<type>[A-Z]) +(?P<grade>class [0-9]|standard|special)(?: limits?)?$",
    re.IGNORECASE,
)
_READING_WORDS = ("reading", "rdg", "value", "measured value")
_MOST_BITS = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A number with its unit."""

    value: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermocoupleClass:
    """A tolerance class: the larger of ``fixed`` [K] and ``relative`` times the temperature in °C [1] holds.

    ``lowest`` and ``highest`` bound the range of the class. [°C]
    """

    name: str
    source: str
    fixed: float
    relative: float
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadPart:
    """One statement as read: shares of reading and range [1], number of digits and bits, and the amounts given.

    ``k`` is the factor of an expanded uncertainty, None for plain limits.
    """

    text: str
    of_reading: float = 0.0
    of_range: float = 0.0
    digits: float = 0.0
    fixed: Amount | None = None
    range: Amount | None = None
    resolution: Amount | None = None
    bits: int | None = None
    thermocouple: ThermocoupleClass | None = None
    k: float | None = None


class _Refused(Exception):
    """What is wrong with one statement, for the one message about it."""


def read_parts(text: str, book: Book) -> tuple[ReadPart, ...]:
    """Read a maker's statement.

    Parameters
    ----------
    text : str
        The statement; a semicolon divides independent ones.
    book : Book
        The constants, for the classes of thermocouples.

    Returns
    -------
    tuple of ReadPart
        What each says.

    Raises
    ------
    QuantityTextError
        The text is not understood; the message lists the accepted forms.
    UnitError
        A unit in it is not known.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> read_parts("2 % + 5 digits, resolution 0.01 A", load_book())[0].digits
    5.0
    """
    plain = _CLASS_COMMA.sub(r"\1 \2", _PLUS_MINUS.sub("±", plain_signs(text)))
    if not plain:
        raise QuantityTextError(f"the accuracy statement is empty: write one such as {'; '.join(map(repr, FORMS))}")
    try:
        return tuple(_read_part(part.strip(), book) for part in plain.split(";"))
    except (_Refused, QuantityTextError) as error:
        raise QuantityTextError(
            f"accuracy statement {text!r}: {error}; accepted forms: {'; '.join(map(repr, FORMS))}"
        ) from error
    except UnitError as error:
        raise UnitError(f"accuracy statement {text!r}: {error}") from error


def _read_part(text: str, book: Book) -> ReadPart:
    part = ReadPart(text=text)
    if not text:
        raise _Refused("nothing stands on one side of a semicolon")
    expanded = False
    for clause in (piece.strip() for piece in _COMMA.split(text)):
        stated = _EXPANDED.match(clause)
        expanded = expanded or stated is not None
        part = _read_clause(part, stated["amount"] if stated else clause, book)
    if expanded and part.k is None:
        raise _Refused("U is given without its factor: add 'k = 2', or whatever the certificate says")
    return _checked(part)


def _checked(part: ReadPart) -> ReadPart:
    if part.digits and part.resolution is None:
        raise _Refused("the value of one digit is missing: add it with its unit, such as 'resolution 0.1 V'")
    if not (part.of_reading or part.of_range or part.digits or part.fixed or part.thermocouple):
        if part.bits is None and part.resolution is None:
            raise _Refused("it states no accuracy")
        if part.k is not None:
            raise _Refused("k or a coverage belongs to limits, and there are none")
    for amount, name in ((part.range, "range"), (part.resolution, "resolution")):
        if amount is not None and not amount.value > 0.0:
            raise _Refused(f"the {name} is {amount.value:g} {amount.unit}, it must be above 0")
    return part


def _read_clause(part: ReadPart, clause: str, book: Book) -> ReadPart:
    if not clause:
        raise _Refused("nothing stands on one side of a comma")
    if found := _RESOLUTION.match(clause):
        return _set(part, "resolution", _amount(found["amount"]))
    if found := _RANGE.match(clause):
        return _set(part, "range", _amount(found["amount"]))
    if found := _FACTOR.match(clause):
        return _set(part, "k", _positive(found["factor"], "k"))
    if found := _AT.match(clause):
        return _set(part, "k", _factor(found["percent"]))
    return _read_tail(part, clause, book)


def _read_tail(part: ReadPart, clause: str, book: Book) -> ReadPart:
    """Take off what may stand behind the terms without a comma: a range, a coverage, a factor."""
    if found := _AT_TAIL.match(clause) or _BRACKET_TAIL.match(clause):
        stated = found.groupdict()
        k = _factor(stated["percent"]) if stated["percent"] else _positive(stated["factor"], "k")
        return _set(_read_tail(part, found["head"], book), "k", k)
    if found := _ON_TAIL.match(clause):
        ranged = _set(part, "range", _amount(found["amount"]))
        return _read_terms(ranged, found["head"], book) if found["head"] else ranged
    return _read_terms(part, clause, book)


def _read_terms(part: ReadPart, text: str, book: Book) -> ReadPart:
    if found := _THERMOCOUPLE.match(text):
        return _set(part, "thermocouple", _thermocouple(found["type"], found["grade"], book))
    bare = text.removeprefix("±").strip()
    if bare.startswith("(") and bare.endswith(")"):
        bare = bare[1:-1].strip()
    for term in bare.split("+"):
        part = _read_term(part, term.strip().removeprefix("±").strip())
    return part


def _read_term(part: ReadPart, term: str) -> ReadPart:
    number, what = _numeral(term, f"{term!r} is not understood")
    if number < 0.0:
        raise _Refused(f"{term!r} is below 0")
    if found := _SHARE.match(what):
        return _read_share(part, number, found)
    if _DIGITS.match(what):
        return _set(part, "digits", number)
    if _BITS.match(what):
        if not (number.is_integer() and 1 <= number <= _MOST_BITS):
            raise _Refused(f"{term!r}: a converter has 1 to {_MOST_BITS} bits")
        return _set(part, "bits", int(number))
    if what.startswith(("%", "‰", "ppm")):
        raise _Refused(f"{term!r} is not understood")
    return _set(part, "fixed", _amount(term))


def _read_share(part: ReadPart, number: float, found: re.Match[str]) -> ReadPart:
    share = convert(number, found["sign"], "1")
    of = (found["of"] or "reading").casefold().rstrip(".")
    if of in _READING_WORDS:
        if found["amount"]:
            raise _Refused(f"{found['amount'].strip()!r} stands behind 'of {of}': put 'on' before a range")
        return _set(part, "of_reading", share)
    if found["amount"]:
        part = _set(part, "range", _amount(found["amount"].strip()))
    return _set(part, "of_range", share)


def _set(part: ReadPart, name: str, value: Any) -> ReadPart:
    if getattr(part, name):
        raise _Refused(f"{_NAMES[name]} is given twice")
    return replace(part, **{name: value})


_NAMES = {
    "of_reading": "the share of the reading",
    "of_range": "the share of the range",
    "digits": "the number of digits",
    "fixed": "the fixed amount",
    "range": "the range",
    "resolution": "the resolution",
    "bits": "the number of bits",
    "thermocouple": "the thermocouple",
    "k": "the coverage",
}


def _amount(text: str) -> Amount:
    value, unit = _numeral(text, f"{text!r} is not understood; a value with its unit is needed there")
    if not unit:
        raise _Refused(f"{text!r} has no unit")
    return Amount(value=value, unit=find_unit(unit).symbol)


def _numeral(text: str, otherwise: str) -> tuple[float, str]:
    """Return the number a text begins with, and what follows; a number that is badly written is told as such."""
    try:
        numeral, rest = take_numeral(text)
    except QuantityTextError as error:
        raise _Refused(str(error) if text[:1].isdigit() else otherwise) from None
    return float(numeral.value), rest.strip()


def _positive(text: str, name: str) -> float:
    refusal = f"{name} is {text!r}, it must be a plain number above 0"
    value, rest = _numeral(text, refusal)
    if rest or value <= 0.0:
        raise _Refused(refusal)
    return value


def _factor(percent: str) -> float:
    coverage = float(percent.replace(",", ".")) / 100.0
    if not 0.5 <= coverage < 1.0:
        raise _Refused(f"a coverage is {percent} %, it lies from 50 % to below 100 %")
    return coverage_factor(float("inf"), coverage)


def _thermocouple(letter: str, grade: str, book: Book) -> ThermocoupleClass:
    name = f"{letter.upper()}.{'-'.join(grade.casefold().split())}"
    known = sorted({row.limit.id.split(".", 1)[1].rsplit(".", 1)[0] for row in book.under("thermocouple.")})
    if name not in known:
        shown = ", ".join("type " + one.replace(".", " ").replace("-", " ") for one in known)
        raise _Refused(f"no tolerance is known of a thermocouple type {letter.upper()} {grade}; known: {shown}")
    span, fixed, relative = (book.limit(f"thermocouple.{name}.{part}") for part in ("range", "fixed", "relative"))
    return ThermocoupleClass(
        name=f"type {letter.upper()} {grade}",
        source=span.source,
        fixed=convert_difference(needed(fixed, "maximum"), fixed.unit, "K"),
        relative=convert(needed(relative, "maximum"), relative.unit, "1"),
        lowest=convert(needed(span, "minimum"), span.unit, "°C"),
        highest=convert(needed(span, "maximum"), span.unit, "°C"),
    )
