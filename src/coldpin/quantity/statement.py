"""What is written after a value about its uncertainty: ``± 2 %``, ``U=0.4 V k=2``, ``u=0.2 V``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from coldpin.errors import QuantityTextError
from coldpin.quantity.numeral import take_numeral, take_power

_KEY = re.compile(r"(?<![^\W\d_])(?P<key>U|u|k|dof|nu|ν|p) ?= ?")
_COVERAGE = re.compile(r"\( ?(?P<percent>[0-9]+(?:[.,][0-9]+)?) ?% ?\)? ?$")
_PLUS_MINUS = re.compile(r"\+ ?/ ?-|\+-|\+/−")
_INSTRUMENT = re.compile(r"rdg|reading|digit|dgt|count|range|scale|\bf\.?s\b", re.IGNORECASE)
_EDGES = " ,;"
EXACT = "(exact)"
UNKNOWN = "(uncertainty not known)"


class Kind(Enum):
    """How an uncertainty is stated."""

    NONE = "nothing stated"
    LIMIT = "limits"
    STANDARD = "standard uncertainty"
    EXPANDED = "expanded uncertainty"
    EXACT = "exact"


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """An uncertainty as stated; an empty ``unit`` is that of the value."""

    kind: Kind
    size: Fraction = Fraction(0)
    unit: str = ""
    k: float | None = None
    coverage: float | None = None
    dof: float | None = None


def split_statement(text: str) -> tuple[str, Statement]:
    """Split a quantity as written into its value and what is stated of its uncertainty.

    Parameters
    ----------
    text : str
        The text, of plain signs.

    Returns
    -------
    tuple of str and Statement
        The text of the value with its unit, and the statement.

    Raises
    ------
    QuantityTextError
        The statement is contradictory or incomplete.

    Examples
    --------
    >>> value, stated = split_statement("12.5 V U=0.4 V k=2")
    >>> value, float(stated.size), stated.unit, stated.k
    ('12.5 V', 0.4, 'V', 2.0)
    """
    plain = _PLUS_MINUS.sub("±", text)
    for words, kind in ((EXACT, Kind.EXACT), (UNKNOWN, Kind.NONE)):
        if plain.endswith(words):
            return plain.removesuffix(words).strip(), Statement(kind=kind)
    keys = list(_KEY.finditer(plain))
    sign = plain.find("±")
    starts = [found.start() for found in keys] + ([sign] if sign >= 0 else [])
    if not starts:
        return plain, Statement(kind=Kind.NONE)
    if plain.count("±") > 1 or (sign >= 0 and keys and keys[0].start() < sign):
        raise QuantityTextError(f"{text!r} states more than one uncertainty: give one, the combined one")
    values = _by_key(plain, keys)
    head = plain[: min(starts)].rstrip(_EDGES)
    if not head:
        raise QuantityTextError(
            f"{text!r} states an uncertainty but no value: write the value first, as in '12.5 V ± 0.3 V'"
        )
    if sign < 0:
        return head.removesuffix("(").rstrip(_EDGES), _from_keys(text, values)
    body = plain[sign + 1 : keys[0].start() if keys else len(plain)].strip(_EDGES)
    head, body, coverage = _unwrap(head, body)
    return head, _after_sign(text, body, coverage, values)


def _by_key(text: str, keys: list[re.Match[str]]) -> dict[str, str]:
    ends = [found.start() for found in keys] + [len(text)]
    values: dict[str, str] = {}
    for found, end in zip(keys, ends[1:], strict=True):
        key = "dof" if found["key"] in {"nu", "ν"} else found["key"]
        if key in values:
            raise QuantityTextError(f"{text!r} states {key} twice: give it once")
        values[key] = text[found.end() : end].strip(_EDGES).removesuffix(")").rstrip(_EDGES)
    return values


def _unwrap(head: str, body: str) -> tuple[str, str, float | None]:
    """Take apart "(12.5 ± 0.3) × 10^3 V" and "± 0.3 V (95 %)"."""
    if head.startswith("("):
        inner, closing, after = body.partition(")")
        if not closing:
            raise QuantityTextError(f"'{head} ± {body}' opens a bracket that is not closed: write '(12.5 ± 0.3) V'")
        found = _COVERAGE.search(after)
        rest = after[: found.start()] if found else after.removesuffix("(")
        power, unit = take_power(rest)
        factor = f"e{power}" if power else ""
        # the bracket is in the unit of the value, which stands behind it
        return f"{head.removeprefix('(').strip()}{factor}{unit}", f"{inner.strip()}{factor}", _percent(found)
    found = _COVERAGE.search(body)
    if found:
        return head, body[: found.start()].rstrip(), _percent(found)
    return head, body.removesuffix("(").rstrip(_EDGES), None


def _percent(found: re.Match[str] | None) -> float | None:
    return float(found["percent"].replace(",", ".")) / 100.0 if found else None


def _after_sign(text: str, body: str, coverage: float | None, values: dict[str, str]) -> Statement:
    if "U" in values or "u" in values:
        raise QuantityTextError(f"{text!r} states both ± and {'U' if 'U' in values else 'u'}: give one of them")
    if _INSTRUMENT.search(body):
        raise QuantityTextError(
            f"{text!r} ends in the accuracy of an instrument: enter that with the instrument, here the reading alone"
        )
    size, unit = _size(text, body)
    details = _details(text, values)
    if coverage is not None:
        if "p" in values or "k" in values:
            raise QuantityTextError(f"{text!r} states the coverage twice: give k or a probability, once")
        details["coverage"] = _coverage(text, coverage)
    expanded = details["k"] is not None or details["coverage"] is not None
    return Statement(kind=Kind.EXPANDED if expanded else Kind.LIMIT, size=size, unit=unit, **details)


def _from_keys(text: str, values: dict[str, str]) -> Statement:
    details = _details(text, values)
    if "U" in values and "u" in values:
        raise QuantityTextError(f"{text!r} states both U and u: give one of them")
    if "U" in values:
        if details["k"] is None and details["coverage"] is None:
            raise QuantityTextError(f"{text!r} states U without its factor: add k=2, or whatever the certificate says")
        size, unit = _size(text, values["U"])
        return Statement(kind=Kind.EXPANDED, size=size, unit=unit, **details)
    if details["k"] is not None or details["coverage"] is not None:
        raise QuantityTextError(f"{text!r} states a coverage factor without U: write U=0.4 V k=2")
    if "u" in values:
        size, unit = _size(text, values["u"])
        return Statement(kind=Kind.STANDARD, size=size, unit=unit, dof=details["dof"])
    return Statement(kind=Kind.NONE, dof=details["dof"])


def _details(text: str, values: dict[str, str]) -> dict[str, float | None]:
    k = _plain_number(text, "k", values["k"]) if "k" in values else None
    dof = _plain_number(text, "dof", values["dof"]) if "dof" in values else None
    coverage = None
    if "p" in values:
        percent = values["p"].endswith("%")
        coverage = _plain_number(text, "p", values["p"].removesuffix("%").strip()) / (100.0 if percent else 1.0)
        coverage = _coverage(text, coverage)
    if k is not None and coverage is not None:
        raise QuantityTextError(f"{text!r} states both k and a coverage probability: give one of them")
    if k is not None and k <= 0.0:
        raise QuantityTextError(f"{text!r}: k must be above 0")
    if dof is not None and dof < 1.0:
        raise QuantityTextError(f"{text!r}: dof must be at least 1")
    return {"k": k, "dof": dof, "coverage": coverage}


def _coverage(text: str, coverage: float) -> float:
    if not 0.5 <= coverage < 1.0:
        raise QuantityTextError(f"{text!r}: a coverage probability lies from 50 % to below 100 %, as in p=95 %")
    return coverage


def _plain_number(text: str, key: str, written: str) -> float:
    numeral, rest = take_numeral(written)
    if rest.strip():
        raise QuantityTextError(f"{text!r}: {key} is a plain number, but {written!r} is written")
    return float(numeral.value)


def _size(text: str, written: str) -> tuple[Fraction, str]:
    numeral, unit = take_numeral(written)
    if numeral.value <= 0:
        raise QuantityTextError(
            f"{text!r}: an uncertainty is above 0; leave it out where it is not known, or write {EXACT} after the value"
        )
    return numeral.value, unit.strip()
