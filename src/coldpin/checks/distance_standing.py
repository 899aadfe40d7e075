"""What a limit of a distance stands on: the table, what asks for its row, and what somebody stated of the gap."""

from __future__ import annotations

from coldpin.checks.distance_evidence import FoundDistance
from coldpin.checks.evidence import BenchEvidence
from coldpin.insulation.distance_limit import distance_limit
from coldpin.records.distance import PathKind
from coldpin.records.required_distances import RequiredDistances


def halves_of_limit(bench: BenchEvidence, told: RequiredDistances, kind: PathKind) -> tuple[str, ...]:
    """Say how well each half of a limit is known, the distance and what asks for it, where they are not alike.

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
    tuple of str
        One sentence; none where both halves are known alike.

    Raises
    ------
    UnknownName
        A row of the table is missing.
    """
    distance = distance_limit(bench.book, told.asked, kind).standing
    asks = [] if told.kind_limit is None else [("kind of insulation", told.kind_limit.standing)]
    if told.proposal is not None:
        category, *degrees = told.proposal.limits
        asks.append(("overvoltage category", category.standing))
        asks += [("pollution degree", degree.standing) for degree in degrees]
    other = dict.fromkeys(f"the {what} asked for: {standing}" for what, standing in asks if standing is not distance)
    return (f"Standing of the distance in the table: {distance}; of {', of '.join(other)}.",) if other else ()


def of_surface_and_voltage(found: FoundDistance, told: RequiredDistances) -> tuple[str, ...]:
    """Name the material group and the working voltage that somebody stated, with what was made of them.

    Parameters
    ----------
    found : FoundDistance
        The distance.
    told : RequiredDistances
        What is asked for at the degree that decides.

    Returns
    -------
    tuple of str
        A sentence for each; none where neither is stated.
    """
    said = []
    if found.group is not None:
        made_of_it = (
            f"as shown by {found.entry.conditions['group shown by']}"
            if found.group_shown
            else f"but not how it is known: group {told.material_group} was taken. State 'group shown by'"
        )
        said.append(f"Material group {found.group} is stated, {made_of_it}.")
    if "working voltage" in found.entry.conditions and found.working_voltage_v is not None:
        used = told.situation.working_voltage_v == found.working_voltage_v
        made_of_it = (
            "was taken" if used else "lowers nothing: mains is at one end, and the row of the rated voltage was taken"
        )
        said.append(f"The stated working voltage of {found.working_voltage_v:g} V {made_of_it}.")
    return tuple(said)
