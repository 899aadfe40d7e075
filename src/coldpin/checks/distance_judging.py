"""From a distance found inside to a finding: placed beside what is asked for, at every pollution degree in question."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from coldpin.checks.distance_demands import demands, limit_of, sealing_counted, taken_for_granted
from coldpin.checks.distance_evidence import FoundDistance, Length
from coldpin.checks.distance_standing import halves_of_limit, of_surface_and_voltage
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import as_known, judged, placed, worst_entry
from coldpin.insulation.placing import place_distance
from coldpin.insulation.required_telling import millimetres
from coldpin.quantity import Quantity, format_figure, format_quantity, format_value
from coldpin.records.distance import PathKind
from coldpin.records.finding import Finding, Outcome
from coldpin.records.required_distances import (
    DistancePlacement,
    DistanceRow,
    InsulationKind,
    RequiredDistances,
)

_NOT_WALKED = "the way along the surface, which may be longer, was not measured"
_NOT_STRAIGHT = "the way straight through air, which may be shorter, was not measured"
_FAULT_TEST = (
    "behind a fuse less may do where a test of the fault shows that a short there does no harm; that was not tried"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a check asks of a gap: its id, what bears on it, and what is said where not even basic insulation is left.

    ``name`` comes before the kind in the ids of its findings. ``below_basic`` is one plain sentence, empty where
    falling below basic insulation concludes nothing alone.
    """

    check: str
    across: tuple[str, ...]
    what: str
    functions: tuple[str, ...]
    name: str = ""
    below_basic: str = ""
    only: Callable[[FoundDistance], bool] | None = None


def judge_distances(bench: BenchEvidence, asked: Asked, found: Iterable[FoundDistance]) -> tuple[Finding, ...]:
    """Judge every distance of a check, and tell the worst clearance and the worst creepage.

    A bound that tells nothing is left out where the same two ends were measured in the way that does.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    asked : Asked
        What the check asks.
    found : iterable of FoundDistance
        All distances found.

    Returns
    -------
    tuple of Finding
        One for each kind of way that was found; none where nothing was.

    Raises
    ------
    CaseError
        The claimed voltage cannot be read.
    """
    by_kind: defaultdict[PathKind, list[JudgedDistance]] = defaultdict(list)
    for one in found:
        if one.across in asked.across and (asked.only is None or asked.only(one)):
            by_kind[one.kind].append(judge_distance(bench, asked, one))
    return tuple(worst_entry(one.finding for one in telling(by_kind[kind])) for kind in PathKind if by_kind[kind])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JudgedDistance:
    """A distance with its finding and where it falls at each degree, the mildest first; ``why`` where it stays open."""

    found: FoundDistance
    finding: Finding
    why: str
    demanded: tuple[RequiredDistances, ...]
    placements: tuple[DistancePlacement, ...]


def telling(judged_ones: Iterable[JudgedDistance]) -> tuple[JudgedDistance, ...]:
    """Leave out bounds that tell nothing, where the same two ends were measured in the way that does; shortest first.

    Parameters
    ----------
    judged_ones : iterable of JudgedDistance
        Distances of one kind across one barrier.

    Returns
    -------
    tuple of JudgedDistance
        At least one where there was one.
    """
    listed = sorted(judged_ones, key=_told_length)
    whole = [one for one in listed if not (one.found.at_least or one.found.at_most)]
    ends = {_ends(one.found) for one in whole}
    drawn = {one.found.entry.conditions.get("part", "") for one in whole if one.found.board is not None}
    kept = (
        one in whole
        or one.finding.outcome is not Outcome.UNDECIDED
        or not (_ends(one.found) in ends or one.found.entry.conditions.get("part", "") in drawn)
        for one in listed
    )
    return tuple(one for one, is_kept in zip(listed, kept, strict=True) if is_kept)


def _told_length(one: JudgedDistance) -> float:
    quantity = one.finding.quantity
    return math.inf if quantity is None else quantity.value


def _ends(found: FoundDistance) -> frozenset[str]:
    place = found.entry.conditions.get("place", "").casefold()
    return frozenset((*(end.casefold() for end in found.ends), f"at {place}"))


def judge_distance(bench: BenchEvidence, asked: Asked, found: FoundDistance) -> JudgedDistance:
    """Place one distance beside what is asked for.

    It is within where it keeps what every degree and every reading of the texts ask for and nothing speaks against it;
    beyond where it misses what the mildest asks for; else undecided.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    asked : Asked
        What the check asks.
    found : FoundDistance
        The distance.

    Returns
    -------
    JudgedDistance
        With its finding.

    Raises
    ------
    CaseError
        The claimed voltage cannot be read.
    """
    shown = found.group if found.group_shown else None
    demanded = demands(bench, found.across, group=shown, working_voltage=found.working_voltage_v)
    placements = tuple(_placed(found, told.asked) for told in demanded)
    outcome, why = _outcome(found, placements, demanded)
    if outcome is Outcome.BEYOND and found.group is not shown:
        outcome, why = _if_the_group_were_so(bench, found)
    deciding = demanded[0] if outcome is Outcome.BEYOND else demanded[-1]
    length = found.length(deciding.asked.groove_x_mm)
    # both readings of the rule miss it, and the one that gives more is disputed by none
    quantity = length.larger if outcome is Outcome.BEYOND and length.larger is not None else length.quantity
    finding = judged(
        Finding(
            id=f"{asked.check}.{f'{asked.name}-' if asked.name else ''}{found.kind.value}",
            check=asked.check,
            title=f"{found.kind.value.capitalize()}, {asked.what}",
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=found.reach,
            functions=asked.functions,
            evidence=(found.entry.id, *sealing_counted(bench).evidence),
            remarks=(
                *found.questions,
                *found.remarks,
                *_other_reading(length),
                *halves_of_limit(bench, deciding, found.kind),
                *of_surface_and_voltage(found, deciding),
                *taken_for_granted(bench, deciding),
            ),
        ),
        quantity,
        limit_of(bench, deciding, found.kind),
    )
    finding = _stated(found, finding, outcome, why, deciding)
    if outcome is Outcome.BEYOND:
        finding = _beside_basic(asked, found, finding, demanded[0])
    return JudgedDistance(found=found, finding=finding, why=why, demanded=demanded, placements=placements)


def _if_the_group_were_so(bench: BenchEvidence, found: FoundDistance) -> tuple[Outcome, str]:
    """Return whether a distance that is too short for an unknown material is so for the one that is only stated."""
    mildest = demands(bench, found.across, group=found.group, working_voltage=found.working_voltage_v)[0]
    placed_there = _placed(found, mildest.asked)
    if placed_there.outcome is Outcome.BEYOND:
        return Outcome.BEYOND, ""
    least = millimetres(placed_there.required_mm)
    return Outcome.UNDECIDED, (
        f"too little for a material of which nothing is known; material group {found.group}, which asks for {least}, "
        "is stated, and nothing shows it"
    )


def _other_reading(length: Length) -> tuple[str, ...]:
    if length.larger is None:
        return ()
    small, large = format_figure(length.quantity), format_figure(length.larger)
    said = f"Where a gap narrower than X beside a part that floats counts nothing, it is {small}"
    return (f"{said}; where every gap counts, {large}. The texts differ.",)


def _placed(found: FoundDistance, row: DistanceRow) -> DistancePlacement:
    return place_distance(found.length(row.groove_x_mm).quantity, row, found.kind, asked=True)


def _outcome(
    found: FoundDistance, placements: tuple[DistancePlacement, ...], demanded: tuple[RequiredDistances, ...]
) -> tuple[Outcome, str]:
    """Return the outcome, and why it is undecided where the numbers alone would have decided."""
    mildest, harshest = placements[0].outcome, placements[-1].outcome
    if mildest is Outcome.BEYOND:
        return _beyond(found, demanded[0])
    if harshest is Outcome.WITHIN:
        return _within(found, demanded[-1])
    if mildest is Outcome.WITHIN and harshest is Outcome.BEYOND:
        low, high = (_degree(told) for told in (demanded[0], demanded[-1]))
        needs = millimetres(placements[-1].required_mm)
        return Outcome.UNDECIDED, (
            f"enough in pollution degree {low}, too little in degree {high}, which asks for {needs}; whether the "
            "housing keeps dirt and water out is not proved"
        )
    return Outcome.UNDECIDED, ""


def _beyond(found: FoundDistance, told: RequiredDistances) -> tuple[Outcome, str]:
    if found.over_range:
        return Outcome.UNDECIDED, "the instrument was beyond its range"
    if found.questions:
        return Outcome.UNDECIDED, found.questions[0]
    if found.at_least:
        return Outcome.UNDECIDED, _NOT_WALKED
    if told.insulation is InsulationKind.FUNCTIONAL:
        return Outcome.UNDECIDED, _FAULT_TEST
    larger = found.length(told.asked.groove_x_mm).larger
    if larger is not None and place_distance(larger, told.asked, found.kind).outcome is not Outcome.BEYOND:
        return Outcome.UNDECIDED, (
            f"by another reading of the rule for parts that float it is {format_quantity(larger)}, and the texts differ"
        )
    return Outcome.BEYOND, ""


def _within(found: FoundDistance, told: RequiredDistances) -> tuple[Outcome, str]:
    if found.questions or found.doubts:
        return Outcome.UNDECIDED, (*found.questions, *found.doubts)[0]
    if found.at_most:
        return Outcome.UNDECIDED, _NOT_STRAIGHT
    if found.shortest is not None:
        single = found.shortest(told.asked.groove_x_mm)
        if place_distance(single, told.asked, found.kind).outcome is not Outcome.WITHIN:
            return Outcome.UNDECIDED, f"one of its readings is {format_quantity(single)}"
    return Outcome.WITHIN, ""


def _degree(told: RequiredDistances) -> int:
    return told.situation.pollution_degree


def _stated(found: FoundDistance, finding: Finding, outcome: Outcome, why: str, told: RequiredDistances) -> Finding:
    """Write the sentence of a distance, with the outcome that everything together leaves."""
    ends = f" ({' to '.join(found.ends)})" if found.ends else ""
    subject = f"The {found.kind.value} from {_ends_told(found.across)}{ends}"
    if found.at_least:
        subject = f"The straight gap from {_ends_told(found.across)}{ends}, which the {found.kind.value} has at least,"
    if found.at_most:
        subject = f"The gap from {_ends_told(found.across)}{ends}, which the {found.kind.value} has at most,"
    row = (
        f"{told.insulation.value.capitalize()} insulation is asked for, overvoltage category "
        f"{told.situation.overvoltage_category}, pollution degree {_degree(told)}."
    )
    known = as_known(finding.limit) if finding.limit is not None else ""
    if found.over_range:
        return _over_range(found, finding, outcome, why, f"{subject} reads more than {found.over_range}", known, row)
    if why and finding.quantity is not None:
        value = format_quantity(finding.quantity)
        said = f"{subject} is {value}; beside {known} it stays open: {why}. {row}"
        return replace(finding, statement=said, outcome=Outcome.UNDECIDED, probability=None)
    if found.board is not None and finding.quantity is not None and finding.quantity.u is None:
        reason = finding.quantity.why or "how well its corners were picked is not stated"
        value = format_value(float(f"{finding.quantity.value:.4g}"), finding.quantity.unit)
        said = f"{subject} reads {value} in the drawing; it cannot be placed against {known}: {reason}. {row}"
        return replace(finding, statement=said, outcome=outcome, probability=None)
    agreed = placed(subject, finding)
    if agreed.outcome is not outcome:
        up_to = finding.limit.other if finding.limit is not None else ""
        said = f"{subject} is {format_quantity(_known(finding))}: too close to {known} to say ({up_to}). {row}"
        return replace(finding, statement=said, outcome=outcome, probability=None)
    return replace(agreed, statement=f"{agreed.statement} {row}")


def _over_range(
    found: FoundDistance, finding: Finding, outcome: Outcome, why: str, reads: str, known: str, row: str
) -> Finding:
    """Leave the edge of the range out of the finding: nobody measured it."""
    open_for = why or ("too little to say" if _known(finding).u is not None else "its accuracy there is not known")
    within = outcome is Outcome.WITHIN
    said = f"{reads}: within {known}. {row}" if within else f"{reads}; beside {known} it stays open: {open_for}."
    return replace(
        finding,
        statement=said,
        quantity=None,
        budget=(),
        outcome=outcome,
        answer=f"more than {found.over_range}",
        probability=finding.probability if within else None,
    )


def _known(finding: Finding) -> Quantity:
    assert finding.quantity is not None, "a distance that was placed has a quantity"
    return finding.quantity


def _ends_told(across: str) -> str:
    return across.replace(" to touchable surface", " to a surface that can be touched")


def _beside_basic(asked: Asked, found: FoundDistance, finding: Finding, told: RequiredDistances) -> Finding:
    """Say where a distance falls beside basic insulation, below which nothing is left."""
    if told.insulation is not InsulationKind.REINFORCED:
        return finding
    length = found.length(told.basic.groove_x_mm)
    basic = place_distance(length.larger or length.quantity, told.basic, found.kind)
    least = millimetres(basic.required_mm)
    if basic.outcome is not Outcome.BEYOND:
        more = "it is at least" if basic.outcome is Outcome.WITHIN else "it may or may not be"
        said = f"{finding.statement} Of basic insulation, one layer of two, {more} the {least}."
        return replace(finding, statement=said)
    said = f"{finding.statement} It is less than basic insulation, one layer of two, asks for ({least})."
    if not asked.below_basic:
        return replace(finding, statement=said)
    return replace(finding, statement=f"{asked.below_basic} {said}", plain=asked.below_basic, decisive=True)
