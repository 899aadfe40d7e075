"""From a lowered offer to a current that keeps to it."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.charging_bench import charging_bench
from coldpin.checks.charging_logs import LOG, MARK, Charge, charges
from coldpin.checks.check import Check, Need, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import as_known, judged, placed, told_time, worst
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.session import MarkKind, Reaction
from coldpin.standards.session import follow_time

TITLE = "Time to follow a lowered offer"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the longest time from a lowered offer to a current that keeps to it.

    Parameters
    ----------
    bench : BenchEvidence
        With a charging log and the marks of lowered offers.

    Returns
    -------
    tuple of Finding
        One finding; none where no mark of a lowered offer has a log beside it.

    Raises
    ------
    EntryError
        A log, a mark or a condition cannot be read.
    """
    lowered = [
        (charge, reaction)
        for charge in charges(bench)
        for reaction in charge.reading.reactions
        if reaction.mark is MarkKind.OFFER_LOWERED
    ]
    timed = [pair for pair in lowered if pair[1].after_s is not None]
    # a car that had nothing to follow tells nothing of one that had
    found = [_judge_one(bench, charge, reaction) for charge, reaction in timed or lowered]
    return (worst(found),) if found else ()


def _judge_one(bench: BenchEvidence, charge: Charge, reaction: Reaction) -> Finding:
    after, limit = reaction.after_s, follow_time(bench.book)
    bare = Finding(
        id="offer-followed.time",
        check="offer-followed",
        title=TITLE,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=charge.evidence,
        remarks=charge.remarks,
    )
    if after is None:
        return replace(bare, statement=reaction.statement)
    if after.low is not None and after.u is None:
        beyond = limit.maximum is not None and after.low > limit.maximum
        return replace(
            bare,
            statement=(
                f"For the {told_time(after.low)} watched after the offer was lowered the car drew more than that: "
                f"{'longer than' if beyond else 'not watched for as long as'} {as_known(limit)}."
            ),
            outcome=Outcome.BEYOND if beyond else Outcome.UNDECIDED,
            limit=limit,
        )
    if after.u is None:
        return replace(
            judged(bare, after, limit),
            statement=(
                f"Up to a current that keeps to the lowered offer {told_time(after.value)} went by, as it reads; that "
                f"cannot be placed against {as_known(limit)}: {after.why}."
            ),
        )
    return placed("The time from the lowered offer to a current that keeps to it", judged(bare, after, limit))


CHECK = Check(
    id="offer-followed",
    title=TITLE,
    question="When the unit lowers its offer, how soon does the car draw no more than that?",
    needs=(
        Need(shows=LOG),
        Need(shows=MARK, conditions={"event": (MarkKind.OFFER_LOWERED.value,)}, stated=("offer",)),
    ),
    bench=charging_bench(
        "Charging a car, lower the unit's setting by its button or app; mark moment, clock and new current.",
        "Mark a breaker off or on by the same clock where it is not that of the log, so that the two can be aligned.",
        "Wait a minute between two changes; go down in steps to the lowest setting, and up again.",
        minutes=20,
        repeats=3,
    ),
    limits=("timing.follow-offer",),
    run=run,
    bears=(),
    figures=("charge timeline",),
    applies=with_pilot,
)
