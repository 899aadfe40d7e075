"""How each check was done: cautions and hold points first, then the steps."""

from __future__ import annotations

from coldpin.records.assessment import Method
from coldpin.report.document import (
    Block,
    Callout,
    CalloutKind,
    Definition,
    Definitions,
    Heading,
    Listing,
    Paragraph,
    Text,
)
from coldpin.report.index import Index


def method(index: Index) -> tuple[Block, ...]:
    """Return the chapter on method.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    heading = Heading(2, "How it was done", index.anchors.fresh("method"))
    blocks: list[Block] = [heading]
    if index.assessment.cautions:
        cautions = tuple((Text(caution),) for caution in index.assessment.cautions)
        blocks.append(Callout(CalloutKind.CAUTION, "Mains kills: before anyone repeats any of this", cautions))
    if not index.assessment.methods:
        blocks.append(Paragraph((Text("No check was done."),)))
    for done in index.assessment.methods:
        blocks += _done(index, done)
    return tuple(blocks)


def _done(index: Index, done: Method) -> tuple[Block, ...]:
    anchor = index.anchors.place("check", done.check) or index.anchors.fresh("check-again")
    facts = (("Danger level", done.level), ("Instrument", done.instrument), ("Once opened", done.transfers))
    blocks: list[Block] = [
        Heading(3, done.title, anchor),
        Definitions(tuple(Definition(term, (Text(said),)) for term, said in facts if said)),
    ]
    if done.cautions:
        blocks.append(Callout(CalloutKind.CAUTION, "Before the first step", tuple((Text(c),) for c in done.cautions)))
    if done.hold_points:
        blocks.append(Callout(CalloutKind.HOLD, "Hold points", tuple((Text(h),) for h in done.hold_points)))
    if done.steps:
        blocks.append(Listing(tuple((Text(step),) for step in done.steps), ordered=True))
    return tuple(blocks)
