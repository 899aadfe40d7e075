"""Charges of virtual cars, which share no formula with the analysis: phases, edges, energy, and each car's habit."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest

from coldpin.quantity import Quantity, rectangular
from coldpin.records.session import ClockOffset, EventMark, MarkKind, PhaseKind, Reaction, SessionReading
from coldpin.session.reading import Asked, read_session
from coldpin.simulator.car import CARS, VirtualCar, Visit, draw_car
from coldpin.simulator.charge import MarkClock, SimulatedCharge, log_charge, month_of_charging
from coldpin.simulator.charge_line import VirtualSupply
from coldpin.simulator.logger import VirtualLogger
from tests.session.charges import METER

CHANGES = ("ramp", "taper")
LOWERED = 1200.0
UNLOCK = 3900.0
WATCH = 37.0
"""By how much the watch of whoever marks is ahead of the log's clock. [s]"""

MARKS = {
    "offer lowered": MarkKind.OFFER_LOWERED,
    "unlock": MarkKind.UNLOCK,
    "lock released": MarkKind.LOCK_RELEASED,
    "unplugged": MarkKind.PLUG_PULLED,
}


def random_charge(seed: int) -> SimulatedCharge:
    """A car of some habit, an offer that is lowered, on every other run a lost supply, rows at 1 s, 2 s or 5 s."""
    random = np.random.default_rng(seed)
    car = draw_car(random)
    offers = [(0.0, float(random.choice([10.0, 16.0, 32.0]))), (LOWERED, float(random.choice([6.0, 8.0])))]
    visit = Visit(plugged=float(random.uniform(20.0, 90.0)), unplugged=4000.0, offer=offers, unlock=UNLOCK)
    lost = [(2000.0, 2000.0 + float(random.uniform(15.0, 300.0)))] if seed % 2 else []
    interval = (1.0, 2.0, 5.0)[seed % 3]
    return log_charge(
        car,
        [visit],
        seconds=4100.0,
        seed=seed,
        supply=VirtualSupply(outages=lost),
        logger=VirtualLogger(interval=interval, dropout=0.01 * (seed % 4)),
    )


def settled(kinds: list[str]) -> list[str]:
    """The kinds without the changes between levels: a step has none, a slow ramp one, a quick one perhaps."""
    return [kind for kind in kinds if kind not in CHANGES]


@pytest.mark.independent("virtual cars, supply, meter and logger of their own equations")
def test_the_phases_of_virtual_charges_are_found(
    proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """Every kind in order, the true energy in its interval, and edges in their brackets, but for the foot of a ramp."""
    runs = 400 if proving else 24
    outside, far, edges, in_interval = 0, 0.0, 0, 0
    for seed in range(runs):
        charge = random_charge(seed)
        told = read_session(charge.log, Asked(meter=METER))
        true = [phase for phase in charge.truth.phases if phase.kind not in CHANGES]
        found = [phase for phase in told.phases if phase.kind is not PhaseKind.RAMP]

        assert [phase.kind.value for phase in found] == [phase.kind for phase in true], seed
        assert len(told.outages) == len(charge.truth.outages), seed
        low, high = told.energy_wh.low, told.energy_wh.high
        assert low is not None
        assert high is not None
        in_interval += low <= charge.truth.energy_wh <= high
        for phase, truth in zip(found, true, strict=True):
            first, last = phase.start_bracket_s
            beside = max(first - truth.start_s, truth.start_s - last, 0.0) / told.source.usual_interval_s
            edges, outside, far = edges + 1, outside + (beside > 1e-6), max(far, beside)

    measured("edges of phases of virtual charges outside their brackets", 100.0 * outside / edges, "%", "≤ 5 %")
    measured("farthest edge beside its bracket", far, "rows", "≤ 6 rows")
    assert outside <= 0.05 * edges
    assert far <= 6.0
    assert in_interval == runs


@pytest.mark.independent("a virtual month with charges on most evenings and two losses of the supply")
@pytest.mark.parametrize("seed", [1, 2])
def test_a_month_is_read_whole(seed: int, proving: bool) -> None:
    """Every charge, every pause, every loss, and the energy."""
    month = month_of_charging(seed, days=30 if proving else 10, interval=10.0)
    told = read_session(month.log, Asked(meter=METER))
    low, high = told.energy_wh.low, told.energy_wh.high

    assert settled([phase.kind.value for phase in told.phases]) == settled([phase.kind for phase in month.truth.phases])
    assert low is not None
    assert high is not None
    assert low <= month.truth.energy_wh <= high


@cache
def told_of(habit: str) -> SessionReading:
    """The reading of a car of one habit, its marks by a watch that is ahead, its offset known to a second."""
    car: VirtualCar = CARS[habit]
    visit = Visit(plugged=60.0, unplugged=4000.0, offer=[(0.0, 16.0), (LOWERED, 8.0)], unlock=UNLOCK)
    clock = MarkClock(offset=WATCH)
    charge = log_charge(
        car, [visit], seconds=4100.0, seed=5, supply=VirtualSupply(outages=[(2000.0, 2120.0)]), clock=clock
    )
    marks = tuple(
        EventMark(
            kind=MARKS[mark.kind],
            at_s=rectangular(mark.shown_s, clock.step, "s", id=f"hand {mark.shown_s:g}"),
            clock="watch",
            offer_a=Quantity(8.0, 0.05, "A") if mark.kind == "offer lowered" else None,
        )
        for mark in charge.marks
        if mark.kind in MARKS
    )
    offset = ClockOffset(
        clock="watch", mark=MarkKind.OTHER, offset_s=rectangular(-WATCH, 0.5, "s", id="offset of the watch")
    )
    return read_session(
        charge.log,
        Asked(meter=METER, offer=Quantity(16.0, 0.05, "A"), marks=marks, offsets=(offset,), follow_s=5.0),
    )


def reaction(habit: str, kind: MarkKind) -> Reaction:
    """What followed one kind of event."""
    return next(one for one in told_of(habit).reactions if one.mark is kind)


def after(habit: str, kind: MarkKind) -> Quantity:
    """How long it took. [s]"""
    found = reaction(habit, kind).after_s
    assert found is not None
    return found


@pytest.mark.independent("cars of the simulator by their habits")
def test_a_prompt_car_follows_and_a_deaf_one_does_not() -> None:
    """The lowered offer: within seconds, later than five, or never while it was watched."""
    prompt, slow, deaf = (
        after(car, MarkKind.OFFER_LOWERED) for car in ("prompt", "slow to follow", "deaf to the offer")
    )

    assert prompt.high is not None
    assert slow.low is not None
    assert prompt.high < 5.0 < slow.low
    assert deaf.u is None
    assert "drew more than that for all of the" in reaction("deaf to the offer", MarkKind.OFFER_LOWERED).statement


@pytest.mark.independent("cars of the simulator by their habits")
def test_a_car_that_takes_more_than_offered_is_beyond() -> None:
    """Six per cent above the offer, where the meter is known to one; the prompt car keeps to it."""
    assert {one.outcome for one in told_of("takes more than offered").offer} == {"beyond"}
    assert {one.outcome for one in told_of("prompt").offer} == {"within"}


@pytest.mark.independent("cars of the simulator by their habits")
def test_a_car_that_unlocks_under_load_is_seen_by_its_current_at_release() -> None:
    """The other stops first; the marks are a second wide, and the largest current within counts."""
    under_load = reaction("unlocks under load", MarkKind.LOCK_RELEASED).current_at_a
    after_all = reaction("prompt", MarkKind.PLUG_PULLED).current_at_a

    assert under_load is not None
    assert after_all is not None
    assert under_load.value == pytest.approx(0.97 * 8.0, abs=0.2)
    assert after_all.value < 0.25


@pytest.mark.independent("cars of the simulator by their habits")
def test_what_follows_a_lost_supply_is_the_cars_habit() -> None:
    """One draws again after twenty seconds and its ramp begins, the other never."""
    again = after("prompt", MarkKind.BREAKER_ON)

    assert again.value == pytest.approx(20.0, abs=2.0)
    assert after("does not come back", MarkKind.BREAKER_ON).u is None


@pytest.mark.independent("cars of the simulator by their habits")
def test_from_unlock_to_no_current() -> None:
    """The prompt car stops after six tenths of a second, which a row each second and a watch see within seconds."""
    stopped = after("prompt", MarkKind.UNLOCK)

    assert reaction("prompt", MarkKind.UNLOCK).followed_by in (PhaseKind.ENDED, PhaseKind.PAUSED)
    assert stopped.low is not None
    assert stopped.high is not None
    assert stopped.low <= 0.6 <= stopped.high
