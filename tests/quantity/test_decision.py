"""Decisions: published probabilities and guard bands, and what must hold of every rule."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from coldpin.errors import InputError, UnknownName
from coldpin.quantity import AtLeast, AtMost, Quantity, decide, find_rule, normal, propagate, rectangular
from coldpin.quantity.decision import RULES
from coldpin.quantity.risk import GlobalRisk, global_risk

NAMES = [*(rule.name for rule in RULES), "guard band 0.5 U"]
ORDER = {"beyond": 0, "undecided": 1, "within": 2}


# --- probabilities ----------------------------------------------------------------------------------------------------


@pytest.mark.published("JCGM 106:2012 7.3 example 1, burst strength (from memory, recomputed)")
def test_burst_strength() -> None:
    """The probability of conforming to a lower limit is the printed one, as is the z behind it."""
    decision = decide(Quantity(509.7, 8.6, "kPa"), minimum=490.0)

    assert decision.probability is not None
    assert stats.norm.ppf(decision.probability) == pytest.approx(2.29, abs=0.005)
    assert decision.probability == pytest.approx(0.989, abs=5e-4)
    assert decision.outcome == "within"
    assert decision.risk == pytest.approx(0.011, abs=5e-4)


@pytest.mark.published("JCGM 106:2012 7.4 example, oil viscosity (from memory, recomputed)")
def test_oil_viscosity() -> None:
    """The probability between two limits is the printed one, and too little to decide."""
    decision = decide(Quantity(13.6, 1.8, "1"), minimum=12.5, maximum=16.3)

    assert decision.probability == pytest.approx(0.66, abs=0.005)
    assert decision.outcome == "undecided"
    assert decision.risk is None


@pytest.mark.published("JCGM 106:2012 8.3.3 example, speed: 106.6 km/h for 99.9 % (from memory, recomputed)")
def test_speed_beyond_reasonable_doubt() -> None:
    """At the printed speed the probability of not exceeding the limit is one in a thousand."""
    speed = 106.6
    decision = decide(Quantity(speed, 0.02 * speed, "1"), maximum=100.0)

    assert decision.outcome == "beyond"
    # the printed speed is rounded to 0.1 km/h, which is 0.05 / 2.13 in z, times the density there 0.0034
    assert decision.probability == pytest.approx(0.001, abs=0.0034 * 0.05 / 2.13)


@pytest.mark.independent("scipy.stats: cumulative distributions of normal, t, uniform, triangular and arcsine")
@pytest.mark.parametrize("limit", [4.1, 4.6, 5.0, 5.3, 5.9])
def test_probability_by_shape(limit: float) -> None:
    """The probability below a limit is that of the shape behind the quantity."""
    from coldpin.quantity import arcsine, triangular

    assert normal(5.0, 0.4, "V", id="x").probability_below(limit) == pytest.approx(stats.norm(5.0, 0.4).cdf(limit))
    assert normal(5.0, 0.4, "V", id="x", dof=4).probability_below(limit) == pytest.approx(
        stats.t(4, 5.0, 0.4).cdf(limit)
    )
    assert rectangular(5.0, 1.0, "V", id="x").probability_below(limit) == pytest.approx(
        stats.uniform(4.0, 2.0).cdf(limit)
    )
    assert triangular(5.0, 1.0, "V", id="x").probability_below(limit) == pytest.approx(
        stats.triang(0.5, 4.0, 2.0).cdf(limit)
    )
    assert arcsine(5.0, 1.0, "V", id="x").probability_below(limit) == pytest.approx(stats.arcsine(4.0, 2.0).cdf(limit))


@pytest.mark.hand("an exponential distribution of mean 2 u² lies below 150e-6 with probability 1 - exp(-3)")
def test_probability_of_a_drawn_distribution() -> None:
    """A result kept as quantiles is judged by them, not by a normal curve."""
    inputs = {name: normal(0.0, 0.005, "1", id=name) for name in "ab"}
    power = propagate(lambda a, b: a**2 + b**2, inputs, "1")

    decision = decide(power, maximum=150e-6)
    assert decision.probability == pytest.approx(1.0 - math.exp(-3.0), abs=3 * math.sqrt(0.05 * 0.95 / 2e5))
    assert decision.outcome == "undecided"
    assert decide(power, minimum=0.0).outcome == "within"


# --- rules ------------------------------------------------------------------------------------------------------------

READ = "ILAC-G8:09/2019 Table 1, 4.2.1 and 4.2.2, https://fliphtml5.com/szbrq/ktfm/ILAC_G8_09_2019_Quy_tac_ra_QD/9"
MEMORY = "ILAC-G8:09/2019 Table 1 (from memory, recomputed)"


@pytest.mark.published(f"w = 0, U: {READ}; 0.83 U, 1.5 U, 3 U: {MEMORY}")
@pytest.mark.parametrize(
    ("rule", "guard", "worst", "rounding"),
    [
        ("simple acceptance", 0.0, 0.5, 0.005),
        ("guard band U", 1.0, 0.025, 0.0005),
        ("guard band 0.83 U", 0.83, 0.05, 0.005),
        ("three sigma", 1.5, 0.0016, 0.00005),
        ("six sigma", 3.0, 1e-6, 1e-6),
    ],
)
def test_guard_bands(rule: str, guard: float, worst: float, rounding: float) -> None:
    """At the acceptance limit 'within' is said, beside it not, and the chance of its being wrong is the printed one."""
    u = 0.5
    limit = 10.0
    at = limit - guard * 1.959964 * u

    accepted = decide(Quantity(at - 1e-6, u, "V"), maximum=limit, rule=rule)
    assert accepted.outcome == "within"
    assert decide(Quantity(at + 1e-6, u, "V"), maximum=limit, rule=rule).outcome != "within"
    # the last is printed as an upper bound
    assert accepted.risk == pytest.approx(worst, abs=rounding)


@pytest.mark.published("ILAC-G8:09/2019 Table 1, 'uncritical': reject y > TU + U, at most 2.5 % wrong (from memory)")
def test_guarded_rejection() -> None:
    """'Beyond' is said only where the limit is exceeded by more than U."""
    u, limit = 0.5, 10.0
    over = limit + 1.959964 * u

    rejected = decide(Quantity(over + 1e-6, u, "V"), maximum=limit, rule="guarded rejection")
    assert rejected.outcome == "beyond"
    assert rejected.risk == pytest.approx(0.025, abs=1e-5)
    assert decide(Quantity(over - 1e-6, u, "V"), maximum=limit, rule="guarded rejection").outcome == "undecided"
    assert decide(Quantity(limit, u, "V"), maximum=limit, rule="guarded rejection").outcome == "within"


@pytest.mark.hand("0.975 of a normal distribution lies below 1.96 u")
@pytest.mark.parametrize(
    ("value", "outcome"), [(9.01, "within"), (9.03, "undecided"), (10.97, "undecided"), (10.99, "beyond")]
)
def test_confidence_is_the_default(value: float, outcome: str) -> None:
    """Within from 97.5 %, beyond to 2.5 %, undecided between."""
    decision = decide(Quantity(value, 0.5, "V"), maximum=10.0)

    assert (decision.outcome, decision.rule) == (outcome, "confidence")


@pytest.mark.hand("the interval ends lie on the limit exactly")
def test_the_end_of_the_interval_on_the_limit_decides() -> None:
    """A rectangular quantity whose 95 % interval ends at the limit is decided alike from both sides."""
    flat = rectangular(0.0, 1.0, "V", id="x")

    assert decide(flat, maximum=0.9500001).outcome == "within"
    assert decide(flat, maximum=-0.9500001).outcome == "beyond"
    assert decide(flat, maximum=0.9499999).outcome == "undecided"


@pytest.mark.hand("each side by the part of the interval that points to the limit")
def test_guard_band_of_a_lopsided_interval() -> None:
    """The guard band uses the side of the interval that reaches towards the limit, and away from it for 'beyond'."""
    lopsided = Quantity(10.0, 1.0, "V", low=9.5, high=13.0)

    assert decide(lopsided, maximum=13.0, rule="guard band U").outcome == "within"
    assert decide(lopsided, maximum=12.9, rule="guard band U").outcome == "undecided"
    assert decide(lopsided, minimum=9.5, rule="guard band U").outcome == "within"
    assert decide(lopsided, maximum=9.4, rule="guard band U").outcome == "beyond"
    assert decide(lopsided, minimum=12.9, rule="guard band U").outcome == "undecided"
    assert decide(lopsided, minimum=13.1, rule="guard band U").outcome == "beyond"


@pytest.mark.hand("the rule says so")
@pytest.mark.parametrize("rule", NAMES)
def test_unknown_uncertainty_is_undecided(rule: str) -> None:
    """Without an uncertainty there is no probability and no verdict, by any rule."""
    decision = decide(Quantity(5.0, None, "V", why="not stated"), maximum=10.0, rule=rule)

    assert (decision.outcome, decision.probability, decision.risk) == ("undecided", None, None)


@pytest.mark.hand("exact values")
@pytest.mark.parametrize("rule", NAMES)
def test_exact_values(rule: str) -> None:
    """An exact value at its limit is within it, above it is beyond."""
    assert decide(Quantity(10.0, 0.0, "V"), minimum=9.0, maximum=10.0, rule=rule).outcome == "within"
    assert decide(Quantity(10.1, 0.0, "V"), minimum=9.0, maximum=10.0, rule=rule).outcome == "beyond"


@pytest.mark.hand("words of the rules")
def test_words_for_the_report() -> None:
    """A rule speaks for itself, and a guard band of any size has words too."""
    plain = decide(Quantity(9.0, 0.1, "V"), maximum=10.0, rule="simple acceptance")

    assert plain.words == "simple acceptance; chance of a wrong 'within' at the limit up to 50 %"
    assert find_rule("guard band 0.5 U").words == "guard band of 0.5 U on both sides of the limit"
    assert all(rule.source for rule in RULES)


@pytest.mark.hand("texts of the errors")
def test_errors() -> None:
    """An unknown rule lists the known ones; limits that cannot be are refused."""
    quantity = Quantity(5.0, 0.1, "V")

    with pytest.raises(UnknownName, match=r"unknown decision rule 'guard band u'; did you mean 'guard band U'\?"):
        decide(quantity, maximum=1.0, rule="guard band u")
    with pytest.raises(InputError, match="limits from None to None V: give a minimum, a maximum, or both in order"):
        decide(quantity)
    with pytest.raises(InputError, match=r"limits from 2.0 to 1.0 V"):
        decide(quantity, minimum=2.0, maximum=1.0)
    with pytest.raises(InputError, match="limits from nan to None V"):
        decide(quantity, minimum=math.nan)
    with pytest.raises(InputError, match="cannot be placed against limits: no signal"):
        decide(Quantity(math.nan, None, "V", why="no signal"), maximum=1.0)


# --- one-sided readings -----------------------------------------------------------------------------------------------

EDGE = Quantity(500.0, 10.0, "MΩ")


@pytest.mark.hand("what holds for every value above the edge")
@pytest.mark.parametrize(
    ("minimum", "maximum", "outcome"),
    [
        (1.0, None, "within"),
        (490.0, None, "undecided"),
        (600.0, None, "undecided"),
        (None, 400.0, "beyond"),
        (None, 600.0, "undecided"),
        (1.0, 600.0, "undecided"),
        (1.0, 400.0, "beyond"),
    ],
)
def test_at_least(minimum: float | None, maximum: float | None, outcome: str) -> None:
    """Of a reading above the range only what holds everywhere above it is said, and the mirror image likewise."""
    decision = decide(AtLeast(EDGE), minimum=minimum, maximum=maximum)
    mirrored = decide(
        AtMost(replace(EDGE, value=-EDGE.value, low=None, high=None)),
        minimum=None if maximum is None else -maximum,
        maximum=None if minimum is None else -minimum,
    )

    assert decision.outcome == outcome
    assert mirrored.outcome == outcome
    assert (decision.probability is None) == (outcome == "undecided")


@pytest.mark.hand("u of the edge unknown")
def test_a_bound_of_unknown_uncertainty_is_undecided() -> None:
    """A one-sided reading whose edge has no uncertainty decides nothing."""
    assert decide(AtLeast(Quantity(500.0, None, "MΩ", why="as written")), minimum=1.0).outcome == "undecided"


# --- what must hold always --------------------------------------------------------------------------------------------

values = st.floats(-100.0, 100.0)
uncertainties = st.floats(1e-3, 50.0)


@given(value=values, step=st.floats(0.0, 50.0), u=uncertainties, rule=st.sampled_from(NAMES))
def test_decisions_are_monotone_in_the_value(value: float, step: float, u: float, rule: str) -> None:
    """A larger value never looks better against a maximum, nor worse against a minimum."""
    lower, upper = Quantity(value, u, "V"), Quantity(value + step, u, "V")

    assert ORDER[decide(upper, maximum=0.0, rule=rule).outcome] <= ORDER[decide(lower, maximum=0.0, rule=rule).outcome]
    assert ORDER[decide(upper, minimum=0.0, rule=rule).outcome] >= ORDER[decide(lower, minimum=0.0, rule=rule).outcome]


@given(value=values, u=uncertainties, growth=st.floats(1.0, 10.0), rule=st.sampled_from(NAMES))
def test_more_uncertainty_never_makes_a_new_verdict(value: float, u: float, growth: float, rule: str) -> None:
    """With a larger uncertainty a verdict may become undecided, never the opposite one."""
    sure, unsure = (decide(Quantity(value, size, "V"), maximum=0.0, rule=rule).outcome for size in (u, u * growth))

    assert unsure in {sure, "undecided"} or rule in {"simple acceptance", "guarded rejection"}
    assert {sure, unsure} != {"within", "beyond"}


@given(value=values, u=uncertainties, low=values, width=st.floats(0.0, 50.0), rule=st.sampled_from(NAMES))
def test_two_limits_are_no_easier_than_one(value: float, u: float, low: float, width: float, rule: str) -> None:
    """Within both means within each; beyond one means beyond the pair."""
    quantity = Quantity(value, u, "V")
    both = decide(quantity, minimum=low, maximum=low + width, rule=rule)
    each = [decide(quantity, minimum=low, rule=rule), decide(quantity, maximum=low + width, rule=rule)]

    if both.outcome == "within":
        assert [one.outcome for one in each] == ["within", "within"]
    if any(one.outcome == "beyond" for one in each):
        assert both.outcome == "beyond"
    assert both.probability is not None
    assert both.probability <= min(one.probability or 0.0 for one in each) + 1e-12


# --- global risk ------------------------------------------------------------------------------------------------------


@pytest.mark.published(
    "JCGM 106:2012 9.5.4, ball bearings; read in the notebook 'Risk - Ball Bearing' of the PSL Uncertainty Calculator, "
    "https://github.com/sandialabs/suncal; the producer's risks are our arithmetic"
)
def test_ball_bearings() -> None:
    """Risks of simple acceptance, and of the acceptance limit that brings the consumer's to 0.1 %."""
    prior = stats.gamma(4.0, scale=0.25)

    def risk(accept: float) -> GlobalRisk:
        return global_risk(prior.pdf, support=(0.0, 12.0), u=0.25, maximum=2.0, accept_maximum=accept)

    assert prior.sf(2.0) == pytest.approx(0.0424, abs=5e-5)
    assert risk(2.0).consumer == pytest.approx(0.0080, abs=5e-5)
    assert risk(2.0).producer == pytest.approx(0.0174, abs=5e-5)
    assert risk(1.672).consumer == pytest.approx(0.001, abs=1e-5)
    assert risk(1.67).producer == pytest.approx(0.0760, abs=5e-5)


@pytest.mark.published("JCGM 106:2012 9.5.3, inputs (from memory); the results are our arithmetic with another library")
@pytest.mark.parametrize(
    ("guard", "consumer", "producer"), [(0.0, 0.0189, 0.0372), (1.0, 0.00047, 0.248), (-1.0, 0.0694, 0.00068)]
)
def test_resistors(guard: float, consumer: float, producer: float) -> None:
    """Risks for simple acceptance, guarded acceptance and guarded rejection with a guard band of U = 2 u."""
    accept = 0.2 - guard * 2.0 * 0.04
    prior = stats.norm(0.0, 0.12)
    risk = global_risk(
        prior.pdf,
        support=(-1.2, 1.2),
        u=0.04,
        minimum=-0.2,
        maximum=0.2,
        accept_minimum=-accept,
        accept_maximum=accept,
    )

    assert prior.cdf(0.2) - prior.cdf(-0.2) == pytest.approx(0.904, abs=5e-4)
    assert risk.consumer == pytest.approx(consumer, rel=0.01)
    assert risk.producer == pytest.approx(producer, rel=0.01)


@pytest.mark.hand("texts of the errors")
def test_global_risk_needs_a_finite_support() -> None:
    """An endless support is refused."""
    with pytest.raises(InputError, match="the support must be finite and u above 0"):
        global_risk(lambda _: 1.0, support=(0.0, math.inf), u=0.1, maximum=1.0)
