"""Touch current of capacitors and protective impedances, against published figures, phasors and arithmetic by hand."""

from __future__ import annotations

import cmath
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import InputError, OutsideRange
from coldpin.insulation.touch_current import (
    capacitor_current,
    largest_capacitance,
    least_resistance,
    poles_that_drive,
    three_line_current,
)
from coldpin.insulation.touch_telling import touch_current_of_capacitors, touch_current_of_resistors
from coldpin.quantity import Quantity, rectangular
from coldpin.records.finding import Outcome
from coldpin.standards.book import load_book
from coldpin.workbench.electrical_insulation import tell_touch_current

AT_MAINS: dict[str, Any] = {"voltage": 230.0, "highest": 253.0, "frequency": 50.0}


def farads(nano: float, part: float = 0.2, name: str = "C") -> Quantity:
    """Return a capacitor of so many nanofarads, with a tolerance."""
    return rectangular(1e-9 * nano, part * 1e-9 * nano, "F", id=name, label=name)


@pytest.mark.published("component maker's answers on Y capacitors: I = 2*pi*f*C*V; figures to four digits")
@pytest.mark.parametrize(
    ("nano", "volts", "hertz", "milli"),
    [
        (1.0, 230.0, 50.0, 0.0723),
        (2.2, 230.0, 50.0, 0.1590),
        (4.7, 230.0, 50.0, 0.3396),
        (4.7, 264.0, 60.0, 0.4678),
        (10.0, 230.0, 50.0, 0.7226),
    ],
)
def test_a_capacitor_drives_its_printed_current(nano: float, volts: float, hertz: float, milli: float) -> None:
    """The printed figures come out to their last digit."""
    current = capacitor_current(capacitance=1e-9 * nano, voltage=volts, frequency=hertz)

    assert 1e3 * current == pytest.approx(milli, abs=0.5e-4)


@pytest.mark.hand("C = I / (2 pi 50 Hz 253 V)")
@pytest.mark.parametrize(("milli", "nano"), [(0.25, 3.145), (0.5, 6.291), (3.5, 44.035)])
def test_the_largest_capacitance_of_a_limit(milli: float, nano: float) -> None:
    """What a limit allows at the highest voltage."""
    assert 1e9 * largest_capacitance(current=1e-3 * milli, voltage=253.0, frequency=50.0) == pytest.approx(
        nano, abs=5e-4
    )


@pytest.mark.hand("sqrt(2) * 253 V / 0.7 mA")
def test_the_least_resistance_of_a_protective_impedance() -> None:
    """511 kΩ are left to each part alone."""
    assert 1e-3 * least_resistance(peak_current=0.7e-3, voltage=253.0) == pytest.approx(511.1, abs=0.05)


@pytest.mark.independent("a sum of complex phasors")
@given(
    st.lists(st.floats(0.0, 1e-7), min_size=3, max_size=3),
    st.floats(100.0, 300.0),
)
def test_three_lines_add_as_phasors(each: list[float], volts: float) -> None:
    """The closed form is the magnitude of the sum."""
    turn = cmath.exp(2j * math.pi / 3.0)
    wanted = 2.0 * math.pi * 50.0 * volts * abs(sum(c * turn**k for k, c in enumerate(each)))
    found = three_line_current(first=each[0], second=each[1], third=each[2], voltage=volts, frequency=50.0)

    assert float(found) == pytest.approx(wanted, rel=1e-6, abs=1e-18 * volts)


@pytest.mark.independent("nodes solved for the voltage of the open part, a person of 2 kΩ on it")
@pytest.mark.parametrize(
    ("line", "neutral", "live", "situation"),
    [
        (4.7e-9, 2.2e-9, (230.0, 0.0), "earth open"),
        (4.7e-9, 2.2e-9, (0.0, 230.0), "earth open, plug turned"),
        (4.7e-9, 2.2e-9, (230.0, 230.0), "earth and neutral open"),
    ],
)
def test_which_capacitor_drives_is_what_the_circuit_does(
    line: float, neutral: float, live: tuple[float, float], situation: str
) -> None:
    """The person's 2 kΩ change less than a thousandth, and to the side of less."""
    omega = 2.0 * math.pi * 50.0
    admittance = [1j * omega * line, 1j * omega * neutral]
    node = sum(y * volts for y, volts in zip(admittance, live, strict=True)) / (sum(admittance) + 1.0 / 2000.0)
    wanted = 1e3 * abs(node) / 2000.0
    told = touch_current_of_capacitors(
        {"L": Quantity(line, 0.0, "F"), "N": Quantity(neutral, 0.0, "F")}, load_book(), **AT_MAINS
    )
    found = next(one for one in told.situations if one.told == situation)

    assert wanted <= found.current_ma.value <= wanted * 1.001


def test_three_equal_lines_cancel_until_a_fuse_goes() -> None:
    """With all lines live little flows; with one or two live a capacitor's whole current does."""
    told = tell_touch_current(capacitance="4.7 nF ± 20 %", neutral="none", phases=3)
    all_live, worst = told.situations[0], told.worst

    assert all_live.current_ma.value < 0.2 * worst.current_ma.value
    assert len(worst.poles) < 3
    assert worst.current_ma.value == pytest.approx(0.3396, rel=0.02)


@pytest.mark.independent("a sum of complex phasors, the neutral at the potential of one line")
def test_with_three_lines_an_open_neutral_drives_as_well() -> None:
    """A load on one line lifts the neutral to it; with that line alone live both capacitors drive."""
    told = tell_touch_current(capacitance="4.7 nF ± 1 %", neutral="2.2 nF ± 1 %", phases=3)
    found = {one.told: one.current_ma.value for one in told.situations}
    turn = cmath.exp(2j * math.pi / 3.0)

    def wanted(*nano: float) -> float:
        return 1e3 * 2.0 * math.pi * 50.0 * 230.0 * abs(sum(1e-9 * c * turn**k for k, c in enumerate(nano)))

    assert found["earth and neutral open, a load on L2"] == pytest.approx(wanted(4.7, 6.9, 4.7), rel=1e-3)
    assert found["earth and neutral open, a load on L1, L1 and L3 alone live"] == pytest.approx(
        wanted(6.9, 0.0, 4.7), rel=1e-3
    )
    assert told.worst.told.startswith("earth and neutral open, a load on L1, L1 alone live")
    assert told.worst.current_ma.value == pytest.approx(wanted(6.9, 0.0, 0.0), rel=1e-3)


def test_poles_of_one_line_and_of_three_are_not_mixed() -> None:
    """L and L1 are one pole or a slip of the pen."""
    mixed = dict.fromkeys(("L", "L1"), Quantity(2.2e-9, 1e-10, "F"))
    with pytest.raises(InputError, match="L1, L2 and L3"):
        touch_current_of_capacitors(mixed, load_book(), **AT_MAINS)


def test_a_part_alone_is_no_protective_impedance() -> None:
    """One resistor, however large, leaves the mains bare when it fails: beyond, and why is said."""
    told = touch_current_of_resistors([Quantity(10e6, 1e4, "Ω")], load_book(), voltage=230.0, highest=253.0)

    assert told.placements[0].outcome is Outcome.BEYOND
    assert "no protective impedance" in told.remarks[0]


def test_the_largest_part_is_the_one_that_fails() -> None:
    """2 MΩ and 400 kΩ keep the limit together and not with the larger shorted."""
    book = load_book()
    parts = [Quantity(2e6, 1e3, "Ω"), Quantity(4e5, 1e3, "Ω")]
    told = touch_current_of_resistors(parts, book, voltage=230.0, highest=253.0)

    assert [round(one.at_highest_ma.value, 3) for one in told.situations] == [0.149, 0.894]
    assert told.placements[0].outcome is Outcome.BEYOND


def test_the_tolerance_of_a_marked_capacitor_is_taken_and_said() -> None:
    """A bare mark is not a perfect value: 2.2 nF at both poles may pass a quarter of a milliampere, or not."""
    told = tell_touch_current(capacitance="2.9 nF", neutral="none")
    housing = told.placements[1]

    assert told.marked
    assert "No tolerance was stated" in told.remarks[0]
    assert housing.outcome is Outcome.UNDECIDED


@given(st.floats(0.1, 100.0), st.floats(0.1, 100.0))
def test_more_capacitance_never_drives_less(line: float, neutral: float) -> None:
    """The worst situation grows with either capacitor."""
    book = load_book()

    def worst(first: float, second: float) -> float:
        poles = {"L": Quantity(1e-9 * first, 0.0, "F"), "N": Quantity(1e-9 * second, 0.0, "F")}
        return touch_current_of_capacitors(poles, book, **AT_MAINS).worst.at_highest_ma.value

    assert worst(line, neutral) < min(worst(1.5 * line, neutral), worst(line, 1.5 * neutral))


@pytest.mark.parametrize(
    ("given_", "error", "text"),
    [
        ({}, InputError, "one of them"),
        ({"capacitance": "1 nF", "chain": "1 MΩ"}, InputError, "one of them"),
        ({"chain": ";"}, InputError, "no resistors"),
        ({"capacitance": "0 nF"}, OutsideRange, "capacitance of L"),
        ({"capacitance": "-4.7 nF"}, OutsideRange, "capacitance of L"),
        ({"capacitance": "4.7"}, InputError, "unit"),
        ({"chain": "1 MΩ; 0 Ω"}, OutsideRange, "chain"),
        ({"capacitance": "1 nF", "frequency": "0 Hz"}, OutsideRange, "frequency"),
        ({"capacitance": "1 nF", "highest": "200 V"}, OutsideRange, "the two exchanged"),
        ({"chain": "1 MΩ; 1 MΩ", "voltage": "300 V", "highest": "253 V"}, OutsideRange, "the two exchanged"),
    ],
)
def test_what_cannot_be_is_refused(given_: dict[str, Any], error: type[Exception], text: str) -> None:
    """Each message says what was wrong."""
    with pytest.raises(error, match=text):
        tell_touch_current(**given_)


def test_a_capacitor_of_a_strange_size_is_asked_about() -> None:
    """Microfarads to earth are computed as given, and questioned."""
    told = tell_touch_current(capacitance="4.7 µF ± 20 %")

    assert "is the unit nF?" in told.remarks[0]
    assert told.placements[0].outcome is Outcome.BEYOND


def test_situations_are_named_for_the_poles_there_are() -> None:
    """Without a capacitor at neutral there is one way; of three lines there are seven."""
    assert len(poles_that_drive(("L",))) == 1
    assert poles_that_drive(("N",)) == (("earth open, plug turned", ((0,),)),)
    assert len(poles_that_drive(("L1", "L2", "L3"))) == 7


def test_the_limit_that_presumes_an_earth_says_so() -> None:
    """3.5 mA is for a lost earth that was there; its standing is in the line, and the lead's line is told."""
    told = tell_touch_current(capacitance="4.7 nF")
    line = next(one for one in told.statements if "3.5 mA, touch current of a class I supply unit" in one)

    assert "standing: memory" in line
    assert "Presumes an earth" in line
    assert any(remark.startswith("Of a portable lead") for remark in told.remarks)


def test_marked_resistors_have_a_tolerance_as_capacitors_have() -> None:
    """A chain as marked is placed, and what was taken for it is said."""
    told = tell_touch_current(chain="1 MΩ; 1 MΩ")

    assert told.marked
    assert told.worst.at_highest_ma.u is not None
    assert "5 % either way" in told.remarks[0]
