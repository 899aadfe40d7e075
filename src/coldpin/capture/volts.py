"""A capture given out in parts as volts in 64 bits, whatever its file holds: what such sources have in common."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass, field
from types import TracebackType
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from coldpin.records.dialect import Dialect
from coldpin.records.samples import RawSamples

Volts = NDArray[np.float64]


@dataclass(slots=True, kw_only=True, eq=False)
class VoltsSource(ABC):
    """A capture whose samples are volts; see :class:`coldpin.records.samples.SampleSource`.

    A source of its own says where its samples come from: :meth:`_fill` for a place, :meth:`_batches` from the
    beginning.
    """

    samples: int
    sample_interval: float
    start: float
    dialect: Dialect
    resolution: float | None
    remarks: tuple[str, ...]
    dtype: np.dtype[Any] = field(default=np.dtype(np.float64), init=False)
    gain: float = field(default=1.0, init=False)
    zero: float = field(default=0.0, init=False)
    overload: tuple[int, int] | None = field(default=None, init=False)
    seekable: bool = field(default=False, init=False)

    @abstractmethod
    def _fill(self, first: int, into: Volts) -> None:
        """Fill an array with the samples of the pilot from a place; all of them are there. [V]"""

    @abstractmethod
    def _batches(self) -> Iterator[tuple[Volts, Volts | None]]:
        """Yield pilot and output from the beginning, in batches of any size. [V]"""

    def read(self, first: int, into: RawSamples) -> int:
        """Read samples of the pilot from any place; slow for few samples where the source is not seekable.

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
            The file is not what it was, or damaged.
        ValueError
            The array is of another type.
        """
        if into.dtype != self.dtype:
            raise ValueError(f"the array is of type {into.dtype}, the samples are {self.dtype}")
        count = min(int(into.size), max(self.samples - first, 0))
        if count:
            self._fill(first, into[:count])
        return count

    def chunks(self, samples: int) -> Iterator[tuple[RawSamples, Volts | None]]:
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
            The file is not what it was, or damaged.
        """
        for pilot, output in self._batches():
            for first in range(0, pilot.size, samples):
                cut = slice(first, first + samples)
                yield pilot[cut], None if output is None else output[cut]

    def close(self) -> None:  # noqa: B027 - a source with nothing open has nothing to close
        """Let go of what is open."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()


def without_infinite(volts: Volts) -> Volts:
    """Return samples with those beyond the instrument's range as missing ones.

    Parameters
    ----------
    volts : NDArray
        Array of shape (n,), infinite where the range was left. [V]

    Returns
    -------
    NDArray
        Array of shape (n,), NaN there. [V]

    Examples
    --------
    >>> without_infinite(np.array([1.0, -np.inf])).tolist()
    [1.0, nan]
    """
    return np.where(np.isinf(volts), np.nan, volts)
