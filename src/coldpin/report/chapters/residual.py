"""Residual currents: what was put on, when the unit switched off, and what is asked of it."""

from __future__ import annotations

from coldpin.protection.trip_telling import asked_of
from coldpin.quantity import format_figures
from coldpin.records.trip_test import ResidualKind, RowRole, TripOperation, TripPlacement, TripTest
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
from coldpin.report.figures.leak import leak
from coldpin.report.figures.trip import trip
from coldpin.report.index import Index
from coldpin.report.numbers import measured, probability
from coldpin.report.words import outcome_mark

_HEADINGS = {
    ResidualKind.ALTERNATING: "Alternating residual current",
    ResidualKind.PULSATING: "Pulsating direct residual current",
    ResidualKind.SMOOTH: "Smooth direct residual current",
}
_WHY = {
    ResidualKind.ALTERNATING: "As flows through a person, or from line to earth through damp.",
    ResidualKind.PULSATING: "As flows to earth behind a rectifier; devices of type AC may not see it.",
    ResidualKind.SMOOTH: "As a charger in a car can leak it. It trips no device of type A in the house, and more of it "
    "than that device bears blinds it: then it may not act for a person on that circuit either.",
}


def residual(index: Index) -> tuple[Block, ...]:
    """Return the chapter on residual currents.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where none was put on.
    """
    tests = index.trips
    if not tests:
        return ()
    device = tests[0].device
    blocks: list[Block] = [
        Heading(2, "Residual currents", index.anchors.fresh("residual")),
        Paragraph(
            (
                Text(
                    "Current that does not come back through the neutral flows to earth, perhaps through a person. "
                    "It was driven on purpose through resistors, or from an isolated source, so that only the specimen "
                    "saw it. "
                    f"Judged as a device of {device.name}: {device.said_by or 'as stated'}."
                ),
            )
        ),
    ]
    for test in tests:
        blocks += _one(index, test)
    return tuple(blocks)


def _one(index: Index, test: TripTest) -> tuple[Block, ...]:
    blocks: list[Block] = [
        Heading(3, _HEADINGS[test.kind], index.anchors.fresh("residual-form")),
        Paragraph((Text(_WHY[test.kind]),)),
    ]
    if test.rows:
        blocks += [trip(test, index.anchors), _table(index, test)]
        blocks += [leak(one, index.anchors) for one in index.leaks if one.operation.kind is test.kind]
    if test.remarks:
        blocks.append(Listing(tuple((Text(remark),) for remark in test.remarks)))
    if any(one.current_ma.u is None for one in test.operations):
        told = "Without ±: how exact the test current is was not stated; it is taken as off by a fifth."
        blocks.append(Paragraph((Text(told),), Role.QUIET))
    return tuple(blocks)


def _table(index: Index, test: TripTest) -> Table:
    columns = (
        Column("Current", 1.4),
        Column("Asked, as known", 1.6),
        Column("Worst seen", 2.2),
        Column("Operations", 0.9, Align.END),
        Column("Outcome", 1.2),
    )
    placed = {one.row.name: one for one in test.placements}
    rows = tuple(
        _row(index, test, placed[row.name]) if row.name in placed else _bare(row.title, asked_of(row))
        for row in test.rows
        if row.name in placed or not row.name.endswith("-instead")
    )
    return Table(f"{_HEADINGS[test.kind]}: ± at 95 %; times to open contacts", columns, rows)


def _bare(title: str, asked: str) -> Row:
    return Row(
        ((Text(title, Face.STRONG),), (Text(asked),), (Text("not tested", Face.QUIET),), (Text("–"),), (Text("–"),))
    )


def _row(index: Index, test: TripTest, one: TripPlacement) -> Row:
    check = {
        ResidualKind.ALTERNATING: "residual-alternating",
        ResidualKind.PULSATING: "residual-pulsating",
        ResidualKind.SMOOTH: "residual-smooth",
    }[test.kind]
    name = f"{check}.{one.row.name}"
    link = (Break(), index.to_finding(name)) if name in index.findings else ()
    return Row(
        (
            (Text(one.row.title, Face.STRONG),),
            (Text(asked_of(one.row)), Break(), Text(f"{one.limit.source}, {one.limit.standing}", Face.QUIET)),
            _seen(one),
            (Text(str(one.operations)),),
            (outcome_mark(one.outcome), *_likely(one), *link),
        )
    )


def _likely(one: TripPlacement) -> Line:
    if one.probability is None:
        return ()
    return (Break(), Text(probability(one.probability), Face.QUIET))


def _seen(one: TripPlacement) -> Line:
    """Tell the operation that decides: current, way, and time or current at which it acted."""
    worst = one.worst
    if worst is None:
        return (Text("–"),)
    flowed = _measured(worst, current=True)
    way = f", {worst.way}" if worst.way else ""
    if one.row.role is RowRole.RISE:
        did = "acted at" if worst.tripped else "had not acted at"
        return (Text(f"{did} {flowed}{way}"),)
    did = f"after {_measured(worst, current=False)}" if worst.tripped else f"not within {worst.time_s.value:.3g} s"
    return (Text(did), Break(), Text(f"{flowed}{way}", Face.QUIET))


def _measured(one: TripOperation, *, current: bool) -> str:
    quantity = one.current_ma if current else one.time_s
    return measured(quantity) if quantity.u is not None else format_figures(quantity.value, quantity.unit)
