"""A quick look at a capture of the pilot, with nothing written anywhere."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from coldpin.capture import open_samples, read_waveform, sniff
from coldpin.errors import InputError, UnknownName
from coldpin.pilot import OutputSensor, read_pilot, read_pilot_stream
from coldpin.pilot.plausibility import bench_hints
from coldpin.pilot.states import windows_of
from coldpin.quantity import parse_quantity
from coldpin.records.dialect import Dialect
from coldpin.records.instrument import Instrument
from coldpin.records.pilot import OutputKind, PilotReading
from coldpin.standards.accuracy import ScopeAccuracy, parse_accuracy
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from coldpin.standards.pilot import generator
from coldpin.workbench.long_capture import LONG, left_out


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What a quick look found: the reading, how the file was read, one step of its samples, and what looks like a slip.

    ``step_v`` is None where no step is known. [V]
    """

    reading: PilotReading
    dialect: Dialect
    remarks: tuple[str, ...]
    step_v: float | None = None
    hints: tuple[str, ...] = ()


def look_at_pilot(
    path: Path | str,
    *,
    choices: Mapping[str, str | float | int] | None = None,
    edition: Edition = Edition.IEC_3,
    vertical: str = "",
    timebase: str = "",
    full_scale: str = "",
    bandwidth: str = "",
    output_kind: str = "",
    output_delay: str = "",
    in_parts: bool = False,
    progress: Callable[[float], None] | None = None,
) -> Look:
    """Read a capture of the pilot and say which states it shows, with figures; nothing is written.

    Parameters
    ----------
    path : Path or str
        The capture.
    choices : mapping, optional
        How to read it, as for :func:`coldpin.capture.read_waveform`.
    edition : Edition
        Whose state windows and duty zones are used.
    vertical, timebase : str
        Accuracy statements of the scope, as its maker writes them.
    full_scale : str
        Volts over the whole screen, for a vertical statement that speaks of full scale.
    bandwidth : str
        The scope's, as its maker states it; without it edges must span three samples to be told.
    output_kind : str
        What the second channel sees: "mains", "level" or "coil"; empty where it is to be recognised.
    output_delay : str
        By how much its sensor shows late, such as "2 ms ± 1 ms"; empty where nobody stated it.
    in_parts : bool
        Read it in parts, in bounded memory, however short it is; a long one always is.
    progress : callable, optional
        Told the fraction done.

    Returns
    -------
    Look
        Reading, dialect, remarks and hints.

    Raises
    ------
    CaptureError
        The file cannot be read, or only in more than one way.
    InputError
        A statement cannot be read.
    UnknownName
        The kind of output is not known.

    Examples
    --------
    >>> look_at_pilot("missing.csv")
    Traceback (most recent call last):
    ...
    coldpin.errors.CaptureError: ...
    """
    sensor = output_sensor(output_kind, output_delay)
    accuracy = scope_accuracy(vertical, timebase, full_scale, "scope", bandwidth=bandwidth)
    if in_parts or is_long(Path(path), choices or {}):
        with open_samples(Path(path), choices=choices or {}) as source:
            reading = read_pilot_stream(source, book=load_book(), edition=edition, accuracy=accuracy, progress=progress)
            return Look(
                reading=reading,
                dialect=source.dialect,
                remarks=(*source.remarks, *left_out(source.dialect.output)),
                step_v=source.resolution,
                hints=_hints(reading, edition),
            )
    capture = read_waveform(Path(path), choices=choices or {}, progress=progress)
    reading = read_pilot(
        capture.waveform,
        book=load_book(),
        edition=edition,
        accuracy=accuracy,
        sensor=sensor,
        progress=progress,
    )
    return Look(
        reading=reading,
        dialect=capture.dialect,
        remarks=capture.remarks,
        step_v=capture.waveform.resolution,
        hints=_hints(reading, edition),
    )


def _hints(reading: PilotReading, edition: Edition) -> tuple[str, ...]:
    book = load_book()
    return bench_hints(reading, windows=windows_of(book, edition), generator=generator(book, edition))


def is_long(path: Path, choices: Mapping[str, str | float | int], remembered: Dialect | None = None) -> bool:
    """Whether a capture is better read in parts: it is long, and its samples can be fetched part by part.

    Parameters
    ----------
    path : Path
        The capture.
    choices : mapping
        How to read it.
    remembered : Dialect, optional
        How the instrument's files were read before.

    Returns
    -------
    bool
        False for text, which is read as a whole.

    Raises
    ------
    CaptureError
        The file cannot be read.

    Examples
    --------
    >>> is_long(Path("missing.csv"), {})
    False
    """
    if (
        not path.is_file()
        or path.stat().st_size < LONG
        or (sniff(path, choices=choices, remembered=remembered).format == "text")
    ):
        return False
    with open_samples(path, choices=choices, remembered=remembered) as source:
        return source.samples >= LONG


def scope_accuracy(
    vertical: str, timebase: str, full_scale: str, name: str, *, bandwidth: str = ""
) -> ScopeAccuracy | None:
    """Read the accuracy statements of a scope.

    Parameters
    ----------
    vertical, timebase, full_scale : str
        As a person writes them; empty where nothing is known.
    name : str
        The scope's name, which makes its error one and the same in all of a capture.
    bandwidth : str
        Such as "20 MHz"; empty where not known.

    Returns
    -------
    ScopeAccuracy or None
        None where nothing is known.

    Raises
    ------
    InputError
        A text cannot be read, or the bandwidth is not above zero.

    Examples
    --------
    >>> scope_accuracy("", "", "", "scope", bandwidth="20 MHz").bandwidth
    20000000.0
    """
    if not vertical and not timebase and not bandwidth:
        return None
    reach = parse_quantity(bandwidth, "Hz").value if bandwidth else None
    if reach is not None and not 0.0 < reach < math.inf:
        raise InputError(
            f"the bandwidth of the scope is {bandwidth!r}; it must be above 0 Hz: give it as its maker states it, such "
            "as '20 MHz'"
        )
    return ScopeAccuracy(
        vertical=parse_accuracy(vertical) if vertical else None,
        timebase=parse_accuracy(timebase) if timebase else None,
        full_scale=parse_quantity(full_scale, "V").value if full_scale else None,
        bandwidth=reach,
        id=name,
    )


def output_sensor(kind: str, delay: str) -> OutputSensor:
    """Return what is stated of the second channel.

    Parameters
    ----------
    kind : str
        "mains", "level" or "coil"; empty where it is to be recognised.
    delay : str
        By how much it shows late, as a person writes it; empty where nobody stated it.

    Returns
    -------
    OutputSensor
        The kind, and the delay with its uncertainty. [s]

    Raises
    ------
    InputError
        The delay cannot be read, or is below zero.
    UnknownName
        The kind is not known.

    Examples
    --------
    >>> sensor = output_sensor("mains", "2 ms ± 1 ms")
    >>> sensor.kind.value, round(sensor.delay.u, 6)
    ('mains', 0.000577)
    """
    if kind and kind not in set(OutputKind):
        raise UnknownName.among("kind of output", kind, list(OutputKind))
    late = parse_quantity(delay, "s", id="output sensor: delay", label="delay of the sensor") if delay else None
    if late is not None and late.value < 0.0:
        raise InputError(f"the output's sensor is said to be {delay} late: a sensor cannot show what is to come")
    return OutputSensor(kind=OutputKind(kind) if kind else None, delay=late)


def accuracy_of(instrument: Instrument | None, full_scale: str, name: str) -> ScopeAccuracy | None:
    """Return what an instrument of the shelf says of its accuracy as a scope.

    Parameters
    ----------
    instrument : Instrument or None
        The instrument.
    full_scale : str
        Volts over the whole screen, empty where not stated.
    name : str
        Its name on the shelf.

    Returns
    -------
    ScopeAccuracy or None
        None where nothing is known.

    Raises
    ------
    InputError
        A statement cannot be read.
    """
    if instrument is None:
        return None
    statements = instrument.statements
    return scope_accuracy(
        statements.get("voltage", ""),
        statements.get("time", ""),
        full_scale,
        name,
        bandwidth=statements.get("bandwidth", ""),
    )
