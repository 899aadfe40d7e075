"""A capture that was read whole, given out in parts as one that stays on disk."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from types import TracebackType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.level import clipping_remarks, missing_remarks, scale_step, take_overload
from coldpin.capture.record import Capture
from coldpin.capture.timing import Timing
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect
from coldpin.records.samples import RawSamples
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
class MemorySource:
    """A capture in memory; see :class:`coldpin.records.samples.SampleSource`. Its samples are volts."""

    capture: Capture
    remarks: tuple[str, ...]
    dtype: np.dtype[Any] = field(default=np.dtype(np.float64), init=False)
    gain: float = field(default=1.0, init=False)
    zero: float = field(default=0.0, init=False)
    overload: tuple[int, int] | None = field(default=None, init=False)
    seekable: bool = field(default=True, init=False)

    @property
    def samples(self) -> int:
        """The number of samples."""
        return self.capture.waveform.samples

    @property
    def sample_interval(self) -> float:
        """The time between samples. [s]"""
        return self.capture.waveform.sample_interval

    @property
    def start(self) -> float:
        """The time of the first sample. [s]"""
        return self.capture.waveform.start

    @property
    def resolution(self) -> float | None:
        """One step of the instrument's scale. [V]"""
        return self.capture.waveform.resolution

    @property
    def dialect(self) -> Dialect:
        """How the file was read."""
        return self.capture.dialect

    def read(self, first: int, into: RawSamples) -> int:
        """Read samples of the pilot from any place.

        Parameters
        ----------
        first : int
            Place of the first sample wanted. [1]
        into : NDArray
            Array of shape (n,) of float64, which is filled. [V]

        Returns
        -------
        int
            How many were read; fewer than n only at the end. [1]

        Raises
        ------
        ValueError
            The array is of another type.
        """
        if into.dtype != self.dtype:
            raise ValueError(f"the array is of type {into.dtype}, the samples are {self.dtype}")
        part = self.capture.waveform.voltage[first : first + into.size]
        into[: part.size] = part
        return int(part.size)

    def chunks(self, samples: int) -> Iterator[tuple[RawSamples, NDArray[np.float64] | None]]:
        """Go through the capture from its beginning.

        Parameters
        ----------
        samples : int
            How many samples a chunk holds at most. [1]

        Yields
        ------
        tuple of NDArray and (NDArray or None)
            The pilot, and the output beside it where there is one. [V]
        """
        voltage, output = self.capture.waveform.voltage, self.capture.waveform.output
        for first in range(0, self.samples, samples):
            yield (
                voltage[first : first + samples],
                None if output is None else output[first : first + samples],
            )

    def close(self) -> None:
        """Do nothing: no file is open."""

    def __enter__(self) -> MemorySource:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()
