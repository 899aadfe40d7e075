"""What is said about required distances, in words."""

from __future__ import annotations

from coldpin.insulation.situation import insulation_for
from coldpin.records.finding import Limit
from coldpin.records.required_distances import (
    DistanceRow,
    InsulationKind,
    InsulationSituation,
    RequiredDistances,
    RowUsed,
    SupplySystem,
)
from coldpin.standards.book import Book
from coldpin.standards.insulation_coordination import clearance_withstand
from coldpin.standards.table import needed
from coldpin.standards.wording import number_text

LEAST_MAINS = 90.0
"""Ours: a tenth below the lowest mains there is, 100 V; a lower nominal voltage is asked about. [V]"""


def millimetres(value: float) -> str:
    """Return a distance as the tables print it.

    Parameters
    ----------
    value : float
        The distance. [mm]

    Returns
    -------
    str
        With one digit behind the point at the least, and its unit.

    Examples
    --------
    >>> millimetres(3.0), millimetres(1.25)
    ('3.0 mm', '1.25 mm')
    """
    text = f"{value:.4g}"
    return (text if "." in text else f"{value:.1f}") + " mm"


def statements(told: RequiredDistances) -> tuple[str, ...]:
    """Say what each kind of insulation asks for, the one that is asked for first.

    Parameters
    ----------
    told : RequiredDistances
        The distances.

    Returns
    -------
    tuple of str
        One sentence for each row.
    """
    situation = told.situation
    where = (
        f"{number_text(float(f'{told.line_to_neutral_v:.4g}'), 'V')} from line to neutral, overvoltage category "
        f"{situation.overvoltage_category}, pollution degree {situation.pollution_degree}, material group "
        f"{told.material_group}"
    )
    rows = (told.reinforced, told.basic) if told.asked is told.reinforced else (told.basic, told.reinforced)
    first, second = (row_told(row) for row in rows)
    lines = tuple(
        f"Between two lines {other.insulation} insulation asks for a creepage of {millimetres(other.value_mm)}."
        for other in told.others
        if other.why.startswith("between two lines")
    )
    return (f"{first} At {where}.", second, *lines)


_STRENGTH = (InsulationKind.FUNCTIONAL, InsulationKind.BASIC, InsulationKind.SUPPLEMENTARY, InsulationKind.REINFORCED)


def weaker_than_asked(book: Book, told: RequiredDistances) -> tuple[str, ...]:
    """Say that the kind of insulation given by hand is less than what its place asks for.

    Parameters
    ----------
    book : Book
        The constants.
    told : RequiredDistances
        The distances.

    Returns
    -------
    tuple of str
        One sentence, or none: it is as much, or nobody said between what it stands.

    Raises
    ------
    UnknownName
        A row of the table is missing.
    """
    if told.barrier is None:
        return ()
    kind, rule = insulation_for(book, told.barrier)
    if _STRENGTH.index(told.insulation) >= _STRENGTH.index(kind):
        return ()
    said = (
        f"{told.barrier.value.capitalize()} asks for {kind.value} insulation ({rule.id}); {told.insulation.value} was"
    )
    return (f"{said} given by hand, and keeping it does not keep the {kind.value} that is asked for.",)


def row_told(row: DistanceRow) -> str:
    """Say what one row asks for.

    Parameters
    ----------
    row : DistanceRow
        The row.

    Returns
    -------
    str
        A sentence.
    """
    name = row.insulation.value.capitalize()
    raised = (
        f" (the table has {millimetres(row.creepage_table_mm)}; it is never less than the clearance)"
        if row.creepage_table_mm < row.creepage_mm
        else ""
    )
    return (
        f"{name} insulation: clearance {millimetres(row.clearance_mm)}, creepage {millimetres(row.creepage_mm)}{raised}"
        f"; a groove narrower than {millimetres(row.groove_x_mm)} is bridged."
    )


def set_aside(told: RequiredDistances, stated: InsulationSituation) -> tuple[str, ...]:
    """Say which stated voltage lowers nothing, because mains is at one end of the insulation.

    Parameters
    ----------
    told : RequiredDistances
        The distances as used.
    stated : InsulationSituation
        With the working voltage and its peak as they were stated.

    Returns
    -------
    tuple of str
        A sentence for each; none where what was stated is used.
    """
    pairs = (
        ("working voltage", stated.working_voltage_v, told.situation.working_voltage_v),
        ("working peak", stated.working_peak_v, told.situation.working_peak_v),
    )
    return tuple(
        f"The stated {name} of {voltage:g} V is below that of the mains ({told.line_to_neutral_v:.4g} V from line to "
        "neutral), which is at one end: it lowers no distance."
        for name, voltage, used in pairs
        if voltage != used
    )


def remarks(book: Book, told: RequiredDistances) -> tuple[str, ...]:
    """Say what was taken for granted, what is disputed, and what the distances do not show.

    Parameters
    ----------
    book : Book
        The constants.
    told : RequiredDistances
        The distances.

    Returns
    -------
    tuple of str
        Sentences.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.
    """
    situation = told.situation
    said = []
    if told.line_to_neutral_v < LEAST_MAINS:
        said.append(
            f"{told.line_to_neutral_v:.4g} V from line to neutral is no mains: is the unit of the voltage right?"
        )
    if situation.material_group is None:
        said.append("Nothing is known of the material: group IIIb is taken. An ordinary board (FR-4) is IIIa.")
    if situation.working_voltage_v is None:
        said.append("The working voltage was not found out: the row of the nominal voltage stands for it.")
    elif situation.working_voltage_v < told.line_to_neutral_v and told.barrier is None:
        said.append(
            f"The working voltage of {situation.working_voltage_v:g} V is below that of the mains: where mains is at "
            "one end it lowers nothing; say between what the insulation stands."
        )
    if situation.system in (SupplySystem.THREE_PHASE, SupplySystem.SPLIT_PHASE):
        said.append(
            f"The creepage is for the {told.line_to_neutral_v:.4g} V from a line to the earthed point; between two "
            f"lines the working voltage is {situation.nominal_voltage_v:g} V: give it where the gap lies there."
        )
    if situation.printed_wiring:
        said.append(
            "Columns for printed wiring are in the generic table alone; what lies below the common column stays "
            "undecided."
        )
    said += [
        f"{row.insulation.value.capitalize()} {kind}: {millimetres(used)} by the reading used, {millimetres(up_to)} by "
        "another; between the two nothing is decided."
        for row in (told.basic, told.reinforced)
        for kind, used, up_to in (
            ("clearance", row.clearance_mm, row.clearance_up_to_mm),
            ("creepage", row.creepage_mm, row.creepage_up_to_mm),
        )
        if up_to > used
    ]
    said.append(
        "X goes by the required clearance; the texts do not say whether the required or the measured one is meant."
    )
    if told.insulation is InsulationKind.FUNCTIONAL:
        said.append(
            "Functional insulation has the distances of basic insulation here; where its failure can cause no hazard a "
            "test of the fault may stand in for them."
        )
    said += _flashover(book, told)
    return tuple(said)


def _flashover(book: Book, told: RequiredDistances) -> list[str]:
    row = told.asked
    holds = clearance_withstand(book, row.clearance_mm)
    tests = [
        test.value_v
        for test in told.test_voltages
        if test.insulation is row.insulation and test.form.startswith("a.c.")
    ]
    if holds is None or not tests or holds.value >= tests[0]:
        return []
    kind = needed(holds.rows[0], "nominal")
    exact = "" if len(holds.rows) == 1 else "about "
    value = number_text(float(f"{holds.value:.3g}"), "V") if exact else number_text(kind, "V")
    said = (
        f"A gap of {millimetres(row.clearance_mm)} withstands {exact}{value} r.m.s. in the worst field (table A.1): a "
        f"test with {number_text(tests[0], 'V')} may flash over a gap that has the required clearance."
    )
    return [said]


def rows_beside(told: RequiredDistances) -> tuple[tuple[int, DistanceRow, bool], ...]:
    """Return every row with its pollution degree, and whether its kind is the one asked for.

    Parameters
    ----------
    told : RequiredDistances
        The distances.

    Returns
    -------
    tuple of (int, DistanceRow, bool)
        Milder degrees first, basic before reinforced.
    """
    degrees = [
        *((rows.pollution_degree, (rows.basic, rows.reinforced)) for rows in told.milder_degrees),
        (told.situation.pollution_degree, (told.basic, told.reinforced)),
    ]
    return tuple((degree, row, row.insulation is told.asked.insulation) for degree, rows in degrees for row in rows)


def sources_of_rows(told: RequiredDistances) -> tuple[Limit, ...]:
    """Return what the rows of the kind asked for rest on, and what asks for kind, category and degree.

    Parameters
    ----------
    told : RequiredDistances
        The distances.

    Returns
    -------
    tuple of Limit
        In the order of the record's sources.
    """
    named = {name for _, row, asked in rows_beside(told) if asked for used in row.rows for name in used.rows}
    because = (told.kind_limit, *(() if told.proposal is None else told.proposal.limits))
    named |= {limit.id for limit in because if limit is not None}
    return tuple(limit for limit in told.sources if limit.id in named)


def step_told(used: RowUsed) -> str:
    """Say one step from the situation to a distance.

    Parameters
    ----------
    used : RowUsed
        The step.

    Returns
    -------
    str
        What was looked up, with what, what came out, and from which cells.
    """
    value = millimetres(used.value) if used.unit == "mm" else number_text(float(f"{used.value:.5g}"), used.unit)
    between = ", between the rows" if used.interpolated else ""
    cells = ", ".join(used.rows)
    return f"{used.step[0].upper()}{used.step[1:]}: {value} ({used.entered_with}{between}; {cells})."


def limits_used(book: Book, told: RequiredDistances) -> tuple[Limit, ...]:
    """Return every limit that the record names by its id, once each.

    Parameters
    ----------
    book : Book
        The constants.
    told : RequiredDistances
        The distances.

    Returns
    -------
    tuple of Limit
        What the rows rest on first, then what other texts and test voltages do.

    Raises
    ------
    UnknownName
        A row of the table is missing.
    """
    first = [] if told.kind_limit is None else [told.kind_limit.id]
    if told.proposal is not None:
        first += [limit.id for limit in told.proposal.limits]
    milder = [row for degree in told.milder_degrees for row in (degree.basic, degree.reinforced)]
    named = [name for row in (told.reinforced, told.basic, *milder) for used in row.rows for name in used.rows]
    beside = [name for other in told.others for name in other.rows]
    tests = [name for test in told.test_voltages for name in test.rows]
    return tuple(book.limit(name) for name in dict.fromkeys((*first, *named, *beside, *tests)))
