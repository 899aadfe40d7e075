"""What is asked for across a gap inside a unit, at every pollution degree in question, and as a limit."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.distance_voltage import is_between_lines, line_voltage, rated_voltage
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.readings import claimed_quantity
from coldpin.checks.sealing import Sealing, sealing
from coldpin.insulation.distance_limit import distance_limit
from coldpin.insulation.required import required_distances
from coldpin.insulation.situation import insulation_for, location_of, propose_situation
from coldpin.quantity import format_figure
from coldpin.records.distance import PathKind
from coldpin.records.distance_words import (
    BEFORE_FUSE,
    BEHIND_FUSE,
    MAINS_EARTH,
    MAINS_LOW_VOLTAGE,
    MAINS_PILOT,
    MAINS_SURFACE,
)
from coldpin.records.finding import Limit
from coldpin.records.required_distances import (
    Barrier,
    InsulationSituation,
    Location,
    MaterialGroup,
    RequiredDistances,
    SupplySystem,
)
from coldpin.standards.voltage_drop import supply_voltage

BARRIERS = {
    MAINS_PILOT: Barrier.MAINS_PILOT,
    MAINS_LOW_VOLTAGE: Barrier.MAINS_LOW_VOLTAGE,
    BEFORE_FUSE: Barrier.LINE_NEUTRAL,
    BEHIND_FUSE: Barrier.BEHIND_FUSE,
    MAINS_EARTH: Barrier.MAINS_EARTH,
    MAINS_SURFACE: Barrier.MAINS_TOUCHABLE,
}
"""What insulation stands where a gap was taken, by the words of the vocabulary."""

THREE_LINES = 3
"""Ours to name: the number of lines of a three-phase supply."""


def demands(
    bench: BenchEvidence, across: str, *, group: MaterialGroup | None = None, working_voltage: float | None = None
) -> tuple[RequiredDistances, ...]:
    """Return what is asked for across a gap, at each pollution degree that the unit is to be judged by.

    Parameters
    ----------
    bench : BenchEvidence
        With the class of the unit, where it is used, its rated voltage and that of the supply.
    across : str
        Between what the gap lies, a word of the vocabulary.
    group : MaterialGroup, optional
        Of the surface, where it is known.
    working_voltage : float, optional
        Across the gap, r.m.s., where it was found out. [V]

    Returns
    -------
    tuple of RequiredDistances
        The mildest degree first.

    Raises
    ------
    CaseError
        The claimed voltage cannot be read.
    EntryError
        A test of the sealing states no degree of protection that can be read.
    OutsideRange
        A voltage is outside the tables.
    """
    return bench.once(
        f"required distances, {across}, {group}, {working_voltage}",
        lambda: _demands(bench, across, group, working_voltage),
    )


def _demands(
    bench: BenchEvidence, across: str, group: MaterialGroup | None, working_voltage: float | None
) -> tuple[RequiredDistances, ...]:
    sealed = sealing_counted(bench)
    proposal = propose_situation(bench.book, bench.case.unit, _location(bench), sealing_proved=sealed.shown)
    proposal = replace(proposal, reasons=(*proposal.reasons, *sealed.told))
    rated = rated_voltage(bench)
    is_of_lines = bench.case.unit.phases == THREE_LINES and is_between_lines(bench, rated)
    if bench.case.unit.phases == THREE_LINES and working_voltage is None and across in (BEFORE_FUSE, BEHIND_FUSE):
        rated, is_of_lines = line_voltage(bench), True  # whichever way it is claimed, the gap may lie between two lines
    kind, rule = insulation_for(bench.book, BARRIERS[across])
    told = []
    for degree in proposal.pollution_degrees:
        situation = InsulationSituation(
            nominal_voltage_v=rated,
            overvoltage_category=proposal.overvoltage_category,
            pollution_degree=degree,
            material_group=group,
            system=SupplySystem.THREE_PHASE if is_of_lines else SupplySystem.LINE_TO_NEUTRAL,
            working_voltage_v=working_voltage,
        )
        one = required_distances(bench.book, situation, kind, barrier=BARRIERS[across], kind_limit=rule)
        told.append(replace(one, proposal=proposal))
    return tuple(told)


def _location(bench: BenchEvidence) -> Location:
    return location_of("; ".join(use.place for use in bench.case.conditions_of_use if use.place))


def sealing_counted(bench: BenchEvidence) -> Sealing:
    """Return what is shown of the sealing of the housing, where the pollution degree goes by it: not indoors.

    Parameters
    ----------
    bench : BenchEvidence
        With where it is used, and tests of its sealing.

    Returns
    -------
    Sealing
        With nothing indoors.

    Raises
    ------
    EntryError
        A test of the sealing states no degree of protection that can be read.
    """
    return Sealing(shown=False) if _location(bench) is Location.INDOORS else sealing(bench)


def limit_of(bench: BenchEvidence, told: RequiredDistances, kind: PathKind) -> Limit:
    """Return what is asked for at one degree as a limit of its own.

    Parameters
    ----------
    bench : BenchEvidence
        With the book.
    told : RequiredDistances
        What is asked for.
    kind : PathKind
        Clearance or creepage.

    Returns
    -------
    Limit
        Named by insulation, category and degree.

    Raises
    ------
    UnknownName
        A row of the table is missing.
    """
    because = (
        *(() if told.kind_limit is None else (told.kind_limit,)),
        *(() if told.proposal is None else told.proposal.limits),
    )
    limit = distance_limit(bench.book, told.asked, kind, because=because)
    situation = told.situation
    at = f"{situation.nominal_voltage_v:g}v.{situation.overvoltage_category.lower()}.{situation.pollution_degree}"
    where = (
        f"{situation.nominal_voltage_v:g} V, overvoltage category {situation.overvoltage_category}, pollution degree "
        f"{situation.pollution_degree}, material group {told.material_group}"
    )
    return replace(limit, id=f"{limit.id}.{at}.{told.material_group.lower()}", title=f"{limit.title}, {where}")


def taken_for_granted(bench: BenchEvidence, told: RequiredDistances) -> tuple[str, ...]:
    """Say which voltage was taken where none serves that is claimed, and why category and degrees are what they are.

    Parameters
    ----------
    bench : BenchEvidence
        With the claim.
    told : RequiredDistances
        What is asked for at the degree that decides.

    Returns
    -------
    tuple of str
        Sentences.

    Raises
    ------
    CaseError
        The claimed voltage cannot be read.
    InputError
        An own value of the case leaves the supply's voltage out.
    """
    said = []
    rated, supply = claimed_quantity(bench, "rated_voltage", "V"), supply_voltage(bench.book)
    if rated is None:
        said.append(f"No rated voltage is claimed: {told.situation.nominal_voltage_v:g} V was taken.")
    elif rated.value < supply:
        said.append(
            f"The claimed rated voltage, {format_figure(rated)}, is below that of the supply: {supply:g} V was taken. "
            "For another supply give the case a value of its own for supply.voltage."
        )
    if told.proposal is not None:
        said += told.proposal.reasons
    return tuple(said)
