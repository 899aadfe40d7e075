"""The voltages by which insulation may be tested, by which text; whether to test at all is another question."""

from __future__ import annotations

import math

from coldpin.insulation.dimensioning import working_peak
from coldpin.records.required_distances import DistanceRow, RequiredDistances, TestVoltage
from coldpin.standards.book import Book
from coldpin.standards.insulation_coordination import rated_impulse, sea_level_impulse
from coldpin.standards.strength_products import strength_by_60335, strength_by_62368
from coldpin.standards.table import needed

IMPULSE = "impulse 1.2/50 µs, peak"
ALTERNATING = "a.c. r.m.s., 1 min"
DIRECT = "d.c., 1 min"


def withstand_tests(book: Book, told: RequiredDistances) -> tuple[TestVoltage, ...]:
    """Return the test voltages of basic and of reinforced insulation.

    Parameters
    ----------
    book : Book
        The constants.
    told : RequiredDistances
        The situation with both rows.

    Returns
    -------
    tuple of TestVoltage
        By impulse as rated and near sea level, by alternating and direct voltage, and by two standards of other
        equipment; basic insulation first.

    Raises
    ------
    OutsideRange
        The voltage is above the table.
    InputError
        An own value of the case leaves a number out.

    Sources
    -------
    ``rated-impulse.*``, ``sea-level-impulse.*``, ``temporary-overvoltage.*``, ``iec-62368.strength-*``,
    ``iec-60335.strength.*``.
    """
    found: list[TestVoltage] = []
    for row in (told.basic, told.reinforced):
        found += _impulse(book, row)
        found += _power_frequency(book, told, row)
        found += _of_others(book, told, row)
    return tuple(found)


def _test(row: DistanceRow, form: str, value: float, rule: str, *rows: str) -> TestVoltage:
    return TestVoltage(insulation=row.insulation, form=form, value_v=round(value, 1), rule=rule, rows=rows)


def _impulse(book: Book, row: DistanceRow) -> list[TestVoltage]:
    cells = [name for used in row.rows if used.unit == "V" for name in used.rows]
    rated = _test(row, IMPULSE, row.rated_impulse_v, "what the clearance is for, at 2000 m", *cells)
    denser = sea_level_impulse(book, row.rated_impulse_v)
    if denser is None:
        return [rated]
    low = _test(row, IMPULSE, needed(denser, "nominal"), "the same clearance proved near sea level", denser.id)
    return [rated, low]


def _power_frequency(book: Book, told: RequiredDistances, row: DistanceRow) -> list[TestVoltage]:
    above, double = book.limit("temporary-overvoltage.short"), book.limit("temporary-overvoltage.reinforced")
    reinforced = row is told.reinforced
    value = told.line_to_neutral_v + needed(above, "nominal")
    rule = f"nominal voltage from line to neutral plus {needed(above, 'nominal'):g} V"
    limits = [above.id]
    if reinforced:
        value, rule, limits = value * needed(double, "nominal"), f"twice the {rule}", [above.id, double.id]
    return [
        _test(row, ALTERNATING, value, rule, *limits),
        _test(row, DIRECT, math.sqrt(2) * value, "direct voltage of the same peak", *limits),
    ]


def _of_others(book: Book, told: RequiredDistances, row: DistanceRow) -> list[TestVoltage]:
    volts = told.line_to_neutral_v
    impulse = needed(rated_impulse(book, volts, told.situation.overvoltage_category), "nominal")
    peak = working_peak(told.situation, volts)
    found: list[TestVoltage] = []
    strength = strength_by_62368(book, impulse=impulse, peak=peak, nominal=volts, insulation=row.insulation)
    if strength:
        highest = needed(strength[0], "nominal")
        found.append(
            _test(
                row,
                DIRECT,
                highest,
                "by IEC 62368-1, or alternating voltage of that peak",
                *(limit.id for limit in strength),
            )
        )
    appliance = strength_by_60335(book, nominal=volts, insulation=row.insulation)
    if appliance is not None:
        found.append(_test(row, ALTERNATING, needed(appliance, "nominal"), "by IEC 60335-1", appliance.id))
    return found
