r"""The distribution of everything that a heating curve leaves open, on a grid of time constants.

The curve is one slow exponential, its bend, and up to two faster ones:

.. math:: \theta(t) = \vartheta(t) + R\,r(t) + B\,e^{-t/\tau} + C\,e^{-2t/\tau} + \sum_k B_k\,e^{-t/\tau_k}

with the ambient and the square of the current as the slow exponential sees them, ϑ and r. R is the rise in the end.
The term in 2t/τ is what a film that improves with the rise, or a resistance that grows with it, does to an exponential
in first order. For given time constants and a given kind of scatter the curve is linear in all else, which is
integrated out exactly; what is left (one to three time constants, the kind of scatter) is summed on a grid.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.heating_noise import NoiseKind

Array = NDArray[np.float64]

BEND = 0.15
r"""Ours: standard deviation of the bend C, as a share of the rise. A film of :math:`\Delta^{0.25}` that carries half of
the heat bends by −0.12 of the rise, a copper resistance at 40 K by +0.14, and they work against each other."""

LAG = 0.2
"""Ours: standard deviation of what a fast exponential takes, as a share of the rise: a conductor runs a fifth ahead of
its sheath, and a sheath as much behind; the slow exponential is the one that leads to the end."""

LAG_OF_BODY = 0.6
"""Ours: the same for a plug or connector, which waits for its joint, its cable and its own mass, one after another."""

APART = 3.0
"""Ours: a fast exponential is at least so many times faster than the next; nearer ones are one and a bend."""

APART_IN_CHAIN = 1.2
"""Ours: the same for a plug or connector. A body of a hundred grams and its cable have time constants of like size, and
a body that is warmed by a cable first waits: two exponentials of opposite sign that one and its bend do not make."""

SLOWEST = 20.0
"""Ours: the slowest time constant looked for, in durations of the run. Over a twentieth of a time constant a curve is
straight, and says of its end nothing but that it is not near."""

SCATTER_KNOWN = 2.0
"""Ours: how many readings' worth the step of the thermometer says of the scatter."""

NEGLIGIBLE = 18.0
"""Ours: places of the grid less likely than the best by more than e to this power are left out."""

ZOOM = 12.0
"""Ours: a grid is drawn in until its ends are less likely than its best place by e to this power."""

STEP_OVER_U = 12.0
"""A step over its standard uncertainty, squared: a value may lie anywhere within the step (JCGM 100:2008 F.2.2.1)."""

SECOND_DIFFERENCE = 6.0
"""Variance of a second difference of independent readings over that of one: 1 + 4 + 1."""

FASTEST = 0.3
"""Ours: the fastest exponential looked for, in spacings of the blocks; a faster one is over before the second."""

ROUNDING = 1e-12
"""Ours: what is left of a square after all columns were taken out is not known better than to this share."""

NODES = {1: (48,), 2: (36, 14), 3: (24, 9, 7)}
"""Ours: places of the grid along each time constant, by number of exponentials."""

ROUNDS = 6
"""Ours: how often a grid is drawn in at most."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blocks:
    """Readings of one run with constant current, gathered in blocks.

    ``time``: array of shape (n,), from the moment the current came. [s] ``temperature`` and ``ambient`` [°C],
    ``drive`` the square of the current over its mean square [1], ``counts`` readings in each block, or what it is
    worth in readings [1]. ``resolution`` is one step of the thermometer [K], ``finer`` how many times less than a
    step, root mean square, a block may lie off by it [1]. ``lag`` is the standard deviation of what a fast exponential
    takes, as a share of the rise [1]; ``chained``: the part is warmed by another that is hardly faster, as a plug by
    its cable.
    """

    time: Array
    temperature: Array
    ambient: Array
    drive: Array
    counts: Array
    resolution: float
    finer: float = 1.0
    lag: float = LAG
    chained: bool = False

    @property
    def rise(self) -> Array:
        """How far the part was above its ambient, array of shape (n,). [K]"""
        return np.asarray(self.temperature - self.ambient)

    @property
    def apart(self) -> float:
        """By how much a fast exponential is faster than the next at least. [1]"""
        return APART_IN_CHAIN if self.chained else APART

    @property
    def duration(self) -> float:
        """From the first block to the last. [s]"""
        return float(self.time[-1] - self.time[0])

    @property
    def span(self) -> float:
        """How far the temperature moved, not less than one step of the thermometer. [K]"""
        return float(max(np.ptp(self.temperature), self.resolution, np.finfo(np.float64).tiny))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Places:
    """Places of the grid with their weights and what holds there; m places, q linear terms.

    ``slow`` and ``fast``: time constants, arrays of shape (m,) and (m, terms − 1). [s] ``weight``: log, not normalised;
    ``likelihood``: log of the largest likelihood there, not normalised.
    ``linear``: array of shape (m, q) of R, B, C, B_k [K]; ``inverse``: of shape (m, q, q), their covariance over the
    variance ``variance`` (of shape (m,)) [K²]. ``dof`` of that variance. [1]
    """

    terms: int
    kind: NoiseKind
    slow: Array
    fast: Array
    weight: Array
    likelihood: Array
    linear: Array
    inverse: Array
    variance: Array
    dof: float


def lagged(time: Array, values: Array, constant: float) -> Array:
    r"""Return what a first-order lag makes of a signal, straight between readings and at rest at the first.

    .. math:: y_i = y_{i-1} e^{-h/\tau} + x_i - x_{i-1} e^{-h/\tau} - (x_i - x_{i-1}) \frac{\tau}{h}(1 - e^{-h/\tau})

    Parameters
    ----------
    time : ndarray
        Array of shape (n,), rising. [s]
    values : ndarray
        x, array of shape (n,).
    constant : float
        τ. [s]

    Returns
    -------
    ndarray
        y, array of shape (n,), in the unit of ``values``.

    Examples
    --------
    >>> time = np.linspace(0.0, 100.0, 51)
    >>> ramp = lagged(time, 0.1 * time, 10.0)
    >>> round(float(ramp[-1]), 4)
    9.0
    """
    steps = np.diff(time)
    decays = np.exp(-steps / constant)
    rises = np.diff(values)
    pushes = rises - rises * constant / steps * (1.0 - decays)
    behind = 0.0
    late = np.zeros_like(values)
    for place, (decay, push, rise) in enumerate(zip(decays.tolist(), pushes.tolist(), rises.tolist(), strict=True), 1):
        # kept as the distance behind the signal, so that a constant signal is followed without a trace of rounding
        behind = behind * decay + rise - push
        late[place] = behind
    return np.asarray(values - late)


def _lagged_by(time: Array, values: Array, constants: Array) -> Array:
    """Return what :func:`lagged` does by each of k constants, array of shape (n, k), step by step for all of them."""
    steps = np.diff(time)[:, None]
    decays = np.exp(-steps / constants)
    rises = np.diff(values)[:, None]
    pushes = rises - rises * constants / steps * (1.0 - decays)
    late = np.zeros((time.size, constants.size))
    for place, (decay, push, rise) in enumerate(zip(decays, pushes, rises, strict=True), 1):
        late[place] = late[place - 1] * decay + rise - push
    return np.asarray(values[:, None] - late)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Columns:
    """The columns of the curve for all time constants of a grid.

    ``slow`` and ``bend`` are those of :func:`_to_terms`, which stay apart where a time constant is far longer than the
    run; there 1, E and E² are almost one. ``moved``: 1 − E at the end of the run, array of shape (k,). [1]
    """

    moved: Array
    measured: Array
    rise: Array
    slow: Array
    bend: Array
    fast: Array


def _columns(blocks: Blocks, slow: Array, fast: Array, offset: float) -> _Columns:
    time, after = blocks.time, blocks.time[:, None]
    steady = not np.ptp(blocks.ambient) and not np.ptp(blocks.drive)
    if steady:
        rise = np.ones((time.size, slow.size))
        surrounding = np.full((time.size, slow.size), blocks.ambient[-1])
    else:
        rise, surrounding = _lagged_by(time, blocks.drive, slow), _lagged_by(time, blocks.ambient, slow)
    decays = np.exp(-after / slow)
    moved = -np.expm1(-blocks.duration / slow)
    return _Columns(
        moved=moved,
        measured=blocks.temperature[:, None] - surrounding - offset * rise,
        rise=rise,
        slow=(rise - decays) / moved,
        bend=(rise - 2.0 * decays + decays**2) / moved**2,
        fast=np.exp(-after / fast) if fast.size else np.empty((time.size, 0)),
    )


def _combinations(slow: Array, fasts: Sequence[Array], apart: float) -> tuple[NDArray[np.intp], ...]:
    """Return the places of a grid whose time constants lie far enough apart, as places on each axis."""
    mesh = np.meshgrid(*(np.arange(axis.size) for axis in (slow, *fasts)), indexing="ij")
    chosen = np.ones(mesh[0].shape, dtype=bool)
    axes = (slow, *fasts)
    for place in range(1, len(axes)):
        chosen &= axes[place][mesh[place]] * apart <= axes[place - 1][mesh[place - 1]]
    return tuple(one[chosen] for one in mesh)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Whitened:
    """The products of all whitened columns with one another, for one kind of scatter."""

    kind: NoiseKind
    gram: Array
    moved: Array
    log_determinant: float


def _whitened(kind: NoiseKind, root: Array, columns: _Columns) -> _Whitened:
    from scipy import linalg

    all_columns = np.concatenate([columns.measured, columns.rise, columns.slow, columns.bend, columns.fast], axis=1)
    white = linalg.solve_triangular(root, all_columns, lower=True)
    # by the library that solved: numpy's own has threads of its own, and each waits busily while the other works
    upper = linalg.blas.dsyrk(1.0, white, trans=True)
    return _Whitened(
        kind=kind,
        gram=upper + np.triu(upper, 1).T,
        moved=columns.moved,
        log_determinant=2.0 * float(np.sum(np.log(np.diag(root)))),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Grid:
    """Places of a grid whose time constants lie far enough apart: m places with ``terms`` exponentials.

    ``ids``: the columns of the curve at each place, array of shape (terms + 2, m); ``at``: its place among the slow
    time constants, of shape (m,); ``constants``: of shape (m, terms) [s]; ``moved``: 1 − E at the end of the run [1].
    """

    ids: NDArray[np.intp]
    at: NDArray[np.intp]
    constants: Array
    moved: Array


def _grid(blocks: Blocks, moved: Array, slow: Array, fasts: Sequence[Array]) -> _Grid:
    chosen = _combinations(slow, fasts, blocks.apart)
    count = slow.size
    starts = np.cumsum([4 * count, *(axis.size for axis in fasts)])
    further = (places + start for places, start in zip(chosen[1:], starts, strict=False))
    return _Grid(
        ids=np.stack([chosen[0] + count, chosen[0] + 2 * count, chosen[0] + 3 * count, *further]),
        at=chosen[0],
        constants=np.stack([axis[places] for axis, places in zip((slow, *fasts), chosen, strict=True)], axis=1),
        moved=moved[chosen[0]],
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Solved:
    """The linear terms at every place for some kinds of scatter, places last so that numpy runs along them.

    ``weight``, ``likelihood`` and ``variance`` are of shape (kinds, m), ``linear`` of shape (q, kinds, m), in R, B, C
    and B_k; ``inverse`` of the columns' coefficients, of shape (q, q, kinds, m).
    """

    weight: Array
    likelihood: Array
    variance: Array
    linear: Array
    inverse: Array


def _solved(
    blocks: Blocks, whites: Sequence[_Whitened], grid: _Grid, offset: float, rough: tuple[Array, Array] | None
) -> _Solved:
    """Integrate the linear terms out at every place; ``rough`` is variance and rise as a first look has them."""
    gram = np.stack([white.gram for white in whites])
    moved, slow = grid.moved, grid.constants[:, 0]
    normal = np.moveaxis(gram[:, grid.ids[:, None, :], grid.ids[None, :, :]], 0, 2)
    product = np.moveaxis(gram[:, grid.ids, grid.at], 0, 1)
    square = gram[:, grid.at, grid.at]
    # what is known before of bend and lag: shares of the rise, which a first look tells for each place
    if rough is None:
        variance = np.array([[_first_variance(blocks)]])
        whole = (blocks.span / -np.expm1(-blocks.duration / slow))[None, :]
    else:
        variance, whole = rough[0], np.maximum(np.abs(rough[1]), blocks.span)
    stiffness = variance / (known_shares(blocks, grid.constants).T[:, None, :] * whole) ** 2
    known = np.arange(2, grid.ids.shape[0])
    normal[known, known] += stiffness
    # the bend's column is C κ²
    normal[2, 2] += stiffness[0] * (moved**-4 - 1.0)
    # columns differ by orders of magnitude: brought to one size the inverse keeps its digits
    size = 1.0 / np.sqrt(np.stack([normal[place, place] for place in range(len(normal))]))
    normal *= size[:, None]
    normal *= size[None, :]
    inverse, linear, left, log_determinant = _swept(normal, product * size, square)
    left = np.maximum(left, ROUNDING * square) + SCATTER_KNOWN * _least_variance(blocks)
    dof = _dof(blocks)
    log_determinant = log_determinant - 2.0 * np.sum(np.log(size), axis=0) + 2.0 * np.log(moved**3)
    of_kinds = np.array([[white.log_determinant] for white in whites])
    likelihood = -0.5 * of_kinds - 0.5 * dof * np.log(left)
    linear = _to_terms(moved, linear * size)
    linear[0] += offset
    return _Solved(
        weight=likelihood
        - 0.5 * log_determinant
        + 0.5 * np.sum(np.log(stiffness), axis=0)
        - 2.0 * np.log1p(slow / blocks.duration),
        likelihood=likelihood,
        variance=left / dof,
        linear=linear,
        inverse=inverse * size[:, None] * size[None, :],
    )


def _dof(blocks: Blocks) -> float:
    return blocks.time.size - 2.0 + SCATTER_KNOWN


def _swept(normal: Array, product: Array, square: Array) -> tuple[Array, Array, Array, Array]:
    """Return inverse, solution, what is left of the square, and log determinant, of many small systems at once.

    ``normal``: symmetric matrices of ones on the diagonal, of shape (q, q, …); ``product`` of shape (q, …); ``square``
    of shape (…). All come from one sweep of the bordered matrix, column after column (J. H. Goodnight, The American
    Statistician 33 (1979) 149, standing: memory); a positive matrix needs no pivots.
    """
    count = len(product)
    table = np.empty((count + 1, count + 1, *square.shape))
    table[:count, :count], table[:count, count], table[count, :count] = normal, product, product
    table[count, count] = square
    log_determinant = np.zeros(square.shape)
    for place in range(count):
        # what the columns before leave of one of size 1 is not known better than its last digit
        pivot = np.maximum(table[place, place], np.finfo(np.float64).eps)
        log_determinant += np.log(pivot)
        column = table[place].copy()
        row = column / pivot
        table -= column[:, None] * row[None, :]
        table[place], table[:, place] = row, row
        table[place, place] = -1.0 / pivot
    return -table[:count, :count], table[:count, count], table[count, count], log_determinant


def _to_terms(moved: Array, linear: Array) -> Array:
    r"""Return R, B, C and B_k from the coefficients of the columns, along the first axis of ``linear``.

    With :math:`\kappa = 1 - E(T)` the curve is
    :math:`R r + B E + C E^2 = a\,r + b\,(r - E)/\kappa + c\,(r - 2 E + E^2)/\kappa^2`.
    """
    found = linear.copy()
    slow, bend = linear[1] / moved, linear[2] / moved**2
    found[0] += slow + bend
    found[1], found[2] = -slow - 2.0 * bend, bend
    return found


PLACES_AT_ONCE = 8192
"""Ours: about so many places are worked on at once; their matrices then stay in the processor's cache."""


def _settled(
    blocks: Blocks, whites: Sequence[_Whitened], slow: Array, fasts: Sequence[Array], offset: float
) -> list[Places]:
    """Return the places of a grid for each kind of scatter, after a first look that tells the scatter and the rise."""
    grid = _grid(blocks, whites[0].moved, slow, fasts)
    together = max(1, PLACES_AT_ONCE // grid.at.size)
    found: list[Places] = []
    for first in range(0, len(whites), together):
        some = whites[first : first + together]
        rough = _solved(blocks, some, grid, offset, None)
        best = np.argmax(rough.weight, axis=1)[:, None]
        seen = np.take_along_axis(rough.variance, best, axis=1), rough.linear[0]
        solved = _solved(blocks, some, grid, offset, seen)
        inverse = _to_terms(grid.moved, _to_terms(grid.moved, solved.inverse).swapaxes(0, 1))
        linear, inverse = np.moveaxis(solved.linear, 0, 2), np.moveaxis(inverse, (0, 1), (2, 3))
        found += [
            Places(
                terms=1 + len(fasts),
                kind=white.kind,
                slow=grid.constants[:, 0],
                fast=grid.constants[:, 1:],
                weight=solved.weight[place],
                likelihood=solved.likelihood[place],
                linear=linear[place],
                inverse=inverse[place],
                variance=solved.variance[place],
                dof=_dof(blocks),
            )
            for place, white in enumerate(some)
        ]
    return found


def known_shares(blocks: Blocks, constants: Array) -> Array:
    r"""Return the standard deviations, known before, of bend and fast exponentials, as shares of the rise.

    .. math:: s_k^2 = s^2 + \frac{1}{(\tau / \tau_k - 1)^2}

    The second part, where a part is warmed by another, is what the other's exponential takes if all heat comes so.

    Parameters
    ----------
    blocks : Blocks
        The readings.
    constants : ndarray
        The slow time constant, then the fast ones, array of shape (m, terms). [s]

    Returns
    -------
    ndarray
        Array of shape (m, terms): the bend, then each fast exponential. [1]

    Examples
    --------
    >>> ten = np.arange(10.0)
    >>> readings = Blocks(time=ten, temperature=ten, ambient=ten, drive=ten, counts=ten, resolution=0.1)
    >>> known_shares(readings, np.array([[400.0, 40.0]])).tolist()
    [[0.15, 0.2]]
    """
    shares = np.full_like(constants, BEND)
    shares[:, 1:] = blocks.lag
    if blocks.chained:
        shares[:, 1:] = np.hypot(blocks.lag, 1.0 / (constants[:, [0]] / constants[:, 1:] - 1.0))
    return shares


def _least_variance(blocks: Blocks) -> float:
    """Return the variance that the step of the thermometer alone makes, or the last digits of a float where none."""
    step = max(blocks.resolution / blocks.finer, 1e-9 * blocks.span)
    return step**2 / STEP_OVER_U


def explore(blocks: Blocks, terms: int, roots: Mapping[NoiseKind, Array]) -> tuple[tuple[Places, ...], float]:
    """Find where a curve of so many exponentials can lie, for every kind of scatter.

    The grid of time constants is drawn in around what is likely, round by round, and then laid once over it all.

    Parameters
    ----------
    blocks : Blocks
        The readings.
    terms : int
        Exponentials, 1 to 3.
    roots : mapping of NoiseKind to ndarray
        What :func:`coldpin.copper.heating_noise.noise_roots` gives for the readings.

    Returns
    -------
    tuple of Places
        One for each kind of scatter.
    float
        Log of the evidence for so many exponentials, up to what all numbers of them share.
    """
    kinds = tuple(roots)
    sizes = NODES[terms]
    spacing = blocks.duration / blocks.time.size
    slow = np.geomspace(2.0 * spacing, SLOWEST * blocks.duration, sizes[0])
    fastest, last = FASTEST * spacing, blocks.duration * (1.0 if blocks.chained else 0.5)
    fasts = [np.geomspace(fastest, last, size) for size in sizes[1:]]
    widest = [float(np.log(axis[-1] / axis[0])) for axis in (slow, *fasts)]
    offset = float(np.median(blocks.temperature - blocks.ambient))
    used: Sequence[int] = range(len(kinds))
    for _ in range(ROUNDS):
        columns = _columns(blocks, slow, np.concatenate(fasts) if fasts else np.empty(0), offset)
        whites = [_whitened(kinds[place], roots[kinds[place]], columns) for place in used]
        found = dict(zip(used, _settled(blocks, whites, slow, fasts, offset), strict=True))
        used = sorted(found, key=lambda place: -float(found[place].weight.max()))[:KINDS_IN_ZOOM]
        narrower = _drawn_in([found[place] for place in used], slow, fasts)
        if all(new.size == old.size and new[0] == old[0] for new, old in zip(narrower, (slow, *fasts), strict=True)):
            break
        slow, *fasts = narrower
    columns = _columns(blocks, slow, np.concatenate(fasts) if fasts else np.empty(0), offset)
    whites = [_whitened(kind, root, columns) for kind, root in roots.items()]
    places = _settled(blocks, whites, slow, fasts, offset)
    cell = sum(
        float(np.log(axis[1] / axis[0])) - float(np.log(wide))
        for axis, wide in zip((slow, *fasts), widest, strict=True)
    )
    weights = np.concatenate([one.weight for one in places])
    evidence = float(np.logaddexp.reduce(weights)) + cell
    return tuple(places), evidence


KINDS_IN_ZOOM = 4
"""Ours: how many kinds of scatter, the likeliest, a grid is drawn in with; all are laid over the last grid."""


def _first_variance(blocks: Blocks) -> float:
    """Return a first guess of the scatter: that of second differences, or what the step of the thermometer makes."""
    return float(np.mean(np.diff(blocks.temperature, 2) ** 2) / SECOND_DIFFERENCE) + _least_variance(blocks)


def _drawn_in(found: Sequence[Places], slow: Array, fasts: Sequence[Array]) -> list[Array]:
    """Return the axes drawn in to what is likely, one place wider on both sides; an axis that cannot shrink stays."""
    top = max(float(one.weight.max()) for one in found)
    axes = []
    for number, axis in enumerate((slow, *fasts)):
        likely = np.zeros(axis.size, dtype=bool)
        for one in found:
            held = one.slow if number == 0 else one.fast[:, number - 1]
            near = held[one.weight > top - ZOOM]
            likely[np.searchsorted(axis, near * (1.0 - 1e-9))] = True
        kept = np.flatnonzero(likely)
        low, high = max(int(kept[0]) - 1, 0), min(int(kept[-1]) + 1, axis.size - 1)
        worth = np.log(axis[high] / axis[low]) < SHRINKS * np.log(axis[-1] / axis[0])
        axes.append(np.geomspace(axis[low], axis[high], axis.size) if worth else axis)
    return axes


SHRINKS = 0.7
"""Ours: an axis is drawn in where that makes it shorter than this share of what it was."""
