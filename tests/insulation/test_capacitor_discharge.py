"""How long a plug stays charged: against printed figures, stepped integration, and draws at random moments."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import InputError, OutsideRange
from coldpin.insulation.capacitor_discharge import bound_at, peak_met, voltage_left, without_probe
from coldpin.insulation.discharge_telling import plug_discharge
from coldpin.quantity import Quantity
from coldpin.records.finding import Outcome
from coldpin.standards.book import load_book
from coldpin.standards.capacitor_discharge import charged_limit, plug_rules
from coldpin.workbench.electrical_insulation import tell_plug_discharge

FROM_240_V = math.sqrt(2.0) * 240.0


def placed(nano: float, kilo: float, highest: float = 240.0) -> dict[str, Outcome]:
    """Return where a plug of so much capacitance and resistance lies, by the id of the rule."""
    told = plug_discharge(
        Quantity(1e-9 * nano, 1e-12, "F"), load_book(), highest=highest, resistance=Quantity(1e3 * kilo, 1.0, "Ω")
    )
    return {one.limit.id: one.outcome for one in told.placements}


@pytest.mark.published("web note with the rule of IEC 60204-1: U = U0 exp(-t/RC); and its arithmetic for 470 nF, 240 V")
def test_the_resistances_that_each_rule_allows() -> None:
    """34 V, 60 V and a time constant in one second, 60 V and 120 V in two."""
    told = plug_discharge(Quantity(470e-9, 0.0, "F"), load_book(), highest=240.0)
    kilo = [one.largest_kohm for one in told.placements]

    assert kilo == [pytest.approx(wanted, abs=0.06) for wanted in (924.7, 1227.8, 2127.7, 2455.7, 4092.8)]


@pytest.mark.hand("924.7 kΩ of 470 nF exactly, less as the capacitance may be more")
def test_a_resistance_that_just_does_holds_for_the_largest_the_capacitor_may_be() -> None:
    """A tolerance lets less resistance do, not the same."""
    told = tell_plug_discharge(capacitance="470 nF ± 94 nF", voltage="240 V")

    highest = told.capacitance_nf.high
    assert highest is not None
    assert highest > 550.0
    assert told.placements[0].largest_kohm == pytest.approx(924.7 * 470.0 / highest, abs=0.1)


@pytest.mark.hand("RC = t / ln(U0 / U) from 339.41 V")
@pytest.mark.parametrize(
    ("left", "time", "constant"), [(34.0, 1.0, 0.4346), (60.0, 1.0, 0.5771), (60.0, 2.0, 1.1542), (120.0, 2.0, 1.9236)]
)
def test_the_time_constant_that_just_does(left: float, time: float, constant: float) -> None:
    """At that time constant the voltage is the limit."""
    found = voltage_left(start=FROM_240_V, time=time, resistance=constant, capacitance=1.0)

    assert float(found) == pytest.approx(left, rel=1e-3)


@pytest.mark.independent("Euler steps of C dU/dt = -U/R - U/Rp")
def test_a_reading_without_its_probe() -> None:
    """A probe of 10 MΩ on 0.1 µF with 5 MΩ beside it: what it took is put back."""
    capacitance, resistance, probe, step = 0.1e-6, 5e6, 10e6, 1e-5
    with_probe = bare = 300.0
    for _ in range(100_000):
        with_probe -= step * with_probe * (1.0 / resistance + 1.0 / probe) / capacitance
        bare -= step * bare / resistance / capacitance

    corrected = without_probe(reading=with_probe, time=1.0, probe=probe, capacitance=capacitance)
    assert float(corrected) == pytest.approx(bare, rel=1e-3)


@pytest.mark.independent("a million virtual withdrawals at random moments")
@pytest.mark.parametrize("count", [1, 3, 10])
def test_the_largest_of_several_withdrawals_met_that_part_of_the_peak(count: int) -> None:
    """All but one in twenty sets of withdrawals met more of the peak than is counted on."""
    drawn = np.random.default_rng(7).uniform(0.0, np.pi, (1_000_000 // count, count))
    best = np.sin(drawn).max(axis=1)

    share = float((best < peak_met(count)).mean())
    assert share == pytest.approx(0.05, abs=4.0 * math.sqrt(0.05 * 0.95 / best.size))


def test_no_withdrawal_says_nothing() -> None:
    """There is nothing to count on."""
    with pytest.raises(OutsideRange, match="at least once"):
        peak_met(0)


@pytest.mark.published("IEC 62368-1 table 5 as read: corners of the table")
def test_the_table_of_charged_capacitors() -> None:
    """Rows as printed, linear between, level above, refused below."""
    book = load_book()

    assert charged_limit(book, 170e-9, 2).maximum == 150.0
    assert charged_limit(book, 0.133e-9, 1).maximum == 25000.0
    assert charged_limit(book, 35e-6, 1).maximum == 60.0
    assert charged_limit(book, 68e-9, 1).maximum == 119.1
    with pytest.raises(OutsideRange, match="is the unit right"):
        charged_limit(book, 0.1e-9, 1)
    with pytest.raises(OutsideRange, match="1 or 2"):
        charged_limit(book, 1e-6, 3)


@given(st.floats(0.134, 1000.0), st.floats(1.0, 3.0), st.sampled_from([1, 2]))
def test_more_capacitance_may_be_charged_to_less(nano: float, factor: float, source: int) -> None:
    """The table falls; class 2 lies above class 1."""
    book = load_book()
    low, high = (charged_limit(book, 1e-9 * c, source).maximum for c in (nano, nano * factor))

    assert low is not None
    assert high is not None
    assert high <= low
    assert (charged_limit(book, 1e-9 * nano, 1).maximum or 0.0) < (charged_limit(book, 1e-9 * nano, 2).maximum or 0.0)


def test_a_small_capacitor_is_left_out_where_the_rule_says_so() -> None:
    """Up to 0.1 µF the rule of appliances and that of the time constant ask nothing."""
    found = placed(100.0, 10_000.0)

    assert found["residual-voltage.plug.appliance"] is Outcome.NOT_APPLICABLE
    assert found["discharge.time-constant.plug"] is Outcome.NOT_APPLICABLE
    assert found["residual-voltage.plug.machine"] is Outcome.BEYOND


@pytest.mark.hand("1 MΩ and 470 nF from 240 V: 40.4 V after 1 s, 4.8 V after 2 s")
def test_one_plug_by_every_rule() -> None:
    """The strictest rule is passed by, the others kept."""
    found = list(placed(470.0, 1000.0).values())

    assert found == [Outcome.BEYOND, *[Outcome.WITHIN] * 4]


@given(st.floats(101.0, 2000.0), st.floats(50.0, 5000.0), st.floats(1.01, 3.0))
def test_more_resistance_never_helps(nano: float, kilo: float, factor: float) -> None:
    """What is beyond stays beyond with a larger resistance."""
    before, after = placed(nano, kilo), placed(nano, kilo * factor)

    assert all(after[name] is Outcome.BEYOND for name, outcome in before.items() if outcome is Outcome.BEYOND)


def test_each_rule_names_its_text() -> None:
    """Every rule has a source, a time and a number."""
    for rule in plug_rules(load_book(), 470e-9):
        assert rule.limit.source
        assert rule.limit.maximum
        assert rule.time_s > 0.0


@pytest.mark.parametrize(
    ("given_", "error", "text"),
    [
        ({"capacitance": "470 nF", "read": "12 V"}, InputError, "--probe"),
        ({"capacitance": "470 nF", "probe": "10 MΩ"}, InputError, "--read"),
        ({"capacitance": "0 nF"}, OutsideRange, "capacitance"),
        ({"capacitance": "470 nF", "resistance": "-1 MΩ"}, OutsideRange, "resistance"),
        ({"capacitance": "470 nF", "read": "12 V", "probe": "10 MΩ", "after": "0 s"}, OutsideRange, "time"),
    ],
)
def test_what_cannot_be_is_refused(given_: dict[str, str], error: type[Exception], text: str) -> None:
    """Each message says what to do."""
    with pytest.raises(error, match=text):
        tell_plug_discharge(**given_)


def test_a_reading_is_told_without_its_probe() -> None:
    """The answer says what would have been read."""
    told = tell_plug_discharge(capacitance="100 nF ± 1 %", read="30 V ± 0.1 V", probe="10 MΩ")

    assert told.corrected_v is not None
    assert told.corrected_v.value == pytest.approx(30.0 * math.e, rel=2e-3)
    assert told.corrected_v.u == pytest.approx(30.0 * math.e * 0.05 / math.sqrt(3.0), rel=0.05)
    assert any("tolerance" in remark for remark in told.remarks)
    assert any("How well the time of the reading is known" in remark for remark in told.remarks)
    assert any("Without the probe" in one for one in told.statements)


def test_strange_units_are_asked_about() -> None:
    """Twenty microfarads and a kilohm are computed, and questioned."""
    told = tell_plug_discharge(capacitance="20 µF ± 5 %", resistance="1 kΩ ± 1 %")

    assert any("is the unit nF?" in remark for remark in told.remarks)
    assert any("heater" in remark for remark in told.remarks)


@given(st.floats(1.0, 300.0), st.floats(0.1, 3.0), st.floats(0.3, 3.0))
def test_a_reading_bounds_other_times(left: float, constant: float, time: float) -> None:
    """Of a plug that began at or below the peak, it bounds what was there earlier from above and later from below."""
    start = left * math.exp(time / constant)
    highest = max(start, 358.0)
    for at in (0.9 * time, time, 1.1 * time):
        true = start * math.exp(-at / constant)
        bound = bound_at(reading=left, start=highest, time=time, at=at)
        assert bound >= true * (1.0 - 1e-9) if at <= time else bound <= true * (1.0 + 1e-9)


def test_a_reading_at_no_time_bounds_nothing() -> None:
    """It must be above nothing, at a time after the plug was drawn."""
    with pytest.raises(OutsideRange, match="cannot be taken"):
        bound_at(reading=10.0, start=358.0, time=0.0, at=1.0)


@pytest.mark.hand("28 V by 10 MΩ on 470 nF for 1 s: 34.6 V, too near 34 V for a capacitor known to 20 %")
def test_a_reading_is_placed_against_each_rule() -> None:
    """What would have been read is held against 34 V too, and how to touch the pins stands before it."""
    told = tell_plug_discharge(capacitance="470 nF", resistance="1 MΩ", read="28 V ± 0.5 V", probe="10 MΩ")
    sure = tell_plug_discharge(capacitance="470 nF ± 1 %", read="40 V ± 0.5 V", probe="10 MΩ")

    assert told.corrected_v is not None
    assert told.corrected_v.value == pytest.approx(34.64, rel=0.01)
    assert any(one.startswith("Against at most 34 V") for one in told.statements)
    assert any(one.startswith("That is beyond at most 34 V") for one in sure.statements)
    assert "Mains voltage kills" in told.remarks[0]
    assert told.time_constant_s is not None
    assert told.time_constant_s.u is not None
    assert sum("No tolerance was stated" in one for one in told.remarks) == 2
