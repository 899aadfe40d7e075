"""What the levels of a capture show of the instrument: one step of its scale, and signs of clipping."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

LOOKED_AT = 1 << 15
"""Samples looked at, spread evenly over a longer capture: enough for the levels of fourteen bits to repeat."""

AC_MEAN_SHARE = 0.01
"""Ours: a mean nearer to zero than this part of the span is as an a.c.-coupled input gives it."""

_FEWEST_LEVELS = 8
_LEVEL_SHARE = 0.25
_STEP_TOLERANCE = 0.2
_FEWEST_STEPS = 3
_CLIPPED_RUN = 10
_NEAR_EXTREME = 0.05
_CLIPPED_SHARE = 0.5


def scale_step(voltage: NDArray[np.float64]) -> float | None:
    """Return one step of the instrument's scale, where the samples visibly stand on such steps.

    Samples stand on steps if there are at least eight levels, at most a quarter as many levels as samples, all
    gaps between neighbouring levels are whole multiples of the smallest within a fifth of it, and the
    smallest occurs three times or more. The step is the span of the levels by the number of steps in it.
    A signal without noise that shows two levels says nothing about the steps between them.

    Parameters
    ----------
    voltage : ndarray
        Array of shape (n,), NaN where a sample is missing. [V]

    Returns
    -------
    float or None
        The step, or None where none is visible. [V]

    Examples
    --------
    >>> samples = 0.1 * np.round(30.0 * np.sin(np.arange(1000.0)))
    >>> round(scale_step(samples), 6), scale_step(np.sin(np.arange(1000.0)))
    (0.1, None)
    """
    if voltage.size > LOOKED_AT:
        voltage = voltage[np.linspace(0, voltage.size - 1, LOOKED_AT).astype(np.intp)]
    levels = np.unique(voltage[np.isfinite(voltage)])
    if not _FEWEST_LEVELS <= levels.size <= _LEVEL_SHARE * voltage.size:
        return None
    gaps = np.diff(levels)
    gaps = gaps[gaps > 4.0 * np.spacing(np.abs(levels).max())]
    if gaps.size == 0:
        return None
    steps = np.round(gaps / gaps.min())
    step = float(f"{gaps.sum() / steps.sum():.12g}")
    if float(np.abs(gaps - steps * step).max()) > _STEP_TOLERANCE * step:
        return None
    return step if int((steps == 1.0).sum()) >= _FEWEST_STEPS else None


def clipping_remarks(voltage: NDArray[np.float64]) -> tuple[str, ...]:
    """Return remarks on levels at which the instrument may have clipped.

    An extreme value is suspect where ten samples or more in a row stand exactly on it and more than half of all
    samples near it (within a twentieth of the span) do. A signal without noise looks the same, so it is
    a remark and no more.

    Parameters
    ----------
    voltage : ndarray
        Array of shape (n,), NaN where a sample is missing. [V]

    Returns
    -------
    tuple of str
        None, one or two remarks.

    Examples
    --------
    >>> clipping_remarks(np.minimum(5.0, 6.0 * np.sin(np.arange(200.0) / 20.0)))[0][:42]
    'the highest voltage, 5 V, is held for 24 s'
    """
    if int(np.isfinite(voltage).sum()) < _CLIPPED_RUN:
        return ()
    low, high = float(np.nanmin(voltage)), float(np.nanmax(voltage))
    if low == high:
        return (f"all samples are {high:.6g} V: check that the instrument was connected and triggered",)
    remarks = []
    for word, extreme, near in (
        ("highest", high, voltage >= high - _NEAR_EXTREME * (high - low)),
        ("lowest", low, voltage <= low + _NEAR_EXTREME * (high - low)),
    ):
        held = voltage == extreme
        run = _longest_run(held)
        if run >= _CLIPPED_RUN and int(held.sum()) > _CLIPPED_SHARE * int(near.sum()):
            remarks.append(
                f"the {word} voltage, {extreme:.6g} V, is held for {run} samples in a row: the instrument may have "
                "clipped there (a signal without noise looks the same); if that level matters, repeat the capture "
                "on a larger range"
            )
    return tuple(remarks)


def _longest_run(held: NDArray[np.bool_]) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], held, [False])).astype(np.int8)))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def take_overload(values: NDArray[np.float64], what: str) -> tuple[NDArray[np.bool_] | None, tuple[str, ...]]:
    """Take the marks "beyond range", which are infinite, out of samples: NaN there, and where they were.

    Parameters
    ----------
    values : ndarray
        Array of shape (n,), which is changed. [V]
    what : str
        What they are, for the remark.

    Returns
    -------
    tuple
        Array of shape (n,), true where a sample was marked, or None; none or one remark.

    Examples
    --------
    >>> volts = np.array([1.0, np.inf])
    >>> take_overload(volts, "voltage")[0], volts
    (array([False,  True]), array([ 1., nan]))
    """
    overload = np.isinf(values)
    count = int(overload.sum())
    if not count:
        return None, ()
    above = int((values[overload] > 0).sum())
    values[overload] = np.nan
    signs = f" ({above} above, {count - above} below)" if 0 < above < count else ""
    remark = (
        f"{count} of {values.size} samples of the {what} are marked beyond the instrument's range{signs}: "
        "the signal was clipped there; repeat the capture on a larger range"
    )
    return overload, (remark,)


def missing_remarks(voltage: NDArray[np.float64], overload: NDArray[np.bool_] | None) -> tuple[str, ...]:
    """Return the remark on samples that are missing, those beyond range left out.

    Parameters
    ----------
    voltage : ndarray
        Array of shape (n,), NaN where a sample is missing. [V]
    overload : ndarray or None
        Array of shape (n,), true where a sample was beyond range.

    Returns
    -------
    tuple of str
        None or one remark.

    Examples
    --------
    >>> missing_remarks(np.array([1.0, np.nan]), None)
    ('1 of 2 samples of the voltage are missing',)
    """
    missing = int(np.isnan(voltage).sum()) - (0 if overload is None else int(overload.sum()))
    return (f"{missing} of {voltage.size} samples of the voltage are missing",) if missing else ()


def coupling_remarks(voltage: NDArray[np.float64]) -> tuple[str, ...]:
    """Return the remark that a capture may have lost its d.c. part, as the usual sound input takes it away.

    Parameters
    ----------
    voltage : ndarray
        Array of shape (n,), NaN where a sample is missing. [V]

    Returns
    -------
    tuple of str
        None or one remark.

    Examples
    --------
    >>> coupling_remarks(np.array([7.0, -7.0]))[0][:44]
    'the mean voltage is zero within 1 % of the s'
    >>> coupling_remarks(np.array([9.0, -12.0]))
    ()
    """
    present = voltage[np.isfinite(voltage)]
    span = float(np.ptp(present)) if present.size else 0.0
    if span == 0.0 or abs(float(present.mean())) >= AC_MEAN_SHARE * span:
        return ()
    remark = (
        f"the mean voltage is zero within {100.0 * AC_MEAN_SHARE:g} % of the span, as an a.c.-coupled input gives it: "
        "sound inputs are mostly coupled so, which shifts and droops every level; prove d.c. coupling with a known "
        "voltage, or use another instrument for levels"
    )
    return (remark,)
