"""Claims beside findings: one against it contradicts, all are needed to hold, the rest is not shown."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.conclusion import judge_functions
from coldpin.conclusion.claims import CLAIM_PLANS, NO_SUBJECT, TWO_SIZES, contradicted, judge_claims, subjects
from coldpin.conclusion.functions import MISSING, PLANS
from coldpin.records.assessment import Basis
from coldpin.records.case import CASE_FORMAT, CaseDescription, Claims, QuotedClaim, Specimen, UnitClass
from coldpin.records.claim import ClaimState, JudgedClaim
from coldpin.records.finding import Finding, Outcome, Reach, Standing
from coldpin.records.function import FunctionState
from coldpin.workbench.claims import smaller_sizes, unknown_subjects
from tests.checks.bench import PORTABLE, WALL
from tests.conclusion.findings import found, limit, many_findings

RATED = ("cable-rating.reference", "temperature-rise.sheath", "plug-heating.connector", "plug-heating.plug")


def case(*quoted: QuotedClaim, unit: UnitClass = PORTABLE, **claims: object) -> CaseDescription:
    return CaseDescription(
        format=CASE_FORMAT,
        title="Skerrow 16",
        specimen=Specimen(make="Skerrow", model="16"),
        unit=unit,
        claims=Claims(**claims),  # type: ignore[arg-type]  # fields by name
        quoted_claims=quoted,
    )


def judged(described: CaseDescription, *findings: Finding, smaller: tuple[str, ...] = ()) -> dict[str, JudgedClaim]:
    functions = judge_functions(described.unit, findings)
    return {claim.id: claim for claim in judge_claims(described, findings, functions, smaller=smaller)}


def seen(name: str, outcome: Outcome = Outcome.WITHIN, **more: object) -> Finding:
    return found(name, "heating", outcome, **more)  # type: ignore[arg-type]  # fields by name


@pytest.mark.hand("all of four asked, one left out, one beyond")
def test_a_rated_current_holds_only_where_all_that_carries_it_was_found() -> None:
    """Cable, sheath, connector and plug: each is needed, and one beyond is enough against it."""
    described = case(rated_current="16 A")
    all_of_them = [seen(name) for name in RATED]

    held = judged(described, *all_of_them)["rated-current"]
    open_one = judged(described, *all_of_them[:-1])["rated-current"]
    broken = judged(described, *all_of_them[1:], seen(RATED[0], Outcome.BEYOND, reach="by construction"))

    assert (held.state, held.reach, held.findings) == (ClaimState.HOLDS, Reach.SPECIMEN, RATED)
    assert (open_one.state, open_one.reach) == (ClaimState.NOT_SHOWN, None)
    assert open_one.missing == ("where the plug's temperature comes in a heating test",)
    assert "its box and contacts" in held.because
    assert broken["rated-current"].state is ClaimState.CONTRADICTED
    assert broken["rated-current"].reach is Reach.CONSTRUCTION


def test_a_duty_contradicts_a_claim_before_what_is_good_practice() -> None:
    """That a unit does not watch the earth of its supply is told after a duty that it does not keep."""
    described = case(QuotedClaim(words="full protection", about=("supply-earth-monitoring", "pilot-signal")))
    practice = found(
        "parts-inside.earth-sensing", "supply-earth-monitoring", Outcome.BEYOND, reach="by construction", absence=True
    )
    weak = found("pilot-levels.low", "pilot-signal", Outcome.BEYOND, "The low level is weak.")
    both = judged(described, practice, weak)["quoted.1"]
    alone = judged(described, practice)["quoted.1"]

    assert both.functions == ("pilot-signal", "supply-earth-monitoring")
    assert (both.reach, alone.reach) == (Reach.SPECIMEN, Reach.CONSTRUCTION)
    assert "The low level is weak." in both.because
    assert alone.functions == ("supply-earth-monitoring",)


def test_a_fixed_unit_is_not_asked_for_a_plug() -> None:
    """What it has not cannot be wanting."""
    described = case(rated_current="32 A", unit=WALL)

    assert judged(described, *(seen(name) for name in RATED[:-1]))["rated-current"].state is ClaimState.HOLDS


def test_undecided_and_found_elsewhere_are_no_answer() -> None:
    """Too uncertain, or seen on another supply: neither holds nor contradicts."""
    described = case(declared_current="16 A")

    for finding in (
        seen("pilot-duty.value", Outcome.UNDECIDED),
        seen("pilot-duty.value", Outcome.BEYOND, transfers=False, supply="board on bench supply"),
        seen("pilot-duty.value", Outcome.NOT_TESTED),
    ):
        assert judged(described, finding)["declared-current"].state is ClaimState.NOT_SHOWN


@pytest.mark.hand("IEC 62752 claimed; one limit of it beyond, known from memory, then from the standard")
def test_a_standard_is_never_shown_to_be_met() -> None:
    """Nothing beyond leaves it not shown; beyond a limit as known is told and leaves it not shown as well."""
    described = case(standards_claimed=("EN IEC 62752:2024",))
    of_it = replace(limit(), source="IEC 62752")
    beyond = seen("opening.time", Outcome.BEYOND, limit=of_it)
    held = replace(beyond, limit=replace(of_it, standing=Standing.STANDARD))

    nothing = judged(described, seen("opening.time", limit=of_it))["standard.1"]
    as_known = judged(described, beyond)["standard.1"]
    entered = judged(described, held)["standard.1"]

    assert nothing.state is ClaimState.NOT_SHOWN
    assert nothing.findings == ()
    assert as_known.state is ClaimState.NOT_SHOWN
    assert as_known.findings == ("opening.time",)
    assert "which is not the standard itself" in as_known.because
    assert entered.state is ClaimState.CONTRADICTED
    assert judged(case(standards_claimed=("IEC 6275",)), held)["standard.1"].findings == ()
    for written in ("EN 62752:2016+A1", "BS EN IEC 62752", "IEC/EN 62752", "62752"):
        assert judged(case(standards_claimed=(written,)), held)["standard.1"].findings == (held.id,), written


def test_a_quoted_claim_hangs_on_what_it_is_said_to_be_about() -> None:
    """By a function or by a finding; about nothing it is not shown, and the reason says what to write."""
    about_function = QuotedClaim(words="no live pins", where="listing", about=("supply-switching",))
    about_finding = QuotedClaim(words="20 A from any socket", where="listing", about=("offer-plug.value",))
    bare = QuotedClaim(words="fits every car")
    live = found("live-pins.uncoupled", "supply-switching", Outcome.BEYOND, absence=True)
    told = judged(case(about_function, about_finding, bare), live, seen("offer-plug.value"))

    assert [claim.state for claim in told.values()] == [
        ClaimState.CONTRADICTED,
        ClaimState.HOLDS,
        ClaimState.NOT_SHOWN,
    ]
    assert told["quoted.1"].functions == ("supply-switching",)
    assert told["quoted.3"].because == NO_SUBJECT


def test_words_are_told_once_and_a_degree_of_protection_is_never_shown() -> None:
    """A word that is quoted as well is not told twice; no test here puts water on a specimen."""
    described = case(QuotedClaim(words="waterproof"), words=("waterproof", "IP66"))
    told = judged(described)

    assert [claim.said for claim in told.values()] == ["waterproof", "IP66"]
    assert told["words.1"].functions == ("ingress-protection",)
    assert told["words.1"].state is ClaimState.NOT_SHOWN


def test_of_two_sizes_the_smaller_is_not_contradicted_by_the_larger() -> None:
    """The cable is held against the larger claim: to be thinner than 4 mm² says nothing of 2.5 mm²."""
    described = case(cable_print="3G2.5", cross_section="4 mm²")
    thin = found("conductor-resistance.line", "conductor", Outcome.BEYOND)
    smaller = tuple(smaller_sizes(described.claims))
    told = judged(described, thin, smaller=smaller)

    assert smaller == ("cable_print",)
    assert told["cross-section"].state is ClaimState.CONTRADICTED
    assert (told["cable-print"].state, told["cable-print"].because) == (ClaimState.NOT_SHOWN, TWO_SIZES)


@pytest.mark.published(
    "BS 7671 531.3.3: AC sees alternating, A pulsating, B smooth direct current too; UL 943 alternating only"
)
def test_a_type_is_shown_by_every_form_that_it_claims_to_see() -> None:
    """Type AC claims nothing of pulses, type B smooth direct current too, class A is not type A."""
    every = ("residual-current", "residual-pulsating", "residual-smooth")
    types = {"AC": 1, "Class A": 1, "CCID20": 1, "type A": 2, "F": 2, "type B": 3, "super": 3}
    asked = {kind: judged(case(residual_type=kind))["residual-type"].functions for kind in types}

    assert asked == {kind: every[:count] for kind, count in types.items()}


def test_a_box_that_is_not_there_is_not_spoken_of() -> None:
    """A lead of charging mode 1 has none; a fixed unit has no plug."""
    fixed, bare = replace(PORTABLE, build=WALL.build), replace(PORTABLE, charging_mode=1)
    told = {
        name: judged(case(rated_current="16 A", unit=unit), *map(seen, RATED))["rated-current"].because
        for name, unit in {"fixed": fixed, "bare": bare}.items()
    }

    assert "That is cable and connector;" in told["fixed"]
    assert "box" not in told["bare"]


@pytest.mark.published("IEC 61008-1 9.9 and 9.21, IEC 62423 9.1, from memory: put on at once, and rising slowly")
def test_a_type_waits_for_its_slow_rise() -> None:
    """Currents put on at once show a function; its type is claimed for a slow rise too, cut half waves among them."""
    plans = {plan.id: plan for plan in PLANS}
    forms = ("residual-current", "residual-pulsating")
    shown = [found(name, form, Outcome.WITHIN) for form in forms for name in plans[form].asks]
    functions = judge_functions(PORTABLE, shown)
    now = [replace(one, state=FunctionState.SHOWN) if one.id in forms else one for one in functions]
    described = case(residual_type="A", residual_current="30 mA")
    rises = [found(f"residual-{name}", name.split(".")[0]) for name in ("pulsating.rise", "alternating.rise")]
    cut = [found(f"residual-pulsating.rise-{angle}", "residual-pulsating") for angle in (90, 135)]

    at_once = {one.id: one for one in judge_claims(described, shown, now)}
    risen = {one.id: one for one in judge_claims(described, [*shown, *rises], now)}
    whole = {one.id: one for one in judge_claims(described, [*shown, *rises, *cut], now)}

    assert at_once["residual-type"].state is ClaimState.NOT_SHOWN
    assert at_once["residual-type"].missing == (MISSING["residual-pulsating.rise"],)
    assert at_once["residual-current"].state is ClaimState.HOLDS
    assert "was not read" in at_once["residual-current"].because
    assert risen["residual-type"].state is ClaimState.HOLDS
    assert "90°" in risen["residual-type"].because
    assert "was not read" not in risen["residual-current"].because
    assert "90°" not in whole["residual-type"].because


def test_what_no_test_reaches_of_a_type_is_told() -> None:
    """With all three forms shown type B holds as far as it was tried: 1 kHz was not."""
    plans = {plan.id: plan for plan in PLANS}
    forms = ("residual-current", "residual-pulsating", "residual-smooth")
    shown = [found(name, form, Outcome.WITHIN) for form in forms for name in plans[form].asks]
    functions = judge_functions(PORTABLE, shown)
    shown_now = [replace(one, state=FunctionState.SHOWN) if one.id in forms else one for one in functions]
    shown += [found(f"{name}.rise", name) for name in ("residual-pulsating", "residual-smooth")]
    (claim,) = judge_claims(case(residual_type="type B"), shown, shown_now)
    (partly,) = judge_claims(case(residual_type="type B"), shown[:-1], shown_now)

    assert claim.state is ClaimState.HOLDS
    assert "1 kHz" in claim.because
    assert partly.missing == (MISSING["residual-smooth.rise"],)


def test_what_may_be_said_names_who_claims_it_and_how_far_it_reaches() -> None:
    """Only contradicted claims are said, each inferred, with the claim in quotes."""
    quoted = QuotedClaim(words="20 A from any socket", where="listing", about=("offer-plug.value",))
    described = case(quoted, rated_current="20 A")
    beyond = seen("offer-plug.value", Outcome.BEYOND, statement="It offers 20 A by a plug for 16 A.")
    functions = judge_functions(described.unit, (beyond,))
    (said,) = contradicted(described, judge_claims(described, (beyond,), functions))

    assert said.text == (
        "On this specimen of the Skerrow 16: what is claimed in the listing as “20 A from any socket” is contradicted. "
        "It offers 20 A by a plug for 16 A."
    )
    assert said.basis is Basis.INFERRED
    assert said.findings == ("offer-plug.value",)


def test_a_subject_that_nobody_knows_is_a_problem() -> None:
    """A slip of the pen must not leave a claim open for ever."""
    described = case(QuotedClaim(words="a", about=("earth-monitring", "offer-plug.value", "wiring")))

    assert subjects(described) == ("earth-monitring", "offer-plug.value", "wiring")
    (problem,) = unknown_subjects(described)
    assert "'earth-monitring'" in problem.what
    assert "earth-monitoring" in problem.what


@given(findings=many_findings(), order=st.randoms(use_true_random=False))
def test_a_worse_finding_never_makes_a_claim_hold(findings: list[Finding], order: object) -> None:
    """For every claim with a key: turning a finding beyond never raises its state, in whatever order they come."""
    del order
    written: dict[str, Any] = {plan.key: "16 A" for plan in CLAIM_PLANS}
    described = case(**written)
    ranks = {ClaimState.CONTRADICTED: 0, ClaimState.NOT_SHOWN: 1, ClaimState.HOLDS: 2}
    before = judged(described, *findings)
    for place, finding in enumerate(findings):
        worse = [*findings[:place], replace(finding, outcome=Outcome.BEYOND), *findings[place + 1 :]]
        after = judged(described, *worse)
        assert all(ranks[after[name].state] <= ranks[before[name].state] for name in before)
