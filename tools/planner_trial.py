"""A virtual bench for the planner: specimens with hidden faults, tested by its advice and in two other orders.

The advice is held against the list as it stands, first question first, and against the shortest test first within the
safety order. Each stops where a finding concludes alone. What is right is the truth of the hidden fault, written down
by hand, and not what the checks would say of it.

What a check says of a specimen is drawn from the measured table of detection (``checks/detection.toml``), check by
check: going through the whole virtual bench for each of some hundred specimens would take an hour and more. So the
planner's likelihoods and the specimens come from one table; that a bearing is wrong is not tried here. Checks that the
table does not cover take part in neither order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np

from coldpin.checks import CHECKS
from coldpin.checks.bench_tests import FIRST_QUESTION, bench_tests
from coldpin.checks.detection import OUTCOMES, SOUND, load_detection
from coldpin.checks.supply import LOW
from coldpin.conclusion import PLANS, advise
from coldpin.conclusion.expected_gain import ADVISED_AGAINST, NONE, NOT_RECOMMENDED, Situation, situation
from coldpin.conclusion.safety_order import BEFORE_MAINS, COMES_FIRST, known, stands_before
from coldpin.records.assessment import NotTested
from coldpin.records.case import Build, Cable, Electronics, UnitClass
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState
from coldpin.records.plan import TestOption
from coldpin.standards.book import load_book
from coldpin.workbench.advising import fault_modes, not_working, options_for

UNIT = UnitClass(
    charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED, electronics=Electronics.IN_CABLE, connector="type 2"
)
Right: TypeAlias = Callable[[Situation], bool]
"""Says of what is known whether its conclusion is right."""


def never(_: Situation) -> bool:
    """Wait for nothing, so that the bench goes on to its end."""
    return False


LIVE_THROUGH = ("pins always live", "bare generator")
"""Faults of which the dead map and a test at extra-low voltage show that the poles lead through."""

TRULY_CONCLUDES = frozenset(
    {
        *LIVE_THROUGH,
        *("live at power-up", "live on power return", "welded relay", "weld not noticed"),
        *("pilot track too near", "slot left out", "slot too narrow", "unused pin at the pilot"),
        *("low voltage too near", "optocoupler bridged"),
    }
)
"""Faults that put the mains on pins with nothing connected, or next to the pilot: advised against, as they are."""

IN_STATE = {
    "closes in B": "live-pins.state-b",
    "closes without offer": "live-pins.state-b",
    "one pole not switched": "live-pins.state-b",
    "slow to close": "live-pins.state-c",
    "pilot open": "live-pins.state-c",
    "pilot shorted": "live-pins.state-c",
}
"""In which state the pins are live that must be dead, or dead that must be live; uncoupled for any other fault."""

HOLDS = tuple(dict.fromkeys(name.split(".")[0] for name in BEFORE_MAINS))
"""Checks that hold points wait for: where the table knows nothing of one, it is within."""

CONCLUDE_ALONE = (
    "live-pins.uncoupled",
    "supply-return.uncoupled",
    "offer-plug.value",
    "wiring.earth-through",
    "wiring.pilot-alone",
)
BELOW_BASIC = ("pilot-distance.", "low-voltage-distance.", "bridging-parts.")


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualSpecimen:
    """A specimen with a hidden fault: what each check would say of it, and the functions that the fault takes away."""

    fault: str
    functions: tuple[str, ...]
    outcomes: Mapping[str, Outcome]


@dataclass
class Bench:
    """What was found of a specimen so far, in how many minutes, by which tests."""

    specimen: VirtualSpecimen
    findings: list[Finding] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    minutes: int = 0
    order: list[TestOption] = field(default_factory=list)
    course: list[tuple[int, Situation]] = field(default_factory=list)

    def options(self) -> tuple[TestOption, ...]:
        """Return the tests as they stand; those that the specimen cannot tell of are left out."""
        told = {finding.check for finding in self.findings if finding.transfers}
        waiting = [
            NotTested(check=check.id, title=check.title, why="nothing recorded yet", needs=("an entry",))
            for check in CHECKS
            if check.id not in told
        ]
        return options_for(UNIT, self.findings, waiting, self.entries)

    def ends(self, until: Right) -> bool:
        """Say whether nothing is left to be done: what was found concludes alone, or is what was waited for."""
        state = self.course[-1][1]
        return state.sentence == ADVISED_AGAINST or until(state)

    def do(self, option: TestOption) -> None:
        """Do a test: its minutes pass, and its checks say what they say of this specimen."""
        self.minutes += option.minutes
        self.order.append(option)
        if option.test == FIRST_QUESTION:
            self._low_pins()
        else:
            for check in option.open:
                self.findings += _findings(self.specimen, check)
        self.course.append((self.minutes, situation(UNIT, self.findings, (), _PRIORS)))

    def _low_pins(self) -> None:
        self.entries.append(
            Entry(
                id="low",
                kind=EntryKind.READING,
                shows="output with nothing connected",
                made="2026-05-02T10:00:00+00:00",
                recorded="2026-05-02T10:00:00+00:00",
                who="Ines",
                conditions={"supply": LOW},
            )
        )
        live = self.specimen.fault in LIVE_THROUGH
        outcome = Outcome.BEYOND if live else Outcome.WITHIN
        found = _finding("live-pins.uncoupled", "live-pins", outcome, ("supply-switching",))
        self.findings.append(replace(found, supply=LOW, transfers=live))


_PRIORS = not_working(load_book())


def draw_specimen(rng: np.random.Generator, fault: str) -> VirtualSpecimen:
    """Draw what each check says of a specimen with a fault.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where the draws come from.
    fault : str
        A fault of the table, or "sound".

    Returns
    -------
    VirtualSpecimen
        The specimen. What was not tried with this fault is drawn as of a sound one.
    """
    table = load_detection()
    outcomes: dict[str, Outcome] = {}
    for check in CHECKS:
        rows = [table.counts.get(one, {}).get(check.id) for one in (fault, SOUND)]
        row = next((row for row in rows if row is not None and any(row[:3])), None)
        if row is None:
            if check.id in HOLDS:
                outcomes[check.id] = Outcome.WITHIN
            continue
        shares = np.array(row[:3], dtype=float)
        drawn = rng.choice(3, p=shares / shares.sum())
        outcomes[check.id] = Outcome(OUTCOMES[int(drawn)])
    if fault in LIVE_THROUGH:
        outcomes["wiring"] = Outcome.BEYOND
    return VirtualSpecimen(fault=fault, functions=table.functions.get(fault, ()), outcomes=outcomes)


def hidden_faults() -> tuple[str, ...]:
    """Return the faults that take a function away and that some check finds.

    Returns
    -------
    tuple of str
        Their names.
    """
    table = load_detection()
    return tuple(
        fault
        for fault, functions in table.functions.items()
        if functions and any(table.count(fault, check.id, "beyond") for check in CHECKS)
    )


def by_advice(specimen: VirtualSpecimen, until: Right = never) -> Bench:
    """Test a specimen by the advice until no test is worth it.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    until : callable, optional
        Stops as soon as this is true of what is known.

    Returns
    -------
    Bench
        What was done and found.
    """
    bench = Bench(specimen)
    without = _untold(bench)
    while True:
        options = bench.options()
        told = advise(UNIT, bench.findings, options, _PRIORS, fault_modes(), without=without)
        if told.next is None:
            return bench
        bench.do(next(one for one in options if one.test == told.next.test))
        without = (*without, told.next.test)
        if bench.ends(until):
            return bench


def by_list(specimen: VirtualSpecimen, until: Right = never) -> Bench:
    """Test a specimen in the order of the list, each sitting once, but for what a failed hold point forbids.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    until : callable, optional
        Stops as soon as this is true of what is known.

    Returns
    -------
    Bench
        What was done and found.
    """
    bench = Bench(specimen)
    left_out = _untold(bench)
    for test in bench_tests():
        option = next((one for one in bench.options() if one.test == test.id), None)
        if option is None or test.id in left_out or not option.open:
            continue
        if not stands_before(option, known(bench.findings)).failed:
            bench.do(option)
            if bench.ends(until):
                break
    return bench


def by_shortest(specimen: VirtualSpecimen, until: Right = never) -> Bench:
    """Test a specimen by the shortest test first, as far as the safety order allows; the first question opens it.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    until : callable, optional
        Stops as soon as this is true of what is known.

    Returns
    -------
    Bench
        What was done and found.
    """
    bench = Bench(specimen)
    without = {*_untold(bench)}
    while True:
        seen = known(bench.findings)
        left = [one for one in bench.options() if one.test not in without and one.open]
        clear = [one for one in left if stands_before(one, seen).clear]
        stages = {one.stage for one in clear}
        allowed = [one for one in clear if not stages & set(COMES_FIRST[one.stage])]
        if not allowed:
            return bench
        option = min(allowed, key=lambda one: (not one.comes_first, one.minutes))
        bench.do(option)
        without.add(option.test)
        if bench.ends(until):
            return bench


def everything(specimen: VirtualSpecimen) -> Situation:
    """Return what would be known of a specimen if every check had its say, whatever the order and the danger.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    Situation
        All of it.
    """
    findings = [finding for check in CHECKS for finding in _findings(specimen, check.id)]
    return situation(UNIT, findings, (), _PRIORS)


def _untold(bench: Bench) -> tuple[str, ...]:
    """Return the tests that this specimen cannot tell anything of."""
    told = bench.specimen.outcomes
    silent = (one.test for one in bench.options() if not any(check in told for check in one.checks))
    return (*(test for test in silent if test != FIRST_QUESTION), "wiring-closed")


def minutes_until_right(bench: Bench, right: Right) -> int | None:
    """Return after how many minutes the conclusion is the right one.

    Parameters
    ----------
    bench : Bench
        What was done.
    right : callable
        Says of a situation whether its conclusion is right.

    Returns
    -------
    int or None
        None where it never is. [min]
    """
    return next((minutes for minutes, state in bench.course if right(state)), None)


def truth_of(specimen: VirtualSpecimen) -> int:
    """Return where the public sentence has to stand, by the hidden fault alone.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    int
        Advised against, not recommended, or neither where good practice alone is missing, or nothing.
    """
    if specimen.fault in TRULY_CONCLUDES:
        return ADVISED_AGAINST
    return NOT_RECOMMENDED if any(plan.duty for plan in PLANS if plan.id in specimen.functions) else NONE


def rightly(specimen: VirtualSpecimen) -> Right | None:
    """Return what tells whether a conclusion on a specimen is the right one.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    callable or None
        True where the public sentence stands where the truth would put it, for the right reason: a function that the
        fault takes away is known not to work, unless what was found concludes alone. None where all checks together
        would not come to that.
    """
    truth = truth_of(specimen)

    def right(state: Situation) -> bool:
        if state.sentence != truth:
            return False
        return truth == ADVISED_AGAINST or any(_known_lost(state, name) for name in specimen.functions)

    return right if right(everything(specimen)) else None


def _known_lost(state: Situation, function: str) -> bool:
    return state.functions[function].state in (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)


def _findings(specimen: VirtualSpecimen, check: str) -> Iterator[Finding]:
    outcome = specimen.outcomes.get(check)
    if outcome is None:
        return
    asked = [name for name in _ASKED if name.split(".")[0] == check and name != "wiring.order"] or [f"{check}.value"]
    blamed = _blamed(specimen, check, asked)
    for name in asked:
        functions = tuple(plan.id for plan in PLANS if name in plan.asks)
        if not functions:
            bears = next(one.bears for one in CHECKS if one.id == check)
            functions = tuple(bearing.function for bearing in bears)
        yield _finding(name, check, outcome if name == blamed else Outcome.WITHIN, functions)


_ASKED = tuple(dict.fromkeys(name for plan in PLANS for name in plan.asks))


def _blamed(specimen: VirtualSpecimen, check: str, asked: list[str]) -> str:
    if check == "live-pins":
        return IN_STATE.get(specimen.fault, "live-pins.uncoupled")
    if check == "wiring" and specimen.fault in LIVE_THROUGH:
        return "wiring.switched"
    ours = (name for name in asked if any(name in plan.asks for plan in PLANS if plan.id in specimen.functions))
    return next(ours, asked[0])


def _finding(name: str, check: str, outcome: Outcome, functions: Iterable[str]) -> Finding:
    return Finding(
        id=name,
        check=check,
        title=name,
        statement=f"{name} of a virtual specimen: {outcome}.",
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=tuple(functions),
        decisive=outcome is Outcome.BEYOND and (name in CONCLUDE_ALONE or name.startswith(BELOW_BASIC)),
    )
