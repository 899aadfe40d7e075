"""Spikes on the virtual pilot: as many as their rate says, where the truth says, and nowhere else."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.errors import OutsideRange
from coldpin.simulator import VirtualScope, VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.simulator.interference import draw_spikes

SPIKED = VirtualUnit(spike_rate=100.0, spike_height=8.0, spike_width=4.0e-5)
QUIET = VirtualScope(bits=24, noise=0.0, gain_limit=0.0, offset_limit=0.0, timebase_limit=0.0, output_noise=0.0)


@pytest.mark.hand("Poisson: mean 1000 in ten seconds, standard deviation 32; widths from 0.3 to 1 of the widest")
def test_spikes_come_as_often_as_their_rate_says() -> None:
    """Spikes are in order, as many as their rate lets expect, of both signs, none wider than the widest."""
    spikes = draw_spikes(SPIKED, 10.0, np.random.default_rng(3))
    widths = np.array([spike.width for spike in spikes])

    assert len(spikes) == pytest.approx(1000, abs=5 * 32)
    assert [spike.start for spike in spikes] == sorted(spike.start for spike in spikes)
    assert 1.2e-5 <= widths.min() < widths.max() <= 4.0e-5
    assert {spike.peak for spike in spikes} == {8.0, -8.0}


@pytest.mark.hand("a capture with spikes less the same without them: 8 V inside the true stretches, nothing outside")
def test_spikes_are_where_the_truth_says() -> None:
    """Samples differ from those of a quiet unit inside the true spikes alone, by their height."""
    bench = set_up_bench(QUIET, seed=1)
    one, other = (
        simulate_capture(unit, VirtualVehicle(), [(0.5, "B")], bench, seed=2, sample_interval=2.0e-6)
        for unit in (SPIKED, VirtualUnit())
    )
    apart = one.waveform.voltage - other.waveform.voltage
    times = 2.0e-6 * np.arange(apart.size)
    inside = np.zeros(apart.size, dtype=np.bool_)
    for spike in one.truth.spikes:
        inside |= (times >= spike.start) & (times < spike.start + spike.width)

    assert other.truth.spikes == ()
    assert 30 < len(one.truth.spikes) < 80
    assert np.abs(apart[~inside]).max() < 1e-5
    assert np.abs(apart[inside]) == pytest.approx(8.0, abs=1e-4)


@pytest.mark.hand("text of the message")
def test_a_rate_is_not_negative() -> None:
    """A negative rate is refused."""
    with pytest.raises(OutsideRange, match="spike_rate is -1 a second; it cannot be negative"):
        VirtualUnit(spike_rate=-1.0)
