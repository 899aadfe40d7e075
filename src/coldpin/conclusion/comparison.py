"""Several assessments side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from coldpin.records.assessment import Assessment, Problem
from coldpin.records.comparison import CaseSummary, Comparison, FunctionRow, FunctionSeen, UseSeen
from coldpin.records.entry import Entry
from coldpin.records.finding import Outcome

PURCHASE = "purchase"
"""The word of the vocabulary for how a specimen was bought."""


def summarise(assessment: Assessment, *, case: str) -> CaseSummary:
    """Return what of an assessment is compared with others.

    Parameters
    ----------
    assessment : Assessment
        The record.
    case : str
        The name of its folder.

    Returns
    -------
    CaseSummary
        The summary.
    """
    counted = Counter(finding.outcome for finding in assessment.findings)
    specimen = assessment.case.specimen
    return CaseSummary(
        case=case,
        title=assessment.title,
        specimen=f"{specimen.make} {specimen.model}".strip(),
        assessed_on=assessment.assessed_on,
        headline=assessment.conclusion.headline,
        decisive=assessment.conclusion.decisive,
        functions=tuple(
            FunctionSeen(id=function.id, title=function.title, state=function.state)
            for function in assessment.functions
        ),
        uses=tuple(UseSeen(name=use.name, answer=use.answer) for use in assessment.conditions_of_use),
        within=counted[Outcome.WITHIN],
        beyond=counted[Outcome.BEYOND],
        undecided=counted[Outcome.UNDECIDED],
        not_tested=len(assessment.not_tested),
        price=price_paid(assessment.entries),
        unused=len(assessment.problems),
    )


def price_paid(entries: Iterable[Entry]) -> str:
    """Return what was paid for a specimen, as it was written down.

    Parameters
    ----------
    entries : iterable of Entry
        What happened, corrections among it; private entries tell nothing.

    Returns
    -------
    str
        Amount with currency; empty where nobody wrote it.
    """
    return next((entry.conditions["price"] for entry in purchases(entries) if "price" in entry.conditions), "")


def purchases(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return what was written down of a purchase and still holds.

    Parameters
    ----------
    entries : iterable of Entry
        What happened, corrections among it.

    Returns
    -------
    tuple of Entry
        Without private entries.
    """
    held = [entry for entry in entries if not entry.private]
    replaced = {entry.replaces for entry in held}
    return tuple(
        entry for entry in held if entry.shows == PURCHASE and entry.id not in replaced and not entry.withdraws
    )


def compare_cases(
    cases: Sequence[CaseSummary], *, title: str, program_version: str, problems: Iterable[Problem] = ()
) -> Comparison:
    """Lay summaries beside each other, function by function.

    Parameters
    ----------
    cases : sequence of CaseSummary
        The cases, in the order in which they are shown.
    title : str
        What the whole is called.
    program_version : str
        Of this program.
    problems : iterable of Problem
        Cases that could not be read.

    Returns
    -------
    Comparison
        One row for each function that any of them has, in the order of the first that has it.
    """
    states = [{function.id: function.state for function in case.functions} for case in cases]
    titles: dict[str, str] = {}
    for case in cases:
        for function in case.functions:
            titles.setdefault(function.id, function.title)
    return Comparison(
        schema="coldpin.compare/1",
        title=title,
        program_version=program_version,
        cases=tuple(cases),
        functions=tuple(
            FunctionRow(id=name, title=told, states=tuple(held.get(name) for held in states))
            for name, told in titles.items()
        ),
        problems=tuple(problems),
    )
