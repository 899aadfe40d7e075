"""Two records of one case beside each other."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.records.bundle import Recomputed
from coldpin.workbench.recomputed import TOLERANCE, compare_records


def record(value: float = 10.0, u: float | None = 0.5, outcome: str = "within", said: str = "It is.") -> dict[str, Any]:
    quantity = {"value": value, "u": u, "unit": "V", "dof": 9.0, "low": None, "high": None}
    finding = {"id": "a.b", "outcome": outcome, "statement": said, "quantity": quantity}
    return {"program_version": "1", "findings": [finding], "functions": [{"id": "f", "state": "shown"}]}


def test_what_is_the_same_is_equal() -> None:
    """The version itself is no difference."""
    assert compare_records(record(), {**record(), "program_version": "2"}, same_version=True)[0] is Recomputed.EQUAL


@pytest.mark.parametrize("other", [record(value=10.0000001), record(said="So it is."), record(outcome="beyond")])
def test_one_version_must_say_the_same_to_the_letter(other: dict[str, Any]) -> None:
    """Words, last digits, outcomes."""
    outcome, found = compare_records(record(), other, same_version=True)

    assert outcome is Recomputed.DIFFERS
    assert len(found) == 1


@pytest.mark.hand("u = 0.5 V: a hundredth of it is 0.005 V")
@pytest.mark.parametrize(
    ("value", "outcome"),
    [(10.0049, Recomputed.WITHIN_TOLERANCE), (10.0051, Recomputed.DIFFERS), (9.994, Recomputed.DIFFERS)],
)
def test_another_version_may_move_a_hundredth_of_u(value: float, outcome: Recomputed) -> None:
    """And no further."""
    assert compare_records(record(), record(value=value), same_version=False)[0] is outcome


def test_another_version_may_word_anew_and_add_chapters() -> None:
    """What is found and concluded stays."""
    other = {**record(said="So it is."), "tips": ["new"]}

    assert compare_records(record(), other, same_version=False) == (Recomputed.WITHIN_TOLERANCE, ())


@pytest.mark.parametrize(
    "other",
    [
        record(outcome="undecided"),
        record(u=None),
        {**record(), "functions": [{"id": "f", "state": "faulty"}]},
        {**record(), "functions": []},
        {**record(), "findings": [*record()["findings"], {"id": "new", "outcome": "beyond"}]},
    ],
)
def test_another_version_that_finds_something_else_differs(other: dict[str, Any]) -> None:
    """Each such place is told."""
    outcome, found = compare_records(record(), other, same_version=False)

    assert outcome is Recomputed.DIFFERS
    assert len(found) == 1


def test_without_an_uncertainty_nothing_may_move() -> None:
    """A hundredth of what is not known is nothing."""
    outcome, _ = compare_records(record(u=None), record(u=None, value=10.0001), same_version=False)

    assert outcome is Recomputed.DIFFERS


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e3), st.floats(-3.0, 3.0))
def test_the_share_is_the_difference_in_parts_of_u(value: float, u: float, shares: float) -> None:
    """And the outcome follows from it."""
    moved = value + shares * u
    outcome, found = compare_records(record(value, u), record(moved, u), same_version=False)
    share = abs(moved - value) / u

    assert (outcome is Recomputed.DIFFERS) == (share > TOLERANCE)
    assert all(one.share_of_u == pytest.approx(share) for one in found)
