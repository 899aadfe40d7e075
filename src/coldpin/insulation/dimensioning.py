"""How insulation is dimensioned: from supply, pollution, material and altitude to clearance, creepage and groove width.

The order is that of IEC 60664-1: the nominal voltage from line to neutral and the category give the rated impulse
voltage, and that the clearance; the working voltage, the pollution and the material give the creepage, which is never
less than the clearance; reinforced insulation takes the next step of the impulse voltage and twice the creepage; thin
air lengthens the clearance alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from coldpin.errors import OutsideRange
from coldpin.records.finding import Limit
from coldpin.records.required_distances import (
    DistanceRow,
    InsulationKind,
    InsulationSituation,
    MaterialGroup,
    RowUsed,
    SupplySystem,
)
from coldpin.standards.between_rows import Looked
from coldpin.standards.book import Book
from coldpin.standards.creepage import creepage, groove_width, groove_x, rationalised_voltage
from coldpin.standards.insulation_coordination import (
    altitude_factor,
    check_degree,
    clearance_by_impulse,
    clearance_by_peak,
    next_impulse,
    rated_impulse,
)
from coldpin.standards.table import needed

BY_IMPULSE = "rated impulse voltage"
"""A clearance that follows from the surges of the supply."""

BY_PEAK = "peak of the working voltage"
"""A clearance that follows from what recurs across the insulation."""

_SHARED = {SupplySystem.THREE_PHASE: math.sqrt(3), SupplySystem.SPLIT_PHASE: 2.0}


def line_to_neutral(nominal: float, system: SupplySystem = SupplySystem.LINE_TO_NEUTRAL) -> float:
    """Return the voltage by which the table of rated impulse voltages is entered.

    Parameters
    ----------
    nominal : float
        Nominal voltage as the system is named by. [V]
    system : SupplySystem
        What it is measured between.

    Returns
    -------
    float
        From line to earthed neutral or mid-point; the whole voltage where no such point is earthed. [V]

    Raises
    ------
    OutsideRange
        The voltage is not above 0 V.

    Examples
    --------
    >>> round(line_to_neutral(400.0, SupplySystem.THREE_PHASE), 1), line_to_neutral(240.0, SupplySystem.SPLIT_PHASE)
    (230.9, 120.0)
    >>> line_to_neutral(230.0, SupplySystem.UNEARTHED)
    230.0

    Sources
    -------
    ``supply-system.*``, IEC 60664-1 annex B.
    """
    if not 0.0 < nominal < math.inf:
        raise OutsideRange(f"nominal voltage is {nominal:g} V; it must be above 0 V: give that of the supply")
    return nominal / _SHARED.get(system, 1.0)


def distance_row(book: Book, situation: InsulationSituation, insulation: InsulationKind) -> DistanceRow:
    """Return the distances that one kind of insulation asks for.

    Parameters
    ----------
    book : Book
        The constants, with those of the case in place of ours.
    situation : InsulationSituation
        Where the insulation stands.
    insulation : InsulationKind
        The kind. Functional and supplementary insulation have the distances of basic insulation.

    Returns
    -------
    DistanceRow
        Clearance, creepage, groove width, and the cells they are from.

    Raises
    ------
    OutsideRange
        A voltage, a degree or an altitude is outside the tables.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.records.required_distances import OvervoltageCategory
    >>> from coldpin.standards.book import load_book
    >>> mains = InsulationSituation(
    ...     nominal_voltage_v=230.0,
    ...     overvoltage_category=OvervoltageCategory.II,
    ...     pollution_degree=2,
    ...     material_group=MaterialGroup.IIIA,
    ... )
    >>> row = distance_row(load_book(), mains, InsulationKind.REINFORCED)
    >>> row.clearance_mm, row.creepage_mm, row.groove_x_mm
    (3.0, 5.0, 1.0)

    Sources
    -------
    IEC 60664-1 tables F.1, F.2, F.4 or F.5, F.7a or F.8, A.2; clauses on reinforced insulation and on grooves.
    """
    _check(situation)
    reinforced = insulation is InsulationKind.REINFORCED
    volts = line_to_neutral(situation.nominal_voltage_v, situation.system)
    clearance = _clearance(book, situation, volts, reinforced=reinforced)
    crept = _creepage(book, situation, volts, reinforced=reinforced)
    creepage_mm = max(crept.used, clearance.used)
    rows = (*clearance.rows, *crept.rows)
    if clearance.used > crept.used:
        floor = book.limit("creepage-floor.clearance")
        raised = RowUsed(
            step="creepage raised to the clearance",
            entered_with=f"table {crept.used:g} mm, clearance {clearance.used:g} mm",
            value=clearance.used,
            unit="mm",
            interpolated=False,
            rows=(floor.id,),
        )
        rows = (*rows, raised)
    width = groove_x(book, situation.pollution_degree, clearance.used)
    groove = RowUsed(
        step="groove width X",
        entered_with=f"pollution degree {situation.pollution_degree}, required clearance {clearance.used:g} mm",
        value=width,
        unit="mm",
        interpolated=False,
        rows=(groove_width(book, situation.pollution_degree).id, book.limit("groove-width.exception").id),
    )
    return DistanceRow(
        insulation=insulation,
        clearance_mm=clearance.used,
        creepage_mm=creepage_mm,
        clearance_up_to_mm=clearance.up_to,
        creepage_up_to_mm=max(crept.up_to, clearance.up_to),
        creepage_table_mm=crept.used,
        groove_x_mm=width,
        rated_impulse_v=clearance.impulse,
        governed_by=clearance.by,
        rows=(*rows, groove),
    )


def group_of(situation: InsulationSituation) -> MaterialGroup:
    """Return the material group that is reckoned with.

    Parameters
    ----------
    situation : InsulationSituation
        Where the insulation stands.

    Returns
    -------
    MaterialGroup
        That of the situation; IIIb where nothing is known of the material.

    Examples
    --------
    >>> from coldpin.records.required_distances import OvervoltageCategory
    >>> plastic = InsulationSituation(
    ...     nominal_voltage_v=230.0, overvoltage_category=OvervoltageCategory.II, pollution_degree=2
    ... )
    >>> group_of(plastic).value
    'IIIb'

    Sources
    -------
    ``material-default.unknown``.
    """
    return situation.material_group or MaterialGroup.IIIB


def with_mains_at_one_end(book: Book, situation: InsulationSituation) -> InsulationSituation:
    """Leave out a working voltage, or its peak, that is below what mains itself puts across the insulation.

    Whatever a meter showed that day, the other side is earthed, or may be.

    Parameters
    ----------
    book : Book
        The constants.
    situation : InsulationSituation
        Where the insulation stands, with what was stated.

    Returns
    -------
    InsulationSituation
        The same where nothing is too low.

    Raises
    ------
    OutsideRange
        A voltage cannot be.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.records.required_distances import OvervoltageCategory
    >>> from coldpin.standards.book import load_book
    >>> stated = InsulationSituation(
    ...     nominal_voltage_v=230.0,
    ...     overvoltage_category=OvervoltageCategory.II,
    ...     pollution_degree=2,
    ...     working_voltage_v=12.0,
    ... )
    >>> with_mains_at_one_end(load_book(), stated).working_voltage_v is None
    True

    Sources
    -------
    ``rationalised-voltage.*``, by :func:`rationalised_voltage`.
    """
    _check(situation)
    volts = line_to_neutral(situation.nominal_voltage_v, situation.system)
    voltage, peak = situation.working_voltage_v, situation.working_peak_v
    if voltage is not None and voltage < rationalised_voltage(book, volts):
        voltage = None
    if peak is not None and peak < math.sqrt(2) * (voltage or volts):
        peak = None
    return replace(situation, working_voltage_v=voltage, working_peak_v=peak)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Distance:
    """A distance with the larger one that another reading of the same texts asks for. [mm]"""

    used: float
    up_to: float
    rows: tuple[RowUsed, ...]
    by: str = ""
    impulse: float = 0.0


def _check(situation: InsulationSituation) -> None:
    check_degree(situation.pollution_degree)
    for name, value in (
        ("working voltage", situation.working_voltage_v),
        ("working peak", situation.working_peak_v),
    ):
        if value is not None and not 0.0 < value < math.inf:
            raise OutsideRange(f"{name} is {value:g} V; it must be above 0 V: leave it out where it is not known")
    voltage, peak = situation.working_voltage_v, situation.working_peak_v
    if voltage is not None and peak is not None and peak < voltage:
        raise OutsideRange(
            f"the working voltage is {voltage:g} V r.m.s. and its peak {peak:g} V: no voltage peaks below its own "
            "r.m.s. value; are the two exchanged?"
        )


def working_peak(situation: InsulationSituation, volts: float) -> float:
    """Return the peak that recurs across the insulation.

    Parameters
    ----------
    situation : InsulationSituation
        Where the insulation stands.
    volts : float
        Nominal voltage from line to neutral, r.m.s. [V]

    Returns
    -------
    float
        As stated, else that of a sine of the working voltage. [V]

    Examples
    --------
    >>> from coldpin.records.required_distances import OvervoltageCategory
    >>> mains = InsulationSituation(
    ...     nominal_voltage_v=230.0, overvoltage_category=OvervoltageCategory.II, pollution_degree=2
    ... )
    >>> round(working_peak(mains, 230.0), 1)
    325.3
    """
    if situation.working_peak_v is not None:
        return situation.working_peak_v
    return math.sqrt(2) * (situation.working_voltage_v or volts)


def temporary_overvoltage_peak(book: Book, volts: float, *, reinforced: bool) -> float:
    """Return the peak of the short temporary overvoltage that a clearance is held against.

    Parameters
    ----------
    book : Book
        The constants.
    volts : float
        Nominal voltage from line to neutral, r.m.s. [V]
    reinforced : bool
        Whether the insulation is reinforced: it then has 160 % of that of basic insulation.

    Returns
    -------
    float
        The peak. [V]

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [round(temporary_overvoltage_peak(load_book(), 230.0, reinforced=kind), 1) for kind in (False, True)]
    [2022.3, 3235.7]

    Sources
    -------
    ``temporary-overvoltage.short``, ``reinforced.peak``.
    """
    above = needed(book.limit("temporary-overvoltage.short"), "nominal")
    factor = needed(book.limit("reinforced.peak"), "nominal") if reinforced else 1.0
    return math.sqrt(2) * (volts + above) * factor


def _clearance(book: Book, situation: InsulationSituation, volts: float, *, reinforced: bool) -> _Distance:
    degree = situation.pollution_degree
    basic = rated_impulse(book, volts, situation.overvoltage_category)
    impulse, steps = _withstood(book, basic, reinforced=reinforced)
    entered = f"{volts:.4g} V from line to neutral, category {situation.overvoltage_category}"
    rows = [_row("rated impulse voltage", entered, needed(basic, "nominal"), "V", basic), *steps]
    cell = clearance_by_impulse(book, impulse, degree)
    used, by = needed(cell, "minimum"), BY_IMPULSE
    rows.append(_row("clearance", f"{impulse:g} V impulse, pollution degree {degree}", used, "mm", cell))
    factor = needed(book.limit("reinforced.peak"), "nominal") if reinforced else 1.0
    recurring = factor * working_peak(situation, volts)
    by_peak = clearance_by_peak(book, recurring)
    if by_peak.value > used:
        used, by = by_peak.value, BY_PEAK
        rows.append(_looked("clearance", f"{recurring:.4g} V recurring peak", by_peak, "mm"))
    temporary = clearance_by_peak(book, temporary_overvoltage_peak(book, volts, reinforced=reinforced))
    thin = altitude_factor(book, situation.altitude_m)
    # that one may go between the rows is known from memory alone, and by how much the next row asks for more is told
    up_to = max(used, temporary.value, temporary.stepped)
    if by_peak.stepped > used:
        up_to = max(up_to, by_peak.stepped)
    if thin.value != 1.0:
        rows.append(_looked("factor for thin air", f"{situation.altitude_m:g} m", thin, "1"))
    return _Distance(
        used=_tidy(used * thin.value),
        up_to=_tidy(up_to * thin.value),
        rows=tuple(rows),
        by=by,
        impulse=impulse,
    )


def _withstood(book: Book, basic: Limit, *, reinforced: bool) -> tuple[float, list[RowUsed]]:
    impulse = needed(basic, "nominal")
    if not reinforced:
        return impulse, []
    step = next_impulse(book, impulse)
    if step is not None:
        higher = needed(step, "nominal")
        return higher, [_row("next step, reinforced", f"{impulse:g} V", higher, "V", step)]
    factor = book.limit("reinforced.impulse")
    higher = impulse * needed(factor, "nominal")
    return higher, [_row("times the basic impulse voltage, reinforced", f"{impulse:g} V", higher, "V", factor)]


def _creepage(book: Book, situation: InsulationSituation, volts: float, *, reinforced: bool) -> _Distance:
    degree, group = situation.pollution_degree, group_of(situation)
    stated = situation.working_voltage_v
    voltage = stated if stated is not None else rationalised_voltage(book, volts)
    found = creepage(book, voltage, degree=degree, group=group, printed_wiring=situation.printed_wiring)
    common = creepage(book, voltage, degree=degree, group=group)
    double = book.limit("reinforced.creepage")
    factor = needed(double, "nominal") if reinforced else 1.0
    nominal = "working voltage" if stated is not None else "rationalised voltage"
    wiring = ", printed wiring" if found.rows != common.rows else ""
    entered = f"{voltage:g} V {nominal}, pollution degree {degree}, group {group}{wiring}"
    rows = [_looked("creepage", entered, found, "mm")]
    if reinforced:
        rows.append(_row("reinforced, times", f"{found.value:.4g} mm", factor, "1", double))
    return _Distance(
        used=_tidy(found.value * factor),
        up_to=_tidy(max(found.stepped, common.stepped) * factor),
        rows=tuple(rows),
    )


def _tidy(millimetres: float) -> float:
    """Return a distance without the last bits of binary arithmetic, which would print as 6.300000000000001."""
    return float(f"{millimetres:.12g}")


def _row(step: str, entered: str, value: float, unit: str, limit: Limit) -> RowUsed:
    return RowUsed(step=step, entered_with=entered, value=value, unit=unit, interpolated=False, rows=(limit.id,))


def _looked(step: str, entered: str, looked: Looked, unit: str) -> RowUsed:
    return RowUsed(
        step=step,
        entered_with=entered,
        value=_tidy(looked.value),
        unit=unit,
        interpolated=len(looked.rows) > 1,
        rows=tuple(limit.id for limit in looked.rows),
    )
