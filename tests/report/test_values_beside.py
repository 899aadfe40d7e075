"""The picture of values side by side: every value is told, a limit is drawn only where it is near."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.quantity import Quantity
from coldpin.records.finding import Limit
from coldpin.records.together import ValueAgreement, ValueTogether
from coldpin.report.anchors import Anchors
from coldpin.report.figures.values_beside import values_beside
from tests.conclusion.findings import limit

ROW = ValueTogether(
    id="earth-resistance.value",
    title="Resistance of the protective conductor",
    unit="Ω",
    values=(Quantity(0.071, 0.001, "Ω"), None, Quantity(0.092, None, "Ω", why="no statement")),
    agreement=ValueAgreement.UNKNOWN,
    limit=replace(limit(), unit="Ω", maximum=0.1),
)


def drawn(*rows: ValueTogether) -> str:
    """The figure as SVG."""
    (figure,) = values_beside(rows, Anchors())
    return figure.svg


def test_what_is_drawn_is_told_in_words() -> None:
    """By the number of the specimen; what was not measured is left out."""
    (figure,) = values_beside((ROW,), Anchors())

    assert figure.alt == (
        "Resistance of the protective conductor: specimen 1 0.0710 Ω ± 0.0020 Ω; "
        "specimen 3 0.092 Ω (uncertainty not known); cannot be told."
    )
    assert values_beside((), Anchors()) == ()


@pytest.mark.parametrize(
    ("far", "seen"),
    [
        (replace(limit(), unit="Ω", maximum=0.1), True),
        (replace(limit(), unit="Ω", maximum=50.0), False),
        (replace(limit(), unit="mΩ", maximum=0.1), False),
        (None, False),
    ],
)
def test_a_limit_is_drawn_where_it_is_near(far: Limit | None, seen: bool) -> None:
    """A limit of fifty would press the values into one point; one in another unit would stand in the wrong place."""
    assert (drawn(replace(ROW, limit=far)) != drawn(replace(ROW, limit=None))) == seen


def test_what_differs_stands_first_and_the_rest_is_counted() -> None:
    """A page has room for so many; values that are alike to the last digit have a scale all the same."""
    alike = replace(ROW, values=(Quantity(0.0, 0.0, "Ω"), Quantity(0.0, 0.0, "Ω"), None), limit=None)
    apart = replace(ROW, title="Frequency", agreement=ValueAgreement.DIFFER)
    (figure,) = values_beside((*(alike for _ in range(20)), apart), Anchors())

    assert figure.alt.startswith("Frequency: ")
    assert "7 more stand in the table alone." in figure.caption


def test_values_in_units_of_other_kinds_are_not_drawn() -> None:
    """They have no scale in common."""
    assert values_beside((replace(ROW, values=(Quantity(1.0, 0.1, "V"), Quantity(1.0, 0.1, "Ω"))),), Anchors()) == ()
