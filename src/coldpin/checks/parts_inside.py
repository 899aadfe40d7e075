"""Parts found inside the opened unit: how its supply is made, what stands over the barriers, what is not there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coldpin.checks.answers import NOT_A_DUTY
from coldpin.checks.cautions import DEAD_CAUTIONS, OPENED_BOARD
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.distance_evidence import LONGEST_GAP_MM
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.readings import condition
from coldpin.errors import EntryError, UnknownName
from coldpin.quantity import Quantity
from coldpin.records.case import Build
from coldpin.records.distance_words import MAINS_EARTH, MAINS_LOW_VOLTAGE, MAINS_PILOT, MAINS_SURFACE
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.part_words import (
    ALL_POLES,
    AS_ISOLATION,
    EARTH_SENSING,
    EVERY_PATH,
    FUSE,
    JOINED,
    PART,
    PILOT_CIRCUIT,
    RELAY,
    RESIDUAL_SENSOR,
    SUPPLY,
    TEMPERATURE_SENSOR,
    TO_TOUCH,
    VARISTOR,
)
from coldpin.records.required_distances import OvervoltageCategory
from coldpin.standards.insulation_coordination import clearance_by_impulse, rated_impulse
from coldpin.standards.parts_inside import BASIC, NONE, REINFORCED, BridgingPart, bridging_part, supply_topology
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_voltage

CHECK_ID = "parts-inside"
BESIDE_GAP = "the clearance of basic insulation at overvoltage category"

POLLUTION_DEGREE = 2
"""Ours: the degree by whose clearance an open contact is placed; a relay is closed against dirt."""

JOINED_TO_MAINS = "Inside, the pilot circuit, which goes to the car and to a hand, is joined to the mains."

WEAR = ("varistor", "arrester")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A part that is told as there or not there, and whether that bears on a function."""

    role: str
    name: str
    title: str
    there: str
    gone: str
    function: str = ""


GOOD_PRACTICE = (
    Told(
        role=FUSE,
        name="fuse",
        title="Fuse before the electronics",
        there="A fuse or a fusible resistor stands between the mains and the electronics.",
        gone="No fuse stands between the mains and the electronics: a shorted part burns until another device acts.",
    ),
    Told(
        role=VARISTOR,
        name="varistor",
        title="Varistor against surges",
        there="A varistor stands between the poles of the mains.",
        gone="No varistor was found between the poles of the mains.",
    ),
    Told(
        role=TEMPERATURE_SENSOR,
        name="plug-sensor",
        title="Temperature watched in the plug",
        there="A temperature sensor sits in the plug.",
        gone="No temperature sensor sits in the plug: a hot socket is not noticed.",
    ),
    Told(
        role=EARTH_SENSING,
        name="earth-sensing",
        title="Parts that look for the supply's earth",
        there="Parts that look for the earth of the supply were found; whether they act is told by a test.",
        gone="No part looks for the earth of the supply.",
        function="supply-earth-monitoring",
    ),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say what the parts found make of the barriers, of switching and of residual-current protection.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one part, there or looked for.

    Returns
    -------
    tuple of Finding
        One for each question that the parts answer.

    Raises
    ------
    EntryError
        An entry does not name the part's role, or a condition cannot be read.
    InputError
        An own value of the case leaves a number out.
    """
    entries = bench.showing(PART)
    for entry in entries:
        if not entry.conditions.get("role"):
            raise EntryError.of(entry.id, "the role is missing: state 'role', as 'optocoupler'")
    found = [
        *_supply(bench, _of(entries, SUPPLY)),
        *_barriers(bench, entries),
        *_switch(_of(entries, RELAY)),
        *_contact_gap(bench, _of(entries, RELAY)),
        *_residual(bench, _of(entries, RESIDUAL_SENSOR)),
    ]
    for told in GOOD_PRACTICE:
        found += _practice(told, _of(entries, told.role))
    return tuple(found)


def _of(entries: Sequence[Entry], role: str) -> tuple[Entry, ...]:
    return tuple(entry for entry in entries if entry.conditions["role"] == role)


def _finding(name: str, title: str, functions: tuple[str, ...], entry: Entry) -> Finding:
    """Begin a finding: undecided, by construction where every path was followed."""
    traced = entry.conditions.get("traced") == EVERY_PATH
    return Finding(
        id=f"{CHECK_ID}.{name}",
        check=CHECK_ID,
        title=title,
        statement="Whoever looked could not tell.",
        outcome=Outcome.UNDECIDED,
        reach=Reach.CONSTRUCTION if traced else Reach.SPECIMEN,
        functions=functions,
        answer=entry.answer,
        evidence=(entry.id,),
    )


def _supply(bench: BenchEvidence, entries: Sequence[Entry]) -> list[Finding]:
    there = [entry for entry in entries if entry.answer == "yes"]
    return [worst_entry(_judge_supply(bench, entry) for entry in there)] if there else []


def _judge_supply(bench: BenchEvidence, entry: Entry) -> Finding:
    finding = _finding("supply", "Supply of the electronics", ("pilot-separation",), entry)
    said = entry.conditions
    if not said.get("topology"):
        return replace(finding, statement="How the supply of the electronics is made is not stated.")
    kind = supply_topology(bench.book, said["topology"])
    made = f"The electronics are fed by a {kind.limit.title}"
    if said.get("feeds") != PILOT_CIRCUIT:
        return replace(finding, statement=f"{made}; whether the pilot circuit is fed by it is not stated.")
    if kind.isolates == NONE or said.get("used as isolation") == JOINED:
        why = "which does not isolate" if kind.isolates == NONE else "but its two sides are joined beside it"
        return replace(
            finding,
            outcome=Outcome.BEYOND,
            statement=f"{made}, {why}: the pilot circuit is joined to the mains.",
            plain=JOINED_TO_MAINS,
            decisive=finding.reach is Reach.CONSTRUCTION,
        )
    if said.get("used as isolation") != AS_ISOLATION:
        return replace(finding, statement=f"{made}; whether its two sides are kept apart beside it is not stated.")
    apart = f"{made}, its two sides apart: the pilot circuit is isolated by it."
    if said.get("traced") != EVERY_PATH:
        return replace(finding, statement=f"{apart} Not every path was followed, so they may be joined elsewhere.")
    return replace(finding, outcome=Outcome.WITHIN, statement=apart)


BARRIERS = (
    ("barrier", "Parts over the barrier to the pilot", (MAINS_PILOT, MAINS_LOW_VOLTAGE), ("pilot-separation",)),
    ("surface", "Parts over the barrier to what is touched", (MAINS_SURFACE,), ("touch-protection",)),
    ("earth", "Parts from the mains to earth", (MAINS_EARTH,), ()),
)


def _barriers(bench: BenchEvidence, entries: Sequence[Entry]) -> list[Finding]:
    found = []
    for name, title, crossed, functions in BARRIERS:
        over = [entry for entry in entries if entry.answer == "yes" and entry.conditions.get("crosses") in crossed]
        if not over:
            continue
        worst = worst_entry(
            _judge_part(bench, entry, _finding(name, f"{title}: {entry.conditions['role']}", functions, entry))
            for entry in over
        )
        if worst.outcome is Outcome.WITHIN and any(entry.conditions.get("traced") != EVERY_PATH for entry in over):
            said = f"{worst.statement} Not every path was followed, so there may be others."
            worst = replace(worst, outcome=Outcome.UNDECIDED, statement=said)
        elif worst.outcome is Outcome.WITHIN and len(over) > 1:
            roles = ", ".join(dict.fromkeys(entry.conditions["role"] for entry in over))
            said = f"Over {_barrier_names(over)} stand: {roles}. Each is known to isolate, and is used as isolation."
            worst = replace(worst, statement=said)
        found.append(replace(worst, title=title))
    return found


def _barrier_names(over: Sequence[Entry]) -> str:
    return " and ".join(dict.fromkeys(f"'{entry.conditions['crosses']}'" for entry in over))


def _judge_part(bench: BenchEvidence, entry: Entry, finding: Finding) -> Finding:
    said = entry.conditions
    try:
        part = bridging_part(bench.book, said["role"])
    except UnknownName:
        told = f"A {said['role']} stands over '{said['crosses']}'; whether it isolates is not known to us."
        return replace(finding, statement=told)
    asked = REINFORCED if said["crosses"] in TO_TOUCH else BASIC
    over = (
        f"over '{said['crosses']}', where {asked} insulation is asked for, stands: {part.limit.title} ({_known(part)})"
    )
    if part.isolates == NONE:
        if asked == BASIC and part.role in WEAR:
            told = f"From the mains to earth stands: {part.limit.title}. It wears, and its leakage grows."
            return replace(finding, statement=told)
        told = f"{_capital(over)}. It does not isolate."
        return replace(finding, outcome=Outcome.BEYOND, statement=told)
    if said.get("used as isolation") == JOINED:
        told = f"{_capital(over)}. Its two sides are joined beside it, so that it isolates nothing."
        return replace(finding, outcome=Outcome.BEYOND, statement=told)
    doubts = _doubts(said.get("used as isolation", ""), said.get("marked", ""), part)
    count, needs = int(said.get("in series") or 0), _needed_in_series(part, asked)
    if needs > 1 and not count:
        doubts.append(f"how many are in series is not stated, and {needs} are asked for")
    elif needs > count and count:
        told = f"{_capital(over)}. There is {count} of them, and {needs} in series are asked for."
        return replace(finding, outcome=Outcome.BEYOND, statement=told)
    if doubts:
        return replace(finding, statement=f"{_capital(over)}. It is not shown to isolate: {'; '.join(doubts)}.")
    return replace(finding, outcome=Outcome.WITHIN, statement=f"{_capital(over)}. It is used as isolation.")


def _doubts(used: str, marked: str, part: BridgingPart) -> list[str]:
    doubts = []
    if used != AS_ISOLATION:
        doubts.append("whether its two sides are kept apart beside it is not stated")
    if part.marked and marked != "yes":
        doubts.append("no mark and no paper shows it" if marked == "no" else "whether it is marked so is not stated")
    return doubts


def _needed_in_series(part: BridgingPart, asked: str) -> int:
    return part.in_series if asked == REINFORCED else 1


def _known(part: BridgingPart) -> str:
    return f"{part.limit.source}, standing: {part.limit.standing}"


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _switch(entries: Sequence[Entry]) -> list[Finding]:
    if not entries:
        return []
    there = [entry for entry in entries if entry.answer == "yes"]
    return [worst_entry(_judge_switch(entry) for entry in (there or entries))]


def _judge_switch(entry: Entry) -> Finding:
    finding = _finding("switch", "Relay or contactor", ("supply-switching",), entry)
    if entry.answer == "yes":
        switched = entry.conditions.get("switches", "")
        if switched == ALL_POLES:
            said = "A relay or contactor in all poles was found; whether it opens is told by a test."
            return replace(finding, outcome=Outcome.WITHIN, statement=said)
        if not switched:
            return replace(finding, statement="A relay or contactor was found; which poles it switches is not stated.")
        said = f"It switches the {switched} alone: with the plug turned, or the neutral broken, its pins can stay live."
        return replace(finding, statement=said)
    if entry.answer == "no" and entry.conditions.get("traced") == EVERY_PATH:
        said = "No relay or contactor: every path was followed, and nothing in it can switch the mains off."
        return replace(finding, outcome=Outcome.BEYOND, statement=said, absence=True)
    if entry.answer == "no":
        return replace(finding, statement="No relay or contactor was found, but not every path was followed.")
    return finding


def _contact_gap(bench: BenchEvidence, entries: Sequence[Entry]) -> list[Finding]:
    found = []
    for entry in entries:
        gap = condition(entry, "contact gap", "mm")
        if gap is not None and not 0.0 < gap.value <= LONGEST_GAP_MM:
            raise EntryError.of(
                entry.id,
                f"contact gap {entry.conditions['contact gap']!r}: that of a relay is above 0 mm and some millimetres "
                "wide; look at its sign and unit",
            )
        if gap is not None:
            found.append(_judge_gap(bench, entry, gap))
    return [worst_entry(found)] if found else []


def _judge_gap(bench: BenchEvidence, entry: Entry, gap: Quantity) -> Finding:
    """Place the gap of open contacts beside a clearance of basic insulation: no text known to us asks for it here."""
    fixed = bench.case.unit.build is Build.FIXED
    category = OvervoltageCategory.III if fixed else OvervoltageCategory.II
    impulse = needed(rated_impulse(bench.book, supply_voltage(bench.book), category), "nominal")
    limit = clearance_by_impulse(bench.book, impulse, POLLUTION_DEGREE)
    finding = judged(
        replace(
            _finding("contact-gap", "Gap of the open contacts", (), entry),
            duty=False,
            remarks=(f"What gap such contacts need is not known to us: taken is {BESIDE_GAP} {category}.",),
        ),
        gap,
        limit,
    )
    return placed("The gap of the open contacts", finding)


RESIDUAL_FUNCTIONS = ("residual-current", "residual-pulsating", "residual-smooth")
"""What cannot be there without a sensor that line and neutral pass through."""


def _residual(bench: BenchEvidence, entries: Sequence[Entry]) -> list[Finding]:
    if not entries:
        return []
    there = [entry for entry in entries if entry.answer == "yes"]
    fixed = bench.case.unit.build is Build.FIXED
    return [worst_entry(_judge_residual(entry, fixed=fixed) for entry in (there or entries))]


def _judge_residual(entry: Entry, *, fixed: bool) -> Finding:
    finding = _finding("residual", "Sensor of residual current", RESIDUAL_FUNCTIONS, entry)
    if entry.answer == "yes":
        said = "A sensor of residual current was found; whether and when it acts is told by tests."
        return replace(finding, outcome=Outcome.WITHIN, statement=said)
    traced = entry.conditions.get("traced") == EVERY_PATH
    if entry.answer == "no" and traced and fixed:
        said = "No sensor of residual current inside: the installation must have the device then."
        return replace(finding, statement=said, functions=(), duty=False)
    if entry.answer == "no" and traced:
        said = "No sensor of residual current: every path was followed, and nothing looks at what flows to earth."
        return replace(finding, outcome=Outcome.BEYOND, statement=said, absence=True)
    if entry.answer == "no":
        said = "No sensor of residual current was found, but not every path was followed."
        return replace(finding, statement=said)
    return finding


def _practice(told: Told, entries: Sequence[Entry]) -> list[Finding]:
    if not entries:
        return []
    there = [entry for entry in entries if entry.answer == "yes"]
    return [worst_entry(_judge_practice(told, entry) for entry in (there or entries))]


def _judge_practice(told: Told, entry: Entry) -> Finding:
    functions = (told.function,) if told.function else ()
    finding = replace(_finding(told.name, told.title, functions, entry), duty=False, remarks=(NOT_A_DUTY,))
    if entry.answer == "yes":
        return replace(finding, outcome=Outcome.WITHIN, statement=told.there)
    if entry.answer == "no" and entry.conditions.get("traced") == EVERY_PATH:
        return replace(finding, outcome=Outcome.BEYOND, statement=told.gone, absence=True)
    if entry.answer == "no":
        return replace(finding, statement=f"{told.gone} Not every path was followed.")
    return finding


CHECK = Check(
    id=CHECK_ID,
    title="Parts found inside",
    question="How is the supply made, which parts stand over the barriers and as what, and which are not there?",
    needs=(Need(shows=PART),),
    bench=Procedure(
        level=Level.DESTRUCTIVE,
        instrument="lens, good light, multimeter with a buzzer; data sheets of the parts",
        minutes=60,
        cautions=(*DEAD_CAUTIONS, OPENED_BOARD),
        steps=(
            "Everything that is done on the closed unit is done before: this one opens it. Photograph each step.",
            "From the plug on, follow each pole through fuse, varistor, filter and relay; write down each part's role.",
            (
                "Find the supply of the electronics: a transformer with optocoupler, or a regulator or a dropper "
                "without any. Buzz from its output to line and neutral: joined, it isolates nothing."
            ),
            "Draw the line between mains and pilot. Each part that stands over it gets an entry with what it crosses.",
            "Buzz between the two sides of each such part: one that is joined beside it is not used as isolation.",
            "Write down what was looked for and is not there: residual current sensor, relay, fuse.",
            "State 'traced' as 'every path' only where both faces were followed to their ends.",
        ),
        hold_points=("No power on this unit and none like it where the pilot circuit is joined to the mains.",),
        repeats=1,
        transfers="Parts and paths hold for any unit built with this board.",
    ),
    limits=("part.", "supply-topology."),
    run=run,
    bears=(
        Bearing(function="pilot-separation", within_if_works=0.95, within_if_not=0.3),
        Bearing(function="touch-protection", within_if_works=0.95, within_if_not=0.6),
        Bearing(function="supply-switching", within_if_works=0.98, within_if_not=0.5),
        *(Bearing(function=name, within_if_works=0.99, within_if_not=0.6) for name in RESIDUAL_FUNCTIONS),
        Bearing(function="supply-earth-monitoring", within_if_works=0.95, within_if_not=0.3),
    ),
    applies=always,
)
