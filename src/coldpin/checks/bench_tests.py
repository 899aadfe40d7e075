"""What is one sitting at the bench: checks that one procedure answers together, and milder tests that go before.

A check asks one question; a test is what a person does. One capture of the pilot answers ten checks, so these are one
test and its minutes count once. A test may also be a part of a check's procedure that can be done earlier or only later
than the rest: those stand in `PARTS`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache

from coldpin.checks import all_checks, find_check
from coldpin.checks.cautions import PROVE_DEAD
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure
from coldpin.checks.supply import LOW
from coldpin.errors import UnknownName
from coldpin.records.plan import Stage

LOW_SOURCE = (
    "Only from an isolated source of extra-low voltage that limits its current to an ampere or less; the lead's plug "
    "goes into a socket that is wired to this source and to nothing else."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchTest:
    """One test: the checks it answers, its procedure, and what is written down.

    ``id`` is that of its first check, or its own. ``part_answers`` are the only findings that it can bring where it is
    a part of a check's procedure; empty for a whole one, of which ``left_to_parts`` are those that only a part can
    bring. ``bears`` are its own bearings where it is a part. ``conditions`` are stated with every entry. ``first`` and
    ``needless_after`` are as in :class:`~coldpin.records.plan.TestOption`.
    """

    id: str
    title: str
    question: str
    checks: tuple[Check, ...]
    procedure: Procedure
    part_answers: tuple[str, ...] = ()
    left_to_parts: tuple[str, ...] = ()
    bears: tuple[Bearing, ...] = ()
    records: tuple[Need, ...] = ()
    conditions: Mapping[str, str] = field(default_factory=dict)
    first: str = ""
    needless_after: str = ""

    @property
    def live(self) -> bool:
        """Whether the mains is on in any of its steps."""
        return self.procedure.level is Level.LIVE


def _low_pins() -> BenchTest:
    check = find_check("live-pins")
    return BenchTest(
        id="live-pins-low",
        title="Pins live with nothing connected, at extra-low voltage",
        question="Does what is fed into the plug stand at the connector's pins while nothing is connected?",
        checks=(check,),
        procedure=replace(
            check.bench,
            level=Level.EXTRA_LOW_VOLTAGE,
            stage=Stage.EXTRA_LOW_VOLTAGE,
            instrument="isolated source of 12 V to 24 V that limits its current; voltmeter with a low-impedance input",
            minutes=5,
            cautions=(LOW_SOURCE, PROVE_DEAD),
            steps=(
                "The plug in no mains socket, the connector on no car: feed line and neutral with 12 V to 24 V.",
                "Read between every two power pins of the connector, and from each to earth; write down the largest.",
                "Turn the feed round and read again. Write down the voltage of the feed.",
            ),
            hold_points=(),
            stop_values=("The feed stands at the pins: this concludes alone, the mains would add nothing but danger.",),
            transfers="A voltage seen here transfers to the mains; its absence does not, for contacts need the mains.",
        ),
        part_answers=("live-pins.uncoupled",),
        bears=(Bearing(function="supply-switching", within_if_works=0.995, within_if_not=0.6),),
        records=(Need(shows="output with nothing connected"),),
        conditions={"supply": LOW, "input": "low impedance"},
        needless_after="wiring.switched",
    )


def _order() -> BenchTest:
    check = find_check("wiring")
    return BenchTest(
        id="wiring-closed",
        title="Order of the poles, contacts held closed",
        question="Does each pole lead to the pin of its name once the contacts are closed?",
        checks=(check,),
        procedure=replace(
            check.bench,
            level=Level.DESTRUCTIVE,
            stage=Stage.OPENED,
            steps=(
                (
                    "Unplugged and proved dead, the unit open: hold the contacts closed from an isolated bench supply "
                    "at their coil, or with an insulated wedge."
                ),
                "Read every pair of the map again, and state that the contacts were held closed.",
            ),
            hold_points=(),
        ),
        part_answers=("wiring.order",),
        bears=(Bearing(function="wiring", within_if_works=0.99, within_if_not=0.05),),
        records=(Need(shows="wiring map", conditions={"contacts": ("held closed",)}),),
        conditions={"contacts": "held closed"},
        first="wiring",
    )


PARTS = ("live-pins-low", "wiring-closed")
"""Tests that are a part of a check's procedure, to be done earlier or later than the rest."""

FIRST_QUESTION = "live-pins-low"
"""The test that comes first while nothing is known of what it asks: five minutes, and its answer concludes alone."""


@cache
def bench_tests() -> tuple[BenchTest, ...]:
    """Return all tests in the order of the checks, those that are parts beside their check.

    Returns
    -------
    tuple of BenchTest
        Each check is in one whole test.

    Examples
    --------
    >>> [test.id for test in bench_tests()][:3]
    ['live-pins-low', 'markings', 'wiring']
    """
    together: dict[tuple[object, ...], list[Check]] = {}
    for check in all_checks():
        bench = check.bench
        key = (bench.when, bench.instrument, bench.minutes, bench.repeats, bench.steps)
        together.setdefault(key, []).append(check)
    whole = [_whole(tuple(checks)) for checks in together.values()]
    return (_low_pins(), *whole, _order())


def _whole(checks: tuple[Check, ...]) -> BenchTest:
    first = checks[0]
    left = _order().part_answers if find_check("wiring") in checks else ()
    holds = tuple(dict.fromkeys(hold for check in checks for hold in check.bench.hold_points))
    cautions = tuple(dict.fromkeys(caution for check in checks for caution in check.bench.cautions))
    after = tuple(dict.fromkeys(name for check in checks for name in check.bench.after))
    needs = tuple(need for check in checks for need in (*check.needs, *check.also))
    return BenchTest(
        id=first.id,
        title=first.title if len(checks) == 1 else f"{first.title} and what comes with it",
        question=first.question,
        checks=checks,
        procedure=replace(first.bench, hold_points=holds, cautions=cautions, after=after),
        left_to_parts=left,
        records=tuple(need for need in needs if need.shows),
    )


def find_test(name: str) -> BenchTest:
    """Return a test by its id, or that which answers a check.

    Parameters
    ----------
    name : str
        Id of a test or of a check.

    Returns
    -------
    BenchTest
        The test.

    Raises
    ------
    UnknownName
        There is neither; the message lists the tests.

    Examples
    --------
    >>> find_test("pilot-duty").id
    'pilot-levels'
    """
    tests = bench_tests()
    for test in tests:
        if test.id == name:
            return test
    for test in tests:
        if test.id not in PARTS and any(check.id == name for check in test.checks):
            return test
    raise UnknownName.among("test or check", name, [test.id for test in tests])
