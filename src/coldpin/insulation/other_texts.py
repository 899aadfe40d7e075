"""What other texts, or another reading of the same text, ask for in a situation; kept beside what is used."""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import replace

from coldpin.errors import OutsideRange
from coldpin.insulation.dimensioning import distance_row, group_of, temporary_overvoltage_peak, working_peak
from coldpin.records.finding import Limit
from coldpin.records.required_distances import (
    Barrier,
    DistanceRow,
    InsulationSituation,
    OtherValue,
    RequiredDistances,
    SupplySystem,
)
from coldpin.standards.book import Book
from coldpin.standards.creepage import creepage, groove_width, rationalised_voltage
from coldpin.standards.insulation_coordination import altitude_factor, clearance_by_peak, rated_impulse
from coldpin.standards.insulation_products import (
    ProductDistances,
    distances_by_60335,
    distances_by_60950,
    distances_by_62368,
    known_to_60950,
)
from coldpin.standards.table import needed

CLEARANCE = "clearance"
CREEPAGE = "creepage"
GROOVE = "groove width X"


def other_values(book: Book, told: RequiredDistances) -> tuple[OtherValue, ...]:
    """Return what other texts and readings ask for where it differs from what is used.

    Parameters
    ----------
    book : Book
        The constants.
    told : RequiredDistances
        The distances as used.

    Returns
    -------
    tuple of OtherValue
        For basic insulation first; what a text gives no figure for is left out.

    Raises
    ------
    OutsideRange
        A voltage or altitude is outside the tables.
    InputError
        An own value of the case leaves a number out.

    Sources
    -------
    ``clearance-peak.*``, ``iec-62368.*``, ``iec-60950.*``, ``iec-60335.*``, ``groove-width.*``.
    """
    found: list[OtherValue] = []
    for row in (told.basic, told.reinforced):
        found += _temporary(book, told, row)
        found += _air(book, told.situation, row)
        found += _surface(book, told, row)
        found += _grooves(book, told.situation, row)
        found += _products(book, told, row)
    return tuple(found)


def at_stated_voltage(book: Book, told: RequiredDistances, stated: InsulationSituation) -> tuple[OtherValue, ...]:
    """Return what a working voltage that was stated too low for mains would ask for along the surface.

    Parameters
    ----------
    book : Book
        The constants.
    told : RequiredDistances
        The distances as used.
    stated : InsulationSituation
        With the working voltage as it was stated.

    Returns
    -------
    tuple of OtherValue
        For basic insulation first; none where the stated voltage is used.

    Raises
    ------
    OutsideRange
        A voltage is outside the tables.
    InputError
        An own value of the case leaves a number out.
    """
    voltage = stated.working_voltage_v
    if voltage == told.situation.working_voltage_v:
        return ()
    found: list[OtherValue] = []
    for row in (told.basic, told.reinforced):
        lower = distance_row(book, replace(told.situation, working_voltage_v=voltage), row.insulation)
        used = (book.limit(name) for one in lower.rows if one.step == CREEPAGE for name in one.rows)
        why = f"by the stated {voltage:g} V, not used: mains is at one end"
        found += _other(row, CREEPAGE, lower.creepage_mm, why, tuple(used))
    return tuple(found)


def between_lines(book: Book, told: RequiredDistances, stated: InsulationSituation) -> tuple[OtherValue, ...]:
    """Return what is asked for along the surface between two lines, where the insulation may lie there.

    Parameters
    ----------
    book : Book
        The constants.
    told : RequiredDistances
        The distances as used, from a line to the earthed point.
    stated : InsulationSituation
        With the working voltage as it was stated.

    Returns
    -------
    tuple of OtherValue
        For basic insulation first; none where the supply has one line, the working voltage is stated, or the barrier
        lies between mains and something else.

    Raises
    ------
    OutsideRange
        A voltage is outside the tables.
    InputError
        An own value of the case leaves a number out.
    """
    of_lines = stated.system in (SupplySystem.THREE_PHASE, SupplySystem.SPLIT_PHASE)
    poles = told.barrier in (None, Barrier.LINE_NEUTRAL, Barrier.BEHIND_FUSE)
    if not (of_lines and poles) or stated.working_voltage_v is not None:
        return ()
    voltage = rationalised_voltage(book, stated.nominal_voltage_v)
    peak = max(told.situation.working_peak_v or 0.0, math.sqrt(2) * voltage)
    situation = replace(told.situation, working_voltage_v=voltage, working_peak_v=peak)
    found: list[OtherValue] = []
    for row in (told.basic, told.reinforced):
        longer = distance_row(book, situation, row.insulation)
        used = (book.limit(name) for one in longer.rows if one.step == CREEPAGE for name in one.rows)
        why = f"between two lines ({stated.nominal_voltage_v:g} V)"
        found += _other(row, CREEPAGE, longer.creepage_mm, why, tuple(used))
    return tuple(found)


def _other(row: DistanceRow, kind: str, value: float, why: str, rows: tuple[Limit, ...]) -> list[OtherValue]:
    used = {CLEARANCE: row.clearance_mm, CREEPAGE: row.creepage_mm, GROOVE: row.groove_x_mm}[kind]
    if math.isclose(value, used, rel_tol=1e-9):
        return []
    return [OtherValue(insulation=row.insulation, kind=kind, value_mm=value, used_mm=used, why=why, rows=_ids(rows))]


def _ids(rows: tuple[Limit, ...]) -> tuple[str, ...]:
    return tuple(limit.id for limit in rows)


def _temporary(book: Book, told: RequiredDistances, row: DistanceRow) -> list[OtherValue]:
    peak = temporary_overvoltage_peak(book, told.line_to_neutral_v, reinforced=row is told.reinforced)
    looked = clearance_by_peak(book, peak)
    thin = altitude_factor(book, told.situation.altitude_m).value
    found: list[OtherValue] = []
    ways = (("between the rows", looked.value), ("stepping up to the next row", looked.stepped))
    for how, value in ways:
        if value * thin > row.clearance_mm:
            why = f"by the temporary overvoltage, {peak:.5g} V peak, {how}"
            found += _other(row, CLEARANCE, value * thin, why, looked.rows)
    return found[:1] if looked.value == looked.stepped else found


def _air(book: Book, situation: InsulationSituation, row: DistanceRow) -> list[OtherValue]:
    thin = altitude_factor(book, situation.altitude_m)
    if thin.value == thin.stepped:
        return []
    stepped = row.clearance_mm / thin.value * thin.stepped
    return _other(row, CLEARANCE, stepped, "with the factor of the next altitude of the table", thin.rows[-1:])


def _surface(book: Book, told: RequiredDistances, row: DistanceRow) -> list[OtherValue]:
    situation = told.situation
    factor = needed(book.limit("reinforced.creepage"), "nominal") if row is told.reinforced else 1.0
    cells = [book.row(name) for used in row.rows if used.step == CREEPAGE for name in used.rows]
    voltage = cells[-1].number("rms")
    found: list[OtherValue] = []
    if len(cells) > 1:
        stepped = max(needed(cells[-1].limit, "minimum") * factor, row.clearance_mm)
        found += _other(
            row, CREEPAGE, stepped, "stepping up to the next row of the working voltage", (cells[-1].limit,)
        )
    if situation.printed_wiring:
        common = creepage(book, voltage, degree=situation.pollution_degree, group=told.material_group)
        without = max(common.stepped * factor, row.clearance_mm)
        why = "without the column for printed wiring, which product standards do not take over"
        found += _other(row, CREEPAGE, without, why, common.rows)
    return found


def _grooves(book: Book, situation: InsulationSituation, row: DistanceRow) -> list[OtherValue]:
    exception = book.limit("groove-width.exception")
    width = groove_width(book, situation.pollution_degree)
    third = row.clearance_mm / 3
    if row.clearance_mm >= needed(exception, "maximum") or third <= needed(width, "nominal"):
        return []
    return _other(row, GROOVE, third, "a third of every clearance below 3 mm, even where that is more", (exception,))


def _products(book: Book, told: RequiredDistances, row: DistanceRow) -> list[OtherValue]:
    found: list[OtherValue] = []
    for product in _told_by(book, told, row):
        why = f"by {product.standard}"
        if product.clearance_mm is not None:
            found += _other(row, CLEARANCE, product.clearance_mm, why, product.clearance_rows)
        if product.creepage_mm is not None:
            found += _other(row, CREEPAGE, product.creepage_mm, why, product.creepage_rows)
    return found


def _told_by(book: Book, told: RequiredDistances, row: DistanceRow) -> list[ProductDistances]:
    """Return the standards of other equipment that have figures for the situation, which is that of 2000 m and less."""
    situation = told.situation
    if altitude_factor(book, situation.altitude_m).value != 1.0:
        return []
    volts, degree, group = told.line_to_neutral_v, situation.pollution_degree, group_of(situation)
    basic_impulse = needed(rated_impulse(book, volts, situation.overvoltage_category), "nominal")
    peak, kind = working_peak(situation, volts), row.insulation
    voltage = situation.working_voltage_v or rationalised_voltage(book, volts)
    found = []
    with suppress(OutsideRange):  # nothing is known for such a degree, or beyond the end of one of its tables
        found.append(
            distances_by_62368(
                book, impulse=basic_impulse, peak=peak, voltage=voltage, insulation=kind, degree=degree, group=group
            )
        )
    if known_to_60950(book, nominal=volts, category=situation.overvoltage_category, degree=degree):
        with suppress(OutsideRange):  # the additions for a peak end
            found.append(distances_by_60950(book, peak=peak, voltage=voltage, insulation=kind, group=group))
    found.append(
        distances_by_60335(book, impulse=basic_impulse, voltage=voltage, insulation=kind, degree=degree, group=group)
    )
    return found
