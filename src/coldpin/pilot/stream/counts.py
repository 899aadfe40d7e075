"""Samples as whole counts, so that every sum over them is exact whoever makes it, and in whatever order."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.signedinteger[Any]]
"""int16 or int32, one count per sample, growing with the voltage."""

FRACTION_BITS = 22
"""Ours: a float sample becomes a whole number of steps of 2**-22 V = 0.24 µV, far below any noise; 32 bits of them
reach to 512 V, above any mains."""

MISSING = -(1 << 31)
"""The count that stands for a missing sample, in 32 bits."""

_MOST = (1 << 31) - 1
_SMALL = (np.dtype(np.int16), np.dtype(np.uint8), np.dtype(np.int8))


def is_stored_small(stored: np.dtype[Any], gain: float) -> bool:
    """Whether samples of a stored type are counted in 16 bits: none of them can be missing.

    Parameters
    ----------
    stored : numpy.dtype
        The stored type.
    gain : float
        Volts for one stored step. [V]

    Returns
    -------
    bool
        True for int16, uint8 and int8 that grow with the voltage.

    Examples
    --------
    >>> is_stored_small(np.dtype("int16"), 5e-4), is_stored_small(np.dtype("float32"), 1.0)
    (True, False)
    """
    return stored.newbyteorder("=") in _SMALL and gain > 0.0


def counted_scale(stored: np.dtype[Any], gain: float, zero: float) -> tuple[float, float]:
    """Return gain and zero of the counts that :func:`as_counts` makes.

    Parameters
    ----------
    stored : numpy.dtype
        The stored type.
    gain : float
        Volts for one stored step. [V]
    zero : float
        Volts of a stored 0. [V]

    Returns
    -------
    tuple of float
        A count c stands for ``gain * c + zero``; the gain is positive. [V]

    Examples
    --------
    >>> counted_scale(np.dtype("int32"), -1e-3, 0.5)
    (0.001, 0.5)
    """
    if stored.kind == "f":
        return 2.0**-FRACTION_BITS, 0.0
    return abs(gain), zero


def as_counts(samples: NDArray[Any], gain: float, zero: float) -> Counts:
    """Return stored samples as counts.

    Whole samples keep their value (turned over where the gain is negative). A float sample becomes the nearest whole
    number of steps of 2**-22 V; one that is not finite is missing, one beyond 512 V stands at 512 V.

    Parameters
    ----------
    samples : NDArray
        Array of shape (n,), as stored: int8 to int32, uint8, uint16, float32 or float64.
    gain : float
        Volts for one stored step. [V]
    zero : float
        Volts of a stored 0. [V]

    Returns
    -------
    NDArray
        Array of shape (n,) of int16 or int32; int16 samples are not copied.

    Examples
    --------
    >>> as_counts(np.array([0.5, np.nan]), 1.0, 0.0).tolist()
    [2097152, -2147483648]
    """
    if is_stored_small(samples.dtype, gain):
        return samples.astype(np.int16, copy=False)
    if samples.dtype.kind != "f":
        wide = samples.astype(np.int64) if gain > 0.0 else -samples.astype(np.int64)
        return np.clip(wide, MISSING + 1, _MOST).astype(np.int32)
    with np.errstate(invalid="ignore", over="ignore"):
        volts = samples.astype(np.float64) * gain + zero
        steps = np.clip(np.rint(volts * 2.0**FRACTION_BITS), float(MISSING + 1), float(_MOST))
    return np.where(np.isfinite(samples), steps, float(MISSING)).astype(np.int32)
