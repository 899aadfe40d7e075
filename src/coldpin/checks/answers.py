"""Answers of a person at the bench: the unit has something or has it not."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.checks.check import Transfer
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst_entry
from coldpin.checks.supply import closed_first
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach

ANSWER_TRANSFERS = Transfer(why="the closed unit on its mains was not asked")
NOT_A_DUTY = "Good practice of the trade, and no duty of the standard known to us: it is said whether it is there."


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question answered with yes or no: the word that records it and what either answer says."""

    check: str
    name: str
    title: str
    function: str
    word: str
    yes: str
    no: str


def judge_answer(bench: BenchEvidence, asked: Asked) -> Finding:
    """Turn the answers into a finding that says "has" or "has not", and breaks nothing: one no is enough.

    Parameters
    ----------
    bench : BenchEvidence
        With one answer or several.
    asked : Asked
        The question.

    Returns
    -------
    Finding
        Within for yes, beyond for no, which shows that the function is not there; undecided otherwise.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    return worst_entry(_judge_one(entry, asked) for entry in closed_first(bench, bench.showing(asked.word)))


def _judge_one(entry: Entry, asked: Asked) -> Finding:
    outcome = {"yes": Outcome.WITHIN, "no": Outcome.BEYOND}.get(entry.answer, Outcome.UNDECIDED)
    statement = {"yes": asked.yes, "no": asked.no}.get(entry.answer, "Whoever tried it could not tell.")
    return Finding(
        id=f"{asked.check}.{asked.name}",
        check=asked.check,
        title=asked.title,
        statement=statement,
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=(asked.function,),
        answer=entry.answer,
        absence=outcome is Outcome.BEYOND,
        duty=False,
        evidence=(entry.id,),
        remarks=(NOT_A_DUTY,),
    )
