"""Which test changes the conclusion most per minute at the bench, among those that the safety order allows.

What a test may change is reckoned in :mod:`~coldpin.conclusion.expected_gain`, what may be done before what in
:mod:`~coldpin.conclusion.safety_order`; here both meet. A test that waits for hold points is ranked with the tests that
pass them, gain and minutes together, and the best one of these that is allowed goes first. A hold point that is
undecided is measured again before anything is opened.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from coldpin.conclusion.expected_gain import ADVISED_AGAINST, CONCLUDES_ALONE, Situation, gain, situation
from coldpin.conclusion.functions import PLANS
from coldpin.conclusion.safety_order import (
    COMES_FIRST,
    HOLD_POINTS,
    ORDER,
    Held,
    Known,
    failed_hold_points,
    left_open,
    stands_before,
    what,
)
from coldpin.records.case import UnitClass
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.plan import FaultMode, HeldTest, NextTest, RankedTest, Stage, TestOption

WORTH_PER_MINUTE = 1e-4
"""Ours: under six thousandths of a step of the public sentence in an hour's work, a test is not worth it. [1/min]"""

BEFORE_PUBLISHING = (
    "Read it once more, without the mains where that can be, and photograph it, for it bears the whole conclusion; "
    "keep the specimen from use; then write the report, ask the seller, publish."
)
"""What is left to be done where a finding concludes alone."""

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


def _grave(option: TestOption) -> bool:
    """Say whether a test puts the mains on, or opens or spoils the specimen."""
    return option.live or option.stage in (Stage.OPENED, Stage.DESTRUCTIVE)


def held_for(missed: Iterable[TestOption]) -> str:
    """Say what is held where tests of hold points were left out.

    Parameters
    ----------
    missed : iterable of TestOption
        The tests that were left out.

    Returns
    -------
    str
        A clause, which names them.
    """
    titles = [f"'{option.title}'" for option in missed]
    be, it = ("was", "it is") if len(titles) == 1 else ("were", "they are")
    return (
        f"{' and '.join(titles)} {be} left out: nothing live and nothing on the opened unit is advised until {it} "
        "recorded"
    )


def _worth(option: TestOption, gained: float) -> bool:
    return gained / option.minutes >= WORTH_PER_MINUTE


def _allowed(
    candidates: list[TestOption], standing: Mapping[str, Held], state: Situation
) -> tuple[list[TestOption], tuple[HeldTest, ...]]:
    """Part the tests into those that may be done now and those that may not, with the reason."""
    allowed: list[TestOption] = []
    held: list[HeldTest] = []
    reachable = [option for option in candidates if _needed(option, standing, state) is not None]
    missed = left_open(state.options, state.seen, state.without)
    for option in candidates:
        stands = standing[option.test]
        because = [held_for(missed)] if missed and _grave(option) else []
        because += [*stands.failed, *(f"first {what(name)} ({name})" for name in stands.wanted)]
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
    missed = left_open(state.options, state.seen, state.without)
    if missed:
        return f"No test is allowed: {held_for(missed)}."
    if worthy:
        return "No test is allowed: a hold point stands before each that would change the conclusion."
    if left:
        return "No test is worth it: none that is left would change what may be said."
    return "Nothing is left to test."
