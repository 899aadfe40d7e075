"""The plan as sheets of paper for the bench: of each test the cautions first, then steps, then boxes to write in."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from coldpin.records.plan import DESK, FILL_IN, BenchPlan, Place, PlannedTest, WriteBox, place_of
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
    stops = (Callout(CalloutKind.HOLD, "Hold", _lines(plan.stopped)),) if plan.stopped else ()
    state = f"As of {plan.stands_at[:16].replace('T', ' ')}" if plan.stands_at else "Nothing recorded yet"
    blocks: tuple[Block, ...] = (
        Heading(1, title, "plan"),
        Paragraph((Text(f"{state}. {plan.conclusion_now}"),), Role.QUIET),
        Callout(CalloutKind.CAUTION, "Before everything", _lines(plan.cautions)),
        *stops,
        *_order(plan),
        Listing(_lines((*plan.notes, FILL_IN, plan.simulator))),
        Paragraph((Text("Name and day: ____________________________"),)),
        Paragraph((Text(_end(plan)),)),
        *_tests(plan.tests),
    )
    return Document(
        title=title, status=state, date=plan.stands_at[:10], running=f"{title} · {state}", blocks=blocks, bench=True
    )


def _end(plan: BenchPlan) -> str:
    if plan.left_out:
        return f"{plan.left_out} more tests are worth doing and are not on this sheet."
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
        Row(
            _lines(
                (
                    f"{one.number}  {one.title}",
                    DESK if one.claims else str(one.stage),
                    str(one.minutes),
                    f"{one.until_minutes}",
                    "□",
                )
            )
        )
        for one in plan.tests
    )
    hours, minutes = divmod(plan.minutes, 60)
    yield Table(f"Order of the tests: {hours} h {minutes:02d} min in all", columns, rows)


def _tests(tests: tuple[PlannedTest, ...]) -> Iterator[Block]:
    """Return the tests under the places where work changes hands; what many of them repeat is said once.

    Cautions that several tests with the mains share stand numbered where that work begins, and each of these tests
    names those that are its own; steps that an earlier test told word for word are named by their numbers there.
    """
    common = _common(tests)
    begun: set[Place] = set()
    told: dict[int, tuple[str, ...]] = {}
    for test in tests:
        place = place_of(test.stage)
        if place not in begun:
            begun.add(place)
            yield Heading(2, place.value, f"place-{len(begun)}")
            if place is Place.MAINS and common:
                numbered = (f"{number}. {text}" for number, text in enumerate(common, 1))
                title = "numbered: each test below names those that are its own"
                yield Callout(CalloutKind.CAUTION, title, _lines(numbered))
        told[test.number] = _steps(test, told)
        yield from _test(test, common if place is Place.MAINS else (), told[test.number])


def _common(tests: tuple[PlannedTest, ...]) -> tuple[str, ...]:
    """Return the cautions that several tests with the mains share, in their order."""
    counted = Counter(
        text for test in tests if test.live and place_of(test.stage) is Place.MAINS for text in test.cautions
    )
    return tuple(text for text, times in counted.items() if times > 1)


def _cautions(test: PlannedTest, common: tuple[str, ...]) -> tuple[str, ...]:
    """Return the cautions of a test, those that stand at the head of its place by their numbers."""
    numbers = [number for number, text in enumerate(common, 1) if test.live and text in test.cautions]
    own = tuple(text for text in test.cautions if not test.live or text not in common)
    if not numbers:
        return own
    return (f"Read again at the head of '{Place.MAINS.value}': cautions {in_runs(numbers)}.", *own)


def in_runs(numbers: Sequence[int]) -> str:
    """Write numbers with their runs drawn together.

    Parameters
    ----------
    numbers : sequence of int
        In rising order.

    Returns
    -------
    str
        With "and" before the last.

    Examples
    --------
    >>> in_runs([1, 2, 3, 5, 7, 8])
    '1 to 3, 5, 7 and 8'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said: list[str] = []
    for run in runs:
        said += [f"{run[0]} to {run[-1]}"] if len(run) > TOLD_APART else [str(number) for number in run]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"


TOLD_APART = 2
"""Numbers of a run up to which each is told."""
REPEATED = 3
"""Steps, one after the other, from which on an earlier test that told them is named instead."""


def _steps(test: PlannedTest, told: Mapping[int, tuple[str, ...]]) -> tuple[str, ...]:
    """Return the steps of a test as they are printed; a run printed before is named by its numbers there."""
    best = max(
        (
            (length, -number, at, there)
            for number, others in told.items()
            for length, at, there in _runs(test.steps, others)
        ),
        default=(0, 0, 0, 0),
    )
    length, number, at, there = best
    if length < REPEATED:
        return test.steps
    said = f"As in test {-number}, steps {there + 1} to {there + length}, word for word."
    return (*test.steps[:at], said, *test.steps[at + length :])


def _runs(steps: tuple[str, ...], others: tuple[str, ...]) -> Iterator[tuple[int, int, int]]:
    """Return the runs of steps that two tests share: how long, and where it begins in each."""
    for at in range(len(steps)):
        for there in range(len(others)):
            length = 0
            while steps[at + length : at + length + 1] == others[there + length : there + length + 1] != ():
                length += 1
            if length:
                yield length, at, there


def _test(test: PlannedTest, common: tuple[str, ...], steps: tuple[str, ...]) -> Iterator[Block]:
    yield Heading(3, f"{test.number} {test.title}", f"test-{test.number}")
    times = "" if test.repeats == 1 else f", {test.repeats} times"
    yield Paragraph(
        (
            Text(f"{DESK if test.claims else test.stage}, {test.minutes} min{times}. ", Face.STRONG),
            Text(test.question),
            Text(f" {test.why}", Face.QUIET),
        )
    )
    if test.cautions:
        yield Callout(CalloutKind.CAUTION, "before the first step", _lines(_cautions(test, common)))
    if test.hold_points:
        reminder: Line = (Text(TICK),) if test.live else ()
        yield Callout(CalloutKind.HOLD, "Hold points", _lines(test.hold_points), ticks=True, below=reminder)
    yield Paragraph((Text("With: ", Face.STRONG), Text(test.instrument)))
    if test.simulator:
        yield _settings(test)
    yield Listing(_lines(steps), ordered=True)
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
