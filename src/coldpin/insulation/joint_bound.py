"""The bound of several comparisons that hold together."""

from __future__ import annotations

import math

from coldpin.quantity import COVERAGE, coverage_factor


def joint_factor(count: int, dof: float = math.inf) -> float:
    """Return by how much an interval of 95 % has to be wider for several of its kind to hold together at 95 %.

    Parameters
    ----------
    count : int
        How many. [1]
    dof : float
        Degrees of freedom. [1]

    Returns
    -------
    float
        1 where there is none beside it. [1]

    Examples
    --------
    >>> [round(joint_factor(count), 3) for count in (1, 3, 5, 20)]
    [1.0, 1.218, 1.311, 1.539]

    Sources
    -------
    Z. Šidák, Rectangular confidence regions for the means of multivariate normal distributions, Journal of the American
    Statistical Association 62 (1967) 626-633: for normal errors of any correlation (standing: memory; cited for this
    use by https://search.r-project.org/CRAN/refmans/mutoss/html/sidak.html).
    """
    return coverage_factor(dof, COVERAGE ** (1.0 / max(count, 1))) / coverage_factor(dof)
