# ruff: noqa: A002  # "id" is the word of Component.id
"""Quantities read from text as people write them."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from coldpin.errors import QuantityTextError, UnitError
from coldpin.quantity.bound import AtLeast, AtMost
from coldpin.quantity.linear import assemble
from coldpin.quantity.marking import Marking, read_marking, read_multiplier
from coldpin.quantity.model import SQRT3, Component, Quantity, Shape, coverage_factor
from coldpin.quantity.numeral import plain_signs, take_numeral, take_power
from coldpin.quantity.printing import format_quantity
from coldpin.quantity.statement import Kind, Statement, split_statement
from coldpin.quantity.units import Unit, convert_exact, find_unit, normal_spelling

__all__ = ["NOT_STATED", "format_quantity", "parse_quantity", "parse_reading", "step_written"]

LONGEST = 200
NOT_STATED = "no uncertainty was written with it"
REMEMBERED = 4096
"""Ours: so many texts are kept with what they say; every check of a case reads the same ones again."""

_BRACKET = re.compile(r" ?\((?P<digits>[0-9]+(?:[.,][0-9]+)?)\)(?P<rest>.*)")
_ONE_SIDED = re.compile(r"(?P<sign>>=|<=|[≥≤⩾⩽><])")
_MULTIPLIED = re.compile(r"[0-9]*[.,][0-9]+[A-Za-zµμ]")
_RANGE = re.compile(r"(?:[-–—…~]|\.\.+|to\b)[ ]?[-+]?[0-9.,]")
_OVERLOAD = re.compile(r"[.]?[0O][.]?L[.]?|overload|over ?range|over ?load|-{2,}|∞", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reading:
    """One way to read a value: the exact value in ``unit``, and what is stated of its uncertainty."""

    value: Fraction
    unit: Unit
    stated: Statement
    shown: str
    has_unit: bool = True
    written_properly: bool = False
    splits_tolerance: bool = False


def parse_quantity(text: str, unit: str | None = None, *, id: str = "", label: str = "") -> Quantity:
    """Read a quantity as people write it.

    Values: ``12.5 V``, ``2,74 kΩ``, ``1.5e-3 A``, ``1.5 × 10⁻³ A``, ``1 500 V``, codes as on components (``2k74``,
    ``0R22``, ``4K7J``). A decimal comma is read where it cannot mark thousands; "1,234" and "1.234,56" are refused. A
    code that can mean several things is refused unless ``unit`` decides.

    Uncertainty: ``± 0.3 V`` and ``± 2 %`` are limits (rectangular); ``12.5(3) V`` and ``u=0.3 V`` are a standard
    uncertainty; ``U=0.4 V k=2``, ``± 0.4 V (k=2)`` and ``± 0.4 V (95 %)`` an expanded one; ``dof=12`` may follow. Per
    cent is of the value, so that for a value in % it is written in brackets: ``(26.7 ± 0.2) %``. Where nothing is
    written the uncertainty is unknown.

    Parameters
    ----------
    text : str
        What was written.
    unit : str, optional
        The unit wanted; the text may use any unit of the same kind, but not none. A temperature in K becomes °C as a
        point of the scale; one in °C where K is wanted (a rise) is refused.
    id : str
        Id of the random variable; empty: independent of all others.
    label : str
        How the budget names it; the id where empty.

    Returns
    -------
    Quantity
        In ``unit`` where one is given, else in the unit written.

    Raises
    ------
    QuantityTextError
        The text cannot be read without guessing.
    UnitError
        Its unit is unknown or of another kind than asked for.

    Examples
    --------
    >>> parse_quantity("2k74").value, parse_quantity("2,74 kΩ", "Ω").value
    (2740.0, 2740.0)
    >>> parse_quantity("12.5 V U=0.4 V k=2").u
    0.2
    >>> parse_quantity("12.5 V").why
    'no uncertainty was written with it'

    Sources
    -------
    JCGM 100:2008 7.2.2 (forms of statement), 4.3.7 (limits); IEC 60062 (codes) (standing: memory).
    """
    if len(text) > LONGEST:
        raise QuantityTextError(f"{text[:40]!r}… has {len(text)} characters; a quantity has at most {LONGEST}")
    return _read(text, unit, id, label)


@lru_cache(maxsize=REMEMBERED)
def _read(text: str, unit: str | None, id: str, label: str) -> Quantity:
    plain = plain_signs(text)
    if not plain:
        raise QuantityTextError("there is no text: write a value with its unit, as in '12.5 V'")
    _refuse_no_value(plain)
    wanted = find_unit(unit) if unit is not None else None
    head, stated = split_statement(plain)
    reading = _choose(plain, _readings(head, stated), wanted)
    target = wanted or reading.unit
    _refuse_rise(plain, reading.unit, target)
    value = float(convert_exact(reading.value, reading.unit, target))
    symbol = reading.unit.symbol if unit is None else unit
    match reading.stated.kind:
        case Kind.NONE:
            return Quantity(value, None, symbol, why=NOT_STATED)
        case Kind.EXACT:
            return Quantity(value, 0.0, symbol)
    size = float(_size(plain, reading, target))
    return assemble(value, symbol, [_component(reading.stated, size, id, label or id)])


def parse_reading(
    text: str,
    unit: str | None = None,
    *,
    id: str = "",
    label: str = "",
) -> Quantity | AtLeast | AtMost:
    """Read a quantity, or a reading that says only on which side the value lies.

    Parameters
    ----------
    text : str
        What was written: anything :func:`parse_quantity` reads, alone or after >, ≥, < or ≤ ("> 500 MΩ").
    unit : str, optional
        The unit wanted.
    id : str
        Id of the random variable; empty: independent of all others.
    label : str
        How the budget names it; the id where empty.

    Returns
    -------
    Quantity, AtLeast or AtMost
        What the reading says.

    Raises
    ------
    QuantityTextError
        The text cannot be read without guessing.
    UnitError
        Its unit is unknown or of another kind than asked for.

    Examples
    --------
    >>> parse_reading("> 500 MΩ", "MΩ").edge.value
    500.0
    """
    plain = plain_signs(text)
    found = _ONE_SIDED.match(plain)
    if not found:
        return parse_quantity(text, unit, id=id, label=label)
    edge = parse_quantity(plain[found.end() :], unit, id=id, label=label)
    return AtLeast(edge) if found["sign"] in {">", ">=", "≥", "⩾"} else AtMost(edge)


def step_written(text: str, unit: str) -> float:
    """Return what one step of the last digit of a written value is worth: no reading is surer than half of it.

    Parameters
    ----------
    text : str
        What was written, as for :func:`parse_reading`.
    unit : str
        The unit wanted.

    Returns
    -------
    float
        In ``unit``; 0 for a code as on components ("2k74"), which names a value and is no reading.

    Raises
    ------
    QuantityTextError
        The text cannot be read without guessing.
    UnitError
        Its unit is unknown or of another kind than asked for.

    Examples
    --------
    >>> step_written("0.09 s", "s"), step_written("90 ms", "s"), step_written("2k74", "Ω")
    (0.01, 0.001, 0.0)

    Sources
    -------
    JCGM 100:2008 F.2.2.1, the resolution of an indication (standing: memory).
    """
    plain = plain_signs(text)
    sided = _ONE_SIDED.match(plain)
    plain = plain[sided.end() :] if sided else plain
    parse_quantity(plain, unit)
    head, stated = split_statement(plain)
    try:
        reading = _as_number(head, stated)
    except (QuantityTextError, UnitError):
        return 0.0
    step = take_numeral(head)[0].step
    wanted = find_unit(unit)
    if reading.unit.kind != wanted.kind:
        return 0.0
    return float(convert_exact(step, reading.unit, wanted) - convert_exact(Fraction(0), reading.unit, wanted))


def _refuse_no_value(plain: str) -> None:
    if _ONE_SIDED.match(plain):
        raise QuantityTextError(
            f"{plain!r} says only on which side the value lies, but a value is needed here: give a reading within the "
            "range of the meter"
        )
    if _OVERLOAD.fullmatch(plain.split(" ")[0]):
        raise QuantityTextError(
            f"{plain!r} is what a meter shows beyond its range: write the end of the range, as in '> 20 MΩ'"
        )


def _refuse_rise(plain: str, given: Unit, target: Unit) -> None:
    if given.offset and not target.offset and target.kind == given.kind:
        raise QuantityTextError(
            f"{plain!r} where {target.symbol} is asked for: a rise of that many °C is as many K, a temperature is not; "
            "write a rise in K"
        )


def _readings(head: str, stated: Statement) -> list[_Reading]:
    """Return every way to read a value with its unit, joined to what is stated after it."""
    coded = [_join(head, reading, stated) for reading in _as_code(head)]
    try:
        return [_join(head, _as_number(head, stated), stated), *coded]
    except (QuantityTextError, UnitError):
        if not coded:
            raise
        # "2k74" is no number with the unit "k74", and "R47" no number at all
        return coded


def _as_code(head: str) -> list[_Reading]:
    codes = [*read_marking(head), *_with_multiplier(head)]
    suffix = next((spelling for spelling in ("Ω", "ohm", "Ohm", "F") if head.endswith(spelling)), "")
    if suffix:
        bare = read_marking(head.removesuffix(suffix).rstrip())
        codes += [code for code in bare if code.embedded and code.unit == find_unit(suffix).symbol]
    return [
        _Reading(
            value=code.value,
            unit=find_unit(code.unit),
            stated=Statement(kind=Kind.NONE)
            if code.tolerance is None
            else Statement(kind=Kind.LIMIT, size=code.tolerance * 100, unit="%"),
            shown=f"{float(code.value):g} {code.unit}"
            + (f" ± {float(code.tolerance * 100):g} %" if code.tolerance is not None else ""),
            splits_tolerance=code.tolerance is not None and not code.embedded,
        )
        for code in codes
    ]


def _with_multiplier(head: str) -> list[Marking]:
    """Read "2.7k", which is no code but as common as one."""
    if not _MULTIPLIED.fullmatch(head):
        return []
    numeral, letter = take_numeral(head)
    return [
        Marking(value=numeral.value * Fraction(10) ** power, unit=unit, tolerance=None, embedded=False)
        for unit, power in read_multiplier(letter)
    ]


def _as_number(head: str, stated: Statement) -> _Reading:
    numeral, rest = take_numeral(head)
    value, own = numeral.value, Statement(kind=Kind.NONE)
    bracket = _BRACKET.match(rest)
    if bracket:
        power, rest = take_power(bracket["rest"])
        digits = bracket["digits"].replace(",", ".")
        size = Fraction(digits) * (1 if "." in digits else numeral.step) * Fraction(10) ** power
        value *= Fraction(10) ** power
        if not size:
            raise QuantityTextError(f"{head!r}: an uncertainty is above 0; leave the bracket out where it is not known")
        own = Statement(kind=Kind.STANDARD, size=size)
    spelling = rest.strip()
    if _RANGE.match(spelling):
        raise QuantityTextError(f"{head!r} is a range: write its middle and half its width, as in '13 V ± 1 V'")
    has_unit = bool(spelling)
    if not has_unit and stated.unit:
        spelling, has_unit = stated.unit, find_unit(stated.unit).kind != "ratio"
    unit = find_unit(spelling)
    return _Reading(
        value=value,
        unit=unit,
        stated=own,
        shown=f"{float(value):g} {unit.symbol}",
        has_unit=has_unit,
        written_properly=normal_spelling(spelling) == normal_spelling(unit.symbol),
    )


def _join(head: str, reading: _Reading, stated: Statement) -> _Reading:
    own = reading.stated
    if own.kind is Kind.NONE:
        if stated.kind is Kind.NONE and stated.dof is not None:
            raise QuantityTextError(f"{head!r} is followed by dof but by no uncertainty: give u or U as well")
        return replace(reading, stated=stated)
    if stated.kind is not Kind.NONE:
        raise QuantityTextError(f"{head!r} states an uncertainty itself and another one follows: give one of them")
    return replace(reading, stated=replace(own, dof=stated.dof))


def _choose(plain: str, readings: list[_Reading], wanted: Unit | None) -> _Reading:
    fitting = [reading for reading in readings if wanted is None or reading.unit.kind == wanted.kind]
    if not fitting:
        return _refuse_kind(plain, readings[0], wanted)
    different = {
        (reading.value * reading.unit.factor + reading.unit.offset, reading.unit.kind, reading.stated): reading
        for reading in reversed(fitting)
    }
    chosen = list(different.values())
    proper = [reading for reading in chosen if reading.written_properly]
    if (
        len(chosen) > 1
        and len(proper) == 1
        and all(reading.splits_tolerance for reading in chosen if reading not in proper)
    ):
        # the F of "100nF" is its unit, not a tolerance of 1 %
        chosen = proper
    if len(chosen) > 1:
        ways = " or ".join(reading.shown for reading in reversed(chosen))
        raise QuantityTextError(f"{plain!r} can mean {ways}: write it out with a space before the unit")
    _refuse_bare(plain, chosen[0], wanted)
    return chosen[0]


def _refuse_kind(plain: str, reading: _Reading, wanted: Unit | None) -> _Reading:
    assert wanted is not None
    if not reading.has_unit and reading.unit.symbol == "1":
        raise UnitError(
            f"{plain!r} has no unit, but {wanted.kind} is asked for: write it as in '{plain} {wanted.symbol}'"
        )
    convert_exact(reading.value, reading.unit, wanted)
    raise AssertionError("units of different kinds were converted")  # pragma: no cover


def _refuse_bare(plain: str, reading: _Reading, wanted: Unit | None) -> None:
    if reading.has_unit:
        return
    if reading.unit.symbol != "1":
        # "50 ± 2 %": both in per cent, or 2 % of 50?
        if wanted is None or wanted.symbol == "1":
            unit = reading.unit.symbol
            raise QuantityTextError(
                f"{plain!r}: the value has no unit; write '(a ± b) {unit}', or give the value its unit"
            )
    elif wanted is not None and wanted.symbol != "1":
        raise QuantityTextError(
            f"{plain!r} has no unit and can mean a part of 1 or of 100: write '%' where per cent is meant"
        )


def _size(plain: str, reading: _Reading, target: Unit) -> Fraction:
    """Return the size of the stated uncertainty in the unit of the result."""
    stated = reading.stated
    given = find_unit(stated.unit) if stated.unit and reading.has_unit else reading.unit
    if given.kind != "ratio" or (given is reading.unit and not stated.unit):
        return convert_exact(stated.size, given, target, difference=True)
    if not reading.has_unit:
        return convert_exact(stated.size, reading.unit, target, difference=True)
    if reading.unit.kind == "ratio":
        raise QuantityTextError(
            f"{plain!r}: {given.symbol} of the value, or {given.symbol} as the value is given? Write "
            f"'(a ± b) {reading.unit.symbol}', or the second number without a unit"
        )
    if not reading.value:
        raise QuantityTextError(f"{plain!r}: a part of 0 is nothing; write the uncertainty in {reading.unit.symbol}")
    return convert_exact(abs(reading.value) * stated.size * given.factor, reading.unit, target, difference=True)


def _component(stated: Statement, size: float, id: str, label: str) -> Component:
    dof = math.inf if stated.dof is None else stated.dof
    if stated.kind is Kind.LIMIT:
        return Component(id=id, label=label, contribution=size / SQRT3, dof=dof, shape=Shape.RECTANGULAR)
    if stated.kind is Kind.EXPANDED:
        size /= coverage_factor(dof, stated.coverage) if stated.coverage is not None else stated.k or math.nan
    return Component(id=id, label=label, contribution=size, dof=dof)
