"""Through a person: what somebody would get who touches what was found, and in which zone of effect it lies."""

from __future__ import annotations

from coldpin.records.shock import ShockCase
from coldpin.report.document import (
    Align,
    Block,
    Break,
    Column,
    Face,
    Heading,
    Line,
    Listing,
    Paragraph,
    Role,
    Row,
    Table,
    Text,
)
from coldpin.report.figures.zones import zones
from coldpin.report.index import Index
from coldpin.report.shock_words import broken, current
from coldpin.report.words import sentence_case

RULE = (
    "The impedance of a body falls with the voltage and differs from one person to the next. Told is the one in "
    "twenty who lets most through, from a hand to both feet, large dry contacts, no shoes; the median stands beside. "
    "At mains voltage wet skin changes little of that, at less it lets more through. What the heart meets of it is by "
    "the larger of the heart-current factors that are published for the way; by the other it stands beside. How long "
    "it flows is only what was shown to break it."
)
LIMITS = (
    "No current here is one under which nobody is hurt: who starts may fall. The curves are for adults, a.c. of "
    "15 Hz to 100 Hz; those that are remembered or only drawn are said to be so in the sources."
)


def shock(index: Index) -> tuple[Block, ...]:
    """Return the chapter on what a person would get.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where nothing was found that says where a voltage or a current is.
    """
    found = index.shock
    if not found:
        return ()
    remarks = dict.fromkeys(remark for case in found.cases for remark in case.remarks)
    return (
        Heading(2, "Through a person", index.anchors.fresh("through-a-person")),
        Paragraph((Text(RULE),)),
        zones(found, index.anchors),
        _table(index, found.cases),
        *((Listing(tuple((Text(remark),) for remark in remarks)),) if remarks else ()),
        Paragraph((Text(LIMITS),), Role.QUIET),
    )


def _table(index: Index, cases: tuple[ShockCase, ...]) -> Table:
    columns = (
        Column("Case", 2.3),
        Column("Current", 1.3, Align.END),
        Column("Broken", 1.4),
        Column("Zone and what it does", 2.6),
        Column("Rests on", 1.4),
    )
    rows = tuple(
        Row(
            (
                (Text(f"{place}. {case.title}"),),
                _current(case),
                (Text(sentence_case(f"{broken(case)}: {case.broken_by}")),),
                _zone(case),
                _rests(index, case),
            )
        )
        for place, case in enumerate(cases, start=1)
    )
    return Table("What a person would get, case by case; currents as the heart meets them", columns, rows)


def _current(case: ShockCase) -> Line:
    line: Line = (Text(current(case.current_ma), Face.STRONG),)
    if case.median_ma is not None:
        line = (*line, Break(), Text(f"{current(case.median_ma)} median"))
    if case.body is None:
        return line
    milder = [one for one in case.body.by_heart_factor if one.reference_current_ma < case.body.reference_current_ma]
    for one in milder:
        told = f"{current(one.reference_current_ma)} by the factor {one.factor:g}"
        line = (*line, Break(), Text(told, Face.QUIET))
    return line


def _zone(case: ShockCase) -> Line:
    median = "" if case.median_zone in (None, case.zone) else f" (median {case.median_zone})"
    return (Text(f"{case.zone}{median}", Face.STRONG), Text(f": {case.effect}"))


def _rests(index: Index, case: ShockCase) -> Line:
    links = [(Break(), index.to_finding(name)) for name in case.findings]
    return (Text(case.rests), *(piece for pair in links for piece in pair))
