"""How the unit is put together: cord anchorage, terminals, pins, seals and lid, how it is opened, potting."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.checks.cautions import DEAD_CAUTIONS, OPENED_BOARD
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.readings import Side, condition, highest, readings
from coldpin.errors import EntryError
from coldpin.quantity import format_value
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.part_words import (
    ANCHORAGE,
    BUILT,
    CORD,
    CRIMPS,
    EARTH_LAST,
    FORM,
    OPENING,
    PLATING,
    POTTING,
    SEALS,
    SLEEVES,
)
from coldpin.standards.parts_inside import cord_pull

CHECK_ID = "construction"
BY_EYE = "Judged by a person's eye: no text known to us puts a number to it."


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One thing of the construction: what either answer says, what it bears on, whether it holds for any unit."""

    of: str
    name: str
    title: str
    right: str
    wrong: str
    functions: tuple[str, ...] = ()
    reach: Reach = Reach.SPECIMEN


THINGS = (
    Seen(
        of=ANCHORAGE,
        name="anchorage",
        title="Cord anchorage",
        right="The cord is held by its sheath, and no pull or twist reaches the terminals.",
        wrong="The cord is not held by its sheath: pull and twist reach the terminals.",
        reach=Reach.CONSTRUCTION,
    ),
    Seen(
        of=CRIMPS,
        name="crimps",
        title="Crimps and terminals",
        right="Crimps and terminals hold every strand, the insulation free of the crimp, and nothing is discoloured.",
        wrong="Crimps or terminals are not sound: strands outside, insulation in the crimp, loose, or discoloured.",
        functions=("heating",),
    ),
    Seen(
        of=PLATING,
        name="plating",
        title="Plating of the pins",
        right="The plating of the pins is whole.",
        wrong="The plating of the pins is worn, pitted, or was never there.",
    ),
    Seen(
        of=FORM,
        name="form",
        title="Form of the pins",
        right="The pins are solid and of the form of their kind.",
        wrong="The pins are folded, hollow, bent or short of the form of their kind.",
        reach=Reach.CONSTRUCTION,
    ),
    Seen(
        of=SEALS,
        name="seals",
        title="Seals and lid",
        right="Seals lie in their grooves all round, the lid closes on them, and no water was inside.",
        wrong="A seal is missing, pinched or short, or there was water or its traces inside.",
    ),
    Seen(
        of=OPENING,
        name="opening",
        title="How it is opened",
        right="It can be opened with a tool only.",
        wrong="It opens without a tool, and live parts lie behind.",
        functions=("touch-protection",),
        reach=Reach.CONSTRUCTION,
    ),
    Seen(
        of=POTTING,
        name="potting",
        title="Potting",
        right="The potting covers what it should, without voids and without cracks.",
        wrong="The potting has voids or cracks, or leaves out what it should cover.",
    ),
    Seen(
        of=EARTH_LAST,
        name="earth-last",
        title="Earth core the longest",
        right="The earth core is the longest at its terminal: a pulled cord parts with it last.",
        wrong="The earth core is not the longest at its terminal: a pulled cord may part with it first.",
    ),
    Seen(
        of=SLEEVES,
        name="wires",
        title="Wires held apart",
        right="A wire that comes off its solder cannot reach the other side of the barrier.",
        wrong="A wire of the mains that comes off its solder can reach the pilot or low voltage.",
        functions=("pilot-separation",),
        reach=Reach.CONSTRUCTION,
    ),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Tell each thing that was looked at, one wrong place is enough, and judge how far a pulled cord came.

    Parameters
    ----------
    bench : BenchEvidence
        With an observation of the construction, or the displacement of a cord.

    Returns
    -------
    tuple of Finding
        One for each thing that was looked at.

    Raises
    ------
    EntryError
        An entry does not say what was looked at, or a reading cannot be read.
    InputError
        An own value of the case leaves a number out.
    """
    entries = bench.showing(BUILT)
    for entry in entries:
        if not entry.conditions.get("of"):
            raise EntryError.of(entry.id, f"what was looked at is missing: state 'of', as '{CRIMPS}'")
    found = []
    for thing in THINGS:
        there = [entry for entry in entries if entry.conditions["of"] == thing.of]
        if there:
            found.append(worst_entry(_told(thing, entry) for entry in there))
    if bench.showing(CORD):
        found.append(worst_entry(_cord(bench, entry) for entry in bench.showing(CORD)))
    return tuple(found)


def _told(thing: Seen, entry: Entry) -> Finding:
    at = f" ({entry.conditions['at']})" if entry.conditions.get("at") else ""
    outcome = {"yes": Outcome.WITHIN, "no": Outcome.BEYOND}.get(entry.answer, Outcome.UNDECIDED)
    said = {"yes": thing.right, "no": thing.wrong}.get(entry.answer, "Whoever looked could not tell.")
    return Finding(
        id=f"{CHECK_ID}.{thing.name}",
        check=CHECK_ID,
        title=thing.title,
        statement=f"{said.removesuffix('.')}{at}.",
        outcome=outcome,
        reach=thing.reach,
        functions=thing.functions,
        answer=entry.answer,
        evidence=(entry.id,),
        remarks=(BY_EYE,),
    )


def _cord(bench: BenchEvidence, entry: Entry) -> Finding:
    pull = cord_pull(bench.book)
    shown = readings(bench, entry)
    read = highest(shown)
    if read.side is Side.AT_LEAST:
        raise EntryError.of(entry.id, f"reading {read.text!r} is only a bound: write how far the mark came out")
    at = f" at the {entry.conditions['at']}" if entry.conditions.get("at") else ""
    finding = judged(
        Finding(
            id=f"{CHECK_ID}.cord",
            check=CHECK_ID,
            title="Displacement of the pulled cord",
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=(),
            evidence=(entry.id,),
            worst_of=len(shown),
            remarks=("Which text binds the cord of a charging lead is not known to us: that of appliances is taken.",),
            duty=False,
        ),
        read.quantity,
        pull.displacement,
    )
    finding = placed(f"The displacement of the cord{at} after the pulls", finding)
    force, pulls = condition(entry, "force", "N"), condition(entry, "pulls", "1")
    doubts = []
    if force is None or pulls is None:
        doubts.append("with what force or how often it was pulled is not stated")
    elif finding.outcome is Outcome.WITHIN and (force.value < pull.force or pulls.value < pull.pulls):
        doubts.append(f"{pull.pulls} pulls of {format_value(pull.force, 'N')} are asked for")
    elif finding.outcome is Outcome.BEYOND and (force.value > pull.force or pulls.value > pull.pulls):
        doubts.append(f"it was pulled harder or more often than {pull.pulls} times {format_value(pull.force, 'N')}")
    if doubts and finding.outcome is not Outcome.UNDECIDED:
        said = f"{finding.statement} That decides nothing: {'; '.join(doubts)}."
        return replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    return finding


CHECK = Check(
    id=CHECK_ID,
    title="Construction",
    question="Are cord, terminals, pins, seals, lid, potting and wires as they should be?",
    needs=(),
    any_of=(Need(shows=BUILT), Need(shows=CORD)),
    bench=Procedure(
        level=Level.DESTRUCTIVE,
        instrument="lens, good light, spring balance or weight, calliper with stated accuracy",
        minutes=40,
        cautions=(*DEAD_CAUTIONS, OPENED_BOARD),
        steps=(
            "Outside first: pins of plug and connector, seals, screws; does it open without a tool? Photograph all.",
            "Mark the sheath where it enters plug, box and connector; pull 25 times with 60 N for a second; measure.",
            "Open it. Look for water or its traces; at each terminal for strands outside, colour of heat.",
            "Look at how cords are held, which core is longest, and whether a loose wire can reach over the barrier.",
            "Where it is potted, look for voids and cracks, and for what was left out; what it hides was not seen.",
        ),
        hold_points=("No power where it opens without a tool, or where a wire lies over the barrier.",),
        repeats=1,
        transfers="What is designed so holds for any unit built like it; a bad crimp for this specimen.",
    ),
    limits=("cord-anchorage.",),
    run=run,
    bears=(
        Bearing(function="touch-protection", within_if_works=0.97, within_if_not=0.8),
        Bearing(function="pilot-separation", within_if_works=0.95, within_if_not=0.7),
        Bearing(function="heating", within_if_works=0.95, within_if_not=0.7),
    ),
    applies=always,
)
