"""What the output did beside the pilot: operations, their limits, and what may be said of each."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from coldpin.pilot import OutputSensor, ScopeAccuracy, read_pilot
from coldpin.pilot.changes import PilotRun
from coldpin.pilot.delay import Chain
from coldpin.pilot.switching import find_switching
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.pilot import (
    Diode,
    LiveStretch,
    OutputKind,
    OutputReading,
    PilotReading,
    State,
    Switching,
    SwitchingEvent,
)
from coldpin.records.waveform import Waveform
from coldpin.simulator import Schedule, VirtualScope, VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.standards import Edition, load_book, parse_accuracy
from coldpin.standards.timing import switching_limits

BOOK = load_book()
CLOCK = ScopeAccuracy(timebase=parse_accuracy("50 ppm"), id="scope")
PROBE = OutputSensor(kind=OutputKind.MAINS, delay=Quantity(0.0, 0.0, "s"))
HALF_MS = 0.5e-3


def pilot(*stays: tuple[str, float], diode: dict[int, Diode] | None = None) -> tuple[list[PilotRun], float]:
    """Runs by state and length, each change within half a millisecond either way, and the length of all. [s]"""
    runs, now = [], 0.0
    for place, (state, seconds) in enumerate(stays):
        began = None if place == 0 else (now - HALF_MS, now + HALF_MS)
        kind = (diode or {}).get(place, Diode.PRESENT)
        runs.append(PilotRun(state=State(state), diode=kind, began=began, start_s=now, end_s=now + seconds))
        now += seconds
    return runs, now


def live(*stretches: tuple[float | None, float | None]) -> tuple[LiveStretch, ...]:
    """Stretches by the middle of their ends, each within 0.1 ms either way. [s]"""

    def at(instant: float | None) -> tuple[float, float] | None:
        return None if instant is None else (instant - 1e-4, instant + 1e-4)

    return tuple(
        LiveStretch(first_contact_s=at(a), closed_s=at(a), first_break_s=at(b), opened_s=at(b)) for a, b in stretches
    )


def events(
    stays: list[tuple[str, float]],
    *stretches: tuple[float | None, float | None],
    diode: dict[int, Diode] | None = None,
    kind: OutputKind = OutputKind.MAINS,
    sensor: OutputSensor = PROBE,
    accuracy: ScopeAccuracy | None = CLOCK,
    edition: Edition = Edition.IEC_3,
    doubt: str = "",
) -> dict[Switching, SwitchingEvent]:
    """What is found in a scene drawn by hand."""
    runs, duration = pilot(*stays, diode=diode)
    found = find_switching(
        runs,
        OutputReading(kind=kind, stated=True, live=live(*stretches), amplitude_v=325.0, doubt=doubt),
        duration=duration,
        limits=switching_limits(BOOK, edition),
        chain=Chain(sensor=sensor, kind=kind, accuracy=accuracy, name="capture"),
    )
    return {event.event: event for event in found}


def five(asking: float, entered: str, stays: float, opens: float, **more: object) -> dict[Switching, SwitchingEvent]:
    """Five times C2 for a time, then another state, the output dead a time after its beginning; live from 80 ms on."""
    period = asking + stays
    stretches = [(place * period + 0.08, place * period + asking + opens) for place in range(5)]
    scene = [("C2", asking), (entered, stays)] * 5
    return events(scene, *stretches, **more)  # type: ignore[arg-type]  # by name


def value(event: SwitchingEvent) -> float:
    """The worst delay. [s]"""
    assert event.delay_s is not None
    return event.delay_s.value


@pytest.mark.hand("a scene with each change in the middle of its span")
def test_a_sound_unit_closes_in_c_and_opens_on_b() -> None:
    """Two events, each delay from middle to middle, with limits of their own; once in time is not said to be within."""
    found = events([("B2", 1.0), ("C2", 2.0), ("B2", 1.0)], (1.08, 3.04))

    assert list(found) == [Switching.CLOSES_IN_C, Switching.OPENS_ON_B]
    closes, opens = found.values()
    assert value(closes) == pytest.approx(0.08)
    assert (closes.limit_s, closes.limit_kind, closes.outcome) == (3.0, "max", "undecided")
    assert value(opens) == pytest.approx(0.04)
    assert (opens.limit_s, opens.outcome, opens.limit) == (0.1, "undecided", "timing.open-on-S2")
    assert (opens.state_from, opens.state_to) == (State.C2, State.B2)
    assert opens.delay_s is not None
    assert opens.delay_s.u == pytest.approx(np.hypot(HALF_MS, 1e-4) / np.sqrt(3.0), rel=0.01)
    assert "1 operation, where at least 5" in opens.why


@pytest.mark.published("limits as in timing.*: IEC 61851-1:2017 Table A.6, SAE J1772 (secondary text)")
@pytest.mark.parametrize(
    ("entered", "event", "limit"),
    [
        ("A2", Switching.OPENS_ON_A, 0.1),
        ("B2", Switching.OPENS_ON_B, 0.1),
        ("E", Switching.OPENS_ON_SHORT, 3.0),
        ("D2", Switching.OPENS_ON_D, 3.0),
        ("F", Switching.OPENS_ON_FAULT, None),
    ],
)
def test_each_limit_is_kept_apart(entered: str, event: Switching, limit: float | None) -> None:
    """A quarter of a second is too long on A and B, and well within on a short or a request for ventilation."""
    found = five(1.0, entered, 4.0, 0.25)[event]

    assert value(found) == pytest.approx(0.25)
    assert found.limit_s == limit
    assert found.outcome == {0.1: "beyond", 3.0: "within", None: "not_applicable"}[limit]


@pytest.mark.published("at least 6 s (IEC 61851-1:2017), 3 s (SAE J1772), secondary texts")
@pytest.mark.parametrize(
    ("edition", "stayed", "outcome"),
    [
        (Edition.IEC_3, 5.0, "beyond"),
        (Edition.IEC_3, 6.1, "within"),
        (Edition.SAE, 5.0, "within"),
        (Edition.SAE, 2.0, "beyond"),
    ],
)
def test_opening_under_load_has_a_shortest_time(edition: Edition, stayed: float, outcome: str) -> None:
    """While the vehicle stays in C1 the contactor may not open before its time."""
    found = five(1.0, "C1", 8.0, stayed, edition=edition)

    assert found[Switching.OPENS_ON_OSCILLATOR_OFF].outcome == outcome
    assert found[Switching.OPENS_ON_OSCILLATOR_OFF].limit_kind == "min"


def test_a_vehicle_that_leaves_c1_asks_for_opening_itself() -> None:
    """From C1 to B1 the limit is that of opening on B, without the oscillator; the minimum says nothing then."""
    found = events([("C2", 1.0), ("C1", 1.0), ("B1", 1.0)], (None, 2.05))

    assert list(found) == [Switching.OPENS_ON_B]
    assert found[Switching.OPENS_ON_B].limit == "timing.open-on-S2-without-oscillator"


def test_a_toggle_does_not_ask_for_power() -> None:
    """States C of 0.3 s in which the output stays dead are a wake-up, not a failure to close."""
    assert events([("B2", 1.0), ("C2", 0.3), ("B2", 0.3), ("C2", 0.3), ("B2", 1.0)]) == {}


@pytest.mark.parametrize(("last", "outcome"), [(2.0, "undecided"), (4.0, "beyond")])
def test_what_never_followed_is_at_least_as_long(last: float, outcome: str) -> None:
    """Where the capture ended first the delay has no upper end: beyond where its limit had passed."""
    closes = events([("B2", 1.0), ("C2", last)])[Switching.CLOSES_IN_C]

    assert closes.outcome == outcome
    assert closes.delay_s is not None
    assert closes.delay_s.low == pytest.approx(last, abs=1e-3)
    assert closes.delay_s.high is None
    assert "at least" in closes.why


def test_why_a_watch_longer_than_its_limit_is_undecided() -> None:
    """Half a second live in B is no early end: a sensor nobody stated may be that late, a stated one is not."""
    scene = [("C2", 1.0), ("B2", 0.5)]
    unstated = OutputSensor(kind=OutputKind.MAINS, delay=None)
    short = events(scene, (None, None), sensor=unstated)[Switching.OPENS_ON_B]
    stated = events(scene, (None, None))[Switching.OPENS_ON_B]

    assert (short.outcome, stated.outcome) == ("undecided", "beyond")
    assert "delay of the output's sensor not stated" in short.why
    assert "ended before" not in short.why


def test_the_worst_of_five_is_judged_and_all_are_shown() -> None:
    """One late opening among five decides; the delays stand in order of time."""
    stays, stretches, now = [("B2", 1.0)], [], 1.0
    delays = [0.03, 0.04, 0.24, 0.035, 0.05]
    for delay in delays:
        stays += [("C2", 1.0), ("B2", 1.0)]
        stretches.append((now + 0.08, now + 1.0 + delay))
        now += 2.0
    found = events(stays, *stretches)
    opens = found[Switching.OPENS_ON_B]

    assert [delay.value for delay in opens.delays_s] == pytest.approx(delays)
    assert value(opens) == pytest.approx(0.24)
    assert (opens.outcome, opens.operations) == ("beyond", 5)
    assert "wanted" not in opens.why
    assert found[Switching.CLOSES_IN_C].outcome == "within"


@pytest.mark.parametrize(
    ("stays", "event"),
    [
        ([("A1", 1.0)], Switching.LIVE_IN_A),
        ([("B2", 1.0)], Switching.LIVE_IN_B),
        ([("E", 5.0)], Switching.LIVE_ON_SHORT),
        ([("F", 5.0)], Switching.LIVE_IN_F),
    ],
)
def test_live_where_it_must_be_dead(stays: list[tuple[str, float]], event: Switching) -> None:
    """Live all along: beyond, from the moment the time to open had passed; undecided where the channel is in doubt."""
    found = events(stays, (None, None))

    assert list(found) == [event]
    assert found[event].outcome == "beyond"
    assert found[event].delay_s is None
    assert found[event].at_s == pytest.approx([0.1 if stays[0][0][0] in "AB" else 3.0])
    assert found[event].why == f"output live in {stays[0][0][0]}, once, for {stays[0][1]:.2g} s"
    doubted = events(stays, (None, None), doubt="it may be coupling")[event]
    assert (doubted.outcome, "it may be coupling" in doubted.why) == ("undecided", True)


def test_how_often_and_how_long_it_was_live() -> None:
    """Three times in B: the longest is told."""
    found = events([("B2", 5.0)], (0.5, 0.7), (1.5, 2.0), (3.0, 3.1))[Switching.LIVE_IN_B]

    assert found.why == "output live in B, 3 times, the longest for 0.5 s"


def test_the_time_to_open_is_not_live_in_b() -> None:
    """An output that opens in B, however late, is not live in B; one that stays or closes there is, or one in C1."""
    assert Switching.LIVE_IN_B not in events([("C2", 1.0), ("B2", 1.0)], (None, 1.09))
    assert Switching.LIVE_IN_B not in events([("C2", 1.0), ("B2", 1.0)], (None, 1.3))
    assert Switching.LIVE_IN_B not in events([("C2", 1.0), ("B2", 0.2), ("A2", 1.0)], (None, 1.3))
    assert Switching.LIVE_IN_B in events([("C2", 1.0), ("B2", 0.2), ("C2", 1.0)], (None, 1.3))
    assert Switching.LIVE_IN_B in events([("C2", 1.0), ("B2", 1.0)], (None, None))
    assert Switching.LIVE_IN_B in events([("B2", 1.0)], (0.5, 0.7))
    assert Switching.LIVE_IN_C1 in events([("B1", 1.0), ("C1", 1.0)], (1.5, None))
    assert Switching.LIVE_IN_C1 not in events([("C2", 1.0), ("C1", 1.0)], (None, None))


def test_the_diode() -> None:
    """Closing without a diode is beyond; losing it has no limit, whether the output opens or stays."""
    bare = events([("B2", 1.0), ("C2", 1.0)], (1.1, None), diode={0: Diode.ABSENT, 1: Diode.ABSENT})
    opens = events([("C2", 1.0), ("C2", 1.0)], (None, 1.2), diode={1: Diode.ABSENT})
    stays = events([("C2", 1.0), ("C2", 1.0)], (None, None), diode={1: Diode.ABSENT})

    assert bare[Switching.LIVE_WITHOUT_DIODE].outcome == "beyond"
    assert Switching.CLOSES_IN_C not in bare
    assert value(opens[Switching.OPENS_ON_DIODE_LOSS]) == pytest.approx(0.2)
    assert opens[Switching.OPENS_ON_DIODE_LOSS].outcome == "not_applicable"
    assert stays[Switching.OPENS_ON_DIODE_LOSS].why.startswith("live throughout; no text known to us limits it")
    assert "wanted" not in stays[Switching.OPENS_ON_DIODE_LOSS].why
    assert bare[Switching.LIVE_WITHOUT_DIODE].why == "output live in C, once, for 0.9 s"


def test_a_coil_shows_no_contacts() -> None:
    """Seen at the coil, a quick opening is undecided: contacts may weld; a late one is beyond."""
    quick = five(1.0, "B2", 1.0, 0.02, kind=OutputKind.COIL)
    late = events([("C2", 1.0), ("B2", 1.0)], (None, 1.2), kind=OutputKind.COIL)

    assert quick[Switching.OPENS_ON_B].outcome == "undecided"
    assert "weld" in quick[Switching.OPENS_ON_B].why
    assert late[Switching.OPENS_ON_B].outcome == "beyond"


def test_what_is_not_stated_is_never_taken_as_perfect() -> None:
    """Nobody stated the sensor's delay: no uncertainty; quick is quick all the same, late may be the sensor."""
    unknown = OutputSensor()
    quick = five(1.0, "B2", 1.0, 0.02, sensor=unknown)[Switching.OPENS_ON_B]
    late = events([("C2", 1.0), ("B2", 1.0)], (None, 1.2), sensor=unknown)[Switching.OPENS_ON_B]
    near = events([("C2", 1.0), ("B2", 1.0)], (None, 1.0985), accuracy=None)[Switching.OPENS_ON_B]

    assert quick.delay_s is not None
    assert (quick.delay_s.u, quick.outcome) == (None, "within")
    assert (late.outcome, near.outcome) == ("undecided", "undecided")
    assert "sensor" in late.why
    assert "timebase" in near.why


@pytest.mark.hand("117 ms watched against 0.1 s, less a sensor that shows up to half a second late, or 15 ms and more")
@pytest.mark.parametrize("delay", [None, Quantity(15e-3, None, "s")])
def test_a_sensor_nobody_stated_makes_no_late_opening(delay: Quantity | None) -> None:
    """What was seen live for a little longer than allowed may have been dead; seen live for long, it was live."""
    sensor = OutputSensor(delay=delay)
    short = events([("C2", 1.0), ("B2", 0.117)], (None, None), sensor=sensor)[Switching.OPENS_ON_B]
    long = events([("C2", 1.0), ("B2", 4.0)], (None, None), sensor=sensor)[Switching.OPENS_ON_B]

    assert short.outcome == "undecided"
    assert "sensor" in short.why
    assert short.delay_s is not None
    assert short.delay_s.low is not None
    assert short.delay_s.low < 0.0
    assert long.outcome == "beyond"
    assert events([("C2", 1.0), ("B2", 0.117)], (None, None))[Switching.OPENS_ON_B].outcome == "beyond"


@pytest.mark.hand("2 ms ± 1 ms is rectangular: 1 ms over the root of three")
def test_the_delay_of_the_sensor_is_in_the_budget() -> None:
    """It is taken out, and its limits go into the uncertainty."""
    sensor = OutputSensor(delay=parse_quantity("2 ms ± 1 ms", "s", id="output sensor: delay"))
    opens = events([("C2", 1.0), ("B2", 1.0)], (None, 1.05), sensor=sensor)[Switching.OPENS_ON_B]

    assert value(opens) == pytest.approx(0.048)
    assert opens.delay_s is not None
    assert opens.delay_s.u == pytest.approx(np.sqrt(HALF_MS**2 + 1e-4**2 + 1e-3**2) / np.sqrt(3.0), rel=0.01)
    assert any(part.id == "output sensor: delay" for part in opens.delay_s.components)


@pytest.mark.hand("four and five operations, all in time; one that is not")
@pytest.mark.parametrize(
    ("times", "opens", "outcome"), [(4, 0.05, "undecided"), (5, 0.05, "within"), (1, 0.2, "beyond")]
)
def test_within_needs_five_operations_and_beyond_one(times: int, opens: float, outcome: str) -> None:
    """A contact that sticks now and then is seen by chance: the reading says no more than the check."""
    stretches = [(2.0 * place + 0.08, 2.0 * place + 1.0 + opens) for place in range(times)]
    found = events([("C2", 1.0), ("B2", 1.0)] * times, *stretches)[Switching.OPENS_ON_B]

    assert found.outcome == outcome
    assert ("where at least 5 are wanted" in found.why) is (times < 5)


@pytest.mark.hand("the output 0.1 ms after the pilot, and a relay's 30 ms")
def test_an_output_that_goes_dead_with_the_rails_did_not_open() -> None:
    """Pilot and output at 0 V together: the supply went; a unit that answers a shorted pilot takes a contact's time."""
    supply = events([("C2", 1.0), ("E", 2.0)], (None, 1.0001))
    sensed = events([("C2", 1.0), ("E", 2.0)], (None, 1.02), sensor=OutputSensor(delay=Quantity(0.02, 0.001, "s")))

    for found in (supply, sensed):
        assert list(found) == [Switching.OPENS_UNASKED]
        assert "supply" in found[Switching.OPENS_UNASKED].why
    assert list(events([("C2", 1.0), ("E", 2.0)], (None, 1.03))) == [Switching.OPENS_ON_SHORT]


@pytest.mark.independent("simulator: its supply is taken away, or its pilot shorted")
@pytest.mark.parametrize(
    ("load", "event"), [("C, supply off", Switching.OPENS_UNASKED), ("E", Switching.OPENS_ON_SHORT)]
)
def test_a_lost_supply_is_no_shorted_pilot(load: str, event: Switching) -> None:
    """Both leave the pilot at 0 V and the output dead."""
    reading, _ = captured([(0.2, "B"), (0.6, "C"), (0.5, load)])

    assert [one.event for one in reading.switching] == [Switching.CLOSES_IN_C, event]


def test_ventilation() -> None:
    """A unit that stays live in D is right if it is meant for it; one that opened another time is not."""
    stays = events([("C2", 1.0), ("D2", 5.0)], (None, None))[Switching.OPENS_ON_D]
    both = events([("C2", 1.0), ("D2", 2.0), ("B2", 1.0), ("C2", 1.0), ("D2", 5.0)], (None, 1.5), (4.1, None))[
        Switching.OPENS_ON_D
    ]

    assert stays.outcome == "not_applicable"
    assert both.outcome == "beyond"


def test_closing_in_d_is_not_within() -> None:
    """Five quick closings are right only for a unit meant for ventilated places, which no capture shows."""
    scene = [("B2", 1.0), ("D2", 1.0)] * 5
    stretches = [(2.0 * place + 1.1, 2.0 * place + 2.05) for place in range(5)]
    closes = events([*scene, ("B2", 1.0)], *stretches)[Switching.CLOSES_IN_D]
    asked = events([("B2", 1.0), ("C2", 1.0)] * 5 + [("B2", 1.0)], *stretches)[Switching.CLOSES_IN_C]

    assert (closes.outcome, closes.operations, asked.outcome) == ("undecided", 5, "within")
    assert closes.why == "closed in D, which is right only for a unit meant for ventilated places"


@pytest.mark.hand("a short of 2 s where 3 s are allowed")
def test_a_short_let_go_before_its_limit_is_told() -> None:
    """At least 2 s, undecided; a bounce is not told, and shorts held long enough are judged without the brief one."""
    brief = events([("C2", 1.0), ("E", 2.0), ("C2", 1.0)], (None, None))[Switching.OPENS_ON_SHORT]
    scene = [("C2", 1.0), ("E", 4.0)] * 5
    stretches = [(5.0 * place + 0.08, 5.0 * place + 1.2) for place in range(5)]
    both = events([*scene, ("C2", 1.0), ("E", 2.0), ("C2", 1.0)], *stretches, (25.08, None))[Switching.OPENS_ON_SHORT]

    assert brief.outcome == "undecided"
    assert brief.delay_s is not None
    assert brief.delay_s.low == pytest.approx(2.0, abs=2e-3)
    assert (brief.delay_s.high, brief.limit_s) == (None, 3.0)
    assert "held too briefly" in brief.why
    assert Switching.OPENS_ON_SHORT not in events([("C2", 1.0), ("E", 0.05), ("C2", 1.0)], (None, None))
    assert (both.outcome, both.operations) == ("within", 5)


def test_a_passage_outside_all_windows_belongs_to_the_change() -> None:
    """A plug that is pulled passes levels outside all windows: the change to A may be anywhere in them."""
    opens = events([("C2", 1.0), ("undefined", 0.01), ("A2", 1.0)], (None, 1.05))[Switching.OPENS_ON_A]
    fault = events([("C2", 1.0), ("undefined", 1.0)], (None, 1.05))

    assert value(opens) == pytest.approx(0.045)
    assert list(fault) == [Switching.OPENS_ON_FAULT]


def test_opening_unasked_is_told() -> None:
    """An output that opens while the pilot still asks has no limit; if F follows it was a fault."""
    assert events([("C2", 2.0)], (None, 1.0))[Switching.OPENS_UNASKED].outcome == "not_applicable"
    assert value(events([("C2", 2.0), ("F", 1.0)], (None, 1.9))[Switching.OPENS_ON_FAULT]) == pytest.approx(-0.1)


def captured(
    schedule: Schedule, unit: VirtualUnit | None = None, *, seed: int = 3, interval: float = 20e-6
) -> tuple[PilotReading, tuple[tuple[float, bool], ...]]:
    """A simulated capture, read, and when its output was truly switched. [s]"""
    bench = set_up_bench(VirtualScope(), seed=seed)
    capture = simulate_capture(
        unit or VirtualUnit(), VirtualVehicle(), schedule, bench, seed=seed, sample_interval=interval, with_output=True
    )
    reading = read_pilot(capture.waveform, book=BOOK, edition=Edition.IEC_3, accuracy=CLOCK, sensor=PROBE)
    return reading, capture.truth.switching


@pytest.mark.independent("simulator: its controller switches by itself, and its truth holds the instants")
@pytest.mark.parametrize("seed", range(4))
def test_delays_of_a_simulated_unit(seed: int) -> None:
    """Each delay's 95 % interval holds the true one, from the change of load to the contacts."""
    schedule = [(0.2, "B"), *itertools.chain(*([(0.3, "C"), (0.2, "B")] for _ in range(5)))]
    reading, truth = captured(schedule, seed=seed)
    changes = np.cumsum([seconds for seconds, _ in schedule])[:-1]
    true = [instant - changes[np.searchsorted(changes, instant) - 1] for instant, _ in truth]
    found = {event.event: event for event in reading.switching}
    wide = 0
    for event, delays in ((Switching.CLOSES_IN_C, true[0::2]), (Switching.OPENS_ON_B, true[1::2])):
        assert found[event].operations == 5
        assert found[event].outcome == "within"
        for measured, exact in zip(found[event].delays_s, delays, strict=True):
            assert measured.low is not None
            assert measured.high is not None
            wide += not measured.low <= exact <= measured.high
            assert abs(measured.value - exact) < 1.5e-3

    assert wide <= 1, "of ten intervals at 95 % more than one missing is rare"


@pytest.mark.independent("simulator")
def test_live_all_along_is_seen_in_every_state() -> None:
    """A bare lead is live in A and in B, and opens on nothing."""
    reading, _ = captured(
        [(0.3, "A"), (0.3, "B"), (0.3, "C"), (0.3, "B"), (0.3, "A")], VirtualUnit(output="always live")
    )
    found = {event.event: event.outcome for event in reading.switching}

    assert found[Switching.LIVE_IN_A] == "beyond"
    assert found[Switching.LIVE_IN_B] == "beyond"
    assert found[Switching.OPENS_ON_B] == "beyond"


@pytest.mark.hand("cycles whose low level rises to the mirrored one in the middle of C")
def test_a_lost_diode_splits_the_run() -> None:
    """The state stays C2; the low level tells when the diode went, and the run's figures are those of each part."""
    cycle = np.repeat([6.0, -12.0], [16, 44])
    bare = np.repeat([6.0, -6.0], [16, 44])
    voltage = np.concatenate([np.tile(cycle, 300), np.tile(bare, 300)]) + np.random.default_rng(1).normal(
        0.0, 0.02, 36000
    )
    interval = 1e-3 / 60.0
    time = np.arange(voltage.size) * interval
    output = np.where(time < 0.4, 325.0 * np.sin(2.0 * np.pi * 50.0 * time), 0.0)
    reading = read_pilot(
        Waveform(voltage=voltage, sample_interval=interval, output=output),
        book=BOOK,
        edition=Edition.IEC_3,
        accuracy=CLOCK,
        sensor=PROBE,
    )
    (event,) = reading.switching

    assert [(run.state, run.diode) for run in reading.runs] == [
        (State.C2, Diode.PRESENT),
        (State.C2, Diode.ABSENT),
    ]
    assert event.event is Switching.OPENS_ON_DIODE_LOSS
    assert event.at_s[0] == pytest.approx(0.3, abs=1e-3)
    assert value(event) == pytest.approx(0.1, abs=1e-3)


@pytest.mark.hand("the same on a negative rail of −10.4 V, which is in no window")
def test_a_lost_diode_on_a_weak_rail() -> None:
    """A weak rail is no mirror image: the run is split all the same, and staying live is told."""
    cycle, bare = np.repeat([6.0, -10.4], [16, 44]), np.repeat([6.0, -5.6], [16, 44])
    voltage = np.concatenate([np.tile(cycle, 300), np.tile(bare, 300)])
    voltage += np.random.default_rng(1).normal(0.0, 0.02, voltage.size)
    interval = 1e-3 / 60.0
    output = 325.0 * np.sin(2.0 * np.pi * 50.0 * np.arange(voltage.size) * interval)
    reading = read_pilot(
        Waveform(voltage=voltage, sample_interval=interval, output=output), book=BOOK, edition=Edition.IEC_3
    )
    (event,) = reading.switching

    assert [run.diode for run in reading.runs] == [Diode.UNKNOWN, Diode.ABSENT]
    assert event.event is Switching.OPENS_ON_DIODE_LOSS
    assert "live throughout" in event.why


@pytest.mark.parametrize(
    "output",
    [
        np.zeros(20000),
        np.full(20000, np.nan),
        np.zeros(10),
        np.zeros(0),
        np.where(np.arange(20000) < 9000, np.nan, np.sin(np.arange(20000) / 50.0)),
    ],
)
def test_poor_outputs_do_no_harm(output: np.ndarray) -> None:
    """An output that is empty, missing, short or zero leaves the pilot's reading as it was."""
    pilot_alone = Waveform(voltage=np.tile(np.repeat([9.0, -12.0], [5, 15]), 1000), sample_interval=5e-5)
    alone = read_pilot(pilot_alone, book=BOOK, edition=Edition.IEC_3)
    beside = read_pilot(replace(pilot_alone, output=output), book=BOOK, edition=Edition.IEC_3)

    assert alone.switching == ()
    assert alone.output is None
    assert beside.runs == alone.runs
    assert all(event.event is Switching.LIVE_IN_B for event in beside.switching)
