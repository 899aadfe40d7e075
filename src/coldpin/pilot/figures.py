"""What all figures of a run share: where they come from, what is set aside, how certain a mean is."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from coldpin.pilot.crossings import Flags, Numbers
from coldpin.pilot.scale import Scale
from coldpin.quantity import Component, Quantity, Shape, assemble, convert_difference, with_true_interval
from coldpin.standards.accuracy import ScopeAccuracy

FEWEST = 5
"""Ours: with fewer cycles than this their scatter says too little; the noise within them is used instead. [1]"""

WHOLE_SHARE = 0.5
"""Ours: a block or plateau with fewer samples than this share of the usual is a stub. [1]"""

OUTLIER = 5.0
"""Ours: a cycle farther from the median of its run than this many standard deviations is set aside (a glitch)."""

MEDIAN_DEVIATION_TO_SIGMA = 1.4826
"""Median absolute deviation to standard deviation, for a normal distribution."""

SAMPLING_SPREAD = 2.5
"""Ours: periods and on-times may differ by so many sample intervals and be no outliers: each edge may be one off."""

IRREGULAR = 0.2
"""Ours: cycles whose periods scatter by more than this part have no common frequency or duty cycle. [1]"""

ONE_SIDED = 1.645
"""Deviate a normal variable exceeds with 5 % probability. [1]"""

NOT_INCLUDED = "accuracy of the instrument not stated, so not included"

SLOWEST_LAG = 6e-6
"""Ours: where a plateau has too few samples to show how it settles, an edge is taken to have this lag. [s] That of the
source resistance and the largest capacitance of the trade."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where figures come from: the scale of the capture, its instrument, and a name for what only this run shares.

    ``exact`` asks for the interval of the true distribution where a rectangular share rules, at some milliseconds a
    figure; the plain sum gives a wider one.
    """

    scale: Scale
    accuracy: ScopeAccuracy | None
    name: str
    exact: bool = True

    def component(
        self, what: str, contribution: float, dof: float = math.inf, shape: Shape = Shape.NORMAL
    ) -> Component:
        """Return a component of uncertainty that no other run shares.

        Parameters
        ----------
        what : str
            Where it comes from, as the budget names it.
        contribution : float
            Its share, in the unit of the figure.
        dof : float
            Its degrees of freedom. [1]
        shape : Shape
            Its distribution.

        Returns
        -------
        Component
            The component, its id made of run and cause.
        """
        return Component(id=f"{self.name}: {what}", label=what, contribution=contribution, dof=dof, shape=shape)

    def quantity(self, value: float, unit: str, components: Iterable[Component], whys: Iterable[str]) -> Quantity:
        """Return the quantity that value and components make.

        Parameters
        ----------
        value : float
            The figure, in ``unit``.
        unit : str
            Its unit.
        components : iterable of Component
            What it is unsure by; shares of 0 are left out.
        whys : iterable of str
            What is to be said of it.

        Returns
        -------
        Quantity
            The figure with its uncertainty.
        """
        summed = assemble(value, unit, [part for part in components if part.contribution != 0.0])
        if self.exact:
            summed = with_true_interval(summed)
        return replace(summed, value=value, why="; ".join([*whys, *filter(None, [summed.why])]))


def without_steps(accuracy: ScopeAccuracy) -> ScopeAccuracy:
    """Return a statement without the steps of the instrument, which the capture itself shows better.

    Parameters
    ----------
    accuracy : ScopeAccuracy
        The statement.

    Returns
    -------
    ScopeAccuracy
        The same without bits, and without a resolution that stands apart from digits.
    """
    if accuracy.vertical is None:
        return accuracy
    parts = tuple(
        replace(part, bits=None, resolution=part.resolution if part.digits else None)
        for part in accuracy.vertical.parts
    )
    return replace(accuracy, vertical=replace(accuracy.vertical, parts=parts))


def stated_step(accuracy: ScopeAccuracy | None) -> float | None:
    """Return the step of the instrument that its statement gives.

    Parameters
    ----------
    accuracy : ScopeAccuracy or None
        The statement.

    Returns
    -------
    float or None
        The largest step of its parts, None where it gives none. [V]

    Examples
    --------
    >>> from coldpin.standards.accuracy import parse_accuracy
    >>> stated_step(ScopeAccuracy(vertical=parse_accuracy("3 % of full scale + 8 bit"), full_scale=40.0))
    0.15625
    """
    if accuracy is None or accuracy.vertical is None:
        return None
    steps = []
    for part in accuracy.vertical.parts:
        if part.bits is not None and part.range is not None:
            steps.append(convert_difference(part.range.value, part.range.unit, "V") / 2.0**part.bits)
        elif part.resolution is not None and not part.digits:
            steps.append(convert_difference(part.resolution.value, part.resolution.unit, "V"))
    return max(steps, default=None)


def vertical(accuracy: ScopeAccuracy, reading: float, label: str) -> tuple[Component, ...]:
    """Return what the vertical accuracy of the instrument adds to a reading, shared by all readings taken with it.

    Parameters
    ----------
    accuracy : ScopeAccuracy
        What its maker states.
    reading : float
        The reading. [V]
    label : str
        How the budget names it.

    Returns
    -------
    tuple of Component
        Its shares [V], none where nothing is stated.
    """
    if accuracy.vertical is None:
        return ()
    return accuracy.vertical.components(reading, "V", id=f"{accuracy.id}: vertical", label=label)


def inliers(values: Numbers, least: float) -> Flags:
    """Say which values lie within :data:`OUTLIER` standard deviations of their median.

    Parameters
    ----------
    values : NDArray[np.float64]
        Array of shape (n,).
    least : float
        A distance that is no outlier however little the values scatter, in their unit.

    Returns
    -------
    NDArray[np.bool_]
        Array of shape (n,), false for outliers.

    Examples
    --------
    >>> inliers(np.array([1.0, 1.1, 0.9, 1.0, 7.0]), 0.2).tolist()
    [True, True, True, True, False]
    """
    median = float(np.median(values))
    sigma = MEDIAN_DEVIATION_TO_SIGMA * float(np.median(np.abs(values - median)))
    return np.abs(values - median) <= max(OUTLIER * sigma, least)


def mean_deviation(values: Numbers) -> float:
    r"""Return the standard uncertainty of the mean of values in order of time, which may drift or hum.

    .. math:: u = s / \sqrt{n \min(1, \eta / 2)}, \quad \eta = \delta^2 / s^2

    with the mean square :math:`\delta^2` of the differences of neighbours. Where these are no smaller than independent
    values would have them the plain :math:`s / \sqrt n` stands; where the values follow each other they count for
    fewer.

    Parameters
    ----------
    values : NDArray[np.float64]
        Array of shape (n,), n at least 2, in order of time.

    Returns
    -------
    float
        u in the unit of the values.

    Examples
    --------
    >>> round(mean_deviation(np.array([1.0, -1.0] * 50)), 3), round(mean_deviation(np.linspace(-1.0, 1.0, 100)), 3)
    (0.101, 0.586)

    Sources
    -------
    J. von Neumann, "Distribution of the ratio of the mean square successive difference to the variance", Annals of
    Mathematical Statistics 12 (1941) (standing: memory); its normal approximation, one-sided 5 %.
    """
    return mean_deviation_of(values.size, float(values.var(ddof=1)), float(np.mean(np.diff(values) ** 2)))


def mean_deviation_of(count: int, variance: float, steps: float) -> float:
    """Return the same from sums.

    Parameters
    ----------
    count : int
        Number of values n, at least 2. [1]
    variance : float
        Their variance s², in the squared unit of the values.
    steps : float
        Mean squared difference of neighbours, in the squared unit of the values.

    Returns
    -------
    float
        u in the unit of the values.
    """
    if variance == 0.0:
        return 0.0
    ratio = 0.5 * steps / variance
    random = ratio > 1.0 - ONE_SIDED * math.sqrt((count - 2.0) / (count**2 - 1.0))
    independent = 1.0 if random else max(ratio, 1.0 / count)
    return math.sqrt(variance / (count * independent))
