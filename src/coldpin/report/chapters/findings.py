"""The findings: all of them in one table and one chart, then each with what it rests on."""

from __future__ import annotations

from coldpin.conclusion.statement import basis_of
from coldpin.quantity.printing import format_value
from coldpin.records.finding import BudgetLine, Finding, Limit, Outcome, PilotLevels, Reach
from coldpin.report.chapters.wiring import pairs, wiring
from coldpin.report.document import (
    Block,
    Break,
    Column,
    Definition,
    Definitions,
    Face,
    Heading,
    Inline,
    Line,
    Paragraph,
    Role,
    Row,
    Table,
    Tag,
    Text,
)
from coldpin.report.figures.boundary import boundary
from coldpin.report.figures.metal import metal
from coldpin.report.figures.strips import strips
from coldpin.report.index import Index, joined, stacked
from coldpin.report.numbers import bounds, cited, counted, interval, likelihood, number, probability
from coldpin.report.numbers import found as found_value
from coldpin.report.times import stretch
from coldpin.report.words import outcome_mark, placed, standing_meaning

_USUAL_RULE = "confidence"
"""The rule that goes without saying: how to read the report tells it. Any other is named with the finding."""

_HOW_TO_READ = (
    "± is the half-width of the 95 % interval throughout. What an uncertainty comes from is given by its share of u², "
    "its standard uncertainty, and its shape, with degrees of freedom where they are not unbounded."
)


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
            (Text(f"{counted(len(found), 'finding')}. {_HOW_TO_READ}"),),
            Role.QUIET,
        ),
        _overview(index),
        *strips(found, index.anchors),
        *wiring(index),
    ]
    for finding in found:
        if finding.outcome not in (Outcome.NOT_APPLICABLE, Outcome.WITHIN):
            blocks += _finding(index, finding)
    return (*blocks, *_not_asked(index))


def findings_one_by_one(index: Index) -> tuple[Block, ...]:
    """Return the chapter of those findings that are as they should be, each with all that it rests on.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where there is no such finding.
    """
    fine = [finding for finding in index.assessment.findings if finding.outcome is Outcome.WITHIN]
    if not fine:
        return ()
    said = "Every finding that is as it should be, with what it rests on. The others stand in the chapter of findings."
    blocks: list[Block] = [
        Heading(2, "What was as it should be, one by one", index.anchors.fresh("findings-within")),
        Paragraph((Text(said),), Role.QUIET),
    ]
    for finding in fine:
        blocks += _finding(index, finding)
    return tuple(blocks)


def _overview(index: Index) -> Table:
    columns = (
        Column("Finding", 2.4),
        Column("Measured or seen", 1.5),
        Column("Limit as known", 1.6),
        Column("Outcome", 1.0),
    )
    rows = tuple(
        Row(
            (
                (index.anchors.link("finding", finding.id, finding.title), *_apart(finding)),
                (Text(_answer(finding)),),
                (Text(bounds(finding.limit) if finding.limit else "–"),),
                (outcome_mark(finding.outcome),),
            )
        )
        for finding in index.assessment.findings
    )
    return Table("All findings", columns, rows)


def _apart(finding: Finding) -> Line:
    """Return what sets a finding apart from most: that it decides alone, that it holds by construction."""
    decides = "decides alone" if finding.decisive else ""
    reach = finding.reach.value if finding.reach is Reach.CONSTRUCTION else ""
    said = ", ".join(part for part in (decides, reach) if part)
    return (Break(), Text(said, Face.QUIET)) if said else ()


def _answer(finding: Finding) -> str:
    """Return the value, or the bound where only one was found, or what was seen."""
    if finding.quantity is not None:
        return found_value(finding.quantity)
    if _is_bound(finding):
        return finding.answer
    return placed(finding) if finding.answer else "–"


def _is_bound(finding: Finding) -> bool:
    """Say whether the answer is a bound such as "less than 12 µs": set against a limit, and neither yes nor no."""
    return finding.limit is not None and finding.quantity is None and finding.answer not in ("", *_WORDS)


_WORDS = ("yes", "no", "cannot tell")


def _finding(index: Index, finding: Finding) -> tuple[Block, ...]:
    anchor = index.anchors.place("finding", finding.id) or index.anchors.fresh("finding-again")
    blocks: list[Block] = [
        Heading(3, finding.title, anchor),
        Paragraph((Text(finding.statement), Text(" "), Tag(basis_of(finding)))),
        Definitions(_facts(index, finding)),
    ]
    if finding.boundary is not None:
        blocks.append(boundary(finding.boundary, index.anchors))
    if finding.metal is not None and not index.cable.cores:  # else it stands with the cable
        blocks.append(metal(finding.metal, index.anchors))
    return tuple(blocks)


def _not_asked(index: Index) -> tuple[Block, ...]:
    """Return the questions that do not arise for this kind of unit, a row each."""
    rows = tuple(
        Row(
            (
                (Text(finding.title, Face.STRONG), Break(), Text(finding.id, Face.CODE)),
                (Text(finding.statement), Text(" "), Tag(basis_of(finding)), *_seen_in(index, finding)),
                joined(_to_function(index, name) for name in finding.functions) or (Text("–"),),
            ),
            index.anchors.place("finding", finding.id),
        )
        for finding in index.assessment.findings
        if finding.outcome is Outcome.NOT_APPLICABLE
    )
    if not rows:
        return ()
    columns = (Column("Question", 1.5), Column("Why it does not arise here", 2.2), Column("Would bear on", 1.2))
    heading = Heading(3, "What does not apply to this unit", index.anchors.fresh("not-applicable"))
    return (heading, Table("Questions that do not arise for this kind of unit", columns, rows))


def _seen_in(index: Index, finding: Finding) -> Line:
    """Return what a question that does not arise was told by, where that is an entry."""
    return (Text(" Seen in "), *joined(index.to_entry(name) for name in finding.evidence)) if finding.evidence else ()


def _facts(index: Index, finding: Finding) -> tuple[Definition, ...]:
    facts = [Definition("Outcome", _outcome(finding))]
    if finding.quantity is not None:
        facts.append(Definition("Measured", _measured(finding)))
    if finding.budget:
        facts.append(Definition("Uncertainty from", _budget(finding)))
    if finding.limit is not None:
        facts.append(Definition("Limit as known", _limit(index, finding.limit)))
    if finding.joints:
        facts.append(Definition("Pairs of pins", pairs(finding.joints)))
    if finding.remarks:
        facts.append(Definition("Remarks", stacked(Text(remark) for remark in finding.remarks)))
    facts.append(Definition("Rests on", _rests_on(index, finding)))
    facts.append(Definition("Bears on", _bears_on(index, finding)))
    return tuple(facts)


def _outcome(finding: Finding) -> Line:
    """Return the outcome, and how likely the limit is kept."""
    line: list[Inline] = [outcome_mark(finding.outcome), Text(f" {placed(finding)}", Face.QUIET)]
    if finding.decisive:
        line.append(Text("; it decides alone"))
    if _is_bound(finding) or (finding.answer and finding.outcome not in (Outcome.WITHIN, Outcome.BEYOND)):
        line.append(Text(f"; {'found' if _is_bound(finding) else 'answer'}: {finding.answer}"))
    if finding.probability is not None:
        rule = f", decided by: {finding.rule}" if finding.rule not in ("", _USUAL_RULE) else ""
        line.append(Text(f"; {likelihood(finding.limit)} {probability(finding.probability)}{rule}"))
    return tuple(line)


def _measured(finding: Finding) -> Line:
    """Return the value with its interval, and of how many readings it is the worst."""
    quantity = finding.quantity
    worst = f", the worst of {finding.worst_of} readings" if finding.worst_of > 1 else ""
    line: list[Inline] = [Text(found_value(quantity), Face.STRONG), Text(worst)]
    if quantity is not None and (said := interval(quantity) or quantity.why):
        line.append(Text(f" ({said})", Face.QUIET))
    return tuple(line)


def _limit(index: Index, limit: Limit) -> Line:
    """Return a limit with its source and how well it is known; what a standing means is said with the limits used."""
    own = f": {standing_meaning(limit)}" if limit.asserted_by else ""
    return (
        Text(bounds(limit), Face.STRONG),
        Text(f" · {limit.title} · {cited(limit)} · standing “{limit.standing.value}”{own} "),
        index.anchors.link("limit", limit.id),
    )


def _rests_on(index: Index, finding: Finding) -> Line:
    """Return the evidence, where in it, and the check that found it."""
    line: list[Inline] = [*(joined(index.to_entry(name) for name in finding.evidence) or (Text("no evidence"),))]
    if finding.levels:
        line += [Text("; "), *_levels(index, finding.levels)]
    return (*line, Text("; found by "), index.to_check(finding.check))


def _bears_on(index: Index, finding: Finding) -> Line:
    functions = joined(_to_function(index, name) for name in finding.functions) or (Text("no protective function"),)
    reach = Text(f" · reach: {finding.reach.value} · finding ", Face.QUIET)
    return (*functions, reach, Text(finding.id, Face.CODE))


def _to_function(index: Index, name: str) -> Text:
    function = index.functions.get(name)
    return index.anchors.link("function", name, function.title if function else name)


MOST_LEVELS = 3
"""Stretches of a capture that a finding names; of more it names the first and says how many, the record holds all."""


def _levels(index: Index, levels: tuple[PilotLevels, ...]) -> Line:
    """Name where in the captures a finding looked."""
    named = joined(
        index.anchors.link("capture", level.evidence, f"state {level.state} from {stretch(level.start_s, level.end_s)}")
        for level in levels[:MOST_LEVELS]
    )
    more = len(levels) - MOST_LEVELS
    return (*named, Text(f" and {counted(more, 'stretch', 'stretches')} more")) if more > 0 else named


def _budget(finding: Finding) -> Line:
    """Return the uncertainty budget, a line for each input: share of u², standard uncertainty, what it is."""
    unit = finding.quantity.unit if finding.quantity is not None else ""
    return stacked(Text(_budget_line(line, unit)) for line in finding.budget)


def _budget_line(line: BudgetLine, unit: str) -> str:
    u = format_value(float(f"{abs(line.contribution):.2g}"), unit)
    dof = "" if line.dof is None else f", {number(round(line.dof, 1))} degrees of freedom"
    return f"{_share(line.percent)} · {u} · {line.label} ({line.shape}{dof})"


def _share(percent: float) -> str:
    """Return a share of u²; a small one is not rounded to none."""
    rounded = f"{percent:.1f} %"
    return "< 0.1 %" if rounded == "0.0 %" else rounded
