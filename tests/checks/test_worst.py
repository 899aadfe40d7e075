"""Of several readings the worst is told, whatever the order in which they were written down."""

from __future__ import annotations

from itertools import permutations

import pytest

from coldpin.checks.judging import judged, worst, worst_entry
from coldpin.quantity import Quantity
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing

MOST = Limit(id="earth", title="Earth", unit="Ω", maximum=0.1, source="handbook", standing=Standing.MEMORY)
BOTH = Limit(id="low", title="Low", unit="V", minimum=-12.6, maximum=-11.4, source="handbook", standing=Standing.MEMORY)


def reading(value: float, u: float, limit: Limit, *, name: str = "") -> Finding:
    """A finding of one reading, judged."""
    bare = Finding(
        id="x.y",
        check="x",
        title="X",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=(name or f"{value:g}",),
    )
    return judged(bare, Quantity(value, u, limit.unit), limit)


@pytest.mark.hand("all three far beyond 0.1 Ω, where no probability tells them apart: 110 Ω is the worst")
def test_far_beyond_a_limit_the_farthest_is_the_worst() -> None:
    """In every order, with the entries of all as its evidence."""
    for order in permutations([(0.112, 0.0007), (1.11, 0.004), (110.0, 0.4)]):
        found = worst_entry(reading(value, u, MOST) for value, u in order)

        assert found.quantity is not None
        assert found.quantity.value == 110.0
        assert found.worst_of == 3
        assert set(found.evidence) == {"0.112", "1.11", "110"}


@pytest.mark.hand("both inside by more than any doubt: −11.5 V is nearer to −11.4 V than −12.0 V to either")
def test_far_inside_both_limits_the_nearest_is_the_worst() -> None:
    """And of one beyond the lower limit and one within, the one beyond."""
    inside = [reading(-12.0, 0.001, BOTH), reading(-11.5, 0.001, BOTH)]
    for order in permutations(inside):
        found = worst(order)
        assert found.quantity is not None
        assert found.quantity.value == -11.5
    low = reading(-13.0, 0.001, BOTH)
    assert worst([*inside, low]).quantity == low.quantity
