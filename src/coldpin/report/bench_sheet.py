"""The plan as sheets of paper for the bench: of each test the cautions first, then steps, then boxes to write in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from coldpin.records.plan import BenchPlan, PlannedTest, WriteBox
from coldpin.report.document import (
    Block,
    Break,
    Callout,
    CalloutKind,
    Column,
    Document,
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

EMPTY = "□ ______________"
"""A box to write a reading in."""

EMPTY_PAIR = "□ ________"


def build_bench_sheet(plan: BenchPlan) -> Document:
    """Return a plan as a document to be printed and written on.

    Parameters
    ----------
    plan : BenchPlan
        The record.

    Returns
    -------
    Document
        What :func:`~coldpin.report.pdf.render_pdf` sets.
    """
    title = f"Bench plan: {plan.case}"
    tests = [block for test in plan.tests for block in _test(test)]
    stops = (Callout(CalloutKind.HOLD, "Hold", _lines(plan.stopped)),) if plan.stopped else ()
    state = f"As of {plan.stands_at[:16].replace('T', ' ')}" if plan.stands_at else "Nothing recorded yet"
    blocks: tuple[Block, ...] = (
        Heading(1, title, "plan"),
        Paragraph((Text(f"{state}. {plan.conclusion_now}"),), Role.QUIET),
        Callout(CalloutKind.CAUTION, "Before everything", _lines(plan.cautions)),
        *stops,
        *_order(plan),
        Listing(_lines((*plan.notes, plan.simulator))),
        Paragraph((Text("Name and day: ____________________________"),)),
        *((Heading(2, "The tests", "tests"), *tests) if tests else ()),
        Paragraph((Text(_end(plan)),), Role.QUIET),
    )
    return Document(
        title=title, status=state, date=plan.stands_at[:10], running=f"{title} · {state}", blocks=blocks, sheet=True
    )


def _end(plan: BenchPlan) -> str:
    if plan.left_out:
        return f"{plan.left_out} more tests are worth doing and did not go into the time."
    return f"After that: {plan.because}"


def _lines(texts: Iterable[str]) -> tuple[Line, ...]:
    return tuple((Text(text),) for text in texts)


def _order(plan: BenchPlan) -> Iterator[Block]:
    if not plan.tests:
        return
    columns = (
        Column("Test", 3.0),
        Column("At", 1.4),
        Column("Minutes", 0.7),
        Column("Until", 0.6),
        Column("Done", 0.5),
    )
    rows = tuple(
        Row(_lines((f"{one.number}  {one.title}", str(one.stage), str(one.minutes), f"{one.until_minutes}", "□")))
        for one in plan.tests
    )
    yield Table(f"Order of the tests: {plan.minutes} minutes in all", columns, rows)


def _test(test: PlannedTest) -> Iterator[Block]:
    yield Heading(3, f"{test.number} {test.title}", f"test-{test.number}")
    yield Paragraph(
        (
            Text(f"{test.stage}, {test.minutes} min. ", Face.STRONG),
            Text(test.question),
            Text(f" {test.why}", Face.QUIET),
        )
    )
    if test.cautions:
        yield Callout(CalloutKind.CAUTION, "before the first step", _lines(test.cautions))
    if test.hold_points:
        yield Callout(CalloutKind.HOLD, "Hold points", _lines(f"□ {point}" for point in test.hold_points))
    yield Paragraph((Text("With: ", Face.STRONG), Text(test.instrument)))
    if test.simulator:
        yield _settings(test)
    yield Listing(_lines(test.steps), ordered=True)
    if test.stop_values:
        yield Callout(CalloutKind.HOLD, "Stop", _lines(test.stop_values))
    if test.boxes:
        yield _boxes(test.boxes)


def _settings(test: PlannedTest) -> Table:
    columns = (
        Column("Simulator", 1.0),
        Column("Behind the diode", 2.0),
        Column("Diode", 0.7),
        Column("High (V)", 0.7),
        Column("Low (V)", 0.7),
        Column("Asked of the unit", 1.8),
    )
    rows = tuple(
        Row(_lines((one.position, one.resistors, one.diode, one.high_v, one.low_v, one.asks))) for one in test.simulator
    )
    return Table("Vehicle simulator", columns, rows)


def _boxes(boxes: tuple[WriteBox, ...]) -> Table:
    columns = (Column("Write down", 1.9), Column("Here", 1.7), Column("Types it straight back", 2.6))
    return Table("Boxes", columns, tuple(Row((_label(box), _blanks(box), _typed(box))) for box in boxes))


def _label(box: WriteBox) -> Line:
    said: list[Inline] = [Text(box.label)]
    for choice in box.choices:
        said += [Break(), Text(choice, Face.QUIET)]
    if box.instead:
        said += [Break(), Text(f"or instead: {'; '.join(box.instead)}", Face.QUIET)]
    return tuple(said)


def _blanks(box: WriteBox) -> Line:
    if box.rows:
        return _stacked(f"{EMPTY_PAIR} {row}" for row in box.rows)
    if box.recorded_as == "answer":
        return (Text("□ yes  □ no  □ cannot tell"),)
    what = {"capture": "file", "log": "file", "board": "file", "note": ""}.get(box.recorded_as, box.unit)
    return _stacked(f"{EMPTY} {what}".rstrip() for _ in range(box.blanks))


def _stacked(texts: Iterable[str]) -> Line:
    said: list[Inline] = []
    for text in texts:
        said += [*((Break(), Break()) if said else ()), Text(text)]
    return tuple(said)


def _typed(box: WriteBox) -> Line:
    return (Text(box.line, Face.CODE),)
