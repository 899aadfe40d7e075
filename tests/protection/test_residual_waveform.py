"""Residual currents read from a captured channel, against the truth of the virtual bench."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import binom

from coldpin.errors import CaptureError, InputError, OutsideRange
from coldpin.pilot.output import OutputSensor
from coldpin.protection.residual_waveform import CurrentSensor, mains_frequency, read_residual
from coldpin.protection.trip_test import judge_trips
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.finding import Outcome
from coldpin.records.trip_test import ResidualKind, ResidualPulse
from coldpin.simulator import VirtualScope, VirtualSensor, set_up_bench
from coldpin.simulator.residual import Form, VirtualSafeguard, Way
from coldpin.simulator.residual_capture import ResidualCapture, Shot, simulate_residual
from coldpin.standards.accuracy import ScopeAccuracy, parse_accuracy
from coldpin.standards.book import load_book
from coldpin.standards.residual_current import find_residual_device
from coldpin.workbench.residual_evidence import ResidualSetting, read_residual_capture

SHUNT = 10.0
SCOPE = VirtualScope(full_scale=12.0, bits=12, noise=0.003, gain_limit=0.01, offset_limit=0.02)
ACCURACY = ScopeAccuracy(vertical=parse_accuracy("1 %"), timebase=parse_accuracy("50 ppm"))
GUARD = VirtualSafeguard()


def taken(*shots: Shot, seed: int = 3, guard: VirtualSafeguard = GUARD, leak: float = 0.2) -> ResidualCapture:
    """A capture of residual currents on a virtual bench."""
    bench = set_up_bench(SCOPE, seed=seed, sensor=VirtualSensor(delay=0.0013))
    return simulate_residual(guard, shots, bench, seed=seed, sensor=SHUNT, leak=leak)


def pulses(capture: ResidualCapture, kind: ResidualKind | None = None) -> tuple[ResidualPulse, ...]:
    """What is read of the first channel."""
    sensor = CurrentSensor(volts_per_ampere=Quantity(SHUNT, 0.03, "Ω"), accuracy=ACCURACY, kind=kind)
    shown = capture.waveform
    return read_residual(shown.voltage, shown.sample_interval, sensor, overload=shown.overload)


@cache
def mixed() -> ResidualCapture:
    """Every form, each way, long enough that its form can be told; nothing acts."""
    deaf = (math.inf, math.inf)
    guard = VirtualSafeguard(alternating=deaf, pulsating=deaf, smooth=deaf)
    forms: tuple[tuple[Form, tuple[float, ...], tuple[Way, ...]], ...] = (
        ("alternating", (14.5, 31.0, 155.0), ("0°", "180°")),
        ("pulsating", (43.0, 86.0), ("positive", "negative")),
        ("smooth", (2.9, 6.3, 205.0), ("positive", "negative")),
    )
    shots = [
        Shot(current=current, form=form, way=way, lasts=0.5, angle=angle)
        for form, currents, ways in forms
        for current in currents
        for way in ways
        for angle in ((0.0, 90.0, 135.0) if form == "pulsating" else (0.0,))
    ]
    return taken(*shots, guard=guard)


SHOTS = 6 + 12 + 6


@pytest.mark.independent("virtual bench with noise, offset, gain error, 12 bits and a leak of 0.2 mA")
def test_every_current_is_found_with_its_form_and_way() -> None:
    """As many as were put on, in their order, none invented."""
    found = pulses(mixed())

    assert len(found) == SHOTS
    kinds = [pulse.kind for pulse in found]
    assert kinds == [ResidualKind.ALTERNATING] * 6 + [ResidualKind.PULSATING] * 12 + [ResidualKind.SMOOTH] * 6
    assert [pulse.way for pulse in found[:6]] == ["0°", "180°"] * 3
    assert [pulse.angle_deg for pulse in found[6:18]] == [0.0, 90.0, 135.0] * 4
    assert [pulse.way for pulse in found[18:]] == ["positive", "negative"] * 3


@pytest.mark.independent("the truth behind the virtual capture")
def test_currents_and_instants_hold_the_truth() -> None:
    """Each interval of a current holds what flowed, each bracket the instant at which it began to flow."""
    true = [14.5, 14.5, 31.0, 31.0, 155.0, 155.0, *[43.0] * 6, *[86.0] * 6, 2.9, 2.9, 6.3, 6.3, 205.0, 205.0]
    offset = 0.001 * 1000.0 / SHUNT
    clock = 1.0 + set_up_bench(SCOPE, seed=3).timebase
    for pulse, current, shot in zip(pulses(mixed()), true, mixed().shots, strict=True):
        assert pulse.current_ma.u is not None
        assert pulse.current_ma.value == pytest.approx(current, abs=4.0 * pulse.current_ma.u + offset + 0.1)
        begins = shot.began / clock + pulse.angle_deg / 360.0 * 0.02
        assert pulse.began_s[0] - 1e-4 <= begins <= pulse.began_s[1] + 1e-4


@pytest.mark.independent("safeguard of the virtual bench, contacts that scatter, a sensor 1.3 ms late")
def test_the_times_to_trip_hold_the_truth(proving: bool, measured: Callable[[str, float, str, str], None]) -> None:
    """Joined with the output, the intervals hold what it took as often as they say; what held did not act."""
    shots = [Shot(current=current, way=way, lasts=0.6) for current in (14.5, 31.0, 62.0, 150.0) for way in _ways()]
    tripped = missed = 0
    for seed in range(3, 33 if proving else 5):
        capture = taken(*shots, seed=seed)
        setting = ResidualSetting(
            sensor=parse_quantity("10 Ω ± 0.5 %", "Ω"),
            output=OutputSensor(delay=parse_quantity("1.2 ms ± 0.3 ms", "s")),
            accuracy=ACCURACY,
            kind=ResidualKind.ALTERNATING,
        )
        reading = read_residual_capture(capture.waveform, setting, load_book())
        assert len(reading.operations) == len(shots)
        for operation, shot in zip(reading.operations, capture.shots, strict=True):
            assert operation.tripped == (shot.opened is not None)
            if shot.opened is None:
                assert operation.time_s.value == pytest.approx(0.6, abs=0.02)
                assert operation.time_s.high is None
                continue
            low, high = operation.time_s.low, operation.time_s.high
            assert low is not None
            assert high is not None
            tripped += 1
            missed += not low <= shot.opened - shot.began <= high
    measured("times to trip outside their 95 % interval", missed / tripped, "1", "0.05 at most, by a binomial band")

    assert missed <= binom.ppf(0.999, tripped, 0.05)


def _ways() -> tuple[Way, ...]:
    return ("0°", "180°", "0°", "180°", "0°", "180°")


@pytest.mark.independent("a safeguard that gathers what flows above its threshold while a current rises")
def test_a_captured_rise_tells_rate_and_current() -> None:
    """Rate and what flowed when the contacts opened; the source's current goes on after that."""
    capture = taken(Shot(current=2.5, form="smooth", way="negative", lasts=8.0, rate=1.0), leak=0.0)
    setting = ResidualSetting(sensor=Quantity(SHUNT, 0.03, "Ω"), accuracy=ACCURACY)
    (operation,) = read_residual_capture(capture.waveform, setting, load_book()).operations
    (shot,) = capture.shots
    assert shot.opened is not None

    assert operation.tripped
    assert operation.rate_ma_s == pytest.approx(1.0, rel=0.03)
    assert operation.way == "negative"
    held = replace(setting, dwell=4.0)
    (stepped,) = read_residual_capture(capture.waveform, held, load_book()).operations
    assert (operation.dwell_s, stepped.dwell_s) == (0.0, 4.0)
    assert operation.current_ma.value == pytest.approx(2.5 + (shot.opened - shot.began), abs=0.25)


@pytest.mark.hand(
    "a sensor nobody stated shows up to half a second late; the current of the own line ends with the output"
)
def test_an_unstated_sensor_hides_no_action() -> None:
    """It acted, and the time is at most what was read; a bound decides it far from its limit."""
    setting = ResidualSetting(sensor=Quantity(SHUNT, 0.03, "Ω"), accuracy=ACCURACY, kind=ResidualKind.ALTERNATING)
    capture = taken(*(Shot(current=31.0, way=way) for way in _ways()))
    done = read_residual_capture(capture.waveform, setting, load_book()).operations
    test = judge_trips(done, find_residual_device(), ResidualKind.ALTERNATING, load_book())

    assert all(one.tripped and one.time_s.u is None for one in done)
    assert [placed.outcome for placed in test.placements] == [Outcome.WITHIN]


@pytest.mark.hand("of two currents that trip it the smaller takes longer; of two that do not the larger is drawn")
def test_a_capture_gives_its_slowest_operation_to_be_drawn() -> None:
    """No more stretches than a page has room for, counted from the current's beginning, with both brackets."""
    setting = ResidualSetting(sensor=Quantity(SHUNT, 0.03, "Ω"), accuracy=ACCURACY, kind=ResidualKind.ALTERNATING)
    slow = read_residual_capture(taken(Shot(current=62.0), Shot(current=31.0)).waveform, setting, load_book()).picture
    held = read_residual_capture(taken(Shot(current=8.0), Shot(current=14.0)).waveform, setting, load_book()).picture
    assert slow is not None
    assert held is not None

    assert slow.operation.current_ma.value == pytest.approx(31.0, abs=1.0)
    assert slow.began_s[1] == 0.0
    assert slow.opened_s is not None
    assert slow.opened_s[0] - 1e-3 <= slow.operation.time_s.value <= slow.opened_s[1] + 1e-3
    assert len(slow.time_s) == len(slow.current_ma) == len(slow.output_v) <= 700
    assert slow.time_s[0] < 0.0 < slow.operation.time_s.value < slow.time_s[-1]
    assert max(high for _, high in slow.current_ma) == pytest.approx(31.0 * math.sqrt(2.0), rel=0.05)
    assert (held.operation.tripped, held.opened_s) == (False, None)
    assert held.operation.current_ma.value == pytest.approx(14.0, abs=0.6)


@pytest.mark.hand("150 mA of half waves that are cut within one of them look like any sine")
def test_a_form_that_cannot_be_told_is_asked_for() -> None:
    """Cut within a half wave: no form, with what to state; stated, it is read."""
    shot = Shot(current=215.0, form="pulsating", way="positive", lasts=0.3)
    (blind,) = pulses(taken(shot))
    (told,) = pulses(taken(shot), ResidualKind.PULSATING)

    assert blind.kind is None
    assert "state 'form'" in blind.why
    assert told.current_ma.value == pytest.approx(215.0, rel=0.05)
    setting = ResidualSetting(sensor=Quantity(SHUNT, 0.03, "Ω"))
    reading = read_residual_capture(taken(shot).waveform, setting, load_book())
    assert reading.operations == ()
    assert any("state 'form'" in remark for remark in reading.remarks)


@pytest.mark.hand("8 V on a screen of 12 V centred on zero is cut off at 6 V")
def test_a_clipped_current_is_known_from_below_only() -> None:
    """No uncertainty, and the reason."""
    (pulse,) = pulses(taken(Shot(current=700.0, form="smooth", way="positive", lasts=0.3)))

    assert pulse.current_ma.u is None
    assert pulse.current_ma.high is None
    assert "beyond its range" in pulse.why


def test_bad_captures_say_what_to_do() -> None:
    """No second channel, too short, no sensor, a sensor of zero."""
    book, sensor = load_book(), CurrentSensor(volts_per_ampere=Quantity(SHUNT, 0.0, "Ω"))
    quiet = taken(Shot(current=1.0, form="smooth", way="positive", lasts=0.1)).waveform
    setting = ResidualSetting(sensor=Quantity(SHUNT, 0.0, "Ω"))

    with pytest.raises(CaptureError, match="at least two periods"):
        read_residual(np.zeros(30), 1e-3, sensor)
    with pytest.raises(OutsideRange, match="above zero"):
        read_residual(np.zeros(3000), 1e-4, CurrentSensor(volts_per_ampere=Quantity(0.0, 0.0, "Ω")))
    with pytest.raises(InputError, match="second channel"):
        read_residual_capture(replace(quiet, output=None), setting, book)
    flat = read_residual_capture(taken(Shot(current=0.01, form="smooth", way="positive")).waveform, setting, book)
    assert flat.operations == ()
    assert any("stands out of the noise" in remark for remark in flat.remarks)


@pytest.mark.hand("sines of 50 Hz and 60 Hz")
@pytest.mark.parametrize("hertz", [50.0, 60.0])
def test_the_frequency_of_the_mains_is_recognised(hertz: float) -> None:
    """By the channel beside the current; where nothing is there, the commoner of the two."""
    time = np.arange(3000) * 1e-4

    assert mains_frequency(325.0 * np.sin(2.0 * np.pi * hertz * time), 1e-4) == hertz
    assert mains_frequency(np.full(100, np.nan), 1e-4) == 50.0
