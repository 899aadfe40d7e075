"""One rule for a number whose uncertainty nobody knows: four figures, wherever it is printed."""

from __future__ import annotations

from coldpin.checks.judging import placed
from coldpin.quantity import Quantity, format_figure, format_figures, format_quantity, format_reading
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing
from coldpin.report.numbers import found, measured, reckoned
from coldpin.web.templating import templates

UNKNOWN = Quantity(14.876543, None, "mA", why="the instrument states no accuracy")
SAID = "14.88 mA (uncertainty not known)"


def test_report_page_and_sentence_print_it_alike() -> None:
    """No digit of its reckoning beyond four; only what was typed in is said back as it was read."""
    said = templates().filters["said"]

    for text in (measured, reckoned, found, said, format_quantity, format_figure):
        assert text(UNKNOWN) == SAID
    assert format_figures(UNKNOWN.value, "mA") == "14.88 mA"
    assert format_reading(UNKNOWN) == "14.8765 mA (uncertainty not known)"


def test_the_sentence_of_a_finding_has_no_more() -> None:
    """Which it had of other sentences already."""
    limit = Limit(id="x", title="x", unit="mA", maximum=30.0, source="s", standing=Standing.READ)
    finding = Finding(
        id="x.y",
        check="x",
        title="x",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=(),
        quantity=UNKNOWN,
        limit=limit,
    )

    assert "14.88 mA;" in placed("The current", finding).statement
