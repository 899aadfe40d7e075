"""What rides on the steady levels of the pilot."""

from __future__ import annotations

from coldpin.checks.cautions import LIVE_CAUTIONS, SCOPE_EARTH
from coldpin.checks.check import Check, Level, Need, Procedure, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.readings import highest, readings
from coldpin.checks.supply import closed_first
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach

NEED = Need(shows="pilot ripple")


def run_ripple(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the largest ripple read.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the ripple.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    CaseError
        A reading cannot be read.
    """
    finding = worst_entry(_judge_one(bench, entry) for entry in closed_first(bench, bench.matching(NEED)))
    return (placed("The largest ripple on a steady level, peak to peak,", finding),)


def _judge_one(bench: BenchEvidence, entry: Entry) -> Finding:
    found = readings(bench, entry)
    bare = Finding(
        id="pilot-ripple.value",
        check="pilot-ripple",
        title="Ripple on the pilot",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=(entry.id,),
        worst_of=len(found),
        remarks=("No standard known to us limits it: the number is what the trade holds to.",),
    )
    return judged(bare, highest(found).quantity, bench.book.limit("pilot.ripple.practice"))


CHECK = Check(
    id="pilot-ripple",
    title="Ripple on the pilot",
    question="Are the pilot's steady levels free of ripple from the mains or a poor converter?",
    needs=(NEED,),
    bench=Procedure(
        level=Level.LIVE,
        instrument="oscilloscope with stated accuracy, earthed, 20 MHz bandwidth limit on",
        minutes=5,
        cautions=(*LIVE_CAUTIONS, SCOPE_EARTH),
        steps=(
            (
                "With nothing connected, a.c.-couple the channel and read the pilot peak to peak over a tenth of a "
                "second."
            ),
            (
                "With the simulator in B, d.c.-coupled with offset, read the ripple on the high plateau between "
                "the edges, then on the low one. Short the probe to its own clip and note what it shows then: "
                "that is the bench's."
            ),
            "Write down the largest of three readings each.",
        ),
        hold_points=("The earth is proved, and nothing is live with nothing connected.",),
        repeats=3,
        transfers="Ripple is that of the board's own converter: a bench supply in its place tells nothing of it.",
    ),
    limits=("pilot.ripple",),
    run=run_ripple,
    bears=(),
    transfer=Transfer(why="the ripple is that of the bench supply"),
    applies=with_pilot,
)
