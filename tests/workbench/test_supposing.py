"""What if: an answer to an assumption is what the record would say with it, and nothing is written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import open_case
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.scenario_steps import StepKind
from coldpin.conclusion.uses import read_use
from coldpin.errors import CaseError, InputError, OutsideRange, UnknownName
from coldpin.records.case import Build, ConditionOfUse, OwnConstant
from coldpin.records.finding import Outcome
from coldpin.records.scenario import Circumstances, OwnEstimate, OwnSeverity
from coldpin.records.supposed import TypedEstimate
from coldpin.records.use import UseAnswer
from coldpin.standards.book import load_book
from coldpin.standards.uses import standard_uses
from coldpin.workbench import assess
from coldpin.workbench.assumed import assumed_steps, tried_estimates, typed_chance
from coldpin.workbench.injury import injury_scenarios
from coldpin.workbench.risk import read_chance
from coldpin.workbench.supposed_constants import suppose_constant
from coldpin.workbench.supposed_uses import condition_of, suppose_use
from coldpin.workbench.supposing import Supposing, open_supposing, suppose_risk
from tests.workbench.quay import at, fill, make_case, make_shelf
from tests.workbench.test_uses import files_below

LIKELY = OwnEstimate(step="way-to-earth", low=0.9, best=0.95, high=1.0, source="a wet pontoon")


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A filled case with an estimate and a severity of its own."""
    place = tmp_path_factory.mktemp("supposing")
    folder = make_case(make_shelf(place / "shelf"))
    fill(folder, place)
    held = open_case(folder)
    held.edit("estimates", (), (replace(LIKELY, scenario="line-on-body", step="car-touched"),), who="Ines", now=at(20))
    alone = OwnSeverity(scenario="plug-burns", severity=3, source="a shed alone")
    held.edit("severities", (), (alone,), who="Ines", now=at(21))
    return folder


@pytest.fixture(scope="module")
def known(case: Path) -> Supposing:
    """The case, opened to try something."""
    return open_supposing(case, assess(case))


def test_it_tells_what_its_logs_take(known: Supposing) -> None:
    """Times and every column, eight bytes a number."""
    logs = [filed.log for filed in known.bench.logs]
    assert known.nbytes == sum(8 * log.rows * (1 + len(log.channels)) for log in logs)
    assert replace(known, bench=replace(known.bench, logs=())).nbytes == 0


def test_an_answer_is_what_the_record_would_say(case: Path, known: Supposing) -> None:
    """Scenario by scenario and use by use: the same as a case that has the estimate written in it."""
    wanted = replace(known.assessment.case, estimates=(*known.assessment.case.estimates, LIKELY))
    made = assess(case, description=wanted)

    told = suppose_risk(known, estimates=(LIKELY,))

    after = {one.id: one for one in made.scenarios}
    assert len(told.scenarios) > 3
    assert all(move.supposed == after[move.recorded.id] for move in told.scenarios)
    untouched = {one.id for one in known.assessment.scenarios} - {move.recorded.id for move in told.scenarios}
    assert {one for one in known.assessment.scenarios if one.id in untouched} <= set(made.scenarios)
    assert made.risk is not None
    assert told.supposed is made.risk.level
    moved = {move.recorded.name: move.supposed for move in told.uses}
    assert [moved.get(one.name, one) for one in known.assessment.conditions_of_use] == list(made.conditions_of_use)


def test_a_severity_is_tried_too(case: Path, known: Supposing) -> None:
    """One scenario ends milder; the case's own of another stays."""
    mild = OwnSeverity(scenario="touch-live-pins", severity=1, source="gloves")
    made = injury_scenarios(
        replace(known.assessment.case, severities=(*known.assessment.case.severities, mild)),
        known.book,
        known.assessment.functions,
        known.assessment.findings,
    )
    (move,) = suppose_risk(known, severities=(mild,)).scenarios

    assert (move.recorded.severity, move.supposed.severity, move.supposed.own_severity) == (4, 1, "gloves")
    assert move.supposed == next(one for one in made.scenarios if one.id == "touch-live-pins")
    held = next(one for one in known.assessment.scenarios if one.id == "plug-burns")
    assert (held.severity, held.own_severity) == (3, "a shed alone")


def test_what_is_tried_takes_the_place_of_the_cases_own(known: Supposing) -> None:
    """Of the same step in the same scenario; back at what is recorded nothing moves."""
    (mine,) = known.assessment.case.estimates

    told = suppose_risk(known, estimates=(replace(mine, low=0.01, best=0.02, high=0.03),))

    (move,) = told.scenarios
    step = next(one for one in move.supposed.steps if one.id == "car-touched")
    assert (move.recorded.id, step.span.best) == ("line-on-body", 0.02)
    same = suppose_risk(known, estimates=(mine,))
    assert [move.supposed for move in same.scenarios] == [move.recorded for move in same.scenarios]
    assert (same.uses, same.recorded) == ((), same.supposed)
    assert same.statement == (
        f"The level of this specimen stays {same.recorded.value}. Scenarios with this assumption: 1, of which none on "
        "another level. Conditions of use with another answer: none."
    )


@pytest.mark.parametrize(
    ("change", "family"),
    [({"low": 1.0}, OutsideRange), ({"step": "no-step"}, CaseError), ({"source": ""}, CaseError)],
)
def test_what_cannot_be_tried_is_said(known: Supposing, change: dict[str, object], family: type[Exception]) -> None:
    """In the words with which it would be refused in the file."""
    with pytest.raises(family):
        suppose_risk(known, estimates=(replace(LIKELY, **change),))  # type: ignore[arg-type]  # of its field's own kind
    with pytest.raises(InputError):
        suppose_risk(known, severities=(OwnSeverity(scenario="plug-burns", severity=5, source="x"),))


def test_every_assumption_of_a_scenario_can_be_tried_at_what_is_recorded(known: Supposing) -> None:
    """What a page puts into its fields is what the record was made with: sent back it moves nothing."""
    for scenario in known.assessment.scenarios:
        steps = assumed_steps(known, scenario.id)
        assert [one.step.id for one in steps] == [step.id for step in scenario.steps]
        tried = [
            OwnEstimate(
                scenario=scenario.id,
                step=one.step.id,
                state=each.state,  # type: ignore[arg-type]  # one of the words of the record
                low=each.span.low,
                best=each.span.best,
                high=each.span.high,
                source="as recorded",
            )
            for one in steps
            for each in one.estimates
        ]
        (move,) = suppose_risk(known, estimates=tried).scenarios if tried else (None,)
        if move is None:
            continue
        assert move.supposed.level is scenario.level, scenario.id
        assert move.supposed.worst.probability == pytest.approx(scenario.worst.probability, rel=1e-9), scenario.id
        assert move.supposed.mildest.probability == pytest.approx(scenario.mildest.probability, rel=1e-9), scenario.id


def test_a_step_that_nobody_can_estimate_says_why(known: Supposing) -> None:
    """One that follows from the zone of a shock, one that was found; every other has its fields."""
    plans = {plan.id: {step.id: step for step in plan.steps} for plan in SCENARIOS}
    for scenario in known.assessment.scenarios:
        for one in assumed_steps(known, scenario.id):
            assert bool(one.estimates) != bool(one.fixed)
            if plans[scenario.id][one.step.id].kind is StepKind.ZONE:
                assert "body current" in one.fixed
    with pytest.raises(UnknownName, match="unknown scenario 'none'"):
        assumed_steps(known, "none")


def test_a_use_is_tried_beside_a_recorded_one(known: Supposing) -> None:
    """With measures and grounds; what is taken as stated, and what local codes decide, is said."""
    (base, *_) = known.assessment.conditions_of_use
    assert base.use is not None
    same = suppose_use(known, condition_of(base.use, name=base.name), beside=base.name)
    assert same.supposed.answer is base.answer
    assert same.recorded is base

    told = suppose_use(known, ConditionOfUse(name="quay", place="outdoors", weather="rain", supply_rating="10 A"))

    assert (told.recorded, told.supposed.name) == (None, "quay")
    assert told.supposed.answer in (UseAnswer.CANNOT_JUDGE, UseAnswer.ADVISED_AGAINST)
    assert told.supposed.reasons
    assert [bound.current_a for bound in told.supposed.bounds if bound.name == "the circuit"] == [10.0]
    assert "local codes" in told.outside[-1]
    stated = suppose_use(known, ConditionOfUse(name="quay", residual_device="tested", own_circuit="yes"))
    assert "a residual-current device before the socket, the circuit" in stated.outside[0]
    with pytest.raises(UnknownName, match="condition of use"):
        suppose_use(known, ConditionOfUse(name="quay"), beside="nowhere")
    with pytest.raises(CaseError, match="hours = 'all night'"):
        suppose_use(known, ConditionOfUse(name="quay", hours="all night"))


@pytest.mark.parametrize("build", list(Build))
def test_a_usual_place_in_a_persons_words_is_read_as_that_place(build: Build) -> None:
    """So that what is varied begins where the recorded one stands."""
    for use in standard_uses(load_book(), build, country="dk"):
        again = read_use(load_book(), condition_of(use, name=use.name))
        assert again.circumstances == use.circumstances
        assert (again.supply_a, again.hours, again.ambient, again.coiled, again.country) == (
            (use.supply_a, use.hours, use.ambient, use.coiled, use.country)
        )


@given(st.builds(Circumstances))
def test_any_circumstances_in_a_persons_words_are_read_as_such(circumstances: Circumstances) -> None:
    """Word by word."""
    use = next(iter(standard_uses(load_book(), Build.PORTABLE)))
    condition = condition_of(replace(use, circumstances=circumstances), name="x")

    assert read_use(load_book(), condition).circumstances == circumstances


@pytest.mark.hand("the measured 0.511 Ω lies above 0.2 Ω and below 1 Ω")
def test_another_constant_says_which_findings_move(case: Path, known: Supposing) -> None:
    """Those placed against it, and the functions that hang on them; what stays is not told."""
    recorded = {one.id: one for one in known.assessment.findings}
    limit = recorded["earth-resistance.value"].limit
    assert limit is not None
    bound = 1.0 if recorded["earth-resistance.value"].outcome is not Outcome.WITHIN else 0.2
    own = OwnConstant(id=limit.id, source="the yard's own rule", standing="judgement", maximum=bound)

    told = suppose_constant(case, own, known.assessment)

    assert "earth-resistance.value" in {move.id for move in told.findings}
    assert all(move.recorded is not move.supposed for move in told.findings)
    assert told.supposed == f"at most {bound:g} Ω"
    assert recorded["earth-resistance.value"].title in told.rest
    assert 1 <= len(told.headline) <= 2
    with pytest.raises(InputError, match="names no source"):
        suppose_constant(case, replace(own, source=""), known.assessment)


def test_trying_writes_nothing_but_what_the_cache_remembers(case: Path, known: Supposing) -> None:
    """Neither entry nor description."""
    before = {name: held for name, held in files_below(case).items() if not name.startswith("cache")}
    open_supposing(case, known.assessment)
    suppose_risk(known, estimates=(LIKELY,))
    suppose_use(known, ConditionOfUse(name="quay"))

    assert {name: held for name, held in files_below(case).items() if not name.startswith("cache")} == before


@given(st.floats(min_value=1e-12, max_value=1.0))
def test_a_chance_is_typed_as_it_is_read(chance: float) -> None:
    """To twelve digits, and exactly where it is one in so many; what is shown is read as itself ever after."""
    typed = typed_chance(chance)

    assert read_chance(typed) == pytest.approx(chance, rel=1e-11)
    assert read_chance(typed_chance(read_chance(typed))) == read_chance(typed)


def test_what_is_left_as_shown_is_not_tried(known: Supposing) -> None:
    """Every estimate of every scenario, whatever digits it has behind those shown; one that is changed alone is."""
    for scenario in known.assessment.scenarios:
        shown = [
            TypedEstimate(
                step=one.step.id,
                state=each.state,
                low=typed_chance(each.span.low),
                best=typed_chance(each.span.best),
                high=typed_chance(each.span.high),
            )
            for one in assumed_steps(known, scenario.id)
            for each in one.estimates
        ]
        assert tried_estimates(known, scenario.id, shown) == ()
        first = replace(shown[0], low="1/1 000", best="1/900", high="1/800")
        (tried,) = tried_estimates(known, scenario.id, [first, *shown[1:]], everywhere=True, source="x")
        assert (tried.scenario, tried.step, tried.low) == ("", first.step, 0.001)
    with pytest.raises(UnknownName, match="estimate of touch-live-pins"):
        tried_estimates(known, "touch-live-pins", [replace(shown[0], step="no-step")])
    with pytest.raises(CaseError, match="low: cannot read 'often'"):
        tried_estimates(known, scenario.id, [replace(shown[0], low="often")])
