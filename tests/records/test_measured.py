"""The names under which the accuracy of an instrument is asked for, and what people write in their place."""

from __future__ import annotations

import pytest

from coldpin.records.measured import AT_THE_BENCH, MEASURED, as_asked, nearest, not_asked
from coldpin.records.vocabulary import VOCABULARY
from coldpin.workbench.brackwater.instruments import INSTRUMENTS


def test_every_word_that_is_measured_is_asked_for() -> None:
    """So is all that the demo's instruments state."""
    assert {known.measures for known in VOCABULARY.values()} - {""} <= set(MEASURED)
    assert {name for one in INSTRUMENTS.values() for name in one.statements} <= set(MEASURED)


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("Ohms", "resistance"),
        ("DC voltage", "voltage"),
        ("V AC", "voltage"),
        ("Resistance (4-wire)", "resistance"),
        ("AC current", "current"),
        ("resistence", "resistance"),
        ("Temp.", "temperature"),
        ("loop", "loop impedance"),
        ("colour", ""),
    ],
)
def test_what_is_written_at_the_bench_leads_to_what_is_asked_for(written: str, meant: str) -> None:
    """By what people call it, by a slip of the pen, or not at all."""
    assert nearest(written) == meant
    assert (f"did you mean {meant!r}?" in not_asked(written)) == bool(meant)


def test_other_words_lead_to_names_that_are_asked_for() -> None:
    """None is asked for itself; capitals and blanks make no other name."""
    assert set(AT_THE_BENCH) <= set(MEASURED)
    assert not {word for words in AT_THE_BENCH.values() for word in words} & set(MEASURED)
    assert as_asked("  Voltage ") == "voltage"
