"""The findings: all of them in one table and one chart, then each with what it rests on."""

from __future__ import annotations

from coldpin.records.finding import BudgetLine, Finding, Limit, Outcome, PilotLevels
from coldpin.report.chapters.wiring import pairs, wiring
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
    Paragraph,
    Role,
    Row,
    Table,
    Text,
)
from coldpin.report.figures.boundary import boundary
from coldpin.report.figures.strips import strips
from coldpin.report.index import Index, joined
from coldpin.report.numbers import bounds, cited, counted, interval, measured, number, probability
from coldpin.report.times import stretch
from coldpin.report.words import REACH_MEANINGS, outcome_mark, placed, standing_meaning
from coldpin.standards.wording import number_text


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
        *wiring(index),
    ]
    for finding in found:
        blocks += _finding(index, finding)
    return tuple(blocks)


def _overview(index: Index) -> Table:
    columns = (
        Column("Finding", 2.3),
        Column("Measured or seen", 1.5),
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
    return placed(finding) if finding.answer else "–"


def _finding(index: Index, finding: Finding) -> tuple[Block, ...]:
    anchor = index.anchors.place("finding", finding.id) or index.anchors.fresh("finding-again")
    blocks: list[Block] = [
        Heading(3, finding.title, anchor),
        Paragraph((Text(finding.statement),)),
        Definitions(_facts(index, finding)),
    ]
    if finding.boundary is not None:
        blocks.append(boundary(finding.boundary, index.anchors))
    if finding.budget:
        blocks.append(_budget(finding))
    if finding.remarks:
        blocks.append(Listing(tuple((Text(remark),) for remark in finding.remarks)))
    return tuple(blocks)


def _facts(index: Index, finding: Finding) -> tuple[Definition, ...]:
    facts = [Definition("Finding", (Text(finding.id, Face.CODE),)), Definition("Outcome", _outcome(finding))]
    if finding.answer and finding.outcome not in (Outcome.WITHIN, Outcome.BEYOND):
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
    if finding.joints:
        facts.append(Definition("Pairs of pins", pairs(finding.joints)))
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
        Text(f"standing “{limit.standing.value}”: {standing_meaning(limit)}", Face.QUIET),
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
    rows = tuple(_budget_row(line, unit) for line in finding.budget)
    columns = (
        Column("What the uncertainty comes from", 3.0),
        Column("Shape", 1.0),
        Column("Standard uncertainty", 1.4, Align.END),
        Column("Degrees of freedom", 1.1, Align.END),
        Column("Share of u²", 0.9, Align.END),
    )
    return Table(f"Uncertainty budget: {finding.title}", columns, rows)


def _budget_row(line: BudgetLine, unit: str) -> Row:
    dof = "∞" if line.dof is None else number(round(line.dof, 1))
    cells = (
        line.label,
        line.shape,
        number_text(float(f"{abs(line.contribution):.2g}"), unit),
        dof,
        f"{line.percent:.1f} %",
    )
    return Row(tuple((Text(cell),) for cell in cells))
