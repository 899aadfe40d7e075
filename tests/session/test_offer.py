"""The current drawn against the offered one: within, beyond, or too close for the meter."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import InputError
from coldpin.quantity import Quantity
from coldpin.records.log import Log, LogQuantity
from coldpin.records.session import EventMark, MarkKind, PhaseKind
from coldpin.session.offer import at_most
from coldpin.session.reading import Asked, read_session
from tests.session.charges import METER, column, level, log_of, rest

PARTS = (level("steady", 600.0, 15.5), level("reduced", 300.0, 9.7), rest("ended", 30.0))


VOLTS = Quantity(230.0, 5.0, "V")


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


def test_17_amperes_at_a_power_factor_of_0_9_are_not_within_16() -> None:
    """Power by voltage gives 15.3 A, and its interval ends at 15.5 A; what is drawn is more by the power factor."""
    drawn = (
        column("P", LogQuantity.POWER, np.full(1200, 3519.0)),
        column("U", LogQuantity.VOLTAGE, np.full(1200, 230.0)),
    )
    told = read_session(Log(time_s=np.arange(1200.0), channels=drawn), Asked(meter=METER, offer=offer(16.0)))

    assert told.offer[0].outcome == "undecided"
    assert "power factor" in told.offer[0].share.why


def test_power_made_of_voltage_and_current_is_a_most() -> None:
    """Nothing bounds power and energy below, for the power factor is not known; with gaps the most is summed."""
    keep = np.ones(930, np.bool_)
    keep[300:420] = False
    log = log_of(PARTS, power=False, keep=keep)
    told = read_session(log, Asked(meter=METER, price=0.3, currency="EUR"))
    full = 230.0 * (600.0 * 15.5 + 300.0 * 9.7) / 3600.0

    assert (told.energy_wh.u, told.energy_wh.low) == (None, None)
    assert told.energy_wh.high is not None
    assert full < told.energy_wh.high < 1.1 * full
    assert told.cost is not None
    assert told.cost.high == pytest.approx(0.3e-3 * told.energy_wh.high)
    assert any("nothing was recorded for 121 s once" in remark for remark in told.remarks)


@pytest.mark.parametrize("current", [15_500.0, 0.0155])
def test_an_implausible_current_decides_nothing(current: float) -> None:
    """A column in mA taken for A, or the other way round, is questioned; it is neither within nor beyond an offer."""
    log = Log(time_s=np.arange(600.0), channels=(column("I", LogQuantity.CURRENT, np.full(600, current)),))
    told = read_session(log, Asked(meter=METER, offer=offer(16.0)))

    assert {one.outcome for one in told.offer} <= {"undecided"}
    assert "another unit" in told.phases[0].current_a.why or "thousandths" in told.phases[0].current_a.why


def test_the_first_offer_holds_until_a_change_may_have_been() -> None:
    """Of a mark known to 150 s the rows about it are left out; one that lies anywhere decides nothing."""
    parts = (level("steady", 300.0, 15.6), level("reduced", 600.0, 9.7))
    wide, nowhere = (
        EventMark(kind=MarkKind.OFFER_LOWERED, at_s=at, offer_a=offer(10.0))
        for at in (Quantity(200.0, 75.0, "s"), Quantity(100.0, None, "s", why="the clock is not aligned"))
    )
    about, anywhere = (
        read_session(log_of(parts), Asked(meter=METER, offer=offer(16.0), marks=(mark,), follow_s=5.0)).offer
        for mark in (wide, nowhere)
    )

    assert [(one.offer_a.value, one.outcome) for one in about] == [(16.0, "within"), (10.0, "within")]
    assert {one.outcome for one in anywhere} == {"undecided"}
    assert "the clock is not aligned" in anywhere[0].share.why


def test_a_car_that_ignores_a_lowered_offer_is_beyond_it() -> None:
    """The same steady phase is within before and beyond after."""
    lowered = EventMark(kind=MarkKind.OFFER_LOWERED, at_s=Quantity(300.0, 0.2, "s"), offer_a=offer(10.0))
    told = read_session(log_of(PARTS), Asked(meter=METER, offer=offer(16.0), marks=(lowered,), follow_s=5.0))

    assert [c.outcome for c in told.offer] == ["within", "beyond", "within"]


def test_of_a_current_made_of_power_and_voltage_only_the_least_is_known() -> None:
    """Power over a stated voltage: the true one is larger by the power factor, so that it never keeps an offer."""
    log = log_of(PARTS, voltage=False, current=False)
    told = read_session(log, Asked(meter=METER, offer=offer(16.0), voltage=VOLTS))

    current = told.phases[0].current_a
    assert (current.u, current.high) == (None, None)
    assert current.low == pytest.approx(15.35 * (1.0 - 1.96 * 0.0226), rel=0.005)
    assert {one.outcome for one in told.offer} == {"undecided"}
    assert {one.outcome for one in read_session(log, Asked(meter=METER, offer=offer(13.0), voltage=VOLTS)).offer} == {
        "beyond",
        "undecided",
    }
    assert "larger by the power factor" in " ".join(told.remarks)


@given(st.floats(5.0, 20.0), st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_a_larger_current_is_never_likelier_to_keep_an_offer(current: float, u: float, more: float) -> None:
    """The decision is monotone."""
    limit = offer(16.0, 0.1)
    less_said, greater_said = (at_most(Quantity(c, u, "A"), limit)[1] for c in (current, current + more))

    assert less_said is not None
    assert greater_said is not None
    assert greater_said <= less_said


@pytest.mark.hand("12 A and 24 A by turns are 18 A in the mean; 12 A and 18 A are 15 A; an offer of 16 A")
@pytest.mark.parametrize(("peak", "outcome"), [(24.0, "beyond"), (18.0, "undecided"), (15.0, None)])
def test_a_draw_that_settles_nowhere_is_held_against_the_offer_too(peak: float, outcome: str | None) -> None:
    """Its peaks above the offer are told, and a mean above it is beyond."""
    hunting = np.tile([12.0, 12.0, peak, peak], 100)
    amperes = np.concatenate([np.zeros(60), np.full(300, 15.5), hunting, np.full(300, 15.5)])
    log = Log(time_s=np.arange(amperes.size, dtype=float), channels=(column("I", LogQuantity.CURRENT, amperes),))
    told = read_session(log, Asked(offer=offer(16.0), meter=METER, follow_s=5.0))
    between = [one.outcome for one in told.offer if told.phases[one.phase].kind is PhaseKind.VARYING]

    assert between == ([] if outcome is None else [outcome])


@pytest.mark.parametrize(("seconds", "outcomes"), [(3, []), (8, ["beyond"])])
def test_a_peak_counts_from_when_a_car_must_have_followed(seconds: int, outcomes: list[str]) -> None:
    """Three seconds at 24 A a car may take to come down; eight it may not."""
    amperes = np.concatenate([np.zeros(60), np.full(seconds, 24.0), np.full(600, 15.5)])
    log = Log(time_s=np.arange(amperes.size, dtype=float), channels=(column("I", LogQuantity.CURRENT, amperes),))
    told = read_session(log, Asked(offer=offer(16.0), meter=METER, follow_s=5.0))

    assert [one.outcome for one in told.offer if told.phases[one.phase].kind is PhaseKind.VARYING] == outcomes


@pytest.mark.parametrize("drawn", [0.0, 6.0])
def test_an_offer_that_was_withdrawn_is_kept_by_a_car_that_stops(drawn: float) -> None:
    """Lowered to nothing: there is no share of it, and what is drawn on is beyond."""
    parts = (level("steady", 600.0, 15.5), level("reduced", 300.0, drawn))
    withdrawn = EventMark(kind=MarkKind.OFFER_LOWERED, at_s=Quantity(599.0, 0.3, "s"), offer_a=offer(0.0))
    told = read_session(log_of(parts), Asked(offer=offer(16.0), meter=METER, marks=(withdrawn,), follow_s=5.0))
    after = [one for one in told.offer if one.offer_a.value == 0.0]

    assert [(one.outcome, math.isnan(one.share.value)) for one in after] == ([("beyond", True)] if drawn else [])


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Asked(offer=Quantity(-16.0, 0.1, "A")), "the offer is −16 A"),
        (Asked(gap_from_s=0.0), "the gap is 0 s"),
        (Asked(voltage=Quantity(0.0, 1.0, "V")), "the voltage is 0 V"),
    ],
)
def test_what_can_be_said_of_no_charge_is_refused(asked: Asked, said: str) -> None:
    """In one message, before a row is read."""
    with pytest.raises(InputError, match=said):
        read_session(log_of(PARTS), asked)


def test_a_stated_voltage_that_is_no_mains_is_questioned() -> None:
    """Kilovolts by mistake: the power follows, and nothing of it is sure."""
    log = log_of(PARTS, voltage=False, power=False)
    told = read_session(log, Asked(meter=METER, voltage=Quantity(23e3, 100.0, "V")))

    assert told.energy_wh.u is None
    assert told.energy_wh.high is None
    assert any("which is no mains: is the unit right" in remark for remark in told.remarks)


def test_a_changed_offer_without_a_current_is_told() -> None:
    """Nothing is compared after it, which is said."""
    bare = EventMark(kind=MarkKind.OFFER_LOWERED, at_s=Quantity(300.0, 0.3, "s"))
    told = read_session(log_of(PARTS), Asked(offer=offer(16.0), meter=METER, marks=(bare,), follow_s=5.0))

    assert any("'offer lowered' at 300 s names no new current" in remark for remark in told.remarks)
