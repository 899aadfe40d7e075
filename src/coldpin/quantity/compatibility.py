"""Whether two results agree within their uncertainty."""

from __future__ import annotations

import math

from coldpin.errors import UnitError
from coldpin.quantity.model import Quantity


def normalised_error(one: Quantity, other: Quantity) -> float | None:
    r"""Return the difference of two results in units of its expanded uncertainty, without sign.

    .. math:: |E_n| = \frac{|x_1 - x_2|}{\sqrt{U_1^2 + U_2^2}}

    The two are taken to be independent. Where they share an instrument the uncertainty of the difference is smaller
    than the root, so that what lies above a limit does so all the more, and what lies below it may differ all the same.

    Parameters
    ----------
    one, other : Quantity
        Results in the same unit.

    Returns
    -------
    float or None
        |E_n| [1]: infinite where both are exact and differ; None where an uncertainty or a value is not known.

    Raises
    ------
    UnitError
        The units differ.

    Examples
    --------
    >>> round(normalised_error(Quantity(10.0, 0.1, "V"), Quantity(10.4, 0.1, "V")), 3)
    1.443

    Sources
    -------
    E_n of ISO 13528 and ISO/IEC 17043, with U for the 95 % interval; metrological compatibility of VIM 2.47 (JCGM 200).
    """
    if one.unit != other.unit:
        raise UnitError(f"results in {one.unit} and {other.unit} cannot be compared: convert one of them first")
    halves = (one.expanded, other.expanded)
    difference = abs(one.value - other.value)
    if halves[0] is None or halves[1] is None or not math.isfinite(difference):
        return None
    expanded = math.hypot(*(half for half in halves if half is not None))
    if expanded == 0.0:
        return 0.0 if difference == 0.0 else math.inf
    return difference / expanded
