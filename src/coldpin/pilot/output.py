"""The second channel beside the pilot: what it sees of the output, and when the output was live."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coldpin.pilot.crossings import Numbers
from coldpin.pilot.level_output import LEAST_LEVEL, level_height, level_stretches
from coldpin.pilot.mains_output import FEWEST_IN_MEANS, in_means, mains_trace
from coldpin.quantity import Quantity, format_value
from coldpin.records.pilot import Bracket, LiveStretch, OutputKind, OutputReading


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputSensor:
    """How the output was seen.

    ``kind`` is None where it is to be recognised. ``delay`` is by how much the channel shows late what happens at the
    contacts, None where nobody stated it. [s] It counts as stated even where its uncertainty is not known, but a time
    reckoned with it has none then either.

    Examples
    --------
    >>> OutputSensor(kind=OutputKind.MAINS, delay=Quantity(2e-3, 0.5e-3, "s")).kind.value
    'mains'
    """

    kind: OutputKind | None = None
    delay: Quantity | None = None


def read_output(
    output: Numbers, interval: float, *, kind: OutputKind | None = None, touch: float | None = None
) -> OutputReading | None:
    """Read when the output was live.

    Mains is recognised by halves that alternate at 50 Hz or 60 Hz; anything else is taken as a level. A relay's coil
    looks like a level and must be stated. A channel that never changes cannot tell by itself whether what it shows is a
    sensor's small picture of the mains or what couples across open contacts: below the voltage ``touch`` it is taken as
    live, with a doubt.

    Parameters
    ----------
    output : NDArray[np.float64]
        Array of shape (n,), the second channel as read, NaN where a sample is missing. [V]
    interval : float
        Time between samples. [s]
    kind : OutputKind or None
        What the channel sees; None where it is to be recognised.
    touch : float or None
        R.m.s. voltage from which unchanging mains is live without doubt; None for never. [V]

    Returns
    -------
    OutputReading or None
        None where no sample is there.

    Examples
    --------
    >>> reading = read_output(np.repeat([0.0, 12.0, 0.0], 2000), 1e-4)
    >>> reading.kind.value, len(reading.live), reading.amplitude_v
    ('level', 1, 12.0)
    """
    voltage = np.where(np.isfinite(output), output, np.nan)
    if not np.isfinite(voltage).any():
        return None
    if kind in (None, OutputKind.MAINS):
        trace, blur = mains_trace(voltage, interval), 0.0
        if not trace.recognised():
            means, step = in_means(voltage, interval)
            quiet = mains_trace(means, step) if np.isfinite(means).any() else trace
            if quiet.recognised(FEWEST_IN_MEANS):
                trace, blur = quiet, step
        if kind is OutputKind.MAINS or trace.recognised():
            live = tuple(_blurred(stretch, blur) for stretch in trace.stretches())
            return OutputReading(
                kind=OutputKind.MAINS,
                stated=kind is not None,
                live=live,
                amplitude_v=trace.amplitude if live else 0.0,
                doubt=_doubt_of_mains(live, trace.amplitude / math.sqrt(2.0), touch),
            )
    return _level(voltage, interval, kind)


def _blurred(stretch: LiveStretch, blur: float) -> LiveStretch:
    """Widen the brackets of what was found in means: each stands for the time from its first sample to its last."""

    def wide(bracket: Bracket | None) -> Bracket | None:
        return None if bracket is None else (bracket[0], bracket[1] + blur)

    return LiveStretch(
        first_contact_s=wide(stretch.first_contact_s),
        closed_s=wide(stretch.closed_s),
        first_break_s=wide(stretch.first_break_s),
        opened_s=wide(stretch.opened_s),
    )


def _doubt_of_mains(live: tuple[LiveStretch, ...], rms: float, touch: float | None) -> str:
    if not _unchanging(live) or (touch is not None and rms >= touch):
        return ""
    return (
        f"the output never changes and shows mains of {format_value(rms, 'V')} r.m.s. as read: whether that is a "
        "sensor's picture of live contacts or what couples across open ones it cannot tell"
    )


def _unchanging(live: tuple[LiveStretch, ...]) -> bool:
    return len(live) == 1 and live[0].closed_s is None and live[0].opened_s is None


def _level(voltage: Numbers, interval: float, kind: OutputKind | None) -> OutputReading:
    rest, up = level_height(voltage, interval, coil=kind is OutputKind.COIL)
    live = level_stretches(voltage, interval, rest=rest, up=up, coil=kind is OutputKind.COIL)
    doubt = ""
    if rest == up and abs(up) >= LEAST_LEVEL:
        live = (LiveStretch(first_contact_s=None, closed_s=None, first_break_s=None, opened_s=None),)
        doubt = (
            f"the output never changes and stays at {format_value(up, 'V')}: whether that level means live contacts it "
            "cannot tell"
        )
    height = abs(up - rest) if up != rest else abs(up)
    return OutputReading(
        kind=kind or OutputKind.LEVEL, stated=kind is not None, live=live, amplitude_v=height, doubt=doubt
    )
