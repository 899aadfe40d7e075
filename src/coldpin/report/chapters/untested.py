"""What was not tested, and why."""

from __future__ import annotations

from coldpin.report.document import Block, Break, Column, Face, Heading, Line, Paragraph, Row, Table, Text
from coldpin.report.index import Index, stacked


def untested(index: Index) -> tuple[Block, ...]:
    """Return the chapter on what was not tested.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    heading = Heading(2, "What was not tested", index.anchors.fresh("not-tested"))
    said = Paragraph((Text("What is listed here speaks neither for nor against the specimen."),))
    blocks = (*_checks(index), *_functions(index))
    return (heading, said, *blocks) if blocks else (heading, Paragraph((Text("Every check had evidence."),)))


def _checks(index: Index) -> tuple[Block, ...]:
    """List the checks that lacked evidence."""
    missed = index.assessment.not_tested
    if not missed:
        return ()
    done = {method.check for method in index.done}
    rows = []
    for check in missed:
        anchor = "" if check.check in done else index.anchors.place("check", check.check)
        needs = stacked(Text(need) for need in check.needs) or (Text("–"),)
        title: Line = (Text(check.title, Face.STRONG), Break(), Text(check.check, Face.CODE))
        rows.append(Row((title, (Text(check.why),), needs), anchor))
    columns = (Column("Check", 1.3), Column("Why not", 1.6), Column("What it would need", 1.6))
    return (Table("Checks without evidence", columns, tuple(rows)),)


def _functions(index: Index) -> tuple[Block, ...]:
    """List the functions that were not shown either way, with what would say more."""
    rows = tuple(
        Row(
            (
                (index.anchors.link("function", function.id, function.title),),
                (Text(function.because),),
                stacked(index.to_check(name) for name in function.missing) or (Text("–"),),
            )
        )
        for function in index.not_shown
    )
    columns = (
        Column("Protective function", 1.3),
        Column("Why it is not shown", 1.6),
        Column("What would say more", 1.6),
    )
    return (Table("Functions not shown either way", columns, rows),) if rows else ()
