"""A short B-C-B is a signal of the vehicle, not a request: a unit that does not close meanwhile is right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from coldpin.checks.check import Check, Need, Transfer, with_pilot
from coldpin.checks.delays import COIL_ONLY, doubt_of, followed, seen_at_coil
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
        One finding, undecided where it is in doubt what the second channel shows; none where the capture shows no state
        C as short as that.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    longest = needed(bench.book.limit("timing.bcb-toggle"), "maximum")
    short = [s for s in runs(bench, (State.C1, State.C2), need=NEED) if s.run.end_s - s.run.start_s <= longest]
    if not short:
        return ()
    closed = [seen for seen in short if _closed(bench, seen)]
    finding = replace(bare(CHECK_ID, "output", TITLE, "", (closed or short)[0]), functions=())
    told = replace(finding, outcome=Outcome.WITHIN, remarks=(EITHER, *_coil(closed or short)))
    length = max(seen.run.end_s - seen.run.start_s for seen in short)
    if closed:
        said = f"The unit closed its output for a state C of {length:.2g} s, as short as a vehicle's wake-up signal."
        return (replace(told, answer="yes", statement=said),)
    if doubt := next(filter(None, (doubt_of(bench, seen.capture) for seen in short)), ""):
        said = f"In a state C of {length:.2g} s the output was not seen to close, but {doubt}."
        return (replace(finding, answer="cannot tell", statement=said),)
    said = f"The unit kept its output off in a state C of {length:.2g} s, which is a signal and no request."
    return (replace(told, answer="no", statement=said),)


def _coil(seen: Sequence[Seen]) -> tuple[str, ...]:
    return (COIL_ONLY,) if any(seen_at_coil(one.capture) for one in seen) else ()


def _closed(bench: BenchEvidence, seen: Seen) -> bool:
    """Say whether the output followed the very change of the pilot with which a run began."""
    reading = seen.capture.reading
    # the change lies between two runs, somewhat before the first whole cycle of the later one
    before = max((run.start_s for run in reading.runs if run.start_s < seen.run.start_s), default=0.0)
    return not doubt_of(bench, seen.capture) and any(
        before <= at <= seen.run.end_s and followed(delay)
        for event in reading.switching
        if event.event is Switching.CLOSES_IN_C
        for at, delay in zip(event.at_s, event.delays_s, strict=True)
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
