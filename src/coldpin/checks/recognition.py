"""The unit's own windows: which resistances it takes for B and which for C."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from coldpin.checks.check import Bearing, Check, Need, Transfer, with_pilot
from coldpin.checks.delays import operations
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst, worst_entry
from coldpin.checks.live_threshold import Duty, energised_limit, with_duty
from coldpin.checks.output import Situation, judge_dead, judge_energised_entry
from coldpin.checks.pilot_runs import captures_for, runs
from coldpin.checks.readings import readings
from coldpin.checks.supply import LOW, MAINS, closed_first, supply_of
from coldpin.checks.switching import CLOSING_TIME
from coldpin.checks.switching_bench import SWITCHING_BENCH
from coldpin.pilot.tolerances import boundary_chart, boundary_windows
from coldpin.quantity import Quantity, format_quantity
from coldpin.records.boundary import BoundaryAnswer, Recognition
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.pilot import State
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from coldpin.standards.table import needed

FUNCTION = "state-recognition"
AT = "output at a boundary resistance"
CLOSES = "resistance at which it closes"
OPENS = "resistance at which it opens"


@dataclass(frozen=True, slots=True)
class Boundary:
    """One edge of the tolerance: its word, what is connected, whether the vehicle asks. [Ω]"""

    word: str
    fitted: str
    resistance: float
    asks: bool

    @property
    def name(self) -> str:
        """As it ends the id of a finding."""
        return self.word.lower().replace(" ", "-")


def boundaries(bench: BenchEvidence) -> tuple[Boundary, ...]:
    """Return the edges of the tolerances that a unit must take, with the total resistance behind the diode.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.

    Returns
    -------
    tuple of Boundary
        B lowest, B highest, C lowest, C highest. In C both resistors stand at the same edge.
    """
    windows = {window.state: window for window in boundary_windows(bench.book, bench.edition)}
    b, c = windows["B"], windows["C"]
    low, high = f"R2 {b.resistor_low:g} Ω", f"R2 {b.resistor_high:g} Ω"
    return (
        Boundary("B lowest", low, b.low, asks=False),
        Boundary("B highest", high, b.high, asks=False),
        Boundary("C lowest", f"{low}, R3 {c.resistor_low:g} Ω", c.low, asks=True),
        Boundary("C highest", f"{high}, R3 {c.resistor_high:g} Ω", c.high, asks=True),
    )


def run_boundaries(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the output at each boundary resistance that was tried: dead in B, live in C.

    A dead output alone says only that B was not taken for C: B is recognised where the oscillator ran too, and the unit
    closed at all for a vehicle that asked.

    Parameters
    ----------
    bench : BenchEvidence
        With readings of the output, each with its condition "boundary".

    Returns
    -------
    tuple of Finding
        One for each boundary tried; the first carries the chart of all.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    found = _judge_all(bench)
    if not found:
        return ()
    chart = boundary_chart(bench.book, bench.edition, boundary_answers(bench))
    first, *others = found.values()
    return (replace(first, boundary=chart), *others)


def _judge_all(bench: BenchEvidence) -> dict[Boundary, Finding]:
    found = {}
    for boundary in boundaries(bench):
        made = (one for one in bench.showing(AT) if one.conditions.get("boundary") == boundary.word)
        if entries := closed_first(bench, made):
            judge = _asked if boundary.asks else _not_asked
            finding = worst_entry(judge(bench, entry, boundary) for entry in entries)
            dead = not boundary.asks and finding.outcome is Outcome.WITHIN
            found[boundary] = _with_oscillator(bench, finding, boundary, entries) if dead else finding
    return found


def _title(boundary: Boundary) -> str:
    return f"Recognition at {boundary.fitted}"


def _not_asked(bench: BenchEvidence, entry: Entry, boundary: Boundary) -> Finding:
    situation = Situation(
        word=AT,
        name=boundary.name,
        title=_title(boundary),
        subject=f"With {boundary.fitted}, where no vehicle asks, the voltage at the connector's pins",
        functions=(FUNCTION,),
        live=f"The unit takes {boundary.fitted} for a vehicle that asks, which it is not.",
        duty=_DUTY["B"],
    )
    return replace(judge_dead(bench, entry, situation, "recognition-boundaries"), absence=False)


def _with_oscillator(bench: BenchEvidence, finding: Finding, boundary: Boundary, entries: tuple[Entry, ...]) -> Finding:
    """Ask of a dead output in B what a unit shows that sees the vehicle, and whether it is one that ever closes."""
    seen = _oscillator_at(bench, boundary, entries)
    if seen == AT_REST and any(runs(bench, (State.B2, State.C2))):
        said = (
            f"With {boundary.fitted}, which stands for a vehicle that is connected, the oscillator rests, which runs "
            "for a vehicle of nominal resistance: the unit takes it for no vehicle."
        )
        bare = replace(finding, quantity=None, limit=None, probability=None, budget=())
        return replace(bare, outcome=Outcome.BEYOND, answer="no", statement=said)
    lacking = [
        *(() if seen == RUNNING else (f"the oscillator was {'at rest' if seen else 'not looked at'}",)),
        *(() if _closes(bench) else ("the unit was never seen to close for a vehicle that asks",)),
    ]
    if not lacking:
        return replace(finding, statement=f"{finding.statement} The oscillator ran, as it does for a vehicle.")
    said = f"{finding.statement} It is not taken for C; that it is taken for B is not shown: {' and '.join(lacking)}."
    return replace(finding, outcome=Outcome.UNDECIDED, answer="cannot tell", statement=said)


RUNNING, AT_REST = "running", "at rest"


def _oscillator_at(bench: BenchEvidence, boundary: Boundary, entries: tuple[Entry, ...]) -> str:
    """Return what was seen of the oscillator at a boundary, by eye or in a capture; at rest once is at rest."""
    stated = {entry.conditions.get("oscillator", "") for entry in entries}
    need = Need(shows="pilot capture", conditions={"boundary": (boundary.word,), "diode": ("present", "")})
    for capture in captures_for(bench, need):
        connected = [run for run in capture.reading.runs if run.state not in (State.A1, State.A2)]
        stated.add(RUNNING if any(run.frequency_hz is not None for run in connected) else AT_REST)
    return AT_REST if AT_REST in stated else RUNNING if RUNNING in stated else ""


def _closes(bench: BenchEvidence) -> bool:
    """Say whether the unit was seen to close for a vehicle that asks, at a meter or in a capture."""
    limit = energised_limit(bench)
    bare = Finding(
        id="", check="", title="", statement="", outcome=Outcome.UNDECIDED, reach=Reach.SPECIMEN, functions=()
    )
    made = [entry for entry in bench.showing(AT) if entry.conditions.get("boundary", "").startswith("C")]
    made += bench.showing("output in state C")
    read = (judge_energised_entry(bench, entry, bare, "", limit) for entry in made if supply_of(bench, entry) == MAINS)
    captured = (one.followed and not one.at_coil for one in operations(bench, CLOSING_TIME))
    return any(finding.outcome is Outcome.WITHIN for finding in read) or any(captured)


def _asked(bench: BenchEvidence, entry: Entry, boundary: Boundary) -> Finding:
    bare = Finding(
        id=f"recognition-boundaries.{boundary.name}",
        check="recognition-boundaries",
        title=_title(boundary),
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
    )
    subject = f"With {boundary.fitted}, which asks for power, the voltage at the connector's pins"
    found = judge_energised_entry(bench, entry, bare, subject, energised_limit(bench))
    return with_duty(bench, found, _DUTY["C"])


_DUTY = {
    state: Duty(
        asked=f"state {state} is recognised with every test resistor of {state}", limit=f"pilot.recognise.{state}"
    )
    for state in ("B", "C")
}


def boundary_answers(bench: BenchEvidence) -> tuple[BoundaryAnswer, ...]:
    """Return how the unit answered at each boundary resistance that was tried, for a chart of them.

    Parameters
    ----------
    bench : BenchEvidence
        With readings of the output, each with its condition "boundary".

    Returns
    -------
    tuple of BoundaryAnswer
        One for each boundary tried.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    said = {Outcome.WITHIN: Recognition.RECOGNISED, Outcome.BEYOND: Recognition.NOT_RECOGNISED}
    answers = []
    for boundary, finding in _judge_all(bench).items():
        answer = said.get(finding.outcome, Recognition.UNDECIDED)
        answers.append(
            BoundaryAnswer(
                state=boundary.word[0],
                resistance=Quantity(boundary.resistance, 0.0, "Ω"),
                level=None,
                answer=answer,
                fitted=boundary.fitted,
                entry=finding.evidence[0],
                because=finding.statement if answer is Recognition.UNDECIDED else "",
            )
        )
    return tuple(answers)


def threshold_limit(bench: BenchEvidence) -> Limit:
    """Return between which total resistances a unit must change from B to C, and back.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.

    Returns
    -------
    Limit
        From the highest load of C that must be taken for C to the lowest of B that must be taken for B. [Ω]
    """
    by_word = {boundary.word: boundary for boundary in boundaries(bench)}
    of_b, of_c = bench.book.limit("pilot.recognise.B"), bench.book.limit("pilot.recognise.C")
    return replace(
        of_b,
        title="total resistance behind the diode between C and B",
        minimum=round(by_word["C highest"].resistance, 1),
        nominal=None,
        maximum=by_word["B lowest"].resistance,
        read_in=tuple(dict.fromkeys((*of_b.read_in, *of_c.read_in))),
        note="Computed from the test resistors of B and C; not printed so anywhere we know.",
    )


def run_thresholds(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the resistances at which the unit closes and opens, and tell the hysteresis between them.

    Parameters
    ----------
    bench : BenchEvidence
        With the resistance at which it closes; that at which it opens makes two findings more.

    Returns
    -------
    tuple of Finding
        One or three.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    limit = threshold_limit(bench)
    closes = closed_first(bench, bench.showing(CLOSES))
    found = [_threshold(bench, closes, limit, "closes", "The resistance, turned down, at which the unit closes")]
    if opening := closed_first(bench, bench.showing(OPENS)):
        found.append(_threshold(bench, opening, limit, "opens", "The resistance, turned up, at which the unit opens"))
        width = _width(found[0], found[1])
        if _contradict(width):
            found = [_not_told(finding) for finding in found]
        found.append(_hysteresis(found[0], found[1], width))
    return tuple(found)


def _threshold(bench: BenchEvidence, entries: tuple[Entry, ...], limit: Limit, name: str, subject: str) -> Finding:
    bare = Finding(
        id=f"recognition-thresholds.{name}",
        check="recognition-thresholds",
        title=f"Resistance at which it {name}",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
    )
    by_entry = (
        worst(judged(replace(bare, evidence=(entry.id,)), one.quantity, limit) for one in readings(bench, entry))
        for entry in entries
    )
    return placed(subject, worst_entry(by_entry))


def _width(closes: Finding, opens: Finding) -> Quantity:
    assert closes.quantity is not None, "a threshold is a resistance"
    assert opens.quantity is not None, "a threshold is a resistance"
    # taken as independent: what the meter rounds is not shared by two readings, though its accuracy names it once
    known = closes.quantity.u is not None and opens.quantity.u is not None
    u = math.hypot(closes.quantity.u or 0.0, opens.quantity.u or 0.0) if known else None
    return Quantity(opens.quantity.value - closes.quantity.value, u, "Ω")


def _contradict(width: Quantity) -> bool:
    """Say whether a unit would have to open, turned up, where it is still closed, turned down."""
    negative = width.probability_within(None, 0.0)
    return width.value < 0.0 if negative is None else negative >= SURE


def _not_told(finding: Finding) -> Finding:
    return replace(
        finding,
        outcome=Outcome.UNDECIDED,
        statement=f"{finding.statement} It and the other threshold contradict each other: neither can be relied on.",
    )


def _hysteresis(closes: Finding, opens: Finding, width: Quantity) -> Finding:
    there = width.probability_within(0.0, None)
    sure = there is not None and there >= SURE
    return Finding(
        id="recognition-thresholds.hysteresis",
        check="recognition-thresholds",
        title="Hysteresis between B and C",
        statement=(
            _CONTRADICTION.format(below=format_quantity(Quantity(-width.value, width.u, "Ω", why=width.why)))
            if _contradict(width)
            else f"Between closing and opening lie {format_quantity(width)}: "
            + ("the unit does not chatter at its threshold." if sure else "too little to tell from none.")
        ),
        outcome=Outcome.WITHIN if sure else Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        quantity=width,
        probability=there,
        answer="yes" if sure else "cannot tell",
        evidence=tuple(dict.fromkeys((*closes.evidence, *opens.evidence))),
        remarks=("An optional test of the standard as known; no text known to us says how wide it must be.",),
    )


_CONTRADICTION = (
    "The readings contradict each other: the opening would lie {below} below the closing. A unit cannot open "
    "on the way up where it is closed on the way down: see whether the two were exchanged, and measure both again."
)

SURE = 0.975
"""Ours: as sure as the decision rule "confidence" must be."""

_EDGES = {window.state: window for window in boundary_windows(load_book(), Edition.IEC_3)}
_B, _C = _EDGES["B"], _EDGES["C"]
_B_NOMINAL = needed(load_book().limit("pilot.recognise.B"), "nominal")
_C_NOMINAL = needed(load_book().limit("pilot.recognise.C"), "nominal")
_TOGETHER = 1.0 / (1.0 / _B_NOMINAL + 1.0 / _C_NOMINAL)
"""What a vehicle of nominal resistances puts behind its diode in C. [Ω]"""

BENCH = replace(
    SWITCHING_BENCH,
    instrument=(
        "vehicle simulator in an insulating box with the boundary resistors, or with an insulated resistance decade; "
        "two-pole voltage tester with a low-impedance input; multimeter of stated accuracy"
    ),
    minutes=15,
    repeats=1,
    hold_points=("The earth is proved, and nothing is live with nothing connected.",),
    transfers=(
        "Where the unit closes depends on its own rails and thresholds: a result from the opened board holds "
        "where the board's own converter feeds it. That the output stays dead on an extra-low voltage supply "
        "says nothing."
    ),
)

BOUNDARIES = Check(
    id="recognition-boundaries",
    title="Recognition at boundary resistances",
    question="Does the unit take vehicles at the edge of the resistors' tolerance for what they are?",
    needs=(Need(shows=AT),),
    bench=replace(
        BENCH,
        steps=(
            "With the nominal resistors read the output in state C once: a unit that never closes shows nothing in B.",
            (
                f"Fit R2 of {_B.resistor_low:g} Ω in the simulator, then of {_B.resistor_high:g} Ω, each in state B: "
                "ten seconds later read the output and look at the pilot with the scope: does it oscillate (condition "
                "'oscillator')?"
            ),
            (
                f"Fit R2 of {_B.resistor_low:g} Ω with R3 of {_C.resistor_low:g} Ω, then R2 of {_B.resistor_high:g} Ω "
                f"with R3 of {_C.resistor_high:g} Ω, each in state C, the diode in place: ten seconds later read the "
                "output."
            ),
            "Change resistors only with the supply off. File each reading with its condition 'boundary'.",
        ),
    ),
    limits=("pilot.recognise", "touch.ac"),
    run=run_boundaries,
    bears=(Bearing(function=FUNCTION, within_if_works=0.97, within_if_not=0.3),),
    figures=("boundary resistances",),
    transfer=Transfer(why="the thresholds follow the rails, and contacts need the mains to close"),
    applies=with_pilot,
)
THRESHOLDS = Check(
    id="recognition-thresholds",
    title="Thresholds between B and C",
    question="At which resistance does the unit change from B to C and back, and do the two lie apart?",
    needs=(Need(shows=CLOSES),),
    bench=replace(
        BENCH,
        steps=(
            (
                "Unplugged and proved dead, in the place of the simulator's resistors put a decade or trimmer behind "
                "the diode, in a closed insulating box, turned by an insulated shaft from outside; set to "
                f"{_B_NOMINAL:g} Ω: state B."
            ),
            (
                "Turn it down slowly until the unit closes, the box closed; switch off, prove dead, measure the "
                "resistance, write it down."
            ),
            (
                f"From {_TOGETHER:.0f} Ω, state C, turn it up slowly until the unit opens; switch off, prove dead, "
                "measure, write it down. "
                "Three times each."
            ),
        ),
        repeats=3,
    ),
    limits=("pilot.recognise",),
    run=run_thresholds,
    bears=(Bearing(function=FUNCTION, within_if_works=0.97, within_if_not=0.3),),
    figures=("boundary resistances",),
    transfer=Transfer(within=(LOW,), beyond=(LOW,), why="the thresholds follow the rails"),
    applies=with_pilot,
)
