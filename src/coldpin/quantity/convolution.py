"""The distribution of a sum of independent parts, without draws: their distributions convolved on a grid."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity.model import QUANTILES, SQRT3, Component, Shape

Cdf = Callable[[NDArray[np.float64]], NDArray[np.float64]]
"""Probability that a variable is at most so much, for an array of arguments."""

CELLS = 200
"""Ours: cells of the grid in one standard uncertainty of the sum. What rounding a part to the grid adds, u / 200 / √12
for each, moves the ends of the interval by less than a ten-thousandth of u; 200 000 draws leave them unsure by 0.006
u. [1]"""

TAIL = 1e-6
"""Ours: probability on either side that a part without end may have beyond the grid; it is put at the last cell."""

OUTERMOST = 2.5e-6
"""Ours: the first and the last quantile kept are those of this probability from the end: half a draw in 200 000. [1]"""

FEWEST_DOF = 2.0
"""Ours: a normal part of fewer degrees of freedom is left to draws: its tails would need a grid of a million cells.
[1]"""

WITH_TAILS = 3.0
"""Ours: below so many degrees of freedom a part has a long tail. [1]"""

LONG_TAIL = 1e-5
"""Ours: probability on either side that a part with a long tail may have beyond the grid; ends are cut off at 0.025."""

NODES = 64
"""Ours: half-widths between the least and the greatest over which a part of inexact limits is averaged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """A part that is known by its quantiles: their differences from the estimate, times the sensitivity, rising."""

    quantiles: tuple[float, ...]


def convolvable(components: Iterable[Component]) -> bool:
    """Say whether the sum of some components can be convolved: no normal one has fewer than two degrees of freedom.

    Parameters
    ----------
    components : iterable of Component
        The components.

    Returns
    -------
    bool
        True where :func:`sum_quantiles` takes them.

    Examples
    --------
    >>> convolvable([Component(id="mean of two", label="", contribution=1.0, dof=1.0)])
    False
    """
    return all(part.dof >= FEWEST_DOF or part.shape is not Shape.NORMAL for part in components)


def sum_quantiles(
    value: float, components: Iterable[Component], described: Iterable[Described] = ()
) -> NDArray[np.float64]:
    """Return equally spaced quantiles of an estimate with independent components of uncertainty.

    Each component has the distribution from which :func:`coldpin.quantity.monte_carlo.draw` would draw it; members of
    a group that share one estimate of their variance make one t together, since their normal numerators add up to a
    normal one. Each distribution becomes the probabilities of the cells of one grid, and these are convolved.

    Parameters
    ----------
    value : float
        The estimate, in the unit of its components.
    components : iterable of Component
        Independent components, in the unit of the estimate, not all 0, each normal one of at least two degrees of
        freedom.
    described : iterable of Described
        Further independent parts, known by their quantiles.

    Returns
    -------
    ndarray
        Quantiles of shape (QUANTILES,), never falling, in the unit of the estimate.

    Examples
    --------
    >>> parts = [Component(id=name, label=name, contribution=1 / SQRT3, shape=Shape.RECTANGULAR) for name in "ab"]
    >>> quantiles = sum_quantiles(0.0, parts)  # two rectangles from −1 to 1 make a triangle from −2 to 2
    >>> [round(float(quantiles[round(400 * level)]), 3) for level in (0.125, 0.5, 0.875)]
    [-1.0, 0.0, 1.0]

    Sources
    -------
    JCGM 101:2008 5.2 and 6.4 (the distributions); the Fourier transform of a convolution is the product of the
    transforms.
    """
    laws = [*_laws(components), *map(_described, described)]
    step = math.sqrt(math.fsum(law.size**2 for law in laws)) / CELLS
    reaches = [max(1, math.ceil(law.reach / step)) for law in laws]
    middle = sum(reaches)
    count = _fast(2 * middle + 1)
    transform: NDArray[np.complex128] | None = None
    for law, reach in zip(laws, reaches, strict=True):
        around, cells = np.zeros(count), law.cells(step, reach)
        around[: reach + 1], around[count - reach :] = cells[reach:], cells[:reach]
        one = np.fft.rfft(around)
        transform = one if transform is None else transform * one
    assert transform is not None, "a sum has parts"
    # what rounding leaves below 0 would make quantiles fall
    probabilities = np.maximum(np.roll(np.fft.irfft(transform, count), middle)[: 2 * middle + 1], 0.0)
    below = np.concatenate(([0.0], np.cumsum(probabilities)))
    edges = (np.arange(-middle, middle + 2) - 0.5) * step
    levels = np.linspace(0.0, 1.0, QUANTILES)
    levels[0], levels[-1] = OUTERMOST, 1.0 - OUTERMOST
    return np.asarray(value + np.interp(levels, below / below[-1], edges))


def _fast(least: int) -> int:
    """Return the next power of two, or three quarters of it where that is enough."""
    power = 1 << (least - 1).bit_length()
    return 3 * power // 4 if power >= 4 and 3 * power // 4 >= least else power


@dataclass(frozen=True, slots=True, kw_only=True)
class _Law:
    """The distribution of one part about 0: its size, how far it reaches, its probabilities."""

    size: float
    reach: float
    below: Cdf
    symmetric: bool = True

    def cells(self, step: float, reach: int) -> NDArray[np.float64]:
        """Return the probabilities of cells from −reach to reach; what lies beyond is put at the last."""
        if not self.symmetric:
            inner = self.below((np.arange(-reach, reach, dtype=np.float64) + 0.5) * step)
            return np.diff(np.concatenate(([0.0], inner, [1.0])))
        upper = self.below((np.arange(reach, dtype=np.float64) + 0.5) * step)
        right = np.diff(np.concatenate((upper, [1.0])))
        middle = 2.0 * upper[:1] - 1.0
        return np.concatenate((right[::-1], middle, right))


def _laws(components: Iterable[Component]) -> list[_Law]:
    """Return the distributions of components: exact normal ones as one, each group that shares a variance as one."""
    normal: list[float] = []
    student: dict[str, list[Component]] = {}
    laws: list[_Law] = []
    for place, part in enumerate(components):
        if part.shape is not Shape.NORMAL:
            laws.append(_limited(part))
        elif math.isinf(part.dof):
            normal.append(part.contribution)
        else:
            student.setdefault(f"group {part.group}" if part.group else f"part {place}", []).append(part)
    if normal:
        laws.append(_normal(math.hypot(*normal)))
    laws += [_student(math.hypot(*(one.contribution for one in part)), part[0].dof) for part in student.values()]
    return laws


def _normal(size: float) -> _Law:
    from scipy import special

    def below(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(special.ndtr(x / size))

    return _Law(size=size, reach=-size * float(special.ndtri(TAIL)), below=below)


def _student(scale: float, dof: float) -> _Law:
    from scipy import special

    def below(x: NDArray[np.float64]) -> NDArray[np.float64]:
        if dof == 2.0:
            # three readings: the one t that many cells are asked of has a closed form
            return np.asarray(0.5 + 0.5 * x / np.sqrt(2.0 * scale**2 + x * x))
        return np.asarray(special.stdtr(dof, x / scale))

    tail = TAIL if dof >= WITH_TAILS else LONG_TAIL
    return _Law(size=scale, reach=-scale * float(special.stdtrit(dof, tail)), below=below)


def _rectangular(x: NDArray[np.float64]) -> NDArray[np.float64]:
    return 0.5 + 0.5 * x


def _triangular(x: NDArray[np.float64]) -> NDArray[np.float64]:
    return 0.5 + x - 0.5 * x * np.abs(x)


def _arcsine(x: NDArray[np.float64]) -> NDArray[np.float64]:
    return 0.5 + np.arcsin(x) / math.pi


_WITHIN_ONE: dict[Shape, tuple[float, Cdf]] = {
    Shape.RECTANGULAR: (SQRT3, _rectangular),
    Shape.TRIANGULAR: (math.sqrt(6.0), _triangular),
    Shape.ARCSINE: (math.sqrt(2.0), _arcsine),
}
"""Half-width for standard deviation 1, and distribution for half-width 1."""


def doubt_of_limits(dof: float) -> float:
    """Return by what part of itself a half-width may be wrong, either way.

    Parameters
    ----------
    dof : float
        Degrees of freedom that say how well the limits are known. [1]

    Returns
    -------
    float
        The part; 0 for infinite degrees of freedom. [1]

    Examples
    --------
    >>> doubt_of_limits(8.0)
    0.25

    Sources
    -------
    JCGM 100:2008 (G.3) (standing: memory).
    """
    return 1.0 / math.sqrt(2.0 * dof)


def _limited(part: Component) -> _Law:
    width, within = _WITHIN_ONE[part.shape]
    half, doubt = width * abs(part.contribution), doubt_of_limits(part.dof)
    # a half-width that is known exactly, or the middles of equal parts of the span in which it lies
    halves = half * (1.0 + doubt * ((2.0 * np.arange(NODES) + 1.0) / NODES - 1.0)) if doubt else np.array([half])

    def below(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(within(np.clip(x[:, None] / halves, -1.0, 1.0)).mean(axis=1))

    return _Law(size=abs(part.contribution), reach=half * (1.0 + doubt), below=below)


def _described(part: Described) -> _Law:
    quantiles = np.array(part.quantiles)
    levels = np.linspace(0.0, 1.0, quantiles.size)

    def below(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.interp(x, quantiles, levels)

    size = _deviation(part.quantiles)
    return _Law(size=size, reach=float(np.abs(quantiles).max()), below=below, symmetric=False)


def _deviation(quantiles: Sequence[float]) -> float:
    """Return the standard deviation about 0 of a variable that is as likely between any two neighbouring quantiles."""
    squares = [(low * low + low * high + high * high) / 3.0 for low, high in pairwise(quantiles)]
    return math.sqrt(math.fsum(squares) / len(squares))
