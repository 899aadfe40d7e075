"""A text capture of any length: read once to hold every row against its plan, then as often as it is wanted.

Only the time column is kept meanwhile, since every row must be held against equal steps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.level import LOOKED_AT, scale_step
from coldpin.capture.number import grammar_of
from coldpin.capture.plan import Plan, naming
from coldpin.capture.record import Request
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import TableReader
from coldpin.capture.text_plan import by_plan, form_of, in_base, settled_dialect, timing_of
from coldpin.capture.timing import Timing
from coldpin.records.dialect import Dialect
from coldpin.records.samples import RawSamples


@dataclass(slots=True, kw_only=True, eq=False)
class TextSource:
    """A text whose rows are read again for every pass; see :class:`coldpin.records.samples.SampleSource`."""

    path: Path
    plan: Plan
    timing: Timing
    samples: int
    dialect: Dialect
    resolution: float | None
    remarks: tuple[str, ...]
    dtype: np.dtype[Any] = field(default=np.dtype(np.float64), init=False)
    gain: float = field(default=1.0, init=False)
    zero: float = field(default=0.0, init=False)
    overload: tuple[int, int] | None = field(default=None, init=False)
    seekable: bool = field(default=False, init=False)

    @property
    def sample_interval(self) -> float:
        """The time between samples. [s]"""
        return self.timing.step

    @property
    def start(self) -> float:
        """The time of the first sample. [s]"""
        return self.timing.start

    def read(self, first: int, into: RawSamples) -> int:
        """Read samples of the pilot; each call goes through all rows before them.

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
        CaptureError
            The file is not what it was, or cannot be read.
        ValueError
            The array is of another type.
        """
        if into.dtype != self.dtype:
            raise ValueError(f"the array is of type {into.dtype}, the samples are {self.dtype}")
        wanted = min(int(into.size), max(self.samples - first, 0))
        if not wanted:
            return 0
        for place, pilot, _ in self._parts():
            low, high = max(first, place), min(first + wanted, place + pilot.size)
            if low < high:
                into[low - first : high - first] = pilot[low - place : high - place]
            if high == first + wanted:
                break
        return wanted

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

        Raises
        ------
        CaptureError
            The file is not what it was, or cannot be read.
        """
        for _, pilot, output in self._parts():
            for first in range(0, pilot.size, samples):
                cut = slice(first, first + samples)
                yield pilot[cut], None if output is None else output[cut]

    def _parts(self) -> Iterator[tuple[int, NDArray[np.float64], NDArray[np.float64] | None]]:
        """Yield place, pilot and output of each batch. [V]"""
        done = 0
        with CaptureFile(self.path) as file, naming(file):
            reader = _reader(file, self.plan)
            for place, columns, _ in reader.parts():
                pilot, output = _volts(self.plan, columns)
                done += pilot.size
                yield place, _finite(pilot), None if output is None else _finite(output)
            if done != self.samples:
                raise file.error(
                    f"it has {done} rows of samples now, {self.samples} were there before: wait until its writer has "
                    "finished, and open it again"
                )

    def close(self) -> None:
        """Do nothing: the file is open only while it is read."""

    def __enter__(self) -> TextSource:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()


def open_text(path: Path, request: Request) -> TextSource:
    """Open a text capture after holding every row of it against its plan.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered.

    Returns
    -------
    TextSource
        The capture on disk.

    Raises
    ------
    CaptureError
        The file cannot be read; the message says where, why and what to do.
    """
    with CaptureFile(path) as file:
        return by_plan(file, request, lambda plan: _open(path, file, plan))


def _reader(file: CaptureFile, plan: Plan) -> TableReader:
    return TableReader(file, form_of(plan), grammar_of(plan.dialect), quick=True)


def _open(path: Path, file: CaptureFile, plan: Plan) -> TextSource:
    with naming(file):
        time, seen = plan.columns.time, _Seen(plan=plan)
        table = _reader(file, plan).read(None, () if time is None else (time,), seen.look)
        if not table.row_count:
            raise file.error("it holds no rows of samples: export the capture again")
        timing = timing_of(file, plan, table)
        if not seen.voltage:
            raise file.error(
                f"column {plan.dialect.voltage!r} holds no voltage at all, only marks: export the capture again"
            )
    return TextSource(
        path=path,
        plan=plan,
        timing=timing,
        samples=table.row_count,
        dialect=settled_dialect(plan, timing),
        resolution=scale_step(np.concatenate(seen.some)),
        remarks=(*plan.remarks, *table.remarks, *timing.remarks),
    )


@dataclass(slots=True, kw_only=True)
class _Seen:
    """Some samples of all batches, ever further apart the longer the capture is, and whether any holds a voltage."""

    plan: Plan
    some: list[NDArray[np.float64]] = field(default_factory=list)
    voltage: bool = False
    apart: int = 1

    def look(self, columns: list[NDArray[np.float64]]) -> None:
        pilot = _finite(_volts(self.plan, columns)[0])
        self.voltage = self.voltage or bool(np.isfinite(pilot).any())
        self.some.append(pilot[:: self.apart])
        if sum(part.size for part in self.some) > 2 * LOOKED_AT:
            self.some = [np.concatenate(self.some)[::2].copy()]
            self.apart *= 2


def _volts(plan: Plan, columns: list[NDArray[np.float64]]) -> tuple[NDArray[np.float64], NDArray[np.float64] | None]:
    """Return pilot and output of a batch. [V]"""
    dialect, wanted = plan.dialect, form_of(plan).wanted
    pilot = in_base(columns[wanted.index(plan.columns.voltage)].copy(), dialect.units[dialect.voltage], dialect.scale)
    if plan.columns.output is None:
        return pilot, None
    output = columns[wanted.index(plan.columns.output)].copy()
    return pilot, in_base(output, dialect.units[dialect.output], dialect.output_scale)


def _finite(volts: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(np.isinf(volts), np.nan, volts)
