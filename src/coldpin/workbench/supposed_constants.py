"""What if a constant were another: a case assessed with it beside the case as recorded; nothing is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from coldpin.casefile import open_case
from coldpin.records.assessment import Assessment
from coldpin.records.case import OwnConstant
from coldpin.records.supposed import FindingMove, FunctionMove, SupposedConstant
from coldpin.standards.book import load_book
from coldpin.standards.wording import limit_value
from coldpin.workbench.assessing import assess
from coldpin.workbench.drafting import assessment_of, keeping


def suppose_constant(
    folder: Path | str,
    own: OwnConstant,
    recorded: Assessment | None = None,
    *,
    progress: Callable[[float], None] | None = None,
) -> SupposedConstant:
    """Assess a case with another value of a constant, and say what comes out otherwise.

    Parameters
    ----------
    folder : Path or str
        The case.
    own : OwnConstant
        The value that is tried.
    recorded : Assessment, optional
        What it is held beside; the case as it stands where left out.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    SupposedConstant
        What moves.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    UnknownName
        There is no such constant or standing.
    InputError
        The value has no number, numbers out of order, or no source.
    """
    case = open_case(folder)
    recorded = recorded or assessment_of(folder)
    held = case.description()
    constants = (*(one for one in held.constants if one.id != own.id), own)
    book = load_book()
    before, after = book.with_own(recorded.case.constants).limit(own.id), book.with_own(constants).limit(own.id)
    made = assess(folder, progress=progress, keep=keeping(case), description=replace(held, constants=constants))
    headlines = (recorded.conclusion.headline.text, made.conclusion.headline.text)
    return SupposedConstant(
        id=own.id,
        recorded=limit_value(before),
        supposed=limit_value(after),
        rest=tuple(
            dict.fromkeys(
                one.title
                for one in (*recorded.findings, *made.findings)
                if one.limit is not None and one.limit.id == own.id
            )
        ),
        findings=_finding_moves(recorded, made),
        functions=_function_moves(recorded, made),
        headline=tuple(dict.fromkeys(headlines)),
    )


def _finding_moves(recorded: Assessment, made: Assessment) -> tuple[FindingMove, ...]:
    before = {one.id: one for one in recorded.findings}
    after = {one.id: one for one in made.findings}
    moves = []
    for name in dict.fromkeys((*before, *after)):
        one, other = before.get(name), after.get(name)
        outcomes = (None if one is None else one.outcome, None if other is None else other.outcome)
        if outcomes[0] is outcomes[1]:
            continue
        shown = other or one
        assert shown is not None, "a name is of one of the two"
        moves.append(
            FindingMove(
                id=name, title=shown.title, recorded=outcomes[0], supposed=outcomes[1], statement=shown.statement
            )
        )
    return tuple(moves)


def _function_moves(recorded: Assessment, made: Assessment) -> tuple[FunctionMove, ...]:
    after = {one.id: one for one in made.functions}
    return tuple(
        FunctionMove(id=one.id, title=one.title, recorded=one.state, supposed=after[one.id].state)
        for one in recorded.functions
        if one.id in after and after[one.id].state is not one.state
    )
