r"""Which test changes the conclusion most per minute at the bench, among those that the safety order allows.

For each function there are ways in which it may not work: the faults that the checks were tried on, and one for
all others. Before any test these share a prior by judgement evenly; each check that found nothing makes them less
likely, each way by its own chance b that the check is within all the same (Bayes). With p what is then thought of each
way, a test finds a fault that is there with

.. math:: P(found) = \sum_{ways} p \, (1 - \prod_{checks} b)

A finding against a function that works is no gain and is not counted. All this ranks tests and is told nowhere: what
may be said of a function rests on findings alone.

The conclusion is counted in steps of the public sentence: from "no objection" to "not recommended" is one, on to
"advised against" another; and all functions shown, where nothing was found, is one as well, of which each answer that a
function still lacks is a share. A test that waits for hold points is ranked with the tests that pass them, gain and
minutes together, and the best one of these that is allowed goes first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from coldpin.conclusion.functions import PLANS, judge_functions
from coldpin.conclusion.safety_order import (
    COMES_FIRST,
    HOLD_POINTS,
    ORDER,
    Held,
    Known,
    failed_hold_points,
    known,
    stands_before,
    what,
)
from coldpin.records.case import UnitClass
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.plan import FaultMode, HeldTest, NextTest, RankedTest, Stage, TestOption

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

WORTH_PER_MINUTE = 1e-4
"""Ours: under six thousandths of a step of the public sentence in an hour's work, a test is not worth it. [1/min]"""

BEFORE_PUBLISHING = (
    "Read it once more, without the mains where that can be, and photograph it, for it bears the whole conclusion; "
    "keep the specimen from use; then write the report, ask the seller, publish."
)
"""What is left to be done where a finding concludes alone."""

LOST = (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)
"""States of which no further test changes anything; what is shown may still be overturned."""

NONE, NOT_RECOMMENDED, ADVISED_AGAINST = range(3)
"""Where the public sentence stands."""

ASSUMPTIONS = (
    (
        "How likely a function is thought not to work is a judgement (coldpin sources prior). It ranks tests and says "
        "nothing of this specimen."
    ),
    (
        "Checks are taken as independent of each other: a second test of one thing may rank too high, or too low where "
        "the first found nothing."
    ),
    "Minutes are those of each procedure, without fetching and setting up instruments.",
)


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


def advise(
    unit: UnitClass,
    findings: Iterable[Finding],
    options: Iterable[TestOption],
    not_working: Mapping[str, float],
    modes: Iterable[FaultMode] = (),
    *,
    case: str = "",
    said: str = "",
    without: Iterable[str] = (),
) -> NextTest:
    """Say which test to do next, or that none is worth it.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.
    findings : iterable of Finding
        All findings so far.
    options : iterable of TestOption
        All tests that such a unit can be put to, with those done.
    not_working : mapping
        By function, and for "other": how likely it is thought, before any test, not to work. [1]
    modes : iterable of FaultMode
        Ways in which functions may not work.
    case, said : str
        Title of the case and its public sentence, for the record.
    without : iterable of str
        Ids of tests that are not to be done.

    Returns
    -------
    NextTest
        The advice.
    """
    state = situation(unit, findings, options, not_working, modes, without)
    stopped = failed_hold_points(state.seen)
    undecided = tuple(title for name, title in state.seen.titles.items() if state.seen.worst[name] is Outcome.UNDECIDED)
    left = [option for option in state.options if _left(option, state)]
    gains = {option.test: gain(option, state) for option in left}
    worthy = [option for option in left if _worth(option, gains[option.test])]
    standing = {option.test: stands_before(option, state.seen) for option in left}
    opening = {one.test for option in worthy for one in _needed(option, standing, state) or ()}
    opening |= {option.test for option in left if option.comes_first and state.sentence != ADVISED_AGAINST}
    candidates = [option for option in left if option in worthy or option.test in opening]
    allowed, held = _allowed(candidates, standing, state)
    ranked = _ranked(allowed, worthy, standing, gains, state)
    told = tuple(_told(option, gains[option.test], state) for option in ranked)
    return NextTest(
        schema="coldpin.next_test/1",
        case=case,
        conclusion_now=said,
        worth_it=bool(told),
        because=_why(ranked[0], state) if told else _why_none(state, candidates, left),
        next=told[0] if told else None,
        after_it=told[1:],
        held=held,
        no_change=tuple(option.title for option in left if option not in candidates),
        undecided=tuple(dict.fromkeys(undecided)),
        stopped=stopped,
        assumptions=ASSUMPTIONS,
    )


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
        if function.state in LOST:
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


def suppose_within(option: TestOption, seen: Known) -> tuple[Finding, ...]:
    """Return the findings that a test would bring if it found nothing.

    Parameters
    ----------
    option : TestOption
        The test.
    seen : Known
        What is known.

    Returns
    -------
    tuple of Finding
        One for each answer that is open, and for each check without one; none of them was measured. A test at extra-low
        voltage that finds nothing shows nothing of the closed unit, and brings none.
    """
    if option.needless_after:
        return ()
    functions = {name: tuple(plan.id for plan in PLANS if name in plan.asks) for name in option.answers}
    bears = {check: tuple(b.function for b in option.bearings if b.check == check) for check in option.checks}
    names = [name for name in option.answers if not seen.answered(name) or seen.undecided(name)]
    covered = {name.split(".")[0] for name in names}
    names += [f"{check}.supposed" for check in option.open if check not in covered]
    return tuple(
        Finding(
            id=name,
            check=name.split(".")[0],
            title="supposed",
            statement="Supposed for the plan: nothing is found.",
            outcome=Outcome.WITHIN,
            reach=Reach.SPECIMEN,
            functions=functions.get(name) or bears.get(name.split(".")[0], ()),
        )
        for name in names
    )


def done(option: TestOption) -> TestOption:
    """Return a test as it stands once it was done.

    Parameters
    ----------
    option : TestOption
        The test.

    Returns
    -------
    TestOption
        With no check open; it then brings nothing that it did not bring.
    """
    return replace(option, open=(), answers=())


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


def _left(option: TestOption, state: Situation) -> bool:
    """Say whether a test still has something to ask: a check without answer, or an answer that a function lacks."""
    if option.test in state.without:
        return False
    if option.needless_after and state.seen.within(option.needless_after):
        return False
    return bool(option.open) or bool(_asked(option, state))


def _asked(option: TestOption, state: Situation) -> list[str]:
    """Return the answers that a test can bring and that are open, with the hold points that are undecided."""
    seen = state.seen
    return [n for n in option.answers if not seen.answered(n) or (n in HOLD_POINTS and seen.undecided(n))]


def _worth(option: TestOption, gained: float) -> bool:
    return gained / option.minutes >= WORTH_PER_MINUTE


def _allowed(
    candidates: list[TestOption], standing: Mapping[str, Held], state: Situation
) -> tuple[list[TestOption], tuple[HeldTest, ...]]:
    """Part the tests into those that may be done now and those that may not, with the reason."""
    allowed: list[TestOption] = []
    held: list[HeldTest] = []
    reachable = [option for option in candidates if _needed(option, standing, state) is not None]
    for option in candidates:
        stands = standing[option.test]
        because = [*stands.failed, *(f"first {what(name)} ({name})" for name in stands.wanted)]
        because += [f"undecided is {what(name)} ({name})" for name in stands.undecided]
        before = [one for one in reachable if one.stage in COMES_FIRST[option.stage]]
        if before:
            stages = " and ".join(dict.fromkeys(f"'{one.stage}'" for one in before))
            because.append(f"what is worth doing at {stages} comes first ({len(before)} left)")
        milder = next((one for one in state.options if one.test == option.first and _left(one, state)), None)
        if milder is not None:
            because.append(f"first '{milder.title}'")
        if because:
            told = tuple(dict.fromkeys(because))
            held.append(HeldTest(test=option.test, title=option.title, stage=option.stage, because=told))
        else:
            allowed.append(option)
    return allowed, tuple(held)


def _needed(
    option: TestOption, standing: Mapping[str, Held], state: Situation, above: frozenset[str] = frozenset()
) -> tuple[TestOption, ...] | None:
    """Return the tests that must go before a test, in their order; None where it cannot be reached."""
    stands = standing.get(option.test) or stands_before(option, state.seen)
    if stands.failed or option.test in above:
        return None
    found: dict[str, TestOption] = {}
    for name in (*stands.wanted, *stands.undecided):
        # what is needless once the map is within can fail this hold point and not pass it
        answering = [
            one for one in state.options if name in one.answers and not one.needless_after and _left(one, state)
        ]
        ways = [(one, _needed(one, standing, state, above | {option.test})) for one in answering]
        way = next(((one, before) for one, before in ways if before is not None), None)
        if way is None:
            return None
        for one in (*way[1], way[0]):
            found.setdefault(one.test, one)
    return tuple(found.values())


def _ranked(
    allowed: list[TestOption],
    worthy: list[TestOption],
    standing: Mapping[str, Held],
    gains: Mapping[str, float],
    state: Situation,
) -> list[TestOption]:
    """Return the tests that may be done now, best first: each by the best bundle it begins."""
    best = {option.test: gains[option.test] / option.minutes for option in allowed}
    names = {option.test for option in allowed}
    for target in worthy:
        needed = _needed(target, standing, state)
        if not needed or target.stage in (Stage.CAR, Stage.OPENED, Stage.DESTRUCTIVE):
            continue
        bundle = (*needed, target)
        rate = sum(gains.get(one.test, 0.0) for one in bundle) / sum(one.minutes for one in bundle)
        for one in bundle:
            if one.test in names:
                best[one.test] = max(best[one.test], rate)
    place = {option.test: number for number, option in enumerate(state.options)}
    return sorted(
        allowed,
        key=lambda one: (
            not one.comes_first,
            -best[one.test],
            -gains[one.test] / one.minutes,
            ORDER.index(one.stage),
            place[one.test],
        ),
    )


def _told(option: TestOption, gained: float, state: Situation) -> RankedTest:
    asked = _asked(option, state)
    bears = dict.fromkeys(
        [bearing.function for bearing in option.bearings if bearing.check in option.open]
        + [plan.id for plan in PLANS if any(name in plan.asks for name in asked)]
    )
    return RankedTest(
        test=option.test,
        title=option.title,
        question=option.question,
        stage=option.stage,
        minutes=option.minutes,
        gain=gained,
        gain_per_minute=gained / option.minutes,
        would_answer=tuple(dict.fromkeys(what(name) for name in asked)),
        bears_on=tuple(state.functions[name].title for name in bears if name in state.functions),
        concludes_alone=any(check in CONCLUDES_ALONE for check in option.open),
        check=(option.open or option.checks)[0],
        claims=option.claims,
    )


def _why(option: TestOption, state: Situation) -> str:
    again = [state.seen.titles[name] for name in _asked(option, state) if state.seen.undecided(name)]
    if again:
        return (
            f"Undecided so far, and a hold point of what follows: {', '.join(again)}. Measure it again, with an "
            "instrument that is fine enough and whose accuracy stands in shelf.toml, and let the new entry replace the "
            "earlier one: coldpin correct."
        )
    if option.comes_first and not state.seen.low.isdisjoint(option.answers):
        return (
            "The first question of every case, and what was read decides nothing without the instrument's accuracy: "
            "state it in shelf.toml and correct the entry (coldpin correct), or read again."
        )
    if option.comes_first:
        return (
            f"The first question of every case: it takes {option.minutes} minutes, and a voltage at the open pins "
            "concludes alone."
        )
    asked = list(dict.fromkeys(what(name) for name in _asked(option, state)))
    alone = "; its answer may conclude alone" if any(check in CONCLUDES_ALONE for check in option.open) else ""
    told = f" It tells {', '.join(asked[:3])}{' and more' if len(asked) > 3 else ''}{alone}." if asked else ""
    return f"Of what may be done now it changes the conclusion most for its {option.minutes} minutes.{told}"


def _why_none(state: Situation, worthy: list[TestOption], left: list[TestOption]) -> str:
    if state.sentence == ADVISED_AGAINST:
        titles = ", ".join(f"'{state.seen.titles[name]}'" for name in dict.fromkeys(state.seen.decisive))
        more = " What was not tested may be added to the report, and changes nothing of that." if left else ""
        return f"No test is worth it: what was found concludes alone ({titles}). {BEFORE_PUBLISHING}{more}"
    if worthy:
        return "No test is allowed: a hold point stands before each that would change the conclusion."
    if left:
        return "No test is worth it: none that is left would change what may be said."
    return "Nothing is left to test."
