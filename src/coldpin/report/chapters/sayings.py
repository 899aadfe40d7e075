"""What may be said in public, what may not, and what was done well."""

from __future__ import annotations

from coldpin.conclusion.public import bears_on_shown, clauses_of
from coldpin.records.assessment import Basis, PlainSentence, Sentence
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.scenario import RiskLevel
from coldpin.report.document import Block, Face, Heading, Inline, Line, Listing, Paragraph, Role, Tag, Text
from coldpin.report.index import Index, joined
from coldpin.report.numbers import counted, found
from coldpin.report.words import MARKINGS, STATE_WORDS


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
        blocks += _done_well(index, conclusion.done_well)
    blocks += _would_change(index)
    if conclusion.may_not_say:
        blocks += [
            Heading(3, "What may not be said", index.anchors.fresh("may-not-be-said")),
            Paragraph((Text("These tests do not carry any of the following."),), Role.QUIET),
            Listing(tuple((Text(sentence),) for sentence in conclusion.may_not_say)),
        ]
    return tuple(blocks)


def _would_change(index: Index) -> tuple[Block, ...]:
    """Tell what would change the conclusion."""
    sentences = index.assessment.conclusion.would_change
    if not sentences:
        return ()
    return (
        Heading(3, "What would change this conclusion", index.anchors.fresh("would-change")),
        Paragraph((Text(_NEITHER_WAY),), Role.QUIET),
        Listing(tuple(_said(index, sentence) for sentence in sentences)),
    )


_NEITHER_WAY = "What is not shown speaks neither way; a result against it would speak against the lead."

PLAIN_KINDS = (("function", "What protects you"), ("scenario", "What could happen"), ("finding", "What was found"))
"""Kinds of plain sentences in the order they are told, each with its heading; the uses have a chapter of their own."""


def plainly(index: Index) -> tuple[Block, ...]:
    """Return the chapter that says everything once more for a lay viewer, one sentence each.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where nothing was told plainly.
    """
    told = index.assessment.conclusion.plain
    if not told:
        return ()
    blocks: list[Block] = [
        Heading(2, "In plain words", index.anchors.fresh("plain")),
        Paragraph((Text("For a viewer who does not test leads. The numbers stand with the findings."),), Role.QUIET),
    ]
    for kind, heading in PLAIN_KINDS:
        ones = tuple(one for one in told if one.kind == kind)
        lines = _PLAINLY[kind](index, ones)
        if lines:
            blocks += [Heading(3, heading, index.anchors.fresh(f"plain-{kind}")), Listing(lines)]
    return tuple(blocks)


def _each(index: Index, ones: tuple[PlainSentence, ...]) -> tuple[Line, ...]:
    del index
    return tuple((Text(one.sentence.text), Text(" "), Tag(one.sentence.basis)) for one in ones)


def _grave(index: Index, ones: tuple[PlainSentence, ...]) -> tuple[Line, ...]:
    """Tell the scenarios whose risk is more than low; the others are counted, and stand in their own chapter."""
    low = {one.id for one in index.assessment.scenarios if one.level is RiskLevel.LOW}
    lines = _each(index, tuple(one for one in ones if one.id not in low))
    rest = [one for one in ones if one.id in low]
    if not rest:
        return lines
    told = f"In {counted(len(rest), 'further case')} so much must come together that the risk is low"
    more: Line = (Text(f"{told}: each stands under “What could happen”. "), Tag(Basis.OPINION))
    return (*lines, more)


def _alike(index: Index, ones: tuple[PlainSentence, ...]) -> tuple[Line, ...]:
    """Tell what was found, each thing once: findings of one check that are as they should be share a sentence.

    Where another finding of that check is not so, or a function that one bears on is not shown, the sentence would say
    more than was found: they are named without it.
    """
    lines: list[Line] = []
    fine: dict[tuple[str, Basis], list[str]] = {}
    for one in ones:
        finding = index.findings.get(one.id)
        if finding is None or finding.outcome is not Outcome.WITHIN or finding.plain:
            lines += _each(index, (one,))
        else:
            fine.setdefault((clauses_of(finding)[0], one.sentence.basis), []).append(finding.title)
    lines = list(dict.fromkeys(lines))
    unlike = {
        clauses_of(other)[0]
        for other in index.assessment.findings
        if other.outcome in (Outcome.BEYOND, Outcome.UNDECIDED)
        or (other.outcome is Outcome.WITHIN and not bears_on_shown(other, index.assessment.functions))
    }
    for (clause, basis), titles in fine.items():
        named = "; ".join(dict.fromkeys(titles))
        said = f"As it should be: {named}." if clause in unlike else f"As it should be: {clause} ({named})."
        lines.append((Text(f"{said} "), Tag(basis)))
    return tuple(lines)


_PLAINLY = {"function": _each, "scenario": _grave, "finding": _alike}


MOST_NAMED = 3
"""Findings named after a sentence; the functions that hold the others are named instead.

Ours: three ids fill a line. The row of a function names all its findings.
"""


MOST_MORE = 24
"""Further findings up to which their functions are named. Ours: what rests on more rests on the table as a whole."""


def _said(index: Index, sentence: Sentence) -> Line:
    line: list[Inline] = [Text(sentence.text), Text(" "), Tag(sentence.basis)]
    named, others = sentence.findings[:MOST_NAMED], sentence.findings[MOST_NAMED:]
    if len(others) == 1:
        named, others = sentence.findings, ()
    if named:
        line += [Text(" from ", Face.QUIET), *joined(index.to_finding(name) for name in named)]
    if len(others) > MOST_MORE:
        line += [Text(f" and {len(others)} more, all in the table of findings", Face.QUIET)]
    elif others:
        line += [Text(f" and {len(others)} more", Face.QUIET), *_of_functions(index, others)]
    return tuple(line)


def _of_functions(index: Index, names: tuple[str, ...]) -> Line:
    """Return links to the functions whose rows name these findings; to the finding itself where none does."""
    holding: dict[str, Text] = {}
    for name in names:
        function = next((f for f in index.assessment.functions if name in f.findings), None)
        if function is None:
            holding[name] = index.to_finding(name)
        else:
            holding[function.id] = index.anchors.link("function", function.id, function.title)
    return (Text(": ", Face.QUIET), *joined(holding.values()))


def _done_well(index: Index, sentences: tuple[Sentence, ...]) -> tuple[Block, ...]:
    """Tell what was done well by protective function; a sentence that is not just one finding's is printed whole."""
    groups: dict[str, list[tuple[Sentence, Finding]]] = {}
    whole: list[Sentence] = []
    for sentence in sentences:
        finding = index.findings.get(sentence.findings[0]) if len(sentence.findings) == 1 else None
        if finding is None or finding.outcome is not Outcome.WITHIN:
            whole.append(sentence)
        else:
            groups.setdefault(finding.functions[0] if finding.functions else "", []).append((sentence, finding))
    lead = (
        "Each of these was inside its limit as known, or answered as it should be. The sentence that may be said "
        "stands with the finding."
    )
    ranked = [function.id for function in index.assessment.functions]
    ordered = sorted(groups.items(), key=lambda group: ranked.index(group[0]) if group[0] in ranked else len(ranked))
    told = tuple(_well(index, name, group) for name, group in ordered)
    blocks: list[Block] = [Heading(3, "What was done well", index.anchors.fresh("done-well"))]
    if whole:
        blocks.append(Listing(tuple(_said(index, sentence) for sentence in whole)))
    if told:
        blocks += [Paragraph((Text(lead),), Role.QUIET), Listing(told)]
    return tuple(blocks)


def _well(index: Index, function: str, group: list[tuple[Sentence, Finding]]) -> Line:
    """Return one line for a function: its state, then its findings by what they rest on."""
    known = index.functions.get(function)
    line: list[Inline] = [
        Text(known.title if known else "Besides", Face.STRONG, index.anchors.of("function", function))
    ]
    if known is not None:
        line += [Text(f" ({STATE_WORDS[known.state]})", Face.QUIET)]
    for basis in dict.fromkeys(sentence.basis for sentence, _ in group):
        findings = [finding for sentence, finding in group if sentence.basis is basis]
        for place, finding in enumerate(findings):
            line += [Text("; " if place else ": " if basis is group[0][0].basis else " "), *_titled(index, finding)]
        line += [Text(" "), Tag(basis)]
    return tuple(line)


def _titled(index: Index, finding: Finding) -> Line:
    """Return a finding in few words: its title as a link, its value, and what sets it apart."""
    value = f" {found(finding.quantity)}" if finding.quantity is not None else ""
    reach = " (by construction)" if finding.reach is Reach.CONSTRUCTION else ""
    practice = " (good practice, not a duty)" if not finding.duty and finding.check != MARKINGS else ""
    return (index.anchors.link("finding", finding.id, finding.title), Text(f"{value}{reach}{practice}"))
