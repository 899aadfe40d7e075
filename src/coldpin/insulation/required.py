"""Required distances: both rows, what other texts say, test voltages, and where a reading falls."""

from __future__ import annotations

from dataclasses import replace

from coldpin.insulation.dimensioning import distance_row, group_of, line_to_neutral, with_mains_at_one_end
from coldpin.insulation.other_texts import at_stated_voltage, between_lines, other_values
from coldpin.insulation.required_telling import limits_used, remarks, set_aside, statements, weaker_than_asked
from coldpin.insulation.withstand_tests import withstand_tests
from coldpin.records.finding import Limit
from coldpin.records.required_distances import (
    Barrier,
    DistanceRow,
    InsulationKind,
    InsulationSituation,
    OtherValue,
    RequiredDistances,
)
from coldpin.standards.book import Book


def required_distances(
    book: Book,
    situation: InsulationSituation,
    insulation: InsulationKind = InsulationKind.REINFORCED,
    *,
    barrier: Barrier | None = None,
    kind_limit: Limit | None = None,
) -> RequiredDistances:
    """Return what is asked for between two circuits: basic and reinforced, sources, and what other texts say.

    Every barrier has mains at one end: a working voltage across it that is stated below that of the mains lowers no
    row; what it would ask for stands among the others.

    Parameters
    ----------
    book : Book
        The constants, with those of the case in place of ours.
    situation : InsulationSituation
        Where the insulation stands.
    insulation : InsulationKind
        The kind that is asked for.
    barrier : Barrier, optional
        Between what it stands, where that is known; it says why this kind is asked for.
    kind_limit : Limit, optional
        What asks for this kind.

    Returns
    -------
    RequiredDistances
        The distances; no reading is placed yet.

    Raises
    ------
    OutsideRange
        A voltage, a degree or an altitude is outside the tables.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.records.required_distances import MaterialGroup, OvervoltageCategory
    >>> from coldpin.standards.book import load_book
    >>> wall = InsulationSituation(
    ...     nominal_voltage_v=230.0,
    ...     overvoltage_category=OvervoltageCategory.III,
    ...     pollution_degree=3,
    ...     material_group=MaterialGroup.IIIA,
    ... )
    >>> told = required_distances(load_book(), wall)
    >>> told.clearance_mm, told.creepage_mm, told.basic.clearance_mm, told.basic.creepage_mm
    (5.5, 8.0, 3.0, 4.0)

    Sources
    -------
    As :func:`distance_row`; other texts as ``coldpin.insulation.other_texts``.
    """
    stated = situation
    if barrier is not None:
        situation = with_mains_at_one_end(book, stated)
    basic_kind = InsulationKind.BASIC if insulation is InsulationKind.REINFORCED else insulation
    basic = distance_row(book, situation, basic_kind)
    reinforced = distance_row(book, situation, InsulationKind.REINFORCED)
    asked = reinforced if insulation is InsulationKind.REINFORCED else basic
    told = RequiredDistances(
        schema="coldpin.required_distances/1",
        situation=situation,
        insulation=insulation,
        clearance_mm=asked.clearance_mm,
        creepage_mm=asked.creepage_mm,
        groove_x_mm=asked.groove_x_mm,
        line_to_neutral_v=line_to_neutral(situation.nominal_voltage_v, situation.system),
        material_group=group_of(situation),
        basic=basic,
        reinforced=reinforced,
        barrier=barrier,
        kind_limit=kind_limit,
        proposal=None,
        milder_degrees=(),
        others=(),
        test_voltages=(),
        reading=None,
        placements=(),
        statements=(),
        remarks=(),
        sources=(),
    )
    across_lines = between_lines(book, told, stated)
    told = _up_to_lines(told, across_lines)
    others = (*across_lines, *at_stated_voltage(book, told, stated), *other_values(book, told))
    told = replace(told, others=others, test_voltages=withstand_tests(book, told))
    told = replace(
        told,
        statements=statements(told),
        remarks=(*weaker_than_asked(book, told), *set_aside(told, stated), *remarks(book, told)),
    )
    return replace(told, sources=limits_used(book, told))


def _up_to_lines(told: RequiredDistances, across_lines: tuple[OtherValue, ...]) -> RequiredDistances:
    """Leave undecided what is enough from a line to the earthed point and too little between two lines."""
    longer = {other.insulation: other.value_mm for other in across_lines}

    def up_to(row: DistanceRow) -> DistanceRow:
        return replace(row, creepage_up_to_mm=max(row.creepage_up_to_mm, longer.get(row.insulation, 0.0)))

    return replace(told, basic=up_to(told.basic), reinforced=up_to(told.reinforced))
