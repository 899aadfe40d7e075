"""When the pilot changed: every change of state or of the diode, as the span of time in which it must lie.

A change is not seen while it happens. While the oscillator runs, the load shows in the high part of each cycle only: a
change lies between the end of the last high part of the old state and the beginning of the first of the new one. A
part that is not clean from end to end may hold the change itself, and then the span reaches over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from coldpin.pilot.cycles import LEAD, LONGEST_SETTLING, Decoded
from coldpin.pilot.diode import LOADED, ZERO_ERROR, mirror_ratios
from coldpin.pilot.plateaus import Levels
from coldpin.pilot.states import SHORTEST_RUN, Pieces, StateRun, pieces_of
from coldpin.records.pilot import Bracket, Diode, State
from coldpin.standards.pilot import Generator

LEAST_RISE = 2.0
"""Ours: without its diode a vehicle lifts the low level by more than this. [V] In state B, where it lifts it least, by
a quarter of the rail: by 2.1 V where the rail is as weak as −8.5 V."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotRun:
    """A run of one state and diode; ``began`` is when the pilot changed to it, None where the capture begins. [s]"""

    state: State
    diode: Diode
    began: Bracket | None
    start_s: float
    end_s: float


def split_by_diode(
    runs: Sequence[StateRun], pieces: Pieces, decoded: Decoded, generator: Generator
) -> tuple[StateRun, ...]:
    """Split runs in which the diode comes or goes: the high level stays, the low one becomes its mirror image.

    Parameters
    ----------
    runs : sequence of StateRun
        The runs of a capture.
    pieces : Pieces
        What they were made of.
    decoded : Decoded
        The capture taken apart.
    generator : Generator
        The generator of the edition.

    Returns
    -------
    tuple of StateRun
        The same runs, those in which both kinds of cycles last as long as a run in as many parts; neighbours then
        differ in state or in diode. The rail need not lie in its window: a weak one is no mirror image either.
    """
    found: list[StateRun] = []
    for run in runs:
        found += _split(run, pieces, decoded, generator) if run.state in LOADED else [run]
    return tuple(found)


def _split(run: StateRun, pieces: Pieces, decoded: Decoded, generator: Generator) -> list[StateRun]:
    own = pieces_of(run, pieces)
    own = own[pieces.cycle[own] >= 0]
    rows = pieces.cycle[own]
    low, high = decoded.cycles.low.levels.level[rows], decoded.cycles.high.levels.level[rows]
    told = np.isfinite(low) & np.isfinite(high)
    if not told.any():
        return [run]
    own, low, high = own[told], low[told], high[told]
    # of the cycles of one kind there are more, however long the run: the median is a level of theirs
    apart = np.abs(low - float(np.quantile(low, 0.5, method="lower"))) > 0.5 * LEAST_RISE
    if not apart.any() or apart.all():
        return [run]
    upper_is_apart = float(np.median(low[apart])) > float(np.median(low[~apart]))
    gone = apart if upper_is_apart else ~apart
    _, most = mirror_ratios(generator)
    if -float(np.median(low[gone])) > most * float(np.median(high[gone])) + ZERO_ERROR:
        return [run]
    bound = np.concatenate(([0], np.flatnonzero(gone[1:] != gone[:-1]) + 1, [gone.size]))
    length = pieces.stop[own[bound[1:] - 1]] - pieces.first[own[bound[:-1]]]
    lasting = np.flatnonzero(length * decoded.scale.interval >= SHORTEST_RUN * (1.0 - 1e-9))
    kinds = gone[bound[lasting]]
    cuts = [int(own[bound[at]]) for at in lasting[1:][kinds[1:] != kinds[:-1]]]
    edges = [run.first_piece, *cuts, run.stop_piece]
    return [
        replace(
            run,
            first=int(pieces.first[first]),
            stop=int(pieces.stop[stop - 1]),
            first_piece=first,
            stop_piece=stop,
        )
        for first, stop in pairwise(edges)
    ]


def find_changes(
    runs: Sequence[StateRun], diodes: Sequence[Diode], pieces: Pieces, decoded: Decoded
) -> tuple[PilotRun, ...]:
    """Return the runs of the pilot with the span of time in which each began.

    Parameters
    ----------
    runs : sequence of StateRun
        The runs of a capture, in order.
    diodes : sequence of Diode
        What each shows of the diode.
    pieces : Pieces
        What they were made of.
    decoded : Decoded
        The capture taken apart.

    Returns
    -------
    tuple of PilotRun
        One for each run.
    """
    interval = decoded.scale.interval
    own = [pieces_of(run, pieces) for run in runs]
    began: list[Bracket | None] = [None] if runs else []
    for place, (before, after) in enumerate(pairwise(runs)):
        if not own[place].size or not own[place + 1].size:
            span = (before.first * interval, after.stop * interval)
        else:
            by_low = before.state is after.state
            # only the diode differs: the low parts tell
            early = _last_seen(int(own[place][-1]), pieces, decoded, low=by_low)
            late = _first_seen(int(own[place + 1][0]), pieces, decoded, low=by_low)
            if before.state.oscillating and after.state.value == f"{before.state.value[0]}1":
                early, late = _stopped(int(own[place][-1]), pieces, decoded)
            span = (min(early, late) * interval, max(early, late) * interval)
        began.append(span)
    return tuple(
        PilotRun(
            state=run.state,
            diode=diode,
            began=start,
            start_s=run.first * interval,
            end_s=run.stop * interval,
        )
        for run, diode, start in zip(runs, diodes, began, strict=True)
    )


def _clean(levels: Levels, row: int, spread: float) -> bool:
    return bool(levels.highest[row] - levels.lowest[row] <= 2.0 * spread)


def _last_seen(piece: int, pieces: Pieces, decoded: Decoded, *, low: bool) -> float:
    """Return the last place at which a piece surely shows its state. [samples]"""
    spread, cycles = decoded.scale.spread, decoded.cycles
    row, block = int(pieces.cycle[piece]), int(pieces.block[piece])
    if row >= 0:
        # the end of a part, where the next edge may have begun, is in no plateau
        lead = decoded.scale.count(LEAD)
        side, begin, end = (cycles.low, cycles.fall, cycles.end) if low else (cycles.high, cycles.rise, cycles.fall)
        first, last = int(begin.index[row]), int(end.index[row])
        return float(max(first, last - lead) if _clean(side.levels, row, spread) else first)
    clean = _clean(decoded.steady.levels, block, spread)
    return float(pieces.stop[piece] - 1 if clean else pieces.first[piece])


def _first_seen(piece: int, pieces: Pieces, decoded: Decoded, *, low: bool) -> float:
    """Return the first place at which a piece surely shows its state. [samples]"""
    scale, cycles = decoded.scale, decoded.cycles
    row, block = int(pieces.cycle[piece]), int(pieces.block[piece])
    settling = scale.count(LONGEST_SETTLING)
    if row >= 0:
        side, begin, end = (cycles.low, cycles.fall, cycles.end) if low else (cycles.high, cycles.rise, cycles.fall)
        first, last = int(begin.index[row]) + 1, int(end.index[row]) + 1
        return float(min(last, first + settling) if _clean(side.levels, row, scale.spread) else last)
    clean = _clean(decoded.steady.levels, block, scale.spread)
    return float(pieces.first[piece] + settling if clean else pieces.stop[piece])


def _stopped(piece: int, pieces: Pieces, decoded: Decoded) -> tuple[float, float]:
    """Return when an oscillator stopped: after its last edge, and before the one that did not come. [samples]"""
    cycles, row = decoded.cycles, int(pieces.cycle[piece])
    if row < 0:
        return float(pieces.first[piece]), float(pieces.stop[piece])
    last, period = float(cycles.end.index[row]), float(cycles.period_samples()[row])
    return last, last + period
