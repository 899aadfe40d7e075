"""What gaps read by calliper say of a drawing as a whole: does it read long or short, and by which part of a length.

A drawing that agrees with a calliper within the uncertainty of both may still read long by some of it, everywhere. That
is not taken out, for neither takes the other's place; it widens what the drawing says, with what the readings leave
open.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.budget_words import AGAINST_CALLIPER, WIDTH, label_of
from coldpin.insulation.calliper_gaps import LEAST_GAPS, shows_scale
from coldpin.insulation.corner_scatter import Influence
from coldpin.quantity import Component, Quantity, add_components
from coldpin.quantity.convolution import Described, sum_quantiles
from coldpin.quantity.model import HIGH, LOW
from coldpin.records.calliper_gap import Agreement, CalliperGap
from coldpin.records.distance import Distances, MeasuredDistance

REDUCED_BY = "pick the corners again where the calliper differs most, and read further gaps by calliper"

LEAST_NOISE_MM = 1e-4
"""Ours: no gap is read or drawn surer than this. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawingBias:
    """By how much a drawing reads longer than a calliper: ``offset_mm``, and ``stretch`` times the length. [1]

    ``covariance``: array of shape (2, 2), of both; ``shared_mm`` is what all readings of the calliper share.
    """

    offset_mm: float
    stretch: float
    covariance: NDArray[np.float64]
    shared_mm: float

    def at(self, length: float) -> float:
        """Return by how much a length of the drawing reads longer.

        Parameters
        ----------
        length : float
            As drawn. [mm]

        Returns
        -------
        float
            Below 0 where it reads shorter. [mm]
        """
        return self.offset_mm + self.stretch * length

    def u_at(self, length: float) -> float:
        """Return what a length of the drawing is unsure by, with the bias left in it.

        Parameters
        ----------
        length : float
            As drawn. [mm]

        Returns
        -------
        float
            Root of the square of the bias, of its variance, and of what all readings share. [mm]
        """
        row = np.array([1.0, length])
        return math.sqrt(self.at(length) ** 2 + float(row @ self.covariance @ row) + self.shared_mm**2)


def drawing_bias(gaps: Sequence[CalliperGap]) -> DrawingBias | None:
    r"""Return what gaps by calliper say of a drawing as a whole.

    .. math:: d_i - c_i = b + s \, d_i + \epsilon_i, \quad s \sim N(0, u_s^2)

    The stretch s is known beforehand as well as the scale of the drawing is, so that gaps of like length do not have to
    tell it.

    Parameters
    ----------
    gaps : sequence of CalliperGap
        Readings c beside what the drawing has, d.

    Returns
    -------
    DrawingBias or None
        None with fewer gaps between other ends than a drawing needs that show something.

    Examples
    --------
    >>> from coldpin.records.distance import PathKind
    >>> def gap(end, read, drawn):
    ...     return CalliperGap(
    ...         entry="", ends=("mains", end), kind=PathKind.CLEARANCE, reading_mm=Quantity(read, 0.02, "mm"),
    ...         drawn_mm=Quantity(drawn, 0.02, "mm"), difference_mm=None, agreement=Agreement.AGREES, told="",
    ...     )
    >>> bias = drawing_bias([gap("R1", 5.0, 5.03), gap("R2", 4.0, 4.03), gap("R3", 6.0, 6.03)])
    >>> round(bias.offset_mm, 3), round(bias.u_at(5.0), 3)
    (0.03, 0.034)

    Sources
    -------
    Least squares with what is known beforehand; JCGM 100:2008 F.2.4.5, a correction that is not applied (standing:
    memory).
    """
    known = [gap for gap in gaps if gap.agreement is Agreement.AGREES and gap.drawn_mm is not None and shows_scale(gap)]
    if len({frozenset(gap.ends) for gap in known}) < LEAST_GAPS:
        return None
    drawn = [gap.drawn_mm for gap in known if gap.drawn_mm is not None]
    shared = _shared([gap.reading_mm for gap in known])
    noise = np.array(
        [
            max(math.hypot(_by_hand(there), _alone(gap.reading_mm, shared)), LEAST_NOISE_MM)
            for there, gap in zip(drawn, known, strict=True)
        ]
    )
    length = np.array([one.value for one in drawn])
    off = length - np.array([gap.reading_mm.value for gap in known])
    rows = np.column_stack([np.ones(len(length)), length]) / noise[:, None]
    scale_u = max(_of_scale(one) for one in drawn)
    if scale_u > 0.0:
        rows = np.concatenate([rows, [[0.0, 1.0 / scale_u]]])
        covariance = np.linalg.inv(rows.T @ rows)
    else:
        covariance = np.zeros((2, 2))
        covariance[0, 0] = 1.0 / float(np.sum(1.0 / noise**2))
    offset, stretch = covariance @ rows[: len(off)].T @ (off / noise)
    return DrawingBias(offset_mm=float(offset), stretch=float(stretch), covariance=covariance, shared_mm=shared)


def beside_calliper(distances: Distances, gaps: Sequence[CalliperGap]) -> Distances:
    """Return the distances of a drawing, widened by what gaps by calliper say of it as a whole.

    Parameters
    ----------
    distances : Distances
        As the drawing has them.
    gaps : sequence of CalliperGap
        What was read by calliper on the same board.

    Returns
    -------
    Distances
        The same values; unchanged where the gaps are too few.
    """
    bias = drawing_bias(gaps)
    if bias is None:
        return distances

    def wider(measured: MeasuredDistance) -> MeasuredDistance:
        return _widened(measured, bias)

    return replace(
        distances,
        clearance=None if distances.clearance is None else wider(distances.clearance),
        creepage=None if distances.creepage is None else wider(distances.creepage),
        next_clearance=tuple(map(wider, distances.next_clearance)),
        next_creepage=tuple(map(wider, distances.next_creepage)),
        other_readings=tuple(map(wider, distances.other_readings)),
    )


def _widened(measured: MeasuredDistance, bias: DrawingBias) -> MeasuredDistance:
    length = measured.length_mm
    if length.u is None:
        return measured
    part = Component(id="drawing against calliper", label=AGAINST_CALLIPER, contribution=bias.u_at(length.value))
    largest = max((abs(one.contribution) for one in length.components), default=0.0)
    wider = replace(measured, length_mm=_with(length, part))
    if part.contribution <= largest:
        return wider
    return replace(wider, dominated_by=AGAINST_CALLIPER, reduced_by=REDUCED_BY)


def _with(length: Quantity, part: Component) -> Quantity:
    """Return a length with one more component, by its sum or, where it is described by quantiles, by these."""
    if not length.quantiles:
        return add_components(length, (part,))
    off = tuple(one - length.value for one in length.quantiles)
    quantiles = sum_quantiles(length.value, (part,), (Described(quantiles=off),))
    low, high = float(quantiles[LOW]), float(quantiles[HIGH])
    assert length.u is not None
    return replace(
        length,
        u=math.hypot(length.u, part.contribution),
        low=max(low, 0.0),
        high=high,
        components=(*length.components, part),
        quantiles=tuple(np.maximum(quantiles, 0.0).tolist()),
    )


def _shared(readings: Sequence[Quantity]) -> float:
    """Return what all readings share, as one instrument does: the least share each has of every common component."""
    common = set.intersection(*({part.id for part in one.components if part.id} for one in readings))
    shares = [
        min(abs(part.contribution) for one in readings for part in one.components if part.id == name) for name in common
    ]
    return math.hypot(*shares) if shares else 0.0


def _alone(reading: Quantity, shared: float) -> float:
    assert reading.u is not None
    return math.sqrt(max(reading.u**2 - shared**2, 0.0))


def _by_hand(drawn: Quantity) -> float:
    """Return what picking adds to a length, all of it where it has no budget. [mm]"""
    picked = [part.contribution for part in drawn.components if part.label == label_of(Influence.PICKING)]
    if not drawn.components:
        return drawn.u or 0.0
    return math.hypot(*picked) if picked else 0.0


def _of_scale(drawn: Quantity) -> float:
    """Return which part of a length it is unsure by from everything but picking. [1]"""
    own = (label_of(Influence.PICKING), WIDTH)
    others = [part.contribution for part in drawn.components if part.label not in own]
    return math.hypot(*others) / drawn.value if others and drawn.value > 0.0 else 0.0
