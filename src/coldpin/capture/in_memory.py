"""A capture that was read whole, given out in parts as one that stays on disk."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.level import clipping_remarks, missing_remarks, scale_step, take_overload
from coldpin.capture.record import Capture
from coldpin.capture.timing import Timing
from coldpin.capture.volts import Volts, VoltsSource
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect
from coldpin.records.waveform import Waveform


def assemble(
    voltage: NDArray[np.float64],
    output: NDArray[np.float64] | None,
    timing: Timing,
    *,
    dialect: Dialect,
    remarks: tuple[str, ...],
    reader: str,
    preamble: tuple[str, ...] = (),
) -> Capture:
    """Build a capture of columns in memory, with what their values show.

    Parameters
    ----------
    voltage : NDArray
        Array of shape (n,), NaN where a sample is missing, infinite where it was beyond range; it is changed. [V]
    output : NDArray or None
        Array of shape (n,), the second channel; it is changed. [V]
    timing : Timing
        Step and start.
    dialect : Dialect
        How the file was read.
    remarks : tuple of str
        What the reader had to do.
    reader : str
        The name of the reader.
    preamble : tuple of str
        Lines of the file that stand before its samples.

    Returns
    -------
    Capture
        The capture.

    Raises
    ------
    CaptureError
        No sample holds a voltage.
    """
    overload, marked = take_overload(voltage, "voltage")
    if not np.isfinite(voltage).any():
        raise CaptureError(f"{dialect.voltage!r} holds no voltage at all, only marks: export the capture again")
    beside = () if output is None else take_overload(output, "output")[1]
    missing = missing_remarks(voltage, overload)
    said = (*remarks, *timing.remarks, *marked, *missing, *beside, *clipping_remarks(voltage))
    waveform = Waveform(
        voltage=voltage,
        sample_interval=timing.step,
        start=timing.start,
        output=output,
        overload=overload,
        resolution=scale_step(voltage),
        remarks=said,
    )
    return Capture(
        waveform=waveform,
        dialect=dialect,
        remarks=said,
        preamble=preamble,
        rows_read=int(voltage.size),
        rows_kept=int(voltage.size),
        reader=reader,
    )


@dataclass(slots=True, kw_only=True, eq=False)
class MemorySource(VoltsSource):
    """A capture in memory."""

    voltage: Volts
    output: Volts | None
    seekable: bool = field(default=True, init=False)

    def _fill(self, first: int, into: Volts) -> None:
        into[:] = self.voltage[first : first + into.size]

    def _batches(self) -> Iterator[tuple[Volts, Volts | None]]:
        yield self.voltage, self.output


def given_out(capture: Capture, remarks: tuple[str, ...]) -> MemorySource:
    """Give a capture out as one that stays on disk.

    Parameters
    ----------
    capture : Capture
        The capture, read whole.
    remarks : tuple of str
        What is to be said before its own remarks.

    Returns
    -------
    MemorySource
        The same capture.
    """
    waveform = capture.waveform
    return MemorySource(
        samples=waveform.samples,
        sample_interval=waveform.sample_interval,
        start=waveform.start,
        dialect=capture.dialect,
        resolution=waveform.resolution,
        remarks=(*remarks, *capture.remarks),
        voltage=waveform.voltage,
        output=waveform.output,
    )
