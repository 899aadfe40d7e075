"""Voltage drop in words: what is asked, placed and remarked."""

from __future__ import annotations

import pytest

from coldpin.copper.voltage_drop_telling import MEASURED, questions, remarks, remarks_of_supply, statements
from coldpin.quantity import Quantity
from coldpin.records.finding import Outcome
from coldpin.records.voltage_drop import SourceImpedance

CORE, CURRENT, PERCENT = Quantity(0.04, 2e-4, "Ω"), Quantity(16.0, 0.1, "A"), Quantity(0.65, 0.01, "%")


@pytest.mark.parametrize(
    ("change", "unit"),
    [
        ({"current": Quantity(16000.0, 100.0, "A")}, "is it in mA"),
        ({"percent": Quantity(640.0, 2.0, "%")}, "resistance (mΩ) and current (A)"),
        ({"core_20": Quantity(4e-5, 2e-7, "Ω")}, "is it in mΩ"),
    ],
)
def test_what_no_lead_has_is_asked_about(change: dict[str, Quantity], unit: str) -> None:
    """One question for each, which names the unit that was probably meant; of an ordinary lead none."""
    fine = {"core_20": CORE, "current": CURRENT, "percent": PERCENT}
    (asked,) = questions(**{**fine, **change})

    assert unit in asked
    assert questions(**fine) == ()


@pytest.mark.parametrize(
    ("outcome", "asked", "words"),
    [
        (Outcome.WITHIN, False, "less than the 5 %"),
        (Outcome.BEYOND, False, "more than the 5 %"),
        (Outcome.UNDECIDED, False, "too close to the 5 %"),
        (Outcome.UNDECIDED, True, "nothing is placed while a value is in question"),
    ],
)
def test_a_drop_is_placed_in_words(outcome: Outcome, asked: bool, words: str) -> None:
    """By its outcome; while something is asked no closeness is given as the reason."""
    (said,) = statements(Quantity(1.5, 0.01, "V"), PERCENT, 5.0, outcome, CURRENT, None, 1, asked=asked)

    assert words in said
    assert "line to neutral" not in said


def test_three_phases_are_told_line_to_neutral() -> None:
    """Between lines the drop is another figure."""
    (said,) = statements(Quantity(1.5, 0.01, "V"), PERCENT, 5.0, Outcome.WITHIN, CURRENT, None, 3, asked=False)

    assert "in each line, line to neutral" in said


def test_what_was_not_read_is_remarked() -> None:
    """A resistance from a class, a voltage that was supposed, a neutral that takes no part."""
    source = SourceImpedance(resistance_ohm=Quantity(0.25, 0.02, "Ω"), method="stated")

    assert len(remarks(1, MEASURED, "At 60 °C.", "5 %")) == 2
    assert "not measured: class 5" in remarks(1, "class 5", "At 60 °C.", "5 %")[-1]
    assert "comes back" in remarks(3, MEASURED, "At 60 °C.", "5 %")[-1]
    assert remarks_of_supply(1, None, unloaded=False) == ()
    asked = remarks_of_supply(3, source, unloaded=False)
    assert "the nominal one is taken" in asked[-2]
    assert "the most it can be" in asked[-1]
