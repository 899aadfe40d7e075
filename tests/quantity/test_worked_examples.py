"""Published worked examples of measurement uncertainty, each with where it was read or that it is from memory.

Tolerances are half a unit of the last printed digit, plus three standard errors where one side is a Monte Carlo run.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.quantity import (
    Component,
    Quantity,
    Shape,
    arcsine,
    assemble,
    budget_shares,
    correlated,
    correlation,
    coverage_factor,
    from_joint_readings,
    from_readings,
    normal,
    propagate,
    rectangular,
    simulate,
)

Draws = NDArray[np.float64]

GTC_TESTS = "GTC test suite, https://github.com/MSLNZ/GTC"
PSL_TESTS = "tests of the PSL Uncertainty Calculator, https://github.com/sandialabs/suncal"


def uncertainty(quantity: Quantity) -> float:
    """The standard uncertainty, which every result here has."""
    assert quantity.u is not None
    return quantity.u


def interval(quantity: Quantity) -> tuple[float, float]:
    """The 95 % interval, which every result here has."""
    assert quantity.low is not None
    assert quantity.high is not None
    return quantity.low, quantity.high


def quantile(quantity: Quantity, probability: float) -> float:
    """A quantile of the distribution a Monte Carlo result keeps."""
    place = probability * (len(quantity.quantiles) - 1)
    assert place == pytest.approx(round(place))
    return quantity.quantiles[round(place)]


def shortest(quantity: Quantity, coverage: float = 0.95) -> tuple[float, float]:
    """The shortest interval of a Monte Carlo result (JCGM 101:2008 5.3.4)."""
    points = np.array(quantity.quantiles)
    steps = round(coverage * (points.size - 1))
    widths = points[steps:] - points[:-steps]
    first = int(np.argmin(widths))
    return float(points[first]), float(points[first + steps])


# --- GUM H.1, end gauge -------------------------------------------------------------------------------------------


def gauge_length(
    standard: float, difference: float, expansion_gap: float, temperature: float, expansion: float, gap: float
) -> float:
    """Length of the end gauge. [nm]"""
    return standard + difference - standard * (expansion_gap * temperature + expansion * gap)


def gauge_inputs(*, certain: bool = False) -> dict[str, Quantity]:
    """Inputs of GUM H.1; ``certain`` drops the degrees of freedom, which its second-order terms do not use."""

    def dof(number: float) -> float:
        return math.inf if certain else number

    difference = assemble(
        215.0,
        "nm",
        [
            Component(id="repeated readings", label="repeated readings", contribution=5.8, dof=dof(24)),
            Component(id="comparator, random", label="comparator, random", contribution=3.9, dof=dof(5)),
            Component(id="comparator, systematic", label="comparator, systematic", contribution=6.7, dof=dof(8)),
        ],
    )
    temperature = assemble(
        -0.1,
        "K",
        [
            Component(id="mean temperature", label="mean temperature", contribution=0.2),
            Component(id="cycle", label="cycle", contribution=0.5 / math.sqrt(2), shape=Shape.ARCSINE),
        ],
    )
    return {
        "standard": normal(50000623.0, 25.0, "nm", id="standard", dof=dof(18)),
        "difference": difference,
        "expansion_gap": rectangular(0.0, 1e-6, "1/K", id="difference of expansion", dof=dof(50)),
        "temperature": temperature,
        "expansion": rectangular(11.5e-6, 2e-6, "1/K", id="expansion"),
        "gap": rectangular(0.0, 0.05, "K", id="difference of temperature", dof=dof(2)),
    }


@pytest.mark.published("JCGM 100:2008 H.1, read in GTC documentation, GUM H1, https://github.com/MSLNZ/GTC")
def test_end_gauge_first_order() -> None:
    """Value, u, its four terms and the effective degrees of freedom are the printed ones."""
    length = propagate(gauge_length, gauge_inputs(), "nm", monte_carlo=False)

    assert length.value == pytest.approx(50000838.0, abs=0.5)
    assert uncertainty(length) == pytest.approx(31.66, abs=0.005)
    assert length.dof == pytest.approx(16.75, abs=0.005)
    sizes = {share.label: abs(share.contribution) for share in budget_shares(length)}
    comparison = math.hypot(*(sizes[name] for name in sizes if name.startswith(("repeated", "comparator"))))
    assert sizes["standard"] == pytest.approx(25.0, abs=0.05)
    assert comparison == pytest.approx(9.68, abs=0.005)
    assert "expansion" not in sizes  # its factor is zero: second order only
    assert sizes["difference of expansion"] == pytest.approx(2.89, abs=0.005)
    assert sizes["difference of temperature"] == pytest.approx(16.60, abs=0.005)


@pytest.mark.published("JCGM 100:2008 H.1.6: U99 = 93 nm with t99(16) = 2.92 (from memory, recomputed 92.5 nm)")
def test_end_gauge_expanded() -> None:
    """The 99 % expanded uncertainty is the printed one when the degrees of freedom are rounded down as there."""
    length = propagate(gauge_length, gauge_inputs(), "nm", monte_carlo=False)

    factor = coverage_factor(math.floor(length.dof), 0.99)
    assert factor == pytest.approx(2.92, abs=0.005)
    assert factor * uncertainty(length) == pytest.approx(92.5, abs=0.05)


@pytest.mark.published("JCGM 100:2008 H.1.7: u = 34 nm; full precision read in GTC documentation, GUM H1")
def test_end_gauge_second_order_is_covered_by_draws() -> None:
    """The terms of second order, which the linear sum cannot have, are in the Monte Carlo result."""
    length = propagate(gauge_length, gauge_inputs(certain=True), "nm")

    assert length.quantiles
    assert length.value == pytest.approx(50000838.0, abs=0.5)
    assert uncertainty(length) == pytest.approx(33.81, abs=0.005 + 3 * 34.0 / math.sqrt(2 * 200_000))


@pytest.mark.published("JCGM 101:2008 9.5 Table 11 (from memory): 838 nm, u 36 nm, 99 %: recomputed 744 to 932 nm")
def test_end_gauge_by_monte_carlo() -> None:
    """With t and curvilinear trapezoids in place of finite degrees of freedom, the draws give the printed numbers."""
    length = propagate(gauge_length, gauge_inputs(), "nm")

    assert length.value - 50_000_000.0 == pytest.approx(838.0, abs=0.5)
    assert uncertainty(length) == pytest.approx(36.0, abs=0.5)
    # near normal: standard error of these quantiles sqrt(0.005 * 0.995 / 2e5) / (0.0145 / 36 nm) = 0.4 nm
    assert quantile(length, 0.005) - 50_000_000.0 == pytest.approx(744.0, abs=0.5 + 1.2)
    assert quantile(length, 0.995) - 50_000_000.0 == pytest.approx(932.0, abs=0.5 + 1.2)


# --- GUM H.2, impedance from correlated readings ----------------------------------------------------------------------

IMPEDANCE = {
    "voltage": [5.007, 4.994, 5.005, 4.990, 4.999],
    "current": [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
    "phase": [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
}
IMPEDANCE_UNITS = {"voltage": "V", "current": "A", "phase": "rad"}


def resistance(voltage: Draws, current: Draws, phase: Draws) -> Draws:
    """R. [Ω]"""
    return voltage / current * np.cos(phase)


def reactance(voltage: Draws, current: Draws, phase: Draws) -> Draws:
    """X. [Ω]"""
    return voltage / current * np.sin(phase)


def impedance(voltage: Draws, current: Draws, phase: Draws) -> Draws:
    """Z, which does not depend on the phase. [Ω]"""
    return voltage / current + 0.0 * phase


@pytest.mark.published(f"JCGM 100:2008 H.2, Table H.2; read in {GTC_TESTS}")
def test_impedance_inputs() -> None:
    """Means, their uncertainties and correlations are the printed ones."""
    inputs = from_joint_readings(IMPEDANCE, IMPEDANCE_UNITS)

    assert inputs["voltage"].value == pytest.approx(4.9990, abs=5e-5)
    assert uncertainty(inputs["voltage"]) == pytest.approx(0.0032, abs=5e-5)
    assert inputs["current"].value == pytest.approx(19.6610e-3, abs=5e-8)
    assert uncertainty(inputs["current"]) == pytest.approx(0.0095e-3, abs=5e-8)
    assert inputs["phase"].value == pytest.approx(1.04446, abs=5e-6)
    assert uncertainty(inputs["phase"]) == pytest.approx(0.00075, abs=5e-6)
    assert correlation(inputs["voltage"], inputs["current"]) == pytest.approx(-0.36, abs=0.005)
    assert correlation(inputs["voltage"], inputs["phase"]) == pytest.approx(0.86, abs=0.005)
    assert correlation(inputs["current"], inputs["phase"]) == pytest.approx(-0.65, abs=0.005)


@pytest.mark.published(f"JCGM 100:2008 H.2, Tables H.3 and H.4; full precision read in {GTC_TESTS} and {PSL_TESTS}")
@pytest.mark.parametrize("monte_carlo", [False, None, True])
def test_impedance(monte_carlo: bool | None) -> None:
    """R, X, Z, their uncertainties, correlations and the four degrees of freedom they share are the printed ones."""
    inputs = from_joint_readings(IMPEDANCE, IMPEDANCE_UNITS)
    r, x, z = (
        propagate(formula, inputs, "Ω", monte_carlo=monte_carlo) for formula in (resistance, reactance, impedance)
    )

    assert r.value == pytest.approx(127.73217, abs=5e-6)
    assert uncertainty(r) == pytest.approx(0.07107, abs=5e-6)
    assert x.value == pytest.approx(219.84651, abs=5e-6)
    assert uncertainty(x) == pytest.approx(0.29558, abs=5e-6)
    assert z.value == pytest.approx(254.25970, abs=5e-6)
    assert uncertainty(z) == pytest.approx(0.23634, abs=5e-6)
    assert correlation(r, x) == pytest.approx(-0.588, abs=5e-4)
    assert correlation(r, z) == pytest.approx(-0.485, abs=5e-4)
    assert correlation(x, z) == pytest.approx(0.993, abs=5e-4)
    assert [r.dof, x.dof, z.dof] == pytest.approx([4.0, 4.0, 4.0])


@pytest.mark.published(f"JCGM 100:2008 H.2 from its rounded means and correlations: u(R) = 0.070; read in {GTC_TESTS}")
def test_impedance_from_rounded_inputs() -> None:
    """The rounded inputs give the smaller u(R) that GTC prints for them, dof 4 included."""
    voltage, current, phase = correlated(
        [4.9990, 19.6610e-3, 1.04446],
        [0.0032, 0.0095e-3, 0.00075],
        [[1.0, -0.36, 0.86], [-0.36, 1.0, -0.65], [0.86, -0.65, 1.0]],
        ids=["voltage", "current", "phase"],
        units=["V", "A", "rad"],
        dof=4.0,
    )
    r = propagate(resistance, {"voltage": voltage, "current": current, "phase": phase}, "Ω", monte_carlo=False)

    # 0.0699787279883717 is printed in the documentation of multiple_ureal of GTC 1.5
    assert uncertainty(r) == pytest.approx(0.0699787279883717, rel=1e-7)
    assert r.dof == pytest.approx(4.0)


@pytest.mark.hand("JCGM 100:2008 eq. (10) without the correlations of H.2 gives 0.195, 0.201 and 0.204 Ω")
@pytest.mark.parametrize(("formula", "u"), [(resistance, 0.195), (reactance, 0.201), (impedance, 0.204)])
def test_impedance_without_correlation_is_another_result(formula: Callable[..., Draws], u: float) -> None:
    """Dropping the correlations shows, so the test above would notice if they were lost."""
    inputs = {name: from_readings(row, IMPEDANCE_UNITS[name], id=name) for name, row in IMPEDANCE.items()}

    assert uncertainty(propagate(formula, inputs, "Ω", monte_carlo=False)) == pytest.approx(u, abs=5e-4)


# --- GUM H.3, straight line ------------------------------------------------------------------------------------------

THERMOMETER = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


@pytest.mark.published(f"JCGM 100:2008 H.3; read in {GTC_TESTS}")
def test_thermometer_correction() -> None:
    """A fitted line enters as two jointly estimated inputs and predicts the printed correction at 30 °C."""
    t = np.array(THERMOMETER) - 20.0
    (slope, intercept), covariance = np.polyfit(t, CORRECTION, 1, cov=True)
    u = np.sqrt(np.diag(covariance))
    r = float(covariance[0, 1] / (u[0] * u[1]))
    y1, y2 = correlated(
        [intercept, slope],
        [u[1], u[0]],
        [[1.0, r], [r, 1.0]],
        ids=["intercept", "slope"],
        units=["°C", "1"],
        dof=len(THERMOMETER) - 2.0,
    )
    at_30 = propagate(lambda y1, y2: y1 + y2 * (30.0 - 20.0), {"y1": y1, "y2": y2}, "°C")

    assert y1.value == pytest.approx(-0.1712, abs=5e-5)
    assert uncertainty(y1) == pytest.approx(0.0029, abs=5e-5)
    assert y2.value == pytest.approx(0.00218, abs=5e-6)
    assert uncertainty(y2) == pytest.approx(0.00067, abs=5e-6)
    assert correlation(y1, y2) == pytest.approx(-0.930, abs=5e-4)
    assert at_30.value == pytest.approx(-0.1494, abs=5e-5)
    assert uncertainty(at_30) == pytest.approx(0.0041, abs=5e-5)
    assert at_30.dof == pytest.approx(9.0)


# --- GUM 4.3.7 and 5.2.2 --------------------------------------------------------------------------------------------


@pytest.mark.published("JCGM 100:2008 4.3.7 example 2 and 5.1.5 (from memory)")
def test_digital_voltmeter() -> None:
    """Reading and range terms make one rectangular limit, which adds to the scatter of the readings."""
    half_width = 14e-6 * 0.928571 + 2e-6 * 1.0
    scatter = normal(0.928571, 12e-6, "V", id="readings")
    meter = rectangular(0.0, half_width, "V", id="meter")
    voltage = propagate(lambda v, dv: v + dv, {"v": scatter, "dv": meter}, "V")

    assert half_width == pytest.approx(15.0e-6, abs=0.05e-6)
    assert uncertainty(meter) == pytest.approx(8.66e-6, abs=0.005e-6)
    assert uncertainty(voltage) == pytest.approx(14.8e-6, abs=0.05e-6)
    assert uncertainty(voltage) == pytest.approx(15e-6, abs=0.5e-6)
    assert uncertainty(voltage) / voltage.value == pytest.approx(16e-6, abs=0.5e-6)


@pytest.mark.published("JCGM 100:2008 5.2.2 example (from memory)")
def test_ten_resistors_compared_with_one_standard() -> None:
    """Ten resistors compared with the same standard share its error; taken as ten standards they would not."""
    names = [f"r{k}" for k in range(10)]
    total = propagate(
        lambda **r: sum(r.values()),
        {name: normal(1000.0, 0.1, "Ω", id="standard", label="standard") for name in names},
        "Ω",
    )
    apart = propagate(
        lambda **r: sum(r.values()), {name: normal(1000.0, 0.1, "Ω", id=name, label=name) for name in names}, "Ω"
    )

    assert total.value == pytest.approx(10_000.0)
    assert uncertainty(total) == pytest.approx(1.0, abs=5e-4)
    assert uncertainty(apart) == pytest.approx(0.316, abs=5e-4)


# --- JCGM 101 clause 9 ------------------------------------------------------------------------------------------------


def total_of_four(a: float, b: float, c: float, d: float) -> float:
    """The additive model of JCGM 101:2008 9.2."""
    return a + b + c + d


def flat(u: float, name: str) -> Quantity:
    """A rectangular input about 0 of standard uncertainty u."""
    return rectangular(0.0, u * math.sqrt(3.0), "1", id=name)


@pytest.mark.published(f"JCGM 101:2008 9.2.2 Table 2; read in {PSL_TESTS}")
def test_four_normal_inputs() -> None:
    """Linear sum and draws agree, so that the linear result stands."""
    inputs = {name: normal(0.0, 1.0, "1", id=name) for name in "abcd"}
    total = propagate(total_of_four, inputs, "1", monte_carlo=True)
    drawn = simulate(total_of_four, inputs, "1")

    assert not total.quantiles
    assert total.value == pytest.approx(0.0)
    assert uncertainty(total) == pytest.approx(2.0)
    assert interval(total) == pytest.approx((-3.92, 3.92), abs=0.005)
    # standard error of a 2.5 % quantile of 2e5 normal draws: 0.006 u
    assert interval(drawn) == pytest.approx((-3.92, 3.92), abs=0.005 + 0.036)


@pytest.mark.published(f"JCGM 101:2008 9.2.3 Table 3; read in {PSL_TESTS}")
def test_four_rectangular_inputs() -> None:
    """The draws give the narrower interval; the tolerance of two digits of u still accepts the linear one."""
    inputs = {name: flat(1.0, name) for name in "abcd"}
    linear = propagate(total_of_four, inputs, "1", monte_carlo=False)
    drawn = simulate(total_of_four, inputs, "1")

    assert interval(linear) == pytest.approx((-3.92, 3.92), abs=0.005)
    assert drawn.value == pytest.approx(0.0, abs=1e-9)
    assert uncertainty(drawn) == pytest.approx(2.0, rel=1e-9)
    assert interval(drawn) == pytest.approx((-3.88, 3.88), abs=0.005 + 0.03)
    assert propagate(total_of_four, inputs, "1", monte_carlo=True) == linear


@pytest.mark.published("JCGM 101:2008 9.2.4 Table 4 (from memory)")
def test_one_dominant_rectangular_input() -> None:
    """One dominant rectangular input makes k = 1.96 too wide; the true sum is used unasked and it is said."""
    inputs = {name: flat(1.0, name) for name in "abc"} | {"d": flat(10.0, "d")}
    linear = propagate(total_of_four, inputs, "1", monte_carlo=False)
    total = propagate(total_of_four, inputs, "1")

    assert interval(linear) == pytest.approx((-19.9, 19.9), abs=0.05)
    assert total.value == pytest.approx(0.0, abs=1e-9)
    assert uncertainty(total) == pytest.approx(10.1, abs=0.05)
    assert interval(total) == pytest.approx((-17.0, 17.0), abs=0.05)
    assert "convolved; taken as normal they would give -19.8915 to 19.8915" in total.why


def mass_deviation(
    reference: float, added: float, air: float, weight_density: float, reference_density: float
) -> float:
    """Deviation from 100 g, weighed in air. [mg]"""
    return (reference + added) * (1.0 + (air - 1.2) * (1.0 / weight_density - 1.0 / reference_density)) - 100_000.0


MASS_INPUTS = {
    "reference": normal(100_000.0, 0.050, "mg", id="reference"),
    "added": normal(1.234, 0.020, "mg", id="added"),
    "air": rectangular(1.20, 0.10, "1", id="air"),
    "weight_density": rectangular(8000.0, 1000.0, "1", id="weight density"),
    "reference_density": rectangular(8000.0, 50.0, "1", id="reference density"),
}


@pytest.mark.published("JCGM 101:2008 9.3 Table 6 (from memory); its run had a numerical tolerance of 0.005 mg")
def test_mass_calibration() -> None:
    """The first order misses the buoyancy; the draws that replace it are the printed ones."""
    linear = propagate(mass_deviation, MASS_INPUTS, "mg", monte_carlo=False)
    drawn = propagate(mass_deviation, MASS_INPUTS, "mg")

    assert linear.value == pytest.approx(1.2340, abs=5e-5)
    assert uncertainty(linear) == pytest.approx(0.0539, abs=5e-5)
    assert interval(linear) == pytest.approx((1.1285, 1.3395), abs=6e-5)
    assert drawn.quantiles
    # the printed run is only as good as a fifth of its tolerance; ours adds 3 * 0.0006 mg for the ends
    assert drawn.value == pytest.approx(1.2341, abs=0.001)
    assert uncertainty(drawn) == pytest.approx(0.0754, abs=0.001)
    assert interval(drawn) == pytest.approx((1.0834, 1.3825), abs=0.0028)


@pytest.mark.hand("variance of a product of independent factors, E(1/W) = ln(9/7)/2000 and E(1/W²) = 1/(7000·9000)")
def test_mass_calibration_against_the_exact_variance() -> None:
    """The draws give the exact standard deviation of the model."""

    def moments(low: float, high: float) -> tuple[float, float]:
        mean = math.log(high / low) / (high - low)
        return mean, 1.0 / (low * high) - mean**2

    (weight, weight_variance), (reference, reference_variance) = moments(7000.0, 9000.0), moments(7950.0, 8050.0)
    buoyancy = 0.1**2 / 3.0 * (weight_variance + reference_variance + (weight - reference) ** 2)
    exact = math.sqrt(0.05**2 + 0.02**2 + 100_001.234**2 * buoyancy)

    # standard error of a standard deviation of 2e5 draws
    assert uncertainty(propagate(mass_deviation, MASS_INPUTS, "mg")) == pytest.approx(exact, rel=3 / math.sqrt(4e5))


@pytest.mark.published("JCGM 101:2008 9.4 Table 8, x1 = 0 (from memory): shortest interval 0 to 150e-6")
def test_power_meter_at_zero() -> None:
    """The linear sum has no uncertainty at all; the draws give the exponential distribution of the square."""
    inputs = {name: normal(0.0, 0.005, "1", id=name) for name in "ab"}
    linear = propagate(lambda a, b: a**2 + b**2, inputs, "1", monte_carlo=False)
    drawn = propagate(lambda a, b: a**2 + b**2, inputs, "1")

    assert uncertainty(linear) == 0.0
    assert drawn.value == pytest.approx(50e-6, abs=0.5e-6)
    assert uncertainty(drawn) == pytest.approx(50e-6, abs=0.5e-6)
    low, high = shortest(drawn)
    assert low == pytest.approx(0.0, abs=0.5e-6)
    assert high == pytest.approx(150e-6, abs=1.5e-6)


@pytest.mark.hand("quantiles of an exponential distribution of mean 50e-6")
def test_power_meter_interval_cuts_equal_parts() -> None:
    """The interval printed cuts off 2.5 % on either side."""
    drawn = propagate(lambda a, b: a**2 + b**2, {name: normal(0.0, 0.005, "1", id=name) for name in "ab"}, "1")

    low, high = interval(drawn)
    assert low == pytest.approx(-50e-6 * math.log(0.975), rel=0.05)
    assert high == pytest.approx(-50e-6 * math.log(0.025), rel=0.02)


# --- JCGM 102 9.3 -----------------------------------------------------------------------------------------------------


@pytest.mark.published(f"JCGM 102:2011 9.3 Tables 6 and 7; read in {PSL_TESTS}")
def test_magnitude_and_phase() -> None:
    """Magnitude and phase near the origin: linear and drawn results are the printed ones."""
    inputs = {"re": normal(0.001, 0.01, "1", id="re"), "im": normal(0.0, 0.01, "1", id="im")}
    magnitude, phase = (lambda re, im: np.hypot(re, im)), (lambda re, im: np.arctan2(im, re))
    linear = [propagate(formula, inputs, "1", monte_carlo=False) for formula in (magnitude, phase)]
    drawn = [propagate(formula, inputs, "1") for formula in (magnitude, phase)]

    assert linear[0].value == pytest.approx(0.001)
    assert uncertainty(linear[0]) == pytest.approx(0.010, abs=5e-4)
    assert linear[1].value == pytest.approx(0.0)
    assert uncertainty(linear[1]) == pytest.approx(10.0, abs=5e-4)
    assert drawn[0].value == pytest.approx(0.013, abs=5e-4)
    assert uncertainty(drawn[0]) == pytest.approx(0.007, abs=5e-4)
    assert drawn[1].value == pytest.approx(0.0, abs=3 * 1.744 / math.sqrt(2e5))
    assert uncertainty(drawn[1]) == pytest.approx(1.744, abs=5e-4 + 3 * 1.744 / math.sqrt(4e5))


@pytest.mark.published(f"JCGM 102:2011 9.3 Table 7, correlation 0.9; read in {PSL_TESTS}")
def test_phase_of_correlated_parts() -> None:
    """The correlation between the parts turns the phase."""
    re, im = correlated([0.001, 0.0], [0.01, 0.01], [[1.0, 0.9], [0.9, 1.0]], ids=["re", "im"], units="1")
    phase = propagate(lambda re, im: np.arctan2(im, re), {"re": re, "im": im}, "1")

    assert phase.value == pytest.approx(-0.556, abs=5e-4 + 3 * 1.599 / math.sqrt(2e5))
    assert uncertainty(phase) == pytest.approx(1.599, abs=5e-4 + 3 * 1.599 / math.sqrt(4e5))


# --- others -----------------------------------------------------------------------------------------------------------


@pytest.mark.published(f"ENGR224 course notes, a + b; read in {PSL_TESTS}, test_DEGF")
def test_welch_satterthwaite() -> None:
    """The effective degrees of freedom are the printed ones."""
    total = propagate(
        lambda a, b: a + b,
        {"a": normal(10.0, 0.57, "V", id="a", dof=9.0), "b": normal(5.0, 0.25, "V", id="b")},
        "V",
    )

    assert total.dof == pytest.approx(12.8, abs=0.05)


ATTENUATOR_LEVELS = [30.033, 30.058, 30.018, 30.052]


def attenuator_inputs() -> dict[str, Quantity]:
    """The nine inputs of the step attenuator example, besides the readings."""
    return {
        "standard": rectangular(0.003, 0.00433, "1", id="standard"),
        "drift": arcsine(0.0, 0.00198, "1", id="drift"),
        "mismatch": arcsine(0.0, 0.02828, "1", id="mismatch"),
        "leakage": arcsine(0.0, 0.003, "1", id="leakage"),
        "resolution_before": rectangular(0.0, 0.0005196, "1", id="resolution before"),
        "resolution_after": rectangular(0.0, 0.0005196, "1", id="resolution after"),
        "zero_before": normal(0.0, 0.002, "1", id="zero before"),
        "zero_after": normal(0.0, 0.002, "1", id="zero after"),
    }


@pytest.mark.published(
    f"NIST TN 1900 example E11 (EA-4/02 S7): 30.043 and 0.0224; read in {PSL_TESTS}; the notebook there draws 30.004 "
    "to 30.083 (the interval 30.006 to 30.081 of the test there is that of the note)"
)
def test_step_attenuator() -> None:
    """A dominant arcsine makes the interval narrower than k = 1.98 would; the mean is taken as normal as there."""
    scatter = from_readings(ATTENUATOR_LEVELS, "1", id="readings")
    inputs = {"readings": scatter, **attenuator_inputs()}
    linear = propagate(lambda **parts: sum(parts.values()), inputs, "1", monte_carlo=False)
    drawn = propagate(
        lambda **parts: sum(parts.values()),
        inputs | {"readings": normal(scatter.value, uncertainty(scatter), "1", id="readings")},
        "1",
    )

    assert linear.value == pytest.approx(30.043, abs=5e-4)
    # printed 0.0224, computed 0.02245: the printed figure is cut off, not rounded
    assert uncertainty(linear) == pytest.approx(0.0224, abs=1e-4)
    assert drawn.quantiles
    assert interval(drawn) == pytest.approx((30.004, 30.083), abs=5e-4)


@pytest.mark.published(
    f"NIST TN 1900 example E13, t of 3 degrees of freedom scaled to these deviations; read in {PSL_TESTS}"
)
def test_thermal_expansion() -> None:
    """Linear result as printed; the draws within what a million draws of so long-tailed inputs can show."""

    def with_deviation(value: float, deviation: float, unit: str, name: str) -> Quantity:
        # there the figure is the standard deviation of the t, ours is its scale
        return normal(value, deviation / math.sqrt(3.0), unit, id=name, dof=3.0)

    def expansion(l0: float, t0: float, l1: float, t1: float) -> float:
        return (l1 - l0) / (l0 * (t1 - t0))

    estimates = {"l0": (1.4999, 0.0001, "m"), "t0": (288.15, 0.02, "K"), "l1": (1.5021, 0.0002, "m")}
    estimates |= {"t1": (373.10, 0.05, "K")}
    linear = propagate(
        expansion, {key: normal(*given, id=key) for key, given in estimates.items()}, "1/K", monte_carlo=False
    )
    drawn = simulate(expansion, {key: with_deviation(*given, key) for key, given in estimates.items()}, "1/K")

    assert linear.value == pytest.approx(1.7266e-5, abs=0.00005e-5)
    assert uncertainty(linear) == pytest.approx(1.76e-6, abs=0.005e-6)
    assert drawn.value == pytest.approx(1.7268e-5, abs=3 * 1.76e-6 / math.sqrt(1e6))
    # the variance of a t with 3 degrees of freedom has no variance itself; n draws show it to about n**(-1/3)
    assert uncertainty(drawn) == pytest.approx(1.74e-6, rel=1e6 ** (-1 / 3))


@pytest.mark.published("EA-4/02 M:2022 S9 (from memory): E = 0.10 V, U = 0.05 V with k = 1.65")
def test_hand_held_multimeter() -> None:
    """The resolution dominates, so that the factor is that of a rectangular distribution."""
    error = propagate(
        lambda shown, applied, resolution, standard: shown - applied + resolution - standard,
        {
            "shown": 100.1,
            "applied": normal(100.0, 0.001, "V", id="applied"),
            "resolution": rectangular(0.0, 0.05, "V", id="resolution"),
            "standard": rectangular(0.0, 0.011, "V", id="standard"),
        },
        "V",
    )

    assert error.value == pytest.approx(0.10, abs=0.005)
    assert uncertainty(error) == pytest.approx(0.030, abs=5e-4)
    assert error.expanded == pytest.approx(0.05, abs=0.005)


@pytest.mark.hand("95 % factor of a trapezoid, (1 - sqrt(0.05 (1 - b²))) / sqrt((1 + b²) / 6) with b = 39/61: 1.709")
def test_hand_held_multimeter_factor() -> None:
    """EA-4/02 takes 1.65 of the dominant rectangle; two rectangles make a trapezoid, whose factor the draws find."""
    error = simulate(
        lambda resolution, standard: resolution - standard,
        {
            "resolution": rectangular(0.0, 0.05, "V", id="resolution"),
            "standard": rectangular(0.0, 0.011, "V", id="standard"),
        },
        "V",
    )

    # the density at the ends is 0.172 / 0.1 V: standard error of a quantile 0.0002 V, in units of u 0.007
    assert (error.expanded or 0.0) / uncertainty(error) == pytest.approx(1.709, abs=3 * 0.007 / math.sqrt(2))
