"""From a heating curve to the temperature it ends at, with an interval that holds when the run was stopped early.

What the readings leave open is laid on a grid (:mod:`coldpin.copper.heating_grid`); the interval is that of the whole
grid, over one to three exponentials and every kind of scatter. The curve that is drawn is the likeliest place of the
grid, brought to the least sum of squares.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.heating_grid import (
    NEGLIGIBLE,
    SLOWEST,
    STEP_OVER_U,
    Blocks,
    Places,
    explore,
    known_shares,
    lagged,
)
from coldpin.copper.heating_noise import NoiseKind, noise_roots
from coldpin.copper.least_squares import fit_curve
from coldpin.errors import InputError
from coldpin.quantity import COVERAGE, Quantity, coverage_factor
from coldpin.records.by_content import ByContent

Array = NDArray[np.float64]

MOST_TERMS = 3
"""Ours: exponentials tried at most. A cable has one of its body, one of conductor against sheath, and little more."""

WORTH_ANOTHER = 1.0
"""Ours: a third exponential is tried where the second made the readings likelier by e to this power."""

OPEN_WITHIN = 0.5 * coverage_factor(math.inf) ** 2
"""Where a straight line is less unlikely than the best curve by no more than e to this power, the readings exclude it
at 95 % no more than they show an end: half the square of the coverage factor (Wilks' theorem)."""

FEWEST_BLOCKS = 12
"""Ours: with fewer readings than this a curve is not told from its scatter."""

_NODES = 101
_QUANTILES = 401
_DRAWS = 400
"""Ours: places of each Student distribution, quantiles kept, curves drawn: the ends settle to a hundredth of u."""


FAR = 1.0
FARTHEST = 3.0
"""Ours: a search that moves the logarithm of the slow constant by more than the one found another curve than the grid
did, and is not followed; no constant is tried farther off than the other. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Draws:
    """Curves that the readings leave possible, as likely one as the other.

    ``slow`` and ``fast``: time constants, arrays of shape (m,) and (m, 2), 0 where a curve has fewer. [s]
    ``linear``: array of shape (m, 5) of R, B, C and two B_k, 0 where a curve has fewer. [K]
    """

    slow: Array
    fast: Array
    linear: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingFit:
    """What a heating curve says, by the readings alone: errors of the thermometers are not in it.

    ``terms`` is the likeliest number of exponentials. ``rise`` over the ambient in the end [K] and
    ``time_constant`` of the slow exponential [s]; ``open_above`` is true where the readings do not bound them from
    above. ``reached`` is the share of the rise in the end that was reached, None where that is open [1]. ``noise``: the
    likeliest kind of scatter, ``scatter`` its standard deviation for a block [K], ``lasting`` that of what lasts, over
    all kinds [K]. ``fitted``: the best curve at the blocks, array of shape (n,) [°C].
    """

    blocks: Blocks
    terms: int
    rise: Quantity
    time_constant: Quantity
    fast_constants: tuple[float, ...]
    open_above: bool
    reached: float | None
    noise: NoiseKind
    scatter: float
    lasting: float
    fitted: Array
    draws: Draws

    @property
    def residuals(self) -> Array:
        """What was read less the best curve, array of shape (n,). [K]"""
        return self.blocks.temperature - self.fitted


def fit_heating(blocks: Blocks) -> HeatingFit:
    """Fit a heating curve and say where it ends, how fast, and how sure that is.

    Parameters
    ----------
    blocks : Blocks
        Readings from the moment the current came, at one current.

    Returns
    -------
    HeatingFit
        Rise in the end and time constant with 95 % intervals; where the readings do not bound the end from above the
        rise has a lower end only.

    Raises
    ------
    InputError
        There are too few readings.

    Examples
    --------
    >>> time = np.linspace(0.0, 1800.0, 120)
    >>> warm = 23.0 + 30.0 * -np.expm1(-time / 400.0) + 0.02 * np.cos(1.7 * np.arange(120.0))
    >>> told = fit_heating(Blocks(time=time, temperature=warm, ambient=np.full(120, 23.0), drive=np.ones(120),
    ...                           counts=np.ones(120), resolution=0.01))
    >>> told.rise.low < 30.0 < told.rise.high < told.rise.low + 0.3, round(told.time_constant.value, -1)
    (True, 400.0)

    Sources
    -------
    Linear parameters integrated out with a scaled covariance: textbook of Bayesian regression (standing: memory).
    The prior of the time constant is flat in its logarithm within the run; beyond it that of slope and bend,
    which the readings then show, is flat. The interval is the wider one, on each side, of that of the grid and that of
    the ratio of likelihoods (Wilks), which also tells whether the end is open. Its upper end is led up by the standard
    deviation of what lasts: in still air a part becomes warmer than in the mean of draughts, by as much as they
    scatter where they blow half of the time (arithmetic of two values).
    """
    if blocks.time.size < FEWEST_BLOCKS:
        raise InputError(
            f"{blocks.time.size} readings under current are too few for a heating curve: at least {FEWEST_BLOCKS}; "
            "log more often or longer"
        )
    return _fitted(ByContent(blocks))


REMEMBERED = 16
"""Ours: so many fits are kept; a case has few heating tests of few parts each."""


@lru_cache(maxsize=REMEMBERED)
def _fitted(asked: ByContent[Blocks]) -> HeatingFit:
    blocks = asked.given
    roots = noise_roots(blocks.time, blocks.counts, blocks.rise)
    tried = [explore(blocks, 1, roots), explore(blocks, 2, roots)]
    if tried[1][1] > tried[0][1] + WORTH_ANOTHER:
        tried.append(explore(blocks, MOST_TERMS, roots))
    tried = _heading_up(tried, blocks)
    evidence = np.array([logged for _, logged in tried])
    places = [one for found, _ in tried for one in found]
    weights = _weights(tried)
    terms = int(np.argmax(evidence)) + 1
    is_open = _is_open(blocks, places)
    best_kind = max((one for one in places if one.terms == terms), key=lambda one: float(one.weight.max()))
    best = int(np.argmax(best_kind.weight))
    fitted, constants = _polished(blocks, best_kind, best, roots[best_kind.kind])
    rise, constant = _rise(blocks, places, weights, is_open), _constant(places, weights, is_open)
    return HeatingFit(
        blocks=blocks,
        terms=terms,
        rise=rise,
        time_constant=constant,
        fast_constants=constants,
        open_above=is_open,
        reached=None if is_open or not rise.value else float((fitted[-1] - blocks.ambient[-1]) / rise.value),
        noise=best_kind.kind,
        scatter=math.sqrt(float(best_kind.variance[best])),
        lasting=lasting_scatter(places, weights),
        fitted=fitted,
        draws=_draws(places, weights),
    )


def curves_at(fit: HeatingFit, times: Array) -> Array:
    """Return the curves that the readings leave possible, the ambient and the current staying as they were last.

    Parameters
    ----------
    fit : HeatingFit
        The fit.
    times : ndarray
        From the moment the current came, array of shape (k,), rising; also beyond the readings. [s]

    Returns
    -------
    ndarray
        Array of shape (m, k), a curve a row. [°C]
    """
    blocks, draws = fit.blocks, fit.draws
    steady = not np.ptp(blocks.ambient) and not np.ptp(blocks.drive)
    after = times[None, :]
    if steady:
        surrounding = np.full((1, times.size), blocks.ambient[-1])
        rise = np.ones((1, times.size))
    else:
        long = np.union1d(blocks.time, times)
        at = np.searchsorted(long, times)
        ambient, drive = (np.interp(long, blocks.time, values) for values in (blocks.ambient, blocks.drive))
        surrounding = np.stack([lagged(long, ambient, constant)[at] for constant in draws.slow])
        rise = np.stack([lagged(long, drive, constant)[at] for constant in draws.slow])
    slow, linear = draws.slow[:, None], draws.linear
    curves = surrounding + linear[:, [0]] * rise
    curves = curves + linear[:, [1]] * np.exp(-after / slow) + linear[:, [2]] * np.exp(-2.0 * after / slow)
    for place in range(draws.fast.shape[1]):
        constant = np.where(draws.fast[:, [place]] > 0.0, draws.fast[:, [place]], 1.0)
        curves = curves + linear[:, [3 + place]] * np.exp(-after / constant)
    return np.asarray(curves)


def temperature_at(fit: HeatingFit, time: float) -> Quantity:
    """Return what the part will be at a time, also after the readings end, without the thermometer's own error.

    Parameters
    ----------
    fit : HeatingFit
        The fit.
    time : float
        From the moment the current came. [s]

    Returns
    -------
    Quantity
        With the interval of the possible curves; draughts to come are not in it. [°C]

    Raises
    ------
    InputError
        The interval cannot be made into a quantity.
    """
    found = np.sort(curves_at(fit, np.array([time]))[:, 0])
    low, middle, high = np.quantile(found, [0.5 * (1.0 - COVERAGE), 0.5, 0.5 * (1.0 + COVERAGE)])
    return _from_interval(float(middle), float(low), float(high), "°C")


def _leads_up(one: Places, blocks: Blocks) -> NDArray[np.bool_]:
    """Say at which places the slow exponential with its bend rises all the time, and to more than the air."""
    bend = 2.0 * one.linear[:, 2]
    rises = one.linear[:, 1] + np.maximum(bend, bend * np.exp(-blocks.duration / one.slow)) < 0.0
    return np.asarray(rises & (one.linear[:, 0] >= _floor(blocks)))


def _heading_up(
    tried: list[tuple[tuple[Places, ...], float]], blocks: Blocks
) -> list[tuple[tuple[Places, ...], float]]:
    """Leave out the places where the slow exponential leads down: at one current a part does not cool of itself.

    Where that would leave nothing (nothing was heated) all are kept.
    """
    kept = [
        (
            tuple(
                replace(
                    one,
                    weight=np.where(_leads_up(one, blocks), one.weight, -np.inf),
                    likelihood=np.where(_leads_up(one, blocks), one.likelihood, -np.inf),
                )
                for one in found
            ),
            logged,
        )
        for found, logged in tried
    ]
    leads = all(any(bool(np.any(one.weight > -np.inf)) for one in found) for found, _ in kept)
    return kept if leads else tried


def _least_rise(one: Places) -> Array:
    """Return the rise at each place to which the slow exponential adds nothing more: the least there is."""
    slope = one.inverse[:, 0, 1] / one.inverse[:, 1, 1]
    left = one.inverse[:, 0, 0] - slope * one.inverse[:, 0, 1]
    sure = coverage_factor(one.dof) * np.sqrt(np.maximum(one.variance * left, 0.0))
    least = one.linear[:, 0] - slope * one.linear[:, 1] - sure
    return np.where(one.linear[:, 1] < 0.0, least, -np.inf)


def _weights(tried: list[tuple[tuple[Places, ...], float]]) -> list[Array]:
    """Return the weight of every place, over all numbers of exponentials and kinds of scatter; their sum is 1."""
    logs = []
    for found, logged in tried:
        share = logged - float(np.logaddexp.reduce(np.concatenate([one.weight for one in found])))
        logs += [one.weight + share for one in found]
    top = max(float(one.max()) for one in logs)
    weights = [np.where(one > top - NEGLIGIBLE, np.exp(one - top), 0.0) for one in logs]
    total = sum(float(one.sum()) for one in weights)
    return [one / total for one in weights]


def _is_open(blocks: Blocks, places: list[Places]) -> bool:
    """Say whether a straight line is about as likely as the best curve: then the readings show no end."""
    best = max(float(one.likelihood.max()) for one in places)
    slowest = SLOWEST * blocks.duration * (1.0 - 1e-6)
    return any(bool(np.any(one.likelihood[one.slow > slowest] > best - OPEN_WITHIN)) for one in places)


def _floor(blocks: Blocks) -> float:
    """Return the least rise there can be: a current warms, unless the readings themselves end below the air. [K]"""
    return min(0.0, float(np.median(blocks.rise[-FEWEST_BLOCKS:])))


def _rise(blocks: Blocks, places: list[Places], weights: list[Array], is_open: bool) -> Quantity:
    """Return the rise in the end from the mixture of Student distributions that the grid is."""
    from scipy import special

    levels = (np.arange(_NODES) + 0.5) / _NODES
    points, masses = [], []
    for one, weight in zip(places, weights, strict=True):
        kept = weight > 0.0
        scale = np.sqrt(one.variance[kept] * np.maximum(one.inverse[kept, 0, 0], 0.0))
        student = special.stdtrit(one.dof, levels)
        drawn = one.linear[kept, 0, None] + scale[:, None] * student
        points.append(np.maximum(drawn, np.maximum(_least_rise(one)[kept, None], _floor(blocks))).ravel())
        masses.append(np.repeat(weight[kept] / _NODES, _NODES))
    value, low, high, quantiles = _summary(np.concatenate(points), np.concatenate(masses))
    least, most = _by_likelihood(places)
    floor = _floor(blocks)
    least = max(least, floor)
    # near its end a curve stands within one step of the thermometer, and no number of readings tells where
    coarse = coverage_factor(math.inf) * blocks.resolution / math.sqrt(STEP_OVER_U)
    least = value - math.hypot(value - min(low, least), coarse)
    # a draught only cools: blowing half of the time it takes off as much on average as what lasts scatters
    most = value + math.hypot(max(high, most) - value, coarse) + lasting_scatter(places, weights)
    wider = (_wider(value - least, value - low), _wider(most - value, high - value))
    quantiles = value + (quantiles - value) * np.where(quantiles < value, *wider)
    low, high = min(low, least), max(high, most)
    if is_open:
        return Quantity(value, None, "K", low=low, why=STOPPED_EARLY)
    return _from_interval(value, low, high, "K", quantiles)


def lasting_scatter(places: list[Places], weights: list[Array]) -> float:
    r"""Return the standard deviation of that part of the scatter that lasts.

    .. math:: s = \sqrt{\sum_i w_i\, \varphi_i\, s_i^2}

    Parameters
    ----------
    places : list of Places
        The grid, for every kind of scatter.
    weights : list of ndarray
        Their weights w, whose sum is 1.

    Returns
    -------
    float
        Over all that the readings leave open. [K]
    """
    return math.sqrt(
        sum(
            one.kind.share * float(np.sum(weight[weight > 0.0] * one.variance[weight > 0.0]))
            for one, weight in zip(places, weights, strict=True)
        )
    )


def _wider(wide: float, narrow: float) -> float:
    """Return by how much one side of an interval is wider; 1 where the narrow one is nothing, as at a bare floor."""
    return max(1.0, wide / narrow) if narrow > 0.0 else 1.0


def _by_likelihood(places: list[Places]) -> tuple[float, float]:
    """Return the ends of the rise by the ratio of likelihoods, which no prior of the time constants moves."""
    best = max(float(one.likelihood.max()) for one in places)
    lows, highs = [], []
    for one in places:
        left = OPEN_WITHIN - (best - one.likelihood)
        kept = left > 0.0
        half = np.sqrt(2.0 * left[kept] * one.variance[kept] * one.inverse[kept, 0, 0])
        lows.append(np.maximum(one.linear[kept, 0] - half, _least_rise(one)[kept]))
        highs.append(one.linear[kept, 0] + half)
    return float(np.concatenate(lows).min()), float(np.concatenate(highs).max())


STOPPED_EARLY = (
    "the run was stopped so early that the readings do not bound the end from above: what is given is the middle of "
    "what they leave possible, and a lower end"
)
"""Why a rise in the end has no upper end."""


def _constant(places: list[Places], weights: list[Array], is_open: bool) -> Quantity:
    slow = np.concatenate([one.slow for one in places])
    value, low, high, _ = _summary(np.log(slow), np.concatenate(weights))
    value, low, high = math.exp(value), math.exp(low), math.exp(high)
    if is_open:
        return Quantity(value, None, "s", low=low, why=STOPPED_EARLY)
    return _from_interval(value, low, high, "s")


def _summary(points: Array, masses: Array) -> tuple[float, float, float, Array]:
    """Return median, both ends of the 95 % interval and equally spaced quantiles of weighted points."""
    order = np.argsort(points)
    points, masses = points[order], masses[order]
    reached = np.cumsum(masses) - 0.5 * masses
    quantiles = np.interp(np.linspace(0.0, 1.0, _QUANTILES), reached, points)
    low, value, high = np.interp([0.5 * (1.0 - COVERAGE), 0.5, 0.5 * (1.0 + COVERAGE)], reached, points)
    return float(value), float(low), float(high), quantiles


def _from_interval(value: float, low: float, high: float, unit: str, quantiles: Array | None = None) -> Quantity:
    """Return a quantity with a 95 % interval that need not lie evenly about its value."""
    return Quantity(
        value,
        0.5 * (high - low) / coverage_factor(math.inf),
        unit,
        low=low,
        high=high,
        quantiles=() if quantiles is None else tuple(quantiles.tolist()),
    )


def _draws(places: list[Places], weights: list[Array]) -> Draws:
    """Return curves drawn from the grid: places at even steps of the weight, the linear terms at random there."""
    random = np.random.default_rng(_DRAWS)
    reached = np.cumsum(np.concatenate(weights))
    chosen = np.searchsorted(reached, (np.arange(_DRAWS) + 0.5) / _DRAWS * reached[-1])
    ends = np.cumsum([one.slow.size for one in places])
    slow, fast, linear = np.empty(_DRAWS), np.zeros((_DRAWS, MOST_TERMS - 1)), np.zeros((_DRAWS, MOST_TERMS + 2))
    for row, place in enumerate(chosen):
        which = int(np.searchsorted(ends, place, side="right"))
        one, at = places[which], int(place - (ends[which - 1] if which else 0))
        slow[row] = one.slow[at]
        fast[row, : one.terms - 1] = one.fast[at]
        # of columns that are almost one, rounding leaves no Cholesky root
        sizes, ways = np.linalg.eigh(one.variance[at] * one.inverse[at])
        spread = ways @ (np.sqrt(np.maximum(sizes, 0.0)) * random.standard_normal(one.linear.shape[1]))
        spread *= math.sqrt(one.dof / random.chisquare(one.dof))
        linear[row, : one.linear.shape[1]] = one.linear[at] + spread
    return Draws(slow=slow, fast=fast, linear=linear)


def _polished(blocks: Blocks, one: Places, at: int, root: Array) -> tuple[Array, tuple[float, ...]]:
    """Return the best curve and its fast time constants: from a place of the grid to the least sum of squares."""
    count = one.linear.shape[1]
    constants_there = np.array([[one.slow[at], *one.fast[at]]])
    start = np.concatenate([one.linear[at], np.log(constants_there[0])])
    # what is known before of bend and lag enters as readings of zero
    whole = max(abs(float(one.linear[at, 0])), blocks.span)
    stiff = math.sqrt(float(one.variance[at])) / (known_shares(blocks, constants_there)[0] * whole)

    def parts(p: Array) -> tuple[Array, Array, Array, Array]:
        # the search may run off to where a constant is nothing, or beyond all numbers; so far off it is refused
        constants = np.exp(np.clip(p[count:], start[count:] - FARTHEST, start[count:] + FARTHEST))
        surrounding = lagged(blocks.time, blocks.ambient, float(constants[0]))
        rise = lagged(blocks.time, blocks.drive, float(constants[0]))
        rates = np.array([1.0, 2.0, *[1.0] * (count - 3)]) / constants[[0, 0, *range(1, count - 2)]]
        return constants, surrounding, rise, np.exp(-blocks.time[:, None] * rates)

    def curve(p: Array) -> Array:
        _, surrounding, rise, decays = parts(p)
        return np.asarray(surrounding + p[0] * rise + decays @ p[1:count])

    def slopes(p: Array) -> Array:
        constants, _, rise, decays = parts(p)
        time = blocks.time
        step = 1e-4
        later, sooner = (
            lagged(time, blocks.ambient, constants[0] * by) + p[0] * lagged(time, blocks.drive, constants[0] * by)
            for by in (math.exp(step), math.exp(-step))
        )
        slow = (later - sooner) / (2.0 * step)
        slow = slow + time / constants[0] * (p[1] * decays[:, 0] + 2.0 * p[2] * decays[:, 1])
        fast = time[:, None] / constants[1:] * p[3:count] * decays[:, 2:]
        return np.concatenate([rise[:, None], decays, slow[:, None], fast], axis=1)

    from scipy import linalg

    def white(values: Array) -> Array:
        return np.asarray(linalg.solve_triangular(root, values, lower=True))

    def held(p: Array) -> Array:
        return np.concatenate([white(curve(p)), stiff * p[2:count]])

    def held_slopes(p: Array) -> Array:
        bound = np.zeros((stiff.size, p.size))
        bound[np.arange(stiff.size), np.arange(2, count)] = stiff
        return np.concatenate([white(slopes(p)), bound])

    target = np.concatenate([white(blocks.temperature), np.zeros(stiff.size)])
    try:
        found = fit_curve(target, held, held_slopes, start.tolist()).parameters
    except InputError:
        # a run too short for its time constants has no least sum of squares: then the grid's best place is drawn
        found = start
    if not np.all(np.isfinite(found)) or abs(found[count] - start[count]) > FAR:
        found = start
    return curve(found), tuple(np.exp(found[count + 1 :]).tolist())
