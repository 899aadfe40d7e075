"""Figures of a run with their uncertainty: levels, frequency, duty cycle."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from coldpin.pilot.crossings import Flags, Numbers
from coldpin.pilot.cycles import CycleTable, Plateaus
from coldpin.pilot.placement import dithered_step, placed, placement_deviation, sampling_lock, steepness
from coldpin.pilot.plateaus import Levels
from coldpin.pilot.scale import Scale
from coldpin.quantity import Component, Quantity, Shape, assemble, convert_difference, propagate
from coldpin.quantity.model import SQRT3
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

BATCHES = 16
"""Ours: the mean period takes its uncertainty from so many stretches of a run: an oscillator that wanders has less
certain a mean than its single periods suggest."""

ONE_SIDED = 1.645
"""Deviate a normal variable exceeds with 5 % probability. [1]"""

NOT_INCLUDED = "accuracy of the instrument not stated, so not included"
DRIFT_LEFT = 1.5
"""Ours: a plateau that drifts by d from the first half of its settled part to the second has up to this many times d
left in its mean. [1] An exponential that loses half or more from the one to the other has no more."""

SLOWEST_LAG = 6e-6
"""Ours: where a plateau has too few samples to show how it settles, an edge is taken to have this lag. [s] That of the
source resistance and the largest capacitance of the trade."""

ALL_EQUAL = "all samples of the level are equal and the step of the instrument is not known"
CLIPPED = (
    "all samples of the level are one value while the other level scatters: the instrument may have clipped there; "
    "repeat the capture on a larger range"
)
LEAST_NOISE = 1e-3
"""Ours: a level that scatters less beside one that stands on a single value tells nothing of clipping. [V]"""
UNTOLD = "too few samples on the plateau to tell whether it has settled"
UNSETTLED = (
    "no sample lies past the settling time after an edge: the plateau may be farther from 0 V by an unknown amount"
)


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
            # the identity: what it adds is the interval of the true distribution
            summed = propagate(lambda figure: figure, {"figure": summed}, unit)
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


def _vertical(accuracy: ScopeAccuracy, reading: float, label: str) -> tuple[Component, ...]:
    if accuracy.vertical is None:
        return ()
    return accuracy.vertical.components(reading, "V", id=f"{accuracy.id}: vertical", label=label)


def level_of(plateaus: Plateaus, source: Source, what: str) -> Quantity | None:
    """Return the level of a run from the plateaus of its cycles or blocks.

    The value is their mean without outliers. Its uncertainty is the scatter of the cycles (with fewer than five, that
    of the samples within them), the steps of the instrument (±1/2 step, unless noise carries the samples over at least
    three steps: then they average out), what a plateau too short to settle may still lack, and the accuracy of the
    instrument, shared by all levels taken with it.

    Parameters
    ----------
    plateaus : Plateaus
        Plateaus of k cycles or blocks; if any was read past the settling time, only such count.
    source : Source
        The capture.
    what : str
        Name of the level ("high level").

    Returns
    -------
    Quantity or None
        The level [V], None where most cycles show none: a few that do were caught while something changed.
    """
    seen = np.isfinite(plateaus.levels.level)
    if not seen.any() or seen.mean() < 0.5:
        return None
    settled = seen & plateaus.settled
    keep = np.flatnonzero(settled if settled.any() else seen)
    counts = plateaus.levels.samples[keep]
    # a stub at the end of a stretch would count as much as a whole block and bring its own noise
    keep = keep[counts >= WHOLE_SHARE * np.median(counts)]
    kept = plateaus.take(keep[_inliers(plateaus.levels.level[keep], source.scale.spread)])
    levels = kept.levels
    value = float(levels.level.mean())
    if not settled.any():
        return Quantity(value, None, "V", why=UNSETTLED)
    left, whys = lacking(kept, value, source, what)
    return level_quantity(
        value, (_scatter(levels, source, what), _steps(levels, source, what), left), whys, source, what
    )


def level_quantity(
    value: float, parts: tuple[Component, Component, Component], whys: Iterable[str], source: Source, what: str
) -> Quantity:
    """Return a level with its uncertainty.

    Parameters
    ----------
    value : float
        The level. [V]
    parts : tuple of Component
        What scatter, the steps of the instrument, and settling leave open. [V]
    whys : iterable of str
        What is to be said of it.
    source : Source
        The capture.
    what : str
        Name of the level ("high level").

    Returns
    -------
    Quantity
        The level [V]; unsure by an unknown amount where nothing tells.
    """
    remarks = list(whys)
    stated = source.accuracy is not None and source.accuracy.vertical is not None
    if all(part.contribution == 0.0 for part in parts[:2]):
        remarks.append(ALL_EQUAL)
        if not stated:
            return Quantity(value, None, "V", why="; ".join(remarks))
    components = list(parts)
    if source.accuracy is None or not stated:
        remarks.append(NOT_INCLUDED)
    else:
        components += _vertical(source.accuracy, value, f"vertical accuracy, {what}")
    return source.quantity(value, "V", components, remarks)


def without_clipped(level: Quantity | None, *, one_value: bool, other_variance: float, step: float) -> Quantity | None:
    """Return a level, its uncertainty taken away where the instrument may have clipped it.

    Noise that moves the samples of one level by more than a step of the instrument leaves no other level still. A level
    that stands on one value beside such a one was cut off there.

    Parameters
    ----------
    level : Quantity or None
        The level. [V]
    one_value : bool
        Whether all its samples are equal.
    other_variance : float
        Variance of the samples of the other level of the same cycles. [V²]
    step : float
        One step of the instrument, 0 where not known. [V]

    Returns
    -------
    Quantity or None
        The level; unsure by an unknown amount where it may have been clipped.

    Examples
    --------
    >>> cut = without_clipped(Quantity(-10.0, 1e-6, "V"), one_value=True, other_variance=4e-4, step=0.001)
    >>> cut.u is None, may_be_clipped(cut)
    (True, True)
    """
    if level is None or not one_value or other_variance <= max(step, LEAST_NOISE) ** 2:
        return level
    return Quantity(level.value, None, level.unit, why=CLIPPED)


def may_be_clipped(level: Quantity) -> bool:
    """Say whether a level may lie farther from 0 V than the instrument could show.

    Parameters
    ----------
    level : Quantity
        The level. [V]

    Returns
    -------
    bool
        Whether it was found so.
    """
    return level.why == CLIPPED


def lacking(plateaus: Plateaus, value: float, source: Source, what: str) -> tuple[Component, list[str]]:
    """Return what a level may lack because its plateaus have not settled, and what is to be said of it.

    Parameters
    ----------
    plateaus : Plateaus
        The plateaus it was read from.
    value : float
        The level. [V]
    source : Source
        The capture.
    what : str
        Name of the level ("high level").

    Returns
    -------
    tuple of Component and list of str
        Its share in the uncertainty [V], and remarks.
    """
    told = plateaus.drift[np.isfinite(plateaus.drift)]
    if told.size == 0:
        left = abs(value) * float(np.mean(np.exp(-plateaus.waited / SLOWEST_LAG)))
        return settling_component(left, source, what), [UNTOLD]
    noise = mean_deviation(told) if told.size > 1 else source.scale.noise
    return settling_component(left_by_drift(float(told.mean()), noise), source, what), []


def settling_component(left: float, source: Source, what: str) -> Component:
    """Return the share of what a level may lack.

    Parameters
    ----------
    left : float
        What it may lack at most. [V]
    source : Source
        The capture.
    what : str
        Name of the level.

    Returns
    -------
    Component
        Its share. [V]
    """
    return source.component(f"settling of the {what}", left / SQRT3, shape=Shape.RECTANGULAR)


def left_by_drift(drift: float, noise: float) -> float:
    """Return what plateaus that drift may lack: a drift as large as its noise cannot be excluded.

    Parameters
    ----------
    drift : float
        Mean drift from the first half of the settled part to the second, 0 where all plateaus are long. [V]
    noise : float
        Its standard deviation. [V]

    Returns
    -------
    float
        What is left at most. [V]

    Examples
    --------
    >>> left_by_drift(0.01, 0.02), left_by_drift(-0.04, 0.01), left_by_drift(0.0, 0.01)
    (0.03, 0.06, 0.0)
    """
    return DRIFT_LEFT * max(abs(drift), noise) if drift != 0.0 else 0.0


def _inliers(values: Numbers, least: float) -> Flags:
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


def _scatter(levels: Levels, source: Source, what: str) -> Component:
    label = f"scatter of the {what}"
    count = levels.level.size
    if count >= FEWEST:
        return source.component(label, mean_deviation(levels.level), count - 1.0)
    # neighbouring samples need not be independent: count cycles, not samples
    within = levels.deviation
    freedom = float((levels.samples - 1).sum())
    if freedom < 1.0:
        return source.component(label, source.scale.noise / math.sqrt(count))
    pooled = math.sqrt(float(np.nansum(within**2 * (levels.samples - 1))) / freedom)
    return source.component(label, pooled / math.sqrt(count), freedom)


def _steps(levels: Levels, source: Source, what: str) -> Component:
    # between the outer tenths of the cycles: one odd cycle must not pass for noise
    span = float(np.quantile(levels.highest, 1.0 - 0.1) - np.quantile(levels.lowest, 0.1))
    within = levels.deviation[np.isfinite(levels.deviation)]
    variance = float(levels.level.var()) + (float(np.mean(within**2)) if within.size else 0.0)
    return steps_component(span, variance, source, what)


def steps_component(span: float, variance: float, source: Source, what: str) -> Component:
    """Return what the steps of the instrument leave open in a level.

    Parameters
    ----------
    span : float
        Distance of the ends of its samples. [V]
    variance : float
        Variance of its samples. [V²]
    source : Source
        The capture.
    what : str
        Name of the level.

    Returns
    -------
    Component
        Its share. [V]
    """
    label = f"steps of the instrument in the {what}"
    step = source.scale.step
    if step == 0.0:
        return source.component(label, 0.0)
    rounding = 0.5 * step / SQRT3
    if round(span / step) < 2:
        # one step or two only: their shares do not tell where between them the level lies
        return source.component(label, rounding, shape=Shape.RECTANGULAR)
    before_steps = math.sqrt(max(0.0, variance - rounding**2))
    return source.component(label, step * dithered_step(before_steps / step))


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """Frequency [Hz] and duty cycle [%] of a run; both None where its cycles have none in common."""

    frequency: Quantity | None = None
    duty: Quantity | None = None


def timing_of(cycles: CycleTable, keep: Flags, swing: float, source: Source) -> Timing:
    r"""Return the frequency and the duty cycle of the cycles of a run.

    .. math:: f = 1 / \bar T, \quad D = \overline{t_{on} / T}

    both between crossings of 0 V. Uncertainty: the scatter of the cycles; the placing of edges between samples; for the
    frequency the clock of the instrument, which cancels in the duty cycle; for the duty cycle the voltage error of
    the instrument at 0 V, divided by the slope of the edges. A capacitance on the pilot delays
    the rising crossing more than the falling one: the duty cycle at the place of measurement is given as it is there.

    Parameters
    ----------
    cycles : CycleTable
        The cycles of the capture, c of them.
    keep : NDArray[np.bool_]
        Array of shape (c,): those of the run.
    swing : float
        Distance of high and low level, or a lower bound of it. [V]
    source : Source
        The capture.

    Returns
    -------
    Timing
        Frequency and duty cycle.
    """
    which = np.flatnonzero(keep & cycles.clean)
    if which.size == 0 or swing <= 0.0:
        return Timing()
    rises, falls, ends = cycles.rise.take(which), cycles.fall.take(which), cycles.end.take(which)
    rise_steep, fall_steep = steepness(rises, swing), steepness(falls, swing)
    at_rise, at_fall = placed(rises, rise_steep), placed(falls, fall_steep)
    at_end = placed(ends, steepness(ends, swing))
    period = (ends.index - rises.index) + (at_end - at_rise)
    duty = ((falls.index - rises.index) + (at_fall - at_rise)) / period
    median = float(np.median(period))
    regular = np.abs(period - median) <= IRREGULAR * median
    if regular.mean() < 1.0 - IRREGULAR:
        return Timing()
    usual = regular & _inliers(period, SAMPLING_SPREAD) & _inliers(duty, SAMPLING_SPREAD / median)
    if not usual.any():
        return Timing()
    lock = sampling_lock(float(period[usual].mean()), int(usual.sum()))
    placing = (
        placement_deviation(float(rise_steep[usual].mean()), lock),
        placement_deviation(float(fall_steep[usual].mean()), lock),
    )
    slopes = (float(np.median(np.abs(rises.rise[usual]))), float(np.median(np.abs(falls.rise[usual]))))
    return Timing(
        frequency=_frequency(period[usual], placing[0], slopes[0], source),
        duty=_duty(duty[usual], float(period[usual].mean()), placing, slopes, source),
    )


def _frequency(period: Numbers, placing: float, slope: float, source: Source) -> Quantity:
    mean = float(period.mean())
    count = period.size
    batches = min(BATCHES, count // 10)
    if batches >= FEWEST:
        means = period[: count - count % batches].reshape(batches, -1).mean(axis=1)
        scatter, dof = float(means.std(ddof=1)) / math.sqrt(batches), batches - 1.0
    elif count >= FEWEST:
        scatter, dof = mean_deviation(period), count - 1.0
    else:
        scatter, dof = math.sqrt(2.0) * source.scale.noise / slope / count, math.inf
    return frequency_quantity(mean, count, (scatter, dof), placing, source)


def frequency_quantity(
    mean: float, count: int, scatter: tuple[float, float], placing: float, source: Source
) -> Quantity:
    """Return a frequency with its uncertainty.

    Parameters
    ----------
    mean : float
        Mean period. [sample intervals]
    count : int
        Number of cycles. [1]
    scatter : tuple of float
        Standard deviation of the mean [sample intervals] and its degrees of freedom.
    placing : float
        What placing edges between samples leaves open in each. [sample intervals]
    source : Source
        The capture.

    Returns
    -------
    Quantity
        The frequency. [Hz]
    """
    value = 1.0 / (mean * source.scale.interval)
    # only the first and the last edge place the whole run
    ends = math.sqrt(2.0) * placing / count
    parts = [
        source.component("scatter of the period", value * scatter[0] / mean, scatter[1]),
        source.component("placing of the edges in the period", value * ends / mean),
    ]
    whys = []
    if source.accuracy is None or source.accuracy.timebase is None:
        whys.append("accuracy of the timebase not stated, so not included")
    else:
        # a clock that counts a period too long makes the frequency too low
        parts += [
            replace(part, contribution=-(value**2) * part.contribution)
            for part in source.accuracy.timebase.components(
                1.0 / value, "s", id=f"{source.accuracy.id}: timebase", label="timebase"
            )
        ]
    return source.quantity(value, "Hz", parts, whys)


def _duty(
    duty: Numbers, period: float, placing: tuple[float, float], slopes: tuple[float, float], source: Source
) -> Quantity:
    count = duty.size
    if count >= FEWEST:
        scatter, dof = mean_deviation(duty), count - 1.0
    else:
        # noise moves a crossing by noise over slope
        jitter = source.scale.noise * math.hypot(1.0 / slopes[0], 1.0 / slopes[1])
        scatter, dof = jitter / period / math.sqrt(count), math.inf
    return duty_quantity(float(duty.mean()), (scatter, dof), period, placing, slopes, source)


def duty_quantity(
    share: float,
    scatter: tuple[float, float],
    period: float,
    placing: tuple[float, float],
    slopes: tuple[float, float],
    source: Source,
) -> Quantity:
    """Return a duty cycle with its uncertainty.

    Parameters
    ----------
    share : float
        Mean share of the on-time. [1]
    scatter : tuple of float
        Standard deviation of the mean [1] and its degrees of freedom.
    period : float
        Mean period. [sample intervals]
    placing : tuple of float
        What placing edges between samples leaves open in rising and in falling ones. [sample intervals]
    slopes : tuple of float
        Step across 0 V from one sample to the next, rising and falling. [V]
    source : Source
        The capture.

    Returns
    -------
    Quantity
        The duty cycle. [%]
    """
    value = 100.0 * share
    percent = 100.0 / period
    parts = [
        source.component("scatter of the duty cycle", 100.0 * scatter[0], scatter[1]),
        source.component("placing of the rising edges", percent * placing[0]),
        source.component("placing of the falling edges", percent * placing[1]),
    ]
    whys = []
    if source.accuracy is None or source.accuracy.vertical is None:
        whys.append(NOT_INCLUDED)
    else:
        per_volt = percent * (1.0 / slopes[0] + 1.0 / slopes[1])
        # what moves 0 V is an offset, of unknown sign against the error of the levels
        parts += [
            replace(part, id=f"{part.id} at 0 V", contribution=per_volt * part.contribution)
            for part in _vertical(source.accuracy, 0.0, "vertical accuracy at 0 V")
        ]
    return source.quantity(value, "%", parts, whys)
