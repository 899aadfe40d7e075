"""What to test next, and the plan of a day at the bench: records of advice, of tests and of the boxes to write in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from coldpin.records.assessment import Problem


class Stage(StrEnum):
    """What a test does to the specimen and to whoever stands beside it, in the order in which it may be done."""

    DEAD = "dead"
    EXTRA_LOW_VOLTAGE = "extra-low voltage"
    MAINS = "mains, no vehicle"
    SIMULATOR = "mains, vehicle simulator"
    CAR = "mains, a car"
    OPENED = "opened"
    DESTRUCTIVE = "destructive"


DESK = "at the desk"
"""Where a test is done of which only claims are missing: plate, print and papers are read, and nothing is measured."""


class Place(StrEnum):
    """Between which the bench is cleared: what the stages of a test have in common for whoever stands there."""

    DEAD = "Without the mains"
    MAINS = "With the mains"
    CAR = "On a car"
    OPENED = "On the opened unit"
    DESTRUCTIVE = "What destroys it"


def place_of(stage: Stage) -> Place:
    """Return where a test of a stage is done.

    Parameters
    ----------
    stage : Stage
        Of the test.

    Returns
    -------
    Place
        The mains with and without a simulator are one, dead and at extra-low voltage another.

    Examples
    --------
    >>> place_of(Stage.SIMULATOR).value
    'With the mains'
    """
    return _PLACES[stage]


_PLACES = {
    Stage.DEAD: Place.DEAD,
    Stage.EXTRA_LOW_VOLTAGE: Place.DEAD,
    Stage.MAINS: Place.MAINS,
    Stage.SIMULATOR: Place.MAINS,
    Stage.CAR: Place.CAR,
    Stage.OPENED: Place.OPENED,
    Stage.DESTRUCTIVE: Place.DESTRUCTIVE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TestBearing:
    """How far one check of a test speaks for a function: how likely it is within where the function works, and not.

    These chances rank tests. They are never told as the probability that a function works.
    """

    __test__ = False

    check: str
    function: str
    within_if_works: float
    within_if_not: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultMode:
    """One way in which a function may not work: how likely each check is within all the same.

    ``within`` holds the checks that were tried with it; ``other`` is true for what no trial covers: then each check's
    own bearing holds.
    """

    function: str
    fault: str
    within: Mapping[str, float]
    other: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TestOption:
    """One test as the ranking sees it: what it asks, how long it takes, how dangerous it is, what it speaks for.

    ``checks`` are those that it answers in one sitting, ``open`` those of them that have no answer yet. ``answers`` are
    ids of findings that it can bring. ``live`` is true where the mains is on in any step. ``after`` are ids of findings
    that must be within before its first step, beside those that its stage asks for. ``first`` names a test that asks
    the same in a milder way and goes before it. ``needless_after`` is a finding that, once within, leaves this test
    nothing to ask. ``claims`` are keys of ``case.toml`` that it waits for. ``comes_first`` marks the test that opens a
    case, whatever the ranking says.
    """

    __test__ = False

    test: str
    title: str
    question: str
    stage: Stage
    live: bool
    minutes: int
    checks: tuple[str, ...]
    open: tuple[str, ...]
    answers: tuple[str, ...]
    bearings: tuple[TestBearing, ...]
    after: tuple[str, ...] = ()
    first: str = ""
    needless_after: str = ""
    claims: tuple[str, ...] = ()
    comes_first: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedTest:
    """A test with what it may change: the larger ``gain_per_minute``, the sooner it should be done.

    ``gain`` is the expected change of the conclusion, in steps of the public sentence; both rank tests against each
    other and mean nothing else. ``would_answer`` says in words what is asked and open, ``bears_on`` are titles of
    functions, ``check`` is that whose procedure tells how it is done.
    """

    __test__ = False

    test: str
    title: str
    question: str
    stage: Stage
    minutes: int
    gain: float
    gain_per_minute: float
    would_answer: tuple[str, ...]
    bears_on: tuple[str, ...]
    concludes_alone: bool
    check: str
    claims: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldTest:
    """A test that may not be done yet, or not at all: ``because`` says which hold point stands in the way."""

    __test__ = False

    test: str
    title: str
    stage: Stage
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTest:
    """What to test next, in the form that ``coldpin next --json`` prints.

    ``worth_it`` is false where no test that is allowed would change what may be said; ``next`` is then None and
    ``because`` says why. ``after_it`` are other tests that are allowed now, best first; ``held`` those that a hold
    point stands before; ``no_change`` those that would add to the report and not change the conclusion; ``undecided``
    are titles of what was measured and was too uncertain to say, where a finer instrument would help. ``stopped`` names
    failed hold points: no work with the mains until they are answered. ``problems`` are things given that could not be
    used: the advice knows nothing of them.
    """

    schema: Literal["coldpin.next_test/1"]
    case: str
    conclusion_now: str
    worth_it: bool
    because: str
    next: RankedTest | None
    after_it: tuple[RankedTest, ...]
    held: tuple[HeldTest, ...]
    no_change: tuple[str, ...]
    undecided: tuple[str, ...]
    stopped: tuple[str, ...]
    assumptions: tuple[str, ...]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WriteBox:
    """One thing to be written down, with the line that types it straight back.

    ``label`` says what it is, ``blanks`` how many empty boxes there are, ``unit`` what stands behind each. ``rows`` are
    the pairs of a wiring map, each with a box of its own, or claims. ``line`` is the command: every ``____`` is filled
    in from the boxes, and what stands in square brackets may be left out. Where ``recorded_as`` is "claim" it is no
    command but what is written into ``case.toml``. ``choices`` are conditions with the words of which one is ticked,
    ``fields`` what else is written down with it. ``instead`` names other entries of which one serves. ``conditions``
    are those that the line states already.
    """

    shows: str
    label: str
    recorded_as: str
    unit: str
    blanks: int
    rows: tuple[str, ...]
    line: str
    choices: tuple[str, ...] = ()
    fields: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()
    conditions: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatorSetting:
    """How the vehicle simulator is set for a test, and what a nominal generator then shows. [V]

    ``meter`` is what a meter may read between pilot and earth with the diode bridged, to prove it before use. [Ω]
    """

    position: str
    resistors: str
    diode: str
    meter: str
    high_v: str
    low_v: str
    asks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTest:
    """One test of the plan: cautions first, then hold points, steps, stop values, and boxes to write in."""

    number: int
    test: str
    title: str
    question: str
    why: str
    stage: Stage
    live: bool
    minutes: int
    until_minutes: int
    instrument: str
    cautions: tuple[str, ...]
    hold_points: tuple[str, ...]
    steps: tuple[str, ...]
    stop_values: tuple[str, ...]
    repeats: int
    transfers: str
    simulator: tuple[SimulatorSetting, ...]
    claims: tuple[str, ...]
    boxes: tuple[WriteBox, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPlan:
    """The plan from here on, supposing that no test finds anything, in the form that ``coldpin plan --json`` prints.

    ``stands_at`` is when the newest entry was written: a later entry makes the plan an old one.
    """

    schema: Literal["coldpin.plan/1"]
    case: str
    folder: str
    stands_at: str
    conclusion_now: str
    minutes: int
    tests: tuple[PlannedTest, ...]
    left_out: int
    because: str
    stopped: tuple[str, ...]
    cautions: tuple[str, ...]
    simulator: str
    notes: tuple[str, ...]
    problems: tuple[Problem, ...] = ()


FILL_IN = "In the lines, fill in ____ ; what stands in square brackets may be left out, brackets and all."
"""Said where the lines of the command line are printed."""
