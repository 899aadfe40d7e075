"""A short B-C-B is a signal of the vehicle, not a request: a unit that does not close meanwhile is right."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Check, Need, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.pilot_runs import Seen, bare, runs
from coldpin.checks.supply import BOARD, LOW
from coldpin.checks.switching_bench import timing_bench
from coldpin.checks.told import EITHER
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import State, Switching
from coldpin.standards.table import needed

NEED = Need(shows="pilot capture", conditions={"event": ("wake-up",)}, with_output=True)
CHECK_ID = "wake-up"
TITLE = "Short request of a vehicle that wakes up"


def run_toggle(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether the output closes during a short state C; a unit that stays off is right, and one that closes too.

    Parameters
    ----------
    bench : BenchEvidence
        With a capture of the toggle, the output beside it.

    Returns
    -------
    tuple of Finding
        One finding; none where the capture shows no state C as short as that.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    longest = needed(bench.book.limit("timing.bcb-toggle"), "maximum")
    short = [s for s in runs(bench, (State.C1, State.C2), need=NEED) if s.run.end_s - s.run.start_s <= longest]
    if not short:
        return ()
    closed = [seen for seen in short if _closed(seen)]
    finding = replace(bare(CHECK_ID, "output", TITLE, "", (closed or short)[0]), functions=(), remarks=(EITHER,))
    length = max(seen.run.end_s - seen.run.start_s for seen in short)
    if closed:
        said = f"The unit closed its output for a state C of {length:.2g} s, as short as a vehicle's wake-up signal."
        return (replace(finding, outcome=Outcome.WITHIN, answer="yes", statement=said),)
    said = f"The unit kept its output off in a state C of {length:.2g} s, which is a signal and no request."
    return (replace(finding, outcome=Outcome.WITHIN, answer="no", statement=said),)


def _closed(seen: Seen) -> bool:
    return any(
        event.event is Switching.CLOSES_IN_C
        and any(seen.run.start_s <= at <= seen.run.end_s for at in event.at_s)
        and any(delay.high is not None for delay in event.delays_s)
        for event in seen.capture.reading.switching
    )


CHECK = Check(
    id=CHECK_ID,
    title=TITLE,
    question="Does the unit take a vehicle's short wake-up signal for a request of power?",
    needs=(NEED,),
    bench=timing_bench(
        "With the simulator in B and a current offered, switch to C for 0.3 s and back to B, the output captured "
        "beside.",
        minutes=5,
    ),
    limits=("timing.bcb-toggle",),
    run=run_toggle,
    bears=(),
    figures=("switching timeline",),
    transfer=Transfer(within=(LOW, BOARD)),
    applies=with_pilot,
)
