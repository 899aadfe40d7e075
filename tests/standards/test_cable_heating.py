"""What a reader of the list of sources sees of a formula: every number that the program computes with."""

from __future__ import annotations

from fractions import Fraction

import pytest

from coldpin.standards import load_book
from coldpin.standards.table import Row

BOOK = load_book()
PREFIXES = ("cable.air.", "film.", "air.", "radiation.", "gravity.", "temperature.ice-point")
UNTOLD = ("largest_diameter", "ra_from", "ra_to")
"""Ends of a range, which stand in the place or beside the formula in another form."""

ROWS = [row for prefix in PREFIXES for row in BOOK.under(prefix)]


@pytest.mark.parametrize("row", ROWS, ids=[row.limit.id for row in ROWS])
def test_the_numbers_of_a_formula_stand_in_its_title(row: Row) -> None:
    """Each number beside an entry is printed in its title, as itself or as the fraction it is."""
    for name, number in row.data.items():
        if name in UNTOLD or not isinstance(number, float):
            continue
        part = Fraction(number).limit_denominator(30)
        spelt = {
            f"{number:g}",
            f"{number:.9g}",
            f"{number:.2f}",
            f"{number:.10g}",
            f"{part.numerator}/{part.denominator}",
        }
        assert any(text in row.limit.title for text in spelt), (name, number, row.limit.title)
