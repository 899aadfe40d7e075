"""Injury scenarios: set by what was found, equal to what is worked by hand, and never better untested than shown."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.conclusion.event_tree import Ending, Fork, chance_of, severities
from coldpin.conclusion.scenario_chances import best_chances, drawn_chances, none_acts
from coldpin.conclusion.scenario_judging import judge_specimen
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.scenario_steps import StepKind
from coldpin.conclusion.scenarios import SetScenario, check_estimate, known, set_scenarios
from coldpin.errors import CaseError, OutsideRange
from coldpin.records.finding import Finding, Outcome, Reach, Standing
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.scenario import (
    Circuit,
    Circumstances,
    Earthing,
    InjuryScenario,
    OwnEstimate,
    OwnSeverity,
    Person,
    Place,
    ResidualType,
    RiskLevel,
    ShockZones,
    SpecimenRisk,
    Upstream,
    Watch,
    Weather,
)
from coldpin.standards.book import load_book
from coldpin.standards.injury_steps import step_span, zone_harm
from coldpin.standards.risk import LEVELS, exactly
from tests.conclusion.findings import found

BOOK = load_book()
ZONES = {weather: ShockZones(cut="AC-3", lasting="AC-4.3", because="for these tests") for weather in Weather}
GUARDS = tuple(dict.fromkeys(name for plan in SCENARIOS for step in plan.steps for name in step.functions))
STATES = (FunctionState.SHOWN, FunctionState.NOT_SHOWN, FunctionState.FAULTY)


PINS_LIVE = {"supply-switching": FunctionState.SHOWN_ABSENT, "access-protection": FunctionState.SHOWN}
OWN_SHOWN = {"residual-current": FunctionState.SHOWN, "ingress-protection": FunctionState.SHOWN}


def function(name: str, state: FunctionState) -> ProtectiveFunction:
    """A function in a state."""
    return ProtectiveFunction(
        id=name, title=name.capitalize(), question="", state=state, reach=Reach.SPECIMEN, findings=(), because=""
    )


def scenarios(
    states: dict[str, FunctionState] | None = None,
    *findings: Finding,
    circumstances: Circumstances | None = None,
    own: tuple[OwnEstimate, ...] = (),
    zones: dict[Weather, ShockZones] = ZONES,
) -> dict[str, SetScenario]:
    """Every scenario that arises, by id."""
    functions = [function(name, state) for name, state in (states or {}).items()]
    made = set_scenarios(BOOK, known(functions, findings), zones=zones, circumstances=circumstances, own=own)
    return {one.plan.id: one for one in made}


def judged(
    states: dict[str, FunctionState] | None = None, *findings: Finding, own: tuple[OwnEstimate, ...] = ()
) -> tuple[dict[str, InjuryScenario], SpecimenRisk]:
    """Every scenario judged, by id, and the specimen."""
    functions = [function(name, state) for name, state in (states or {}).items()]
    sets = set_scenarios(BOOK, known(functions, findings), zones=ZONES, own=own)
    told, risk = judge_specimen(BOOK, sets, functions=functions, findings=findings, zones=ZONES.values())
    return {one.id: one for one in told}, risk


def chance(scenario: SetScenario, *, works: bool = False, severity: int = 4) -> Fraction:
    """The probability by the best estimates."""
    return chance_of(scenario.tree, best_chances(scenario, lambda _: works), severity)


def test_every_step_has_its_rows_for_every_circumstance() -> None:
    """No value of a circumstance leads to a row that is not there, and every row of a step is used by some step."""
    used = set()
    values = {
        "weather": Weather, "place": Place, "person": Person, "upstream": Upstream, "residual_type": ResidualType,
        "earthing": Earthing, "circuit": Circuit, "watch": Watch,
    }  # fmt: skip
    for plan in SCENARIOS:
        for step in plan.steps:
            if step.kind is StepKind.ROW:
                states_ = ["works", "lost"] if step.functions else [""]
                assert len(step.by) <= 1, "one circumstance for one step, or the rows multiply"
                given_ = [value.value for name in step.by for value in values[name]] or [""]
                used |= {".".join(filter(None, ("injury", step.id, *ends))) for ends in product(given_, states_)}
    used |= {f"injury.upstream-absent.{value.value}" for value in Upstream}
    used |= {f"injury.half-waves-unseen.{kind.value}" for kind in ResidualType}
    used |= {"injury.upstream-idle", "injury.upstream-idle.tested", "injury.beta", "injury.mains-voltage"}
    used |= {row.limit.id for row in BOOK.under("injury.zone.")}

    assert {row.limit.id for row in BOOK.under("injury.")} == used
    for row in BOOK.under("injury."):
        if row.limit.unit == "1":
            span, _ = step_span(BOOK, row.limit.id)
            assert 0.0 <= span.low <= span.best <= span.high <= 1.0, row.limit.id


@pytest.mark.hand("what the test finger met decides what a finger meets; what a wire met does not")
@pytest.mark.parametrize(
    ("finger", "reach", "row", "rests_on"),
    [
        (Outcome.WITHIN, "by construction", "works", ("live-access.finger",)),
        (Outcome.WITHIN, "this specimen", "lost", ("live-access.finger",)),
        (Outcome.UNDECIDED, "by construction", "lost", ("live-access.wire",)),
        (Outcome.BEYOND, "by construction", "lost", ("live-access.finger", "live-access.wire")),
    ],
)
def test_a_finger_that_reaches_nothing_is_not_said_to_reach_a_pin(
    finger: Outcome, reach: str, row: str, rests_on: tuple[str, ...]
) -> None:
    """Though a wire does; but an open contact that keeps a finger off is no form, and the chain presumes it closed."""
    probes = (
        found("live-access.finger", "access-protection", finger, reach=reach),
        found("live-access.wire", "access-protection", Outcome.BEYOND, reach="by construction"),
    )
    faulty = replace(
        function("access-protection", FunctionState.FAULTY), findings=tuple(finding.id for finding in probes)
    )
    made = set_scenarios(BOOK, known([faulty], probes), zones=ZONES)
    (step,) = [
        step
        for one in made
        if one.plan.id == "touch-live-pins"
        for step in one.steps
        if step.plan.id == "finger-reaches"
    ]

    assert step.taken.value == row
    assert step.findings == rests_on
    assert step.open == ()


def test_every_estimate_is_published_or_called_a_judgement() -> None:
    """What is judgement says so, in its standing and in its source."""
    for row in BOOK.under("injury."):
        assert (row.limit.standing is Standing.JUDGEMENT) == row.limit.source.startswith("judgement"), row.limit.id


@pytest.mark.published("surveys of residual-current devices: UK 2007, Austria 1989 to 1991, Italy")
def test_the_surveys_of_devices_before_the_socket() -> None:
    """The step spans what the surveys found, and the Austrian share is its count."""
    austria = BOOK.row("survey.rcd.austria")
    shares = {row.limit.nominal or 0.0 for row in BOOK.under("survey.rcd.")}
    span, _ = step_span(BOOK, "injury.upstream-idle")

    assert shares == {0.038, 0.021, 0.064, 0.071, 0.028}
    assert austria.number("defective") / austria.number("tested") == pytest.approx(0.064, abs=0.0005)
    assert (span.low, span.high) == (min(shares), max(shares))
    assert pytest.approx(0.049, abs=0.0005) == 564e-9 * 10 * 8760, "564 FIT in ten years, as a size"


@pytest.mark.published("ISO 13849-1:2015, Table C.1 (memory): 0.1 x operations / B10d")
@pytest.mark.parametrize(
    ("load", "which"), [("small-load", "low"), ("nominal-load", "best"), ("greatest-load", "high")]
)
def test_a_weld_is_as_likely_as_its_operations_make_it(load: str, which: str) -> None:
    """Low, best and high are one charge a day for ten years at the three published loads."""
    operations = BOOK.row("injury.contact-welds").number("operations")
    span, _ = step_span(BOOK, "injury.contact-welds")
    expected = 0.1 * operations / BOOK.row(f"contact.b10d.{load}").number("b10d")

    assert getattr(span, which) == pytest.approx(expected, rel=0.02)


@pytest.mark.published("IEC 60479-1 zones: fibrillation up to 5 %, up to 50 %, above 50 %; none below c1")
def test_the_zones_share_out_fibrillation_at_the_printed_edges() -> None:
    """A higher zone is never milder, and edges meet."""
    harms = [zone_harm(BOOK, zone) for zone in ("AC-1", "AC-2", "AC-3", "AC-4.1", "AC-4.2", "AC-4.3")]

    assert [harm.fibrillation.best > 0.0 for harm in harms] == [False, False, False, True, True, True]
    assert (harms[3].fibrillation.high, harms[4].fibrillation.low) == (0.05, 0.05)
    assert (harms[4].fibrillation.high, harms[5].fibrillation.low) == (0.5, 0.5)
    for milder, graver in pairwise(harms):
        assert milder.severity <= graver.severity
        assert milder.severity_brief <= graver.severity_brief
        assert milder.fibrillation.best <= graver.fibrillation.best


@pytest.mark.hand("1 x 1 x 1/100 x 3/10 x (3/10 + 7/10 x 0.064) x 3/10 x 7/10, worked on paper")
def test_touching_live_pins_is_what_is_worked_by_hand() -> None:
    """With the switching shown absent: the product of its steps, exactly."""
    upstream = Fraction(3, 10) + Fraction(7, 10) * Fraction(64, 1000)
    by_hand = Fraction(1, 100) * Fraction(3, 10) * upstream * Fraction(3, 10) * Fraction(7, 10)

    assert chance(scenarios(PINS_LIVE)["touch-live-pins"]) == by_hand
    assert by_hand == Fraction(217_224, 10**9)


@pytest.mark.hand("own 1/100, before the socket 64/1000, beta 1/20: 0.05 x 0.01 / 0.01 + 0.95 x 0.064, on paper")
def test_two_protections_with_a_common_cause_are_not_squared() -> None:
    """Damaged cable behind a device that is there: the second does not act in 11 of 100 where the first does not."""
    both = Fraction(1, 100) * (Fraction(1, 20) + Fraction(95, 100) * Fraction(64, 1000))
    rest = Fraction(5, 100) * Fraction(1, 10) * Fraction(3, 10) * Fraction(3, 10) * Fraction(7, 10)

    assert chance(scenarios(OWN_SHOWN)["damage-behind-device"]) == both * rest


@pytest.mark.hand("where every protection acts the shock is cut off: a jolt, severity 1")
def test_a_shock_that_is_cut_off_is_a_milder_injury() -> None:
    """Up to the hand on a bare part the chain is the same; the injury is not."""
    scenario = scenarios(OWN_SHOWN)["damage-behind-device"]

    assert chance(scenario, severity=1) == Fraction(5, 100) * Fraction(1, 10) * Fraction(3, 10)
    assert severities(scenario.tree) == {1, 2, 4}


@pytest.mark.hand("a device that is slow enough leaves a share of hearts that stop")
def test_a_slow_device_leaves_a_share_of_fibrillation() -> None:
    """Where the cut-off shock lies above c1 it can still be fatal, and more so the higher its zone."""
    at = []
    for zone in ("AC-2", "AC-3", "AC-4.1", "AC-4.2"):
        zones = {weather: ShockZones(cut=zone, lasting="AC-4.3", because="") for weather in Weather}
        at.append(chance(scenarios({"residual-current": FunctionState.SHOWN}, zones=zones)["damage-behind-device"]))

    assert at[0] == at[1] < at[2] < at[3]


@pytest.mark.hand("a finding that concludes alone makes its step certain")
def test_a_decisive_finding_sets_its_step() -> None:
    """Pins found live are live, whatever was thought of them; the finding is named, and concludes before the rating."""
    live = found("live-pins.uncoupled", "supply-switching", Outcome.BEYOND, decisive=True, absence=True)
    told, risk = judged({"supply-switching": FunctionState.SHOWN_ABSENT}, live)
    step = next(one for one in told["touch-live-pins"].steps if one.id == "pins-live")

    assert step.span.certain
    assert step.findings == ("live-pins.uncoupled",)
    assert told["touch-live-pins"].decisive == ("live-pins.uncoupled",)
    assert told["plug-burns"].decisive == ()
    assert risk.decisive == ("live-pins.uncoupled",)
    assert risk.statement.startswith("One finding concludes before any of this")


@pytest.mark.hand("a finding on another supply, or one that is within, sets nothing")
@pytest.mark.parametrize("change", [{"transfers": False}, {"outcome": Outcome.WITHIN}, {"decisive": False}])
def test_what_does_not_conclude_sets_no_step(change: dict[str, object]) -> None:
    """The step stays as its function stands."""
    live = found("live-pins.uncoupled", "supply-switching", Outcome.BEYOND, decisive=True)
    held = {"supply-switching": FunctionState.NOT_SHOWN, "access-protection": FunctionState.SHOWN}
    told, _ = judged(held, replace(live, **change))  # type: ignore[arg-type]  # each is of its own kind

    assert told["touch-live-pins"].open_functions == ("supply-switching",)


@pytest.mark.hand("both bounds, and the function that decides between them")
def test_a_function_not_shown_enters_as_both_bounds() -> None:
    """The level is that without it; the other is told, with what moves it."""
    told, risk = judged(dict.fromkeys(GUARDS, FunctionState.SHOWN) | {"residual-current": FunctionState.NOT_SHOWN})
    one = told["damage-without-device"]

    assert (one.level, one.mildest.level) == (RiskLevel.SERIOUS, RiskLevel.MEDIUM)
    assert one.open_functions == ("residual-current",)
    assert one.mover == "own-residual"
    assert one.statement.startswith("If what was not shown ('Residual-current') does not work: serious")
    assert "If it works: medium" in one.statement
    assert (risk.level, risk.mildest) == (RiskLevel.SERIOUS, RiskLevel.MEDIUM)
    assert "If all that was not shown works it is medium" in risk.statement
    assert "It is serious only if 'Residual-current' does not work" in risk.statement
    assert "no test has shown either" in risk.statement


@pytest.mark.hand("a step that rests on two functions is lost with either, and open where one is not shown")
def test_a_step_on_two_functions() -> None:
    """Heating shown and offer not: only the offer is open."""
    shown, open_, faulty = FunctionState.SHOWN, FunctionState.NOT_SHOWN, FunctionState.FAULTY
    by = {
        pair: scenarios({"heating": pair[0], "current-offer": pair[1]})["plug-burns"]
        for pair in [(shown, shown), (shown, open_), (faulty, open_)]
    }

    assert by[shown, shown].open_functions == ()
    assert by[shown, open_].open_functions == ("current-offer",)
    assert by[faulty, open_].open_functions == ()
    assert chance(by[shown, shown]) == chance(by[shown, open_], works=True)
    assert chance(by[faulty, open_]) == chance(by[shown, open_])


@pytest.mark.hand("1 * 0.8 * 0.01 startled; 1 * 0.15 * the fire's own steps; what is found lost, against what is shown")
def test_a_fixed_unit_has_terminals_and_a_housing() -> None:
    """Worked by hand from the rows; what keeps current off the hand, and stays cool, lowers each."""

    def of(state: FunctionState) -> dict[str, SetScenario]:
        functions = [function(name, state) for name in ("touch-protection", "heating", "current-offer")]
        made = set_scenarios(BOOK, known(functions, [], fixed=True), zones=ZONES)
        return {one.plan.id: one for one in made}

    lost, shown = of(FunctionState.FAULTY), of(FunctionState.SHOWN)
    fire = chance(lost["joint-burns"]) / Fraction("0.1")

    assert chance(lost["charged-housing"], severity=2) == Fraction("0.008")
    assert chance(shown["charged-housing"], severity=2) == Fraction("0.00001")
    assert chance(lost["terminal-burns"]) == Fraction("0.15") * fire
    assert chance(shown["terminal-burns"]) == Fraction("0.002") * fire


@pytest.mark.hand("what heats the connector says nothing of a terminal; a hot plug side does; both rows beside it")
def test_heat_at_the_connector_leaves_the_terminal_of_the_supply_open() -> None:
    """Neither as found hot nor as found cool; any finding of another place counts against it."""

    def terminal(*beyond: str) -> SetScenario:
        hot = [found(name, "heating", Outcome.BEYOND) for name in beyond]
        faulty = replace(function("heating", FunctionState.FAULTY), findings=beyond)
        offered = function("current-offer", FunctionState.SHOWN)
        made = set_scenarios(BOOK, known([faulty, offered], hot, fixed=True), zones=ZONES)
        return next(one for one in made if one.plan.id == "terminal-burns")

    elsewhere = terminal("conductor-joints.connector-side", "plug-heating.pin")
    here = terminal("conductor-joints.connector-side", "temperature-rise.sheath")

    assert elsewhere.open_functions == ("heating",)
    assert here.open_functions == ()
    assert chance(elsewhere) == chance(here)
    assert chance(elsewhere, works=True) < chance(here, works=True)


@pytest.mark.hand("no contact, no weld; no device, none blinded; mode 1 has no pilot; a fixed unit has no plug")
def test_scenarios_that_do_not_arise() -> None:
    """They are left out and not called low."""
    assert "welded-contact" not in scenarios({"supply-switching": FunctionState.SHOWN_ABSENT})
    assert "direct-current-blinds" not in scenarios(circumstances=Circumstances(upstream=Upstream.NONE))
    fixed = {one.plan.id for one in set_scenarios(BOOK, known([], [], fixed=True), zones=ZONES)}
    outlet = {one.plan.id for one in set_scenarios(BOOK, known([], [], fixed=True, outlet=True), zones=ZONES)}
    assert set(scenarios()) - fixed == {"adaptor-chain", "hanging-plug-burns", "charged-plug", "plug-burns"}
    assert fixed - set(scenarios()) == {"terminal-burns", "charged-housing"}
    assert outlet - fixed == {"plug-burns"}
    assert fixed <= outlet
    mode_1 = known([], [], without_pilot=True)
    assert {one.plan.id: one for one in set_scenarios(BOOK, mode_1, zones=ZONES)}[
        "touch-live-pins"
    ].open_functions == ()


states = st.fixed_dictionaries({name: st.sampled_from(STATES) for name in GUARDS})


@given(states, st.sampled_from(GUARDS), st.sampled_from(list(pairwise(STATES))))
def test_adding_a_working_function_raises_no_risk(
    held: dict[str, FunctionState], name: str, better_worse: tuple[FunctionState, FunctionState]
) -> None:
    """Shown is never worse than untested, untested never than faulty: each scenario, severity, draw and bound."""
    better, worse = (scenarios({**held, name: state}) for state in better_worse)

    for id_, after in worse.items():
        before = better[id_]
        if not any(name in step.plan.functions for step in after.steps):
            assert best_chances(before) == best_chances(after)
            continue
        for severity in severities(after.tree):
            for works in (True, False):
                assert chance(before, works=works, severity=severity) <= chance(after, works=works, severity=severity)
        for pick in (lambda _, if_works, __: if_works, lambda _, __, if_not: if_not):
            milder, graver = (
                chance_of(one.tree, drawn_chances(one, pick), max(severities(one.tree))) for one in (before, after)
            )
            assert (milder <= graver * (1.0 + 1e-12)).all()


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("weather", Weather), ("place", Place), ("person", Person), ("upstream", Upstream),
        ("residual_type", ResidualType), ("earthing", Earthing), ("circuit", Circuit), ("watch", Watch),
    ],
)  # fmt: skip
@pytest.mark.parametrize("state", [FunctionState.SHOWN, FunctionState.FAULTY])
def test_wetter_or_otherwise_worse_never_lowers_a_risk(name: str, values: list[object], state: FunctionState) -> None:
    """Each circumstance, milder first: every scenario that arises in both is no likelier in the milder one."""
    held = dict.fromkeys(GUARDS, state)
    for milder, graver in pairwise(values):
        one, other = (
            scenarios(held, circumstances=replace(Circumstances(), **{name: value}))  # type: ignore[arg-type]  # each is of its own kind
            for value in (milder, graver)
        )
        for id_ in one.keys() & other.keys():
            if name == "place" and any(step.plan.id == "somebody-inside" for step in one[id_].steps):
                continue  # a fire is graver indoors, where more sleep; water and broken conductors outdoors
            for severity in severities(one[id_].tree):
                assert chance(one[id_], severity=severity) <= chance(other[id_], severity=severity), (id_, milder)


def test_no_step_that_happens_leads_to_a_milder_end() -> None:
    """Along every chain the ending of a step that does not happen is never graver than what may still come."""
    for scenario in scenarios().values():
        ends, tree = [], scenario.tree
        while isinstance(tree, Fork):
            assert isinstance(tree.otherwise, Ending)
            ends.append(tree.otherwise.severity)
            tree = tree.happens
        assert isinstance(tree, Ending)
        assert [*ends, tree.severity] == sorted([*ends, tree.severity]), scenario.plan.id


@pytest.mark.hand("untested is never better than shown, in the printed levels as well")
@pytest.mark.parametrize("name", GUARDS)
def test_untested_never_beats_shown(name: str) -> None:
    """Level by level, for each scenario and the specimen, at both bounds and both ends of the interval."""
    base = dict.fromkeys(GUARDS, FunctionState.SHOWN)
    shown, shown_risk = judged(base)
    untested, untested_risk = judged({**base, name: FunctionState.NOT_SHOWN})

    for id_, one in untested.items():
        for band in (one.worst, one.mildest):
            ends = zip(band.levels, shown[id_].worst.levels, strict=True)
            assert all(LEVELS.index(after) >= LEVELS.index(before) for after, before in ends)
        assert LEVELS.index(one.mildest.level) >= LEVELS.index(shown[id_].level)
        assert LEVELS.index(one.level) >= LEVELS.index(one.mildest.level)
    assert LEVELS.index(untested_risk.level) >= LEVELS.index(shown_risk.level)


@pytest.mark.hand("the worst scenario's level is the specimen's, and scenarios stand worst first")
def test_the_specimen_has_the_level_of_its_worst_scenario() -> None:
    """With everything shown, untested and faulty."""
    seen = []
    for state in STATES:
        told, risk = judged(dict.fromkeys(GUARDS, state))
        ranks = [LEVELS.index(one.level) for one in told.values()]
        assert ranks == sorted(ranks, reverse=True)
        assert LEVELS[max(ranks)] is risk.level
        assert {one.id for one in told.values() if one.level is risk.level} == set(risk.worst)
        seen.append(risk.level)

    assert seen == [RiskLevel.MEDIUM, RiskLevel.SERIOUS, RiskLevel.SERIOUS]


@pytest.mark.hand("an own estimate stands in place of ours and is told as such")
def test_an_own_estimate_takes_the_place_of_ours() -> None:
    """In its scenario, or in every one; the row that it replaces is named."""
    mine = OwnEstimate(
        scenario="touch-live-pins", step="way-to-earth", low=0.5, best=0.6, high=1.0, source="our own count"
    )
    base = PINS_LIVE
    ours, own = scenarios(base), scenarios(base, own=(mine,))

    assert chance(own["touch-live-pins"]) == 2 * chance(ours["touch-live-pins"])
    assert chance(own["supply-returns"]) == chance(ours["supply-returns"])
    everywhere = scenarios(base, own=(replace(mine, scenario=""),))
    assert chance(everywhere["supply-returns"]) == 2 * chance(ours["supply-returns"])
    told, risk = judged(base, own=(mine,))
    (listed,) = [one for one in risk.assumptions if one.own]
    assert (listed.source, listed.scenarios, listed.limit) == (
        "our own count", ("touch-live-pins",), "injury.way-to-earth.dry",
    )  # fmt: skip
    step = next(step for step in told["touch-live-pins"].steps if step.id == "way-to-earth")
    assert (step.source, step.span.best) == ("our own count", 0.6)


@pytest.mark.hand("an own severity at the end of one scenario; what ends milder is never worse")
def test_an_own_severity_stands_at_the_end_of_its_scenario() -> None:
    """There and nowhere else; it says why, and an injury on the way that is graver still counts."""
    functions = [function(name, state) for name, state in PINS_LIVE.items()]

    def ends(*own: OwnSeverity) -> dict[str, InjuryScenario]:
        sets = set_scenarios(BOOK, known(functions, ()), zones=ZONES, severities=own)
        told, _ = judge_specimen(BOOK, sets, functions=functions, findings=(), zones=ZONES.values())
        return {one.id: one for one in told}

    ours = ends()
    for severity in (1, 2, 3, 4):
        mine = ends(OwnSeverity(scenario="touch-live-pins", severity=severity, source="gloves"))
        one = mine.pop("touch-live-pins")
        assert (one.severity, one.own_severity) == (severity, "gloves")
        assert LEVELS.index(one.level) <= LEVELS.index(ours["touch-live-pins"].level)
        assert all(other == ours[name] for name, other in mine.items())
    with pytest.raises(CaseError, match="touch-live-pins"):
        ends(OwnSeverity(scenario="touch-pins", severity=2, source="x"))
    with pytest.raises(CaseError, match="no source"):
        ends(OwnSeverity(scenario="touch-live-pins", severity=2, source=" "))
    with pytest.raises(OutsideRange, match="severity is 5"):
        ends(OwnSeverity(scenario="touch-live-pins", severity=5, source="x"))


@pytest.mark.hand("own estimates for a function's states, and for the device before the socket as a whole")
def test_own_estimates_of_a_function_and_of_the_device_before_the_socket() -> None:
    """Each state has its own; a working function is never taken for worse than one that does not work."""
    works = OwnEstimate(step="own-residual", state="works", low=0.2, best=0.3, high=0.4, source="x")
    held = OWN_SHOWN
    before, after = scenarios(held), scenarios(held, own=(works,))
    ratio = Fraction(30) * (
        Fraction(1, 20) * Fraction(64, 1000) / Fraction(3, 10) + Fraction(95, 100) * Fraction(64, 1000)
    )
    at_first = Fraction(1, 20) + Fraction(95, 100) * Fraction(64, 1000)

    assert chance(after["damage-behind-device"]) / chance(before["damage-behind-device"]) == ratio / at_first
    lost = replace(works, state="does not work", low=0.1, best=0.1, high=0.1)
    capped = scenarios(held, own=(works, lost))["damage-behind-device"]
    assert best_chances(capped)["own-residual"] == Fraction(1, 10)
    mine = OwnEstimate(step="upstream", low=0.5, best=0.5, high=0.5, source="my survey")
    assert best_chances(scenarios(own=(mine,))["touch-live-pins"])["upstream"] == Fraction(1, 2)
    assert best_chances(scenarios(own=(mine,))["damage-without-device"])["upstream"] == 1, "stated, not estimated"


@pytest.mark.hand("texts of the messages")
@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"scenario": "touch-pins"}, "touch-live-pins"),
        ({"step": "to-earth"}, "way-to-earth"),
        ({"step": "heart-stops"}, "follows from the zone"),
        ({"step": "pins-live"}, 'say state = "works" or "does not work"'),
        ({"state": "works"}, "rests on no function"),
        ({"source": " "}, "no source"),
    ],
)
def test_an_own_estimate_without_a_place_is_refused(change: dict[str, str], message: str) -> None:
    """The message says where it stands and what would do."""
    good = OwnEstimate(scenario="touch-live-pins", step="way-to-earth", low=0.1, best=0.2, high=0.3, source="x")
    check_estimate(good)

    with pytest.raises(CaseError, match=message):
        check_estimate(replace(good, **change))  # type: ignore[arg-type]  # each is a text
    with pytest.raises(OutsideRange, match="rise from low to high"):
        check_estimate(replace(good, low=0.25))


@pytest.mark.hand("every row used is listed once, with its standing and where it stands")
def test_every_assumption_is_listed() -> None:
    """Each step that is not found or computed has its row in the list."""
    told, risk = judged(dict.fromkeys(GUARDS, FunctionState.NOT_SHOWN))
    listed = {one.limit for one in risk.assumptions}

    assert {name for one in told.values() for step in one.steps for name in step.limits} <= listed
    assert len(listed) == len(risk.assumptions)
    assert {limit.id for limit in risk.limits} >= {one.limit for one in risk.assumptions if one.standing != "judgement"}
    assert Standing.JUDGEMENT not in {limit.standing for limit in risk.limits}
    assert all(one.scenarios and one.source for one in risk.assumptions)


@pytest.mark.hand("what is written of a scenario is about the same numbers as its steps")
def test_the_steps_tell_the_chain() -> None:
    """Probabilities so far fall along the chain and end at the probability of the gravest ending."""
    told, _ = judged(dict.fromkeys(GUARDS, FunctionState.FAULTY))
    for one in told.values():
        so_far = [step.so_far for step in one.steps]
        assert so_far == sorted(so_far, reverse=True)
        if one.worst.severity == 4 and "AC-4" not in one.worst.band:
            assert so_far[-1] == pytest.approx(one.worst.probability, rel=1e-12)
        assert one.worst.low <= one.worst.probability <= one.worst.high
        for step in one.steps:
            assert LEVELS.index(step.level_at_low) <= LEVELS.index(one.level) <= LEVELS.index(step.level_at_high)
            assert exactly(step.span.low) <= exactly(step.span.best) <= exactly(step.span.high)


@pytest.mark.hand("a mean of the logarithm: the draws stay around the best estimates")
def test_the_draws_surround_the_best_estimate() -> None:
    """The best estimate of every scenario lies between the quartiles of its draws' centre, not in a tail."""
    for scenario in scenarios(dict.fromkeys(GUARDS, FunctionState.FAULTY)).values():
        draws = chance_of(scenario.tree, drawn_chances(scenario, lambda _, __, if_not: if_not), 1)
        below = float(np.mean(draws < float(chance(scenario, severity=1))))
        assert 0.1 < below < 0.9, scenario.plan.id


@pytest.mark.hand("only the branch that the unit itself cuts off follows its own time")
def test_a_slow_unit_leaves_a_share_of_hearts_that_stop() -> None:
    """Where nothing was measured of the unit it is taken as slow as the device before the socket may be."""

    def fatal(own: str) -> Fraction:
        zones = {weather: ShockZones(cut="AC-3", lasting="AC-4.3", because="", own=own) for weather in Weather}
        return chance(scenarios({"residual-current": FunctionState.SHOWN}, zones=zones)["damage-behind-device"])

    assert fatal("") == fatal("AC-3") < fatal("AC-4.1") < fatal("AC-4.2")


@pytest.mark.hand("closed contacts on a line that lies on the earth would be a short")
def test_a_line_that_the_wiring_shows_to_be_off_the_earth_is_taken_as_off_it() -> None:
    """Though the map with closed contacts is missing; one of the three findings less leaves it open."""
    seen = [found(name, "wiring") for name in ("wiring.earth-through", "wiring.live-earth", "live-pins.state-c")]
    untested = {"wiring": FunctionState.NOT_SHOWN}
    shown = scenarios({"wiring": FunctionState.SHOWN})["line-on-body"]

    assert chance(scenarios(untested, *seen)["line-on-body"]) == chance(shown)
    assert scenarios(untested, *seen)["line-on-body"].open_functions == ()
    for missing in seen:
        rest = [one for one in seen if one is not missing]
        assert scenarios(untested, *rest)["line-on-body"].open_functions == ("wiring",)


@pytest.mark.hand("none there, out of order, or blind: 1 − (1 − 1/2)(1 − 1/4)(1 − 1/5) = 0.7")
def test_a_device_may_be_blind_to_half_waves() -> None:
    """A type that is not made for them is one more way not to act; where none is there its type is nothing."""
    held = {"upstream-absent": Fraction(1, 2), "upstream-idle": Fraction(1, 4), "blind": Fraction(1, 5)}

    assert none_acts(held, "blind") == Fraction(7, 10)
    assert none_acts(held, "") == Fraction(5, 8)
    fatal = [
        chance(
            scenarios(circumstances=Circumstances(upstream=Upstream.FITTED, residual_type=kind))["half-waves-unnoticed"]
        )
        for kind in (ResidualType.A, ResidualType.UNKNOWN, ResidualType.AC)
    ]
    assert fatal == sorted(fatal)
    assert fatal[0] < fatal[-1]


@pytest.mark.hand("a unit on a wall has neither plug nor socket, but where a cable is plugged into it")
def test_a_fixed_unit_is_not_spoken_of_as_one_with_a_plug() -> None:
    """Its titles and steps name no plug and no socket; ids, chances and a portable unit's words stay as they are."""
    fixed = set_scenarios(BOOK, known([], [], fixed=True), zones=ZONES)
    portable = {one.plan.id: one for one in set_scenarios(BOOK, known([], []), zones=ZONES)}

    for scenario in fixed:
        words = " ".join((scenario.plan.title, *(step.plan.text for step in scenario.steps))).casefold()
        assert not {"plug", "socket"} & set(re.findall(r"[a-z]+", words)), words
    told = next(one for one in fixed if one.plan.id == "ill-used")
    assert "hangs by its plug" in portable["ill-used"].steps[0].plan.text
    assert chance(told) == chance(portable["ill-used"])
