"""The supply lost and returning while a car charges: what follows, and how long it takes."""

from __future__ import annotations

from coldpin.checks.charging_bench import charging_bench
from coldpin.checks.charging_logs import LOG, Charge, charges
from coldpin.checks.check import Check, Need, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import budget_lines, told_time, worst
from coldpin.checks.told import EITHER
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.session import MarkKind, Reaction, SupplyOutage

TITLE = "Supply lost and back during a charge"

WATCHED_FOR = 600.0
"""Ours: for so long nothing must have been drawn before a charge is said to stay off; units that wait on purpose, so
that a street is not loaded at once, are faster. [s]"""


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say what follows a loss of the supply; neither going on nor staying off is wrong.

    Parameters
    ----------
    bench : BenchEvidence
        With a charging log.

    Returns
    -------
    tuple of Finding
        One finding; none where no log shows a loss of the supply: a gap in a log is none.

    Raises
    ------
    EntryError
        A log, a mark or a condition cannot be read.
    """
    found = [_told(charge, outage, reaction) for charge in charges(bench) for outage, reaction in _returns(charge)]
    if not found:
        return ()
    answers = {finding.answer for finding in found}
    chosen = worst(found)
    if not {"yes", "no"} <= answers:
        return (chosen,)
    both = " ".join(dict.fromkeys(finding.statement for finding in found))
    return (
        Finding(
            id=chosen.id,
            check=chosen.check,
            title=TITLE,
            statement=f"It did not do the same each time. {both}",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=chosen.functions,
            answer="cannot tell",
            evidence=tuple(dict.fromkeys(name for finding in found for name in finding.evidence)),
            remarks=chosen.remarks,
        ),
    )


def _returns(charge: Charge) -> list[tuple[SupplyOutage, Reaction]]:
    """Return each loss of the supply that ended while the log ran, with what followed."""
    ended = [outage for outage in charge.reading.outages if outage.end_s < charge.reading.phases[-1].end_s]
    after = [reaction for reaction in charge.reading.reactions if reaction.mark is MarkKind.BREAKER_ON]
    return list(zip(ended, after, strict=True))


def _told(charge: Charge, outage: SupplyOutage, reaction: Reaction) -> Finding:
    went_on = reaction.followed_by is not None
    watched = reaction.after_s is None or went_on or reaction.after_s.value >= WATCHED_FOR
    wait = f" That is no answer yet: some units wait on purpose, watch for {told_time(WATCHED_FOR)}."
    short = "" if watched else wait
    return Finding(
        id="session-interruption.goes-on",
        check="session-interruption",
        title=TITLE,
        statement=(
            f"The supply was lost for {told_time(outage.end_s - outage.start_s)}, as {_shown(outage)} "
            f"{'shows' if outage.shown_by == 'voltage' else 'show'}. {reaction.statement}{short}"
        ),
        outcome=Outcome.WITHIN if watched else Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        quantity=reaction.after_s,
        answer="yes" if went_on else "no" if watched else "cannot tell",
        evidence=charge.evidence,
        budget=budget_lines(reaction.after_s)
        if reaction.after_s is not None and reaction.after_s.u is not None
        else (),
        remarks=(EITHER, *charge.remarks) if watched else charge.remarks,
    )


def _shown(outage: SupplyOutage) -> str:
    return "the voltage" if outage.shown_by == "voltage" else "the marks of the breaker"


CHECK = Check(
    id="session-interruption",
    title=TITLE,
    question="When the supply is lost during a charge and comes back, does the charge go on by itself?",
    needs=(Need(shows=LOG),),
    bench=charging_bench(
        (
            "The meter before the switch, so that it goes on logging; where it stands behind it, mark breaker off and "
            "on, for a gap in the log shows no loss of the supply."
        ),
        "Charging a car, switch the supply off at its breaker for a minute, and on again; touch nothing meanwhile.",
        "Watch for ten minutes: some units wait on purpose, some cars want to be asked anew. Write down which.",
        "Once more with two seconds.",
        minutes=30,
        repeats=2,
        hold_points=("The uncoupled pins stay dead when the supply returns (check 'supply-return').",),
        after=("supply-return.uncoupled",),
    ),
    limits=(),
    run=run,
    bears=(),
    figures=("charge timeline",),
    applies=always,
)
