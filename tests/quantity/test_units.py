"""Units: spellings, kinds, conversion."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import UnitError
from coldpin.quantity import convert, convert_difference, find_unit, known_units
from coldpin.quantity.units import prefixed, symbols_of

AGREED = {
    *(
        "Ω",
        "kΩ",
        "MΩ",
        "mΩ",
        "V",
        "mV",
        "kV",
        "A",
        "mA",
        "s",
        "ms",
        "µs",
        "ns",
        "min",
        "h",
        "Hz",
        "kHz",
        "°C",
        "K",
        "%",
    ),
    *("W", "kW", "Wh", "kWh", "m", "mm", "cm", "km", "mm²", "F", "pF", "nF", "µF", "g", "kg", "Ω/km", "g/m", "1"),
}


@pytest.mark.hand("spellings people use")
@pytest.mark.parametrize(
    ("spellings", "symbol"),
    [
        ("Ω|\u2126|ohm|Ohm|ohms|Ohms", "Ω"),
        ("kΩ|kOhm|kohm|k-Ohm|k Ohm|KΩ|Kohm|kilohm|kiloohm|kilo ohm|Kiloohm", "kΩ"),
        ("MΩ|MOhm|Mohm|megohm|Megohm|megaohm|M Ohm", "MΩ"),
        ("mΩ|mOhm|mohm|milliohm|Milliohm|m-Ohm", "mΩ"),
        ("µA|uA|μA|microamp|microampere", "µA"),
        ("mm²|mm2|mm^2|sqmm|qmm", "mm²"),
        ("°C|C|degC|deg C|℃|celsius|degrees Celsius|ºC|˚C", "°C"),
        ("K|kelvin|°K", "K"),
        ("%|percent|per cent|pct", "%"),
        ("Hz|hz|hertz", "Hz"),
        ("kHz|khz|kilohertz|KHz", "kHz"),
        ("MHz|megahertz", "MHz"),
        ("s|sec|second|seconds", "s"),
        ("ms|msec|millisecond", "ms"),
        ("h|hour|hours|hr", "h"),
        ("Ω/km|ohm/km|Ohm/km|ohms/km", "Ω/km"),
        ("N·m|Nm|N m|N*m", "N·m"),
        ("A²s|A2s|A^2s|A²·s|A^2 s", "A²s"),
        ("kg|Kg|kilogram", "kg"),
        ("1|", "1"),
    ],
)
def test_spellings(spellings: str, symbol: str) -> None:
    """Every spelling people use is the same unit."""
    assert {find_unit(spelling).symbol for spelling in spellings.split("|")} == {symbol}


@pytest.mark.hand("m and M, s and S, h and H are different units")
def test_case_tells_units_apart() -> None:
    """The case of a letter is never guessed."""
    assert find_unit("mΩ").factor * 10**9 == find_unit("MΩ").factor
    assert [find_unit(symbol).kind for symbol in ("s", "S", "h", "H")] == ["time", "conductance", "time", "inductance"]


@pytest.mark.hand("the list agreed on")
def test_known_units() -> None:
    """Every unit agreed on is known, once, under the symbol it is printed with."""
    units = known_units()

    assert set(units) >= AGREED
    assert len(units) == len(set(units))
    assert all(find_unit(symbol).symbol == symbol for symbol in units)
    assert "mm2" not in units


@pytest.mark.published("SI Brochure, 9th edition: prefixes, hour, minute, degree Celsius (from memory)")
@pytest.mark.parametrize(
    ("value", "given", "wanted", "expected"),
    [
        (2.74, "kΩ", "Ω", 2740.0),
        (0.29, "mV", "V", 0.00029),
        (1.0, "h", "s", 3600.0),
        (1.0, "kWh", "J", 3.6e6),
        (20.0, "°C", "K", 293.15),
        (293.15, "K", "°C", 20.0),
        (2.5, "mm²", "m²", 2.5e-6),
        (7.98, "Ω/km", "mΩ/m", 7.98),
        (5.0, "%", "1", 0.05),
        (3.0, "V/µs", "V/s", 3e6),
        (180.0, "°", "rad", math.pi),
        (1.0, "Ah", "mAh", 1000.0),
        (10.0, "g/m", "kg/km", 10.0),
        (5.0, "K/min", "K/s", 5.0 / 60.0),
    ],
)
def test_conversion(value: float, given: str, wanted: str, expected: float) -> None:
    """Values convert as the prefixes and definitions say, to the last bit where the definition is exact."""
    assert convert(value, given, wanted) == pytest.approx(expected, rel=1e-15)


@pytest.mark.hand("differences have no offset")
def test_differences_of_temperature() -> None:
    """A difference of 20 °C is 20 K; a temperature is not."""
    assert convert_difference(20.0, "°C", "K") == 20.0
    assert convert(20.0, "°C", "K") == 293.15


@pytest.mark.hand("no number is no number in any unit")
def test_missing_values_stay_missing() -> None:
    """NaN and infinity pass, but not into another kind."""
    assert math.isnan(convert(math.nan, "V", "mV"))
    assert convert(math.inf, "°C", "K") == math.inf
    with pytest.raises(UnitError):
        convert(math.nan, "V", "A")


@pytest.mark.hand("texts of the errors")
@pytest.mark.parametrize(
    ("unit", "message"),
    [
        ("kv", r"unknown unit 'kv'; did you mean kV\? known: V, A, Ω"),
        ("MM", r"unknown unit 'MM'; did you mean mm\?"),
        ("voltt", r"did you mean V\?"),
        ("mhz", r"unit 'mhz' is not used here: mHz is a thousandth of a hertz, MHz a million hertz"),
        ("VAC", r"unit 'VAC' is not used here: write V and say alternating in the note"),
        ("V/A/s", r"unknown unit 'V/A/s'"),
        ("V/", r"unknown unit 'V/'"),
        ("/s", r"unknown unit '/s'"),
        ("V/%/", r"unknown unit"),
    ],
)
def test_unknown_units(unit: str, message: str) -> None:
    """An unknown unit is refused with the nearest known one, a spelling that hides a question with what to write."""
    with pytest.raises(UnitError, match=message):
        find_unit(unit)


@pytest.mark.hand("texts of the errors")
def test_kinds_do_not_mix() -> None:
    """A volt never becomes an ampere, nor a watt a volt-ampere."""
    with pytest.raises(
        UnitError, match="'V' is a unit of voltage, but current in 'A' is asked for: give it in one of kA, A, mA, µA"
    ):
        convert(1.0, "V", "A")
    with pytest.raises(UnitError, match="'W' is a unit of power, but apparent power in 'VA'"):
        convert(1.0, "W", "VA")
    with pytest.raises(UnitError, match="give it in one of V/µs, V/s"):
        convert(1.0, "A", "V/s")


@pytest.mark.hand("SI prefixes")
def test_prefixed() -> None:
    """The units that differ by a prefix, for printing."""
    assert dict(prefixed("kΩ"))[-3] == "Ω"
    assert prefixed("mm²") == ()
    assert "cm" not in dict(prefixed("m")).values()
    assert symbols_of("energy")[0] == "MWh"


@given(value=st.floats(-1e9, 1e9), unit=st.sampled_from(known_units()), other=st.sampled_from(known_units()))
def test_conversion_and_back(value: float, unit: str, other: str) -> None:
    """A conversion within a kind can be undone; between kinds it is refused."""
    if find_unit(unit).kind != find_unit(other).kind:
        with pytest.raises(UnitError):
            convert(value, unit, other)
        return
    # 1e-300 and 273.15 bound what offsets and denormal numbers take away
    assert convert(convert(value, unit, other), other, unit) == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(text=st.text(max_size=12))
def test_any_text_is_a_unit_or_an_error(text: str) -> None:
    """Whatever is written is refused, or a unit that its own symbol finds again."""
    try:
        unit = find_unit(text)
    except UnitError:
        return
    assert find_unit(unit.symbol) == unit
