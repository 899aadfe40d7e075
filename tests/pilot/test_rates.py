"""From 48 kS/s to 10 MS/s: state, diode, levels and duty cycle are right, or wide, and never wrong."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.pilot import ScopeAccuracy, read_pilot
from coldpin.records.pilot import Diode
from coldpin.records.waveform import Waveform
from coldpin.standards import Edition, load_book, parse_accuracy

from .rc_circuit import LOADS, Stage, Unit, rest, sample_times, true_duty, waveform

BOOK = load_book()
RATES = [48e3, 96e3, 192e3, 250e3, 1e6, 2.5e6, 1e7]
"""Sound cards, loggers and scopes. [1/s]"""
SCOPE = ScopeAccuracy(vertical=parse_accuracy("0.01 V"))


@pytest.mark.independent("circuit solved by hand")
@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("duty", [5.0, 26.67, 53.33, 96.0])
def test_every_rate_reads_right_or_wide(rate: float, duty: float) -> None:
    """At 48 kS/s a pulse of 5 % has two or three samples: its figures may be wide or absent, not wrong."""
    unit = Unit(capacitance=2e-9, frequency=1003.7)
    times = sample_times(round((0.015 if rate > 2e6 else 0.1) * rate), 1.0 / rate)
    for letter in "BC":
        stage = Stage(duration=0.11, load=LOADS[letter], duty=duty)
        voltage = waveform([stage], unit, times, 0.3) + np.random.default_rng(4).normal(0.0, 0.02, times.size)
        given = Waveform(voltage=voltage, sample_interval=1.0 / rate)
        (run,) = read_pilot(given, book=BOOK, edition=Edition.IEC_3, accuracy=SCOPE).runs
        assert (run.state.value, run.diode) == (f"{letter}2", Diode.PRESENT)
        for figure, true in (
            (run.high_v, rest(unit.high, LOADS[letter], unit)),
            (run.low_v, unit.low),
            (run.duty_percent, true_duty(duty, LOADS[letter], unit)),
            (run.frequency_hz, unit.frequency),
        ):
            if figure is not None and figure.u is not None:
                assert abs(figure.value - true) <= max(2.0 * figure.u, figure.expanded or 0.0), figure
        if rate >= 192e3:
            assert None not in (run.high_v, run.low_v, run.duty_percent, run.frequency_hz)
