"""Samples of one size, evenly laid out in a file: read from any place, as they are stored."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from types import TracebackType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.level import clipping_remarks, missing_remarks, take_overload
from coldpin.capture.record import Capture, Progress
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import LARGEST_CLAIM
from coldpin.records.dialect import Dialect
from coldpin.records.samples import RawSamples
from coldpin.records.waveform import Waveform

PIECE_BYTES = 1 << 20
"""How much is fetched at once where the samples wanted do not lie side by side. [byte]"""

BITS = 1 << 3
"""Bits in a byte."""

_LOOKS = 100
_LOOK = 1000
"""Stretches spread evenly over a long capture, and samples in each, by which its levels are judged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """Where the samples of one channel stand.

    ``first`` is the place of its first sample, ``stride`` the distance from one to the next. [byte] ``stored`` is the
    type in the file, ``kept`` that in memory. Three bytes of a 24-bit sample become the upper ones of an int32.
    A sample x stands for ``gain * x + zero``. [V]
    """

    first: int
    stride: int
    stored: np.dtype[Any]
    kept: np.dtype[Any]
    gain: float = 1.0
    zero: float = 0.0
    packed: bool = False

    @property
    def width(self) -> int:
        """The size of a sample in the file. [byte]"""
        return PACKED_WIDTH if self.packed else int(self.stored.itemsize)

    def volts(self, samples: RawSamples) -> NDArray[np.float64]:
        """Return stored samples in volts.

        Parameters
        ----------
        samples : NDArray
            Array of shape (n,) of the kept type.

        Returns
        -------
        NDArray
            Array of shape (n,). [V]
        """
        volts: NDArray[np.float64] = samples.astype(np.float64)
        if self.gain != 1.0:
            volts *= self.gain
        if self.zero != 0.0:
            volts += self.zero
        return volts


PACKED_WIDTH = 3
"""Size of a 24-bit sample. [byte]"""


@dataclass(slots=True, kw_only=True, eq=False)
class FrameSource:
    """A capture whose samples can be read from any place; see :class:`coldpin.records.samples.SampleSource`.

    ``pilot`` and ``output`` say where the samples of the two stand in ``file``, which is closed with the source.
    """

    file: CaptureFile
    pilot: Channel
    output: Channel | None
    samples: int
    sample_interval: float
    dialect: Dialect
    start: float = 0.0
    resolution: float | None = None
    overload: tuple[int, int] | None = None
    remarks: tuple[str, ...] = ()
    preamble: tuple[str, ...] = ()
    reader: str = ""
    seekable: bool = field(default=True, init=False)

    @property
    def dtype(self) -> np.dtype[Any]:
        """The type of the samples as they are given out."""
        return self.pilot.kept

    @property
    def gain(self) -> float:
        """What one step of a stored sample stands for. [V]"""
        return self.pilot.gain

    @property
    def zero(self) -> float:
        """What a stored zero stands for. [V]"""
        return self.pilot.zero

    def read(self, first: int, into: RawSamples) -> int:
        """Read samples of the pilot from any place.

        Parameters
        ----------
        first : int
            Place of the first sample wanted. [1]
        into : NDArray
            Array of shape (n,) of the stored type, which is filled.

        Returns
        -------
        int
            How many were read; fewer than n only at the end. [1]

        Raises
        ------
        CaptureError
            The file became shorter, or cannot be read.
        ValueError
            The array is of another type.
        """
        if into.dtype != self.dtype:
            raise ValueError(f"the array is of type {into.dtype}, the samples are {self.dtype}")
        count = min(int(into.size), max(self.samples - first, 0))
        fetch(self.file, self.pilot, first, into[:count])
        _without_infinite(into[:count])
        return count

    def read_output(self, first: int, count: int) -> NDArray[np.float64] | None:
        """Read samples of the output beside the pilot from any place.

        Parameters
        ----------
        first : int
            Place of the first sample wanted. [1]
        count : int
            How many. [1]

        Returns
        -------
        NDArray or None
            Array of shape (n,), fewer than asked for only at the end; None where there is no output. [V]

        Raises
        ------
        CaptureError
            The file became shorter, or cannot be read.
        """
        if self.output is None:
            return None
        stored = np.empty(min(count, max(self.samples - first, 0)), self.output.kept)
        fetch(self.file, self.output, first, stored)
        volts = self.output.volts(stored)
        _without_infinite(volts)
        return volts

    def volts(self, first: int, count: int) -> tuple[NDArray[np.float64], NDArray[np.bool_] | None]:
        """Read samples of the pilot from any place, in volts.

        Parameters
        ----------
        first : int
            Place of the first sample wanted. [1]
        count : int
            How many. [1]

        Returns
        -------
        tuple of NDArray and (NDArray or None)
            Array of shape (n,) [V], and which of them stand at an end of what can be stored, where that means that they
            were beyond the instrument's range.

        Raises
        ------
        CaptureError
            The file became shorter, or cannot be read.
        """
        stored = np.empty(min(count, max(self.samples - first, 0)), self.dtype)
        self.read(first, stored)
        beyond = None
        if self.overload is not None:
            beyond = (stored == self.overload[0]) | (stored == self.overload[1])
        return self.pilot.volts(stored), beyond

    def chunks(self, samples: int) -> Iterator[tuple[RawSamples, NDArray[np.float64] | None]]:
        """Go through the capture from its beginning.

        Parameters
        ----------
        samples : int
            How many samples a chunk holds at most. [1]

        Yields
        ------
        tuple of NDArray and (NDArray or None)
            The pilot as stored, and the output beside it [V] where there is one. The first is overwritten by the next.

        Raises
        ------
        CaptureError
            The file became shorter, or cannot be read.
        """
        room = min(samples, self.samples)
        pilot = np.empty(room, self.dtype)
        output = np.empty(room, self.output.kept) if self.output is not None else None
        for first in range(0, self.samples, samples):
            count = min(samples, self.samples - first)
            fetch(self.file, self.pilot, first, pilot[:count])
            _without_infinite(pilot[:count])
            beside = None
            if self.output is not None and output is not None:
                fetch(self.file, self.output, first, output[:count])
                beside = self.output.volts(output[:count])
                _without_infinite(beside)
            yield pilot[:count], beside

    def close(self) -> None:
        """Let go of the file."""
        self.file.close()

    def __enter__(self) -> FrameSource:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()


def fetch(file: CaptureFile, channel: Channel, first: int, into: RawSamples) -> None:
    """Fill an array with samples of one channel.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    channel : Channel
        Where its samples stand.
    first : int
        Which sample comes first, from 0.
    into : NDArray
        Array of shape (n,) of the kept type, which is filled.

    Raises
    ------
    CaptureError
        The file ends before, or cannot be read.
    """
    place = channel.first + first * channel.stride
    as_stored = channel.stored == channel.kept and channel.stride == channel.stored.itemsize and not channel.packed
    if into.size and as_stored and into.flags.c_contiguous:
        file.read_at(place, into.data.cast("B"))
    else:
        _fetch_apart(file, channel, place, into)


def _without_infinite(samples: RawSamples) -> None:
    if samples.dtype.kind == "f":
        samples[np.isinf(samples)] = np.nan


def _fetch_apart(file: CaptureFile, channel: Channel, place: int, into: RawSamples) -> None:
    """Fetch samples that lie apart, or are stored otherwise than kept, piece by piece."""
    most = max(PIECE_BYTES // channel.stride, 1)
    piece = bytearray(max((min(most, into.size) - 1) * channel.stride + channel.width, 0))
    for at in range(0, into.size, most):
        part = into[at : at + most]
        size = (part.size - 1) * channel.stride + channel.width
        file.read_at(place + at * channel.stride, memoryview(piece)[:size])
        if channel.packed:
            wide = np.zeros((part.size, 4), np.uint8)
            order = slice(1, 4) if channel.stored.byteorder != ">" else slice(0, 3)
            wide[:, order] = np.ndarray((part.size, PACKED_WIDTH), np.uint8, piece, strides=(channel.stride, 1))
            part[:] = wide.reshape(-1).view(channel.stored)
        else:
            part[:] = np.ndarray((part.size,), channel.stored, piece, strides=(channel.stride,))


def look(file: CaptureFile, channel: Channel, samples: int) -> NDArray[np.float64]:
    """Return some of the samples of a channel, by which its levels are judged.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    channel : Channel
        The channel.
    samples : int
        How many samples there are. [1]

    Returns
    -------
    NDArray
        Array of shape (n,): all samples, or stretches spread evenly over a longer capture. [V]

    Raises
    ------
    CaptureError
        The file cannot be read.
    """
    if samples <= _LOOKS * _LOOK:
        seen = np.empty(samples, channel.kept)
        fetch(file, channel, 0, seen)
    else:
        seen = np.empty(_LOOKS * _LOOK, channel.kept)
        for index, first in enumerate(np.linspace(0, samples - _LOOK, _LOOKS).astype(int).tolist()):
            fetch(file, channel, first, seen[index * _LOOK : (index + 1) * _LOOK])
    return channel.volts(seen)


def whole(source: FrameSource, progress: Progress | None) -> Capture:
    """Read all samples of a source, which is closed then.

    Parameters
    ----------
    source : FrameSource
        The capture on disk.
    progress : callable or None
        Told between two pieces how much has been read; what it raises stops the work.

    Returns
    -------
    Capture
        The capture in memory.

    Raises
    ------
    CaptureError
        It is longer than what one capture may take in memory, or holds no voltage, or cannot be read.
    """
    with source:
        columns = 1 if source.output is None else 2
        if source.samples * columns * np.float64().itemsize > LARGEST_CLAIM:
            raise source.file.error(
                f"it has {source.samples} samples of {columns} channel{'s' * (columns > 1)}, which in memory exceed "
                f"the {LARGEST_CLAIM >> 30} GiB that one capture may take: cut it into shorter ones"
            )
        voltage, marked = _all_volts(source, source.pilot, progress, (0.0, 1.0 / columns))
        overload, remarks = take_overload(voltage, "voltage")
        if not np.isfinite(voltage).any():
            raise source.file.error("it holds no voltage at all, only marks: export the capture again")
        output = None
        if source.output is not None:
            output, _ = _all_volts(source, source.output, progress, (0.5, 0.5))
            remarks = (*remarks, *take_overload(output, "output")[1])
    said = (*source.remarks, *remarks, *missing_remarks(voltage, overload))
    if not marked:
        said = (*said, *clipping_remarks(voltage))
    waveform = Waveform(
        voltage=voltage,
        sample_interval=source.sample_interval,
        start=source.start,
        output=output,
        overload=overload,
        resolution=source.resolution,
        remarks=said,
    )
    return Capture(
        waveform=waveform,
        dialect=source.dialect,
        remarks=said,
        preamble=source.preamble,
        rows_read=source.samples,
        rows_kept=source.samples,
        reader=source.reader,
    )


def _all_volts(
    source: FrameSource, channel: Channel, progress: Progress | None, share: tuple[float, float]
) -> tuple[NDArray[np.float64], bool]:
    """Return all samples of a channel, infinite where they stand on an end of the scale, and whether any does."""
    volts = np.empty(source.samples)
    piece = np.empty(min(source.samples, PIECE_BYTES // channel.kept.itemsize), channel.kept)
    marked = False
    for first in range(0, source.samples, piece.size):
        part = piece[: min(piece.size, source.samples - first)]
        fetch(source.file, channel, first, part)
        target = volts[first : first + part.size]
        target[:] = channel.volts(part)
        if source.overload is not None:
            for end, sign in zip(source.overload, (-1.0, 1.0), strict=True):
                at_end = part == end
                if at_end.any():
                    target[at_end] = math.copysign(math.inf, sign * channel.gain)
                    marked = True
        if progress is not None:
            progress(share[0] + share[1] * (first + part.size) / source.samples)
    return volts, marked
