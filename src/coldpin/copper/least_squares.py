"""Nonlinear least squares: parameters of a curve with their standard uncertainties, from an analytic Jacobian."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

MOST_EVALUATIONS = 10_000
"""Ours: a fit that needs more steps than this is told as one that did not settle."""

TOLERANCE = 1e-15
"""Ours: steps go on until nothing changes but the last digits of a float; the data, not the search, limit a fit."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeastSquares:
    """What a fit found.

    ``parameters``: array of shape (p,). ``covariance``: array of shape (p, p), scaled by the residual variance.
    ``residuals``: array of shape (n,), measured less fitted. ``sum_of_squares`` is theirs, ``dof`` is n − p.
    """

    parameters: Array
    covariance: Array
    residuals: Array
    sum_of_squares: float
    dof: int

    @property
    def uncertainties(self) -> Array:
        """Standard uncertainties of the parameters, array of shape (p,)."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def residual_deviation(self) -> float:
        """Standard deviation of the residuals, in the unit of what was measured."""
        return float(np.sqrt(self.sum_of_squares / self.dof))


def fit_curve(measured: Array, curve: Curve, jacobian: Curve, start: Sequence[float]) -> LeastSquares:
    r"""Fit a curve to readings of equal weight by least squares.

    .. math:: \hat p = \arg\min_p \sum_i (y_i - f_i(p))^2, \quad
              C = \frac{\mathrm{RSS}}{n - p} (J^{\mathsf T} J)^{-1}

    Parameters
    ----------
    measured : ndarray
        y, array of shape (n,).
    curve : callable
        f: parameters of shape (p,) to values of shape (n,), in the unit of ``measured``.
    jacobian : callable
        Parameters of shape (p,) to the derivatives of the curve, array of shape (n, p).
    start : sequence of float
        Where the search begins, p numbers.

    Returns
    -------
    LeastSquares
        Parameters, covariance and residuals.

    Raises
    ------
    InputError
        There are not more readings than parameters, the search does not settle, or the readings do not determine all
        parameters.

    Examples
    --------
    >>> x = np.array([0.0, 1.0, 2.0, 3.0])
    >>> line = fit_curve(1.0 + 2.0 * x, lambda p: p[0] + p[1] * x, lambda p: np.stack([np.ones(4), x], 1), [0.0, 0.0])
    >>> line.parameters.round(9).tolist()
    [1.0, 2.0]

    Sources
    -------
    JCGM 100:2008 5.2 and H.3 (standing: memory). The search is that of Levenberg and Marquardt as in MINPACK.
    """
    begun = np.asarray(start, dtype=np.float64)
    if measured.size <= begun.size:
        raise InputError(f"{measured.size} readings cannot determine {begun.size} parameters: take more readings")

    def departure(p: Array) -> Array:
        return curve(p) - measured

    from scipy import optimize

    found = optimize.least_squares(
        departure,
        begun,
        jac=jacobian,
        method="lm",
        x_scale="jac",
        ftol=TOLERANCE,
        xtol=TOLERANCE,
        gtol=TOLERANCE,
        max_nfev=MOST_EVALUATIONS,
    )
    if not found.success or not np.all(np.isfinite(found.x)):
        raise InputError(f"the fit did not settle after {found.nfev} steps: {found.message}")
    slopes = jacobian(found.x)
    residuals = measured - curve(found.x)
    dof = measured.size - begun.size
    square = float(residuals @ residuals)
    return LeastSquares(
        parameters=found.x,
        covariance=square / dof * _inverse_of_normal(slopes),
        residuals=residuals,
        sum_of_squares=square,
        dof=dof,
    )


def _inverse_of_normal(slopes: Array) -> Array:
    """Return the inverse of JᵀJ by a QR decomposition of the columns at like size: nothing is squared before."""
    sizes = np.linalg.norm(slopes, axis=0)
    if not np.all(sizes > 0.0):
        raise InputError("a parameter has no effect on the curve where it was fitted: take it out or measure further")
    upper = np.linalg.qr(slopes / sizes, mode="r")
    diagonal = np.abs(np.diag(upper))
    if diagonal.min() <= slopes.shape[0] * np.finfo(np.float64).eps * diagonal.max():
        raise InputError("the readings do not determine all parameters of the curve: measure further or fit fewer")
    from scipy import linalg

    inverse = linalg.solve_triangular(upper, np.eye(sizes.size)) / sizes[:, None]
    return np.asarray(inverse @ inverse.T)
