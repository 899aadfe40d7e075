"""Voltage drop: printed rows, phasors, three phases, what is left at the car, and what is refused."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.drop_formulas import at_temperature, drop_of_one_phase, drop_of_three_phases, lead_drop
from coldpin.copper.steady import hot_resistance
from coldpin.copper.voltage_drop import voltage_drop
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity
from coldpin.records.finding import Outcome
from coldpin.records.voltage_drop import SourceImpedance, VoltageDrop
from coldpin.standards.book import load_book
from coldpin.standards.conductors import resistance_limit
from coldpin.standards.voltage_drop import PrintedDrop, cable_reactance, printed_drop, printed_drops

BOOK = load_book()
TABLES = "BS 7671 tables 4F3B (cords, 60 °C) and 4F2B (cables, 90 °C) in public copies; standing: read"
ROWS = [row for phases in (1, 3) for row in printed_drops(BOOK, phases=phases) if row.cross_section_mm2 != 1.25]


def exact(value: float, unit: str) -> Quantity:
    """A value taken as exact."""
    return Quantity(value, 0.0, unit)


def told(resistance: Quantity = exact(0.04, "Ω"), **more: object) -> VoltageDrop:  # noqa: B008 - a frozen record
    """A drop at 16 A and 60 °C unless said otherwise."""
    given_: dict[str, object] = {"current": exact(16.0, "A"), "conductor_temperature": 60.0, "book": BOOK, **more}
    return voltage_drop(resistance, **given_)  # type: ignore[arg-type]  # arguments by name


@pytest.mark.published(TABLES)
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.limit.id)
def test_a_class_5_conductor_at_its_limit_drops_what_the_table_prints(row: PrintedDrop) -> None:
    """The printed figure lies up to 5 % above (rounding up, tinned wires), or half of its last digit below."""
    per_km = resistance_limit(BOOK, cross_section_mm2=row.cross_section_mm2).maximum
    assert per_km is not None
    hot = hot_resistance(resistance=per_km / 1000.0, temperature=row.conductor_temperature, coefficient=0.00393)
    if row.phases == 1:
        computed = drop_of_one_phase(current=1.0, out=hot, back=hot, reactance=0.0, power_factor=1.0)
    else:
        computed = drop_of_three_phases(current=1.0, line=hot, reactance=0.0, power_factor=1.0)

    half_digit = 0.0005 if row.conductor_temperature == 60.0 else 0.00005
    assert computed - half_digit <= row.per_ampere_metre <= 1.05 * computed + half_digit


@pytest.mark.published(
    "2 R20max (1 + 0.00393 (t − 20)) of class 5, worked out beside the printed tables; standing: read"
)
@pytest.mark.parametrize(
    ("size", "temperature", "milliohm"),
    [(1.5, 20, 26.6), (2.5, 20, 15.96), (2.5, 60, 18.47), (4.0, 60, 11.46), (6.0, 90, 8.42), (10.0, 90, 4.87)],
)
def test_out_and_back_of_a_class_5_conductor_at_a_temperature(size: float, temperature: float, milliohm: float) -> None:
    """Each figure to the two decimals in which it is given."""
    limit = resistance_limit(BOOK, cross_section_mm2=size).maximum
    assert limit is not None
    hot = hot_resistance(resistance=limit / 1000.0, temperature=float(temperature), coefficient=0.00393)

    assert 2000.0 * hot == pytest.approx(milliohm, abs=0.0051)


@pytest.mark.published(TABLES)
def test_the_row_nearest_in_temperature_is_taken() -> None:
    """4 mm² stands in both tables; a size that neither has gives none."""
    cool = printed_drop(BOOK, cross_section_mm2=4.0, conductor_temperature=65.0)
    hot = printed_drop(BOOK, cross_section_mm2=4.0, conductor_temperature=85.0)

    assert cool is not None
    assert hot is not None
    assert (cool.per_ampere_metre, hot.per_ampere_metre) == (0.012, 0.0132)
    assert printed_drop(BOOK, cross_section_mm2=3.0, conductor_temperature=60.0) is None


@pytest.mark.hand("16 A through 2 × 5 m of 2.5 mm² at 7.98 Ω/km and 60 °C: 16 · 2 · 0.0399 · 1.1572 = 1.4775 V")
def test_a_lead_of_five_metres() -> None:
    """The drop, its per cent of 230 V, and what is left of 5 %."""
    drop = told(exact(0.0399, "Ω"), length=5.0, nominal_mm2=2.5)

    assert drop.lead_v.value == pytest.approx(1.4775, abs=5e-5)
    assert drop.lead_percent.value == pytest.approx(0.6424, abs=5e-5)
    assert drop.left_percent.value == pytest.approx(4.3576, abs=5e-5)
    assert drop.tabulated is not None
    assert drop.tabulated.drop_v == pytest.approx(0.019 * 16.0 * 5.0)
    assert drop.outcome is Outcome.WITHIN
    assert "counts from the origin of the installation" in drop.remarks[0]


@pytest.mark.hand("the same core with three phases: half the per cent, 0.3212 %")
def test_three_phases_lose_half_the_per_cent() -> None:
    """Nothing comes back; of a line it is half, and between lines √3 of that."""
    one, three = told(exact(0.0399, "Ω")), told(exact(0.0399, "Ω"), phases=3)

    assert three.lead_percent.value == pytest.approx(0.5 * one.lead_percent.value)
    between = drop_of_three_phases(current=16.0, line=three.core_hot_ohm.value, reactance=0.0, power_factor=1.0)
    assert between / (math.sqrt(3.0) * 230.0) == pytest.approx(three.lead_percent.value / 100.0)


@pytest.mark.hand("25 m of 1 mm² at 19.5 Ω/km and 60 °C with 16 A: 18.05 V, 7.85 %")
def test_a_long_thin_lead_takes_more_than_a_whole_installation_may() -> None:
    """Beyond, with a sentence that says so and never that it fails."""
    drop = told(exact(0.4875, "Ω"), length=25.0)

    assert drop.lead_percent.value == pytest.approx(7.85, abs=0.005)
    assert drop.outcome is Outcome.BEYOND
    assert "more than the 5 %" in drop.statements[0]
    assert "with nothing left for its wiring" in drop.statements[0]


@pytest.mark.independent("the difference of two phasors' magnitudes")
@given(
    resistance=st.floats(0.001, 0.5),
    ratio=st.floats(0.0, 0.5),
    current=st.floats(1.0, 32.0),
    power_factor=st.floats(0.8, 1.0),
)
def test_the_formula_is_near_the_difference_of_phasors(
    resistance: float, ratio: float, current: float, power_factor: float
) -> None:
    """The standard's formula leaves out the part across the voltage: that is (I Z)²/2U at the most."""
    reactance = ratio * resistance
    formula = drop_of_one_phase(
        current=current, out=resistance, back=resistance, reactance=reactance, power_factor=power_factor
    )
    phasor = cmath.rect(current, -math.acos(power_factor))
    received = abs(230.0 - phasor * 2.0 * complex(resistance, reactance))
    across = (current * 2.0 * abs(complex(resistance, reactance))) ** 2 / (2.0 * received)

    assert formula - 1e-9 <= 230.0 - received + across
    assert 230.0 - received - across - 1e-9 <= formula


@given(
    current=st.floats(1.0, 63.0),
    more=st.floats(1.001, 2.0),
    resistance=st.floats(1e-3, 1.0),
    temperature=st.floats(0.0, 90.0),
)
def test_more_current_longer_or_hotter_never_drops_less(
    current: float, more: float, resistance: float, temperature: float
) -> None:
    """The drop rises with each of them."""

    def of(amps: float, ohms: float, hot: float) -> float:
        return told(exact(ohms, "Ω"), current=exact(amps, "A"), conductor_temperature=hot).lead_v.value

    base = of(current, resistance, temperature)
    assert of(more * current, resistance, temperature) > base
    assert of(current, more * resistance, temperature) > base
    assert of(current, resistance, temperature + 10.0 * more) > base


def test_one_reading_that_stands_for_two_cores_is_wrong_twice() -> None:
    """Its uncertainty counts in full for out and back; two readings of their own add as strangers."""
    core = Quantity(0.04, 4e-4, "Ω")
    both = lead_drop(current=exact(16.0, "A"), out=core, back=core)
    apart = lead_drop(current=exact(16.0, "A"), out=core, back=Quantity(0.04, 4e-4, "Ω"))

    assert both.u == pytest.approx(2.0 * 16.0 * 4e-4)
    assert apart.u == pytest.approx(math.sqrt(2.0) * 16.0 * 4e-4)


def test_formulas_take_arrays() -> None:
    """Written once, for numbers and arrays."""
    currents = np.array([6.0, 16.0, 32.0])

    assert drop_of_one_phase(current=currents, out=0.1, back=0.1, reactance=0.0, power_factor=1.0) == pytest.approx(
        0.2 * currents
    )


def test_reactance_of_a_short_lead_is_hardly_seen() -> None:
    """With a lagging current the part of the reactance is added, below 1 % of the drop at 2.5 mm²."""
    plain, lagging = told(exact(0.0399, "Ω")), told(exact(0.0399, "Ω"), length=5.0, power_factor=0.99)

    assert cable_reactance(BOOK) == pytest.approx(8e-5)
    assert lagging.lead_v.value == pytest.approx(plain.lead_v.value, rel=0.012)


def test_a_weak_supply_leaves_the_car_below_what_a_supply_may_have() -> None:
    """32 A through 0.8 Ω, from a voltage that was low already."""
    source = SourceImpedance(resistance_ohm=Quantity(0.8, 0.03, "Ω"), method="stated")
    drop = told(current=exact(32.0, "A"), source=source, unloaded=Quantity(228.0, 0.5, "V"))

    assert drop.vehicle is not None
    assert drop.vehicle.outcome is Outcome.BEYOND
    assert "below the 207 V" in drop.statements[1]


def test_with_three_phases_the_supplys_part_is_told_as_a_bound() -> None:
    """The impedance read holds the neutral, which takes no part then."""
    source = SourceImpedance(resistance_ohm=Quantity(0.25, 0.02, "Ω"), method="stated", remarks=("said",))
    drop = told(phases=3, source=source, unloaded=Quantity(230.0, 0.5, "V"))

    assert drop.remarks[-2] == "said"
    assert "the most it can be" in drop.remarks[-1]


def test_without_an_accuracy_nothing_is_decided() -> None:
    """A resistance as read and no more: the value is told, no outcome."""
    source = SourceImpedance(resistance_ohm=Quantity(0.25, None, "Ω", why="not stated"), method="stated")
    drop = told(Quantity(0.04, None, "Ω", why="accuracy of the meter not known"), source=source)

    assert drop.lead_v.u is None
    assert drop.outcome is Outcome.UNDECIDED
    assert drop.vehicle is not None
    assert drop.vehicle.outcome is Outcome.UNDECIDED
    assert "or not known" in drop.statements[1]


def test_a_resistance_from_a_class_is_told_as_such() -> None:
    """What was not measured says so."""
    assert "not measured: class 5" in told(from_what="class 5").remarks[-1]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"phases": 2}, "2 phases: a lead has 1 or 3"),
        ({"power_factor": 1.2}, "power factor is 1.2"),
        ({"current": exact(0.0, "A")}, "a drop needs one above 0 A"),
        ({"length": -5.0}, "length is -5 m"),
        ({"conductor_temperature": 333.0}, "not in kelvin"),
        ({"resistance": exact(-0.01, "Ω")}, "zero the leads"),
    ],
)
def test_what_is_no_drop_is_refused(change: dict[str, object], message: str) -> None:
    """One message that says what was given and what to do."""
    with pytest.raises(OutsideRange, match=message):
        told(**change)  # type: ignore[arg-type]  # arguments by name


def test_temperature_may_be_uncertain() -> None:
    """1 K of the conductor is 0.39 % of its resistance at 20 °C."""
    hot = at_temperature(exact(0.04, "Ω"), Quantity(60.0, 1.0, "°C"), BOOK)

    assert hot.u == pytest.approx(0.04 * 0.00393)


@pytest.mark.hand(
    "(1 + 0.00393 · 70) / (1 + 0.00393 · 40) = 1.102: 4.5 % at 60 °C are 4.96 % at 90 °C, 4.6 % are 5.07 %; "
    "(1 + 0.00393 · 10) / 1.1572 = 0.898: 5.5 % are 4.94 % at 30 °C, 5.6 % are 5.03 %"
)
@pytest.mark.parametrize(
    ("percent", "known", "outcome"),
    [
        (4.5, False, Outcome.WITHIN),
        (4.6, False, Outcome.UNDECIDED),
        (4.6, True, Outcome.WITHIN),
        (5.5, False, Outcome.UNDECIDED),
        (5.5, True, Outcome.BEYOND),
        (5.6, False, Outcome.BEYOND),
    ],
)
def test_a_supposed_warmth_decides_only_what_hotter_and_cooler_conductors_do_too(
    percent: float, known: bool, outcome: Outcome
) -> None:
    """Nobody measured them: they may be as hot as in the hottest table, or hardly warm, unless somebody did."""
    core = Quantity(percent / 100.0 * 230.0 / (2.0 * 16.0 * 1.1572), 1e-6, "Ω")
    told = voltage_drop(
        core,
        current=Quantity(16.0, 0.0, "A"),
        conductor_temperature=Quantity(60.0, 0.5, "°C") if known else 60.0,
        book=load_book(),
    )

    assert told.outcome is outcome
    undecided = outcome is Outcome.UNDECIDED
    assert ("with warmer conductors it may be more" in told.statements[0]) is (undecided and percent < 5.0)
    assert ("which with cooler conductors it may not be" in told.statements[0]) is (undecided and percent > 5.0)
    assert any("Nobody measured how warm" in remark for remark in told.remarks) is not known
