"""The findings: all of them in one table and one chart, then each with what it rests on."""

from __future__ import annotations

from coldpin.records.finding import BudgetLine, Finding, Joint, Limit, PilotLevels
from coldpin.report.document import (
    Align,
    Block,
    Break,
    Column,
    Definition,
    Definitions,
    Face,
    Heading,
    Inline,
    Line,
    Listing,
    Mark,
    Paragraph,
    Role,
    Row,
    Sign,
    Table,
    Text,
)
from coldpin.report.figures.strips import strips
from coldpin.report.index import Index, joined
from coldpin.report.numbers import bounds, cited, counted, interval, measured, number, probability
from coldpin.report.times import stretch
from coldpin.report.words import REACH_MEANINGS, STANDING_MEANINGS, outcome_mark, placed


def findings(index: Index) -> tuple[Block, ...]:
    """Return the chapter of findings.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    found = index.assessment.findings
    heading = Heading(2, "Findings", index.anchors.fresh("findings"))
    if not found:
        return (heading, Paragraph((Text("Nothing was found: no check had evidence to work on."),)))
    blocks: list[Block] = [
        heading,
        Paragraph(
            (Text(f"{counted(len(found), 'finding')}. ± is the half-width of the 95 % interval throughout."),),
            Role.QUIET,
        ),
        _overview(index),
        *strips(found, index.anchors),
    ]
    for finding in found:
        blocks += _finding(index, finding)
    return tuple(blocks)


def _overview(index: Index) -> Table:
    columns = (
        Column("Finding", 2.3),
        Column("Measured", 1.5),
        Column("Limit as known", 1.6),
        Column("Outcome", 1.0),
        Column("Reach", 1.0),
    )
    rows = tuple(
        Row(
            (
                (index.anchors.link("finding", finding.id, finding.title), *_decisive_word(finding)),
                (Text(_answer(finding)),),
                (Text(bounds(finding.limit) if finding.limit else "–"),),
                (outcome_mark(finding.outcome),),
                (Text(finding.reach.value),),
            )
        )
        for finding in index.assessment.findings
    )
    return Table("All findings", columns, rows)


def _decisive_word(finding: Finding) -> Line:
    return (Break(), Text("decides alone", Face.QUIET)) if finding.decisive else ()


def _answer(finding: Finding) -> str:
    if finding.quantity is not None:
        return measured(finding.quantity)
    return finding.answer or "–"


def _finding(index: Index, finding: Finding) -> tuple[Block, ...]:
    anchor = index.anchors.place("finding", finding.id) or index.anchors.fresh("finding-again")
    blocks: list[Block] = [
        Heading(3, finding.title, anchor),
        Paragraph((Text(finding.statement),)),
        Definitions(_facts(index, finding)),
    ]
    if finding.joints:
        blocks.append(_wiring(finding))
    if finding.budget:
        blocks.append(_budget(finding))
    if finding.remarks:
        blocks.append(Listing(tuple((Text(remark),) for remark in finding.remarks)))
    return tuple(blocks)


def _facts(index: Index, finding: Finding) -> tuple[Definition, ...]:
    facts = [Definition("Finding", (Text(finding.id, Face.CODE),)), Definition("Outcome", _outcome(finding))]
    if finding.answer:
        facts.append(Definition("Answer", (Text(finding.answer),)))
    if finding.quantity is not None:
        facts.append(Definition("Measured", _measured(finding)))
    if finding.limit is not None:
        facts.append(Definition("Limit as known", _limit(index, finding.limit)))
    if finding.probability is not None:
        rule = f" Decided by: {finding.rule}." if finding.rule else ""
        facts.append(Definition("Probability of conforming", (Text(f"{probability(finding.probability)}.{rule}"),)))
    facts.append(Definition("Reach", (Text(f"{finding.reach.value}: {REACH_MEANINGS[finding.reach]}"),)))
    if finding.functions:
        facts.append(Definition("Bears on", joined(_to_function(index, name) for name in finding.functions)))
    facts.append(Definition("Found by", (index.to_check(finding.check),)))
    if finding.levels:
        facts.append(Definition("In the capture", _levels(index, finding.levels)))
    facts.append(Definition("Evidence", joined(index.to_entry(name) for name in finding.evidence) or (Text("none"),)))
    return tuple(facts)


def _outcome(finding: Finding) -> Line:
    decides = "; it decides alone" if finding.decisive else ""
    return (outcome_mark(finding.outcome), Text(f" {placed(finding)}{decides}", Face.QUIET))


def _measured(finding: Finding) -> Line:
    quantity = finding.quantity
    worst = f", the worst of {finding.worst_of} readings" if finding.worst_of > 1 else ""
    line: list[Inline] = [Text(measured(quantity), Face.STRONG), Text(worst)]
    if quantity is not None and (said := interval(quantity) or quantity.why):
        line.append(Text(f" ({said})", Face.QUIET))
    return tuple(line)


def _limit(index: Index, limit: Limit) -> Line:
    return (
        Text(bounds(limit), Face.STRONG),
        Text(f" · {limit.title} · {cited(limit)} · "),
        Text(f"standing “{limit.standing.value}”: {STANDING_MEANINGS[limit.standing]}", Face.QUIET),
        Text(" "),
        index.anchors.link("limit", limit.id),
    )


def _to_function(index: Index, name: str) -> Text:
    function = index.functions.get(name)
    return index.anchors.link("function", name, function.title if function else name)


def _levels(index: Index, levels: tuple[PilotLevels, ...]) -> Line:
    return joined(
        (
            index.anchors.link(
                "capture", level.evidence, f"state {level.state} from {stretch(level.start_s, level.end_s)}"
            )
            for level in levels
        ),
        by="; ",
    )


def _budget(finding: Finding) -> Table:
    unit = finding.quantity.unit if finding.quantity is not None else ""
    columns = (
        Column("What the uncertainty comes from", 3.0),
        Column("Shape", 1.0),
        Column(f"Standard uncertainty ({unit})" if unit else "Standard uncertainty", 1.6, Align.END),
        Column("Degrees of freedom", 1.1, Align.END),
        Column("Share of u²", 0.9, Align.END),
    )
    return Table(f"Uncertainty budget: {finding.title}", columns, tuple(_budget_row(line) for line in finding.budget))


def _budget_row(line: BudgetLine) -> Row:
    dof = "∞" if line.dof is None else number(round(line.dof, 1))
    cells = (line.label, line.shape, f"{abs(line.contribution):.2g}", dof, f"{line.percent:.1f} %")
    return Row(tuple((Text(cell),) for cell in cells))


def _wiring(finding: Finding) -> Table:
    """Lay the joints out as a grid: a row for each plug pin, a column for each connector pin."""
    plug = tuple(dict.fromkeys(joint.plug_pin for joint in finding.joints))
    connector = tuple(dict.fromkeys(joint.connector_pin for joint in finding.joints))
    pairs = {(joint.plug_pin, joint.connector_pin): joint for joint in finding.joints}
    columns = (Column("From ↓ to →", 1.0), *(Column(pin, 1.0) for pin in connector))
    rows = tuple(
        Row(((Text(pin, Face.STRONG),), *(_joint(pairs.get((pin, other))) for other in connector))) for pin in plug
    )
    return Table("Wiring map, everything dead: plug pins down, connector pins across", columns, rows)


def _joint(joint: Joint | None) -> Line:
    if joint is None:
        return (Text("–", Face.QUIET),)
    if joint.right:
        return (Text(joint.found, Face.QUIET if joint.found == "open" else Face.STRONG),)
    return (Mark(Sign.BEYOND, joint.found), Break(), Text(f"should be {joint.wanted}", Face.QUIET))
