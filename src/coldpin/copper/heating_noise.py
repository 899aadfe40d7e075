"""How the scatter about a heating curve hangs together in time: readings that err alone, and draughts that last."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

Array = NDArray[np.float64]

LASTING = (1.0 / 40.0, 1.0 / 12.0, 1.0 / 4.0, 1.0 / 1.5)
"""Ours: how long draughts may last, as shares of the run: from a few readings to most of all there is to see."""

SHARES = (0.25, 0.6, 0.9, 0.99)
"""Ours: which share of the scatter of a block of readings may be such that lasts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseKind:
    """One way in which the scatter may hang together.

    ``lasting_s`` is the time after which a disturbance has fallen to 1/e [s], 0 where every reading errs alone;
    ``share`` the part of the variance that lasts [1].
    """

    lasting_s: float
    share: float


def noise_kinds(duration: float) -> tuple[NoiseKind, ...]:
    """Return the kinds of scatter that a run is fitted with, all taken for equally likely before it is seen.

    Parameters
    ----------
    duration : float
        From the first reading to the last. [s]

    Returns
    -------
    tuple of NoiseKind
        Readings that err alone, then each lasting time with each share.

    Examples
    --------
    >>> kinds = noise_kinds(3600.0)
    >>> len(kinds), kinds[0].share, kinds[1].lasting_s
    (17, 0.0, 90.0)
    """
    lasting = (NoiseKind(lasting_s=part * duration, share=share) for part in LASTING for share in SHARES)
    return (NoiseKind(lasting_s=0.0, share=0.0), *lasting)


def noise_root(kind: NoiseKind, time: Array, counts: Array) -> Array:
    r"""Return the Cholesky root of the covariance of block means, up to their variance.

    .. math:: V_{ij} = (1 - \varphi)\,\frac{\bar n}{n_i}\,\delta_{ij} + \varphi\, e^{-|t_i - t_j| / \tau}

    What lasts is a first-order autoregression in continuous time, so that uneven stamps need no special care.

    Parameters
    ----------
    kind : NoiseKind
        Lasting time τ and share φ.
    time : ndarray
        t, array of shape (n,), rising. [s]
    counts : ndarray
        Readings in each block, array of shape (n,). [1]

    Returns
    -------
    ndarray
        Lower triangular, of shape (n, n).

    Examples
    --------
    >>> noise_root(NoiseKind(lasting_s=0.0, share=0.0), np.array([0.0, 1.0]), np.array([1.0, 1.0])).tolist()
    [[1.0, 0.0], [0.0, 1.0]]
    """
    covariance = np.diag((1.0 - kind.share) * counts.mean() / counts)
    if kind.share:
        covariance += kind.share * np.exp(-np.abs(time[:, None] - time) / kind.lasting_s)
    return np.asarray(linalg.cholesky(covariance, lower=True))
