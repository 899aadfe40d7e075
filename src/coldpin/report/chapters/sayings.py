"""What may be said in public, what may not, and what was done well."""

from __future__ import annotations

from coldpin.records.assessment import Sentence
from coldpin.report.document import Block, Face, Heading, Inline, Line, Listing, Paragraph, Role, Tag, Text
from coldpin.report.index import Index, joined


def sayings(index: Index) -> tuple[Block, ...]:
    """Return the chapter on what may be said.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    conclusion = index.assessment.conclusion
    blocks: list[Block] = [
        Heading(2, "What may be said", index.anchors.fresh("sayings")),
        Paragraph((Text("Each sentence says what it rests on, and leads to the findings behind it."),), Role.QUIET),
        Listing(tuple(_said(index, sentence) for sentence in (conclusion.headline, *conclusion.may_say))),
    ]
    if conclusion.done_well:
        blocks += [
            Heading(3, "What was done well", index.anchors.fresh("done-well")),
            Listing(tuple(_said(index, sentence) for sentence in conclusion.done_well)),
        ]
    if conclusion.may_not_say:
        blocks += [
            Heading(3, "What may not be said", index.anchors.fresh("may-not-be-said")),
            Paragraph((Text("These tests do not carry any of the following."),), Role.QUIET),
            Listing(tuple((Text(sentence),) for sentence in conclusion.may_not_say)),
        ]
    return tuple(blocks)


def _said(index: Index, sentence: Sentence) -> Line:
    line: list[Inline] = [Text(sentence.text), Text(" "), Tag(sentence.basis)]
    if sentence.findings:
        line += [Text(" from ", Face.QUIET), *joined(index.to_finding(name) for name in sentence.findings)]
    return tuple(line)
