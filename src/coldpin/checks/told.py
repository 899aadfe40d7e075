"""Findings that only tell what a unit does: either answer is right, and the reader knows which it is."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst_entry
from coldpin.checks.live_threshold import energised_limit
from coldpin.checks.output import entries_showing, judge_energised_entry
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
        With one reading of the output or several.
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
        Within whichever it is; undecided where a reading lies too close, the supply cannot show it, or they
        differ.

    Raises
    ------
    CaseError
        A reading or the supply voltage cannot be read.
    """
    bare = Finding(
        id=f"{check}.{name}",
        check=check,
        title=title,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=functions,
        remarks=(EITHER,),
    )
    subject, limit = "The voltage at the connector's pins", energised_limit(bench)
    found = [judge_energised_entry(bench, entry, bare, subject, limit) for entry in entries_showing(bench, word)]
    finding = worst_entry(found)
    if {Outcome.WITHIN, Outcome.BEYOND} <= {one.outcome for one in found}:
        said = f"It did not do the same each time. Once: {live} And once: {dead}"
        return replace(finding, outcome=Outcome.UNDECIDED, answer="cannot tell", statement=said, limit=None)
    if finding.outcome is Outcome.UNDECIDED:
        return finding
    on = finding.outcome is Outcome.WITHIN
    return replace(
        finding, outcome=Outcome.WITHIN, answer="yes" if on else "no", statement=live if on else dead, limit=None
    )
