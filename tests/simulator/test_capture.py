"""Virtual captures: seeds, phases, truth beside the samples, and the scope's own part."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from coldpin.errors import OutsideRange
from coldpin.simulator import (
    FAULTS,
    Controller,
    Relay,
    Schedule,
    SimulatedCapture,
    VirtualScope,
    VirtualUnit,
    VirtualVehicle,
    draw_unit,
    draw_vehicle,
    repeated,
    set_up_bench,
    simulate_capture,
    simulate_waveform,
)

STEPS: Schedule = [(0.05, "A"), (0.1, "B"), (0.1, "C"), (0.05, "D"), (0.05, "B"), (0.05, "A")]
IDEAL = VirtualScope(
    bits=24, noise=0.0, output_noise=0.0, gain_limit=0.0, offset_limit=0.0, timebase_limit=0.0, bandwidth=math.inf
)


def captured(
    unit: VirtualUnit | None = None,
    vehicle: VirtualVehicle | None = None,
    schedule: Schedule = STEPS,
    *,
    scope: VirtualScope = IDEAL,
    bench: int = 1,
    seed: int = 1,
    sample_interval: float = 4.0e-6,
) -> SimulatedCapture:
    return simulate_capture(
        unit or VirtualUnit(),
        vehicle or VirtualVehicle(),
        schedule,
        set_up_bench(scope, seed=bench),
        seed=seed,
        sample_interval=sample_interval,
        with_output=True,
    )


def rising_crossings(capture: SimulatedCapture) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    voltage = capture.waveform.voltage
    at = np.flatnonzero((voltage[:-1] <= 0.0) & (voltage[1:] > 0.0))
    part = -voltage[at] / (voltage[at + 1] - voltage[at])
    crossings: np.ndarray[tuple[int], np.dtype[np.float64]] = (at + part) * capture.waveform.sample_interval
    return crossings


@pytest.mark.hand("the same seeds are the same draws")
def test_seeds_make_captures_again() -> None:
    """The same seeds give the same samples; another seed gives another phase and other noise."""
    noisy = VirtualScope()
    one, again, other = (captured(scope=noisy, seed=seed) for seed in (7, 7, 8))

    assert np.array_equal(one.waveform.voltage, again.waveform.voltage)
    assert one.waveform.output is not None
    assert again.waveform.output is not None
    assert np.array_equal(one.waveform.output, again.waveform.output)
    assert not np.array_equal(one.waveform.voltage, other.waveform.voltage)
    assert one.truth == again.truth == other.truth


@pytest.mark.hand("frequency and schedule as given")
def test_truth_says_what_the_samples_show() -> None:
    """Where the truth says a run oscillates the samples cross zero as often as the frequency says, and nowhere else."""
    capture = captured(VirtualUnit(frequency=940.0))
    crossings = rising_crossings(capture)

    assert [run.state for run in capture.truth.runs] == ["A1", "B1", "B2", "C2", "D2", "B2", "A2", "A1"]
    for run in capture.truth.runs:
        # The change to a run may itself pass through zero: it is over after a few time constants of 2 µs.
        inside = crossings[(crossings > run.start + 2e-5) & (crossings < run.end)]
        if run.frequency is None:
            assert inside.size == 0
            assert run.low is None
            continue
        assert inside.size == pytest.approx((run.end - run.start) * 940.0, abs=1.0)
        period = (inside[-1] - inside[0]) / (inside.size - 1)
        assert period == pytest.approx(1.0 / 940.0, abs=capture.waveform.sample_interval / (inside.size - 1))


@pytest.mark.independent("plateaus taken from the samples by selection, levels by a root finder")
def test_settled_samples_lie_at_the_true_levels() -> None:
    """Away from edges every sample of a run lies at its true high or low level."""
    capture = captured()
    times = capture.waveform.sample_interval * np.arange(capture.waveform.samples)
    for run in capture.truth.runs:
        inside = capture.waveform.voltage[(times > run.start + 1e-3) & (times < run.end - 1e-3)]
        levels = [run.high] if run.low is None else [run.high, run.low]
        nearest = np.min([np.abs(inside - level) for level in levels], axis=0)
        assert np.mean(nearest < 1e-4) > 0.9 if run.low is not None else np.all(nearest < 1e-4)


@pytest.mark.hand("duty counted on the samples between interpolated crossings")
def test_samples_carry_the_true_duty() -> None:
    """On a quiet fine scope the part of the samples above zero is the true duty."""
    capture = captured(schedule=[(0.2, "C")], sample_interval=9.7e-7)
    (run,) = capture.truth.runs
    times = rising_crossings(capture)
    whole = slice(*(round(at / 9.7e-7) for at in (times[0], times[-1])))

    assert run.duty is not None
    assert run.duty < capture.truth.duty_set
    assert 100.0 * np.mean(capture.waveform.voltage[whole] > 0.0) == pytest.approx(run.duty, abs=0.01)


@pytest.mark.hand("a phase is uniform over the period: the mean of 400 lies within 5 standard errors of the middle")
def test_phase_is_random() -> None:
    """The first rise falls anywhere in the period, from capture to capture."""
    first = [rising_crossings(captured(schedule=[(0.003, "B")], seed=seed))[0] for seed in range(400)]

    assert 0.0 <= min(first) < 0.05e-3
    assert 0.95e-3 < max(first) <= 1.01e-3
    assert np.mean(first) == pytest.approx(0.5e-3, abs=5.0 * 1.0e-3 / math.sqrt(12.0 * 400.0))


@pytest.mark.hand("standard deviation of a period is √2 times that of an edge")
def test_jitter_moves_each_edge_for_itself() -> None:
    """Jitter widens the spread of periods by √2 and leaves their mean."""
    capture = captured(VirtualUnit(jitter=5.0e-6), schedule=[(1.0, "B")], sample_interval=1.0e-6)
    periods = np.diff(rising_crossings(capture))

    assert np.std(periods) == pytest.approx(math.sqrt(2.0) * 5.0e-6, rel=0.1)
    assert np.mean(periods) == pytest.approx(1.0e-3, abs=3e-8)


@pytest.mark.hand("0.5 V of ripple behind 1 kΩ: all of it in A, 2740 / 3740 of it in B, less the junction")
def test_ripple_reaches_the_connector_through_the_divider() -> None:
    """Ripple shows whole where nothing is connected and divided where a load is."""
    rippled = VirtualUnit(ripple=0.5)
    capture = captured(rippled, schedule=[(0.1, "A"), (0.03, "B")])
    voltage, count = capture.waveform.voltage, 25_000

    assert np.ptp(voltage[:count]) / 2.0 == pytest.approx(0.5, abs=1e-3)
    assert np.ptp(voltage[count + 100 : -100]) / 2.0 == pytest.approx(0.5 * 2740.0 / 3740.0, abs=0.01)


@pytest.mark.hand("hum adds at the probe with its amplitude")
def test_hum_is_picked_up_whole() -> None:
    """Hum adds to a broken pilot, where nothing else is to be seen."""
    capture = captured(FAULTS["pilot open"].unit(VirtualUnit()), schedule=[(0.1, "C")], scope=replace(IDEAL, hum=0.8))

    assert np.ptp(capture.waveform.voltage) / 2.0 == pytest.approx(0.8, abs=1e-3)
    assert capture.truth.runs[0].high == 0.0
    assert capture.truth.runs[0].duty is None


@pytest.mark.hand("mains amplitude √2 x 230 V; the delays of controller and relay")
def test_output_channel_is_live_when_the_truth_says_so() -> None:
    """The second channel shows mains between the true instants of switching and nothing outside."""
    capture = captured()
    output = capture.waveform.output
    times = capture.waveform.sample_interval * np.arange(capture.waveform.samples)
    (closed, on), (opened, off) = capture.truth.switching

    assert (on, off) == (True, False)
    assert closed == pytest.approx(0.15 + Controller().energise_delay + Relay().operate)
    assert opened == pytest.approx(0.25 + Controller().de_energise_delay + Relay().release)
    assert not capture.truth.live_at_start
    assert output is not None
    live = (times >= closed) & (times < opened)
    assert np.abs(output[live]).max() == pytest.approx(math.sqrt(2.0) * 230.0, abs=0.1)
    assert not output[~live].any()


@pytest.mark.hand("responses of the controller against the samples of a bounce-free d.c. channel")
def test_truth_holds_when_the_contacts_followed() -> None:
    """Each response's instant is where the samples change, and the live stretches lie between them."""
    unit = VirtualUnit(supply="d.c.", mains=24.0, relay=Relay(spread=0.004))
    schedule: Schedule = ((0.1, "A"), *repeated(3, (0.1, "B"), (0.2, "C")), (0.2, "A"))
    capture = captured(unit, schedule=schedule, sample_interval=1.0e-4, seed=5)
    output = capture.waveform.output
    assert output is not None
    changes = np.flatnonzero(np.diff(output > 12.0)) * 1.0e-4
    followed = [one.contacts for one in capture.truth.responses]

    assert [one.closes for one in capture.truth.responses] == [True, False] * 3
    assert followed == [at for at, _ in capture.truth.switching] == [at for live in capture.truth.live for at in live]
    assert changes == pytest.approx(followed, abs=1.1e-4)
    assert len({round(one.delay or 0.0, 9) for one in capture.truth.responses}) == 6
    assert capture.truth == captured(unit, schedule=schedule, sample_interval=1.0e-4, seed=5).truth


@pytest.mark.hand("a bounce is inside the live stretch; a welded pole is a stretch of its own")
def test_truth_of_bouncing_and_welded_contacts() -> None:
    """Bouncing does not part a live stretch, and one closed pole is not live between the pins."""
    bouncing = captured(FAULTS["bouncing relay"].unit(VirtualUnit()), schedule=((0.1, "B"), (0.3, "C"), (0.3, "B")))
    (up, down) = bouncing.truth.responses
    assert bouncing.truth.live == ((up.contacts, down.contacts),)

    welded = captured(FAULTS["welded pole"].unit(VirtualUnit()), schedule=((0.1, "B"), (0.3, "C"), (0.3, "B")))
    assert np.array(welded.truth.live) == pytest.approx(np.array([[0.172, 0.438]]))
    assert np.array(welded.truth.one_pole) == pytest.approx(np.array([[0.438, 0.7]]))
    assert welded.truth.responses[-1].contacts is None
    always = captured(FAULTS["pins always live"].unit(VirtualUnit()), schedule=((0.1, "B"), (0.3, "C")))
    assert np.array(always.truth.live) == pytest.approx(np.array([[0.0, 0.4]]))
    assert always.truth.live_at_start
    assert always.truth.switching == ()


@pytest.mark.hand("without supply the pilot is at 0 V; a refusing unit holds its low rail")
def test_states_without_supply_and_in_refusal() -> None:
    """Truth calls a pilot without supply E and one held low F, and the samples rest there."""
    capture = captured(schedule=((0.1, "A"), (0.1, "A, supply off"), (0.3, "A"), (0.6, "A, supply earth open")))
    off = capture.truth.runs[1]
    low = capture.truth.runs[-1]
    voltage = capture.waveform.voltage

    assert [run.state for run in capture.truth.runs] == ["A1", "E", "A1", "A1", "F"]
    assert (off.high, low.low) == (0.0, None)
    assert low.high == pytest.approx(-11.9988, abs=1e-3)
    assert np.abs(voltage[int(0.11 / 4e-6) : int(0.2 / 4e-6)]).max() < 1e-3
    assert np.abs(voltage[-1000:] + 11.9988).max() < 1e-3


@cache
def sound_one(schedule: tuple[tuple[float, str], ...]) -> SimulatedCapture:
    return captured(schedule=schedule, sample_interval=2.0e-5)


@pytest.mark.hand("what a fault's record says it does")
@pytest.mark.parametrize("name", sorted(FAULTS))
def test_each_fault_shows_where_it_says(name: str) -> None:
    """Under its own schedule a fault changes the samples of each channel where it says so, and else leaves them."""
    one = FAULTS[name]
    unit, vehicle = one.applied(VirtualUnit(), VirtualVehicle())
    sound = sound_one(tuple(one.shown_by))
    faulty = captured(unit, vehicle, one.shown_by, sample_interval=2.0e-5)
    pilot = float(np.abs(sound.waveform.voltage - faulty.waveform.voltage).max()) > 0.05
    assert sound.waveform.output is not None
    assert faulty.waveform.output is not None
    output = float(np.abs(sound.waveform.output - faulty.waveform.output).max()) > 1.0

    assert (pilot, output) == (one.shows_on_pilot, one.shows_on_output)


@pytest.mark.hand("the figures of each fault, applied to the nominal unit")
def test_faults_are_in_the_truth() -> None:
    """The truth beside the samples carries each fault's figure."""

    def run(name: str, schedule: Schedule) -> dict[str, float | None]:
        unit, vehicle = FAULTS[name].applied(VirtualUnit(), VirtualVehicle())
        last = captured(unit, vehicle, schedule).truth.runs[-1]
        return {"high": last.high, "low": last.low, "frequency": last.frequency, "duty": last.duty}

    steady: Schedule = [(0.01, "B")]
    assert run("weak negative rail", steady)["low"] == pytest.approx(-10.56, abs=0.002)
    assert run("weak positive rail", [(0.01, "A")])["high"] == pytest.approx(10.56, abs=0.002)
    assert run("wrong frequency", steady)["frequency"] == 940.0
    assert run("old duty mapping", steady)["duty"] == pytest.approx(25.0, abs=0.1)
    assert run("duty off", steady)["duty"] == pytest.approx(24.17, abs=0.1)
    assert run("pilot shorted", steady)["high"] == pytest.approx(0.006, abs=0.001)
    assert run("vehicle diode shorted", steady)["low"] == pytest.approx(-8.79, abs=0.005)
    assert run("vehicle diode open", steady) == {
        "high": pytest.approx(11.9988, abs=1e-4),
        "low": None,
        "frequency": None,
        "duty": None,
    }
    assert run("bare generator", [(0.01, "A")])["frequency"] == 1000.0


@pytest.mark.hand("draws lie inside their half-widths and fill them")
def test_drawn_parts_stay_within_their_tolerance() -> None:
    """Parts of drawn units and vehicles fill their tolerance and never leave it."""
    rng = np.random.default_rng(3)
    units = [draw_unit(rng, duty_points=0.3) for _ in range(500)]
    vehicles = [draw_vehicle(rng, resistance_tolerance=0.01) for _ in range(500)]

    for values, middle, half in (
        ([unit.rail_high for unit in units], 12.0, 0.24),
        ([unit.rail_low for unit in units], -12.0, 0.24),
        ([unit.duty for unit in units], 26.67, 0.3),
        ([vehicle.r3_c for vehicle in vehicles], 1300.0, 13.0),
    ):
        away = np.abs(np.array(values) - middle)
        assert 0.98 * half < away.max() <= half
        assert np.mean(away) == pytest.approx(half / 2.0, rel=0.1)


@pytest.mark.hand("texts of the messages")
def test_captures_that_cannot_be_are_refused() -> None:
    """A step that is not above zero, a schedule too short for it, and impossible parts are each named."""
    with pytest.raises(OutsideRange, match="the sample interval is 0 s; it must be above zero"):
        captured(sample_interval=0.0)
    with pytest.raises(OutsideRange, match="1e-06 s hold 0 samples of 4e-06 s; make the schedule longer"):
        captured(schedule=[(1e-6, "B")])
    with pytest.raises(OutsideRange, match="duty is 100 %; an oscillator lies between 0 and 100 %"):
        VirtualUnit(duty=100.0)
    with pytest.raises(OutsideRange, match="does not fit into the shorter part of the period"):
        VirtualUnit(duty=1.0, jitter=2.0e-6)
    with pytest.raises(OutsideRange, match="ripple at 20000 Hz"):
        VirtualUnit(ripple=0.1, ripple_frequency=20000.0)
    with pytest.raises(OutsideRange, match="source_resistance is 0; it must be above zero"):
        VirtualUnit(source_resistance=0.0)
    with pytest.raises(OutsideRange, match="r2 is 0; it must be above zero"):
        VirtualVehicle(r2=0.0)
    with pytest.raises(OutsideRange, match="capacitance is -1e-09 F; it cannot be negative"):
        VirtualVehicle(capacitance=-1e-9)


def test_a_waveform_without_its_truth_is_the_same() -> None:
    """Leaving out the truth changes no sample."""
    schedule = [(0.02, "A"), (0.03, "C")]
    unit, vehicle = VirtualUnit(), VirtualVehicle()
    whole = simulate_capture(unit, vehicle, schedule, set_up_bench(VirtualScope(), seed=4), seed=4, with_output=True)
    alone = simulate_waveform(unit, vehicle, schedule, set_up_bench(VirtualScope(), seed=4), seed=4, with_output=True)

    assert np.array_equal(whole.waveform.voltage, alone.voltage)
    assert alone.output is not None
    assert whole.waveform.output is not None
    assert np.array_equal(whole.waveform.output, alone.output)
