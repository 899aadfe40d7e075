"""Monte Carlo propagation: the same formula on draws from what is known of its inputs (JCGM 101:2008)."""

from __future__ import annotations

import hashlib
import math
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.quantity.convolution import doubt_of_limits
from coldpin.quantity.model import COVERAGE, HIGH, LOW, QUANTILES, SQRT3, Component, Quantity, Shape, coverage_factor
from coldpin.quantity.sensitivity import name_of

ONE_BY_ONE = 20_000
"""Draws at most for a formula that takes single numbers only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One input as the draws need it: estimate, named components, and its quantiles where these describe it better."""

    value: float
    components: tuple[Component, ...]
    quantiles: tuple[float, ...] = ()


def draw(inputs: Mapping[str, Input], count: int, seed: int) -> dict[str, NDArray[np.float64] | float]:
    """Return draws of all inputs from their joint distribution.

    Each component is drawn once, from a stream of random numbers of its own (made from seed and id): inputs which
    share a component move together, and the order of the inputs does not matter. Finite degrees of freedom make a
    normal component a scaled and shifted t, members of one group share the denominator of theirs, and the limits
    of another shape become uncertain themselves. An input described by quantiles is drawn from these unless it
    shares a component.

    Parameters
    ----------
    inputs : mapping of str to Input
        The inputs.
    count : int
        Draws.
    seed : int
        Seed.

    Returns
    -------
    dict of str to ndarray or float
        Arrays of shape (count,); a float where an input is exact.

    Examples
    --------
    >>> meter = Component(id="meter", label="meter", contribution=0.1)
    >>> both = draw({"a": Input(value=1.0, components=(meter,)), "b": Input(value=2.0, components=(meter,))}, 5, seed=1)
    >>> bool(np.allclose(both["b"] - both["a"], 1.0))
    True

    Sources
    -------
    JCGM 101:2008 6.4.2 (rectangular), 6.4.3 (inexact limits), 6.4.5 (triangular), 6.4.6 (arcsine), 6.4.7 (normal),
    6.4.9 (t); JCGM 102:2011 5.3.2 (joint t) (standing: memory).
    """
    described = known_by_quantiles(inputs)
    source = _Source(seed=seed, count=count)
    drawn: dict[str, NDArray[np.float64] | float] = {}
    for name, item in inputs.items():
        if not item.components:
            drawn[name] = item.value
        elif name in described:
            drawn[name] = source.from_quantiles(name, item.quantiles)
        else:
            values = np.full(count, item.value, dtype=np.float64)
            for component in item.components:
                values += component.contribution * source.standard(component)
            drawn[name] = values
    return drawn


def known_by_quantiles(inputs: Mapping[str, Input]) -> frozenset[str]:
    """Return the names of the inputs that are drawn from their quantiles: they have some and share no component.

    Parameters
    ----------
    inputs : mapping of str to Input
        The inputs of one formula.

    Returns
    -------
    frozenset of str
        Names of inputs.

    Examples
    --------
    >>> noise = Component(id="noise", label="noise", contribution=0.1)
    >>> sorted(known_by_quantiles({"a": Input(value=1.0, components=(noise,), quantiles=(0.9, 1.0, 1.1))}))
    ['a']
    """
    if not any(item.quantiles for item in inputs.values()):
        return frozenset()
    uses = Counter(component.id for item in inputs.values() for component in item.components)
    return frozenset(
        name
        for name, item in inputs.items()
        if item.components and item.quantiles and all(uses[component.id] == 1 for component in item.components)
    )


class _Source:
    """Standardised draws by component, each made once."""

    def __init__(self, *, seed: int, count: int) -> None:
        self._seed, self._count = seed, count
        self._made: dict[str, NDArray[np.float64]] = {}

    def from_quantiles(self, name: str, quantiles: tuple[float, ...]) -> NDArray[np.float64]:
        levels = np.linspace(0.0, 1.0, len(quantiles))
        return np.interp(_stream(self._seed, f"input {name}").random(self._count), levels, quantiles)

    def standard(self, component: Component) -> NDArray[np.float64]:
        key = f"component {component.id}"
        if key not in self._made:
            self._made[key] = self._draw(component, key)
        return self._made[key]

    def _draw(self, component: Component, key: str) -> NDArray[np.float64]:
        if component.shape is Shape.NORMAL and math.isfinite(component.dof):
            normal = _standard(self._seed, self._count, key, Shape.NORMAL, math.inf)
            return normal * self._denominator(component)
        return _standard(self._seed, self._count, key, component.shape, component.dof)

    def _denominator(self, component: Component) -> NDArray[np.float64]:
        key = f"group {component.group}" if component.group else f"t {component.id}"
        if key not in self._made:
            self._made[key] = _denominators(self._seed, self._count, key, component.dof)
        return self._made[key]


def _stream(seed: int, key: str) -> np.random.Generator:
    digest = hashlib.blake2b(key.encode(), digest_size=16).digest()
    return np.random.default_rng([seed, int.from_bytes(digest)])


REMEMBERED = 16
"""Ours: so many arrays of draws are kept, some megabytes: one instrument has its part in many results of a case."""


@lru_cache(maxsize=REMEMBERED)
def _standard(seed: int, count: int, key: str, shape: Shape, dof: float) -> NDArray[np.float64]:
    """Return draws of a component of mean 0 and standard deviation 1; the same array each time, not to be written."""
    stream = _stream(seed, key)
    match shape:
        case Shape.NORMAL:
            draws = stream.standard_normal(count)
        case Shape.RECTANGULAR:
            draws = SQRT3 * (2.0 * stream.random(count) - 1.0)
        case Shape.TRIANGULAR:
            draws = math.sqrt(6.0) * (stream.random(count) + stream.random(count) - 1.0)
        case Shape.ARCSINE:
            draws = math.sqrt(2.0) * np.sin(math.pi * (stream.random(count) - 0.5))
    if math.isfinite(dof):
        draws *= 1.0 + doubt_of_limits(dof) * (2.0 * stream.random(count) - 1.0)
    draws.flags.writeable = False
    return draws


@lru_cache(maxsize=REMEMBERED)
def _denominators(seed: int, count: int, key: str, dof: float) -> NDArray[np.float64]:
    """Return what makes normal draws those of a t distribution; the same array each time, not to be written."""
    drawn = np.sqrt(dof / _stream(seed, key).chisquare(dof, count))
    drawn.flags.writeable = False
    return drawn


def inflation(component: Component) -> float:
    """Return the variance of a component's draws relative to the square of its contribution.

    Parameters
    ----------
    component : Component
        The component.

    Returns
    -------
    float
        1 for infinite degrees of freedom, more for fewer, infinite for a normal component of 2 or fewer. [1]

    Examples
    --------
    >>> inflation(Component(id="mean of 5", label="", contribution=1.0, dof=4.0))
    2.0

    Sources
    -------
    JCGM 101:2008 6.4.9.4 (variance of t) and 6.4.3.3 (inexact limits) (standing: memory, recomputed).
    """
    if math.isinf(component.dof):
        return 1.0
    if component.shape is not Shape.NORMAL:
        return 1.0 + doubt_of_limits(component.dof) ** 2 / 3.0
    return component.dof / (component.dof - 2.0) if component.dof > 2.0 else math.inf


def evaluate_draws(
    formula: Callable[..., object], drawn: Mapping[str, NDArray[np.float64] | float], count: int
) -> NDArray[np.float64]:
    """Return a formula's values on draws, at once where it takes arrays, else one by one for fewer draws.

    Parameters
    ----------
    formula : callable
        Takes the names of ``drawn`` as keywords.
    drawn : mapping of str to ndarray or float
        Draws of shape (count,).
    count : int
        Draws.

    Returns
    -------
    ndarray
        Values of shape (count,), or (min(count, ONE_BY_ONE),) for a formula that takes single numbers only.

    Raises
    ------
    InputError
        The formula has no finite value at some draws, or returns another shape.

    Examples
    --------
    >>> evaluate_draws(lambda x: 2.0 * x, {"x": np.array([1.0, 2.0])}, 2)
    array([2., 4.])

    Sources
    -------
    JCGM 101:2008 7.4.
    """
    name = name_of(formula)
    with np.errstate(all="ignore"):
        try:
            result = np.asarray(formula(**drawn))
        except (TypeError, ValueError):
            # math.sqrt and "if x > 0" refuse arrays
            result = _one_by_one(formula, drawn, min(count, ONE_BY_ONE))
            count = result.size
    if result.shape != (count,) or result.dtype.kind not in "fiub":
        raise InputError(
            f"{name} returned {result.dtype} of shape {result.shape} for {count} draws; it must return one "
            "real number for each"
        )
    values = result.astype(np.float64)
    wrong = int(np.count_nonzero(~np.isfinite(values)))
    if wrong:
        raise InputError(
            f"{name} has no finite value at {wrong} of {count} draws: what is known of the inputs reaches "
            "outside the range of the formula"
        )
    return values


def _one_by_one(
    formula: Callable[..., object], drawn: Mapping[str, NDArray[np.float64] | float], count: int
) -> NDArray[np.float64]:
    rows = {
        name: np.broadcast_to(np.asarray(values, dtype=np.float64), max(np.size(values), count))[:count].tolist()
        for name, values in drawn.items()
    }
    results = np.empty(count)
    for place in range(count):
        try:
            value = np.asarray(formula(**{name: row[place] for name, row in rows.items()}))
        except (ArithmeticError, ValueError):
            value = np.asarray(math.nan)
        if value.shape != ():
            raise InputError(
                f"{name_of(formula)} returned shape {value.shape} for single numbers; it must return one number"
            )
        results[place] = value
    return results


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """What the draws of a result show.

    ``follows`` is how much of its linear sum the result follows on the same draws (a regression; 1 for a linear
    formula) and ``residual`` the standard deviation of what it does besides. ``has_variance`` is False where too few
    degrees of freedom leave the draws none; then ``value`` is the median and ``u`` follows the width of the
    interval. ``error_low`` and ``error_high`` are standard errors of the ends.
    """

    draws: int
    value: float
    u: float
    low: float
    high: float
    quantiles: tuple[float, ...]
    error_low: float
    error_high: float
    follows: float
    residual: float
    has_variance: bool


def summarise(
    values: NDArray[np.float64],
    linear: NDArray[np.float64],
    plain: Quantity,
    exact: NDArray[np.float64] | None = None,
) -> Summary:
    """Return mean, standard deviation, interval and quantiles of draws of a result.

    The linear sum on the same draws, whose mean and variance are known exactly, takes most of the sampling error out
    of mean and standard deviation (it is a control variate). Where its quantiles are known too, by how much its draws
    miss them is taken off the quantiles of the result; else interval and quantiles are those of the draws as they are.

    Parameters
    ----------
    values : ndarray
        Values of the formula of shape (n,), in the unit of the result.
    linear : ndarray
        Values of the linear sum on the same draws, of shape (m,) with m at least n, in the unit of the result.
    plain : Quantity
        The result of the linear sum.
    exact : ndarray, optional
        Quantiles of the linear sum of shape (QUANTILES,), in the unit of the result.

    Returns
    -------
    Summary
        What the draws show.

    Examples
    --------
    >>> x = np.linspace(-1.0, 1.0, 2001)
    >>> flat = Component(id="x", label="x", contribution=1 / SQRT3, shape=Shape.RECTANGULAR)
    >>> shown = summarise(x, x, Quantity(0.0, 1 / SQRT3, "V", components=(flat,)))
    >>> round(shown.u, 6), round(shown.high, 3)
    (0.57735, 0.95)

    Sources
    -------
    JCGM 101:2008 7.5 to 7.7 (standing: memory). Variance of an end that is so mended, for one draw: (a - b)² p(1 - p)
    + a b d, a and b the slopes of the two quantiles, d the part of the draws that lie below one of them only.
    """
    linear = np.broadcast_to(linear, values.shape) if linear.ndim == 0 else linear[: values.size]
    variances = [inflation(part) * part.contribution**2 for part in plain.components]
    has_variance = all(map(math.isfinite, variances))
    ordered = np.sort(values)
    if has_variance:
        mean = float(values.mean())
        follows, residual = _regress(values, linear)
        value = mean + follows * (plain.value - float(linear.mean()))
        u = math.sqrt(follows**2 * math.fsum(variances) + residual**2)
    else:
        value = float(np.median(ordered))
        u, follows, residual = _by_width(ordered, linear, plain)
    quantiles = _quantiles(ordered, QUANTILES)
    error_low, error_high = (_error(quantiles, place, values.size) for place in (LOW, HIGH))
    if exact is not None:
        missed = follows * _quantiles(np.sort(linear), QUANTILES)
        errors = [_error_beside(values, linear * follows, (quantiles, missed), place) for place in (LOW, HIGH)]
        if errors[0] < error_low and errors[1] < error_high:
            error_low, error_high = errors
            quantiles = np.maximum.accumulate(quantiles + (follows * exact - missed))
            value = value if has_variance else float(quantiles[(QUANTILES - 1) // 2])
    return Summary(
        draws=values.size,
        value=value,
        u=u,
        low=float(quantiles[LOW]),
        high=float(quantiles[HIGH]),
        quantiles=tuple(quantiles.tolist()),
        error_low=error_low,
        error_high=error_high,
        follows=follows,
        residual=residual,
        has_variance=has_variance,
    )


def _quantiles(ordered: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """Return equally spaced quantiles of values already in order."""
    places = np.linspace(0.0, ordered.size - 1.0, count)
    before = np.minimum(places.astype(np.intp), ordered.size - 2)
    part = places - before
    return np.asarray(ordered[before] * (1.0 - part) + ordered[before + 1] * part)


def _regress(values: NDArray[np.float64], linear: NDArray[np.float64]) -> tuple[float, float]:
    deviations, linear_deviations = values - values.mean(), linear - linear.mean()
    # einsum, not @: the threads of a matrix library cost more than they save on one row
    square = float(np.einsum("i,i", linear_deviations, linear_deviations))
    follows = float(np.einsum("i,i", linear_deviations, deviations)) / square if square else 0.0
    linear_deviations *= -follows
    linear_deviations += deviations
    return follows, math.sqrt(float(np.einsum("i,i", linear_deviations, linear_deviations)) / values.size)


def _by_width(ordered: NDArray[np.float64], linear: NDArray[np.float64], plain: Quantity) -> tuple[float, float, float]:
    assert plain.u is not None
    ends = [0.5 * (1.0 - COVERAGE), 0.5 * (1.0 + COVERAGE)]
    width, width_linear = float(np.ptp(np.quantile(ordered, ends))), float(np.ptp(np.quantile(linear, ends)))
    if width_linear <= 1e-3 * width:
        u = 0.5 * width / coverage_factor(math.inf)
        return u, 0.0, u
    growth = width / width_linear
    return plain.u * growth, min(growth, 1.0), plain.u * math.sqrt(max(0.0, growth**2 - 1.0))


def _error(quantiles: NDArray[np.float64], place: int, count: int) -> float:
    level = place / (QUANTILES - 1)
    return math.sqrt(level * (1.0 - level) / count) * _slope_of(quantiles, place)


def _error_beside(
    values: NDArray[np.float64],
    linear: NDArray[np.float64],
    quantiles: tuple[NDArray[np.float64], NDArray[np.float64]],
    place: int,
) -> float:
    """Return the standard error of how much a quantile of the values and one of the linear sum differ."""
    level = place / (QUANTILES - 1)
    slope, slope_linear = (_slope_of(each, place) for each in quantiles)
    apart = float(np.mean((values <= quantiles[0][place]) != (linear <= quantiles[1][place])))
    variance = level * (1.0 - level) * (slope - slope_linear) ** 2 + apart * slope * slope_linear
    return math.sqrt(variance / values.size)


def _slope_of(quantiles: NDArray[np.float64], place: int) -> float:
    step = 4
    return float(quantiles[place + step] - quantiles[place - step]) / (2.0 * step / (QUANTILES - 1))
