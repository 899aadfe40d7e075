"""How the scatter about a heating curve hangs together in time: readings that err alone, and draughts that last.

What lasts comes in two forms. A disturbance of the reading itself is there at once and fades. A draught changes the
heat that is lost: the part follows it as late as it follows everything, from rest when the current came, and in
proportion to its rise.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LASTING = (1.0 / 40.0, 1.0 / 12.0, 1.0 / 4.0, 1.0 / 1.5)
"""Ours: how long draughts may last, as shares of the run: from a few readings to most of all there is to see."""

SHARES = (0.25, 0.6, 0.9, 0.99)
"""Ours: which share of the scatter of a block of readings may be such that lasts."""

DRAUGHT_LASTING = (1.0 / 12.0, 1.0 / 3.0, 1.0)
"""Ours: how long a change of the heat lost may last, as shares of the run, up to all of it."""

DRAUGHT_LAG = (1.0 / 4.0, 1.0)
"""Ours: with which time constant the part follows such a change, as shares of the run: a long run, a short one."""

DRAUGHT_SHARES = (0.9, 0.99, 0.999, 0.9999)
"""Ours: shares of the scatter that draughts may be: up to a hundred times what a block of readings errs by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseKind:
    """One way in which the scatter may hang together.

    ``lasting_s`` is the time after which a disturbance has fallen to 1/e [s], 0 where every reading errs alone;
    ``share`` the part of the variance that lasts [1]; ``lag_s`` the time constant with which the part follows a change
    of the heat lost [s], 0 where the reading itself is disturbed.
    """

    lasting_s: float
    share: float
    lag_s: float = 0.0


def noise_kinds(duration: float) -> tuple[NoiseKind, ...]:
    """Return the kinds of scatter that a run is fitted with, all taken for equally likely before it is seen.

    Parameters
    ----------
    duration : float
        From the first reading to the last. [s]

    Returns
    -------
    tuple of NoiseKind
        Readings that err alone, then each lasting time with each share, then draughts.

    Examples
    --------
    >>> kinds = noise_kinds(3600.0)
    >>> len(kinds), kinds[0].share, kinds[1].lasting_s
    (41, 0.0, 90.0)
    """
    lasting = (NoiseKind(lasting_s=part * duration, share=share) for part in LASTING for share in SHARES)
    draughts = (
        NoiseKind(lasting_s=part * duration, share=share, lag_s=lag * duration)
        for part in DRAUGHT_LASTING
        for lag in DRAUGHT_LAG
        for share in DRAUGHT_SHARES
    )
    return (NoiseKind(lasting_s=0.0, share=0.0), *lasting, *draughts)


def noise_roots(time: Array, counts: Array, rise: Array) -> dict[NoiseKind, Array]:
    r"""Return the Cholesky root of the covariance of block means, up to their variance, for every kind of scatter.

    .. math:: V_{ij} = (1 - \varphi)\,\frac{\bar n}{n_i}\,\delta_{ij} + \varphi\, e^{-|t_i - t_j| / \tau}

    What lasts is a first-order autoregression in continuous time, so that uneven stamps need no special care. A
    draught is that times the rise, seen through a lag of first order that is at rest at the first reading, its mean
    variance again φ. It is the same for every share φ, and made once.

    Parameters
    ----------
    time : ndarray
        t, array of shape (n,), rising. [s]
    counts : ndarray
        Readings in each block, array of shape (n,). [1]
    rise : ndarray
        Of the part over its ambient, array of shape (n,), to which what a draught takes away is proportional. [K]

    Returns
    -------
    dict of NoiseKind to ndarray
        In the order of :func:`noise_kinds`; each lower triangular, of shape (n, n).

    Examples
    --------
    >>> two = np.array([1.0, 1.0])
    >>> alone = NoiseKind(lasting_s=0.0, share=0.0)
    >>> noise_roots(np.array([0.0, 1.0]), two, two)[alone].tolist()
    [[1.0, 0.0], [0.0, 1.0]]
    """
    from scipy import linalg

    apart = np.abs(time[:, None] - time)

    @cache
    def lasting(lasting_s: float, lag_s: float) -> Array:
        fading = np.exp(-apart / lasting_s)
        return _followed(fading, time, rise, lag_s) if lag_s else np.asarray(fading)

    def root(kind: NoiseKind) -> Array:
        covariance = np.diag((1.0 - kind.share) * counts.mean() / counts)
        if kind.share:
            covariance += kind.share * lasting(kind.lasting_s, kind.lag_s)
        return np.asarray(linalg.cholesky(covariance, lower=True))

    return {kind: root(kind) for kind in noise_kinds(float(time[-1] - time[0]))}


def _followed(lasting: Array, time: Array, rise: Array, lag: float) -> Array:
    """Return the covariance of what a part makes of a changed loss of heat, with a mean variance of one."""
    since = np.maximum(time[:, None] - time, 0.0)
    follows = np.tril(np.exp(-since / lag)) * np.gradient(time) * rise
    made = follows @ lasting @ follows.T
    return np.asarray(made / max(float(np.diag(made).mean()), np.finfo(np.float64).tiny))
