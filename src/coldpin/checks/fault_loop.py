"""The loop of a fault with this lead in it: whether the device before the socket still acts in time."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import LIVE_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import budget_lines, worst_entry
from coldpin.checks.lead_way import LeadCore, lead_core
from coldpin.checks.supply_path import LOOP_NEEDS, faults_behind, known_feeds, within_unless
from coldpin.copper.fault_loop import disconnection
from coldpin.copper.fault_withstand import EARTH, LINE
from coldpin.errors import OutsideRange
from coldpin.records.fault import FaultWithstand, Feed, KnownFeed
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.plan import Stage

CHECK_ID = "fault-loop"
FUNCTION = "fault-withstand"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the loop with line and earth of the lead in it against the largest with which the device acts in time.

    Parameters
    ----------
    bench : BenchEvidence
        With the loop at the socket, and line and earth conductor of the lead.

    Returns
    -------
    tuple of Finding
        One finding, by the worst of devices and loops; none where a conductor or the device is missing.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        A claim cannot be read.
    """
    line, earth = lead_core(bench, LINE), lead_core(bench, EARTH)
    if line is None or earth is None:
        return ()
    found = [_at(bench, line, earth, known) for known in known_feeds(bench) if known.feed.supply is not None]
    return (worst_entry(found),) if found else ()


def _at(bench: BenchEvidence, line: LeadCore, earth: LeadCore, known: KnownFeed) -> Finding:
    """Place the loop behind one device and one loop of the socket."""
    told = faults_behind(bench, (line, earth), known)
    bare = Finding(
        id=f"{CHECK_ID}.disconnection",
        check=CHECK_ID,
        title="Fault switched off in time, with this lead in the loop",
        statement=told.statements[0],
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        evidence=tuple(dict.fromkeys((line.entry.id, earth.entry.id, *line.entries, *earth.entries, *known.entries))),
        remarks=(*_of(line, earth), *told.remarks),
    )
    return within_unless(_judged(bare, told, known.feed, bench), (*line.doubts, *earth.doubts))


def _judged(bare: Finding, told: FaultWithstand, feed: Feed, bench: BenchEvidence) -> Finding:
    assert told.loop is not None, "supply, line and earth are known"
    if told.residual is not None:
        # with an earth electrode it is the residual-current device that switches a fault off, and no breaker would
        return replace(
            bare,
            quantity=told.loop.total_ohm,
            limit=told.residual.largest_loop,
            outcome=told.residual.outcome,
            rule="confidence",
            budget=budget_lines(told.loop.total_ohm),
        )
    if told.disconnection is None:
        return replace(bare, quantity=told.loop.total_ohm)
    found = told.disconnection
    placed = replace(
        bare,
        quantity=told.loop.total_ohm,
        limit=found.largest_loop,
        outcome=found.outcome,
        probability=found.probability,
        rule="confidence",
        budget=budget_lines(told.loop.total_ohm),
    )
    assert feed.supply is not None, "the loop was read"
    if found.outcome is Outcome.BEYOND:
        try:
            alone = disconnection(feed.supply, feed.device, bench.book, system=feed.system)
        except OutsideRange:
            return placed
        if alone.outcome is not Outcome.WITHIN:
            return replace(placed, outcome=Outcome.UNDECIDED, probability=None, remarks=(*placed.remarks, NOT_THE_LEAD))
    return placed


NOT_THE_LEAD = (
    "The loop of the socket alone is not within the limit: this says something of the socket, and nothing of the lead. "
    "Have the installation looked at, and repeat at another socket."
)


def _of(line: LeadCore, earth: LeadCore) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*line.remarks, *earth.remarks, *line.told, *earth.told)))


CHECK = Check(
    id=CHECK_ID,
    title="Fault loop",
    question="With this lead in the loop, does the device before the socket switch a fault off in time?",
    needs=(),
    any_of=LOOP_NEEDS,
    bench=Procedure(
        level=Level.LIVE,
        stage=Stage.MAINS,
        instrument="loop tester for 30 mA circuits, of the category of the socket, with its own plug lead",
        minutes=10,
        cautions=(
            *LIVE_CAUTIONS,
            (
                "A loop tester drives a current into the earth of a live socket: nobody touches earthed metal "
                "meanwhile, and no lead, unit or car is plugged in there."
            ),
        ),
        steps=(
            (
                "Dead, before: read line and earth conductor of the lead from pin to pin, as for the size of the "
                "conductors."
            ),
            (
                "Look at the device that feeds the socket: kind, rating, the figure in the frame and the small one "
                "below it; whether there is a residual-current device. Record it."
            ),
            (
                "Test the socket with the loop tester, line to earth and then line to neutral, each three times; write "
                "down what it shows, each as a reading of its own: the second tells a short circuit at the far end."
            ),
        ),
        hold_points=(
            "No further work at a socket whose earth is open, whose poles are crossed, or whose loop is too high.",
        ),
        stop_values=("Stop where the tester warns of a voltage on the earth or gets hot.",),
        repeats=3,
        transfers="Holds for this lead at this socket; at another socket its own loop counts.",
    ),
    limits=("loop", "disconnection", "trip"),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.95, within_if_not=0.3),),
    applies=always,
)
