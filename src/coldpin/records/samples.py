"""A capture that stays where it is: its samples are fetched piece by piece, as the instrument wrote them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

RawSamples = NDArray[Any]
"""Samples as stored: int16, int32, uint8, float32 or float64."""


class SampleSource(Protocol):
    """Samples at equal steps that are read when they are wanted.

    A stored sample x of the pilot stands for ``gain * x + zero``. [V] ``samples`` is their number, ``sample_interval``
    the time between them [s], ``start`` that of the first [s], ``dtype`` what is stored, ``resolution`` one step of the
    instrument [V] or None. ``remarks`` say what the reader had to do. In float samples NaN stands for a missing one.
    """

    samples: int
    sample_interval: float
    start: float
    dtype: np.dtype[Any]
    gain: float
    zero: float
    resolution: float | None
    remarks: tuple[str, ...]
    seekable: bool
    """Whether :meth:`read` can be called for any place, from several threads at once."""

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
