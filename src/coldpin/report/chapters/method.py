"""How each check is done: cautions and hold points first, then the steps."""

from __future__ import annotations

from dataclasses import replace

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
    heading = Heading(2, "How these checks are done", index.anchors.fresh("method"))
    said = Text("As published for each check. What was done otherwise, and why, stands in the entries.")
    blocks: list[Block] = [heading, Paragraph((said,))]
    if index.assessment.cautions:
        cautions = tuple((Text(caution),) for caution in index.assessment.cautions)
        blocks.append(Callout(CalloutKind.CAUTION, "Mains kills: before anyone repeats any of this", cautions))
    if not index.assessment.methods:
        blocks.append(Paragraph((Text("No check was done."),)))
    alike: dict[Method, list[Method]] = {}
    for done in index.assessment.methods:
        alike.setdefault(replace(done, check="", title=""), []).append(done)
    for group in alike.values():
        blocks += _done(index, group)
    return tuple(blocks)


def _done(index: Index, group: list[Method]) -> tuple[Block, ...]:
    """Tell checks that are done in one and the same way once, each under a heading that can be linked to."""
    done = group[0]
    facts = (("Danger level", done.level), ("Instrument", done.instrument), ("Once opened", done.transfers))
    blocks: list[Block] = [
        Heading(3, one.title, index.anchors.place("check", one.check) or index.anchors.fresh("check-again"))
        for one in group
    ]
    if len(group) > 1:
        blocks.append(Paragraph((Text("These are read from the same captures, taken in one way."),)))
    blocks.append(Definitions(tuple(Definition(term, (Text(said),)) for term, said in facts if said)))
    if done.cautions:
        blocks.append(Callout(CalloutKind.CAUTION, "Before the first step", tuple((Text(c),) for c in done.cautions)))
    if done.hold_points:
        blocks.append(Callout(CalloutKind.HOLD, "Hold points", tuple((Text(h),) for h in done.hold_points)))
    if done.steps:
        blocks.append(Listing(tuple((Text(step),) for step in done.steps), ordered=True))
    return tuple(blocks)
