"""The findings of a case: each beside its outcome, what was not tested, what could not be used; and one alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.assessment import NotTested, Problem
from coldpin.records.finding import Finding, Outcome
from coldpin.web.answering import Pages
from coldpin.web.desk import Desk
from coldpin.web.works import Work

FOUND = (Outcome.BEYOND, Outcome.UNDECIDED, Outcome.WITHIN, Outcome.NOT_TESTED, Outcome.NOT_APPLICABLE)
"""Outcomes in the order in which they are shown: what decides first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsPage:
    """What was found.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    fresh : bool
        True where the rest is of the case as it stands.
    work : Work or None
        What makes the next assessment, while it is made; or the one that failed.
    known : bool
        True where the case was assessed at all.
    outcome : str
        The outcome a finding must have to be shown; empty for any.
    words : str
        Words that it must hold; empty for all.
    function : str
        Id of the protective function that it must bear on; empty for any.
    functions : mapping of str to str
        Titles of all protective functions, by id.
    counts : mapping of str to int
        How many findings have each outcome, of those that hold the words.
    findings : tuple of Finding
        Those that are shown, decisive ones first, then by outcome.
    not_tested : tuple of NotTested
        Checks that were not done, of those that hold the words.
    problems : tuple of Problem
        What could not be used.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    known: bool
    outcome: str
    words: str
    function: str
    functions: Mapping[str, str]
    counts: Mapping[str, int]
    findings: tuple[Finding, ...]
    not_tested: tuple[NotTested, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingPage:
    """One finding of a case."""

    name: str
    title: str
    finding: Finding


def findings_page(desk: Desk, name: str, outcome: str = "", words: str = "", function: str = "") -> FindingsPage:
    """Return what was found of a specimen.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    outcome : str
        The outcome a finding must have; empty for any.
    words : str
        Words that it must hold, in any order; empty for all.
    function : str
        Id of the protective function that it must bear on; empty for any.

    Returns
    -------
    FindingsPage
        At once, as it was assessed last.

    Raises
    ------
    UnknownName
        There is no such case, outcome or function.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    if outcome and outcome not in FOUND:
        raise UnknownName.among("outcome of a finding", outcome, FOUND)
    case = desk.case(name)
    standing = desk.standings.of(case.folder)
    made = standing.assessment
    wanted = words.casefold().split()
    functions = {one.id: one for one in made.functions} if made else {}
    if function and made and function not in functions:
        raise UnknownName.among("function", function, functions)
    held = [one for one in (made.findings if made else ()) if _holds(f"{one.title} {one.statement}", wanted)]
    if function in functions:
        held = [one for one in held if one.id in functions[function].findings]
    shown = [one for one in held if outcome in ("", one.outcome)]
    shown.sort(key=lambda one: (not one.decisive, FOUND.index(one.outcome)))
    missing = () if made is None or function else made.not_tested
    return FindingsPage(
        name=name,
        title=made.title if made else case.description().title,
        fresh=standing.fresh,
        work=standing.work,
        known=made is not None,
        outcome=outcome,
        words=words,
        function=function,
        functions={one: found.title for one, found in functions.items()},
        counts={one.value: sum(found.outcome is one for found in held) for one in FOUND},
        findings=tuple(shown),
        not_tested=tuple(one for one in missing if _holds(f"{one.title} {one.why}", wanted)),
        problems=made.problems if made else (),
    )


def _holds(text: str, words: list[str]) -> bool:
    told = text.casefold()
    return all(word in told for word in words)


def finding_page(desk: Desk, name: str, finding: str) -> FindingPage:
    """Return one finding of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    finding : str
        Id of the finding.

    Returns
    -------
    FindingPage
        As it was assessed last.

    Raises
    ------
    UnknownName
        There is no such case or finding.
    CaseError
        The case cannot be read.
    """
    assessment = desk.assessment(name)
    by_id = {found.id: found for found in assessment.findings}
    if finding not in by_id:
        raise UnknownName.among("finding", finding, by_id)
    return FindingPage(name=name, title=assessment.title, finding=by_id[finding])


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show("/case/{name}/findings", "findings.html")
    def findings(name: str, outcome: str = "", words: str = "", function: str = "") -> FindingsPage:
        """Show what was found, all or what has one outcome, and what was not tested."""
        return findings_page(desk, name, outcome, words, function)

    @pages.show("/case/{name}/finding/{finding}", "finding.html")
    def finding(name: str, finding: str) -> FindingPage:
        """Show one finding, with its limit, its budget and what it rests on."""
        return finding_page(desk, name, finding)
