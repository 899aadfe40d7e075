"""A signal that stands at the edge of a window: one level, told as one state and another by turns, is one run."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from coldpin.pilot.crossings import Indices, Numbers
from coldpin.pilot.cycles import Decoded
from coldpin.pilot.states import NO_WORD, STATES, Pieces, StateRun, filled_codes
from coldpin.records.pilot import State

LASTING = 50e-3
"""Ours: a state that holds for so long at a stretch stands by itself, however near the next window. [s] A quarter of
the shortest toggle that the standards name, fifty cycles of the oscillator."""

MAIN_SHARE = 0.2
"""Ours: what shows for less than this part of a stretch is the passage to the next, not one of its levels. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a stretch shows of one state: for how many samples, and at which levels, NaN where it has none. [V]"""

    samples: int
    high: float
    low: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A run as it was told, its state as a place in ``STATES``, and what it shows of each."""

    code: int
    samples: int
    shown: Mapping[int, Shown]

    def main(self) -> dict[int, Shown]:
        """Return what it mainly shows, without passages.

        Returns
        -------
        dict
            By state.
        """
        least = MAIN_SHARE * self.samples
        return {code: part for code, part in self.shown.items() if code == self.code or part.samples >= least}


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """Stretches ``first:stop`` are one run in the state ``code``; pieces of all ``codes`` show its levels."""

    first: int
    stop: int
    code: int
    codes: tuple[int, ...]


def settle(stretches: Sequence[Stretch], *, spread: float, lasting: float) -> tuple[Settled, ...]:
    """Say which neighbouring runs are one level at the edge of a window.

    Neighbours whose levels are the same within the spread of the samples are a chain. In a chain what holds one state
    for long stands; what wavers is counted to the state that stood before it, or else to the one that stands after it.
    Where nothing stands, the whole is of the state that shows for most of the time, one that is defined before none.

    Parameters
    ----------
    stretches : sequence of Stretch
        The runs of a capture, in order.
    spread : float
        How far levels may lie apart and be one. [V]
    lasting : float
        How long a state must hold to stand. [samples]

    Returns
    -------
    tuple of Settled
        They cover the stretches without gap; neighbours differ in state.

    Examples
    --------
    >>> at = [Shown(samples=9, high=12.0, low=low) for low in (-10.001, -9.999)]
    >>> runs = [Stretch(code=1, samples=9, shown={1: at[0]}), Stretch(code=10, samples=9, shown={10: at[1]})] * 2
    >>> [(run.first, run.stop, run.code, run.codes) for run in settle(runs, spread=0.1, lasting=50.0)]
    [(0, 4, 1, (1, 10))]
    """
    mains = [stretch.main() for stretch in stretches]
    found: list[Settled] = []
    first = 0
    while first < len(stretches):
        stop = first + 1
        while stop < len(stretches) and _alike((mains[stop - 1], mains[stop]), spread):
            stop += 1
        if stop - first > 1 or (len(mains[first]) > 1 and _alike((mains[first],), spread)):
            found += _settle_chain(stretches, mains, range(first, stop), lasting)
        else:
            code = stretches[first].code
            found.append(Settled(first=first, stop=stop, code=code, codes=(code,)))
        first = stop
    return _without_equal_neighbours(found)


def _alike(mains: Sequence[Mapping[int, Shown]], spread: float) -> bool:
    parts = [part for main in mains for part in main.values()]
    highs, lows = [part.high for part in parts], [part.low for part in parts]
    # a level that all lack (the low one with the oscillator off) parts nobody; NaN compares false
    steady = all(math.isnan(low) for low in lows)
    near = all(abs(high - highs[0]) <= spread for high in highs)
    return near and (steady or all(abs(low - lows[0]) <= spread for low in lows))


def _settle_chain(
    stretches: Sequence[Stretch], mains: Sequence[Mapping[int, Shown]], chain: range, lasting: float
) -> list[Settled]:
    codes: list[int | None] = [
        stretches[at].code if len(mains[at]) == 1 and stretches[at].samples >= lasting else None for at in chain
    ]
    stands = [code for code in codes if code is not None]
    last = stands[0] if stands else _most_shown([mains[at] for at in chain])
    settled: list[int] = []
    for told in codes:
        last = last if told is None else told
        settled.append(last)
    found, first = [], chain.start
    for code, own in groupby(settled):
        stop = first + len(list(own))
        shown = {code}.union(*(mains[at] for at in range(first, stop)))
        found.append(Settled(first=first, stop=stop, code=code, codes=tuple(sorted(shown))))
        first = stop
    return found


def _without_equal_neighbours(found: Sequence[Settled]) -> tuple[Settled, ...]:
    joined: list[Settled] = []
    for one in found:
        if joined and joined[-1].code == one.code:
            codes = tuple(sorted({*joined[-1].codes, *one.codes}))
            joined[-1] = replace(joined[-1], stop=one.stop, codes=codes)
        else:
            joined.append(one)
    return tuple(joined)


def _most_shown(mains: Sequence[Mapping[int, Shown]]) -> int:
    """Return the state that shows most; undefined only where no other shows for a main part."""
    shares: dict[int, int] = {}
    for main in mains:
        for code, part in main.items():
            shares[code] = shares.get(code, 0) + part.samples
    least = MAIN_SHARE * sum(shares.values())
    told = [code for code, share in shares.items() if share >= least and STATES[code] is not State.UNDEFINED]
    return max(sorted(told or shares), key=lambda code: shares[code])


def without_flicker(runs: Sequence[StateRun], pieces: Pieces, decoded: Decoded) -> tuple[StateRun, ...]:
    """Join runs that are one level at the edge of a window.

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
        They cover the capture without gap.
    """
    codes = filled_codes(pieces.code)
    scale = decoded.scale
    stretches = [_stretch(run, codes, pieces, decoded) for run in runs]
    return tuple(
        replace(
            runs[one.first],
            state=STATES[one.code],
            stop=runs[one.stop - 1].stop,
            stop_piece=runs[one.stop - 1].stop_piece,
            codes=one.codes,
        )
        for one in settle(stretches, spread=scale.spread, lasting=LASTING / scale.interval)
    )


def _stretch(run: StateRun, codes: Indices, pieces: Pieces, decoded: Decoded) -> Stretch:
    part = slice(run.first_piece, run.stop_piece)
    length = pieces.stop[part] - pieces.first[part]
    shown = {}
    for code in np.unique(codes[part]).tolist():
        own = codes[part] == code
        told = own & (pieces.code[part] != NO_WORD)
        cycle, block = pieces.cycle[part][told], pieces.block[part][told]
        in_cycles, in_blocks = (int(length[told][rows >= 0].sum()) for rows in (cycle, block))
        high = low = math.nan
        if in_cycles > in_blocks:
            rows = cycle[cycle >= 0]
            high, low = (_middle(side.levels.level[rows]) for side in (decoded.cycles.high, decoded.cycles.low))
        elif in_blocks:
            rows = block[block >= 0]
            if decoded.steady.levels.steady[rows].all():
                high = _middle(decoded.steady.levels.level[rows])
        shown[code] = Shown(samples=int(length[own].sum()), high=high, low=low)
    return Stretch(code=STATES.index(run.state), samples=run.stop - run.first, shown=shown)


def _middle(levels: Numbers) -> float:
    there = levels[np.isfinite(levels)]
    return float(np.median(there)) if there.size else math.nan
