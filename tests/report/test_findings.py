"""The findings: few rows each, with all that a reader needs to walk back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.quantity import Quantity
from coldpin.records.assessment import Assessment
from coldpin.records.finding import BudgetLine, Finding, Outcome, PilotLevels, Reach
from coldpin.report import build_document
from coldpin.report.document import Definitions, Heading, Table, text_of
from coldpin.standards import load_book
from tests.report.sample import FINDINGS, SAMPLE

PLUG = FINDINGS[1]


def told(finding: Finding) -> dict[str, str]:
    """Return the rows of the only finding of an assessment, by term."""
    blocks = build_document(replace(SAMPLE, findings=(finding,), pilot=())).blocks
    place = next(p for p, b in enumerate(blocks) if isinstance(b, Heading) and b.anchor.startswith("finding-"))
    facts = next(block for block in blocks[place:] if isinstance(block, Definitions))
    return {item.term: text_of(item.content) for item in facts.items}


@pytest.mark.hand("lines as written down here; a share that rounds to nothing is said to be less than a tenth")
def test_a_budget_has_a_line_for_each_input() -> None:
    """Share, standard uncertainty in the unit of the value, what it is, shape, degrees of freedom where bounded."""
    budget = (
        BudgetLine(label="scope: 2 %", contribution=0.1234, dof=None, shape="rectangular", percent=99.97),
        BudgetLine(label="scatter", contribution=-0.0021, dof=9.0, shape="normal", percent=0.03),
    )

    assert told(replace(PLUG, budget=budget))["Uncertainty from"].split("\n") == [
        "100.0 % · 0.12 A · scope: 2 % (rectangular)",
        "< 0.1 % · 0.0021 A · scatter (normal, 9 degrees of freedom)",
    ]


def test_a_rule_is_named_where_it_is_not_the_usual_one() -> None:
    """The usual rule is told once, in how to read the report."""
    assert "decided by" not in told(PLUG)["Outcome"]
    assert told(replace(PLUG, rule="simple acceptance"))["Outcome"].endswith(
        "less than 0.1 %, decided by: simple acceptance"
    )


@pytest.mark.parametrize(
    ("outcome", "said"),
    [
        (Outcome.WITHIN, "within what the text known to us asks for"),
        (Outcome.BEYOND, "beyond not what the text known to us asks for"),
        (Outcome.UNDECIDED, "undecided cannot be told from this evidence"),
    ],
)
def test_a_demand_in_words_has_no_value_beside_it(outcome: Outcome, said: str) -> None:
    """A metal is asked for by a text: no number lies within or outside of anything."""
    asked = load_book().limit("conductor-demand.charging-cable")
    finding = replace(PLUG, quantity=None, limit=asked, outcome=outcome, budget=())

    assert said in told(finding)["Outcome"]


def test_remarks_stand_with_the_finding() -> None:
    """Each remark has a line of its own."""
    assert told(replace(PLUG, remarks=("One.", "Two.")))["Remarks"] == "One.\nTwo."


def test_a_finding_on_many_stretches_names_the_first_and_counts_the_rest() -> None:
    """The row stays short; the record holds every stretch."""
    levels = tuple(
        PilotLevels(evidence="20260314-1010-a", state="B2", start_s=float(n), end_s=n + 0.5) for n in range(1, 9)
    )
    row = told(replace(PLUG, levels=levels))["Rests on"]

    assert "state B2 from 3.0 to 3.5 s and 5 stretches more; found by " in row
    assert "4.0" not in row


def test_questions_that_do_not_arise_are_rows_of_one_table_that_can_be_linked_to() -> None:
    """What does not apply takes no section of its own, and keeps its anchor."""
    no_plug = replace(
        PLUG,
        id="offer-plug.not-applicable",
        outcome=Outcome.NOT_APPLICABLE,
        quantity=None,
        statement="Does not apply: no plug.",
    )
    assessment: Assessment = replace(SAMPLE, findings=(FINDINGS[0], no_plug), pilot=())
    blocks = build_document(assessment).blocks
    rows = [
        row for block in blocks if isinstance(block, Table) and "do not arise" in block.caption for row in block.rows
    ]

    assert [(row.anchor, text_of(row.cells[1])) for row in rows] == [
        ("finding-offer-plug-not-applicable", "Does not apply: no plug. [observed] Seen in 20260314-1010-a")
    ]
    assert [b for b in blocks if isinstance(b, Heading) and b.anchor == rows[0].anchor] == []


def test_what_holds_by_construction_is_said_in_the_table_of_all() -> None:
    """Most findings hold for the specimen; one that reaches further shows it at once."""
    wide = replace(PLUG, decisive=False, reach=Reach.CONSTRUCTION)
    table = next(b for b in build_document(replace(SAMPLE, findings=(wide,), pilot=())).blocks if _is_overview(b))

    assert isinstance(table, Table)
    assert text_of(table.rows[0].cells[0]) == f"{PLUG.title}\nby construction"


def _is_overview(block: object) -> bool:
    return isinstance(block, Table) and block.caption == "All findings"


@pytest.mark.parametrize("outcome", [Outcome.UNDECIDED, Outcome.WITHIN])
def test_a_bound_is_printed_where_it_is_all_that_was_found(outcome: Outcome) -> None:
    """An edge below the resolution is shown by its bound, whether that decides or not."""
    edge = replace(PLUG, quantity=None, answer="less than 12 µs", outcome=outcome, probability=None)
    table = next(b for b in build_document(replace(SAMPLE, findings=(edge,), pilot=())).blocks if _is_overview(b))

    assert isinstance(table, Table)
    assert text_of(table.rows[0].cells[1]) == "less than 12 µs"
    assert "; found: less than 12 µs" in told(edge)["Outcome"]


@pytest.mark.hand("a lower end of 46.796 °C is above 46.8 °C to a tenth; 47.0473 to four figures is 47.05")
@pytest.mark.parametrize(
    ("low", "said"), [(46.796, "above 46.8 °C; no upper end"), (None, "47.05 °C (uncertainty not known)")]
)
def test_a_value_of_no_known_uncertainty_has_no_digits_that_mean_nothing(low: float | None, said: str) -> None:
    """The bound as its sentence says it, or four figures: in the table of all and with the finding."""
    warm = replace(PLUG, quantity=Quantity(47.04725667, None, "°C", low=low), outcome=Outcome.UNDECIDED)
    table = next(b for b in build_document(replace(SAMPLE, findings=(warm,), pilot=())).blocks if _is_overview(b))

    assert isinstance(table, Table)
    assert text_of(table.rows[0].cells[1]) == said
    assert said in told(warm)["Measured"]
