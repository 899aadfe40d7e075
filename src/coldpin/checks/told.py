"""Findings that only tell what a unit does: either answer is right, and the reader knows which it is."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.output import judge_energised, latest
from coldpin.records.finding import Finding, Outcome, Reach

EITHER = "Tells what the unit does; no text known to us asks for one or the other."


def judge_told(
    bench: BenchEvidence,
    word: str,
    *,
    check: str,
    name: str,
    title: str,
    functions: tuple[str, ...],
    live: str,
    dead: str,
) -> Finding:
    """Say whether the output is live in a situation in which it may be either.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the output.
    word : str
        The word of the vocabulary that records it.
    check : str
        Id of the check.
    name : str
        What the finding is called within the check.
    title : str
        Its title.
    functions : tuple of str
        The protective functions it bears on.
    live : str
        What is said of a live output.
    dead : str
        What is said of a dead one.

    Returns
    -------
    Finding
        Within whichever it is; undecided where the reading lies too close or the supply cannot show it.

    Raises
    ------
    CaseError
        A reading or the supply voltage cannot be read.
    """
    entry = latest(bench, word)
    assert entry is not None, "the check needs the reading"
    bare = Finding(
        id=f"{check}.{name}",
        check=check,
        title=title,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=functions,
        evidence=(entry.id,),
        remarks=(EITHER,),
    )
    finding = judge_energised(bench, word, bare, "The voltage at the connector's pins")
    assert finding is not None, "the entry was found"
    if finding.outcome is Outcome.UNDECIDED:
        return finding
    on = finding.outcome is Outcome.WITHIN
    return replace(
        finding, outcome=Outcome.WITHIN, answer="yes" if on else "no", statement=live if on else dead, limit=None
    )
