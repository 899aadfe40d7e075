"""How much a formula answers to each of its inputs, found numerically."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from coldpin.errors import ColdpinError, InputError

ATTEMPTS = 3
LEVELS = 7
SHRINKS = 24
SETTLED = 1e-3
"""Relative change between two refinements below which a slope counts as settled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """A partial derivative, and whether refining the step settled it (at a kink or a jump it does not settle)."""

    value: float
    settled: bool


def evaluate(formula: Callable[..., object], values: dict[str, float]) -> float:
    """Return a formula's value for one set of numbers.

    Parameters
    ----------
    formula : callable
        Takes the names of ``values`` as keywords.
    values : dict of str to float
        The arguments.

    Returns
    -------
    float
        The value; not a number where the formula has none here.

    Raises
    ------
    InputError
        The formula returns something else than one real number.

    Examples
    --------
    >>> evaluate(lambda x, y: x / y, {"x": 1.0, "y": 4.0}), evaluate(lambda x: 1.0 / x, {"x": 0.0})
    (0.25, nan)
    """
    try:
        with np.errstate(all="ignore"):
            result = np.asarray(formula(**values))
    except (ArithmeticError, ValueError):
        return math.nan
    if result.shape != () or result.dtype.kind not in "fiub":
        raise InputError(
            f"{name_of(formula)} returned {result.dtype} of shape {result.shape} for single numbers; "
            "it must return one real number"
        )
    return float(result)


def name_of(formula: Callable[..., object]) -> str:
    """Return the name of a formula for messages.

    Parameters
    ----------
    formula : callable
        The formula.

    Returns
    -------
    str
        Its name, or that of its type, or "the formula" where it has none.

    Examples
    --------
    >>> name_of(math.hypot)
    'hypot'
    """
    name = str(getattr(formula, "__name__", type(formula).__name__))
    return "the formula" if name == "<lambda>" else name


def slope(formula: Callable[..., object], values: dict[str, float], name: str, u: float) -> Slope:
    """Return the partial derivative of a formula by one input, by central differences whose step is refined.

    The first step is the standard uncertainty of the input, so that the formula is asked where the input may well
    lie; it is halved and extrapolated until the result settles, and made smaller where the formula has no value that
    far off.

    Parameters
    ----------
    formula : callable
        Takes the names of ``values`` as keywords.
    values : dict of str to float
        The estimates.
    name : str
        The input to vary.
    u : float
        Its standard uncertainty, above 0, in the unit of the input.

    Returns
    -------
    Slope
        The derivative, and whether it settled.

    Raises
    ------
    InputError
        The formula has no value on both sides of the estimate, however near.

    Examples
    --------
    >>> round(slope(lambda x: x**3, {"x": 2.0}, "x", 0.5).value, 9)
    12.0

    Sources
    -------
    JCGM 100:2008 5.1.3 note 2 (numerical differences); Richardson extrapolation after C. J. F. Ridders, Advances in
    Engineering Software 4 (1982) 75-76.
    """
    at = values[name]

    def difference(step: float) -> float:
        above, below = at + step, at - step
        try:
            rise = evaluate(formula, values | {name: above}) - evaluate(formula, values | {name: below})
        except ColdpinError:
            # a range of the formula's own ends here
            return math.nan
        return rise / (above - below)

    # below a millionth of the estimate rounding would drown the difference
    step = max(u, 1e-6 * abs(at))
    first = difference(step)
    for _ in range(SHRINKS):
        if math.isfinite(first):
            break
        step *= 0.25
        first = difference(step)
    else:
        raise InputError(
            f"{name_of(formula)} has no value on both sides of {name} = {at:g}, so its sensitivity to "
            f"{name} cannot be found: check the estimate against the range of the formula"
        )
    for attempt in range(ATTEMPTS):
        found = _refine(difference, first, step)
        if found.settled or attempt == ATTEMPTS - 1:
            break
        # a kink or a jump within the step: look from nearer
        step *= 2.0**-LEVELS
        first = difference(step)
    return found


def _refine(difference: Callable[[float], float], first: float, step: float) -> Slope:
    best, error, row = first, math.inf, [first]
    for _ in range(LEVELS):
        step *= 0.5
        below = [difference(step)]
        for order, earlier in enumerate(row, start=1):
            weight = 4.0**order
            below.append((weight * below[-1] - earlier) / (weight - 1.0))
            doubt = max(abs(below[-1] - below[-2]), abs(below[-1] - earlier))
            if doubt <= error:
                best, error = below[-1], doubt
        if error <= 1e-12 * abs(best) or abs(below[-1] - row[-1]) >= 2.0 * error:
            break
        row = below
    return Slope(value=best, settled=error <= SETTLED * max(abs(best), abs(first)))
