"""Clocks that drift: the line through several marks, its uncertainty at any time, and what is asked about instead."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from coldpin.quantity import Quantity
from coldpin.records.session import ClockOffset, EventMark, MarkKind, SessionPhase, SupplyOutage
from coldpin.session.clock_drift import DRIFT_MOST, Seen, drifting, ways_to_see
from coldpin.session.clocks import Clocks, align_clocks
from coldpin.session.marks import offset_at
from coldpin.session.reading import Asked, read_session
from tests.session.charges import METER, level, log_of, lost, rest

OFF, ON = MarkKind.BREAKER_OFF, MarkKind.BREAKER_ON


def at(kind: MarkKind, own_s: float, u: float | None = 0.2) -> EventMark:
    """A mark by a watch."""
    return EventMark(kind=kind, at_s=Quantity(own_s, u, "s", why="" if u is not None else "no limits"), clock="watch")


def loss(begin: float, end: float, step: float = 1.0) -> SupplyOutage:
    """A loss of the supply as rows of a log show it."""
    edges = [step * math.floor(moment / step) for moment in (begin, end)]
    brackets = [(edge, edge + step) for edge in edges]
    return SupplyOutage(
        start_s=edges[0] + 0.5 * step,
        end_s=edges[1] + 0.5 * step,
        start_bracket_s=brackets[0],
        end_bracket_s=brackets[1],
        shown_by="voltage",
    )


def whole(end_s: float) -> tuple[SessionPhase, ...]:
    """A phase as long as the log."""
    (phase,) = read_session(log_of((level("steady", 30.0, 16.0),)), Asked(meter=METER)).phases
    return (
        SessionPhase(**{name: getattr(phase, name) for name in phase.__slots__} | {"start_s": 0.0, "end_s": end_s}),
    )


class Watch:
    """A clock that shows how long it ran since the log began, from some zero of its own, a little too fast or slow."""

    def __init__(self, zero: float, drift: float) -> None:
        self.zero, self.drift = zero, drift

    def shows(self, log_s: float) -> float:
        """What it shows at a time of the log. [s]"""
        return self.zero + log_s / (1.0 + self.drift)


def aligned_by(watch: Watch, moments: list[tuple[MarkKind, float]], losses: list[SupplyOutage], u: float) -> Clocks:
    """What the marks of a watch and the losses of a log tell of it."""
    marks = [at(kind, watch.shows(moment), u) for kind, moment in moments]
    return align_clocks(marks, (), whole(40_000.0), losses)


@given(st.floats(-1e5, 1e5), st.floats(-1e-4, 1e-4), st.floats(20_000.0, 30_000.0), st.floats(0.0, 40_000.0))
def test_a_clock_that_drifts_is_found_at_any_time(zero: float, drift: float, second: float, asked: float) -> None:
    """Within the interval that is told, in the span of its marks and outside of it; its drift too."""
    watch = Watch(zero, drift)
    losses = [loss(1000.5, 1200.5), loss(second, second + 60.0)]
    told = aligned_by(watch, [(OFF, 1000.5), (OFF, second)], losses, 0.2)
    (clock,) = told.offsets
    offset = offset_at(clock, watch.shows(asked))

    assert clock.drift is not None
    assert clock.drift.expanded is not None
    assert clock.drift.value == pytest.approx(drift, abs=clock.drift.expanded)
    assert offset.expanded is not None
    assert watch.shows(asked) + offset.value == pytest.approx(asked, abs=offset.expanded)
    assert clock.contradicted == ""


def test_the_interval_holds_the_truth_at_its_rate(proving: bool) -> None:
    """Hands that tremble and rows that come when they do: nineteen of twenty, at every place of the log."""
    random = np.random.default_rng(5)
    runs, held, of = 2000 if proving else 300, 0, 0
    for run in range(runs):
        watch = Watch(float(random.uniform(-1e4, 1e4)), float(random.uniform(-1e-4, 1e-4)))
        moments = sorted(random.uniform(0.0, 36_000.0, 2 + run % 3).tolist())
        u = float(random.choice([0.1, 0.3]))
        places = [math.floor(moment) for moment in moments]
        seen = [
            Seen(mark=at(OFF, watch.shows(moment) + float(random.normal(0.0, u)), u), place=(place, place + 1.0))
            for moment, place in zip(moments, places, strict=True)
        ]
        clock = drifting(seen)
        if clock is None:
            continue
        asked = float(random.uniform(0.0, 40_000.0))
        offset = offset_at(clock, watch.shows(asked))
        assert offset.expanded is not None
        of, held = of + 1, held + (abs(watch.shows(asked) + offset.value - asked) <= offset.expanded)

    assert of >= runs // 3
    assert abs(held / of - 0.95) <= 4.0 * math.sqrt(0.95 * 0.05 / of)


@pytest.mark.hand(
    "0 s and 20 000 s by the watch are 100 s and 20 101.6 s of the log: 80 ppm, u = √2 · √(0.3² + 0.5²/3) / 20 000"
)
def test_offset_and_drift_by_hand() -> None:
    """The offset stands at the middle of the marks; its uncertainty is least there and grows beyond them."""
    clock = drifting(
        [Seen(mark=at(OFF, 0.0, 0.3), place=(99.5, 100.5)), Seen(mark=at(OFF, 2e4, 0.3), place=(20101.1, 20102.1))]
    )

    assert clock is not None
    assert clock.drift is not None
    one = math.sqrt(0.3**2 + 0.5**2 / 3.0)
    assert clock.at_own_s == 1e4
    assert clock.offset_s.value == pytest.approx(100.8)
    assert clock.offset_s.u == pytest.approx(one / math.sqrt(2.0))
    assert clock.drift.value == pytest.approx(8e-5)
    assert clock.drift.u == pytest.approx(math.sqrt(2.0) * one / 2e4)
    assert offset_at(clock, 0.0).u == pytest.approx(one)
    assert offset_at(clock, 4e4).u == pytest.approx(one * math.sqrt(0.5 + 2.0 * 1.5**2))


@given(st.floats(0.0, 40_000.0), st.floats(0.0, 40_000.0))
def test_the_farther_from_the_marks_the_less_sure(near: float, far: float) -> None:
    """From the middle of the marks on, to either side."""
    clock = drifting([Seen(mark=at(OFF, 1e4), place=(1e4, 1e4 + 1.0)), Seen(mark=at(OFF, 3e4), place=(3e4, 3e4 + 1.0))])
    assert clock is not None
    assert clock.at_own_s is not None
    assume(abs(near - clock.at_own_s) + 1.0 < abs(far - clock.at_own_s))
    closer, farther = offset_at(clock, near).u, offset_at(clock, far).u

    assert closer is not None
    assert farther is not None
    assert closer < farther


def test_two_marks_leave_the_line_untested_and_that_is_said() -> None:
    """A third tests it: then no remark asks for one."""
    watch = Watch(0.0, 8e-5)
    losses = [loss(1000.5, 1200.5), loss(30_000.5, 30_100.5)]
    two = aligned_by(watch, [(OFF, 1000.5), (OFF, 30_000.5)], losses, 0.2)
    three = aligned_by(watch, [(OFF, 1000.5), (ON, 1200.5), (OFF, 30_000.5)], losses, 0.2)

    assert two.remarks[0].startswith("the clock 'watch' loses 6.9 s ± ")
    assert two.remarks[0].endswith(
        "by 2 marks that the log shows too: two marks leave nothing that would test it, a third does"
    )
    assert three.remarks[0].endswith("by 3 marks that the log shows too")


def test_a_mark_that_fits_no_line_is_asked_about() -> None:
    """The breaker is on again five seconds before the watch says so: no drift makes that good."""
    watch = Watch(0.0, 8e-5)
    losses = [loss(1000.5, 1200.5), loss(30_000.5, 30_100.5)]
    told = aligned_by(watch, [(OFF, 1000.5), (ON, 1205.5), (OFF, 30_000.5)], losses, 0.2)

    assert told.offsets == ()
    assert "the times between its marks fit the log nowhere: is one of them late" in told.why["watch"]


@pytest.mark.parametrize("late", [3.0, -3.0])
def test_marks_too_close_for_a_drift_are_asked_about(late: float) -> None:
    """Of two marks a minute apart one is late: that is no drift of thousands of millionths."""
    marks = [at(OFF, 1000.5), at(ON, 1060.5 + late)]
    told = align_clocks(marks, (), whole(3000.0), [loss(1000.5, 1060.5)])

    assert [offset.drift for offset in told.offsets] == [None]
    assert told.offsets[0].contradicted
    assert "is a mark late, or the offset of another sign?" in told.remarks[0]


@pytest.mark.parametrize(("drift", "fitted"), [(0.8, True), (1.0, True), (1.6, False)])
def test_a_drift_that_no_clock_has_is_not_fitted(drift: float, fitted: bool) -> None:
    """Up to what an ordinary quartz clock is known to run wrong by, and what cannot be told from it."""
    places = [(1000.0, 1001.0), (31_000.0, 31_001.0)]
    watch = Watch(0.0, drift * DRIFT_MOST)
    clock = drifting([Seen(mark=at(OFF, watch.shows(place[0] + 0.5)), place=place) for place in places])

    assert (clock is not None) is fitted


@pytest.mark.parametrize("which", [0, 1])
def test_several_losses_are_told_apart_by_the_times_between_marks(which: int) -> None:
    """Off for one minute or for two: the mark of the end says which of them it was."""
    losses = [loss(1000.5, 1060.5), loss(2000.5, 2120.5)]
    moments = [(OFF, 1000.5), (ON, 1060.5)] if which == 0 else [(OFF, 2000.5), (ON, 2120.5)]
    told = aligned_by(Watch(77.0, 0.0), moments, losses, 0.2)

    assert [offset.offset_s.value for offset in told.offsets] == [pytest.approx(-77.0, abs=0.01)]
    assert told.why == {}


def test_losses_alike_align_nothing() -> None:
    """Two of a minute each, and one of them marked: the reason says that more marks would tell."""
    losses = [loss(1000.5, 1060.5), loss(2000.5, 2060.5)]
    told = aligned_by(Watch(0.0, 0.0), [(OFF, 1000.5), (ON, 1060.5)], losses, 0.2)

    assert told.offsets == ()
    assert told.why["watch"].endswith("the times between its marks fit the log in more than one way: mark one more")


def test_more_ways_than_one_are_not_counted_on() -> None:
    """Two are enough to know that it is not one, however many there are."""
    places = {OFF: [(100.0 * step, 100.0 * step + 1.0) for step in range(2000)], ON: []}
    assert len(ways_to_see([at(OFF, 0.0), at(OFF, 100.0)], places.__getitem__)) == 2


def test_a_charge_over_a_night_is_read_with_a_clock_that_drifts() -> None:
    """Two losses nine hours apart, an unlock at the end by the same watch: the time to the end of the draw is right."""
    parts = (
        *(level("steady", 1200.0, 16.0), lost(120.0), level("steady", 32_400.0, 16.0), lost(60.0)),
        *(level("steady", 1800.0, 16.0), rest("ended", 300.0)),
    )
    watch = Watch(500.0, 9e-5)
    moments = [(OFF, 1199.5), (OFF, 33_719.5), (MarkKind.UNLOCK, 35_575.0)]
    marks = tuple(at(kind, watch.shows(moment)) for kind, moment in moments)
    told = read_session(log_of(parts), Asked(meter=METER, marks=marks))
    (after,) = (one.after_s for one in told.reactions if one.mark is MarkKind.UNLOCK)

    assert told.clocks[0].drift is not None
    assert after is not None
    assert after.low is not None
    assert after.high is not None
    assert after.low < 4.5 < after.high
    assert after.high - after.low < 3.0


def test_an_offset_without_an_uncertainty_stays_without() -> None:
    """Whatever the drift."""
    clock = ClockOffset(
        clock="watch",
        mark=OFF,
        offset_s=Quantity(1.0, None, "s", why="no"),
        drift=Quantity(1e-5, 1e-6, "1"),
        at_own_s=0.0,
    )
    moved = offset_at(clock, 1000.0)

    assert moved.value == pytest.approx(1.01)
    assert (moved.u, moved.why) == (None, "no")
