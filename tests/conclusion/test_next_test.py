"""What to test next: what safety allows, what is worth it, and what stops the work."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.checks import CHECKS
from coldpin.conclusion import PLANS, advise
from coldpin.conclusion.next_test import done
from coldpin.conclusion.safety_order import (
    BEFORE_MAINS,
    BEFORE_SIMULATOR,
    COMES_FIRST,
    HOLD_POINTS,
    ORDER,
    known,
    waits_for,
    what,
)
from coldpin.records.case import Build, Cable, Electronics, UnitClass
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.plan import NextTest, Stage, TestOption
from tests.conclusion.findings import found, many_findings
from tests.conclusion.options import ALL, CAR, CUT, EARTH, HALF, HEATING, INSIDE, LEVELS, PASSED, PINS, UNIT, option

CLASSES = tuple(
    UnitClass(charging_mode=mode, build=build, cable=cable, electronics=electronics, phases=phases, connector=connector)
    for mode, build, electronics in (
        (1, Build.PORTABLE, Electronics.NONE),
        (2, Build.PORTABLE, Electronics.IN_CABLE),
        (2, Build.PORTABLE, Electronics.UNKNOWN),
        (3, Build.FIXED, Electronics.IN_WALL_UNIT),
    )
    for cable in Cable
    for phases in (1, 3)
    for connector in ("type 1", "type 2")
)
"""Every kind of unit that the program knows apart, as far as its checks ask."""


def told(*tests: TestOption, findings: tuple[Finding, ...] = (), **more: object) -> NextTest:
    """The advice on some tests."""
    return advise(UNIT, findings, tests, HALF, **more)  # type: ignore[arg-type]  # options by name


def test_no_work_with_the_mains_before_the_dead_hold_points() -> None:
    """With nothing recorded every test with the mains is held, and says what comes first."""
    advice = told(*ALL)

    assert advice.next is not None
    assert advice.next.stage in (Stage.DEAD, Stage.EXTRA_LOW_VOLTAGE)
    held = {one.test: " ".join(one.because) for one in advice.held}
    assert set(held) >= {"live-pins", "pilot-levels", "session-stop"}
    assert "first the earth resistance (earth-resistance.value)" in held["live-pins"]


@pytest.mark.parametrize("name", BEFORE_MAINS)
@pytest.mark.parametrize("outcome", [Outcome.BEYOND, Outcome.UNDECIDED])
def test_a_hold_point_that_is_not_passed_stops_the_mains(name: str, outcome: Outcome) -> None:
    """One hold point beyond or undecided, all others passed: no test with the mains is advised."""
    passed = (one for one in PASSED if one.id not in (name, "live-pins.uncoupled"))

    advice = told(PINS, LEVELS, CAR, findings=(*passed, found(name, "x", outcome)))

    assert advice.next is None
    assert "hold point" in advice.because
    assert bool(advice.stopped) is (outcome is Outcome.BEYOND)


def test_nothing_is_coupled_before_the_uncoupled_pins_are_seen_dead() -> None:
    """With the dead hold points passed the pins come first, the simulator is held."""
    dead = tuple(found(name, "x") for name in BEFORE_MAINS)

    advice = told(PINS, LEVELS, findings=dead)

    assert advice.next is not None
    assert advice.next.test == "live-pins"
    assert [one.test for one in advice.held] == ["pilot-levels"]


@pytest.mark.parametrize("stage", ORDER)
def test_a_stage_waits_for_those_that_come_first(stage: Stage) -> None:
    """A test of a stage is held while a test of one that comes first is worth doing."""
    late = option("late", "heating", stage, minutes=1)

    for first in COMES_FIRST[stage]:
        early = option("early", "conductor", first, minutes=100)
        advice = told(late, early, findings=PASSED)

        assert advice.next is not None
        assert advice.next.test == "early"
        assert any(str(first) in reason for held in advice.held for reason in held.because)


def test_dead_comes_before_live_and_destructive_last() -> None:
    """The table of what comes first says so, and never lets a stage wait for a later one."""
    assert Stage.DEAD in COMES_FIRST[Stage.MAINS]
    assert Stage.SIMULATOR in COMES_FIRST[Stage.CAR]
    assert COMES_FIRST[Stage.DESTRUCTIVE] == ORDER[:-1]
    for stage, before in COMES_FIRST.items():
        assert all(ORDER.index(one) < ORDER.index(stage) for one in before)


def test_what_is_undecided_is_measured_again_before_anything_is_opened() -> None:
    """A hold point undecided: its test comes again, with what to do better; nothing is opened meanwhile."""
    passed = (one for one in PASSED if one.id != "earth-resistance.value")
    doubtful = found("earth-resistance.value", "protective-earth", Outcome.UNDECIDED)
    measured = replace(EARTH, open=())

    advice = told(measured, PINS, LEVELS, INSIDE, CUT, findings=(*passed, doubtful))

    assert advice.next is not None
    assert advice.next.test == "earth-resistance"
    assert "Undecided so far" in advice.because
    assert "coldpin correct" in advice.because
    held = {one.test: " ".join(one.because) for one in advice.held}
    assert "undecided is the earth resistance (earth-resistance.value)" in held["pilot-levels"]
    assert {"pilot-distance", "conductor-metal"} <= set(held)


def test_what_extra_low_voltage_left_undecided_is_open_for_the_mains() -> None:
    """It passes no hold point and fails none; what the mains left undecided is no pass."""
    low = found("live-pins.uncoupled", "supply-switching", Outcome.UNDECIDED, supply="extra-low voltage")
    mains = found("live-pins.uncoupled", "supply-switching")

    assert not known((low,)).answered("live-pins.uncoupled")
    assert known((low, mains)).within("live-pins.uncoupled")
    assert known((mains, found("live-pins.uncoupled", "x", Outcome.UNDECIDED))).undecided("live-pins.uncoupled")


def test_what_concludes_alone_leaves_no_test_worth_it() -> None:
    """A decisive finding: the advice names it and stops."""
    live = found("live-pins.uncoupled", "supply-switching", Outcome.BEYOND, decisive=True)

    advice = told(*ALL, findings=(live,))

    assert not advice.worth_it
    assert advice.next is None
    assert "concludes alone ('live pins uncoupled')" in advice.because
    assert advice.no_change


def test_a_test_that_bears_on_nothing_is_not_worth_it() -> None:
    """No bearing, no answer that a function lacks: it is listed among what changes nothing."""
    idle = replace(option("pilot-ripple", "pilot-signal"), bearings=(), answers=())

    advice = told(idle)

    assert not advice.worth_it
    assert advice.no_change == ("pilot-ripple",)
    assert advice.because == "No test is worth it: none that is left would change what may be said."
    assert told().because == "Nothing is left to test."


def test_a_function_that_is_lost_draws_no_test_of_its_own() -> None:
    """Where the earth is faulty already, what bears on nothing else comes after."""
    broken = found("earth-resistance.value", "protective-earth", Outcome.BEYOND)
    again = replace(option("again", "protective-earth"), answers=())

    advice = told(again, HEATING, findings=(broken, found("wiring.earth-through", "x")))

    assert advice.next is not None
    assert advice.next.test == "temperature-rise"
    assert "again" in advice.no_change


def test_what_opens_the_case_comes_first_whatever_the_ranking_says() -> None:
    """The first question goes before a test that would change more."""
    first = option("first", "wiring", Stage.EXTRA_LOW_VOLTAGE, minutes=50, comes_first=True)

    advice = told(EARTH, first)

    assert advice.next is not None
    assert advice.next.test == "first"
    assert "first question" in advice.because


def test_a_test_left_out_is_not_advised_and_passes_no_hold_point() -> None:
    """Without the earth resistance there is no work with the mains."""
    advice = told(EARTH, PINS, without=("earth-resistance",))

    assert advice.next is None


@given(
    many_findings(),
    st.sampled_from(CLASSES),
    st.sets(st.sampled_from(("wiring", "earth-resistance", "pilot-insulation", "housing-insulation", "live-pins"))),
)
def test_a_hold_point_left_out_holds_what_is_live_and_what_is_opened(
    findings: list[Finding], unit: UnitClass, without: set[str]
) -> None:
    """For any findings: while a hold point is open and its test left out, nothing live or opened is ever advised."""
    from coldpin.standards.book import load_book
    from coldpin.workbench.advising import fault_modes, not_working, options_for

    options = options_for(unit, findings, ())
    seen = known(findings)
    asked = {name for one in options if one.test in without for name in one.answers} & HOLD_POINTS
    still_open = {name for name in asked if not seen.answered(name) or seen.undecided(name)}

    advice = advise(unit, findings, options, not_working(load_book()), fault_modes(), without=without)

    advised = (*((advice.next,) if advice.next else ()), *advice.after_it)
    if still_open:
        live = {one.test for one in options if one.live}
        assert not [one for one in advised if one.test in live or one.stage in (Stage.OPENED, Stage.DESTRUCTIVE)]
        grave = [one for one in advice.held if one.test in live or one.stage in (Stage.OPENED, Stage.DESTRUCTIVE)]
        assert all("left out: nothing live and nothing on the opened unit" in one.because[0] for one in grave)
    elif not asked:
        assert not any("left out" in reason for one in advice.held for reason in one.because)


def test_following_the_advice_without_a_hold_point_never_opens_the_unit() -> None:
    """All that is left is dead work; then the advice says what was left out."""
    options: tuple[TestOption, ...] = ALL
    findings = tuple(one for one in PASSED if one.id != "earth-resistance.value")
    done_so_far = []
    while True:
        advice = told(*options, findings=findings, without=("earth-resistance",))
        if advice.next is None:
            break
        done_so_far.append(advice.next.stage)
        options = tuple(done(one) if one.test == advice.next.test else one for one in options)

    assert set(done_so_far) <= {Stage.DEAD, Stage.EXTRA_LOW_VOLTAGE}
    assert "'earth-resistance' was left out" in advice.because


def test_a_test_left_out_after_its_hold_point_was_passed_holds_nothing() -> None:
    """Its finding is there: there is nothing more to record."""
    advice = told(EARTH, PINS, LEVELS, findings=PASSED, without=("earth-resistance",))

    assert advice.next is not None
    assert advice.next.stage is Stage.SIMULATOR


def test_every_answer_that_a_function_or_a_test_waits_for_is_asked_for_in_words() -> None:
    """No id of a check stands in a sentence."""
    from coldpin.workbench.advising import options_for

    after = [name for one in options_for(UNIT, (), ()) for name in one.after]
    for name in (*HOLD_POINTS, *(name for plan in PLANS for name in plan.asks), *after):
        assert not what(name).startswith("the answer of"), name


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_every_live_check_waits_for_the_dead_hold_points(check: object) -> None:
    """By its stage, whatever its own record says."""
    from coldpin.workbench.advising import options_for

    made = [one for one in options_for(UNIT, (), ()) if check.id in one.checks and one.live]  # type: ignore[attr-defined]  # a check

    for one in made:
        assert set(waits_for(one)) >= set(BEFORE_MAINS)
        if one.stage is not Stage.MAINS:
            assert set(waits_for(one)) >= {*BEFORE_MAINS, *BEFORE_SIMULATOR}


@given(many_findings(), st.sampled_from(CLASSES))
def test_whatever_was_found_no_live_test_is_advised_against_a_hold_point(
    findings: list[Finding], unit: UnitClass
) -> None:
    """For any set of findings and any kind of unit: every live test that is advised has all hold points within."""
    from coldpin.standards.book import load_book
    from coldpin.workbench.advising import fault_modes, not_working, options_for

    worst: dict[str, set[Outcome]] = {}
    aside = {one.check for one in findings if one.id == f"{one.check}.not-applicable"}
    for one in findings:
        if one.transfers:
            worst.setdefault(one.id, set()).add(one.outcome)

    options = options_for(unit, findings, ())
    advice = advise(unit, findings, options, not_working(load_book()), fault_modes())

    live = {one.test: one for one in options if one.live}
    for test in (*((advice.next,) if advice.next else ()), *advice.after_it):
        if test.test in live:
            for name in waits_for(live[test.test]):
                assert worst.get(name, {Outcome.NOT_APPLICABLE}) <= {Outcome.WITHIN, Outcome.NOT_APPLICABLE}
                assert name in worst or name.split(".")[0] in aside
    if any(one.decisive and one.outcome is Outcome.BEYOND and one.transfers for one in findings):
        assert advice.next is None


def test_reach_is_not_needed_to_stop() -> None:
    """A live pin by construction stops the mains as well."""
    live = found("wiring.switched", "supply-switching", Outcome.BEYOND, reach=Reach.CONSTRUCTION.value, absence=True)

    assert told(PINS, findings=(live,)).stopped == ("No work with the mains: 'wiring switched' is beyond.",)
