"""Several specimens of one model in one report: what holds of all that were seen, what differs, the worst of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from coldpin.conclusion.together_saying import named, reach_told
from coldpin.conclusion.use_telling import UNADVISED
from coldpin.quantity import Quantity, format_value
from coldpin.records.assessment import Basis, Sentence
from coldpin.records.finding import Outcome
from coldpin.records.function import FunctionState
from coldpin.records.together import (
    Agreement,
    Count,
    FindingTogether,
    FunctionTogether,
    Together,
    Unlike,
    ValueAgreement,
    ValueTogether,
)
from coldpin.records.use import UseAnswer
from coldpin.report.anchors import Anchors
from coldpin.report.document import (
    Block,
    Callout,
    CalloutKind,
    Column,
    Document,
    Face,
    Heading,
    Line,
    Listing,
    Mark,
    Paragraph,
    Role,
    Row,
    Table,
    Tag,
    Text,
)
from coldpin.report.figures.values_beside import values_beside
from coldpin.report.numbers import counted, measured, number
from coldpin.report.words import outcome_mark, state_mark
from coldpin.standards.wording import limit_paragraph

BESIDE = 4
"""Specimens that have a column each; more are told in one column."""

_FUNCTIONS = {
    Agreement.GOOD_IN_ALL: "shown in all",
    Agreement.BAD_IN_ALL: "missing or faulty in all",
    Agreement.DIFFERS: "differs",
    Agreement.GOOD_IN_SOME: "shown in some, open in others",
    Agreement.BAD_IN_SOME: "missing or faulty in some, open in others",
    Agreement.OPEN: "open in all",
    Agreement.NOT_APPLICABLE: "does not apply",
}
_FINDINGS = {
    Agreement.GOOD_IN_ALL: "within in all",
    Agreement.BAD_IN_ALL: "beyond in all",
    Agreement.DIFFERS: "differs",
    Agreement.GOOD_IN_SOME: "within in some, open in others",
    Agreement.BAD_IN_SOME: "beyond in some, open in others",
    Agreement.OPEN: "open in all",
    Agreement.NOT_APPLICABLE: "does not apply",
}
VALUES_AGREED = {
    ValueAgreement.AGREE: "agree within U",
    ValueAgreement.DIFFER: "differ by more than U",
    ValueAgreement.UNKNOWN: "cannot be told",
}
_ORDER = (
    Agreement.DIFFERS,
    Agreement.BAD_IN_ALL,
    Agreement.BAD_IN_SOME,
    Agreement.OPEN,
    Agreement.GOOD_IN_SOME,
    Agreement.GOOD_IN_ALL,
    Agreement.NOT_APPLICABLE,
)
"""What differs is told first, then what is beyond."""


def agreed_function(agreement: Agreement) -> str:
    """Return how a function stands over the specimens, in words.

    Parameters
    ----------
    agreement : Agreement
        How they stand beside each other.

    Returns
    -------
    str
        A phrase.
    """
    return _FUNCTIONS[agreement]


def agreed_finding(agreement: Agreement) -> str:
    """Return how a finding stands over the specimens, in words.

    Parameters
    ----------
    agreement : Agreement
        How they stand beside each other.

    Returns
    -------
    str
        A phrase.
    """
    return _FINDINGS[agreement]


def value_told(value: Quantity | None) -> str:
    """Return a value as it stands in a table.

    Parameters
    ----------
    value : Quantity or None
        What was measured on one specimen.

    Returns
    -------
    str
        With its U; "not measured" where it was not.
    """
    return "not measured" if value is None else measured(value)


def build_together(together: Together) -> Document:
    """Return several specimens laid together as a document.

    Parameters
    ----------
    together : Together
        The specimens laid together.

    Returns
    -------
    Document
        The sentence for the public, the specimens, uses, functions, checks, values, claims, what a count says.
    """
    anchors = Anchors()
    status = f"{counted(len(together.specimens), 'specimen')} together"
    blocks: list[Block] = [
        Heading(1, together.title, anchors.fresh("title")),
        Paragraph(_said(together.conclusion.headline), Role.HEADLINE),
        Paragraph((Text(_INTRODUCTION),), Role.QUIET),
        *_differs(together, anchors),
        *_specimens(together, anchors),
        *_uses(together, anchors),
        *_functions(together, anchors),
        *_findings(together, anchors),
        *_values(together, anchors),
        *_claims(together, anchors),
        *_counts(together, anchors),
        *_sayings(together, anchors),
        *_left(together, anchors),
    ]
    days = sorted(one.assessed_on for one in together.specimens)
    return Document(
        title=together.title,
        status=status,
        date=days[-1] if days else "",
        running=f"{together.title} · {status}",
        blocks=tuple(blocks),
    )


_INTRODUCTION = (
    "Each specimen has a case and a report of its own, which holds its evidence, limits and sources. Here the worst "
    "decides and nothing is averaged: a person holds one unit. What was not tested on one leaves open what another "
    "showed."
)


def _said(sentence: Sentence) -> Line:
    return (Text(sentence.text), Text(" "), Tag(sentence.basis))


def _differs(together: Together, anchors: Anchors) -> Iterator[Block]:
    if together.conclusion.differs:
        yield Heading(2, "In what they differ", anchors.fresh("differs"))
        yield Paragraph((Text("One name, and not one thing behind it: that is a finding of its own."),), Role.QUIET)
        yield Listing(tuple(_said(sentence) for sentence in together.conclusion.differs))


def _numbers(numbers: Iterable[int]) -> str:
    return ", ".join(map(str, numbers)) or "–"


def _specimens(together: Together, anchors: Anchors) -> Iterator[Block]:
    yield Heading(2, "The specimens", anchors.fresh("specimens"))
    columns = (
        Column("No.", 0.3),
        Column("Case", 0.9),
        Column("Bought", 1.2),
        Column("Serial, batch", 0.9),
        Column("Concluded of it alone", 2.2),
    )
    rows = tuple(
        Row(
            (
                (Text(str(one.number), Face.STRONG),),
                (Text(one.case),),
                (Text(", ".join(part for part in (one.bought, one.seller, one.price) if part) or "not on record"),),
                (Text(f"{one.serial or 'no serial'}, {one.batch or 'no batch'}"),),
                _said(one.headline),
            )
        )
        for one in together.specimens
    )
    yield Table("The specimens, in the order in which they were bought", columns, rows)
    if together.conclusion.level is not None:
        yield Paragraph(
            (
                Text("Risk: ", Face.STRONG),
                Text(
                    f"the gravest of what could happen is at the level “{together.conclusion.level.value}”, by "
                    f"{named(together.conclusion.level_rests_on, len(together.specimens))}; what was not shown is "
                    "taken not to work. "
                ),
                Tag(Basis.INFERRED),
            )
        )
    model = together.model
    if model.marked:
        marked = "; ".join(f"{what} {said}" for what, said in model.marked)
        yield Paragraph((Text("Marked alike: ", Face.STRONG), Text(f"{marked}.")))
    if model.overridden:
        items: tuple[Line, ...] = (
            *((Text(f"{one.what}: {_each_said(one)}"),) for one in model.overridden),
            (Text(f"Joined all the same, since: {model.reason} "), Tag(Basis.OPINION)),
        )
        yield Callout(CalloutKind.NOTE, "They are not marked as one model", items)
    if model.one_serial:
        told = f"“{model.one_serial}” stands on more than one piece. Told apart, in the tester's words: {model.apart} "
        yield Callout(CalloutKind.NOTE, "One serial number on several pieces", ((Text(told), Tag(Basis.OPINION)),))
    if model.unlike:
        yield Table(
            "What is not alike in marks and description",
            (Column("What", 1.0), *(Column(f"Specimen {one.number}", 1.0) for one in together.specimens))
            if len(together.specimens) <= BESIDE
            else (Column("What", 1.0), Column("Each specimen", 3.0)),
            tuple(
                Row(
                    (
                        (Text(one.what),),
                        *(
                            tuple(
                                (Text(said or "not recorded", Face.PLAIN if said else Face.QUIET),) for said in one.said
                            )
                            if len(together.specimens) <= BESIDE
                            else ((Text(_each_said(one)),),)
                        ),
                    )
                )
                for one in model.unlike
            ),
        )


def _each_said(unlike: Unlike) -> str:
    return "; ".join(f"{place} {said or 'not recorded'}" for place, said in enumerate(unlike.said, start=1))


def _unlike_told(unlike: Unlike) -> str:
    return f"{unlike.what}: {_each_said(unlike)}"


def _columns(together: Together, first: str, *more: Column) -> tuple[Column, ...]:
    if len(together.specimens) > BESIDE:
        return (Column(first, 1.5), Column("Each specimen", 2.0), *more)
    return (Column(first, 1.5), *(Column(str(one.number), 0.8) for one in together.specimens), *more)


def _cells(cells: Sequence[Line]) -> tuple[Line, ...]:
    """Return a cell for each specimen, or all of them in one where there are many."""
    if len(cells) <= BESIDE:
        return tuple(cells)
    whole: list[Text | Mark | Tag] = []
    for place, cell in enumerate(cells, start=1):
        whole += [Text(f"{'; ' if whole else ''}{place} ", Face.QUIET), *cell]  # type: ignore[list-item]  # no breaks
    return (tuple(whole),)


def _uses(together: Together, anchors: Anchors) -> Iterator[Block]:
    if not together.uses:
        return
    yield Heading(2, "Where and how it may be used", anchors.fresh("uses"))
    yield Table(
        "Conditions of use: the worst answer of all specimens, and which bear it",
        _columns(together, "Use", Column("Together", 1.2), Column("Rests on", 0.6), Column("Largest current", 0.9)),
        tuple(
            Row(
                (
                    (Text(use.name),),
                    *_cells([_answer(answer) for answer in use.answers]),
                    (Text(use.answer.value, Face.STRONG),),
                    (Text(_numbers(use.rests_on)),),
                    (
                        Text(
                            ("none" if use.answer in UNADVISED else "not known")
                            if use.largest_current_a is None
                            else f"{number(use.largest_current_a)} A, {use.limited_by}"
                        ),
                    ),
                )
            )
            for use in together.uses
        ),
    )
    for use in together.uses:
        if len(use.rests_on) < len(use.answers) or use.measures or use.remarks:
            items: list[Line] = [
                (Text(f"Specimen {ground.specimen}: {ground.because} "), Tag(Basis.INFERRED)) for ground in use.grounds
            ]
            items += [(Text(f"Only {measure}."),) for measure in use.measures]
            items += [(Text(f"But {remark}."),) for remark in use.remarks]
            yield Paragraph(_said(use.sentence))
            yield Listing(tuple(items))


def _answer(answer: UseAnswer | None) -> Line:
    return (Text("not asked of it", Face.QUIET),) if answer is None else (Text(answer.value),)


def _functions(together: Together, anchors: Anchors) -> Iterator[Block]:
    yield Heading(2, "Protective functions", anchors.fresh("functions"))
    yield Table(
        "Protective functions: how each stands on each specimen, and together",
        _columns(together, "Protective function", Column("Together", 1.4), Column("Missing or faulty", 0.8)),
        tuple(
            Row(((Text(row.title),), *_cells([_state(state) for state in row.states]), *_function_tail(row)))
            for row in sorted(together.functions, key=lambda row: _ORDER.index(row.agreement))
        ),
    )


def _state(state: FunctionState | None) -> Line:
    return (Text("does not apply", Face.QUIET),) if state is None else (state_mark(state),)


def _function_tail(row: FunctionTogether) -> tuple[Line, ...]:
    strong = Face.STRONG if row.agreement is Agreement.DIFFERS else Face.PLAIN
    reach = reach_told(row.reach, row.agreement)
    far = (Text(f": {reach}", Face.QUIET),) if reach else ()
    return ((Text(_FUNCTIONS[row.agreement], strong), *far), (Text(_count(row.missing)),))


def _count(count: Count) -> str:
    if not count.of:
        return "–"
    bound = "" if count.low is None or count.high is None else f" ({_share(count.low, count.high)} of all)"
    return f"{count.count} of {count.of} tested{bound}"


def _share(low: float, high: float) -> str:
    """Return two shares rounded outwards to whole per cent."""
    return f"{int(100.0 * low)} to {-int(-100.0 * high // 1)} %"


def _findings(together: Together, anchors: Anchors) -> Iterator[Block]:
    if not together.findings:
        return
    yield Heading(2, "Check by check", anchors.fresh("checks"))
    yield Table(
        "Findings: the outcome on each specimen; what differs stands first",
        _columns(together, "Finding", Column("Together", 1.2)),
        tuple(
            Row(((Text(row.title),), *_cells(_outcomes(row)), _finding_tail(row)))
            for row in sorted(together.findings, key=lambda row: _ORDER.index(row.agreement))
            if row.agreement is not Agreement.NOT_APPLICABLE
        ),
    )


def _outcomes(row: FindingTogether) -> list[Line]:
    told: list[Line] = []
    for outcome, answer in zip(row.outcomes, row.answers, strict=True):
        said = outcome in (Outcome.WITHIN, Outcome.BEYOND) and bool(answer) and len(set(row.answers) - {""}) > 1
        told.append((outcome_mark(outcome), Text(f" ({answer})", Face.QUIET)) if said else (outcome_mark(outcome),))
    return told


def _finding_tail(row: FindingTogether) -> Line:
    strong = Face.STRONG if row.agreement is Agreement.DIFFERS else Face.PLAIN
    remarks = "".join(f"; {remark}" for remark in row.remarks)
    return (Text(_FINDINGS[row.agreement], strong), Text(remarks, Face.QUIET))


def _values(together: Together, anchors: Anchors) -> Iterator[Block]:
    if not together.values:
        return
    yield Heading(2, "Measured side by side", anchors.fresh("values"))
    yield Paragraph((Text(_VALUES),), Role.QUIET)
    yield from values_beside(together.values, anchors)
    yield Table(
        "Measured values with their 95 % half-widths",
        _columns(together, "Measured", Column("Together", 1.3)),
        tuple(
            Row(
                (
                    (Text(row.title),),
                    *_cells([(Text(value_told(value), Face.PLAIN if value else Face.QUIET),) for value in row.values]),
                    _value_tail(row),
                )
            )
            for row in together.values
        ),
    )


_VALUES = (
    "Two values agree where their difference is no larger than its expanded uncertainty, |E_n| up to 1. Instruments "
    "are taken to be independent; where both were measured with one, a difference told is there all the more, and one "
    "may be there that is not told. By the 95 % of their intervals one row in twenty may lie beyond by chance, of "
    "units that are alike. That units differ in a value says nothing yet of whether it matters: outcomes do."
)


def _value_tail(row: ValueTogether) -> Line:
    line: list[Text] = [
        Text(VALUES_AGREED[row.agreement], Face.STRONG if row.agreement is ValueAgreement.DIFFER else Face.PLAIN)
    ]
    if row.difference is not None:
        line.append(Text(f", |E_n| {number(round(row.difference, 2))} ({_numbers(row.apart)})", Face.QUIET))
    if row.agreement is ValueAgreement.AGREE and row.shows_from:
        line.append(Text(f"; from {format_value(float(f'{row.shows_from:.2g}'), row.unit)} it would show", Face.QUIET))
    if row.agreement is ValueAgreement.AGREE and row.instruments:
        line.append(Text(f", less may be there (both by {', '.join(row.instruments)})", Face.QUIET))
    if row.agreement is not ValueAgreement.AGREE and row.unlike:
        line.append(Text(f"; not taken alike: {'; '.join(map(_unlike_told, row.unlike))}", Face.QUIET))
    if row.why:
        line.append(Text(f": {row.why}", Face.QUIET))
    return tuple(line)


def _claims(together: Together, anchors: Anchors) -> Iterator[Block]:
    if together.claims:
        yield Heading(2, "Claims beside what was found", anchors.fresh("claims"))
        yield Listing(tuple(_said(claim.sentence) for claim in together.claims))


def _counts(together: Together, anchors: Anchors) -> Iterator[Block]:
    purchases, total = together.purchases, len(together.specimens)
    yield Heading(2, "What this says of other units", anchors.fresh("other-units"))
    if not purchases.independent:
        yield Paragraph(
            (
                Text(f"{counted(total, 'specimen')} were seen, and of other units this says nothing in numbers. "),
                Text(f"To say more they would have to be drawn at random and independently; {purchases.why}. "),
                Tag(Basis.INFERRED),
            )
        )
    if purchases.stated:
        yield Paragraph(
            (
                Text("Drawn at random and independently, in the tester's words: ", Face.STRONG),
                Text(f"{purchases.stated} "),
                Tag(Basis.OPINION),
            )
        )
    if purchases.independent:
        yield Paragraph((Text(_SHARES),), Role.QUIET)
        yield Listing(tuple(_said(sentence) for sentence in together.conclusion.shares))


_SHARES = (
    "Where a share of all units is told it is the exact two-sided 95 % interval for a binomial count, of those units "
    "from which these were drawn and at that time. A unit bought because of what another had shown is not drawn at "
    "random, and a change of construction ends it."
)


def _sayings(together: Together, anchors: Anchors) -> Iterator[Block]:
    concluded = together.conclusion
    if concluded.may_say:
        yield Heading(2, "What else may be said", anchors.fresh("may-say"))
        yield Listing(tuple(_said(sentence) for sentence in concluded.may_say))
    yield Heading(2, "What may not be said", anchors.fresh("may-not-say"))
    yield Listing(tuple((Text(text),) for text in concluded.may_not_say))
    yield Heading(2, "What would change this", anchors.fresh("would-change"))
    yield Listing(tuple(_said(sentence) for sentence in concluded.would_change))


def _left(together: Together, anchors: Anchors) -> Iterator[Block]:
    if together.not_tested:
        yield Heading(2, "Tested on none of them", anchors.fresh("not-tested"))
        yield Paragraph((Text(f"{'; '.join(together.not_tested)}."), Text(" "), Tag(Basis.OBSERVED)))
    if together.problems:
        yield Heading(2, "What could not be used", anchors.fresh("problems"))
        yield Listing(tuple((Text(f"{problem.where}: {problem.what}"),) for problem in together.problems))
    yield Heading(2, "By which rules", anchors.fresh("sources"))
    yield Listing(tuple((Text(limit_paragraph(limit)),) for limit in together.limits))
