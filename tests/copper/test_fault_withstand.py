"""Faults and overload: k from constants, published withstands, let-through, and what no metal need be known for."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.fault_withstand import (
    adiabatic_factor,
    computed_factor,
    largest_heat,
    least_area,
    let_through,
    withstand,
    withstand_statement,
)
from coldpin.copper.overload import overload, overload_statement
from coldpin.errors import OutsideRange, UnknownName
from coldpin.quantity import Quantity
from coldpin.records.fault import LetThrough, Withstand
from coldpin.records.finding import Limit, Outcome, Standing
from coldpin.standards.book import load_book
from coldpin.standards.fault_withstand import WithstandFactor, judged_as, withstand_factor, withstand_factors
from coldpin.standards.metals import reciprocal_coefficient, resistivity, volumetric_heat
from coldpin.standards.protective_device import find_device

BOOK = load_book()
B16 = find_device("B16")
K = "IEC 60364-5-54 table A.54.4 (BS 7671 table 54.3), public restatements; standing: read"
PRINTED = [factor for metal in ("copper", "aluminium") for factor in withstand_factors(BOOK, metal)]


@pytest.mark.published(K)
@pytest.mark.parametrize("factor", PRINTED, ids=lambda factor: factor.limit.id)
def test_printed_factors_follow_from_the_constants(factor: WithstandFactor) -> None:
    """Within 0.7 %: the printed ones are rounded, and 94 of aluminium at 90 °C is 94.6."""
    assert computed_factor(factor, BOOK) == pytest.approx(factor.k, rel=0.007)


@pytest.mark.published(K)
@pytest.mark.parametrize(
    ("metal", "insulation", "k"),
    [
        ("copper", "PVC 70", 115.0),
        ("copper", "XLPE", 143.0),
        ("copper", "cross-linked 90 °C", 143.0),
        ("copper", "rubber 60", 141.0),
        ("tinned copper", "rubber 85", 134.0),
        ("aluminium", "pvc", 76.0),
        ("aluminium", "EPR", 94.0),
        ("aluminium", "rubber", 93.0),
        ("clad_10", "PVC 70", 76.0),
        ("CCA", "PVC 90", 66.0),
        ("steel_cored", "PVC 70", 42.0),
    ],
)
def test_a_factor_is_found_by_metal_and_insulation(metal: str, insulation: str, k: float) -> None:
    """Clad aluminium is judged by the row of aluminium, tinned copper by that of copper."""
    assert withstand_factor(BOOK, metal=metal, insulation=insulation).k == k


def test_unknown_metal_and_insulation_list_the_known() -> None:
    """And an insulation that nobody knows is judged by the least factor of the metal."""
    with pytest.raises(UnknownName, match="unknown metal 'silver'"):
        judged_as("silver")
    with pytest.raises(UnknownName, match="unknown insulation 'paper'"):
        withstand_factor(BOOK, insulation="paper")
    assert withstand_factor(BOOK).k == min(factor.k for factor in withstand_factors(BOOK))


@pytest.mark.published("k² S² of 115 (PVC 70 °C), 143 (90 °C) and 76 (aluminium), worked out; standing: read")
@pytest.mark.parametrize(
    ("area", "copper_pvc", "copper_90", "aluminium"),
    [
        (0.75, 7439, 11503, 3249),
        (1.0, 13225, 20449, 5776),
        (1.5, 29756, 46010, 12996),
        (2.5, 82656, 127806, 36100),
        (4.0, 211600, 327184, 92416),
        (6.0, 476100, 736164, 207936),
        (10.0, 1322500, 2044900, 577600),
    ],
)
def test_published_withstands(area: float, copper_pvc: int, copper_90: int, aluminium: int) -> None:
    """To the ampere squared second."""
    for k, expected in ((115.0, copper_pvc), (143.0, copper_90), (76.0, aluminium)):
        assert largest_heat(k=k, area=area) == pytest.approx(expected, abs=0.5)


def through(heat: float | None, *, here: bool = True) -> LetThrough:
    """A let-through that is known."""
    return LetThrough(limit=None, by_current_a2s=heat, used_a2s=heat, of_this_supply=here, why="said")


def of(
    area: float,
    *,
    metal: str = "copper",
    passed: float | None = 35000.0,
    u: float | None = 0.005,
    area_from: str = "the marked size",
    insulation: str = "PVC 70",
) -> Withstand:
    """A conductor in PVC of 70 °C."""
    quantity = Quantity(area, u, "mm²", why="" if u is not None else "not stated")
    told = {"area_from": area_from, "passed": through(passed), "metal": metal, "insulation": insulation}
    return withstand("line", quantity, BOOK, **told)  # type: ignore[arg-type]  # arguments by name


@pytest.mark.published("1.5 mm² in PVC bears 29 756 A²s, a class 3 B16 may let 35 000 A²s through at 6 kA (memory)")
def test_one_and_a_half_square_millimetres_bear_less_than_the_class_allows() -> None:
    """At its full capacity; 2.5 mm² bear it."""
    assert let_through(B16, BOOK, capacity=6000.0).used_a2s == 35000.0
    small, large = of(1.5), of(2.5)

    assert (small.outcome, large.outcome) == (Outcome.BEYOND, Outcome.WITHIN)
    assert small.least_area_mm2 == pytest.approx(1.627, abs=5e-4)
    assert "less than the 35000 A²s that a B16 may let through here" in withstand_statement(small, B16, through(35e3))


@pytest.mark.hand(
    "1.45 mm² of copper in PVC bears 27 806 A²s, in cross-linked 42 994 A²s; as much resistance of aluminium 1.17 times"
)
@pytest.mark.parametrize(
    ("area", "insulation", "area_from", "outcome"),
    [
        (1.45, "PVC 70", "its resistance", Outcome.BEYOND),
        (1.45, "", "the marked size", Outcome.UNDECIDED),
        (1.49, "PVC 70", "the marked size", Outcome.BEYOND),
        (1.53, "PVC 70", "its resistance", Outcome.UNDECIDED),
        (0.9, "", "its resistance", Outcome.BEYOND),
        (3.0, "", "its resistance", Outcome.WITHIN),
    ],
)
def test_beyond_is_only_what_no_insulation_and_no_metal_saves(
    area: float, insulation: str, area_from: str, outcome: Outcome
) -> None:
    """What is not known of a core is taken to its harm for within, and to its good for beyond."""
    assert of(area, insulation=insulation, area_from=area_from).outcome is outcome


def test_what_only_the_class_allows_is_not_held_against_a_conductor() -> None:
    """At the full capacity of the device it would be too little; what this socket lets through is not known."""
    passed = let_through(B16, BOOK, capacity=6000.0)
    told = withstand("earth", Quantity(1.5, 0.005, "mm²"), BOOK, area_from="x", passed=passed, insulation="PVC 70")

    assert told.outcome is Outcome.UNDECIDED
    assert "the loop at the socket would tell more" in withstand_statement(told, B16, passed)
    assert withstand("line", Quantity(2.5, 0.005, "mm²"), BOOK, area_from="x", passed=passed).outcome is Outcome.WITHIN


@pytest.mark.hand("253 V / 0.8 Ω = 316 A for 0.1 s: 10 002 A²s")
def test_at_the_current_of_a_household_supply_much_less_gets_through() -> None:
    """The current itself is the lower bound of the two, and 1.0 mm² bears that."""
    told = let_through(B16, BOOK, capacity=6000.0, supply=Quantity(0.8, 0.0, "Ω"))

    assert told.used_a2s == pytest.approx(316.25**2 * 0.1)
    assert "current of this supply" in told.why
    assert of(1.0, passed=told.used_a2s).outcome is Outcome.WITHIN


def test_a_stiff_supply_is_bounded_by_the_class() -> None:
    """At 0.05 Ω five thousand amperes flow, and the class is the less of the two."""
    told = let_through(B16, BOOK, capacity=6000.0, supply=Quantity(0.05, 0.0, "Ω"))

    assert told.used_a2s == 35000.0
    assert told.by_current_a2s is not None
    assert told.by_current_a2s > 35000.0


def test_a_supply_too_weak_for_the_breaker_to_act_at_once_gives_no_bound() -> None:
    """The class is of a short circuit that is cut at once: a current that flows for seconds may do more."""
    told = let_through(B16, BOOK, capacity=6000.0, supply=Quantity(2.9, 0.0, "Ω"))

    assert (told.by_current_a2s, told.used_a2s) == (None, None)
    assert "need not act at once" in told.why


def test_where_nothing_is_known_nothing_is_decided() -> None:
    """A fuse without a curve, an area without an uncertainty."""
    told = let_through(find_device("gG 16"), BOOK, capacity=6000.0, supply=Quantity(0.5, 0.0, "Ω"))
    assert told.used_a2s is None
    assert "maker's curve" in told.why
    assert of(2.5, passed=None).outcome is Outcome.NOT_TESTED
    assert "is not known" in withstand_statement(of(2.5, passed=None), B16, through(None))
    assert of(2.5, u=None).outcome is Outcome.UNDECIDED


@given(resistance=st.floats(0.5, 40.0), metal=st.sampled_from(["copper", "aluminium"]))
def test_by_resistance_copper_is_the_unfavourable_assumption(resistance: float, metal: str) -> None:
    """Of two wires of one resistance per length that of aluminium takes up more heat."""
    area = {name: 1e9 * resistivity(BOOK, name) / resistance for name in ("copper", metal)}
    k = {
        name: adiabatic_factor(
            heat=volumetric_heat(BOOK, name),
            resistivity=resistivity(BOOK, name),
            beta=reciprocal_coefficient(BOOK, name),
            initial=70.0,
            final=160.0,
        )
        for name in ("copper", metal)
    }

    assert largest_heat(k=k["copper"], area=area["copper"]) <= largest_heat(k=k[metal], area=area[metal]) * (1 + 1e-12)


@given(
    area=st.floats(0.5, 16.0),
    passed=st.floats(1e3, 3e5),
    more=st.floats(1.01, 3.0),
    metal=st.sampled_from(["copper", "aluminium", "steel"]),
)
def test_more_metal_never_bears_less(area: float, passed: float, more: float, metal: str) -> None:
    """And the least area is the one that just bears it."""
    small, large = of(area, metal=metal, passed=passed), of(more * area, metal=metal, passed=passed)
    assert small.probability is not None
    assert large.probability is not None
    assert large.probability >= small.probability
    k = small.k.nominal
    assert k is not None
    assert largest_heat(k=k, area=least_area(let_through=passed, k=k)) == pytest.approx(passed)


@given(supply=st.floats(0.02, 2.0), more=st.floats(1.01, 2.0))
def test_a_weaker_supply_never_lets_more_through(supply: float, more: float) -> None:
    """As long as the device still acts at once."""
    strong, weak = (
        let_through(B16, BOOK, capacity=6000.0, supply=Quantity(factor * supply, 0.0, "Ω")) for factor in (1.0, more)
    )
    if weak.by_current_a2s is not None:
        assert strong.used_a2s is not None
        assert weak.used_a2s is not None
        assert weak.used_a2s <= strong.used_a2s


def cord(amps: float) -> Limit:
    """A cable that may carry so much."""
    return Limit(id="cord", title="a cord", unit="A", maximum=amps, source="table", standing=Standing.READ)


@pytest.mark.published("cords of 1, 1.5 and 2.5 mm² carry 10, 16 and 25 A (BS 7671 table 4F3A, read); 1.13 and 1.45 In")
@pytest.mark.parametrize(
    ("amps", "device", "outcome"),
    [
        (10.0, "B16", Outcome.BEYOND),
        (16.0, "B16", Outcome.WITHIN),
        (25.0, "B16", Outcome.WITHIN),
        (10.0, "BS 1362 13 A", Outcome.BEYOND),
        # 20 A may flow for long; that it acts at 23.2 A or less is in no text known to us
        (16.0, "BS 1362 13 A", Outcome.UNDECIDED),
        (16.0, "C20", Outcome.BEYOND),
        (16.0, "gG 16 A", Outcome.BEYOND),
        (16.0, "gG 13 A", Outcome.BEYOND),
        (16.0, "gG 10 A", Outcome.WITHIN),
    ],
)
def test_whether_a_cord_is_protected_from_overload(amps: float, device: str, outcome: Outcome) -> None:
    """A B16 may carry 23 A for the better part of an hour: a core of 1 mm² is not protected by it."""
    told = overload(find_device(device), cord(amps), BOOK)

    assert told is not None
    assert told.outcome is outcome
    said = overload_statement(told, find_device(device))
    assert ("does not protect" in said) == (outcome is Outcome.BEYOND)
    assert ("is not known" in said) == (outcome is Outcome.UNDECIDED)
    assert f"the cable may carry {amps:g} A by the row “a cord” of table" in said


def test_of_an_unknown_device_no_overload_is_judged() -> None:
    """A plug fuse whose figure was not read."""
    assert overload(find_device("BS 1362 3 A"), cord(6.0), BOOK) is None


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: of(0.0), "must be above 0"),
        (lambda: let_through(B16, BOOK, capacity=0.0), "as 6000 A"),
        (lambda: let_through(B16, BOOK, capacity=6000.0, supply=Quantity(0.0, 0.0, "Ω")), "must be above 0 Ω"),
    ],
)
def test_what_cannot_be_is_refused(call: Callable[[], object], message: str) -> None:
    """One message that says what was given."""
    with pytest.raises(OutsideRange, match=message):
        call()
