"""What trips where it should hold is a nuisance and no failure to protect: findings, functions, scenarios and uses."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coldpin.checks import run_checks
from coldpin.conclusion.event_tree import chance_of
from coldpin.conclusion.functions import judge_functions
from coldpin.conclusion.public import plain_function
from coldpin.conclusion.scenario_chances import best_chances
from coldpin.conclusion.scenarios import known, set_scenarios
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.scenario import Weather
from coldpin.standards.book import load_book
from coldpin.workbench.injury import zones_of
from coldpin.workbench.shock_evidence import trip_time
from tests.checks.bench import PORTABLE, entry, evidence
from tests.conclusion.findings import found, many_findings

BOOK = load_book()
AC = "trip time with alternating residual current"
NAME = "residual-current"
ROWS = ("threshold", "raised", "high")
SWITCHING = ("wiring.switched", "live-pins.uncoupled", "live-pins.state-b", "live-pins.state-c")
PARENT = tuple(found(name, "supply-switching") for name in SWITCHING)
TIMES = {"31 mA ± 0.5 mA": "24 ms", "62 mA ± 1 mA": "22 ms", "155 mA ± 2 mA": "20 ms"}


def tried(half: str, times: dict[str, str] | None = None) -> dict[str, Finding]:
    """Six operations at each current, and at 14 mA what is said; all on the mains."""
    given = {**(TIMES if times is None else times), "14 mA ± 0.2 mA": half}
    entries = [_operations(current, reading, way) for current, reading in given.items() for way in ("0°", "180°")]
    return {one.id: one for one in run_checks(evidence(*entries)).findings if one.check == "residual-alternating"}


def _operations(current: str, reading: str, way: str) -> Entry:
    return entry(
        AC,
        name=f"{current}-{way}",
        readings=(reading,) * 3,
        instrument="scope",
        conditions={"current": current, "start": way},
    )


HELD = tried("> 10 s ± 0.1 s")
NUISANCE = tried("40 ms")
LATE = tried("40 ms", {**TIMES, "31 mA ± 0.5 mA": "900 ms"})


def functions_of(findings: dict[str, Finding]) -> dict[str, ProtectiveFunction]:
    """The functions by id, the contacts of a sound unit beside."""
    return {one.id: one for one in judge_functions(PORTABLE, (*PARENT, *findings.values()))}


def chances(findings: dict[str, Finding]) -> dict[str, tuple[object, ...]]:
    """The probability of every scenario's worst ending, with all that was not shown working, and with none of it."""
    functions, all_ = functions_of(findings).values(), (*PARENT, *findings.values())
    zones = zones_of(BOOK, functions, all_)
    sets = set_scenarios(BOOK, known(functions, all_), zones=zones)
    return {
        one.plan.id: tuple(
            chance_of(one.tree, best_chances(one, lambda _, works=works: works), one.plan.severity)  # type: ignore[misc]  # bound now
            for works in (False, True)
        )
        for one in sets
    }


@pytest.mark.hand("acting at 14.2 mA at most, where 15 mA must be held")
def test_a_trip_at_half_is_beyond_and_the_function_tells_of_it() -> None:
    """The finding stays, the function is faulty and says that its protection is shown; so does the plain sentence."""
    trips, one = NUISANCE["residual-alternating.held"], functions_of(NUISANCE)[NAME]

    assert (trips.outcome, trips.early, trips.functions) == (Outcome.BEYOND, True, (NAME,))
    assert [NUISANCE[f"residual-alternating.{row}"].outcome for row in ROWS] == [Outcome.WITHIN] * 3
    assert (one.state, one.protects, one.protecting) == (FunctionState.FAULTY, *(FunctionState.SHOWN,) * 2)
    assert one.because == (
        f"{trips.statement} Acting too soon takes no protection away, and what it protects from is shown."
    )
    assert plain_function(one) == (
        "It acts too soon, and so for nothing; in these tests it cuts the power when current leaks."
    )


@pytest.mark.hand("the same trip times: the same shocks, cut off as soon")
def test_a_nuisance_trip_raises_no_risk_above_the_device_without_it() -> None:
    """Every scenario is as likely as with a device that holds, and a person's shock as short."""
    functions = functions_of(HELD)

    assert functions[NAME].state is FunctionState.SHOWN
    assert functions[NAME].protects is None
    assert chances(NUISANCE) == chances(HELD)
    states = {one.id: one.protecting for one in functions_of(NUISANCE).values()}
    assert trip_time(NUISANCE, states) == trip_time(HELD, {name: one.state for name, one in functions.items()})


@pytest.mark.hand("0.9 s of 0.3 s at 31 mA")
def test_what_is_late_as_well_does_not_protect() -> None:
    """The late one is the reason; with trip times that were not read its protection is open, as without it."""
    late, bare = functions_of(LATE)[NAME], functions_of(tried("40 ms", {}))[NAME]

    assert (late.state, late.protects) == (FunctionState.FAULTY, None)
    assert late.because == LATE["residual-alternating.threshold"].statement
    assert chances(LATE)["damage-without-device"] > chances(HELD)["damage-without-device"]
    assert (bare.state, bare.protects) == (FunctionState.FAULTY, FunctionState.NOT_SHOWN)
    assert bare.because.endswith("whether it protects was not shown.")
    assert "nobody can say from these tests whether it cuts the power" in plain_function(bare)


@pytest.mark.hand("a rise that trips at 12 mA, below 15 mA; one that trips at 40 mA, above 30 mA, as slowly as it rose")
@pytest.mark.parametrize(("at", "early"), [("12 mA ± 0.1 mA", True), ("40 mA ± 0.1 mA", False)])
def test_a_rise_is_early_below_its_band_and_not_above(at: str, early: bool) -> None:
    """Both are beyond; only the first protects."""
    rise = entry(
        "trip current with rising alternating residual current",
        readings=(at,) * 3,
        instrument="scope",
        conditions={"rate": "1 mA/s", "start": "0°"},
    )
    told = {one.id: one for one in run_checks(evidence(rise)).findings}["residual-alternating.rise"]

    assert (told.outcome, told.early) == (Outcome.BEYOND, early)


@settings(max_examples=30, deadline=None)
@given(many_findings(), st.sampled_from(("residual-alternating.held", "residual-smooth.held")))
def test_acting_too_soon_stands_for_protection_as_holding_does(findings: list[Finding], name: str) -> None:
    """Whatever else was found: beyond and early protects as the same finding within, and never shows more."""
    function = NAME if name.startswith("residual-a") else "residual-smooth"
    rest = [one for one in findings if one.id != name]
    held = found(name, function)
    early = replace(held, outcome=Outcome.BEYOND, early=True)
    after, before = (
        {one.id: one for one in judge_functions(PORTABLE, (*rest, last))}[function] for last in (early, held)
    )

    assert after.protecting is before.state
    assert after.state in (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)


@pytest.mark.parametrize("weather", tuple(Weather))
def test_a_person_is_cut_off_as_soon(weather: Weather) -> None:
    """The zone of a shock that the unit cuts off is the same."""
    zones = [zones_of(BOOK, functions_of(one).values(), one.values())[weather] for one in (HELD, NUISANCE)]

    assert zones[0] == zones[1]
    assert zones[0].own
