"""The end of the report: limits of the work, how its words are meant, what it is not."""

from __future__ import annotations

from coldpin.report.document import (
    Block,
    Callout,
    CalloutKind,
    Column,
    Definition,
    Definitions,
    Heading,
    Line,
    Listing,
    Paragraph,
    Row,
    Table,
    Text,
)
from coldpin.report.index import Index
from coldpin.report.words import (
    BASIS_MEANINGS,
    OUTCOME_MEANINGS,
    REACH_MEANINGS,
    STATE_MEANINGS,
    outcome_mark,
    state_mark,
)


def about(index: Index) -> tuple[Block, ...]:
    """Return the closing chapters.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Their blocks.
    """
    return (*_limits_of_the_work(index), *_reading(index), *_not(index))


def _limits_of_the_work(index: Index) -> tuple[Block, ...]:
    assessment = index.assessment
    blocks: list[Block] = [Heading(2, "Limits of this work", index.anchors.fresh("limits-of-the-work"))]
    said = assessment.limits_of_the_work or ("None were written down.",)
    blocks.append(Listing(tuple((Text(limit),) for limit in said)))
    if assessment.case.assumptions:
        blocks += [
            Heading(3, "What was assumed", index.anchors.fresh("assumptions")),
            Listing(tuple((Text(assumption),) for assumption in assessment.case.assumptions)),
        ]
    if assessment.problems:
        rows = tuple(Row(((Text(problem.where),), (Text(problem.what),))) for problem in assessment.problems)
        blocks += [
            Heading(3, "What was given and could not be used", index.anchors.fresh("problems")),
            Table("Problems", (Column("Where", 1.0), Column("What", 2.6)), rows),
        ]
    return tuple(blocks)


def _reading(index: Index) -> tuple[Block, ...]:
    steps: tuple[Line, ...] = (
        (Text("A sentence names the findings it rests on."),),
        (Text("A protective function names its findings; its worst finding decides its state."),),
        (Text("A finding gives the quantity, its uncertainty budget, the limit with its source, and its evidence."),),
        (Text("An entry says who saw or read what, when, with which instrument; a file has its hash."),),
    )
    outcomes = tuple((outcome_mark(o), Text(f" {meaning}")) for o, meaning in OUTCOME_MEANINGS.items())
    states = tuple((state_mark(s), Text(f" {meaning}")) for s, meaning in STATE_MEANINGS.items())
    reaches = tuple(Definition(reach.value, (Text(meaning),)) for reach, meaning in REACH_MEANINGS.items())
    bases = tuple(Definition(basis.value, (Text(meaning),)) for basis, meaning in BASIS_MEANINGS.items())
    return (
        Heading(2, "How to read this report", index.anchors.fresh("reading")),
        Heading(3, "Walking back", index.anchors.fresh("walking-back")),
        Listing(steps, ordered=True),
        Heading(3, "Outcome of a finding", index.anchors.fresh("outcomes")),
        Listing(outcomes),
        Heading(3, "Reach of a finding", index.anchors.fresh("reaches")),
        Definitions(reaches),
        Heading(3, "State of a function", index.anchors.fresh("states")),
        Listing(states),
        Heading(3, "What a sentence rests on", index.anchors.fresh("bases")),
        Definitions(bases),
        Heading(3, "Numbers", index.anchors.fresh("numbers")),
        Paragraph((Text(_NUMBERS),)),
    )


def _not(index: Index) -> tuple[Block, ...]:
    items: tuple[Line, ...] = (
        (Text("coldpin certifies nothing, and this report is no approval of any product."),),
        (Text("It was not made by an accredited laboratory."),),
        (Text("It tells of one specimen, on the day and under the conditions named, not of the production."),),
        (
            Text(
                "Local codes and licensed practice come first; nothing here asks a layman to open or to power anything."
            ),
        ),
    )
    return (
        Heading(2, "What this report is not", index.anchors.fresh("not")),
        Callout(CalloutKind.NOTE, "Disclaimers", items),
    )


_NUMBERS = (
    "“12.34 V ± 0.06 V” is the measured value and the half-width of its 95 % interval. The probability of conforming, "
    "or of lying within the limit as known where no standard set it, is that of the true value lying inside the limit, "
    "given this measurement and nothing else."
)
