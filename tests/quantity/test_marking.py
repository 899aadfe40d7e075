"""Codes on components, against the examples and tables of IEC 60062."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import QuantityTextError
from coldpin.quantity import Shape, parse_quantity, read_chip_marking
from coldpin.quantity.marking import TOLERANCES, read_marking

RKM = "IEC 60062:2016+AMD1:2019, examples read at https://en.wikipedia.org/wiki/RKM_code"
MEMORY = "IEC 60062:2016, built with the multiplier letters read at https://probsee.com/p/RKM_code; codes from memory"


@pytest.mark.published(f"first eight: {RKM}; the others: {MEMORY}")
@pytest.mark.parametrize(
    ("code", "ohm"),
    [
        *[("R47", 0.47), ("4R7", 4.7), ("470R", 470.0), ("4K7", 4700.0), ("47K", 47_000.0), ("47K3", 47_300.0)],
        *[("470K", 470_000.0), ("4M7", 4_700_000.0)],
        *[("0R22", 0.22), ("R010", 0.010), ("1R0", 1.0), ("2K74", 2740.0), ("1K3", 1300.0), ("882R", 882.0)],
        *[("1M0", 1e6), ("10M", 1e7), ("1G0", 1e9), ("4L7", 0.0047), ("2k74", 2740.0)],
    ],
)
def test_resistance_codes(code: str, ohm: float) -> None:
    """Each code is the resistance printed beside it, exactly."""
    quantity = parse_quantity(code, "Ω")

    assert (quantity.value, quantity.unit, quantity.u) == (ohm, "Ω", None)


@pytest.mark.published("IEC 60062:2016 (p, n, u, m, F), read at https://probsee.com/p/RKM_code")
@pytest.mark.parametrize(
    ("code", "farad"), [("10p", 1e-11), ("4n7", 4.7e-9), ("1u0", 1e-6), ("1µ0", 1e-6), ("100n", 1e-7), ("2m2", 2.2e-3)]
)
def test_capacitance_codes(code: str, farad: float) -> None:
    """Each code is the capacitance printed beside it, exactly."""
    assert parse_quantity(code, "F").value == farad


@pytest.mark.published("IEC 60062:2016, symmetrical tolerances (from memory; F and K read)")
def test_tolerance_letters() -> None:
    """Every letter makes a rectangular limit of its part of the value; a multiplier is not taken for one."""
    percent = {"E": 0.005, "L": 0.01, "P": 0.02, "W": 0.05, "B": 0.1, "C": 0.25, "D": 0.5}
    percent |= {"F": 1, "G": 2, "H": 3, "J": 5, "K": 10, "M": 20, "N": 30}

    assert {letter: float(part * 100) for letter, part in TOLERANCES.items()} == percent
    for letter, part in percent.items():
        quantity = parse_quantity(f"4R7{letter}", "Ω")
        assert quantity.value == 4.7
        assert quantity.u == pytest.approx(4.7 * part / 100.0 / 3.0**0.5)
        assert quantity.components[0].shape is Shape.RECTANGULAR


@pytest.mark.published("IEC 60062:2016: 4K7J, 2K74F, 4R7K, 47K (from memory)")
def test_last_letter_tolerance_or_multiplier() -> None:
    """The last letter is a tolerance only after a multiplier."""
    for code, ohm, half_width in (("4K7J", 4700.0, 235.0), ("2K74F", 2740.0, 27.4), ("4R7K", 4.7, 0.47)):
        quantity = parse_quantity(code, "Ω")
        assert quantity.value == ohm
        assert quantity.u == pytest.approx(half_width / 3.0**0.5)
    assert parse_quantity("47K", "Ω").u is None


@pytest.mark.published("IEC 60062:2016 and the E96 code: 103, 1002, 01C, 68X, 000 (from memory)")
@pytest.mark.parametrize(
    ("code", "ohm"),
    [("103", 10_000.0), ("1002", 10_000.0), ("01C", 10_000.0), ("68X", 49.9), ("000", 0.0), ("0", 0.0), ("4R7", 4.7)],
)
def test_chip_codes(code: str, ohm: float) -> None:
    """Each code is the resistance printed beside it."""
    quantity = read_chip_marking(code)

    assert quantity.value == ohm
    assert quantity.u is None
    assert "its tolerance is not printed" in quantity.why


@pytest.mark.published("E96 series of IEC 60063, first and last and some between (from memory)")
def test_e96_figures() -> None:
    """The two digits count through the E96 series."""
    series = {1: 100, 2: 102, 10: 124, 24: 174, 25: 178, 48: 309, 49: 316, 68: 499, 72: 549, 85: 750, 96: 976}

    for index, figures in series.items():
        assert read_chip_marking(f"{index:02}A").value == float(figures)


@pytest.mark.hand("no such codes")
@pytest.mark.parametrize("code", ["", "12", "97A", "00A", "01Q", "12345", "4n7", "47K3J", "abc", "４７３"])
def test_refused_chip_codes(code: str) -> None:
    """What is no resistor code is refused, and the forms are named."""
    with pytest.raises(QuantityTextError, match="is no resistor code: three or four digits"):
        read_chip_marking(code)


@given(
    whole=st.integers(0, 999),
    part=st.integers(0, 999),
    letter=st.sampled_from(["R", "K", "M", "G", "L"]),
)
def test_codes_are_exact(whole: int, part: int, letter: str) -> None:
    """The letter stands for the decimal mark and multiplies, exactly as the number written out."""
    power = {"L": -3, "R": 0, "K": 3, "M": 6, "G": 9}[letter]
    digits = str(part).rstrip("0") or "0"

    (reading,) = read_marking(f"{whole}{letter}{digits}")
    assert float(reading.value) == float(f"{whole}.{digits}e{power}")
