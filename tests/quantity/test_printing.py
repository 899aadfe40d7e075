"""Quantities as a report prints them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, format_quantity, format_value, known_units

K = 1.959963984540054


def with_expanded(value: float, expanded: float, unit: str) -> Quantity:
    """A quantity whose U is given."""
    return Quantity(value, expanded / K, unit)


@pytest.mark.hand("rounded by hand")
@pytest.mark.parametrize(
    ("quantity", "digits", "text"),
    [
        (with_expanded(12.3412, 0.0588, "V"), 2, "12.341 V ± 0.059 V"),
        (with_expanded(12.3412, 0.0588, "V"), 1, "12.34 V ± 0.06 V"),
        (with_expanded(12.3412, 0.0588, "V"), 3, "12.3412 V ± 0.0588 V"),
        (with_expanded(12.3, 0.0996, "V"), 2, "12.30 V ± 0.10 V"),
        (with_expanded(12.3, 0.996, "V"), 1, "12 V ± 1 V"),
        (with_expanded(-0.001, 0.06, "V"), 2, "−0.001 V ± 0.060 V"),
        (with_expanded(-0.0001, 0.06, "V"), 2, "0.000 V ± 0.060 V"),
        (with_expanded(26.67, 0.061, "%"), 2, "(26.670 ± 0.061) %"),
        (with_expanded(0.85, 0.012, "1"), 2, "0.850 ± 0.012"),
        (with_expanded(25.0, 0.5, "°C"), 2, "25.00 °C ± 0.50 °C"),
        (with_expanded(230.0, 20.0, "V"), 2, "230 V ± 20 V"),
        (with_expanded(12_500.0, 150.0, "Ω"), 2, "12.50 kΩ ± 0.15 kΩ"),
        (with_expanded(1200.0, 150.0, "s"), 2, "1200 s ± 150 s"),
        (with_expanded(2.5e8, 1.2e7, "Ω"), 2, "250 MΩ ± 12 MΩ"),
        (with_expanded(4.7e-9, 2.3e-10, "F"), 2, "4.70 nF ± 0.23 nF"),
        (with_expanded(1e-9, 2.3e-6, "A"), 2, "0.0 µA ± 2.3 µA"),
        (with_expanded(1.2345e-9, 2.3e-11, "Ω/km"), 2, "(1.234 ± 0.023) × 10⁻⁹ Ω/km"),
        (with_expanded(5e30, 2e29, "V"), 2, "(5.00 ± 0.20) × 10³⁰ V"),
        (Quantity(5.0, None, "mm", why="not known"), 2, "5.0 mm (uncertainty not known)"),
        (Quantity(230.0, None, "V"), 2, "230 V (uncertainty not known)"),
        (Quantity(0.0, None, "V"), 2, "0 V (uncertainty not known)"),
        (Quantity(1.0 / 3.0, None, "1"), 2, "0.3333 (uncertainty not known)"),
        (Quantity(12.5, 0.0, "V"), 2, "12.5 V (exact)"),
        (Quantity(math.nan, None, "V", why="no signal"), 2, "not known (no signal)"),
        (Quantity(math.nan, None, "V"), 2, "not known"),
        (Quantity(5.0, 1.0, "V", low=3.0, high=7.08), 2, "5.0 V ± 2.0 V"),
        (Quantity(5.0, 1.0, "V", low=3.0, high=7.3), 2, "5.0 V (95 %: 3.0 V to 7.3 V)"),
        (Quantity(50e-6, 50e-6, "W", low=1.3e-6, high=184e-6), 2, "50 µW (95 %: 1 µW to 184 µW)"),
    ],
)
def test_printed_forms(quantity: Quantity, digits: int, text: str) -> None:
    """U has the digits asked for, the value ends at the same place, and the unit is easy to read."""
    assert format_quantity(quantity, digits) == text


@pytest.mark.hand("rounded by hand")
@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (7.98, "Ω/km", "7.98 Ω/km"),
        (2.5e8, "Ω", "250 MΩ"),
        (230.0, "V", "230 V"),
        (16.0, "A", "16 A"),
        (6.0, "mA", "6.0 mA"),
        (1e-9, "Ω/km", "1.0 × 10⁻⁹ Ω/km"),
        (0.85, "1", "0.85"),
        (-0.0, "V", "0 V"),
        (math.nan, "V", "not known V"),
        (12.0, "points", "12 points"),
    ],
)
def test_printed_values(value: float, unit: str, text: str) -> None:
    """A limit is printed without zeros that say nothing."""
    assert format_value(value, unit) == text


@pytest.mark.hand("texts of the errors")
@pytest.mark.parametrize("digits", [0, -1, 10])
def test_digits_are_checked(digits: int) -> None:
    """A number of digits that means nothing is refused."""
    with pytest.raises(OutsideRange, match="significant digits of an uncertainty; 1 to 9 can be printed"):
        format_quantity(Quantity(1.0, 0.1, "V"), digits)


@given(
    value=st.floats(allow_nan=False, allow_infinity=False),
    u=st.none() | st.just(0.0) | st.floats(0.0, 1e300),
    unit=st.sampled_from([*known_units(), "points"]),
    digits=st.integers(1, 9),
)
def test_any_quantity_can_be_printed(value: float, u: float | None, unit: str, digits: int) -> None:
    """Nothing finite is too large or too small to print on one line, and nothing is printed as minus zero."""
    quantity = Quantity(value, u, unit, why="" if u is not None else "not known")

    text = format_quantity(quantity, digits)

    assert "\n" not in text
    assert "nan" not in text
    assert not any(word.strip("()").replace("-", "", 1).strip("0.") == "" for word in text.split() if word[:1] == "-")
