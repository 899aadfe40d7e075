"""Steps of the offer: where the duty cycle changes inside one state, told from noise, quantisation and drift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from coldpin.pilot.crossings import Indices, Numbers
from coldpin.pilot.cycles import Decoded
from coldpin.pilot.figures import SAMPLING_SPREAD
from coldpin.pilot.states import SHORTEST_RUN, Pieces, StateRun, pieces_of

LEAST_STEP = 0.8
"""Ours: a change of the offer is a step of half an ampere or more, 0.83 points of the duty cycle on the steeper of its
usual lines; a smaller one is wandering, which is another question's matter. [percentage points]"""

STEP_NOISE = 16.0
QUIET = 0.25
"""Ours: a step is so many times what the quietest quarter of the stretches differs by, five standard deviations: of a
short run the steps themselves may be as many as half. [1]"""


def split_by_offer(runs: Sequence[StateRun], pieces: Pieces, decoded: Decoded) -> tuple[StateRun, ...]:
    """Split runs in which the duty cycle steps from one value to another.

    The medians of stretches of `SHORTEST_RUN` are compared with the next but one, so that drift and single odd cycles
    are no step; a step must exceed what the sampling may move an on-time by.

    Parameters
    ----------
    runs : sequence of StateRun
        The runs of a capture.
    pieces : Pieces
        What they were made of.
    decoded : Decoded
        The capture taken apart.

    Returns
    -------
    tuple of StateRun
        The same runs, those with steps in as many parts; the work grows with the number of cycles.
    """
    found: list[StateRun] = []
    for run in runs:
        found += _split(run, pieces, decoded) if run.state.oscillating else [run]
    return tuple(found)


def _split(run: StateRun, pieces: Pieces, decoded: Decoded) -> list[StateRun]:
    own = pieces_of(run, pieces)
    own = own[pieces.cycle[own] >= 0]
    rows = pieces.cycle[own]
    period, on = decoded.cycles.period_samples()[rows], decoded.cycles.on_samples()[rows]
    usable = decoded.cycles.clean[rows] & (period > 0.0)
    own, period, on = own[usable], period[usable], on[usable]
    if not own.size:
        return [run]
    usual = float(np.median(period))
    length = max(1, round(SHORTEST_RUN / (usual * decoded.scale.interval)))
    duty: Numbers = 100.0 * on / period
    cuts = [int(own[at]) for at in steps_of(duty, length, least=max(LEAST_STEP, 100.0 * SAMPLING_SPREAD / usual))]
    edges = [run.first_piece, *cuts, run.stop_piece]
    bounds = [run.first, *(int(pieces.first[cut]) for cut in cuts), run.stop]
    return [
        replace(run, first=first, stop=stop, first_piece=from_, stop_piece=to)
        for (first, stop), (from_, to) in zip(pairwise(bounds), pairwise(edges), strict=True)
    ]


def steps_of(duty: Numbers, length: int, *, least: float) -> list[int]:
    """Return the first cycle of each new value of the duty cycle.

    Parameters
    ----------
    duty : NDArray[np.float64]
        Array of shape (c,), one value per cycle, in order. [%]
    length : int
        Cycles in a stretch; a value that lasts less than three of them may be missed. [1]
    least : float
        The least step. [percentage points]

    Returns
    -------
    list of int
        Places in ``duty``, rising.

    Examples
    --------
    >>> steps_of(np.repeat([26.67, 16.67, 26.67], [33, 2, 40]), 5, least=0.8)
    []
    >>> steps_of(np.repeat([26.67, 16.67, 20.0], [33, 41, 40]), 5, least=0.8)
    [33, 74]
    """
    count = duty.size // length
    if count <= 2:
        return []
    level = np.median(duty[: count * length].reshape(count, length), axis=1)
    apart = np.abs(level[2:] - level[:-2])
    over = apart > max(least, STEP_NOISE * float(np.quantile(apart, QUIET, method="lower")))
    turns = np.flatnonzero(np.diff(np.concatenate(([False], over, [False])).astype(np.int8)))
    cuts = []
    for begin, end in zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True):
        # stretch ``begin`` is the last that is surely old, ``end + 1`` the first that is surely new
        old, new = float(level[begin]), float(level[end + 1])
        if abs(new - old) > least:
            cuts.append(_first_of(duty, old, new, begin * length, (end + 2) * length))
    return cuts


def _first_of(duty: Numbers, old: float, new: float, start: int, stop: int) -> int:
    """Return where the new value begins: after as many cycles as are nearer to the old one."""
    part = duty[start:stop]
    nearer: Indices = np.flatnonzero(np.abs(part - old) <= np.abs(part - new))
    return start + int(nearer.size)
