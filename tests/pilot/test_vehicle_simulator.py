"""The vehicle simulator: parts that are on sale, positions whose figures follow from the circuit, nothing forgotten."""

from __future__ import annotations

import itertools
import math

import pytest

from coldpin.errors import UnknownName
from coldpin.pilot.resistor_networks import Combination, heat_in, nearest_combination, value_of
from coldpin.pilot.vehicle_simulator import DERATING, plan_vehicle_simulator
from coldpin.records.vehicle_simulator import Arrangement, DiodeSwitch, Position, VehicleSimulator
from coldpin.standards import Edition, load_book
from coldpin.standards.parts import preferred_numbers, stock_ratings
from tests.pilot import rc_circuit

BOOK = load_book()
PLANS = {series: plan_vehicle_simulator(BOOK, Edition.IEC_3, series=series) for series in ("E24", "E96")}


def at(plan: VehicleSimulator, name: str) -> Position:
    return next(position for position in plan.positions if position.name == name)


@pytest.mark.published("IEC 60063 preferred numbers, a public text that lists them (standing: read)")
@pytest.mark.parametrize(
    ("series", "count", "some"),
    [
        ("E24", 24, (1.0, 1.1, 1.3, 2.2, 2.7, 3.3, 4.7, 6.8, 9.1)),
        ("E96", 96, (1.0, 1.21, 1.3, 1.87, 2.74, 4.53, 4.64, 9.09, 9.76)),
    ],
)
def test_the_series_of_preferred_numbers(series: str, count: int, some: tuple[float, ...]) -> None:
    """As many as the name says, rising, with the values everybody knows."""
    decade = preferred_numbers(BOOK, series).decade

    assert len(decade) == count
    assert list(decade) == sorted(set(decade))
    assert set(some) <= set(decade)


@pytest.mark.independent("the rule of the series: 10^(i/96) rounded to three digits")
def test_the_series_e96_follows_its_rule() -> None:
    """Every value is that of the rule; E24, older, departs from it and is held by its list alone."""
    assert preferred_numbers(BOOK, "E96").decade == tuple(round(10.0 ** (i / 96), 2) for i in range(96))


def test_an_unknown_series_is_refused() -> None:
    """The message lists those that there are."""
    with pytest.raises(UnknownName, match=r"unknown series of resistors 'E13'.* Known: E24, E96"):
        plan_vehicle_simulator(BOOK, Edition.IEC_3, series="E13")


@pytest.mark.independent("all singles and pairs of one small series tried one by one")
@pytest.mark.parametrize("wanted", [37.0, 80.0, 453.0, 1117.0, 2740.0, 9999.0])
@pytest.mark.parametrize("side", [{}, {"at_least": True}, {"at_most": True}])
def test_no_other_pair_comes_nearer(wanted: float, side: dict[str, bool]) -> None:
    """What is chosen is a stock value, on the right side, and within a tenth of a thousandth of the best there is."""
    decade = (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)
    stock = [round(step * 10.0**power, 6) for power in (1, 2, 3, 4) for step in decade]
    found = nearest_combination(wanted, decade, **side)
    everything = [(one,) for one in stock] + list(itertools.combinations_with_replacement(stock, 2))
    values = [sum(one) for one in everything] + [1.0 / sum(1.0 / r for r in one) for one in everything if len(one) == 2]
    allowed = [
        value
        for value in values
        if not (side.get("at_least") and value < wanted) and not (side.get("at_most") and value > wanted)
    ]
    best = min(abs(value / wanted - 1.0) for value in allowed)

    assert set(found.resistors) <= set(stock)
    assert found.nominal in [pytest.approx(value, rel=1e-12) for value in allowed]
    assert abs(found.nominal / wanted - 1.0) <= max(best + 1e-4, 0.005 if len(found.resistors) == 1 else 0.0)


@pytest.mark.parametrize("series", PLANS)
def test_every_network_stands_for_what_it_should(series: str) -> None:
    """Nominal values within the 3 % a vehicle has even with their own 1 %; edges never outside the window."""
    for network in PLANS[series].networks:
        limit, value = network.limit, value_of(network.arrangement, network.resistors_ohm)
        stock = {
            round(step * 10.0**power, 6) for step in preferred_numbers(BOOK, series).decade for power in (1, 2, 3, 4)
        }
        assert set(network.resistors_ohm) <= stock
        assert network.deviation_percent == pytest.approx(100.0 * (value / network.wanted_ohm - 1.0))
        assert abs(network.deviation_percent) < 0.5
        if limit.unit == "Ω" and limit.minimum is not None:
            assert limit.maximum is not None
            assert limit.minimum <= value <= limit.maximum
        if limit.id.startswith("pilot.vehicle.r"):
            assert limit.minimum is not None
            assert limit.minimum <= 0.99 * value
            assert 1.01 * value <= (limit.maximum or 0.0)


@pytest.mark.published(
    "2740, 1300, 270, 1870, 4610, 909, 1723, 80 Ω: IEC 61851-1 (read); 140 and 453 Ω own calculation"
)
def test_all_states_and_edges_are_there() -> None:
    """Each resistance of the texts has its network, each case its position; hysteresis is 10 % of the whole load."""
    wanted = {network.name: network.wanted_ohm for network in PLANS["E24"].networks}
    names = [position.name for position in PLANS["E24"].positions]

    assert {1870.0, 2740.0, 4610.0, 909.0, 1300.0, 1723.0, 140.0, 270.0, 453.0, 80.0} <= set(wanted.values())
    assert names[:10] == ["A", "B", "C", "D", "B low", "B high", "C low", "C high", "D low", "D high"]
    assert names[16:] == [
        "B, diode bridged",
        "C, diode bridged",
        "C, diode open",
        "C, 80 Ω across",
        "short behind diode",
    ]
    for state, nominal in (("C", 1300.0), ("D", 270.0)):
        whole = 1.0 / (1.0 / 2740.0 + 1.0 / nominal)
        for sign, part in (("−", 0.9), ("+", 1.1)):
            with_r2 = 1.0 / (1.0 / 2740.0 + 1.0 / wanted[f"R3 {state} {sign}"])
            assert with_r2 == pytest.approx(part * whole, rel=1e-12)


@pytest.mark.independent("the circuit solved by hand in tests/pilot/rc_circuit.py")
@pytest.mark.parametrize("series", PLANS)
def test_levels_are_those_of_the_circuit(series: str) -> None:
    """Every position gives the levels that its own resistors make at a nominal generator."""
    plan, unit = PLANS[series], rc_circuit.Unit()
    made = {one.name: value_of(one.arrangement, one.resistors_ohm) for one in plan.networks}
    for position in plan.positions:
        inner = [made[name] for name in position.behind] if position.diode is not DiodeSwitch.OPEN else []
        if position.across:
            continue
        together = 1e-9 if position.shorted_behind else 1.0 / sum(1.0 / one for one in inner) if inner else math.inf
        load = rc_circuit.Load(resistance=together, drop=0.7 if position.diode is DiodeSwitch.IN else None)

        assert position.high_v.value == pytest.approx(rc_circuit.rest(12.0, load, unit), abs=2e-4), position.name
        assert position.low_v.value == pytest.approx(rc_circuit.rest(-12.0, load, unit), abs=2e-4), position.name


@pytest.mark.hand("80 ∥ 881.7 and 1000 Ω: −12 · 80/1080 = −0.889; conducting at 0.7 V: (12 + 1000 · 0.7/881.7)/14.634")
def test_80_ohms_across_with_the_load_of_c() -> None:
    """The low level is the published −0.89 V; the high one is that with the diode."""
    position = at(PLANS["E24"], "C, 80 Ω across")

    assert position.low_v.value == pytest.approx(-0.889, abs=5e-4)
    assert position.high_v.value == pytest.approx(0.874, abs=5e-4)


@pytest.mark.hand(
    "B: 0.15 V / √3 · (1 − 0.7326) is the diode's share, 8.2 V · 0.01 / √3 · 0.267 · … that of 1 %; 95 % of it"
)
def test_the_interval_of_a_level() -> None:
    """State B: the diode's 0.15 V through the divider, and the resistor's 1 %, as two rectangular shares."""
    position = at(PLANS["E96"], "B")
    by_diode = 0.15 / math.sqrt(3.0) * 1000.0 / 3740.0
    by_resistor = 11.3 * 1000.0 / 3740.0**2 * 27.4 / math.sqrt(3.0)

    assert position.high_v.u == pytest.approx(math.hypot(by_diode, by_resistor), rel=0.01)
    assert position.low_v.u == 0.0


@pytest.mark.hand("B at 12.6 V and 970 Ω: (12.05 / 3710)² · 2740 = 28.9 mW; bridged (12.6 / 3710)² · 2740 = 31.6 mW")
def test_heat_at_the_highest_generator() -> None:
    """Through the diode of least drop, and without it; a rating has twice that in hand."""
    plan = PLANS["E96"]

    assert at(plan, "B").heat[0].resistors_w[0] == pytest.approx(0.0289, abs=5e-5)
    assert at(plan, "B, diode bridged").heat[0].resistors_w[0] == pytest.approx(0.0316, abs=5e-5)
    for network in plan.networks:
        for power, rating in zip(network.heat_w, network.rating_w, strict=True):
            assert rating in stock_ratings(BOOK)
            assert rating >= DERATING * power > 0.0


@pytest.mark.hand("a source gives most into a load like itself: 12.6² / (4 · 970) = 40.9 mW")
def test_no_position_takes_more_than_the_source_can_give() -> None:
    """The heat of all resistors of a position stays below what 12.6 V through 970 Ω can give."""
    for plan in PLANS.values():
        for position in plan.positions:
            assert sum(power for heat in position.heat for power in heat.resistors_w) <= 12.6**2 / (4.0 * 970.0)


def test_a_pair_shares_heat_by_its_arrangement() -> None:
    """In series by resistance, side by side by conductance, and together all of it."""
    for arrangement in (Arrangement.SERIES, Arrangement.PARALLEL):
        resistors = (300.0, 100.0)
        pair = Combination(arrangement=arrangement, resistors=resistors, nominal=value_of(arrangement, resistors))
        first, second = heat_in(pair, 6.0)

        assert first + second == pytest.approx(36.0 / pair.nominal)
        assert first / second == pytest.approx(3.0 if arrangement is Arrangement.SERIES else 1.0 / 3.0)


def test_the_meter_proves_each_position() -> None:
    """With the diode bridged a position reads its resistors' worst corners; no two states read alike."""
    for plan in PLANS.values():
        spans = []
        for position in plan.positions[:10]:
            if position.name == "A":
                assert (position.meter_low_ohm, position.meter_high_ohm) == (None, None)
                continue
            assert position.meter_low_ohm is not None
            assert position.meter_high_ohm is not None
            spans.append((position.meter_low_ohm, position.meter_high_ohm))
        ordered = sorted(spans)
        assert all(low[1] < high[0] for low, high in itertools.pairwise(ordered))


@pytest.mark.parametrize("edition", list(Edition))
def test_each_edition_has_its_plan(edition: Edition) -> None:
    """An edition that knows no loads at the edges says whose they are."""
    plan = plan_vehicle_simulator(BOOK, edition)

    assert plan.edition == edition.value
    assert any("IEC 61851-1:2017; none are known" in said for said in plan.remarks) == (edition is not Edition.IEC_3)
    assert len({limit.id for limit in plan.limits}) == len(plan.limits)
