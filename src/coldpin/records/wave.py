"""What is shown of a wave: a cut of it for drawing, the figures of one cycle, the windows it is judged by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.pilot import OfferedCurrent, State


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveChannel:
    """One channel of a cut.

    ``low_v`` and ``high_v`` hold the lowest and the highest sample of each column, null where all of them are missing;
    where each column is one sample both are that sample. [V]
    """

    name: str
    low_v: tuple[float | None, ...]
    high_v: tuple[float | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveCut:
    """A part of a capture, reduced for drawing and never thinned.

    Parameters
    ----------
    schema : str
        The form of this record.
    first : int
        Its first sample, counted from 0. [1]
    stop : int
        One past its last sample. [1]
    samples_per_column : int
        1 where every sample is there; the last column may stand for fewer. [1]
    start_s : float
        The time of its first sample, from the first of the capture. [s]
    sample_interval_s : float
        From one sample to the next. [s]
    channels : tuple of WaveChannel
        The pilot, and the output where there is one.
    """

    schema: Literal["coldpin.wave/1"]
    first: int
    stop: int
    samples_per_column: int
    start_s: float
    sample_interval_s: float
    channels: tuple[WaveChannel, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of time, from the first sample of the capture. [s]"""

    from_s: float
    to_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleFigures:
    """What one cycle of the pilot shows, or one block of a level that stands.

    Parameters
    ----------
    kind : str
        "cycle", "level" for a block of a level that stands, or "neither".
    state : State
        What it says alone; the state of the capture there may be another, where it stands at the edge of a window.
    stretch : Stretch
        From one rising crossing of 0 V to the next, or the block.
    falls_s : float or None
        When it crosses 0 V between. [s]
    high_v, low_v : Quantity or None
        Its settled levels. [V]
    high_from, low_from : Stretch or None
        What of it the levels were taken from.
    frequency_hz : Quantity or None
        [Hz]
    duty_percent : Quantity or None
        [%]
    offered_current_a : OfferedCurrent or None
        What the duty cycle tells a vehicle. [A]
    why : str
        Where there are no figures: why.
    """

    kind: Literal["cycle", "level", "neither"]
    state: State
    stretch: Stretch
    falls_s: float | None = None
    high_v: Quantity | None = None
    low_v: Quantity | None = None
    high_from: Stretch | None = None
    low_from: Stretch | None = None
    frequency_hz: Quantity | None = None
    duty_percent: Quantity | None = None
    offered_current_a: OfferedCurrent | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StateBand:
    """The windows of the levels in one state. [V]

    ``low_v`` is null where the low level has none. ``sources`` name the texts they are from.
    """

    state: State
    high_v: tuple[float, float] | None
    low_v: tuple[float, float] | None
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveEvent:
    """Something that happened at an instant of a capture.

    ``kind`` is "state" (the pilot went over to another), "switching" (an operation of the output) or "glitch".
    ``at_s`` counts from the first sample, ``lasts_s`` is 0 for what has no length. [s]
    """

    kind: Literal["state", "switching", "glitch"]
    at_s: float
    words: str
    lasts_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveState:
    """A stretch in one state, as it is drawn above the wave."""

    state: State
    stretch: Stretch
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveMarks:
    """What is drawn beside a wave.

    Parameters
    ----------
    schema : str
        The form of this record.
    samples : int
        Of the capture. [1]
    sample_interval_s : float
        [s]
    channels : tuple of str
        The pilot, and the output where there is one.
    prepared : bool
        Whether any window can be drawn at once.
    states : tuple of WaveState
        In order of time, without gap; none where the capture was not assessed yet.
    events : tuple of WaveEvent
        In order of time.
    bands : tuple of StateBand
        The windows of the levels in each state.
    sources : tuple of str
        The texts that these are from.
    beats_s : tuple of float
        How long a cycle of the pilot lasts, and one of the mains where the output shows it: a column that is drawn
        with many of them beside each other must hold a whole one, or it shows a part of it that means nothing. [s]
    """

    schema: Literal["coldpin.wave_marks/1"]
    samples: int
    sample_interval_s: float
    channels: tuple[str, ...]
    prepared: bool
    states: tuple[WaveState, ...]
    events: tuple[WaveEvent, ...]
    bands: tuple[StateBand, ...]
    sources: tuple[str, ...]
    beats_s: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RibbonPiece:
    """A stretch of a small ribbon: where it begins and how wide it is, in per cent, and whether a word has room."""

    state: State
    left_percent: float
    width_percent: float
    named: bool
