r"""Event trees: conditional steps, what each is thought to be, and the chance of an ending at least so grave.

A tree is a fork or an ending. Every fork asks "given all before, does this step happen?"; the chance of an ending is
the product along its path, and the chances of all endings sum to one. What a step is thought to be is a span (low,
best, high): two halves of a log-normal that meet at the best, with low and high as the ends of a 95 % interval.

Draws are made once for each step, by its name, from a fixed start. The same step has the same draws in every tree and
under every answer, so that a difference between two trees is never one of luck.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError, OutsideRange
from coldpin.records.scenario import Span
from coldpin.standards.risk import SEVERITIES, exactly

DRAWS = 4000
"""Draws of each step.

Ours: the ends of a 95 % interval then scatter by about 4 % of themselves for a spread of a decade, where a row of the
matrix is a decade wide.
"""

SEED = 20190417
"""Where the draws start. Ours: any number would do; a fixed one makes the report the same each time."""

TO_95 = 1.959963984540054
"""Standard deviations from the middle of a normal distribution to the ends of its central 95 %. [1]"""

OUTER = (0.025, 0.975)
"""The ends of the central 95 %, as shares."""

Chance = TypeVar("Chance", Fraction, float, NDArray[np.float64])


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """Where a path of a tree ends: the severity of the injury, 0 where nobody is hurt."""

    severity: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Fork:
    """A step that happens or does not, given all before it."""

    step: str
    happens: Tree
    otherwise: Tree


Tree: TypeAlias = Fork | Ending


def chain(steps: Iterable[tuple[str, int]], severity: int) -> Tree:
    """Return the tree of a chain of steps.

    Parameters
    ----------
    steps : iterable of tuple
        Name of each step, in order, and the severity with which it ends where the step does not happen.
    severity : int
        With which it ends where all happen.

    Returns
    -------
    Fork or Ending
        The tree.

    Examples
    --------
    >>> tree = chain([("a", 0), ("b", 2)], 4)
    >>> chance_of(tree, {"a": 0.5, "b": 0.25}, 2), chance_of(tree, {"a": 0.5, "b": 0.25}, 4)
    (0.5, 0.125)
    """
    tree: Tree = Ending(severity=severity)
    for step, milder in reversed(tuple(steps)):
        tree = Fork(step=step, happens=tree, otherwise=Ending(severity=milder))
    return tree


def chance_of(tree: Tree, chances: Mapping[str, Chance], at_least: int) -> Chance:
    r"""Return the probability of an ending at least so grave.

    .. math:: P(fork) = p \, P(happens) + (1 - p) \, P(otherwise)

    Parameters
    ----------
    tree : Fork or Ending
        The tree, with one step at least.
    chances : mapping
        Conditional probability of each step: fractions, floats, or arrays of one shape. [1]
    at_least : int
        The severity.

    Returns
    -------
    Fraction, float or array
        Its probability; exact where the chances are fractions. [1]

    Raises
    ------
    InputError
        The tree has no step.

    Examples
    --------
    >>> tree = chain([("cut", 0), ("touched", 0)], 4)
    >>> chance_of(tree, {"cut": Fraction(1, 50), "touched": Fraction(1, 10)}, 4)
    Fraction(1, 500)

    Sources
    -------
    IEC 62502: branch probabilities of a node sum to one, that of a leaf is the product along its path.
    """
    if isinstance(tree, Ending):
        raise InputError("a tree without a step has no probability: give it one step at least")
    if all(type(chance) is Fraction for chance in chances.values()):
        exact: Chance = _as_fraction(tree, chances, at_least)
        return exact
    return _walk(tree, chances, at_least)


def _as_fraction(tree: Tree, chances: Mapping[str, Any], at_least: int) -> Any:
    return Fraction(*_exact(tree, {step: chance.as_integer_ratio() for step, chance in chances.items()}, at_least))


def _exact(tree: Tree, chances: Mapping[str, tuple[int, int]], at_least: int) -> tuple[int, int]:
    """Return the same as a count and of how many: whole numbers, to be shortened once at the end."""
    if isinstance(tree, Ending):
        return (1 if tree.severity >= at_least else 0), 1
    count, of = chances[tree.step]
    happens, of_happens = _exact(tree.happens, chances, at_least)
    otherwise, of_otherwise = _exact(tree.otherwise, chances, at_least)
    if not otherwise:
        return count * happens, of * of_happens
    whole = of * of_happens * of_otherwise
    return count * happens * of_otherwise + (of - count) * otherwise * of_happens, whole


def _walk(tree: Fork, chances: Mapping[str, Chance], at_least: int) -> Chance:
    step = chances[tree.step]
    happens, otherwise = _branch(tree.happens, chances, at_least), _branch(tree.otherwise, chances, at_least)
    return step * happens + (1 - step) * otherwise


def _branch(tree: Tree, chances: Mapping[str, Chance], at_least: int) -> Chance | int:
    if isinstance(tree, Ending):
        return 1 if tree.severity >= at_least else 0
    return _walk(tree, chances, at_least)


def severities(tree: Tree) -> frozenset[int]:
    """Return the severities with which a tree can end, that nobody is hurt left out.

    Parameters
    ----------
    tree : Fork or Ending
        The tree.

    Returns
    -------
    frozenset of int
        The severities.

    Examples
    --------
    >>> sorted(severities(chain([("a", 0), ("b", 2)], 4)))
    [2, 4]
    """
    if isinstance(tree, Ending):
        return frozenset({tree.severity} - {0})
    return severities(tree.happens) | severities(tree.otherwise)


def shifted(tree: Tree, by: int) -> Tree:
    """Return a tree whose injuries are all graver or milder, as far as there are such severities.

    Parameters
    ----------
    tree : Fork or Ending
        The tree.
    by : int
        How many severities graver.

    Returns
    -------
    Fork or Ending
        The new tree.

    Examples
    --------
    >>> sorted(severities(shifted(chain([("a", 0), ("b", 2)], 4), -1)))
    [1, 3]
    """
    if isinstance(tree, Fork):
        return Fork(step=tree.step, happens=shifted(tree.happens, by), otherwise=shifted(tree.otherwise, by))
    if tree.severity == 0:
        return tree
    return Ending(severity=min(max(tree.severity + by, SEVERITIES[0]), SEVERITIES[-1]))


def together(first: Chance, second: Chance, beta: Chance) -> Chance:
    r"""Return how likely the second of two protections is lost where the first is, with a common cause.

    .. math:: p_{2|1} = \beta \, \min(p_1, p_2) / p_1 + (1 - \beta) \, p_2

    The share beta of what takes the weaker-failing one takes both; the rest is independent. With beta 0 it is the
    second's own probability, with beta 1 and two alike it is certain.

    Parameters
    ----------
    first : Fraction, float or array
        Probability of losing the first; where that is 0 the answer is the second's own. [1]
    second : Fraction, float or array
        Probability of losing the second by itself. [1]
    beta : Fraction, float or array
        Share of the common cause, 0 to 1. [1]

    Returns
    -------
    Fraction, float or array
        The conditional probability. [1]

    Examples
    --------
    >>> together(Fraction(1, 100), Fraction(1, 100), Fraction(1, 10))
    Fraction(109, 1000)

    Sources
    -------
    The beta factor of IEC 61508-6 annex D (memory), written for a chain of conditional steps; for two that are not
    alike the lesser of the two is what a common cause can take, by our reading.
    """
    if not (first.all() if isinstance(first, np.ndarray) else first):
        return second  # an estimate of 0 holds for every draw; nothing is shared with what is never lost
    lesser = np.minimum(first, second) if isinstance(first, np.ndarray) else min(first, second)
    return beta * lesser / first + (1 - beta) * second


def check_span(span: Span, where: str) -> None:
    """Refuse a span that is none.

    Parameters
    ----------
    span : Span
        Low, best, high.
    where : str
        What it belongs to, for the message.

    Raises
    ------
    OutsideRange
        Not 0 < low ≤ best ≤ high ≤ 1, and not 0 for certain.
    """
    ordered = span.low <= span.best <= span.high  # also false where one is not a number
    if ordered and span.low > 0.0 and span.high <= 1.0:
        return
    if span.low == span.best == span.high == 0.0:
        return
    raise OutsideRange(
        f"{where}: low {span.low:g}, best {span.best:g}, high {span.high:g}; probabilities rise from low to high, "
        "above 0 and at most 1 (all three 0 for what cannot happen)"
    )


@cache
def deviates(step: str) -> NDArray[np.float64]:
    """Return the draws of a step: the same each time it is asked for, and not those of another step.

    Parameters
    ----------
    step : str
        Its name.

    Returns
    -------
    array of shape (DRAWS,)
        From the standard normal distribution; not to be written to. [1]
    """
    drawn = np.random.default_rng([SEED, zlib.crc32(step.encode())]).standard_normal(DRAWS)
    drawn.flags.writeable = False
    return drawn


def drawn(span: Span, standard: NDArray[np.float64]) -> NDArray[np.float64]:
    r"""Return a step's probability on draws: two halves of a log-normal that meet at the best, at most one.

    .. math:: \ln p = \ln p_{best} + z \, \ln(p_{high} / p_{best}) / 1.96 \quad (z > 0)

    Parameters
    ----------
    span : Span
        Low, best, high.
    standard : array of shape (n,)
        Draws of the standard normal distribution. [1]

    Returns
    -------
    array of shape (n,)
        Probabilities. [1]

    Examples
    --------
    >>> drawn(Span(low=0.01, best=0.1, high=0.5), np.array([-TO_95, 0.0, TO_95])).round(6).tolist()
    [0.01, 0.1, 0.5]
    """
    if span.certain:
        return np.full_like(standard, span.best)
    below, above = (math.log(end / span.best) / TO_95 for end in (span.low, span.high))
    return np.asarray(np.minimum(span.best * np.exp(standard * np.where(standard < 0.0, -below, above)), 1.0))


def product_in_logarithms(spans: Sequence[Span]) -> tuple[float, float]:
    r"""Return mean and standard deviation of the logarithm of a product of steps, where none reaches one.

    .. math:: E = \sum \ln p + (s_+ - s_-)/\sqrt{2\pi}, \quad V = \sum (s_+^2 + s_-^2)/2 - (s_+ - s_-)^2/2\pi

    Parameters
    ----------
    spans : sequence of Span
        The steps, independent of each other.

    Returns
    -------
    tuple of float
        Mean and standard deviation. [1]

    Examples
    --------
    >>> mean, deviation = product_in_logarithms([Span(low=0.01, best=0.1, high=1.0)] * 2)
    >>> round(math.exp(mean), 6), round(deviation * TO_95 / math.log(10.0), 3)
    (0.01, 1.414)
    """
    mean = variance = 0.0
    for span in spans:
        below, above = math.log(span.best / span.low) / TO_95, math.log(span.high / span.best) / TO_95
        shift = (above - below) / math.sqrt(2.0 * math.pi)
        mean += math.log(span.best) + shift
        variance += (above**2 + below**2) / 2.0 - shift**2
    return mean, math.sqrt(variance)


def interval(chances: NDArray[np.float64]) -> tuple[float, float]:
    """Return the ends of the central 95 % of draws.

    Parameters
    ----------
    chances : array of shape (n,)
        Probabilities. [1]

    Returns
    -------
    tuple of float
        Low and high. [1]
    """
    low, high = np.quantile(chances, OUTER)
    return float(low), float(high)


def point(spans: Mapping[str, Span]) -> dict[str, Fraction]:
    """Return the best estimates of steps as exact fractions.

    Parameters
    ----------
    spans : mapping
        The steps.

    Returns
    -------
    dict
        The same names.

    Examples
    --------
    >>> point({"a": Span(low=0.01, best=0.1, high=0.3)})
    {'a': Fraction(1, 10)}
    """
    return {step: exactly(span.best) for step, span in spans.items()}
