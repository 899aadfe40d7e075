"""The second channel: mains, a level, a coil; when each is live, against arrays made by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.pilot.mains_sine import BOUNCE
from coldpin.pilot.output import read_output
from coldpin.records.pilot import Bracket, LiveStretch, OutputKind, OutputReading

Numbers = NDArray[np.float64]
CLOSED, OPENED = 0.2003, 0.4501
"""When the contacts close and open. [s]"""
PHASES = np.linspace(0.0, 2.0 * math.pi, 8, endpoint=False)
ROUNDING = 1e-9
"""Times of samples are products of floats. [s]"""


def mains(
    rate: float,
    *,
    frequency: float = 50.0,
    phase: float = 0.0,
    closed: float = CLOSED,
    opened: float = OPENED,
    length: float = 0.7,
    kept: float = 0.0,
    decay: float = 1.0,
    noise: float = 0.005,
    clip: float = 9.0,
    bits: int = 0,
    gain: float = 1.0,
    offset: float = 0.0,
    apart: tuple[tuple[float, float], ...] = (),
) -> Numbers:
    """Mains of amplitude 325 V with a twentieth of third harmonic, switched at two instants.

    ``kept`` of the voltage at opening stays on a capacitor and decays [1, s]; ``noise``, ``clip`` and ``offset`` are in
    parts of the amplitude; ``apart`` are times in which the contacts bounce open. [s]
    """
    time = np.arange(round(length * rate)) / rate

    def wave(at: Numbers | float) -> Numbers:
        turn = 2.0 * math.pi * frequency * np.asarray(at) + phase
        return np.sin(turn) + 0.05 * np.sin(3.0 * turn)

    touching = (time >= closed) & (time < opened)
    for begin, end in apart:
        touching &= ~((time >= begin) & (time < end))
    voltage = np.where(touching, wave(time), 0.0)
    after = time >= opened
    voltage[after] = kept * float(wave(opened)) * np.exp(-(time[after] - opened) / decay)
    voltage = voltage + offset + np.random.default_rng(7).normal(0.0, noise, time.size)
    voltage = np.clip(voltage, -clip, clip)
    if bits:
        step = 3.0 / 2**bits
        voltage = np.round(voltage / step) * step
    return np.asarray(325.0 * gain * voltage)


def read(voltage: Numbers, rate: float, kind: OutputKind | None = None) -> OutputReading:
    """Read a channel that has samples."""
    reading = read_output(voltage, 1.0 / rate, kind=kind)
    assert reading is not None
    return reading


def only(reading: OutputReading) -> LiveStretch:
    """The one stretch of a reading."""
    (stretch,) = reading.live
    return stretch


def holds(bracket: Bracket | None, instant: float) -> bool:
    """Whether a bracket holds an instant."""
    return bracket is not None and bracket[0] - ROUNDING <= instant <= bracket[1] + ROUNDING


CHANNELS: dict[str, dict[str, Any]] = {
    "clean": {},
    "noisy, eight bits": {"noise": 0.02, "bits": 8},
    "clipped at half": {"clip": 0.5},
    "a hundredth, with offset": {"gain": 0.01, "offset": 0.1},
}


@pytest.mark.hand("arrays switched at known instants")
@pytest.mark.parametrize("channel", CHANNELS)
@pytest.mark.parametrize("frequency", [50.0, 60.0, 49.7])
@pytest.mark.parametrize(("kept", "decay"), [(0.0, 1.0), (1.0, 2e-4), (1.0, 5e-3), (0.8, 0.1), (1.0, 3.0)])
def test_brackets_hold_the_instants_at_every_phase(channel: str, frequency: float, kept: float, decay: float) -> None:
    """Wherever in its cycle the mains is switched, and whatever charge stays behind, the brackets hold the instants."""
    rate = 10e3
    for phase in PHASES:
        voltage = mains(rate, frequency=frequency, phase=phase, kept=kept, decay=decay, **CHANNELS[channel])
        reading = read(voltage, rate)
        stretch = only(reading)

        assert reading.kind is OutputKind.MAINS
        assert holds(stretch.first_contact_s, CLOSED), phase
        assert holds(stretch.closed_s, CLOSED), phase
        assert holds(stretch.opened_s, OPENED), phase


@pytest.mark.hand("arrays switched at known instants")
@pytest.mark.parametrize("rate", [2e3, 48e3, 250e3, 1e6])
def test_rates_from_two_thousand_to_a_million_samples_a_second(rate: float) -> None:
    """At any usual rate the brackets hold the instants and are narrow: 2 ms, or a few samples at low rates."""
    for phase in PHASES[1:3] if rate > 1e5 else PHASES:
        stretch = only(read(mains(rate, phase=phase), rate))

        assert holds(stretch.closed_s, CLOSED)
        assert holds(stretch.opened_s, OPENED)
        assert stretch.closed_s is not None
        assert stretch.opened_s is not None
        assert stretch.closed_s[1] - stretch.closed_s[0] < max(2e-3, 6.0 / rate)
        assert stretch.opened_s[1] - stretch.opened_s[0] < max(2e-3, 6.0 / rate)


@pytest.mark.hand("arrays switched at known instants")
@pytest.mark.parametrize("rate", [2e3, 30e3])
@pytest.mark.parametrize("channel", CHANNELS)
@pytest.mark.parametrize("decay", [2e-4, 2e-3, 0.05])
def test_a_charge_that_decays_at_other_rates(rate: float, channel: str, decay: float) -> None:
    """Few or many samples in a time constant, clipped or not: the bracket holds the opening."""
    for phase in PHASES[1::2]:
        stretch = only(read(mains(rate, phase=phase, kept=1.0, decay=decay, **CHANNELS[channel]), rate))

        assert holds(stretch.opened_s, OPENED), phase


@pytest.mark.hand("arrays switched at known instants")
@given(
    closed=st.floats(0.15, 0.25),
    opened=st.floats(0.4, 0.5),
    phase=st.floats(0.0, 6.28),
    frequency=st.floats(49.0, 61.0),
    kept=st.floats(0.0, 1.0),
    decay=st.floats(-4.0, 0.5),
)
@example(closed=0.25, opened=0.4583163239087774, phase=0.0, frequency=49.0, kept=0.5, decay=0.0)
def test_any_switching(closed: float, opened: float, phase: float, frequency: float, kept: float, decay: float) -> None:
    """Any instants, any phase, any frequency of a network, any charge that stays."""
    voltage = mains(10e3, frequency=frequency, phase=phase, closed=closed, opened=opened, kept=kept, decay=10.0**decay)
    stretch = only(read(voltage, 10e3))

    # a sample is live or not at its own instant: the switching lies within one sample before it
    assert holds(stretch.closed_s, closed) or holds(stretch.closed_s, closed + 1e-4)
    assert holds(stretch.opened_s, opened) or holds(stretch.opened_s, opened + 1e-4)


@pytest.mark.hand("contacts apart for 3 ms after the first touch, and touching again for 2 ms after the first break")
@pytest.mark.parametrize("phase", PHASES[1::2])
def test_bounce_is_told_from_closing_and_opening(phase: float) -> None:
    """Live from the first contact, closed after the last bounce; open after the last contact."""
    closing = ((0.2023, 0.2053),)
    opening = ((0.4471, 0.4481),)
    stretch = only(read(mains(50e3, phase=phase, closed=0.2003, opened=0.4501, apart=closing + opening), 50e3))

    assert holds(stretch.closed_s, 0.2053)
    assert holds(stretch.opened_s, 0.4501)
    assert stretch.first_contact_s is not None
    assert stretch.first_contact_s[0] < 0.2023
    assert stretch.first_break_s is not None
    assert stretch.first_break_s[0] <= 0.4481


@pytest.mark.parametrize("decay", [0.05, 1.0, 30.0])
def test_a_charge_that_stays_is_not_live(decay: float) -> None:
    """A capacitor that keeps the peak of the mains for long after the contacts have opened is not live."""
    stretch = only(read(mains(10e3, phase=1.4, kept=1.0, decay=decay, length=3.0), 10e3))

    assert stretch.opened_s is not None
    assert stretch.opened_s[1] < OPENED + 10e-3


@pytest.mark.hand("closed a second time half a second after the opening")
@pytest.mark.parametrize("decay", [0.5, 3.0])
@pytest.mark.parametrize("phase", PHASES[1::2])
def test_a_charge_until_the_next_closing_does_not_join_two_stretches(decay: float, phase: float) -> None:
    """A charge that is still high when the contacts close again is no mains between: two stretches."""
    again = 0.9502
    once = mains(10e3, phase=phase, kept=1.0, decay=decay, length=again)
    twice = np.concatenate((once, mains(10e3, phase=phase, closed=0.0, opened=9.0, length=1.5)[once.size :]))
    first, second = read(twice, 10e3).live

    assert holds(first.opened_s, OPENED)
    assert holds(second.closed_s, again)
    assert second.opened_s is None


@pytest.mark.hand("one volt r.m.s. of 50 Hz in noise")
@pytest.mark.parametrize("kind", [None, OutputKind.MAINS])
@pytest.mark.parametrize("length", [0.3, 0.7, 1.003])
@pytest.mark.parametrize("noise", [0.02, 0.3])
def test_the_end_of_the_capture_is_no_break(kind: OutputKind | None, length: float, noise: float) -> None:
    """A volt that is there all along is one stretch to the last sample, whatever the noise there, and a doubt."""
    for phase in PHASES:
        time = np.arange(round(length * 5e3)) / 5e3
        volt = math.sqrt(2.0) * np.sin(2.0 * math.pi * 50.0 * time + phase)
        volt += np.random.default_rng(1).normal(0.0, noise, time.size)
        reading = read_output(volt, 2e-4, kind=kind, touch=50.0)

        assert reading is not None
        assert reading.kind is OutputKind.MAINS
        assert only(reading).opened_s is None
        assert "couples across open" in reading.doubt


@pytest.mark.parametrize("rate", [2e3, 20e3])
def test_noise_on_a_channel_stated_to_show_mains_is_not_live(rate: float) -> None:
    """Noise alternates, but at another pace."""
    for seed in range(8):
        assert read(np.random.default_rng(seed).normal(0.0, 0.3, round(rate)), rate, OutputKind.MAINS).live == ()


@pytest.mark.hand("45 % of the amplitude before and after: what couples across open contacts")
@pytest.mark.parametrize("phase", PHASES[1::2])
def test_what_couples_is_not_live_beside_what_is(phase: float) -> None:
    """Where the contacts close in the capture, a part of the mains before and after is seen to be too low.

    Where it crosses the sine it may pass for a contact, for no longer than contacts bounce.
    """
    time = np.arange(7000) / 10e3
    coupled = 0.45 * 325.0 * np.sin(2.0 * math.pi * 50.0 * time + phase + 0.5)
    resting = (time < CLOSED) | (time >= OPENED)
    stretch = only(read(mains(10e3, phase=phase) + np.where(resting, coupled, 0.0), 10e3))

    assert holds(stretch.closed_s, CLOSED)
    assert holds(stretch.first_break_s, OPENED)
    assert stretch.first_contact_s is not None
    assert stretch.first_contact_s[0] > CLOSED - BOUNCE
    assert stretch.opened_s is not None
    assert stretch.opened_s[1] < OPENED + BOUNCE


def test_live_all_along_and_from_the_first_sample() -> None:
    """A stretch that reaches the end of the capture has no instant there."""
    always = only(read(mains(10e3, closed=-1.0, opened=9.0), 10e3))
    ending = only(read(mains(10e3, closed=-1.0), 10e3))

    assert always == LiveStretch(first_contact_s=None, closed_s=None, first_break_s=None, opened_s=None)
    assert ending.closed_s is None
    assert holds(ending.opened_s, OPENED)


def test_what_never_changes_may_be_couplings() -> None:
    """Mains of a few volts as read, all along, is live with a doubt; of 230 V without one."""
    small = read_output(mains(10e3, closed=-1.0, opened=9.0, gain=0.01), 1e-4, touch=50.0)
    large = read_output(mains(10e3, closed=-1.0, opened=9.0), 1e-4, touch=50.0)

    assert small is not None
    assert "couples across open" in small.doubt
    assert large is not None
    assert large.doubt == ""


@pytest.mark.parametrize("bits", [0, 8])
@pytest.mark.parametrize("noise", [0.0, 0.001, 0.004, 0.02])
def test_noise_alone_is_not_live(noise: float, bits: int) -> None:
    """Noise, whatever the steps of the instrument, is neither mains nor a level."""
    assert read(mains(20e3, closed=9.0, opened=9.0, noise=noise, bits=bits), 20e3).live == ()


def test_missing_samples_widen_the_bracket() -> None:
    """Where samples are missing around an opening it may be anywhere among them; elsewhere they are nothing."""
    voltage = mains(10e3)
    voltage[4480:4520] = np.nan
    voltage[3000:3030] = np.nan
    stretch = only(read(voltage, 10e3))

    assert stretch.opened_s is not None
    assert stretch.opened_s[0] <= 0.448
    assert stretch.opened_s[1] >= 0.452


@pytest.mark.parametrize("output", [np.zeros(0), np.full(1000, np.nan)])
def test_no_sample_is_no_reading(output: Numbers) -> None:
    """A channel without a sample tells nothing."""
    assert read_output(output, 1e-4) is None


@pytest.mark.parametrize("output", [np.zeros(1000), np.full(3, 0.1), np.array([5.0]), np.array([np.nan, 0.0, np.inf])])
def test_a_few_samples_or_zeros_do_no_harm(output: Numbers) -> None:
    """Short, empty or infinite channels are read without a fault."""
    reading = read_output(output, 1e-4)

    assert reading is not None
    assert reading.kind is OutputKind.LEVEL


def level(rate: float, *, decay: float = 0.0, up: float = 5.0, noise: float = 0.01) -> Numbers:
    """A level that is up between the two instants and falls with a time constant. [V]"""
    time = np.arange(round(0.9 * rate)) / rate
    voltage = np.where((time >= CLOSED) & (time < OPENED), up, 0.0)
    if decay:
        after = time >= OPENED
        voltage[after] = up * np.exp(-(time[after] - OPENED) / decay)
    return np.asarray(voltage + np.random.default_rng(3).normal(0.0, noise * abs(up), time.size))


@pytest.mark.hand("arrays switched at known instants")
@pytest.mark.parametrize("up", [5.0, 24.0, -12.0])
@pytest.mark.parametrize("decay", [0.0, 1e-3, 20e-3, 0.3])
@pytest.mark.parametrize("rate", [2e3, 20e3, 1e6])
def test_a_level_begins_to_fall_when_the_contacts_open(rate: float, decay: float, up: float) -> None:
    """A level kept up by a capacitor opened when it began to fall, not when it had fallen."""
    reading = read(level(rate, decay=decay, up=up), rate)
    stretch = only(reading)

    assert reading.kind is OutputKind.LEVEL
    assert holds(stretch.closed_s, CLOSED)
    assert holds(stretch.opened_s, OPENED)


@pytest.mark.hand("pulses of 6 ms in every 10 ms, as a photocoupler gives them on mains of 50 Hz")
def test_a_photocoupler_that_pauses_at_each_crossing() -> None:
    """Pauses that come all along do not end the stretch; the end is known within one of them."""
    rate = 20e3
    time = np.arange(round(0.9 * rate)) / rate
    voltage = np.where((time >= CLOSED) & (time < OPENED) & (time % 0.01 < 0.006), 5.0, 0.0)
    stretch = only(read(voltage, rate))

    assert holds(stretch.first_contact_s, CLOSED)
    assert holds(stretch.opened_s, OPENED)
    assert stretch.opened_s is not None
    assert stretch.opened_s[1] - stretch.opened_s[0] < 6e-3


@pytest.mark.hand("12 V to pull, then a fifth of the time 12 V to hold; −30 V for 5 ms when it lets go")
def test_a_coil_that_is_held_with_less() -> None:
    """A coil is up while it is held by fast switching, and its kick is no level."""
    rate = 200e3
    time = np.arange(round(0.7 * rate)) / rate
    held = np.where((time < 0.3) | (time * 20e3 % 1.0 < 0.2), 12.0, -0.7)
    voltage = np.where((time >= CLOSED) & (time < OPENED), held, 0.0)
    voltage[(time >= OPENED) & (time < OPENED + 5e-3)] = -30.0
    stretch = only(read(voltage, rate, OutputKind.COIL))

    assert holds(stretch.closed_s, CLOSED)
    assert holds(stretch.opened_s, OPENED)
