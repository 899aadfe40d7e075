r"""What a test may change of the conclusion: the expected change, in steps of the public sentence.

For each function there are ways in which it may not work: the faults that the checks were tried on, and one for
all others. Before any test these share a prior by judgement evenly; each check that found nothing makes them less
likely, each way by its own chance b that the check is within all the same (Bayes). With p what is then thought of each
way, a test finds a fault that is there with

.. math:: P(found) = \sum_{ways} p \, (1 - \prod_{checks} b)

A finding against a function that works is no gain and is not counted. All this ranks tests and is told nowhere: what
may be said of a function rests on findings alone.

The conclusion is counted in steps of the public sentence: from "no objection" to "not recommended" is one, on to
"advised against" another; and all functions shown, where nothing was found, is one as well, of which each answer that a
function still lacks is a share.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from coldpin.conclusion.functions import PLANS, judge_functions
from coldpin.conclusion.safety_order import Known, known
from coldpin.records.case import UnitClass
from coldpin.records.finding import Finding, Outcome
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.plan import FaultMode, TestOption

CONCLUDES_ALONE: Mapping[str, tuple[str, ...]] = {
    "wiring": ("protective-earth", "pilot-separation"),
    "earth-resistance": ("protective-earth",),
    "live-pins": ("supply-switching",),
    "supply-return": ("supply-switching",),
    "offer-plug": ("current-offer",),
    "pilot-distance": ("pilot-separation",),
    "low-voltage-distance": ("pilot-separation",),
    "bridging-parts": ("pilot-separation",),
    "surface-distance": ("touch-separation",),
    "parts-inside": ("pilot-separation", "supply-switching"),
}
"""Checks that may find what concludes alone, and the functions of which."""

LOST = (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)
"""States of which no further test changes anything; what is shown may still be overturned."""

NONE, NOT_RECOMMENDED, ADVISED_AGAINST = range(3)
"""Where the public sentence stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What is known, judged: the functions, where the sentence stands, what each function still lacks.

    ``thought`` holds, by function, each way in which it may not work with how likely that is thought after what was
    found, and the judged bearings by check: it ranks, and is told nowhere.
    """

    seen: Known
    functions: Mapping[str, ProtectiveFunction]
    lacking: Mapping[str, tuple[str, ...]]
    sentence: int
    options: tuple[TestOption, ...]
    thought: Mapping[str, tuple[tuple[FaultMode, float], ...]]
    without: frozenset[str]


def gain(option: TestOption, state: Situation) -> float:
    r"""Return the expected change of the conclusion by a test, in steps of the public sentence.

    Parameters
    ----------
    option : TestOption
        The test.
    state : Situation
        What is known.

    Returns
    -------
    float
        At least 0. [1]
    """
    if state.sentence == ADVISED_AGAINST:
        return 0.0
    share = 1.0 / len(state.functions)
    nothing = nothing_decisive = 1.0
    practice = settled = 0.0
    for name, function in state.functions.items():
        if function.protecting in LOST:
            continue
        found, alone = _finds(option, name, state)
        if function.duty:
            nothing *= 1.0 - found
            nothing_decisive *= 1.0 - alone
        else:
            practice += found
        lacking = state.lacking[name]
        if lacking:
            settled += (1.0 - found) * sum(asked in option.answers for asked in lacking) / len(lacking)
    any_fault, decisive = 1.0 - nothing, 1.0 - nothing_decisive
    first = any_fault if state.sentence == NONE else share * any_fault
    return first + decisive + share * (practice + settled)


def _finds(option: TestOption, function: str, state: Situation) -> tuple[float, float]:
    """Return how likely a test finds something against a function, and something that concludes alone."""
    checks = frozenset(option.open)
    alone = frozenset(check for check in checks if function in CONCLUDES_ALONE.get(check, ()))
    own = {b.check: b.within_if_not for b in option.bearings if b.function == function}

    def found(among: frozenset[str]) -> float:
        return sum(
            thought * (1.0 - math.prod(_within(way, check, own) for check in among))
            for way, thought in state.thought[function]
        )

    return found(checks), found(alone)


def _within(way: FaultMode, check: str, own: Mapping[str, float]) -> float:
    """Return how likely a check is within where a function does not work in this way; a part has its own bearing."""
    return way.within.get(check, own.get(check, 1.0))


def situation(
    unit: UnitClass,
    findings: Iterable[Finding],
    options: Iterable[TestOption],
    not_working: Mapping[str, float],
    modes: Iterable[FaultMode] = (),
    without: Iterable[str] = (),
) -> Situation:
    """Judge what is known so far.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.
    findings : iterable of Finding
        All findings so far.
    options : iterable of TestOption
        All tests that such a unit can be put to.
    not_working : mapping
        By function, and for "other": how likely it is thought, before any test, not to work. [1]
    modes : iterable of FaultMode
        Ways in which functions may not work.
    without : iterable of str
        Ids of tests that are not to be done.

    Returns
    -------
    Situation
        The functions as judged, what each lacks, where the public sentence stands.
    """
    listed, tests = tuple(findings), tuple(options)
    functions = {function.id: function for function in judge_functions(unit, listed)}
    seen = known(listed)
    nothing = _nothing_found(listed)
    ways: dict[str, list[FaultMode]] = {}
    for mode in modes:
        ways.setdefault(mode.function, []).append(mode)
    wanting = any(function.duty and function.state in LOST for function in functions.values())
    return Situation(
        seen=seen,
        functions=functions,
        lacking={
            plan.id: tuple(name for name in plan.asks if not seen.answered(name))
            for plan in PLANS
            if plan.id in functions
        },
        sentence=ADVISED_AGAINST if seen.decisive else NOT_RECOMMENDED if wanting else NONE,
        options=tests,
        thought={name: _thought(name, ways.get(name, ()), nothing, tests, not_working) for name in functions},
        without=frozenset(without),
    )


def _nothing_found(findings: Iterable[Finding]) -> frozenset[str]:
    """Return the checks that have answers for the closed unit, all of them within."""
    told: dict[str, set[Outcome]] = {}
    for finding in findings:
        if finding.transfers:
            told.setdefault(finding.check, set()).add(finding.outcome)
    return frozenset(check for check, outcomes in told.items() if outcomes == {Outcome.WITHIN})


def _thought(
    function: str,
    modes: Iterable[FaultMode],
    nothing_found: frozenset[str],
    options: Iterable[TestOption],
    not_working: Mapping[str, float],
) -> tuple[tuple[FaultMode, float], ...]:
    """Return the ways in which a function may not work, with how likely each is thought after what was found."""
    bearings = {b.check: b for option in options for b in option.bearings if b.function == function}
    judged = {check: bearing.within_if_not for check, bearing in bearings.items()}
    ways = [
        *(replace(mode, within={**judged, **mode.within}) for mode in modes),
        FaultMode(function=function, fault="", within=judged, other=True),
    ]
    prior = not_working.get(function, not_working["other"])
    works = (1.0 - prior) * math.prod(b.within_if_works for check, b in bearings.items() if check in nothing_found)
    shares = [
        prior / len(ways) * math.prod(chance for check, chance in way.within.items() if check in nothing_found)
        for way in ways
    ]
    whole = works + sum(shares)
    return tuple((way, share / whole) for way, share in zip(ways, shares, strict=True))
