"""The plan as sheets of paper for the bench: of each test the cautions first, then steps, then boxes to write in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from coldpin.records.plan import BenchPlan, PlannedTest, WriteBox
from coldpin.report.document import (
    Blank,
    Blanks,
    Block,
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

TICK = "A tick is a reminder, not an interlock: it switches nothing off."
"""Beside the hold points of every test with the mains."""


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
        Paragraph((Text(_end(plan)),)),
        *((Heading(2, "The tests", "tests"), *tests) if tests else ()),
    )
    return Document(
        title=title, status=state, date=plan.stands_at[:10], running=f"{title} · {state}", blocks=blocks, bench=True
    )


def _end(plan: BenchPlan) -> str:
    if plan.left_out:
        return f"{plan.left_out} more tests are worth doing and did not go into the time."
    return f"After these: {plan.because}" if plan.tests else plan.because


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
    hours, minutes = divmod(plan.minutes, 60)
    yield Table(f"Order of the tests: {hours} h {minutes:02d} min in all", columns, rows)


def _test(test: PlannedTest) -> Iterator[Block]:
    yield Heading(3, f"{test.number} {test.title}", f"test-{test.number}")
    times = "" if test.repeats == 1 else f", {test.repeats} times"
    yield Paragraph(
        (
            Text(f"{test.stage}, {test.minutes} min{times}. ", Face.STRONG),
            Text(test.question),
            Text(f" {test.why}", Face.QUIET),
        )
    )
    if test.cautions:
        yield Callout(CalloutKind.CAUTION, "before the first step", _lines(test.cautions))
    if test.hold_points:
        reminder: Line = (Text(TICK),) if test.live else ()
        yield Callout(CalloutKind.HOLD, "Hold points", _lines(test.hold_points), ticks=True, below=reminder)
    yield Paragraph((Text("With: ", Face.STRONG), Text(test.instrument)))
    if test.simulator:
        yield _settings(test)
    yield Listing(_lines(test.steps), ordered=True)
    if test.stop_values:
        yield Callout(CalloutKind.HOLD, "Stop", _lines(test.stop_values))
    if test.transfers:
        yield Paragraph((Text(test.transfers),), Role.QUIET)
    yield from (_blanks(box) for box in test.boxes)


def _settings(test: PlannedTest) -> Table:
    columns = (
        Column("Position", 1.0),
        Column("Behind the diode", 2.6),
        Column("Diode", 0.7),
        Column("Meter reads (Ω)", 1.2),
        Column("High (V)", 1.1),
        Column("Low (V)", 1.1),
        Column("Asked of the unit", 1.7),
    )
    rows = tuple(
        Row(_lines((one.position, one.resistors, one.diode, one.meter, one.high_v, one.low_v, one.asks)))
        for one in test.simulator
    )
    return Table("Vehicle simulator, and what a nominal unit shows on it", columns, rows)


def _blanks(box: WriteBox) -> Blanks:
    said: list[Inline] = [Text(box.label, Face.STRONG)]
    if box.instead:
        said.append(Text(f" Or instead: {'; '.join(box.instead)}.", Face.QUIET))
    named = (choice.partition(": ") for choice in box.choices)
    return Blanks(
        label=tuple(said),
        boxes=_boxes(box),
        ticks=tuple((name, tuple(words.split(" | "))) for name, _, words in named),
        fields=tuple(Blank(before=name) for name in box.fields),
        typed=tuple(box.line.splitlines() if box.recorded_as == "claim" else _WHOLE.findall(box.line)),
        apart=box.recorded_as == "claim",
    )


def _boxes(box: WriteBox) -> tuple[Blank, ...]:
    if box.rows:
        return tuple(Blank(before=row) for row in box.rows)
    match box.recorded_as:
        case "answer":
            return ()
        case "capture" | "log" | "board":
            return (Blank(before="file", wide=True),) * box.blanks
        case "note":
            return (Blank(wide=True),) * box.blanks
        case _:
            return (Blank(behind=box.unit),) * box.blanks


_WHOLE = re.compile(r"""\[[^]]*\]|--\S+ "[^"]*"|--\S+ [^\s"]+|"[^"]*"|'[^']*'|\S+""")
"""The pieces of a line that are not torn: an option with its value, what may be left out, a text in quotes, a word."""
