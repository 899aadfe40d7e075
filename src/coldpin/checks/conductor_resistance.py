"""Each conductor of the cable against the size it is marked with."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Procedure, always
from coldpin.checks.conductor_evidence import (
    CONDUCTOR_NEEDS,
    INSIDE,
    JOINTS_IN_IT,
    PINS,
    conductor_reading,
    tapped_entries,
)
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, worst_entry
from coldpin.checks.marked_size import marked_size
from coldpin.records.conductor import ConductorReading
from coldpin.records.conductor_words import LINES
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach

CHECK_ID = "conductor-resistance"
FUNCTION = "conductor"

ROLES = {"line": LINES, "neutral": ("N",), "earth": ("PE",)}
"""The conductors by what they are for; of several lines the worst is told."""


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place line, neutral and earth each against the limit of the marked size; the worst reading of each is told.

    Parameters
    ----------
    bench : BenchEvidence
        With a resistance or a drop of at least one conductor.

    Returns
    -------
    tuple of Finding
        One finding for each of the three that was read.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    entries = _telling(tapped_entries(bench))
    by_role = {role: [one for one in entries if one.conditions["conductor"] in names] for role, names in ROLES.items()}
    return tuple(
        worst_entry(_judge(bench, entry, role) for entry in chosen) for role, chosen in by_role.items() if chosen
    )


def _telling(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Take what was tapped inside; what was tapped at the pins only of conductors that were tapped nowhere inside."""
    at = [(entry, entry.conditions.get("taps") or INSIDE) for entry in entries]
    inside = {entry.conditions["conductor"] for entry, taps in at if taps == INSIDE}
    return tuple(
        entry for entry, taps in at if taps == INSIDE or (taps == PINS and entry.conditions["conductor"] not in inside)
    )


def _judge(bench: BenchEvidence, entry: Entry, role: str) -> Finding:
    told = conductor_reading(bench, entry)
    named = f"The {role} conductor" + (f" {entry.conditions['conductor']}" if role == "line" else "")
    bare = Finding(
        id=f"{CHECK_ID}.{role}",
        check=CHECK_ID,
        title=f"Size of the {role} conductor",
        statement=told.statement.replace("The conductor", named, 1),
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        quantity=told.resistance_20c_ohm_per_km,
        evidence=(entry.id,),
        remarks=(*told.questions, *_of_mark(bench), *told.remarks),
    )
    return _of_taps(entry, _placed(bare, told))


def _placed(bare: Finding, told: ConductorReading) -> Finding:
    """Judge against plain wires, or against tinned ones where the conductor is beyond even these."""
    if not told.placements:
        return bare
    used = told.placements[-1 if told.outcome is Outcome.BEYOND else 0]
    finding = judged(bare, told.resistance_20c_ohm_per_km, used.limit)
    return replace(finding, outcome=told.outcome, probability=told.probability)


def _of_taps(entry: Entry, finding: Finding) -> Finding:
    """Let a reading at the pins, which holds the joints as well, show a good conductor and never a bad one."""
    if (entry.conditions.get("taps") or INSIDE) == INSIDE:
        return finding
    if finding.outcome is not Outcome.BEYOND:
        return replace(finding, remarks=(*finding.remarks, JOINTS_IN_IT))
    told = f"{finding.statement} {JOINTS_IN_IT}"
    return replace(finding, outcome=Outcome.UNDECIDED, probability=None, statement=told)


def _of_mark(bench: BenchEvidence) -> Iterable[str]:
    marked = marked_size(bench)
    return () if marked is None else (f"{marked.size_mm2:g} mm² is what {marked.said_by} says.",)


CHECK = Check(
    id=CHECK_ID,
    title="Size of the conductors",
    question="Has each conductor no more resistance than the size it is marked with allows?",
    needs=(),
    any_of=CONDUCTOR_NEEDS,
    bench=Procedure(
        level=Level.DEAD,
        instrument=(
            "milliohm meter, four-wire; or an isolated extra-low-voltage source of 1 A to 10 A with an ammeter and a "
            "millivoltmeter; tape; thermometer"
        ),
        minutes=20,
        cautions=(
            *DEAD_CAUTIONS,
            (
                "The source is isolated from the mains and of extra-low voltage. Its current flows through the cable "
                "alone, never through an appliance, a meter's resistance range or a person's earth."
            ),
        ),
        steps=(
            (
                "Let the cable lie straight and uncoiled in the room for some hours; measure the temperature of the "
                "sheath and of the room, and go on when they agree within a kelvin."
            ),
            (
                "Clamp the current at the ends of one conductor. Tap the voltage on the conductor itself, inside of "
                "these clips; where the ends cannot be reached, at the pins."
            ),
            (
                "Never take the difference of two voltmeters at the ends for the drop: what each is off by is as large "
                "as the drop. One meter, along the conductor."
            ),
            "Measure the length of cable between the taps; the cores are longer, and the limit is for the cable.",
            (
                "Read at 1 A, or at 10 A within a few seconds of switching on; write down current and time. Reverse "
                "the current, leave the taps as they are, and read again. Three times."
            ),
            "The same for each conductor by itself: line, neutral, earth. Two in series tell only their mean.",
            "Look at the bare wires: red is plain, silvery is tinned. Write down which.",
        ),
        hold_points=("No power on a cable that has a conductor beyond its limit.",),
        stop_values=("Switch the source off where any part of the cable or a clip gets warm to the hand.",),
        repeats=3,
        transfers="Holds for this cable; the next one of the same print may be another.",
    ),
    limits=("conductor.class-5", "conductor-measurement", "metal.copper"),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.97, within_if_not=0.05),),
    applies=always,
)
