"""Levels of a run with their uncertainty."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from coldpin.pilot.cycles import Plateaus
from coldpin.pilot.figures import (
    FEWEST,
    NOT_INCLUDED,
    SLOWEST_LAG,
    WHOLE_SHARE,
    Source,
    inliers,
    mean_deviation,
    vertical,
)
from coldpin.pilot.placement import dithered_step
from coldpin.pilot.plateaus import Levels
from coldpin.quantity import Component, Quantity, Shape
from coldpin.quantity.model import SQRT3

DRIFT_LEFT = 1.5
"""Ours: a plateau that drifts by d from the first half of its settled part to the second has up to this many times d
left in its mean. [1] An exponential that loses half or more from the one to the other has no more."""

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
    kept = plateaus.take(keep[inliers(plateaus.levels.level[keep], source.scale.spread)])
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
        components += vertical(source.accuracy, value, f"vertical accuracy, {what}")
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
