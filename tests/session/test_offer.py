"""The current drawn against the offered one: within, beyond, or too close for the meter."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.quantity import Quantity
from coldpin.records.session import EventMark, MarkKind, PhaseKind
from coldpin.session.offer import at_most
from coldpin.session.reading import Asked, read_session
from tests.session.charges import METER, level, log_of, rest

PARTS = (level("steady", 600.0, 15.5), level("reduced", 300.0, 9.7), rest("ended", 30.0))


def offer(current: float, u: float | None = 0.05) -> Quantity:
    """An offered current as the pilot's pulse width gives it. [A]"""
    return Quantity(current, u, "A", why="" if u is not None else "not stated")


@pytest.mark.parametrize(
    ("offered", "outcome"), [(16.0, "within"), (15.5, "undecided"), (13.0, "beyond"), (None, "undecided")]
)
def test_a_level_is_held_against_what_was_offered(offered: float | None, outcome: str) -> None:
    """Meter and offer both have their uncertainty; an offer without one decides nothing."""
    given_offer = offer(16.0, None) if offered is None else offer(offered)
    told = read_session(log_of(PARTS), Asked(meter=METER, offer=given_offer))

    assert told.offer[0].outcome == outcome
    assert told.phases[told.offer[0].phase].kind is PhaseKind.STEADY
    assert told.offer[0].share.value == pytest.approx(15.5 / given_offer.value, rel=0.01)


def test_a_lowered_offer_counts_from_when_a_car_may_have_followed() -> None:
    """Before the mark the first offer holds, some seconds after it the second; the seconds between are not judged."""
    lowered = EventMark(kind=MarkKind.OFFER_LOWERED, at_s=Quantity(598.0, 0.2, "s"), offer_a=offer(10.0))
    told = read_session(log_of(PARTS), Asked(meter=METER, offer=offer(16.0), marks=(lowered,), follow_s=5.0))

    assert [(c.phase, c.offer_a.value, c.outcome) for c in told.offer] == [(0, 16.0, "within"), (1, 10.0, "within")]


def test_a_car_that_ignores_a_lowered_offer_is_beyond_it() -> None:
    """The same steady phase is within before and beyond after."""
    lowered = EventMark(kind=MarkKind.OFFER_LOWERED, at_s=Quantity(300.0, 0.2, "s"), offer_a=offer(10.0))
    told = read_session(log_of(PARTS), Asked(meter=METER, offer=offer(16.0), marks=(lowered,), follow_s=5.0))

    assert [c.outcome for c in told.offer] == ["within", "beyond", "within"]


def test_a_current_made_of_power_and_voltage_has_the_uncertainty_of_both() -> None:
    """Power over a stated voltage: an apparent power would be larger, and that is said."""
    log = log_of(PARTS, voltage=False, current=False)
    told = read_session(log, Asked(meter=METER, offer=offer(16.0), voltage=Quantity(230.0, 5.0, "V")))

    assert told.phases[0].current_a.u == pytest.approx(15.35 * 0.0226, rel=0.05)
    assert "larger by the power factor" in " ".join(told.remarks)


@given(st.floats(5.0, 20.0), st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_a_larger_current_is_never_likelier_to_keep_an_offer(current: float, u: float, more: float) -> None:
    """The decision is monotone."""
    limit = offer(16.0, 0.1)
    less_said, greater_said = (at_most(Quantity(c, u, "A"), limit)[1] for c in (current, current + more))

    assert less_said is not None
    assert greater_said is not None
    assert greater_said <= less_said
