"""The front page: what was tested, the one sentence, what decides it, how each function stands, how far it goes."""

from __future__ import annotations

from collections import Counter

from coldpin.conclusion.statement import basis_of
from coldpin.records.assessment import Basis
from coldpin.records.finding import Finding, Limit, Standing
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.report.document import (
    Block,
    Break,
    Callout,
    CalloutKind,
    Column,
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
from coldpin.report.index import Index, joined
from coldpin.report.numbers import counted
from coldpin.report.times import moment
from coldpin.report.words import judged_by_number, specimen_name, state_mark, unit_class


def front(index: Index, *, status: str) -> tuple[Block, ...]:
    """Return the front page.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.
    status : str
        "Draft" or the number of the issue.

    Returns
    -------
    tuple of Block
        Its blocks, from the title on.
    """
    return (
        Paragraph((Text(f"Bench assessment of one specimen · {status}"),), Role.KICKER),
        Heading(1, title(index), index.anchors.fresh("top")),
        Paragraph(_identity(index), Role.QUIET),
        _headline(index),
        *_risk(index),
        *_decisive(index),
        *_opinions(index),
        _functions(index),
        _reach(index),
    )


def title(index: Index) -> str:
    """Return the title of the report: what the case calls itself, or else the specimen.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    str
        A title that is never empty.
    """
    return index.assessment.title.strip() or specimen_name(index.assessment.case) or "A specimen without a name"


def _identity(index: Index) -> Line:
    assessment = index.assessment
    case = assessment.case
    parts = [specimen_name(case), unit_class(case.unit)]
    by = f" by {case.tester}" if case.tester else ""
    line: list[Text | Break] = [
        Text(" · ".join(part for part in parts if part)),
        Break(),
        Text(
            f"Assessed on {moment(assessment.assessed_on)}{by} · limits of edition {assessment.edition} · "
            f"coldpin {assessment.program_version}, which certifies nothing"
        ),
    ]
    if case.question:
        line += [Break(), Text(f"Asked: {case.question}")]
    return tuple(line)


def _headline(index: Index) -> Paragraph:
    headline = index.assessment.conclusion.headline
    return Paragraph((Text(headline.text), Text(" "), Tag(headline.basis)), Role.HEADLINE)


def _risk(index: Index) -> tuple[Block, ...]:
    """Say the risk beside the headline, both ends: a level that only an untested function brings was not found."""
    risk = index.assessment.risk
    if risk is None or not index.assessment.scenarios:
        return ()
    return (Paragraph((Text(risk.statement), Text(" "), Tag(Basis.OPINION))),)


def _opinions(index: Index) -> tuple[Block, ...]:
    """Say that somebody thinks more than the tests show, and where; what it is stands with the uses."""
    opinions = index.assessment.case.opinions
    if not opinions or not index.assessment.conditions_of_use:
        return ()
    who = " and ".join(dict.fromkeys(opinion.who for opinion in opinions))
    told = (
        f"Beyond these tests {who} has an opinion of how it might be used all the same; it changes no answer here. See "
    )
    link = index.anchors.link("opinions", "uses", "what a person thinks beyond the tests")
    return (Paragraph((Text(told), link, Text(". "), Tag(Basis.OPINION)), Role.QUIET),)


def _decisive(index: Index) -> tuple[Block, ...]:
    if not index.decisive:
        return ()
    alike: dict[str, list[Finding]] = {}
    for finding in index.decisive:
        alike.setdefault(_shared_words(finding) or finding.id, []).append(finding)
    items = tuple(_concluding(index, ones) for ones in alike.values())
    return (Callout(CalloutKind.DECISIVE, "What decides: each of these concludes alone", items),)


def _shared_words(finding: Finding) -> str:
    """Return the plain sentence that opens what a finding states; empty where it opens with another."""
    return finding.plain if finding.statement.startswith(finding.plain) else ""


def _concluding(index: Index, ones: list[Finding]) -> Line:
    """Say what findings with the same plain words conclude: the words once, then what each measured."""
    words = _shared_words(ones[0]) if len(ones) > 1 else ""
    line: list[Inline] = [Text(words)] if words else []
    for finding in ones:
        own = finding.statement.removeprefix(words).strip()
        if line:
            line.append(Break())
        line += [Text(own), Text(" "), Tag(basis_of(finding))]
        line += [Text(" Finding "), index.to_finding(finding.id), Text(".")]
    return tuple(line)


def _functions(index: Index) -> Table:
    columns = (Column("Protective function", 1.5), Column("State", 0.8), Column("Why, and how far it reaches", 2.4))
    rows = tuple(_function(index, function) for function in index.assessment.functions)
    return Table("What protects the user, and how it stands after these tests", columns, rows)


def _function(index: Index, function: ProtectiveFunction) -> Row:
    why: list[Inline] = [Text(function.because), Text(" "), Tag(Basis.INFERRED)]
    if function.reach is not None:
        why.append(Text(f" ({function.reach.value})"))
    links = [index.to_finding(name) for name in function.findings]
    if links:
        why += [Break(), Text("Rests on ", Face.QUIET), *joined(links)]
    if function.missing and function.state is not FunctionState.SHOWN_ABSENT:
        missing = [index.to_check(name) for name in function.missing]
        why += [Break(), Text("Would say more: ", Face.QUIET), *joined(missing)]
    title: Line = (Text(function.title, Face.STRONG), Break(), Text(function.question, Face.QUIET))
    anchor = index.anchors.place("function", function.id)
    return Row((title, (state_mark(function.state),), tuple(why)), anchor)


def _reach(index: Index) -> Callout:
    assessment = index.assessment
    items: list[Line] = [(Text(_standing_of_limits(index)),)]
    if assessment.not_tested:
        names = "; ".join(missed.title for missed in assessment.not_tested)
        items.append((Text(f"Not tested ({len(assessment.not_tested)}): ", Face.STRONG), Text(f"{names}.")))
    if index.not_shown:
        names = "; ".join(function.title for function in index.not_shown)
        items.append((Text(f"Not shown either way ({len(index.not_shown)}): ", Face.STRONG), Text(f"{names}.")))
    items += [(Text(limit),) for limit in assessment.limits_of_the_work]
    if index.private:
        kept = counted(len(index.private), "entry is", "entries are")
        items.append((Text(f"{kept} kept private and left out of this report."),))
    if assessment.problems:
        items.append(
            (Text(f"{counted(len(assessment.problems), 'thing')} given could not be used: see limits of this work."),)
        )
    return Callout(CalloutKind.NOTE, "How far this goes", tuple(items))


def _standing_of_limits(index: Index) -> str:
    """Count the findings judged against a limit that the tester does not hold in the standard itself."""
    limits = [f.limit for f in index.assessment.findings if f.limit is not None and judged_by_number(f)]
    weaker = Counter(_known(limit) for limit in limits if limit.standing is not Standing.STANDARD)
    if not limits:
        return "No finding was judged against a number."
    if not weaker:
        return f"Findings with a number: {len(limits)}, all judged against limits entered from the standard itself."
    kinds = ", ".join(f"{count} {known}" for known, count in sorted(weaker.items()))
    share = f"{sum(weaker.values())} of {counted(len(limits), 'finding')} with a number"
    return (
        f"{share} rest on limits as we know them, not on the standard itself ({kinds}): read these as measured value "
        "against limit as known."
    )


def _known(limit: Limit) -> str:
    return f"set by {limit.asserted_by}" if limit.asserted_by else _STANDING_SHORT[limit.standing]


_STANDING_SHORT = {
    Standing.READ: "read in a public text",
    Standing.MEMORY: "from memory",
    Standing.COMMON_PRACTICE: "common practice",
    Standing.JUDGEMENT: "our judgement",
}
