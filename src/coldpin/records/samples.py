"""A capture that stays where it is: its samples are fetched piece by piece, as the instrument wrote them."""

from __future__ import annotations

from collections.abc import Iterator
from types import TracebackType
from typing import Any, Protocol, Self

import numpy as np
from numpy.typing import NDArray

from coldpin.records.dialect import Dialect

RawSamples = NDArray[Any]
"""Samples as stored: int16, int32, uint8, float32 or float64."""


class SampleSource(Protocol):
    """Samples at equal steps that are read when they are wanted.

    A stored sample x of the pilot stands for ``gain * x + zero``, computed in 64 bits. [V] In float samples NaN stands
    for a missing one.
    """

    remarks: tuple[str, ...]
    """What the reader had to do."""

    @property
    def samples(self) -> int:
        """The number of samples."""
        ...

    @property
    def sample_interval(self) -> float:
        """The time between samples. [s]"""
        ...

    @property
    def start(self) -> float:
        """The time of the first sample. [s]"""
        ...

    @property
    def dtype(self) -> np.dtype[Any]:
        """What is stored: int16, int32, uint8, float32 or float64."""
        ...

    @property
    def gain(self) -> float:
        """What one step of a stored sample stands for. [V]"""
        ...

    @property
    def zero(self) -> float:
        """What a stored zero stands for. [V]"""
        ...

    @property
    def resolution(self) -> float | None:
        """One step of the instrument's scale, None where it is not known. [V]"""
        ...

    @property
    def overload(self) -> tuple[int, int] | None:
        """The lowest and the highest value that can be stored; a sample there was beyond the instrument's range.

        None where no stored value says so.
        """
        ...

    @property
    def dialect(self) -> Dialect:
        """How the file is read."""
        ...

    @property
    def seekable(self) -> bool:
        """Whether :meth:`read` can be called for any place, from several threads at once."""
        ...

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
        """
        ...

    def chunks(self, samples: int) -> Iterator[tuple[RawSamples, RawSamples | None]]:
        """Go through the capture from its beginning.

        Parameters
        ----------
        samples : int
            How many samples a chunk holds at most. [1]

        Yields
        ------
        tuple of NDArray and (NDArray or None)
            The pilot as stored, and the output beside it [V] where there is one. A chunk may be overwritten by the
            next.
        """
        ...

    def close(self) -> None:
        """Let go of the file; a source is also closed by leaving a ``with`` block."""
        ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None: ...
