"""Reactions: how long until an unlock, a lowered offer or a stop takes effect, and what follows a lost supply."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.quantity import Quantity
from coldpin.records.session import EventMark, MarkKind, PhaseKind, Reaction, SessionReading
from coldpin.session.reaction import time_between
from coldpin.session.reading import Asked, read_session
from tests.session.charges import METER, Part, level, log_of, lost, ramp, rest


def mark(kind: MarkKind, at_s: float, offer: float | None = None) -> EventMark:
    """A mark by the log's own clock, set within half a second or so."""
    offered = None if offer is None else Quantity(offer, 0.05, "A")
    return EventMark(kind=kind, at_s=Quantity(at_s, 0.3, "s"), offer_a=offered)


def told_of(parts: tuple[Part, ...], *marks: EventMark) -> SessionReading:
    """A charge with its marks."""
    return read_session(log_of(parts), Asked(meter=METER, marks=marks))


def only(reading: SessionReading, kind: MarkKind) -> Reaction:
    """The one reaction to a kind of mark."""
    (found,) = [reaction for reaction in reading.reactions if reaction.mark is kind]
    return found


@pytest.mark.hand("rows at 104 s and 106 s, marked at 100 s with u 0.5 s: 5 s, u = √(0.5² + (1/√3)²) = 0.764 s")
def test_a_reaction_time_holds_the_mark_and_the_rows() -> None:
    """Half of the bracket as limits, beside the uncertainty of the mark."""
    between = time_between(Quantity(100.0, 0.5, "s"), (104.0, 106.0), "reaction")

    assert between.value == 5.0
    assert between.u == pytest.approx(math.hypot(0.5, 1.0 / math.sqrt(3.0)))


@given(st.floats(0.5, 60.0), st.floats(30.0, 300.0))
def test_from_unlock_to_reduced_and_for_how_long(delay: float, held: float) -> None:
    """The car that lowers its current some seconds after the unlock, and takes it up again."""
    parts = (
        level("steady", 300.0 + delay, 16.0),
        level("reduced", held, 6.0),
        level("steady", 200.0, 16.0),
        rest("ended", 30.0),
    )
    reaction = only(told_of(parts, mark(MarkKind.UNLOCK, 300.0)), MarkKind.UNLOCK)

    assert reaction.followed_by is PhaseKind.REDUCED
    assert reaction.after_s is not None
    assert reaction.after_s.u is not None
    assert reaction.after_s.value == pytest.approx(delay, abs=0.5 + 1e-9)
    assert reaction.lasted_s is not None
    assert reaction.lasted_s.value == pytest.approx(held, abs=1.0 + 1e-9)


@pytest.mark.hand("the draw falls between the rows at 299 s and 300 s, marked at 300.0 s by a clock known to 0.59 s")
def test_what_clocks_put_before_its_event_is_told_as_before() -> None:
    """No negative time after: half a second before, with the same interval."""
    parts = (level("steady", 300.0, 16.0), level("reduced", 100.0, 6.0), rest("ended", 30.0))
    reaction = only(told_of(parts, mark(MarkKind.UNLOCK, 300.0)), MarkKind.UNLOCK)

    assert reaction.after_s is not None
    assert reaction.after_s.value == pytest.approx(-0.5)
    assert reaction.statement.startswith(
        "After 'unlock' the draw was reduced by the clocks 0.50 s ± 0.82 s before the mark and stayed so for"
    )


def test_an_unlock_that_changes_nothing_says_for_how_long_it_was_watched() -> None:
    """No reaction is not a reaction time: a lower bound without an uncertainty."""
    reaction = only(told_of((level("steady", 900.0, 16.0),), mark(MarkKind.UNLOCK, 300.0)), MarkKind.UNLOCK)

    assert reaction.followed_by is None
    assert reaction.after_s is not None
    assert (reaction.after_s.u, reaction.after_s.value) == (None, 599.0)
    assert reaction.after_s.low == pytest.approx(599.0 - 1.96 * 0.3, abs=0.001)
    assert reaction.statement == "After 'unlock' the draw went on as before for the 599 s watched."


def test_what_comes_after_the_next_event_is_no_answer() -> None:
    """The stop at the unit ended the charge, not the unlock before it."""
    parts = (level("steady", 600.0, 16.0), rest("ended", 60.0))
    told = told_of(parts, mark(MarkKind.UNLOCK, 300.0), mark(MarkKind.STOPPED_AT_UNIT, 595.0))

    assert only(told, MarkKind.UNLOCK).followed_by is None
    stopped = only(told, MarkKind.STOPPED_AT_UNIT)
    assert stopped.followed_by is PhaseKind.ENDED
    assert stopped.after_s is not None
    assert stopped.after_s.value == pytest.approx(4.5)


@given(st.floats(0.5, 20.0))
def test_a_lowered_offer_is_followed_when_no_row_is_above_it(slope: float) -> None:
    """From the mark to the last row above the new offer and the next, however the car goes down."""
    parts = (level("steady", 300.0, 16.0), ramp(slope, 16.0, 10.0), level("reduced", 300.0, 10.0))
    reaction = only(told_of(parts, mark(MarkKind.OFFER_LOWERED, 299.0, 10.0)), MarkKind.OFFER_LOWERED)

    assert reaction.after_s is not None
    assert reaction.after_s.value == pytest.approx(1.0 + slope, abs=1.6)
    assert "no more than that after" in reaction.statement


def test_an_offer_that_is_not_followed() -> None:
    """The car goes on above it until the log ends."""
    told = told_of((level("steady", 600.0, 16.0),), mark(MarkKind.OFFER_LOWERED, 300.0, 10.0))
    reaction = only(told, MarkKind.OFFER_LOWERED)

    assert reaction.after_s is not None
    assert reaction.after_s.u is None
    assert "drew more than that for all of the 299 s watched" in reaction.statement


@pytest.mark.parametrize(("at", "current"), [(598.0, 16.0), (615.0, 0.0)])
def test_the_current_at_a_release_is_the_largest_about_it(at: float, current: float) -> None:
    """Released under load, or after the draw had ended."""
    parts = (level("steady", 600.0, 16.0), rest("ended", 60.0))
    reaction = only(told_of(parts, mark(MarkKind.LOCK_RELEASED, at)), MarkKind.LOCK_RELEASED)

    assert reaction.current_at_a is not None
    assert reaction.current_at_a.value == pytest.approx(current, abs=0.1)
    assert reaction.current_at_a.u is not None


def test_a_release_within_the_mark_of_a_load_is_unsure() -> None:
    """Where the mark may lie before the end of the draw or after it, the load is the most there can have been."""
    parts = (level("steady", 600.0, 16.0), rest("ended", 60.0))
    reaction = only(told_of(parts, mark(MarkKind.LOCK_RELEASED, 600.2)), MarkKind.LOCK_RELEASED)

    assert reaction.current_at_a is not None
    assert reaction.current_at_a.value == pytest.approx(16.0, abs=0.1)
    assert reaction.current_at_a.u is None
    assert reaction.current_at_a.low == pytest.approx(0.0, abs=0.1)
    assert "which came first cannot be said" in reaction.statement


@pytest.mark.parametrize("again", [True, False])
def test_what_follows_the_return_of_the_supply(again: bool) -> None:
    """It begins by itself some seconds later, or stays off for as long as it was watched."""
    tail = (rest("paused", 25.0), level("steady", 300.0, 16.0)) if again else (rest("ended", 200.0),)
    told = told_of((level("steady", 300.0, 16.0), lost(60.0), *tail))
    (reaction,) = told.reactions

    assert reaction.mark is MarkKind.BREAKER_ON
    assert reaction.after_s is not None
    if again:
        assert reaction.after_s.value == pytest.approx(25.0)
        assert reaction.followed_by is PhaseKind.STEADY
        assert "began again after 25.00 s" in reaction.statement
    else:
        assert reaction.after_s.low == pytest.approx(199.5)
        assert reaction.statement == "After the supply returned nothing was drawn for the 200 s watched."


def test_a_car_that_follows_and_forgets_is_told_both() -> None:
    """It goes down to the new offer and up again while that still holds."""
    parts = (level("steady", 300.0, 16.0), level("reduced", 60.0, 10.0), level("steady", 300.0, 16.0))
    reaction = only(told_of(parts, mark(MarkKind.OFFER_LOWERED, 298.0, 10.0)), MarkKind.OFFER_LOWERED)

    assert reaction.after_s is not None
    assert reaction.after_s.value == pytest.approx(1.5)
    assert reaction.statement.endswith("and more again later, last at 659 s of the log.")


@pytest.mark.parametrize("at", [-500.0, 5000.0])
@pytest.mark.parametrize("kind", [MarkKind.LOCK_RELEASED, MarkKind.PLUG_PULLED, MarkKind.UNLOCK])
def test_a_moment_outside_of_the_log_is_not_known(kind: MarkKind, at: float) -> None:
    """The first and the last row say nothing of an hour before or after them."""
    reaction = only(told_of((level("steady", 600.0, 16.0), rest("ended", 60.0)), mark(kind, at)), kind)

    assert (reaction.current_at_a, reaction.after_s, reaction.followed_by) == (None, None, None)
    assert "not known: the log runs from 0 s to 659 s" in reaction.statement


GAP = np.r_[np.ones(300, np.bool_), np.zeros(600, np.bool_), np.ones(600, np.bool_)]


@pytest.mark.parametrize("kind", [MarkKind.LOCK_RELEASED, MarkKind.UNLOCK])
def test_a_moment_in_a_gap_of_the_log_is_not_known(kind: MarkKind) -> None:
    """The rows beside a gap are not those about the moment: nobody recorded it."""
    parts = (level("steady", 1400.0, 16.0), rest("ended", 100.0)) if kind is MarkKind.UNLOCK else (rest("a", 1500.0),)
    marks = (mark(kind, 500.0), *((mark(MarkKind.STOPPED_AT_CAR, 1390.0),) if kind is MarkKind.UNLOCK else ()))
    reaction = only(read_session(log_of(parts, keep=GAP), Asked(meter=METER, marks=marks)), kind)

    assert (reaction.current_at_a, reaction.after_s) == (None, None)
    assert "not known: nothing was recorded from 299 s to 900 s" in reaction.statement


def test_what_follows_after_a_gap_may_have_followed_in_it() -> None:
    """The reduction that is seen is perhaps not the first one."""
    parts = (level("steady", 1200.0, 16.0), level("reduced", 200.0, 8.0), rest("ended", 100.0))
    told = read_session(log_of(parts, keep=GAP), Asked(meter=METER, marks=(mark(MarkKind.UNLOCK, 200.0),)))
    reaction = only(told, MarkKind.UNLOCK)

    assert reaction.after_s is not None
    assert reaction.after_s.value == pytest.approx(999.5)
    assert reaction.after_s.u is None


def test_a_level_that_climbs_answers_no_unlock() -> None:
    """From 8 A to 12 A is still reduced beside the 16 A before, and no answer to an unlock in between."""
    parts = (level("steady", 300.0, 16.0), level("reduced", 300.0, 8.0), level("reduced", 300.0, 12.0))
    reaction = only(told_of(parts, mark(MarkKind.UNLOCK, 400.0)), MarkKind.UNLOCK)

    assert reaction.followed_by is None
    assert "went on as before" in reaction.statement


def test_what_lasts_to_the_end_of_the_log_lasted_at_least_so_long() -> None:
    """How long the car stays reduced is not known where the log ends first."""
    parts = (level("steady", 310.0, 16.0), level("reduced", 300.0, 8.0))
    reaction = only(told_of(parts, mark(MarkKind.UNLOCK, 300.0)), MarkKind.UNLOCK)

    assert reaction.lasted_s is not None
    assert (reaction.lasted_s.u, reaction.lasted_s.high) == (None, None)
    assert reaction.lasted_s.low == pytest.approx(299.0)
    assert reaction.statement.endswith("and stayed so for at least 300 s.")


def test_a_car_that_drew_less_already_has_nothing_to_follow() -> None:
    """Ten amperes under an offer that goes from 16 A to 13 A show no following."""
    told = told_of((level("steady", 900.0, 10.0),), mark(MarkKind.OFFER_LOWERED, 300.0, 13.0))
    reaction = only(told, MarkKind.OFFER_LOWERED)

    assert reaction.after_s is None
    assert reaction.statement.endswith("drew no more than that already: whether it follows was not seen.")


def test_a_gap_ends_the_watch_of_a_lowered_offer() -> None:
    """Above the offer before a gap and after it: what was drawn meanwhile nobody knows."""
    told = read_session(
        log_of((level("steady", 1500.0, 16.0),), keep=GAP),
        Asked(meter=METER, marks=(mark(MarkKind.OFFER_LOWERED, 297.0, 10.0),)),
    )
    reaction = only(told, MarkKind.OFFER_LOWERED)

    assert reaction.after_s is not None
    assert reaction.after_s.value == pytest.approx(2.0)
    assert reaction.after_s.u is None
