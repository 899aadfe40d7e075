"""Virtual cars: each habit, and that their current is whole however it is cut."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from coldpin.errors import OutsideRange, UnknownName
from coldpin.simulator.car import CARS, STOPPING_RAMP, CarEvent, Segment, VirtualCar, Visit, course_of, draw_car

EVENING = Visit(plugged=10.0, unplugged=5000.0, offer=[(0.0, 16.0)])


def current_at(segments: tuple[Segment, ...], time: float) -> float:
    segment = next(one for one in segments if one.start <= time < one.end)
    return segment.current_at(time - segment.start)


def kinds(segments: tuple[Segment, ...]) -> list[str]:
    return [segment.kind for segment in segments]


def happened(events: tuple[CarEvent, ...], kind: str) -> CarEvent:
    return next(event for event in events if event.kind == kind)


@pytest.mark.hand("6 s of rest, 0.97·16 A at 1.5 A/s in 10.35 s, then level")
def test_a_car_waits_rises_and_holds() -> None:
    """Connected it rests, then takes its share of the offer."""
    segments, events = course_of(VirtualCar(), [EVENING], seconds=6000.0)

    assert kinds(segments) == ["away", "resting", "ramp", "level", "away"]
    assert segments[1].end == pytest.approx(16.0)
    assert segments[2].end == pytest.approx(16.0 + 15.52 / 1.5)
    assert current_at(segments, 100.0) == pytest.approx(15.52)
    assert happened(events, "plugged in").at == 10.0
    assert happened(events, "unplugged").current == pytest.approx(15.52)


@pytest.mark.hand("4 Ah, 90 % of it at the level, then I·exp(-t/τ) down to 1.5 A: charge and times written down")
def test_a_full_car_tapers_and_ends() -> None:
    """The charge until the taper is what it says, and the taper ends at its current."""
    car = VirtualCar(need=4.0, taper_from=0.9, taper=100.0)
    segments, _ = course_of(car, [EVENING], seconds=6000.0)

    assert kinds(segments) == ["away", "resting", "ramp", "level", "taper", "ramp", "resting", "away"]
    assert sum(one.charge for one in segments[:4]) == pytest.approx(0.9 * 4.0 * 3600.0)
    taper = segments[4]
    assert taper.end - taper.start == pytest.approx(100.0 * np.log(15.52 / 1.5))
    assert taper.current_at(taper.end - taper.start) == pytest.approx(1.5)
    assert segments[5].end - segments[5].start == pytest.approx(1.5 / STOPPING_RAMP)


@pytest.mark.hand("quickly 2 s, slowly 25 s after the change, never not at all")
@pytest.mark.parametrize(("follows", "after"), [("quickly", 2.0), ("slowly", 25.0), ("never", None)])
def test_a_lowered_offer_is_followed_or_not(follows: str, after: float | None) -> None:
    """From 16 A to 10 A; the event stands where the offer changed, whatever the car does."""
    visit = replace(EVENING, offer=[(0.0, 16.0), (1000.0, 10.0), (2000.0, 16.0)])
    segments, events = course_of(VirtualCar(follows=follows), [visit], seconds=6000.0)

    assert [(event.kind, event.at) for event in events[1:3]] == [("offer lowered", 1000.0), ("offer raised", 2000.0)]
    if after is None:
        assert current_at(segments, 1500.0) == pytest.approx(15.52)
        return
    assert current_at(segments, 1000.0 + after - 0.01) == pytest.approx(15.52)
    assert current_at(segments, 1000.0 + after + 1.0) < 15.0
    assert current_at(segments, 1500.0) == pytest.approx(9.7)
    assert current_at(segments, 2500.0) == pytest.approx(15.52)


@pytest.mark.hand("an offer withdrawn is no offer: even a car deaf to changes stops, and begins again with a new one")
def test_a_withdrawn_offer_stops_every_car() -> None:
    """No current without an offer; with a new one it waits and rises again."""
    visit = replace(EVENING, offer=[(0.0, 16.0), (1000.0, 0.0), (2000.0, 16.0)])
    segments, _ = course_of(CARS["deaf to the offer"], [visit], seconds=6000.0)

    assert current_at(segments, 1500.0) == 0.0
    assert current_at(segments, 2004.0) == 0.0
    assert current_at(segments, 2500.0) == pytest.approx(16.0)


@pytest.mark.hand("stops 0.6 s after the unlock, gone in 0.4 s, lock released after 1.4 s: without current")
def test_an_unlock_stops_most_cars() -> None:
    """One car stops before its lock opens; another opens it under load and goes on."""
    visit = replace(EVENING, unlock=3000.0)
    segments, events = course_of(VirtualCar(), [visit], seconds=6000.0)
    loaded, under_load = course_of(CARS["unlocks under load"], [visit], seconds=6000.0)

    assert happened(events, "unlock").current == pytest.approx(15.52)
    assert happened(events, "lock released") == CarEvent(kind="lock released", at=3001.4, current=0.0)
    assert current_at(segments, 3000.5) == pytest.approx(15.52)
    assert current_at(segments, 3001.1) == 0.0
    assert current_at(segments, 4900.0) == 0.0
    assert happened(under_load, "lock released").current == pytest.approx(15.52)
    assert current_at(loaded, 4900.0) == pytest.approx(15.52)


@pytest.mark.hand("20 s after the return, or not at all")
def test_after_an_outage_a_car_comes_back_or_not() -> None:
    """Without supply there is no current; afterwards habits differ. A car that was stopped stays stopped."""
    outage = [(1000.0, 1060.0)]
    back, events = course_of(VirtualCar(), [EVENING], seconds=6000.0, outages=outage)
    gone, _ = course_of(CARS["does not come back"], [EVENING], seconds=6000.0, outages=outage)
    unlocked, _ = course_of(VirtualCar(), [replace(EVENING, unlock=1030.0)], seconds=6000.0, outages=outage)

    assert current_at(back, 1030.0) == current_at(back, 1079.0) == 0.0
    assert current_at(back, 1200.0) == pytest.approx(15.52)
    assert current_at(gone, 1200.0) == current_at(unlocked, 1200.0) == 0.0
    for segments in (back, gone, unlocked):
        (lost,) = [one for one in segments if one.kind == "supply lost"]
        assert (lost.start, lost.end) == (1000.0, 1060.0)
    assert happened(events, "breaker off").current == pytest.approx(15.52)
    before, _ = course_of(VirtualCar(), [EVENING], seconds=6000.0, outages=[(2.0, 20.0), (5500.0, 5600.0)])
    assert kinds(before)[:3] == ["away", "supply lost", "resting"]
    assert kinds(before)[-3:] == ["away", "supply lost", "away"]


@pytest.mark.hand("3 A for 90 s every 2400 s")
def test_a_full_car_may_wake() -> None:
    """Standby that ticks: short draws after the end."""
    car = replace(CARS["wakes when full"], need=1.0)
    segments, _ = course_of(car, [replace(EVENING, unplugged=20_000.0)], seconds=30_000.0)
    ticks = [one for one in segments if one.kind == "level" and one.level == 3.0]

    assert len(ticks) >= 6
    for one, other in pairwise(ticks):
        assert other.start - one.start == pytest.approx(2400.0)
        assert one.end - one.start == pytest.approx(90.0)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_any_course_is_whole(seed: int) -> None:
    """Segments follow without gap or overlap, no current is below zero, nothing flows without supply or connector, and
    the charge is that of the current; a car takes no more than it needs but its taper's rest.
    """
    rng = np.random.default_rng(seed)
    car = draw_car(rng)
    edges = np.sort(rng.uniform(0.0, 40_000.0, 4))
    changes = np.sort(rng.uniform(0.0, 40_000.0, 4))
    offers = list(zip(changes.tolist(), rng.choice([0.0, 6.0, 10.0, 16.0, 32.0], 4).tolist(), strict=True))
    lost = np.sort(rng.uniform(0.0, 40_000.0, 4))
    visits = [
        Visit(plugged=a, unplugged=b, offer=offers, unlock=rng.uniform(a, b))
        for a, b in (edges[:2].tolist(), edges[2:].tolist())
    ]
    outages = [(lost[0], lost[1]), (lost[2], lost[3])]
    segments, _ = course_of(car, visits, seconds=40_000.0, outages=outages)

    assert segments[0].start == 0.0
    assert segments[-1].end == pytest.approx(40_000.0)
    for one, other in pairwise(segments):
        assert one.end == other.start
    for one in segments:
        middle, half = 0.5 * (one.start + one.end), 0.5 * (one.end - one.start)
        dead = any(a <= middle < b for a, b in outages)
        assert (one.kind == "supply lost") == dead
        for part in (0.0, half, 2.0 * half):
            assert -1e-9 <= one.current_at(part) <= car.most + 1e-9
        if dead or one.kind in ("away", "resting"):
            assert one.charge == 0.0
        if seed % 5 == 0:
            assert one.charge == pytest.approx(quad(one.current_at, 0.0, 2.0 * half)[0], rel=1e-6, abs=1e-9)


def test_cars_that_cannot_be_are_refused() -> None:
    """Unknown habits, a ramp of nothing, visits out of order."""
    with pytest.raises(UnknownName, match="Known: never, quickly, slowly"):
        VirtualCar(follows="perhaps")
    with pytest.raises(OutsideRange, match="ramp is 0"):
        VirtualCar(ramp=0.0)
    with pytest.raises(OutsideRange, match="share lies above 0"):
        VirtualCar(share=0.0)
    with pytest.raises(OutsideRange, match="visits must follow one another within the run of 100 s"):
        course_of(VirtualCar(), [EVENING], seconds=100.0)
    with pytest.raises(OutsideRange, match="outages must follow"):
        course_of(VirtualCar(), [EVENING], seconds=6000.0, outages=[(20.0, 10.0)])
