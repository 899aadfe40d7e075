"""Distances by standards of other equipment, to be held beside those of IEC 60664-1."""

from __future__ import annotations

import math
from dataclasses import dataclass

from coldpin.records.finding import Limit
from coldpin.records.required_distances import InsulationKind, MaterialGroup, OvervoltageCategory
from coldpin.standards.between_rows import looked_up
from coldpin.standards.book import Book
from coldpin.standards.creepage import creepage
from coldpin.standards.insulation_coordination import next_impulse
from coldpin.standards.table import Row, needed


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductDistances:
    """What the standard of other equipment asks for; a distance that it is not known for is None. [mm]"""

    standard: str
    clearance_mm: float | None
    creepage_mm: float | None
    clearance_rows: tuple[Limit, ...] = ()
    creepage_rows: tuple[Limit, ...] = ()


def word_of(insulation: InsulationKind) -> str:
    """Return by which of two words the rows of other standards name a kind of insulation.

    Parameters
    ----------
    insulation : InsulationKind
        The kind.

    Returns
    -------
    str
        "reinforced", or "basic" of all others.

    Examples
    --------
    >>> word_of(InsulationKind.FUNCTIONAL)
    'basic'
    """
    return "reinforced" if insulation is InsulationKind.REINFORCED else "basic"


def rounded_up(value: float, step: float) -> float:
    """Return a distance rounded up to whole steps.

    Parameters
    ----------
    value : float
        The distance. [mm]
    step : float
        The step. [mm]

    Returns
    -------
    float
        The distance, at most one step longer. [mm]

    Examples
    --------
    >>> rounded_up(2.81, 0.1), rounded_up(2.5, 0.1)
    (2.9, 2.5)
    """
    steps = value / step
    whole = round(steps)
    return round((whole if math.isclose(steps, whole, rel_tol=1e-9) else math.ceil(steps)) * step, 6)


def interpolated_creepage(
    book: Book, voltage: float, *, insulation: InsulationKind, degree: int, group: MaterialGroup
) -> tuple[float, tuple[Limit, ...]]:
    """Return a creepage as IEC 62368-1 and the reports to IEC 60950-1 find it: interpolated, rounded up, doubled.

    Parameters
    ----------
    book : Book
        The constants.
    voltage : float
        Working voltage, r.m.s. [V]
    insulation : InsulationKind
        The kind.
    degree : int
        Pollution degree, 1 to 3.
    group : MaterialGroup
        Of the surface.

    Returns
    -------
    tuple of float and tuple of Limit
        The creepage [mm] and the cells it is from.

    Raises
    ------
    OutsideRange
        The voltage is above the table, or there is no table for the degree.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> reinforced = InsulationKind.REINFORCED
    >>> interpolated_creepage(load_book(), 281.0, insulation=reinforced, degree=2, group=MaterialGroup.IIIA)[0]
    5.8

    Sources
    -------
    ``creepage.*``, ``iec-62368.creepage.step``.
    """
    found = creepage(book, voltage, degree=degree, group=group)
    step = book.limit("iec-62368.creepage.step")
    basic = rounded_up(found.value, needed(step, "nominal"))
    double = book.limit("reinforced.creepage")
    reinforced = insulation is InsulationKind.REINFORCED
    factor = needed(double, "nominal") if reinforced else 1.0
    return basic * factor, (*found.rows, step, *((double,) if reinforced else ()))


def distances_by_62368(
    book: Book,
    *,
    impulse: float,
    peak: float,
    voltage: float,
    insulation: InsulationKind,
    degree: int,
    group: MaterialGroup,
) -> ProductDistances:
    """Return the distances of IEC 62368-1 (audio, video, information technology).

    Parameters
    ----------
    book : Book
        The constants.
    impulse : float
        Transient voltage of the mains, peak: the rated impulse voltage. [V]
    peak : float
        Peak of the working voltage. [V]
    voltage : float
        Working voltage, r.m.s. [V]
    insulation : InsulationKind
        The kind.
    degree : int
        Pollution degree, 2 or 3; the table by peak voltage is known for 2 alone.
    group : MaterialGroup
        Of the surface.

    Returns
    -------
    ProductDistances
        The larger of the clearances by transient and by peak voltage, and the creepage.

    Raises
    ------
    OutsideRange
        A voltage is above its table, or nothing is known for the degree.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = distances_by_62368(
    ...     load_book(),
    ...     impulse=2500.0,
    ...     peak=420.0,
    ...     voltage=250.0,
    ...     insulation=InsulationKind.REINFORCED,
    ...     degree=2,
    ...     group=MaterialGroup.IIIA,
    ... )
    >>> told.clearance_mm, told.creepage_mm
    (3.0, 5.0)

    Sources
    -------
    ``iec-62368.clearance.*``, ``iec-62368.peak.*``, ``creepage.*``; IEC 62368-1 tables 10, 14, 17.
    """
    kind = word_of(insulation)
    what = f"clearance of IEC 62368-1, degree {degree}"
    by_transient = looked_up(
        _of(book, "iec-62368.clearance.", kind, degree),
        impulse,
        across="impulse",
        gives="minimum",
        what=what,
        unit="V",
    )
    clearance, rows = by_transient.stepped, by_transient.rows[-1:]
    peaks = _of(book, "iec-62368.peak.", kind, degree)
    if peaks:
        by_peak = looked_up(peaks, peak, across="peak", gives="minimum", what=what, unit="V")
        if by_peak.value > clearance:
            clearance, rows = by_peak.value, by_peak.rows
    creepage_mm, cells = interpolated_creepage(book, voltage, insulation=insulation, degree=degree, group=group)
    return ProductDistances(
        standard="IEC 62368-1",
        clearance_mm=clearance,
        creepage_mm=max(creepage_mm, clearance),
        clearance_rows=rows,
        creepage_rows=cells if creepage_mm >= clearance else (*cells, book.limit("creepage-floor.clearance")),
    )


def _of(book: Book, prefix: str, kind: str, degree: int) -> list[Row]:
    return [row for row in book.under(prefix) if row.word("insulation") == kind and row.number("degree") == degree]


def known_to_60950(book: Book, *, nominal: float, category: OvervoltageCategory, degree: int) -> bool:
    """Say whether the clearances of IEC 60950-1 are known for a situation.

    Parameters
    ----------
    book : Book
        The constants.
    nominal : float
        Nominal voltage from line to neutral. [V]
    category : OvervoltageCategory
        The category.
    degree : int
        Pollution degree.

    Returns
    -------
    bool
        True for the part of its table 2K that was read.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> category = OvervoltageCategory.II
    >>> [known_to_60950(load_book(), nominal=230.0, category=category, degree=degree) for degree in (2, 3)]
    [True, False]

    Sources
    -------
    ``iec-60950.clearance.*``.
    """
    row = book.row("iec-60950.clearance.basic")
    stands = row.word("category") == category.value and row.number("degree") == degree
    return stands and row.number("above") < nominal <= row.number("up_to")


def distances_by_60950(
    book: Book, *, peak: float, voltage: float, insulation: InsulationKind, group: MaterialGroup
) -> ProductDistances:
    """Return the distances of IEC 60950-1 (the former standard), mains above 150 V up to 300 V, category II, degree 2.

    Parameters
    ----------
    book : Book
        The constants.
    peak : float
        Peak of the working voltage. [V]
    voltage : float
        Working voltage, r.m.s. [V]
    insulation : InsulationKind
        The kind.
    group : MaterialGroup
        Of the surface.

    Returns
    -------
    ProductDistances
        Clearance with its addition for the peak, and creepage.

    Raises
    ------
    OutsideRange
        The peak or the working voltage is above its table.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = distances_by_60950(
    ...     load_book(), peak=530.0, voltage=281.0, insulation=InsulationKind.REINFORCED, group=MaterialGroup.IIIA
    ... )
    >>> told.clearance_mm, told.creepage_mm
    (4.4, 5.8)

    Sources
    -------
    ``iec-60950.clearance.*``, ``iec-60950.supplement.*``, ``creepage.*``; IEC 60950-1 tables 2K, 2L and 2N.
    """
    kind = word_of(insulation)
    least = book.limit(f"iec-60950.clearance.{kind}")
    supplements = [row for row in book.under("iec-60950.supplement.") if row.word("insulation") == kind]
    added = looked_up(
        supplements, peak, across="peak", gives="minimum", what="addition to a clearance of IEC 60950-1", unit="V"
    )
    clearance = needed(least, "minimum") + added.stepped
    creepage_mm, cells = interpolated_creepage(book, voltage, insulation=insulation, degree=2, group=group)
    return ProductDistances(
        standard="IEC 60950-1",
        clearance_mm=clearance,
        creepage_mm=max(creepage_mm, clearance),
        clearance_rows=(least, *added.rows[-1:]),
        creepage_rows=cells if creepage_mm >= clearance else (*cells, book.limit("creepage-floor.clearance")),
    )


def distances_by_60335(
    book: Book, *, impulse: float, voltage: float, insulation: InsulationKind, degree: int, group: MaterialGroup
) -> ProductDistances:
    """Return the distances of IEC 60335-1 (household appliances).

    Parameters
    ----------
    book : Book
        The constants.
    impulse : float
        Rated impulse voltage of basic insulation. [V]
    voltage : float
        Working voltage, r.m.s. [V]
    insulation : InsulationKind
        The kind; reinforced insulation takes the next step of the impulse voltage, and double the creepage.
    degree : int
        Pollution degree, 2 or 3 for a creepage.
    group : MaterialGroup
        Of the surface; the creepage is known for IIIa alone.

    Returns
    -------
    ProductDistances
        Clearance and creepage, None where nothing is known.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = distances_by_60335(
    ...     load_book(),
    ...     impulse=2500.0,
    ...     voltage=230.0,
    ...     insulation=InsulationKind.REINFORCED,
    ...     degree=3,
    ...     group=MaterialGroup.IIIA,
    ... )
    >>> told.clearance_mm, told.creepage_mm
    (3.0, 8.0)

    Sources
    -------
    ``iec-60335.clearance.*``, ``iec-60335.creepage.*``; IEC 60335-1 tables 15, 16, 17.
    """
    step = next_impulse(book, impulse) if insulation is InsulationKind.REINFORCED else None
    withstood = impulse if step is None else needed(step, "nominal")
    by_impulse = _within(book.under("iec-60335.clearance."), withstood, across="impulse")
    clearance = None if by_impulse is None else needed(by_impulse, "minimum")
    rows = [
        row
        for row in book.under("iec-60335.creepage.")
        if row.number("degree") == degree and row.word("group") == group.value
    ]
    by_voltage = _within(rows, voltage, across="rms")
    double = book.limit("reinforced.creepage")
    reinforced = insulation is InsulationKind.REINFORCED
    factor = needed(double, "nominal") if reinforced else 1.0
    crept = None if by_voltage is None else needed(by_voltage, "minimum") * factor
    return ProductDistances(
        standard="IEC 60335-1",
        clearance_mm=clearance,
        creepage_mm=crept,
        clearance_rows=() if by_impulse is None else (by_impulse, *(() if step is None else (step,))),
        creepage_rows=() if by_voltage is None else (by_voltage, *((double,) if reinforced else ())),
    )


def _within(rows: tuple[Row, ...] | list[Row], entry: float, *, across: str) -> Limit | None:
    if not rows or entry > max(row.number(across) for row in rows):
        return None
    return looked_up(rows, entry, across=across, gives="minimum", what="IEC 60335-1", unit="V").rows[-1]
