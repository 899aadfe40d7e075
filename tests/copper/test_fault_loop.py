"""The loop with the lead in it: sums, currents, time classes, and what is said of a residual-current device."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.fault_loop import disconnection, fault_loop, loop_statement, loop_with_lead, residual_fallback
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity
from coldpin.records.fault import FaultLoop
from coldpin.records.finding import Outcome
from coldpin.standards.book import load_book
from coldpin.standards.protective_device import find_device

BOOK = load_book()


def loop_of(supply: float, line: float, earth: float, *, u: float = 0.01, temperature: float = 70.0) -> FaultLoop:
    """A loop whose supply alone is uncertain."""
    return fault_loop(
        Quantity(supply, u, "Ω"),
        line_20=Quantity(line, 0.0, "Ω"),
        earth_20=Quantity(earth, 0.0, "Ω"),
        conductor_temperature=temperature,
        book=BOOK,
    )


@pytest.mark.hand("0.80 Ω + 2 × 5 m of 1.5 mm² at 13.3 Ω/km and 70 °C: 0.80 + 2 · 0.0665 · 1.1965 = 0.9591 Ω; 239.8 A")
def test_a_lead_of_five_metres_in_the_loop() -> None:
    """Sum, current at the nominal voltage, and with the tables' factor."""
    loop = loop_of(0.80, 0.0665, 0.0665)

    assert loop.total_ohm.value == pytest.approx(0.9591, abs=5e-5)
    assert loop.prospective_current_a.value == pytest.approx(239.8, abs=0.05)
    assert loop.least_current_a.value == pytest.approx(0.95 * 239.8, abs=0.05)


@pytest.mark.hand("2.50 Ω and 25 m of 1.5 mm² (2 · 0.3325 · 1.1965 = 0.7957 Ω) are 3.296 Ω: above 2.73 Ω")
def test_a_long_lead_keeps_the_breaker_from_acting_in_time() -> None:
    """The socket alone would do; with the lead in it the breaker need not act, and an RCD is named as what is left."""
    loop = loop_of(2.50, 0.3325, 0.3325)
    told = disconnection(loop.total_ohm, find_device("B16"), BOOK)
    alone = disconnection(loop.supply_ohm, find_device("B16"), BOOK)

    assert (alone.outcome, told.outcome) == (Outcome.WITHIN, Outcome.BEYOND)
    assert "need not act within 0.4 s" in loop_statement(loop, told, find_device("B16"))
    limit, outcome = residual_fallback(loop.total_ohm, 0.03, BOOK)
    assert (limit.maximum, outcome) == (1667.0, Outcome.WITHIN)


@pytest.mark.hand("2.80 Ω lies between 2.73 Ω (with Cmin) and 2.875 Ω (without)")
def test_both_practices_are_told() -> None:
    """The outcome is by the tables; the other stands beside it."""
    told = disconnection(Quantity(2.80, 0.01, "Ω"), find_device("B16"), BOOK)

    assert (told.outcome, told.outcome_without_factor) == (Outcome.BEYOND, Outcome.WITHIN)
    assert told.within.maximum == 0.4


def test_a_loop_too_close_to_the_limit_is_undecided() -> None:
    """A tester's uncertainty decides nothing near the edge, and none is none."""
    near = loop_of(2.72, 0.001, 0.001, u=0.05)
    told = disconnection(near.total_ohm, find_device("B16"), BOOK)
    assert told.outcome is Outcome.UNDECIDED
    assert "too close to 2.73 Ω" in loop_statement(near, told, find_device("B16"))

    unknown = disconnection(Quantity(0.5, None, "Ω", why="not stated"), find_device("B16"), BOOK)
    assert unknown.outcome is Outcome.UNDECIDED


def test_a_larger_circuit_may_take_five_seconds() -> None:
    """A B40 is in the other time class, and its loop follows from the same band."""
    told = disconnection(Quantity(1.0, 0.01, "Ω"), find_device("B40"), BOOK)

    assert told.within.maximum == 5.0
    assert told.largest_loop.maximum == pytest.approx(0.95 * 230.0 / 200.0)


@given(supply=st.floats(0.05, 3.0), core=st.floats(1e-3, 1.0), more=st.floats(1.01, 2.0), device=st.sampled_from("BC"))
def test_a_longer_lead_never_helps(supply: float, core: float, more: float, device: str) -> None:
    """More conductor is a larger loop, a smaller current, and no smaller chance to lie beyond."""
    short, long = (loop_of(supply, factor * core, factor * core) for factor in (1.0, more))
    breaker = find_device(f"{device}16")

    assert long.total_ohm.value > short.total_ohm.value
    assert long.prospective_current_a.value < short.prospective_current_a.value
    one, two = (disconnection(loop.total_ohm, breaker, BOOK).probability for loop in (short, long))
    assert one is not None
    assert two is not None
    assert two <= one


@given(parts=st.lists(st.floats(0.0, 2.0), min_size=6, max_size=6))
def test_the_sum_of_magnitudes_is_never_below_the_phasors(parts: list[float]) -> None:
    """The loop told is the largest that it can be."""
    phasors = [complex(parts[2 * k], parts[2 * k + 1]) for k in range(3)]
    told = loop_with_lead(supply=abs(phasors[0]), line=abs(phasors[1]), earth=abs(phasors[2]))

    assert told >= abs(sum(phasors)) - 1e-12


def test_a_loop_of_nothing_is_refused() -> None:
    """A tester that shows 0 Ω was not zeroed."""
    with pytest.raises(OutsideRange, match="zero the leads of the tester"):
        loop_of(0.0, 0.1, 0.1)
