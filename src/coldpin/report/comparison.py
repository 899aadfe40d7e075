"""Several cases in one report: what was shown of each, side by side."""

from __future__ import annotations

from collections.abc import Iterator

from coldpin.records.comparison import CaseSummary, Comparison
from coldpin.records.function import FunctionState
from coldpin.report.anchors import Anchors
from coldpin.report.document import (
    Block,
    Column,
    Document,
    Face,
    Heading,
    Line,
    Listing,
    Mark,
    Paragraph,
    Role,
    Row,
    Sign,
    Table,
    Tag,
    Text,
)
from coldpin.report.numbers import counted
from coldpin.report.words import STATE_WORDS

_BESIDE = 5
"""Cases that stand beside each other in one table; more are set in further tables."""


def build_comparison(comparison: Comparison) -> Document:
    """Return a comparison as a document.

    Parameters
    ----------
    comparison : Comparison
        The cases side by side.

    Returns
    -------
    Document
        Conclusions, functions, uses, what could not be read.
    """
    anchors = Anchors()
    days = sorted(case.assessed_on for case in comparison.cases)
    status = f"{counted(len(comparison.cases), 'case')} compared"
    blocks: list[Block] = [
        Heading(1, comparison.title, anchors.fresh("title")),
        Paragraph((Text(f"{status}. Each stands on its own report, which holds evidence, limits and sources."),)),
        Paragraph(
            (Text("A function that was not tested speaks neither for nor against a specimen; others may differ."),),
            Role.QUIET,
        ),
        Heading(2, "What may be said of each", anchors.fresh("conclusions")),
        _conclusions(comparison.cases),
        Heading(2, "Protective functions side by side", anchors.fresh("functions")),
        *_functions(comparison),
        *_uses(comparison, anchors),
    ]
    if comparison.problems:
        blocks += [
            Heading(2, "What could not be read", anchors.fresh("problems")),
            Listing(tuple((Text(f"{problem.where}: {problem.what}"),) for problem in comparison.problems)),
        ]
    return Document(
        title=comparison.title,
        status=status,
        date=days[-1] if days else "",
        running=f"{comparison.title} · {status}",
        blocks=tuple(blocks),
    )


def _conclusions(cases: tuple[CaseSummary, ...]) -> Table:
    columns = (
        Column("Case", 1.0),
        Column("Conclusion", 2.4),
        Column("Findings", 1.0),
        Column("Paid", 0.6),
    )
    rows = tuple(
        Row(
            (
                (Text(case.title, Face.STRONG),),
                (Text(case.headline.text), Text(" "), Tag(case.headline.basis)),
                (Text(_counted(case)),),
                (Text(case.price or "–"),),
            )
        )
        for case in cases
    )
    return Table("Conclusion of each case", columns, rows)


def _counted(case: CaseSummary) -> str:
    return (
        f"{case.within} within, {case.beyond} beyond, {case.undecided} undecided; "
        f"{counted(case.not_tested, 'check')} not done"
    )


def _functions(comparison: Comparison) -> Iterator[Table]:
    cases = comparison.cases
    for start in range(0, len(cases), _BESIDE):
        group = cases[start : start + _BESIDE]
        columns = (Column("Protective function", 1.4), *(Column(case.title, 1.0) for case in group))
        rows = tuple(
            Row(((Text(row.title),), *(_state(state) for state in row.states[start : start + _BESIDE])))
            for row in comparison.functions
        )
        yield Table("Protective functions: how each stands after the tests done so far", columns, rows)


def _state(state: FunctionState | None) -> Line:
    if state is None:
        return (Text("does not apply", Face.QUIET),)
    return (Mark(Sign(state.value), STATE_WORDS[state]),)


def _uses(comparison: Comparison, anchors: Anchors) -> tuple[Block, ...]:
    rows = tuple(
        Row(((Text(case.title),), (Text(use.name),), (Text(use.answer),)))
        for case in comparison.cases
        for use in case.uses
    )
    if not rows:
        return ()
    columns = (Column("Case", 1.0), Column("Use", 1.6), Column("Answer", 1.4))
    return (
        Heading(2, "Conditions of use", anchors.fresh("uses")),
        Table("Conditions of use, and the answer to each", columns, rows),
    )
