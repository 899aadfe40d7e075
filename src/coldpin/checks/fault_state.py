"""State F: held long enough for a vehicle to see it."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Check, Need, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence, PilotCapture
from coldpin.checks.judging import as_known, judged, placed, told_time, worst
from coldpin.checks.pilot_runs import PILOT_BENCH, Seen, bare, runs, stated
from coldpin.checks.supply import BOARD, LOW
from coldpin.quantity import rectangular
from coldpin.records.finding import Finding, Limit, Outcome
from coldpin.records.pilot import State

NEED = Need(shows="pilot capture")
CHECK_ID = "fault-state"
TITLE = "State F held"
SUBJECT = "The shortest time for which state F was held"


def run_hold(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the shortest state F of all captures.

    Parameters
    ----------
    bench : BenchEvidence
        With a decoded capture.

    Returns
    -------
    tuple of Finding
        One finding; none where no capture shows the state.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    limit = bench.book.limit("timing.state-F-hold")
    found = [_hold(bench, seen, limit) for seen in runs(bench, (State.F,), need=NEED)]
    return (worst(found),) if found else ()


def _hold(bench: BenchEvidence, seen: Seen, limit: Limit) -> Finding:
    length = seen.run.end_s - seen.run.start_s
    finding = replace(bare(CHECK_ID, "time", TITLE, "", seen), functions=())
    if _cut(seen.capture, seen) and limit.minimum is not None:
        long_enough = length >= limit.minimum
        tail = f"within {as_known(limit)}" if long_enough else "and the capture ended before more could be seen"
        return replace(
            finding,
            limit=limit,
            outcome=Outcome.WITHIN if long_enough else Outcome.UNDECIDED,
            answer=f"more than {told_time(length)}",
            statement=f"State F was held for {told_time(length)} or more: {tail}.",
        )
    # found to a cycle of the oscillator on either side
    edge = 1.0 / PILOT_RATE
    held = rectangular(length, edge, "s", id=f"{seen.capture.entry.id}:F", label="where the state begins and ends")
    return placed(SUBJECT, judged(finding, stated(bench, seen, held, "time"), limit))


def _cut(capture: PilotCapture, seen: Seen) -> bool:
    return seen.run is capture.reading.runs[-1] or seen.run is capture.reading.runs[0]


PILOT_RATE = 1000.0
"""Ours: where a state begins and ends is told to a cycle of the oscillator. [Hz]"""

CHECK = Check(
    id=CHECK_ID,
    title=TITLE,
    question="Does the unit hold state F long enough for a vehicle to see that it is not available?",
    needs=(NEED,),
    bench=replace(
        PILOT_BENCH,
        steps=(
            (
                "Capture the pilot while a fault is brought about that other checks ask for: diode lost, contact "
                "held closed, supply without earth. A unit that answers by state F puts the pilot at a steady "
                "−12 V."
            ),
            *PILOT_BENCH.steps[1:],
        ),
        transfers="What the controller does on the opened board it does in the closed unit.",
    ),
    limits=("timing.state-F-hold", "pilot.state.F"),
    run=run_hold,
    bears=(),
    figures=("state ribbon",),
    transfer=Transfer(within=(LOW, BOARD), beyond=(LOW, BOARD)),
    applies=with_pilot,
)
