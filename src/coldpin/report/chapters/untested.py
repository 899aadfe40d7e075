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
    missed = index.assessment.not_tested
    if not missed:
        return (heading, Paragraph((Text("Every check that applies to this kind of unit had evidence."),)))
    done = {method.check for method in index.assessment.methods}
    rows = []
    for check in missed:
        anchor = "" if check.check in done else index.anchors.place("check", check.check)
        needs = stacked(Text(need) for need in check.needs) or (Text("–"),)
        title: Line = (Text(check.title, Face.STRONG), Break(), Text(check.check, Face.CODE))
        rows.append(Row((title, (Text(check.why),), needs), anchor))
    columns = (Column("Check", 1.3), Column("Why not", 1.6), Column("What it would need", 1.6))
    said = "Not tested speaks neither for nor against the specimen."
    return (heading, Paragraph((Text(said),)), Table("Checks without evidence", columns, tuple(rows)))
