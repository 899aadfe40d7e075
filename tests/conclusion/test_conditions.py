"""Conditions of use: the four answers, what they follow from, and what never makes one better or worse."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coldpin.checks import all_checks
from coldpin.checks.construction import THINGS
from coldpin.checks.markings import GROUPS
from coldpin.conclusion.conditions import ANSWERS, judge_use
from coldpin.conclusion.functions import PLANS
from coldpin.conclusion.lay_words import OF_CHECKS, OF_FUNCTIONS
from coldpin.conclusion.scenarios import known
from coldpin.conclusion.use_grounds import UseGrounds, grounds_of
from coldpin.conclusion.use_risks import RiskGrounds
from coldpin.conclusion.use_telling import current_told
from coldpin.conclusion.uses import read_use
from coldpin.errors import CaseError
from coldpin.records.case import Build, Cable, CaseDescription, ConditionOfUse, Specimen, UnitClass
from coldpin.records.finding import Finding, Outcome
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.scenario import (
    Circuit,
    Circumstances,
    Earthing,
    Person,
    Place,
    ResidualType,
    ShockZones,
    Upstream,
    Watch,
    Weather,
)
from coldpin.records.use import Coiled, CurrentBound, CurrentKind, Use, UseAnswer, UseJudgement, UseReason
from coldpin.standards.book import load_book
from coldpin.standards.findings_in_use import findings_in_use
from coldpin.standards.uses import national_rules, standard_uses, use_needs
from tests.conclusion.findings import found

BOOK = load_book()
ZONES = {weather: ShockZones(cut="AC-3", lasting="AC-4.3", because="for these tests") for weather in Weather}
STATES = (FunctionState.SHOWN, FunctionState.NOT_SHOWN, FunctionState.FAULTY)
AXES: dict[str, type[StrEnum]] = {
    "weather": Weather,
    "place": Place,
    "person": Person,
    "upstream": Upstream,
    "residual_type": ResidualType,
    "earthing": Earthing,
    "circuit": Circuit,
    "watch": Watch,
}
MILD = Circumstances(**{name: next(iter(kind)) for name, kind in AXES.items()})  # type: ignore[arg-type]  # made from words by name
SHED = Use(id="", name="shed", circumstances=MILD, coiled=Coiled.NO, hours=6.0, ambient=30.0)


def bound(kind: CurrentKind, current: float, *, laid_out: float | None = None) -> CurrentBound:
    """Something that limits the current."""
    return CurrentBound(
        kind=kind, name=f"the {kind.value}", current_a=current, because="for this test", if_laid_out=laid_out
    )


WAY = (bound(CurrentKind.OFFER, 15.9), bound(CurrentKind.PLUG, 16.0), bound(CurrentKind.CABLE, 26.0))


def grounds(states: dict[str, FunctionState] | None = None, *findings: Finding, mode: int = 2) -> UseGrounds:
    """A specimen of which everything is shown but what is said otherwise."""
    told = states or {}
    functions = tuple(
        ProtectiveFunction(
            id=plan.id,
            title=plan.title,
            question=plan.question,
            state=told.get(plan.id, FunctionState.SHOWN),
            reach=None,
            findings=(),
            because="It was so.",
            duty=plan.duty,
        )
        for plan in PLANS
    )
    case = CaseDescription(
        format="coldpin.case/1",
        title="one",
        specimen=Specimen(make="Skerrow", model="16"),
        unit=UnitClass(charging_mode=mode, build=Build.PORTABLE, cable=Cable.ATTACHED),
    )
    risks = RiskGrounds(book=BOOK, known=known(functions, findings), zones=ZONES)
    return grounds_of(
        BOOK,
        case,
        functions,
        findings,
        risks,
        plug="iec-60309-16A-1ph",
        plug_title="IEC 60309 plug, 16 A",
        lowest_a=6.0,
    )


def judged(use: Use, on: UseGrounds, way: tuple[CurrentBound, ...] = WAY) -> UseJudgement:
    """The answer."""
    return judge_use(use, way, on)


def rank(answer: UseAnswer) -> int:
    """How bad an answer is."""
    return ANSWERS.index(answer)


def test_with_everything_shown_there_is_no_objection_where_the_supply_is_good() -> None:
    """And the largest current is the least of the way, with its name."""
    told = judged(SHED, grounds())

    assert told.answer is UseAnswer.NO_OBJECTION
    assert (told.largest_current_a, told.limited_by) == (15.9, "the offer")
    assert (told.reasons, told.measures, told.would_have) == ((), (), ())
    assert "ask local codes" in told.local_codes


@pytest.mark.parametrize("use", standard_uses(BOOK, Build.PORTABLE), ids=lambda use: use.id)
def test_a_finding_that_concludes_alone_speaks_against_every_use(use: Use) -> None:
    """Whatever else was shown, and no measure helps."""
    live = found(
        "live-pins.uncoupled",
        "supply-switching",
        Outcome.BEYOND,
        plain="The pins are live.",
        decisive=True,
        absence=True,
    )
    told = judged(use, grounds({"supply-switching": FunctionState.SHOWN_ABSENT}, live))

    assert told.answer is UseAnswer.ADVISED_AGAINST
    assert told.reasons[0].text == "The pins are live."
    assert told.measures == ()


@pytest.mark.parametrize(
    "need", [need for need in use_needs(BOOK) if need.shown and not need.when and not need.instead]
)
def test_a_decisive_function_that_was_not_tested_leaves_the_use_open(need: object) -> None:
    """In the mildest of circumstances as well, and it is named."""
    name = need.function  # type: ignore[attr-defined]  # one of several kinds
    told = judged(SHED, grounds({name: FunctionState.NOT_SHOWN}))

    assert told.answer is UseAnswer.CANNOT_JUDGE
    assert name in told.untested
    assert need.contains in told.would_have  # type: ignore[attr-defined]  # one of several kinds


def test_a_measure_takes_the_place_of_residual_current_protection() -> None:
    """Untested or absent alike: behind a device that was tried it may be used, and only so."""
    workshop = next(use for use in standard_uses(BOOK, Build.PORTABLE) if use.id == "workshop")
    for state in (FunctionState.NOT_SHOWN, FunctionState.SHOWN_ABSENT):
        told = judged(workshop, grounds({"residual-current": state}))

        assert told.answer is UseAnswer.WITH_MEASURES
        assert any("residual-current device" in measure for measure in told.measures)
    asked_nobody = replace(workshop, measures=False)
    assert judged(asked_nobody, grounds({"residual-current": FunctionState.SHOWN_ABSENT})).answer is (
        UseAnswer.ADVISED_AGAINST
    )


def test_an_offer_above_the_way_is_lowered_or_advised_against() -> None:
    """On the unit where the setting is shown, in the car where it is not; never below what a car can be told."""
    ten = (*WAY, bound(CurrentKind.CIRCUIT, 10.0))
    shown, untested = judged(SHED, grounds(), ten), judged(SHED, grounds({"current-setting": STATES[1]}), ten)

    assert shown.answer is untested.answer is UseAnswer.WITH_MEASURES
    assert (shown.set_to_a, shown.limited_by) == (10.0, "the circuit")
    assert shown.measures == ("with the current set to at most 10 A on the unit",)
    assert "in the car, each time" in untested.measures[0]
    five = judged(SHED, grounds(), (*WAY, bound(CurrentKind.CIRCUIT, 5.0)))
    assert five.answer is UseAnswer.ADVISED_AGAINST
    assert (five.largest_current_a, five.bound_a, five.limited_by) == (None, 5.0, "the circuit")
    assert (current_told(five), current_told(shown)) == ("none (bound 5.0 A)", "10 A")
    assert "the least a car can be told" in five.because


def test_coiling_asks_for_the_cable_to_be_laid_out() -> None:
    """Not said it is a measure, with nobody to ask it stays open; coiled it is advised against."""
    way = (WAY[0], WAY[1], bound(CurrentKind.CABLE, 9.1, laid_out=26.0))
    unsaid = replace(SHED, coiled=Coiled.UNKNOWN)

    assert judged(unsaid, grounds(), way).measures == ("with the cable laid out, not coiled",)
    assert judged(replace(unsaid, measures=False), grounds(), way).answer is UseAnswer.CANNOT_JUDGE
    coiled = replace(SHED, coiled=Coiled.YES, measures=False)
    assert judged(coiled, grounds(), way).answer is UseAnswer.ADVISED_AGAINST


def test_a_plug_that_fits_no_socket_there_is_advised_against() -> None:
    """An adaptor is no measure."""
    household = next(use for use in standard_uses(BOOK, Build.PORTABLE) if use.id == "household-socket")
    told = judged(household, grounds())

    assert told.answer is UseAnswer.ADVISED_AGAINST
    assert "fits no socket there" in told.because


def test_a_rule_of_a_country_is_data() -> None:
    """Mode 1 in a country that does not allow it; a country of which nothing is known says so."""
    mode_1 = grounds(mode=1)

    assert any("not allowed" in one.text for one in judged(replace(SHED, country="GB"), mode_1).reasons)
    assert judged(replace(SHED, country="PT"), grounds()).local_codes == (
        "No rule of PT on this is known to us: ask local codes."
    )


states = st.dictionaries(st.sampled_from([plan.id for plan in PLANS]), st.sampled_from(STATES), max_size=6)
around = st.builds(Circumstances, **{name: st.sampled_from(tuple(kind)) for name, kind in AXES.items()})


@settings(max_examples=12, deadline=None)
@given(states, around, st.sampled_from(tuple(AXES)))
def test_a_better_supply_or_a_drier_place_never_worsens_an_answer(
    told: dict[str, FunctionState], circumstances: Circumstances, axis: str
) -> None:
    """Each circumstance alone made milder by one step."""
    order = list(AXES[axis])
    place = order.index(getattr(circumstances, axis))
    milder = replace(circumstances, **{axis: order[max(place - 1, 0)]})  # type: ignore[arg-type]  # made from words by name
    on = grounds(told)

    before, after = (judged(replace(SHED, circumstances=one), on).answer for one in (circumstances, milder))
    assert rank(after) <= rank(before)


@settings(max_examples=12, deadline=None)
@given(states, around, st.sampled_from([plan.id for plan in PLANS]))
def test_untested_never_beats_shown_and_faulty_never_beats_untested(
    told: dict[str, FunctionState], circumstances: Circumstances, name: str
) -> None:
    """Of any function, with all others as they are."""
    use = replace(SHED, circumstances=circumstances)
    shown, untested, faulty = (rank(judged(use, grounds({**told, name: state})).answer) for state in STATES)

    assert shown <= untested <= faulty


@settings(max_examples=12, deadline=None)
@given(st.floats(1.0, 40.0), st.floats(1.0, 40.0))
def test_a_stronger_circuit_never_worsens_an_answer(one: float, other: float) -> None:
    """Nor does it lower the largest current, or the bound of it."""
    weak, strong = sorted((one, other))
    first, second = (judged(SHED, grounds(), (*WAY, bound(CurrentKind.CIRCUIT, amperes))) for amperes in (weak, strong))

    assert rank(second.answer) <= rank(first.answer)
    assert (second.bound_a or 0.0) >= (first.bound_a or 0.0)
    assert (second.largest_current_a or 0.0) >= (first.largest_current_a or 0.0)


def test_words_of_a_person_are_read_and_what_was_read_is_said() -> None:
    """What is not said is unknown; a device of 300 mA protects no person."""
    own = ConditionOfUse(
        name="slipway",
        place="outdoors, on a wall",
        supply="own 32 A circuit with residual-current device of type B",
        weather="rain",
        person="anybody",
        earthing="TN-C-S",
    )
    read = read_use(BOOK, own)

    assert read.circumstances == Circumstances(
        weather=Weather.WET,
        place=Place.OUTDOORS,
        person=Person.ANYONE,
        upstream=Upstream.FITTED,
        residual_type=ResidualType.B,
        earthing=Earthing.PEN,
        circuit=Circuit.OWN,
        watch=Watch.UNATTENDED,
    )
    assert (read.supply_a, read.coiled, read.measures) == (32.0, Coiled.UNKNOWN, False)
    assert any("rain" in line for line in read.understood)
    fire = read_use(BOOK, replace(own, residual_current="300 mA"))
    assert fire.circumstances.upstream is Upstream.NONE


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"ambient": "30 A"}, "ambient = '30 A'"),
        ({"device": "Z99"}, "unknown protective device"),
        ({"coiled": "perhaps"}, "write yes or no"),
        ({"residual_type": "Q"}, "write one of B, F, A, unknown, AC"),
        ({"hours": "-2 h"}, "above zero"),
    ],
)
def test_a_word_that_is_none_is_refused_with_its_place(wrong: dict[str, str], says: str) -> None:
    """One clear message."""
    with pytest.raises(CaseError, match=r"\[\[conditions_of_use\]\] 'here'") as refused:
        read_use(BOOK, ConditionOfUse(name="here", **wrong))

    assert says in str(refused.value)


def test_every_check_and_function_has_words_for_a_lay_viewer() -> None:
    """Both ways round."""
    assert {check.id for check in all_checks()} <= set(OF_CHECKS)
    assert {plan.id for plan in PLANS} <= set(OF_FUNCTIONS)
    assert {need.function for need in use_needs(BOOK)} <= {plan.id for plan in PLANS}


RAIN = replace(SHED, circumstances=replace(MILD, weather=Weather.WET))
UNPROVED = {"ingress-protection": FunctionState.NOT_SHOWN, "touch-separation": FunctionState.NOT_SHOWN}


def test_in_rain_a_roof_takes_the_place_of_a_laboratory_where_the_rest_is_shown() -> None:
    """And says what it stands in for; with water kept out by a test there is no objection."""
    told = judged(RAIN, grounds(UNPROVED))

    assert judged(RAIN, grounds()).answer is UseAnswer.NO_OBJECTION
    assert told.answer is UseAnswer.WITH_MEASURES
    assert any("under a roof" in measure for measure in told.measures)
    assert set(told.untested) == set(UNPROVED)
    assert "stands in for what is not shown" in told.plain


@pytest.mark.parametrize("name", ["residual-current", "protective-earth", "earth-monitoring", "touch-protection"])
def test_in_rain_what_is_missing_is_named(name: str) -> None:
    """Without what switches off a leak, or without the earth, the roof is no measure; it is said what would do."""
    told = judged(RAIN, grounds({**UNPROVED, name: FunctionState.NOT_SHOWN}))
    title = next(plan.title for plan in PLANS if plan.id == name)

    assert told.answer is UseAnswer.CANNOT_JUDGE
    assert any(f"'{title}' shown" in reason.text for reason in told.reasons)


def test_in_rain_too_small_a_claim_or_a_seal_that_is_missing_speaks_against_it() -> None:
    """Neither matters in the dry, nor where a laboratory showed that water is kept out."""
    claim = UseReason(text="Nothing is claimed of water.", answer=UseAnswer.ADVISED_AGAINST)
    seal = found("construction.seals", "ingress-protection", Outcome.BEYOND)
    for on in (replace(grounds(UNPROVED), rain=(claim,)), grounds(UNPROVED, seal)):
        assert judged(RAIN, on).answer is UseAnswer.ADVISED_AGAINST
        assert judged(SHED, on).answer is UseAnswer.NO_OBJECTION
    assert judged(RAIN, replace(grounds(), rain=(claim,))).answer is UseAnswer.NO_OBJECTION


@pytest.mark.published("IEC 62752:2016, scope, note for Denmark: more than 2 h (read)")
def test_hours_are_long_from_where_the_text_has_it() -> None:
    """The note names the time beyond which a household plug carries less."""
    assert BOOK.limit("use-hours.long").maximum == 2.0


@pytest.mark.published(
    "IEC 60364-7-722 and 7-708: at most 30 mA; NEC 625.41: 125 % of a continuous load, so 1/1.25 = 80 %"
)
def test_what_protects_people_and_what_a_circuit_bears_for_hours() -> None:
    """As the public texts restate it."""
    assert BOOK.limit("use-residual.people").maximum == pytest.approx(0.030)
    assert BOOK.limit("national.us.continuous").maximum == pytest.approx(100.0 / 1.25)


@pytest.mark.published("NEK 400:2018, as a text on it says: own circuit, device of at most 10 A, type B (read)")
def test_the_norwegian_circuit_is_data() -> None:
    """10 A, and a device of type B on a circuit of its own."""
    rule = next(one for one in national_rules(BOOK, "NO") if one.limit.id == "national.no.circuit")

    assert rule.limit.maximum == 10.0
    assert any(terms.hold(replace(MILD, residual_type=ResidualType.B), Coiled.NO) for terms in rule.asks)
    assert not all(terms.hold(replace(MILD, residual_type=ResidualType.AC), Coiled.NO) for terms in rule.asks)


ROWS = {row.of: row for row in findings_in_use(BOOK)}
BEARING = sorted(name for name, row in ROWS.items() if row.answer is not None)
HARMLESS = sorted(name for name, row in ROWS.items() if row.answer is None)


def alone(name: str, **more: Any) -> Finding:
    """A finding beyond on which no function hangs, under the name of a row: a finding, or any of a check."""
    full = name if "." in name else f"{name}.any"
    return replace(found(full, "", Outcome.BEYOND, **more), functions=())


def test_every_check_hangs_on_a_function_or_bears_on_uses_or_is_named_as_bearing_on_none() -> None:
    """No finding is left out by being forgotten; and every row names a check that there is, and why."""
    checks = {check.id: check for check in all_checks()}
    named = {name.split(".")[0] for name in ROWS}
    parts = {name for name in ROWS if "." in name}

    assert {name for name, check in checks.items() if not check.bears} - named == set()
    assert named <= set(checks)
    assert {name for name in parts if name.startswith("markings.")} == {f"markings.{g}" for g in (*GROUPS, "agree")}
    without = {f"construction.{thing.name}" for thing in THINGS if not thing.functions} | {"construction.cord"}
    assert {name for name in parts if name.startswith("construction.")} == without
    assert parts == {name for name in parts if name.startswith(("markings.", "construction."))}
    for row in ROWS.values():
        assert row.says.endswith(".")
        assert bool(row.contains) == (row.answer is not None)
        assert set(row.settled_by) <= {plan.id for plan in PLANS}


@pytest.mark.parametrize("name", BEARING)
def test_a_finding_without_a_function_lowers_the_answer_where_it_bears(name: str) -> None:
    """It is named with why and with what a unit would have; where it does not bear, or is settled, nothing changes."""
    row = ROWS[name]
    given = {axis: sorted(values)[0] for terms in row.when[:1] for axis, values in terms.terms}
    kinds = {axis: AXES[axis](value) for axis, value in given.items()}
    there = replace(SHED, circumstances=replace(MILD, **kinds))  # type: ignore[arg-type]  # made from words by name
    open_ = dict.fromkeys(row.settled_by, FunctionState.NOT_SHOWN)
    finding = alone(name)
    told = judged(there, grounds(open_, finding))

    assert rank(told.answer) >= rank(row.answer or UseAnswer.NO_OBJECTION)
    (reason,) = [reason for reason in told.reasons if reason.findings == (finding.id,)]
    assert reason.text == f"{finding.statement} {row.says}"
    assert (reason.answer, reason.limits) == (row.answer, (row.limit.id,))
    assert row.contains in told.would_have
    if row.settled_by:
        assert judged(there, grounds({}, finding)) == judged(there, grounds())
    for terms in row.when:
        for axis, values in terms.terms:
            other = next(one for one in AXES[axis] if one.value not in values)
            elsewhere = replace(there, circumstances=replace(there.circumstances, **{axis: other}))  # type: ignore[arg-type]  # made from words by name
            assert judged(elsewhere, grounds(open_, finding)) == judged(elsewhere, grounds(open_))


def test_findings_that_are_named_as_bearing_on_no_use_change_none() -> None:
    """Such as the address of an importer: all of them together, with everything shown and with nothing."""
    findings = tuple(map(alone, HARMLESS))
    for states in ({}, {plan.id: FunctionState.NOT_SHOWN for plan in PLANS}):
        assert judged(RAIN, grounds(states, *findings)) == judged(RAIN, grounds(states))


def test_what_no_row_names_leaves_every_use_open_and_what_holds_elsewhere_only_changes_none() -> None:
    """A check from elsewhere cannot be overlooked; a board fed from the bench says nothing of the closed unit."""
    own, bench = alone("own-check.value"), alone("construction.anchorage", transfers=False)

    assert judged(SHED, grounds({}, own)).answer is UseAnswer.CANNOT_JUDGE
    assert judged(SHED, grounds({}, replace(own, duty=False))).answer is UseAnswer.NO_OBJECTION
    assert judged(SHED, grounds({}, bench)).answer is UseAnswer.NO_OBJECTION


@settings(max_examples=12, deadline=None)
@given(states, around, st.sampled_from(sorted(ROWS)))
def test_a_finding_beyond_never_makes_an_answer_milder(
    told: dict[str, FunctionState], circumstances: Circumstances, name: str
) -> None:
    """Whatever else was found, and wherever it is used."""
    use = replace(SHED, circumstances=circumstances)

    assert rank(judged(use, grounds(told, alone(name))).answer) >= rank(judged(use, grounds(told)).answer)


def test_a_device_that_acts_too_soon_is_weighed_as_it_protects() -> None:
    """Faulty by a nuisance alone it leaves the answers as they are with it shown; with its protection open, as open."""
    household = replace(SHED, circumstances=replace(MILD, upstream=Upstream.NONE), measures=False)

    def answers(state: FunctionState, protects: FunctionState | None) -> tuple[UseAnswer, tuple[UseReason, ...]]:
        on = grounds({"residual-current": state})
        functions = tuple(
            replace(one, protects=protects if one.id == "residual-current" else None) for one in on.functions
        )
        risks = RiskGrounds(book=BOOK, known=known(functions, ()), zones=ZONES)
        told = judged(household, replace(on, functions=functions, risks=risks))
        return told.answer, told.reasons

    for protects in (FunctionState.SHOWN, FunctionState.NOT_SHOWN):
        assert answers(FunctionState.FAULTY, protects) == answers(protects, None)
    assert answers(FunctionState.FAULTY, None)[0] is UseAnswer.ADVISED_AGAINST
