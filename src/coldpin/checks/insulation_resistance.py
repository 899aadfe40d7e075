"""Insulation resistance of the dead unit: from the mains to what a hand meets, and across its open contacts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from coldpin.checks.cautions import DEAD_CAUTIONS, TESTER_VOLTAGE
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.readings import Measured, Side, condition, lowest, readings
from coldpin.errors import InputError
from coldpin.quantity import Quantity, convert, format_value
from coldpin.records.case import UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.insulation_words import CONDUCTS, CONTACT_INSULATION, NOTHING, SURFACE_INSULATION
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.table import needed
from coldpin.standards.wording import limit_value

TEST_VOLTAGE = "insulation.test-voltage"
MEASURES = "insulation"
"""How a shelf names what an insulation tester measures."""
FAR = 10.0
"""Ours: from ten times the limit on, what a tester states of its resistance serves for an over-range display: it would
have to show ten times too much to mislead. [1]"""
BORROWED = (
    "shelf.toml states no accuracy of this tester for insulation. That for resistance was taken, which serves only for "
    "a display beyond its range so far above the limit."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Insulated:
    """One insulation that is read: the word that records it, its limit, and how the finding is told.

    ``between`` says between what, as it stands in a sentence.
    """

    check: str
    title: str
    between: str
    word: str
    limit: str
    functions: tuple[str, ...]
    remarks: tuple[str, ...] = ()


def judge_insulation(bench: BenchEvidence, asked: Insulated) -> Finding:
    """Judge the lowest reading of each entry: the worst entry is told.

    A part in the path that passes direct current by design makes a low reading no fault; a lower test voltage than is
    asked shows no insulation, unless the same was read with the full one too.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one reading of it.
    asked : Insulated
        Which insulation.

    Returns
    -------
    Finding
        The worst.

    Raises
    ------
    EntryError
        A reading or its test voltage cannot be read.
    InputError
        An own value of the case leaves a limit without its number.
    """
    entries = bench.showing(asked.word)
    full = any(_enough(bench, entry) for entry in entries)
    return worst_entry(_judge_one(bench, entry, asked, full=full) for entry in entries)


def _enough(bench: BenchEvidence, entry: Entry) -> bool:
    volts = condition(entry, "test voltage", "V")
    return volts is not None and volts.value >= needed(bench.book.limit(TEST_VOLTAGE), "nominal")


def _judge_one(bench: BenchEvidence, entry: Entry, asked: Insulated, *, full: bool) -> Finding:
    found = readings(bench, entry)
    limit = bench.book.limit(asked.limit)
    chosen = lowest(found)
    stated = chosen.quantity if chosen.side is not Side.AT_LEAST else _edge(bench, entry, chosen, limit)
    finding = judged(
        Finding(
            id=f"{asked.check}.value",
            check=asked.check,
            title=asked.title,
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=asked.functions,
            evidence=(entry.id,),
            worst_of=len(found),
            remarks=asked.remarks,
        ),
        stated,
        limit,
    )
    if chosen.side is Side.AT_LEAST:
        finding = _over_range(
            finding, chosen.text.lstrip(">≥ "), asked, lacks=_lacking(bench, entry) if stated.u is None else ""
        )
        if finding.outcome is Outcome.WITHIN and chosen.quantity.u is None:
            finding = replace(finding, remarks=(*finding.remarks, BORROWED))
    else:
        finding = placed(f"The lowest insulation resistance from {asked.between}", finding)
    return _doubted(bench, entry, finding, full=full)


def _edge(bench: BenchEvidence, entry: Entry, chosen: Measured, limit: Limit) -> Quantity:
    """Return the end of the range that a display named, with the accuracy that may be taken for it there.

    Far above the limit the tester's statement for resistance serves too, where it names no range or one that reaches
    so far; no statement at all is never taken for a good one.
    """
    read = chosen.quantity
    instrument = bench.instruments.get(entry.instrument)
    text = instrument.statements.get("resistance", "") if instrument is not None else ""
    if read.u is not None or not text or read.value < FAR * needed(limit, "minimum"):
        return read
    statement = parse_accuracy(text)
    ranges = [part.range for part in statement.parts if part.range is not None]
    if any(convert(span.value, span.unit, read.unit) < read.value for span in ranges):
        return read
    exact = replace(read, u=0.0, low=None, high=None, why="")
    try:
        return statement.apply(exact, id=f"{entry.instrument}:resistance", label=f"{entry.instrument}, resistance")
    except InputError:
        return read


def _lacking(bench: BenchEvidence, entry: Entry) -> str:
    """Say what is missing of the accuracy of a tester."""
    if not entry.instrument:
        return "no instrument is named with it, so its accuracy is not known: name one of shelf.toml with the entry"
    stated = ", ".join(sorted(bench.instruments[entry.instrument].statements)) or "nothing"
    return (
        f"shelf.toml states the accuracy of {entry.instrument!r} for {stated}, and none for {MEASURES}: "
        "write it there as the maker's manual has it"
    )


def _over_range(finding: Finding, edge: str, asked: Insulated, *, lacks: str) -> Finding:
    """Leave the edge of the range out of the finding: nobody measured it."""
    limit = finding.limit
    assert limit is not None, "a finding that was judged has its limit"
    if finding.outcome is Outcome.WITHIN:
        said = (
            f"The tester read more than {edge} from {asked.between}: within the "
            f"limit as known ({limit_value(limit)}, {limit.source}, standing: {limit.standing})."
        )
    else:
        said = f"The tester only said more than {edge}: {lacks or 'too little to say'}."
        finding = replace(finding, outcome=Outcome.UNDECIDED)
    return replace(finding, statement=said, quantity=None, budget=(), answer=f"more than {edge}")


def _doubted(bench: BenchEvidence, entry: Entry, finding: Finding, *, full: bool) -> Finding:
    path = entry.conditions.get("in the path", "")
    if finding.outcome is Outcome.BEYOND and path in CONDUCTS:
        said = (
            f"{finding.statement} {_named(path)} in the path passes direct current by design, so that this is not "
            "shown to be a fault: lift one end of it and read again."
        )
        return replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    if finding.outcome is Outcome.BEYOND and not path:
        return replace(finding, remarks=(*finding.remarks, "What lies in the path was not stated."))
    if finding.outcome is not Outcome.WITHIN:
        return finding
    limit = bench.book.limit(TEST_VOLTAGE)
    volts = condition(entry, "test voltage", "V")
    if volts is None:
        return replace(
            finding,
            outcome=Outcome.UNDECIDED,
            statement=f"{finding.statement} With what voltage it was read is not stated, so it shows nothing.",
        )
    if not full:
        return replace(
            finding,
            outcome=Outcome.UNDECIDED,
            statement=(
                f"{finding.statement} It was read with {format_value(volts.value, 'V')}, and "
                f"{limit_value(limit)} is asked for ({limit.source}, standing: {limit.standing})."
            ),
        )
    return finding


def _named(path: str) -> str:
    return "What is named as resistors" if path.endswith("s") else f"The {path}"


STEPS = (
    (
        "Look first, on the opened unit or in its papers, whether a varistor, an arrester, a Y capacitor or resistors "
        f"lie in the path, and write it down; '{NOTHING}' where none does. No vehicle, no simulator."
    ),
    "Test at 250 V first, then at 500 V for one minute; note voltage and reading.",
    "Let the tester discharge the specimen before touching it: a Y capacitor keeps the test voltage.",
)
"""What every reading of insulation resistance has in common, after the poles are joined."""

LIMITS_BY_CLASS = "insulation.supply-unit.class-II"

SURFACE = Insulated(
    check="housing-insulation",
    title="Insulation, mains to housing",
    between="mains to the foil on the housing",
    word=SURFACE_INSULATION,
    limit=LIMITS_BY_CLASS,
    functions=("touch-protection",),
    remarks=("A good reading says nothing of distances inside, and dry air on the bench is not rain.",),
)

CONTACTS = Insulated(
    check="contact-insulation",
    title="Insulation across open contacts",
    between="a pole of the plug to the same pole of the connector, contacts open",
    word=CONTACT_INSULATION,
    limit="insulation.residual-device.open-contacts",
    functions=("supply-switching",),
    remarks=(
        (
            "A voltage divider, a snubber or a lamp across the contacts lowers this reading without a fault; whether "
            "the pins stay dead is told by the test with the mains on."
        ),
    ),
)


def _run(asked: Insulated) -> Callable[[BenchEvidence], tuple[Finding, ...]]:
    def run(bench: BenchEvidence) -> tuple[Finding, ...]:
        return (judge_insulation(bench, asked),)

    return run


def _contact_run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Tell a reading below the limit, of which we know little, and break nothing: the live test decides."""
    finding = judge_insulation(bench, CONTACTS)
    functions = () if finding.outcome is Outcome.BEYOND else finding.functions
    return (replace(finding, duty=False, functions=functions),)


def _switches(unit: UnitClass) -> str:
    return "charging mode 1 has no contacts" if unit.charging_mode == 1 else ""


HOUSING_CHECK = Check(
    id=SURFACE.check,
    title="Mains to housing insulation",
    question="Is everything of the housing that a hand meets insulated from the mains?",
    needs=(Need(shows=SURFACE_INSULATION),),
    bench=Procedure(
        level=Level.DEAD,
        instrument="insulation tester with stated accuracy; metal foil",
        minutes=10,
        cautions=(*DEAD_CAUTIONS, TESTER_VOLTAGE),
        steps=(
            "Press metal foil over box, plug and connector, into every seam and over every button, screw and lens.",
            "Join all power pins of plug and connector; the tester between these and the foil.",
            *STEPS,
        ),
        hold_points=("No power if the reading is beyond the limit until the reason is known.",),
        repeats=1,
        transfers="Holds for this specimen in this humidity.",
    ),
    limits=(LIMITS_BY_CLASS, TEST_VOLTAGE),
    run=_run(SURFACE),
    bears=(Bearing(function="touch-protection", within_if_works=0.98, within_if_not=0.7),),
    applies=always,
)

CONTACT_CHECK = Check(
    id=CONTACTS.check,
    title="Insulation across open contacts",
    question="With its contacts open, is each pole of the connector insulated from the same pole of the plug?",
    needs=(Need(shows=CONTACT_INSULATION),),
    bench=Procedure(
        level=Level.DEAD,
        instrument="insulation tester with stated accuracy",
        minutes=5,
        cautions=(*DEAD_CAUTIONS, TESTER_VOLTAGE),
        steps=(
            "The tester from L of the plug to L1 of the connector, then from N to N, and so on for each pole.",
            *STEPS,
        ),
        repeats=1,
        transfers="Holds for this specimen.",
    ),
    limits=(CONTACTS.limit, TEST_VOLTAGE),
    run=_contact_run,
    bears=(Bearing(function="supply-switching", within_if_works=0.9, within_if_not=0.5),),
    applies=_switches,
)
