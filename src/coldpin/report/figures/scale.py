"""One axis of a drawing: from values to a place along it, and where it is marked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

EASY_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
"""Steps between marks where none are asked for, in parts of a power of ten."""
ANY_STEPS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
"""Steps between marks where only their number is asked for."""
_MOST_MARKS = 9
_FAR = 1e3
"""What lies further off than so many lengths of the axis is drawn there: a file holds no larger numbers."""
_SLACK = 1e-10
_SEEN = 1e-3
"""A rest of a step that is smaller than this part of it is not written."""
_MOST_DIGITS = 8


@dataclass(frozen=True, slots=True)
class Scale:
    """The ends of an axis, and whether it is logarithmic."""

    first: float = 0.0
    last: float = 1.0
    logarithmic: bool = False

    def along(self, values: ArrayLike) -> NDArray[np.float64]:
        """Return where values stand along the axis, as parts of its length.

        Parameters
        ----------
        values : ArrayLike
            Array of shape (n,), or one value, in the unit of the axis.

        Returns
        -------
        NDArray[np.float64]
            Array of the same shape; what is no number stays none.
        """
        held = np.asarray(values, dtype=np.float64)
        first, last = self.first, self.last
        if self.logarithmic:
            held = np.log10(np.where(held <= 0.0, math.ulp(0.0), held))
            first, last = math.log10(first), math.log10(last)
        span = (last - first) or 1.0
        placed: NDArray[np.float64] = np.clip((held - first) / span, -_FAR, _FAR)
        return np.where(np.isfinite(held), placed, math.nan)

    def holds(self, value: float) -> bool:
        """Say whether a value lies between the ends.

        Parameters
        ----------
        value : float
            The value, in the unit of the axis.

        Returns
        -------
        bool
            Whether it does.
        """
        low, high = min(self.first, self.last), max(self.first, self.last)
        slack = _SLACK * (high - low)
        return low - slack <= value <= high + slack

    def between(self, first: float, last: float) -> Scale:
        """Return the scale with other ends.

        Parameters
        ----------
        first, last : float
            The ends, in the unit of the axis.

        Returns
        -------
        Scale
            The scale.
        """
        return replace(self, first=float(first), last=float(last))


def marks(scale: Scale, most: int, steps: Sequence[float] = EASY_STEPS) -> list[float]:
    """Return where a straight axis is marked: at multiples of an easy step, two at least.

    Parameters
    ----------
    scale : Scale
        The axis.
    most : int
        No more stretches between marks than this.
    steps : sequence of float
        Steps that are easy to read, in parts of a power of ten, from one to ten.

    Returns
    -------
    list of float
        The places, in the unit of the axis.

    Examples
    --------
    >>> marks(Scale(0.0, 12.0), 5)
    [0.0, 2.5, 5.0, 7.5, 10.0]
    """
    low, high = min(scale.first, scale.last), max(scale.first, scale.last)
    if not high > low or not math.isfinite(high - low):
        return []
    wanted = (high - low) / max(1, min(most, _MOST_MARKS))
    power = 10.0 ** math.floor(math.log10(wanted))
    known = (*(0.1 * step for step in steps[:-1]), *steps, 10.0 * steps[1])
    sizes = [power * step for step in known]
    large = next((place for place, size in enumerate(sizes) if size >= wanted * (1.0 - _SLACK)), len(sizes) - 1)
    found: list[float] = []
    for size in sizes[large::-1]:
        first, last = math.ceil(low / size - _SLACK), math.floor(high / size + _SLACK)
        found = [size * place for place in range(first, last + 1)]
        if len(found) >= 2:
            break
    return found


def room_for_marks(length: float, size: float, *, upright: bool) -> int:
    """Return how many marks an axis has room for.

    Parameters
    ----------
    length : float
        Length of the axis. [points]
    size : float
        Size of its letters. [points]
    upright : bool
        Whether it runs upwards, where marks stand closer.

    Returns
    -------
    int
        The number, nine at most.
    """
    return max(1, min(_MOST_MARKS, int(length / (size * (2 if upright else 3)))))


def labels(places: Sequence[float]) -> list[str]:
    """Return marks in figures, all to the same number of digits.

    Parameters
    ----------
    places : sequence of float
        The marks.

    Returns
    -------
    list of str
        Their texts.

    Examples
    --------
    >>> labels([-0.5, 0.0, 0.5])
    ['−0.5', '0.0', '0.5']
    """
    if not places:
        return []
    seen = _SEEN * ((max(places) - min(places)) or max(abs(places[0]), 1.0))
    digits = next((d for d in range(_MOST_DIGITS) if all(abs(p - round(p, d)) < seen for p in places)), _MOST_DIGITS)
    return [f"{place + 0.0:.{digits}f}".replace("-", "\N{MINUS SIGN}") for place in places]
