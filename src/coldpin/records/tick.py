"""What was ticked off at the bench, and how each test of a plan stands: reminders, never evidence."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from pydantic import ConfigDict

from coldpin.records.plain import STRICT
from coldpin.records.plan import BenchPlan, HeldTest, PlannedTest, Stage, WriteBox


class LineKind(StrEnum):
    """What a line of a test asks for."""

    HOLD = "hold point"
    STEP = "step"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A line of a test ticked off, or its tick taken back: who, when, and the line word for word.

    ``recorded`` is when, ISO 8601 with zone. ``test`` is the id of the test.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    id: str
    recorded: str
    who: str
    test: str
    kind: LineKind
    words: str
    taken_back: bool = False


class TestState(StrEnum):
    """How a test of a plan stands."""

    __test__ = False

    OPEN = "open"
    WAITS = "waits"
    RECORDED = "recorded"


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchLine:
    """A hold point or a step of a test, with its tick; ``waits_for`` is what stands before it, if anything does.

    ``id`` names it among all lines of a plan, by its words: a line that a later version words otherwise is another.
    ``next`` marks the first line of the plan that is open.
    """

    id: str
    kind: LineKind
    words: str
    tick: Tick | None = None
    waits_for: str = ""
    next: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedBy:
    """The entry that fills a box: its id, who made it and when."""

    entry: str
    who: str
    made: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchBox:
    """A box of a test, with the entries that fill it by now; the rest is as in :class:`BenchLine`.

    ``ticked`` is false where entries of its kind are there and leave the question open all the same.
    """

    box: WriteBox
    entries: tuple[RecordedBy, ...] = ()
    ticked: bool = False
    waits_for: str = ""
    next: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TestAtBench:
    """A test of the plan as it stands at the bench.

    ``waits_for`` are the hold points that stand before it, in words. While there are any, no line of it is ticked.
    """

    __test__ = False

    test: PlannedTest
    state: TestState
    waits_for: tuple[str, ...]
    lines: tuple[BenchLine, ...]
    boxes: tuple[BenchBox, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneTest:
    """A test that has its answer, by the entries that it rests on."""

    test: str
    title: str
    stage: Stage
    entries: tuple[RecordedBy, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededInstrument:
    """What is needed on the bench, and the numbers of the tests in which it is used."""

    instrument: str
    tests: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchProgress:
    """The plan as it stands at the bench.

    Parameters
    ----------
    plan : BenchPlan
        The plan; its tests stand under ``tests``.
    tests : tuple of TestAtBench
        Those that are open, in the order of the plan.
    done : tuple of DoneTest
        Those that have their answer.
    held : tuple of HeldTest
        Those that may not be done yet and are in no plan, with what stands in the way.
    no_change : tuple of str
        Titles of those that would add to the report and not change what may be said.
    instruments : tuple of NeededInstrument
        What the plan needs on the bench.
    """

    plan: BenchPlan
    tests: tuple[TestAtBench, ...]
    done: tuple[DoneTest, ...]
    held: tuple[HeldTest, ...]
    no_change: tuple[str, ...]
    instruments: tuple[NeededInstrument, ...]
