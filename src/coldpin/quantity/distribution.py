# ruff: noqa: A002  # "id" is the word of Component.id
"""From what is known about an input to a quantity: limits, stated uncertainties, repeated readings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coldpin.errors import InputError
from coldpin.quantity.linear import assemble
from coldpin.quantity.model import SQRT3, Component, Quantity, Shape

DIVISORS: Mapping[Shape, float] = {
    Shape.NORMAL: 1.0,
    Shape.RECTANGULAR: SQRT3,
    Shape.TRIANGULAR: math.sqrt(6.0),
    Shape.ARCSINE: math.sqrt(2.0),
}
"""Half-width divided by standard uncertainty (JCGM 100:2008 eq. (7), (9b); JCGM 101:2008 6.4.6 for the arcsine)."""


def _from_shape(
    value: float, size: float, unit: str, shape: Shape, *, id: str, label: str, dof: float = math.inf
) -> Quantity:
    if not (math.isfinite(value) and math.isfinite(size) and size >= 0.0):
        raise InputError(f"{label or id or 'a quantity'}: {value} {unit} with {size} is not a number with a half-width")
    component = Component(id=id, label=label or id, contribution=size / DIVISORS[shape], dof=dof, shape=shape)
    return assemble(value, unit, [component] if size else [])


def rectangular(
    value: float, half_width: float, unit: str, *, id: str = "", label: str = "", dof: float = math.inf
) -> Quantity:
    """Return a quantity known to lie anywhere within ``value`` ± ``half_width``.

    Parameters
    ----------
    value : float
        The estimate, in ``unit``.
    half_width : float
        Half the width of the limits, in ``unit``.
    unit : str
        The unit.
    id : str
        Id of the random variable; empty: independent of all others.
    label : str
        How the budget names it; the id where empty.
    dof : float
        Degrees of freedom; how well the limits are known. [1]

    Returns
    -------
    Quantity
        The quantity, u = half_width / √3.

    Raises
    ------
    InputError
        The half-width is negative or not finite.

    Examples
    --------
    >>> round(rectangular(230.0, 1.45, "V", id="meter").u, 4)
    0.8372

    Sources
    -------
    JCGM 100:2008 eq. (7).
    """
    return _from_shape(value, half_width, unit, Shape.RECTANGULAR, id=id, label=label, dof=dof)


def triangular(
    value: float, half_width: float, unit: str, *, id: str = "", label: str = "", dof: float = math.inf
) -> Quantity:
    """Return a quantity within ``value`` ± ``half_width``, likelier near the middle.

    Parameters
    ----------
    value : float
        The estimate, in ``unit``.
    half_width : float
        Half the width of the limits, in ``unit``.
    unit : str
        The unit.
    id : str
        Id of the random variable; empty: independent of all others.
    label : str
        How the budget names it; the id where empty.
    dof : float
        Degrees of freedom; how well the limits are known. [1]

    Returns
    -------
    Quantity
        The quantity, u = half_width / √6.

    Raises
    ------
    InputError
        The half-width is negative or not finite.

    Examples
    --------
    >>> round(triangular(10.0, 0.6, "mm", id="ruler").u, 3)
    0.245

    Sources
    -------
    JCGM 100:2008 eq. (9b).
    """
    return _from_shape(value, half_width, unit, Shape.TRIANGULAR, id=id, label=label, dof=dof)


def arcsine(
    value: float, half_width: float, unit: str, *, id: str = "", label: str = "", dof: float = math.inf
) -> Quantity:
    """Return a quantity that swings as a sine between ``value`` ± ``half_width``, caught at an unknown moment.

    Parameters
    ----------
    value : float
        The estimate, in ``unit``.
    half_width : float
        Amplitude of the swing, in ``unit``.
    unit : str
        The unit.
    id : str
        Id of the random variable; empty: independent of all others.
    label : str
        How the budget names it; the id where empty.
    dof : float
        Degrees of freedom; how well the amplitude is known. [1]

    Returns
    -------
    Quantity
        The quantity, u = half_width / √2.

    Raises
    ------
    InputError
        The half-width is negative or not finite.

    Examples
    --------
    >>> round(arcsine(20.0, 0.5, "°C", id="room").u, 3)
    0.354

    Sources
    -------
    JCGM 101:2008 6.4.6; JCGM 100:2008 H.1.3.4.
    """
    return _from_shape(value, half_width, unit, Shape.ARCSINE, id=id, label=label, dof=dof)


def normal(value: float, u: float, unit: str, *, id: str = "", label: str = "", dof: float = math.inf) -> Quantity:
    """Return a quantity of known standard uncertainty.

    Parameters
    ----------
    value : float
        The estimate, in ``unit``.
    u : float
        Standard uncertainty, in ``unit``; from a certificate that states U and k it is U / k.
    unit : str
        The unit.
    id : str
        Id of the random variable; empty: independent of all others.
    label : str
        How the budget names it; the id where empty.
    dof : float
        Degrees of freedom. [1]

    Returns
    -------
    Quantity
        The quantity.

    Raises
    ------
    InputError
        The uncertainty is negative or not finite.

    Examples
    --------
    >>> normal(12.0, 0.4 / 2, "V", id="meter").u
    0.2

    Sources
    -------
    JCGM 100:2008 4.3.3.
    """
    return _from_shape(value, u, unit, Shape.NORMAL, id=id, label=label, dof=dof)


def from_readings(
    values: ArrayLike, unit: str, *, id: str = "", label: str = "", resolution: float | None = None
) -> Quantity:
    """Return the mean of repeated readings with the uncertainty their scatter shows (type A).

    Scatter and resolution are never both counted. Where the readings scatter by less than one digit, the larger of the
    two stands; where they scatter more, the rounding is part of the scatter. Readings that are all equal show no
    scatter, and without the resolution nothing is known of their uncertainty.

    Parameters
    ----------
    values : array_like
        Readings of shape (n,), n at least 2, in ``unit``.
    unit : str
        The unit.
    id : str
        Id of the random variable; empty: independent of all others.
    label : str
        How the budget names it; the id where empty.
    resolution : float, optional
        One step of the last digit, in ``unit``.

    Returns
    -------
    Quantity
        The mean, u = s / √n with n - 1 degrees of freedom, or u = digit / √12.

    Raises
    ------
    InputError
        Fewer than two readings, a reading that is not finite, or a resolution that is not above 0.

    Examples
    --------
    >>> mean = from_readings([30.033, 30.058, 30.018, 30.052], "1")
    >>> round(mean.value, 5), round(mean.u, 5), mean.dof
    (30.04025, 0.00913, 3.0)
    >>> round(from_readings([230.1, 230.1, 230.1], "V", resolution=0.1).u, 4)
    0.0289

    Sources
    -------
    JCGM 100:2008 4.2 and F.2.2 (standing: memory, recomputed).
    """
    readings = np.asarray(values, dtype=np.float64)
    name = label or id or "readings"
    if readings.ndim != 1 or readings.size < 2:
        raise InputError(
            f"{name}: {readings.size} readings of shape {readings.shape}; at least two in one row are needed"
        )
    if not np.isfinite(readings).all():
        raise InputError(f"{name}: reading {int(np.argmin(np.isfinite(readings))) + 1} is not a finite number")
    if resolution is not None and not 0.0 < resolution < math.inf:
        raise InputError(f"{name}: resolution {resolution:g} {unit} is not above 0")
    mean = float(readings.mean())
    scatter = float(readings.std(ddof=1)) if np.ptp(readings) > 0.0 else 0.0
    u = scatter / math.sqrt(readings.size)
    if resolution is not None and scatter < resolution and u < 0.5 * resolution / SQRT3:
        return rectangular(mean, 0.5 * resolution, unit, id=id, label=label)
    if scatter == 0.0:
        return Quantity(
            mean,
            None,
            unit,
            why=f"all {readings.size} readings are equal and the resolution of the meter is not stated",
        )
    return normal(mean, u, unit, id=id, label=label, dof=readings.size - 1.0)


def correlated(
    values: Sequence[float],
    uncertainties: Sequence[float],
    correlations: ArrayLike,
    *,
    ids: Sequence[str],
    units: str | Sequence[str],
    dof: float = math.inf,
) -> tuple[Quantity, ...]:
    """Return quantities that were estimated together, with their correlations.

    Each is written as a sum of the same independent components (rows of the symmetric square root of the correlation
    matrix), so that :func:`coldpin.quantity.propagate` needs to know nothing of correlation.

    Parameters
    ----------
    values : sequence of float
        n estimates.
    uncertainties : sequence of float
        n standard uncertainties.
    correlations : array_like
        Correlation matrix of shape (n, n).
    ids : sequence of str
        n names; the same names elsewhere mean the same random variables.
    units : str or sequence of str
        One unit for all, or n units.
    dof : float
        Degrees of freedom they share. [1]

    Returns
    -------
    tuple of Quantity
        n quantities.

    Raises
    ------
    InputError
        The lengths differ, or the matrix is none of correlations (symmetric, ones on the diagonal, no negative
        eigenvalue).

    Examples
    --------
    >>> a, b = correlated([1.0, 2.0], [0.1, 0.1], [[1.0, 1.0], [1.0, 1.0]], ids=["a", "b"], units="V")
    >>> round(a.u, 6), [round(part.contribution, 6) for part in a.components]
    (0.1, [0.070711, 0.070711])

    Sources
    -------
    JCGM 100:2008 eq. (13); groups share one number of degrees of freedom as in JCGM 100:2008 H.2.
    """
    matrix = np.asarray(correlations, dtype=np.float64)
    count = len(ids)
    if not len(values) == len(uncertainties) == count or matrix.shape != (count, count):
        raise InputError(
            f"{len(values)} values, {len(uncertainties)} uncertainties and correlations of shape {matrix.shape} "
            f"for {count} ids: all must have the same length"
        )
    names = [units] * count if isinstance(units, str) else list(units)
    if len(names) != count:
        raise InputError(f"{len(names)} units for {count} ids: give one for all, or one for each")
    factor = _square_root(matrix, ids)
    group = "jointly estimated " + ", ".join(ids)
    return tuple(
        assemble(
            float(value),
            unit,
            [
                Component(
                    id=f"{group}: {of}",
                    label=of,
                    contribution=float(u * part),
                    dof=dof,
                    group=group if count > 1 else "",
                )
                for of, part in zip(ids, row, strict=True)
                if u * part
            ],
        )
        for value, u, unit, row in zip(values, uncertainties, names, factor, strict=True)
    )


def _square_root(matrix: NDArray[np.float64], ids: Sequence[str]) -> NDArray[np.float64]:
    named = ", ".join(ids)
    if not np.allclose(matrix, matrix.T, atol=1e-9) or not np.allclose(np.diag(matrix), 1.0, atol=1e-9):
        raise InputError(f"correlations of {named}: the matrix must be symmetric with ones on its diagonal")
    eigenvalues, vectors = np.linalg.eigh(matrix)
    if eigenvalues[0] < -1e-6:
        raise InputError(
            f"correlations of {named}: no random variables have these coefficients together (eigenvalue "
            f"{eigenvalues[0]:.3g} is negative); give more digits, or the readings themselves to from_joint_readings"
        )
    root = (vectors * np.sqrt(np.clip(eigenvalues, 0.0, None))) @ vectors.T
    # rounding in the eigenvalues must not change the uncertainties
    return np.asarray(root / np.linalg.norm(root, axis=1, keepdims=True), dtype=np.float64)


def from_joint_readings(readings: Mapping[str, Sequence[float]], units: Mapping[str, str]) -> dict[str, Quantity]:
    """Return the means of quantities that were read at the same moments, with the correlation the readings show.

    Parameters
    ----------
    readings : mapping of str to sequence of float
        For each name n readings, n at least 2; the k-th of each were read together.
    units : mapping of str to str
        The unit of each name.

    Returns
    -------
    dict of str to Quantity
        The means by name; all share n - 1 degrees of freedom.

    Raises
    ------
    InputError
        The numbers of readings differ, are below 2, or a unit is missing.

    Examples
    --------
    >>> both = from_joint_readings({"V": [5.0, 5.1, 4.9], "I": [1.0, 1.1, 0.9]}, {"V": "V", "I": "A"})
    >>> round(both["V"].value, 6), round(both["V"].u, 4), both["V"].dof
    (5.0, 0.0577, 2.0)

    Sources
    -------
    JCGM 100:2008 5.2.3 and H.2.
    """
    ids = list(readings)
    counts = {len(row) for row in readings.values()}
    if len(counts) != 1 or min(counts) < 2 or set(units) != set(ids):
        raise InputError(
            f"jointly read {', '.join(ids)}: each needs the same number of readings, at least two, and a unit "
            f"(units are given for {', '.join(units)})"
        )
    table = np.array([readings[name] for name in ids], dtype=np.float64)
    (count,) = counts
    u = table.std(axis=1, ddof=1) / math.sqrt(count)
    deviations = table - table.mean(axis=1, keepdims=True)
    norms = np.linalg.norm(deviations, axis=1)
    norms[norms == 0.0] = 1.0
    matrix = (deviations @ deviations.T) / np.outer(norms, norms)
    np.fill_diagonal(matrix, 1.0)
    means = correlated(
        table.mean(axis=1).tolist(), u.tolist(), matrix, ids=ids, units=[units[name] for name in ids], dof=count - 1.0
    )
    return dict(zip(ids, means, strict=True))
