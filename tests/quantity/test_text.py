"""Quantities as people write them: read rightly, or refused with a reason, never read as another number."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from coldpin.errors import InputError, QuantityTextError, UnitError
from coldpin.quantity import (
    AtLeast,
    AtMost,
    Quantity,
    Shape,
    coverage_factor,
    format_quantity,
    known_units,
    parse_quantity,
    parse_reading,
)
from coldpin.quantity.text import NOT_STATED

SQRT3 = math.sqrt(3.0)


# --- values -----------------------------------------------------------------------------------------------------------


@pytest.mark.hand("read aloud")
@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("12.5 V", 12.5, "V"),
        ("+12 V", 12.0, "V"),
        ("−12 V", -12.0, "V"),
        ("- 12 V", -12.0, "V"),
        ("1,5 V", 1.5, "V"),
        ("2,74 kΩ", 2.74, "kΩ"),
        ("2.74\u202fkΩ", 2.74, "kΩ"),
        ("2.74\u00a0k\u2126", 2.74, "kΩ"),
        ("1.5e-3 A", 1.5e-3, "A"),
        ("1.5E−3 A", 1.5e-3, "A"),
        ("1.5 × 10^-3 A", 1.5e-3, "A"),
        ("1.5·10⁻³ A", 1.5e-3, "A"),
        ("1 500 V", 1500.0, "V"),
        ("1\u2009234\u2009567.5 Ω", 1234567.5, "Ω"),
        ("1 234,567 V", 1234.567, "V"),
        ("1234,567 V", 1234.567, "V"),
        ("0,234 V", 0.234, "V"),
        ("-0,234 V", -0.234, "V"),
        (",5 V", 0.5, "V"),
        (".5 V", 0.5, "V"),
        ("1.234 V", 1.234, "V"),
        ("12,34 V", 12.34, "V"),
        ("12,3456 V", 12.3456, "V"),
        ("26.67 %", 26.67, "%"),
        ("0.85", 0.85, "1"),
        ("1e3", 1000.0, "1"),
        ("3 uA", 3.0, "µA"),
        ("3 μA", 3.0, "µA"),
        ("40 °C", 40.0, "°C"),
        ("40 degC", 40.0, "°C"),
        ("40 C", 40.0, "°C"),
        ("2.5 mm^2", 2.5, "mm²"),
        ("2.5mm2", 2.5, "mm²"),
        ("7.98 ohm/km", 7.98, "Ω/km"),
        ("5 k-Ohm", 5.0, "kΩ"),
        ("230V", 230.0, "V"),
        ("5.0 mm (uncertainty not known)", 5.0, "mm"),
    ],
)
def test_values(text: str, value: float, unit: str) -> None:
    """Value and unit are what a reader would say; the uncertainty is unknown and it is said why."""
    quantity = parse_quantity(text)

    assert (quantity.value, quantity.unit) == (value, unit)
    assert (quantity.u, quantity.why) == (None, NOT_STATED)


@pytest.mark.hand("the unit asked for")
def test_the_unit_asked_for() -> None:
    """The result is in the unit asked for, under the name asked for, exactly converted."""
    assert parse_quantity("2.74 kΩ", "Ω").value == 2740.0
    assert parse_quantity("0.29 mV", "V").value == 0.00029
    assert parse_quantity("2.5 mm²", "mm2").unit == "mm2"
    assert parse_quantity("26.67 %", "1").value == 0.2667
    assert parse_quantity("300 K", "°C").value == pytest.approx(26.85)
    assert parse_quantity("1 h", "s").value == 3600.0


@pytest.mark.hand("read aloud")
@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("47K", "Ω", 47_000.0),
        ("47K", "K", 47.0),
        ("10m", "m", 10.0),
        ("10m", "F", 0.01),
        ("10m", "Ω", 0.01),
        ("2m2", "F", 2.2e-3),
        ("2m2", "m²", 2.0),
        ("4m7", "Ω", 4.7e-3),
        ("100nF", None, 100.0),
        ("10mH", None, 10.0),
        ("3kW", None, 3.0),
        ("2k74 Ω", None, 2740.0),
        ("2.74k", None, 2740.0),
        ("2,74k", "Ω", 2740.0),
        ("1.5M", "MΩ", 1.5),
        ("4.7R", "Ω", 4.7),
        ("2.2u", "µF", 2.2),
        ("1.5K", "Ω", 1500.0),
        ("1.5m", "m", 1.5),
        ("4n7 F", None, 4.7e-9),
    ],
)
def test_codes_that_the_unit_decides(text: str, unit: str | None, value: float) -> None:
    """What could be a code or a number with its unit is decided by the unit asked for, or by the proper unit."""
    assert parse_quantity(text, unit).value == value


@pytest.mark.hand("the rules in the docstring")
@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1,234 V", r"'1,234' is either 1\.234 or 1234 \(a comma before exactly three digits\): write 1\.234 or 1234"),
        ("12,345", r"either 12\.345 or 12345"),
        ("-123,456 A", r"either 123\.456 or 123456"),
        ("1,234e3 V", r"either 1\.234 or 1234"),
        ("1.234,56 V", r"holds 2 decimal or thousands marks"),
        ("1,234.56 V", r"holds 2 decimal or thousands marks"),
        ("1,234,567 V", r"holds 2 decimal or thousands marks"),
        ("1.234.567 V", r"holds 2 decimal or thousands marks"),
        ("1'234 V", r"an apostrophe can mark thousands, feet or minutes"),
        ("12. V", r"'12\.' ends in a decimal mark"),
        ("1 23 V", r"'1 23' is more than one number, or digits not grouped by threes"),
        ("12 3456 V", r"is more than one number"),
        ("1234 567 V", r"is more than one number"),
        ("0 123 V", r"is more than one number"),
        ("1.5 234 V", r"is more than one number"),
        ("12-14 V", r"'12-14 V' is a range: write its middle and half its width, as in '13 V ± 1 V'"),
        ("12 … 14 V", r"is a range"),
        ("12 to 14 V", r"is a range"),
        ("V", r"'V' does not begin with a number: write the value first, as in '12\.5 V'"),
        ("", r"there is no text"),
        ("  \u00a0 ", r"there is no text"),
        ("٣ V", r"does not begin with a number"),
        ("½ V", r"does not begin with a number"),
        ("nan V", r"does not begin with a number"),
        ("1e999 V", r"beyond what can be measured: check the exponent"),
        ("1e-999 V", r"beyond what can be measured: check the exponent"),
        ("1e99999999999 V", r"exponent 'e99999999999' is beyond any measurement: give at most three digits"),
        ("9" * 61 + " V", r"is longer than any number written by hand"),
        ("1 " * 101, r"a quantity has at most 200"),
        ("47K", r"'47K' can mean 47 K or 47000 Ω: write it out with a space before the unit"),
        ("10m", r"'10m' can mean 10 m or 0\.01 Ω or 0\.01 F"),
        ("4n7F", r"'4n7F' can mean 4\.7e-09 F ± 1 % or 4\.7e-09 F"),
        ("OL", r"'OL' is what a meter shows beyond its range: write the end of the range, as in '> 20 MΩ'"),
        ("0.L MΩ", r"beyond its range"),
        ("---", r"beyond its range"),
        ("> 20 MΩ", r"'> 20 MΩ' says only on which side the value lies, but a value is needed here"),
        ("U=0.4 V k=2", r"states an uncertainty but no value"),
        ("± 5 V", r"states an uncertainty but no value"),
        ("12 V U=0.4 V", r"states U without its factor: add k=2"),
        ("12 V k=2", r"states a coverage factor without U"),
        ("12 V dof=9", r"'12 V' is followed by dof but by no uncertainty"),
        ("12 V U=0.4 V u=0.2 V", r"states both U and u"),
        ("12 V ± 0.4 V U=0.4 V k=2", r"states both ± and U"),
        ("12 V u=0.2 V ± 0.4 V", r"states more than one uncertainty"),
        ("12 V ± 1 V ± 2 V", r"states more than one uncertainty"),
        ("12.5(3) V u=0.2 V", r"'12\.5\(3\) V' states an uncertainty itself and another one follows"),
        ("4K7J ± 1 %", r"'4K7J' states an uncertainty itself"),
        ("12 V U=0.4 V k=2 k=3", r"states k twice"),
        ("12 V U=0.4 V k=2 p=95 %", r"states both k and a coverage probability"),
        ("12 V ± 0.4 V (95 %) p=95 %", r"states the coverage twice: give k or a probability, once"),
        ("12 V ± 0.4 V (95 %) k=2", r"states the coverage twice"),
        ("12 V U=0.4 V k=0", r"k must be above 0"),
        ("12 V U=0.4 V k=2 V", r"k is a plain number, but '2 V' is written"),
        ("12 V u=0.4 V dof=0.5", r"dof must be at least 1"),
        ("12 V U=0.4 V p=105 %", r"a coverage probability lies from 50 % to below 100 %"),
        ("12 V ± 0 V", r"an uncertainty is above 0; leave it out where it is not known"),
        ("12 V ± -1 V", r"an uncertainty is above 0"),
        ("12.5(0) V", r"an uncertainty is above 0; leave the bracket out"),
        ("0 V ± 2 %", r"a part of 0 is nothing; write the uncertainty in V"),
        ("50 % ± 2 %", r"% of the value, or % as the value is given\? Write '\(a ± b\) %'"),
        ("50 ± 2 %", r"the value has no unit; write '\(a ± b\) %', or give the value its unit"),
        ("12.1 V ±1% rdg", r"ends in the accuracy of an instrument: enter that with the instrument"),
        ("12.1 V ± (0.5 % + 2 digits)", r"ends in the accuracy of an instrument"),
        ("1,234k", r"either 1\.234 or 1234"),
        ("1.5K", r"'1\.5K' can mean 1\.5 K or 1500 Ω"),
        ("(12.5 ± 0.3 V", r"opens a bracket that is not closed"),
    ],
)
def test_refused_texts(text: str, message: str) -> None:
    """What can be read in two ways, or not at all, is refused and the message says what to write."""
    with pytest.raises(QuantityTextError, match=message):
        parse_quantity(text)


@pytest.mark.hand("kinds of units")
@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        ("12.5", "V", r"'12\.5' has no unit, but voltage is asked for: write it as in '12\.5 V'"),
        ("12.5 A", "V", r"'A' is a unit of current, but voltage in 'V' is asked for: give it in one of kV, V, mV, µV"),
        ("12.5 kv", None, r"unknown unit 'kv'; did you mean kV\?"),
        ("12 Vpp", "V", r"unit 'Vpp' is not used here: a peak-to-peak value is twice an amplitude"),
        ("12.5 V ± 0.3 A", None, r"'A' is a unit of current, but voltage in 'V' is asked for"),
        ("2k74", "V", r"'Ω' is a unit of resistance, but voltage in 'V' is asked for"),
        ("12 V", "furlong", r"unknown unit 'furlong'"),
    ],
)
def test_refused_units(text: str, unit: str | None, message: str) -> None:
    """A unit of another kind, or none where one is needed, is refused and what was wanted is said."""
    with pytest.raises(UnitError, match=message):
        parse_quantity(text, unit)


@pytest.mark.hand("0.2667 and 26.67 % are the same, 26.67 is neither")
def test_a_bare_number_is_no_per_cent() -> None:
    """Where per cent is wanted the sign must be written."""
    with pytest.raises(QuantityTextError, match="has no unit and can mean a part of 1 or of 100"):
        parse_quantity("26.67", "%")
    assert parse_quantity("0.2667", "1").value == 0.2667


@pytest.mark.hand("a rise of 50 °C is 50 K, a temperature of 50 °C is 323.15 K")
def test_a_rise_is_written_in_kelvin() -> None:
    """Where K is wanted, °C is refused, since a rise and a temperature convert differently."""
    with pytest.raises(QuantityTextError, match="write a rise in K"):
        parse_quantity("50 °C", "K")
    assert parse_quantity("50 K", "K").value == 50.0


# --- uncertainties ----------------------------------------------------------------------------------------------------


@pytest.mark.hand("limits: half-width / √3; standard uncertainty as it is; expanded: U / k")
@pytest.mark.parametrize(
    ("text", "u", "shape", "dof"),
    [
        ("230 V ± 2 %", 4.6 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("230 V ±2%", 4.6 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("230 V +/- 2 %", 4.6 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("-230 V +- 2 %", 4.6 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("230 V ± 500 ppm", 0.115 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("12.5 V ± 0.3 V", 0.3 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("12.5 V ± 0.3", 0.3 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("12.5 V ± 300 mV", 0.3 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("12,5 ± 0,3 V", 0.3 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("(12.5 ± 0.3) V", 0.3 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("(12.5 V ± 0.3 V)", 0.3 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("(12.5 ± 0.3) × 10³ V", 300.0 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("(26.7 ± 0.2) %", 0.2 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("26.7 % ± 0.2", 0.2 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("25 °C ± 0.5 K", 0.5 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("25 °C ± 2 %", 0.5 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("12.5(3) V", 0.3, Shape.NORMAL, math.inf),
        ("12,5(3) V", 0.3, Shape.NORMAL, math.inf),
        ("12.50(12) V", 0.12, Shape.NORMAL, math.inf),
        ("12.5(1.2) V", 1.2, Shape.NORMAL, math.inf),
        ("1250(12) V", 12.0, Shape.NORMAL, math.inf),
        ("12.5(3)e-3 V", 0.3e-3, Shape.NORMAL, math.inf),
        ("12.5(3) V dof=9", 0.3, Shape.NORMAL, 9.0),
        ("12.5 V u=0.2 V", 0.2, Shape.NORMAL, math.inf),
        ("12.5 V, u = 200 mV, ν = 5", 0.2, Shape.NORMAL, 5.0),
        ("12.5 V u=2 %", 0.25, Shape.NORMAL, math.inf),
        ("12.5 V U=0.4 V k=2", 0.2, Shape.NORMAL, math.inf),
        ("12.5 V U=0.4 V k=2.1 dof=12", 0.4 / 2.1, Shape.NORMAL, 12.0),
        ("12.5 V (U = 0,4 V; k = 2)", 0.2, Shape.NORMAL, math.inf),
        ("12.5 V U=0.4 V p=95 %", 0.4 / 1.959964, Shape.NORMAL, math.inf),
        ("12.5 V U=0.4 V p=0.95 dof=10", 0.4 / 2.228139, Shape.NORMAL, 10.0),
        ("12.5 V ± 0.4 V k=2", 0.2, Shape.NORMAL, math.inf),
        ("12.5 V ± 0.4 V (k=2)", 0.2, Shape.NORMAL, math.inf),
        ("12.5 V ± 0.4 V (95 %)", 0.4 / 1.959964, Shape.NORMAL, math.inf),
        ("(26.7 ± 0.2) % (95 %)", 0.2 / 1.959964, Shape.NORMAL, math.inf),
        ("4K7J", 235.0 / SQRT3, Shape.RECTANGULAR, math.inf),
        ("4k7 ± 5 %", 235.0 / SQRT3, Shape.RECTANGULAR, math.inf),
    ],
)
def test_uncertainties(text: str, u: float, shape: Shape, dof: float) -> None:
    """What is written after a value is taken as it says, and kept as one component."""
    quantity = parse_quantity(text, label="meter")

    assert quantity.u == pytest.approx(u, rel=1e-6)
    assert quantity.dof == dof
    assert [component.shape for component in quantity.components] == [shape]
    assert quantity.components[0].label == "meter"


@pytest.mark.hand("a difference of °C is one of K; k scales")
def test_uncertainty_in_the_unit_asked_for() -> None:
    """Value and uncertainty are both converted; an uncertainty of a temperature is a difference."""
    quantity = parse_quantity("2.74(1) kΩ", "Ω")
    temperature = parse_quantity("300 K u=0.5 °C", "°C")

    assert quantity.u == 10.0
    assert temperature.value == pytest.approx(26.85)
    assert temperature.u == 0.5
    assert parse_quantity("5 V (exact)", "mV") == Quantity(5000.0, 0.0, "mV")


@pytest.mark.hand("id given or not")
def test_ids_of_readings() -> None:
    """A reading may be given an id; without one it is independent of all others."""
    assert parse_quantity("12.5(3) V", id="meter 1").components[0].id == "meter 1"
    assert parse_quantity("12.5(3) V").components[0].id == ""


# --- one-sided readings -----------------------------------------------------------------------------------------------


@pytest.mark.hand("read aloud")
@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("> 20 MΩ", AtLeast, 20.0),
        (">500 MΩ", AtLeast, 500.0),
        ("≥ 1 GΩ", AtLeast, 1000.0),
        (">= 1 GΩ", AtLeast, 1000.0),
        ("< 0.5 MΩ", AtMost, 0.5),
        ("≤0,5 MΩ", AtMost, 0.5),
        ("<= 0.5 MΩ", AtMost, 0.5),
    ],
)
def test_one_sided_readings(text: str, kind: type[AtLeast | AtMost], value: float) -> None:
    """A reading beyond the range keeps its side and its edge."""
    reading = parse_reading(text, "MΩ")

    assert isinstance(reading, kind)
    assert (reading.edge.value, reading.edge.unit) == (value, "MΩ")


@pytest.mark.hand("read aloud")
def test_a_reading_may_be_a_quantity() -> None:
    """Anything else is read as a quantity, and refused as one."""
    assert parse_reading("12.5 V") == parse_quantity("12.5 V")
    edge = parse_reading("> 500 MΩ ± 5 %", "MΩ")
    assert isinstance(edge, AtLeast)
    assert edge.edge.u == pytest.approx(25.0 / SQRT3)
    with pytest.raises(QuantityTextError, match="beyond its range"):
        parse_reading("OL", "MΩ")
    with pytest.raises(QuantityTextError, match="says only on which side"):
        parse_reading(">> 5 V")


# --- what must hold always --------------------------------------------------------------------------------------------

ALPHABET = "0123456789.,+-−±%()<>=≥ eE×^/VAΩkKmMµunpRFJUkdofus°C²³⁻\u00a0\u2009'Lx~…"


@given(text=st.text(st.sampled_from(ALPHABET), max_size=24) | st.text(max_size=24))
@example("0R")
@example("1e5e5")
@example("(((±)))")
@example("k=")
@example("U=")
@example("1(")
@example("±1(95 %)")
def test_junk_raises_only_our_errors(text: str) -> None:
    """Whatever is typed gives a finite quantity or an error of our own."""
    for unit in (None, "V", "Ω", "%"):
        try:
            reading = parse_reading(text, unit)
        except InputError:
            continue
        quantity = reading if isinstance(reading, Quantity) else reading.edge
        assert math.isfinite(quantity.value)
        assert quantity.u is None or 0.0 <= quantity.u < math.inf
        assert any(mark in "0123456789" for mark in text)


@given(whole=st.integers(0, 10**7), part=st.text(st.sampled_from("0123456789"), min_size=0, max_size=6))
def test_a_decimal_comma_is_read_or_refused_never_dropped(whole: int, part: str) -> None:
    """The text a,b is a.b, or an error just where it could be thousands or nothing follows; never another number."""
    text = f"{whole},{part} V"
    try:
        value = parse_quantity(text).value
    except QuantityTextError:
        assert part == "" or (len(part) == 3 and 1 <= whole <= 999)
    else:
        assert value == float(f"{whole}.{part}")
        assert not (len(part) == 3 and 1 <= whole <= 999)


@given(
    value=st.decimals(-(10**6), 10**6, places=4, allow_nan=False),
    unit=st.sampled_from(known_units()),
    comma=st.booleans(),
    space=st.sampled_from([" ", "\u00a0", "\u202f", "\u2009", "  "]),
    minus=st.sampled_from("-−"),
)
def test_every_unit_round_trips(value: Decimal, unit: str, comma: bool, space: str, minus: str) -> None:
    """Four decimals with any unit, mark, space and minus sign are read as the number they are."""
    written = f"{value:f}".replace("-", minus)
    text = f"{written.replace('.', ',') if comma else written}{space}{unit if unit != '1' else ''}"

    quantity = parse_quantity(text)

    assert quantity.value == float(value)
    assert quantity.unit == unit


@given(
    value=st.decimals(-(10**5), 10**5, places=3, allow_nan=False).map(Fraction),
    digits=st.integers(1, 999),
    k=st.integers(10, 40).map(lambda tenths: tenths / 10),
    dof=st.integers(1, 200),
)
def test_statements_of_one_uncertainty_agree(value: Fraction, digits: int, k: float, dof: int) -> None:
    """The same uncertainty in brackets, as u, as U with k and as U with its coverage gives the same u."""
    number, u = f"{float(value):.3f}", digits / 1000.0
    texts = [
        f"{number}({digits}) V dof={dof}",
        f"{number} V u={u:.3f} V dof={dof}",
        f"{number} V U={u * k!r} V k={k} dof={dof}",
        f"({number} ± {u * coverage_factor(float(dof))!r}) V (95 %) dof={dof}",
    ]

    for text in texts:
        quantity = parse_quantity(text)
        assert quantity.value == pytest.approx(float(value), abs=1e-12)
        assert quantity.u == pytest.approx(u, rel=1e-12)
        assert quantity.dof == dof


@given(
    value=st.floats(-1e12, 1e12).filter(lambda x: x == 0.0 or abs(x) > 1e-12),
    u=st.floats(1e-15, 1e12),
    unit=st.sampled_from(["V", "mΩ", "MΩ", "%", "1", "s", "Ω/km", "mm²", "°C", "Hz", "pF", "Wh"]),
    digits=st.integers(1, 3),
)
def test_a_printed_quantity_can_be_read_again(value: float, u: float, unit: str, digits: int) -> None:
    """What is printed, read again as 95 % interval, holds value and U within the digits printed."""
    assume(u > 1e-9 * abs(value))
    quantity = Quantity(value, u, unit)
    expanded = quantity.expanded
    assert expanded is not None

    text = format_quantity(quantity, digits)
    again = parse_quantity(f"{text} (95 %)", unit)
    limits = parse_quantity(text, unit)

    # 9.96 to two digits is 10, whose last digit is worth ten times as much
    printed = float(f"{expanded:.{digits - 1}e}")
    half_of_last_digit = 0.5 * 10.0 ** (math.floor(math.log10(printed) + 1e-9) - digits + 1)
    assert again.expanded == pytest.approx(expanded, abs=1.000001 * half_of_last_digit)
    assert again.value == pytest.approx(value, abs=1.000001 * half_of_last_digit)
    # without "(95 %)" the sign ± is read as limits, of the same half-width
    assert limits.u == pytest.approx((again.expanded or 0.0) / SQRT3)
    assert limits.value == again.value
