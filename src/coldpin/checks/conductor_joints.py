"""The joints of the conductors with the pins of plug and connector, told from the conductors between them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Procedure, always
from coldpin.checks.conductor_evidence import (
    CONDUCTOR_NEEDS,
    CONNECTOR_SIDE,
    INSIDE,
    PINS,
    PLUG_SIDE,
    TappedResistance,
    tapped_entries,
    tapped_resistance,
)
from coldpin.checks.evidence import BenchEvidence, claimed
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.copper.joints import BOTH_SIDES, Taps, separate
from coldpin.errors import InputError
from coldpin.quantity import Quantity, format_quantity, in_unit
from coldpin.records.conductor import JointResistance, PinToPin
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.standards.table import needed

CHECK_ID = "conductor-joints"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Take each conductor from pin to pin apart, and tell the worst joint of each side.

    Parameters
    ----------
    bench : BenchEvidence
        With resistances of one conductor tapped at more than one place.

    Returns
    -------
    tuple of Finding
        One for each side, or for both together where they were not told apart; none where no conductor was tapped at
        enough places.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed current cannot be read.
    """
    by_side: defaultdict[str, list[Finding]] = defaultdict(list)
    for joined in joints_taken_apart(bench):
        for joint in joined.apart.joints:
            by_side[joint.where].append(_judge(joined.conductor, joint, joined.apart, joined.found))
    return tuple(worst_entry(findings) for findings in by_side.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """One conductor taken apart into its joints and what lies between, with the readings it is from."""

    conductor: str
    apart: PinToPin
    found: list[TappedResistance]


def joints_taken_apart(bench: BenchEvidence) -> tuple[Joined, ...]:
    """Take each conductor from pin to pin apart that was tapped at enough places.

    Parameters
    ----------
    bench : BenchEvidence
        With resistances of conductors.

    Returns
    -------
    tuple of Joined
        One for each conductor.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed current cannot be read.
    """
    by_conductor: defaultdict[str, list[TappedResistance]] = defaultdict(list)
    for entry in tapped_entries(bench):
        tapped = tapped_resistance(bench, entry)
        by_conductor[tapped.conductor].append(tapped)
    current = _current(bench)
    taken = []
    for conductor, found in by_conductor.items():
        try:
            apart = separate(_taps(found), bench.book, current=None if conductor == "PE" else current)
        except InputError:
            # tapped at one place alone: that tells no joint
            continue
        taken.append(Joined(conductor=conductor, apart=apart, found=found))
    return tuple(taken)


def _taps(found: list[TappedResistance]) -> Taps:
    """Take the latest reading at each place."""
    at: dict[str, Quantity] = {tapped.taps: tapped.resistance for tapped in found}
    return Taps(
        pins=at.get(PINS), inside=at.get(INSIDE), plug_side=at.get(PLUG_SIDE), connector_side=at.get(CONNECTOR_SIDE)
    )


def _current(bench: BenchEvidence) -> float | None:
    declared = claimed(bench, "declared_current", "A")
    return declared if declared is not None else claimed(bench, "rated_current", "A")


def _judge(conductor: str, joint: JointResistance, apart: PinToPin, found: list[TappedResistance]) -> Finding:
    limit = _limit(joint, apart.limit)
    joints = "both joints" if joint.where == BOTH_SIDES else "the joint"
    side = "" if joint.where == BOTH_SIDES else f" on the {joint.where}"
    bare = Finding(
        id=f"{CHECK_ID}.{joint.where.replace(' ', '-')}",
        check=CHECK_ID,
        title=f"Joints of the conductors, {joint.where}",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=tuple(tapped.entry.id for tapped in found),
        remarks=(
            *apart.remarks,
            *dict.fromkeys(remark for tapped in found for remark in tapped.remarks),
            "From memory, and no limit of a standard for couplers: a good joint keeps it easily.",
        ),
    )
    finding = judged(bare, in_unit(joint.resistance_ohm, limit.unit), limit)
    finding = placed(f"The resistance of {joints} of {conductor}{side}", finding)
    return replace(finding, statement=" ".join([finding.statement, *_heat(joint, apart)]))


def _heat(joint: JointResistance, apart: PinToPin) -> tuple[str, ...]:
    share = "" if joint.share is None else f"{100.0 * joint.share.value:.0f} % of the whole from pin to pin"
    if joint.heat_w is None or apart.current_a is None:
        return (f"That is {share}.",) if share else ()
    return (f"That is {share}, and {format_quantity(joint.heat_w)} of heat at {apart.current_a:g} A.",)


def _limit(joint: JointResistance, one: Limit) -> Limit:
    if joint.where != BOTH_SIDES:
        return replace(one, minimum=None)
    return replace(one, minimum=None, maximum=2.0 * needed(one, "maximum"), note=f"Twice that of one joint. {one.note}")


CHECK = Check(
    id=CHECK_ID,
    title="Joints in plug and connector",
    question="Have the joints of the conductors with the pins no more resistance than good joints have?",
    needs=(),
    any_of=CONDUCTOR_NEEDS,
    bench=Procedure(
        level=Level.DEAD,
        instrument="milliohm meter, four-wire, or an isolated extra-low-voltage source with a millivoltmeter",
        minutes=20,
        cautions=DEAD_CAUTIONS,
        steps=(
            "Clamp the current at the pins of plug and connector of one conductor.",
            "Tap the voltage on the pins: what is read is everything from pin to pin.",
            (
                "Without moving the clips of the current, tap inside of both joints, on the conductor itself where it "
                "leaves the terminal or the crimp; where plug and connector are moulded shut, open them last of all."
            ),
            "Tap over one joint: from its pin to the conductor behind it.",
            "Move the cable at its entry while reading; write down the highest value.",
        ),
        hold_points=(
            "No load on a lead with a joint beyond what a good one has: it gets hot where nothing switches off.",
        ),
        repeats=3,
        transfers="Holds for this specimen as it is; a screw may work loose, a crimp does not mend.",
    ),
    limits=("joint",),
    run=run,
    bears=(),
    applies=always,
)
