"""What looks like a slip at the bench, not like a unit: clipping, a probe's factor, a.c. coupling, a wrong rate."""

from __future__ import annotations

from collections.abc import Sequence

from coldpin.pilot.levels import may_be_clipped
from coldpin.pilot.states import Windows
from coldpin.quantity import format_value
from coldpin.records.pilot import Diode, PilotReading, Run, State
from coldpin.standards.pilot import Generator

TENFOLD = 10.0
"""Ours: the factor of the probe that is forgotten most often. [1]"""

FAR_OFF = 0.1
"""Ours: an oscillator that is off by more than this part is more likely sampled at another rate than stated. [1]"""

NO_MEAN = 0.02
"""Ours: a mean below this part of the swing is none, as behind a capacitor. [1]"""


def bench_hints(reading: PilotReading, *, windows: Windows, generator: Generator) -> tuple[str, ...]:
    """Return what to look at before a reading is believed.

    Parameters
    ----------
    reading : PilotReading
        The reading.
    windows : Windows
        The windows of its edition.
    generator : Generator
        The generator of its edition.

    Returns
    -------
    tuple of str
        One sentence for each kind of slip that it looks like; empty where it looks like none.
    """
    found = (
        _clipped(reading.runs),
        _forgotten_factor(reading.runs, windows),
        _coupled(reading.runs, windows),
        _wrong_rate(reading, generator),
        _between_windows(reading.runs, windows),
    )
    return tuple(hint for hint in found if hint)


def _clipped(runs: Sequence[Run]) -> str:
    cut = [level for run in runs for level in (run.high_v, run.low_v) if level is not None and may_be_clipped(level)]
    if not cut:
        return ""
    return (
        f"the instrument may have clipped at {format_value(cut[0].value, 'V')}: that level is farther from 0 V by an "
        "unknown amount, and no diode is told by it; repeat the capture on a larger range"
    )


def _forgotten_factor(runs: Sequence[Run], windows: Windows) -> str:
    low = windows.low_of("B")
    lows = [run.low_v.value for run in runs if run.frequency_hz is not None and run.low_v is not None]
    if not lows or not all(low.holds(TENFOLD * level) for level in lows):
        return ""
    return (
        "the pilot swings at a tenth of its levels: was a probe of 10:1 read as 1:1? Give its factor with --scale 10, "
        "or set it at the instrument"
    )


def _coupled(runs: Sequence[Run], windows: Windows) -> str:
    low = windows.low_of("B")
    for run in runs:
        if run.high_v is None or run.low_v is None or run.duty_percent is None or run.diode is Diode.ABSENT:
            continue
        share, high, below = 0.01 * run.duty_percent.value, run.high_v.value, run.low_v.value
        if not low.holds(below) and abs(share * high + (1.0 - share) * below) <= NO_MEAN * (high - below):
            return (
                "the pilot has no mean and its low level is not that of a rail: was the input a.c.-coupled, or a sound "
                "card's? Its levels and states tell nothing then; capture it d.c.-coupled"
            )
    return ""


def _wrong_rate(reading: PilotReading, generator: Generator) -> str:
    nominal = generator.frequency.nominal
    if nominal is None:
        return ""
    interval = reading.source.sample_interval_s
    if 2.0 * interval * nominal >= 1.0:
        return (
            f"a sample every {interval:.3g} s cannot show an oscillator of {nominal:g} Hz: is the rate (or the step) "
            "of the capture right?"
        )
    told = [run.frequency_hz.value for run in reading.runs if run.frequency_hz is not None]
    if told and all(abs(frequency / nominal - 1.0) > FAR_OFF for frequency in told):
        return (
            f"the oscillator runs at {told[0]:.4g} Hz instead of {nominal:g} Hz: is the rate (or the step) of the "
            "capture right?"
        )
    return ""


def _between_windows(runs: Sequence[Run], windows: Windows) -> str:
    for run in runs:
        if run.state is not State.UNDEFINED or run.high_v is None:
            continue
        level = run.high_v.value
        above = [window for window in windows.high if window.minimum > level]
        below = [window for window in windows.high if window.maximum < level]
        if above and below and len(above) + len(below) == len(windows.high):
            upper = min(above, key=lambda window: window.minimum).letter
            lower = max(below, key=lambda window: window.maximum).letter
            return (
                f"{level:.4g} V lies between the windows of {upper} and {lower}: with a resistance at the edge of what "
                "is allowed and rails at theirs a sound unit's pilot may stand there too"
            )
    return ""
