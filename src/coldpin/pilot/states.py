"""States of the pilot: what each cycle or steady block says by its levels, and the runs these make."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldpin.pilot.crossings import Flags, Indices, Numbers
from coldpin.pilot.cycles import Decoded, SteadyTable
from coldpin.pilot.scale import SPREAD_MOST
from coldpin.records.pilot import State
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.standards.pilot import StateWindow, state_windows

SHORTEST_RUN = 5e-3
"""Ours: what lasts less is the passage from one state to the next or the bounce of a contact, not a state. [s] Five
periods of the oscillator; the shortest thing the standards name, a B-C-B toggle, lasts 0.2 s."""

SHORTEST_RUN_SHARE = 0.2
"""Ours: in a capture shorter than 25 ms a run is at least this part of it instead. [1]"""

MAJORITY = 2.0 / 3.0
"""Ours: where states change faster than a run lasts, the state that holds for this part of the time stands. [1]"""

STATES = tuple(State)
_CODE = {state: code for code, state in enumerate(STATES)}
RUNNING = (State.A2, State.B2, State.C2, State.D2, State.E)
"""What a cycle says by its high level, in the order of the windows A to E."""

NO_WORD = -1
"""Code of a piece that says nothing: a half cut off, a block without usable samples."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """The windows states are told by.

    ``high`` holds, for the letters A to E, the window of the high level (of the steady level with the oscillator off),
    ``steady_low`` that of state F, ``low`` that of the low level while the oscillator runs, for A to D.
    """

    high: tuple[StateWindow, ...]
    steady_low: StateWindow
    low: tuple[StateWindow, ...]

    def high_of(self, letter: str) -> StateWindow:
        """Return the window of the high level.

        Parameters
        ----------
        letter : str
            A to E.

        Returns
        -------
        StateWindow
            The window.
        """
        return next(window for window in self.high if window.letter == letter)

    def low_of(self, letter: str) -> StateWindow:
        """Return the window of the low level while the oscillator runs.

        Parameters
        ----------
        letter : str
            A to D.

        Returns
        -------
        StateWindow
            The window.
        """
        return next(window for window in self.low if window.letter == letter)


def windows_of(book: Book, edition: Edition) -> Windows:
    """Return the windows of an edition by their use.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        Whose windows.

    Returns
    -------
    Windows
        A window for each letter; each holds its limit, and with it the text it is from.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> windows = windows_of(load_book(), Edition.IEC_3)
    >>> "".join(window.letter for window in windows.high), windows.low_of("B").maximum
    ('ABCDE', -11.0)
    """
    windows = state_windows(book, edition)
    high = {window.letter: window for window in windows if window.level == "high"}
    low = {window.letter: window for window in windows if window.level == "low"}
    return Windows(
        high=tuple(high[letter] for letter in "ABCDE"),
        steady_low=low["F"],
        low=tuple(low[letter] for letter in "ABCD"),
    )


def _within(level: Numbers, window: StateWindow) -> Flags:
    # a missing level compares false
    return (level >= window.minimum) & (level <= window.maximum)


def classify_cycles(high: Numbers, low: Numbers, windows: Windows) -> NDArray[np.int64]:
    """Return what each cycle of a running oscillator says.

    The high level decides between A2, B2, C2, D2 and E (a pilot shorted behind its diode still reaches down to the low
    rail). A high level of A whose low level, turned over, is one of B to E is no pilot: the probe was reversed.

    Parameters
    ----------
    high : NDArray[np.float64]
        Array of shape (n,): high plateaus. [V]
    low : NDArray[np.float64]
        Array of shape (n,): low plateaus. [V]
    windows : Windows
        The windows.

    Returns
    -------
    NDArray[np.int64]
        Array of shape (n,): places in ``STATES``; -1 where the high level is missing.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> windows = windows_of(load_book(), Edition.IEC_3)
    >>> codes = classify_cycles(np.array([9.0, 0.7, 7.5, 12.0]), np.array([-12.0, -12.0, -12.0, -9.0]), windows)
    >>> [STATES[code].value for code in codes]
    ['B2', 'E', 'undefined', 'undefined']
    """
    codes = np.full(high.size, _CODE[State.UNDEFINED], np.int64)
    for window, state in zip(windows.high, RUNNING, strict=True):
        codes[_within(high, window)] = _CODE[state]
    reversed_probe = codes == _CODE[State.A2]
    reversed_probe &= np.any([_within(-low, window) for window in windows.high[1:]], axis=0)
    codes[reversed_probe] = _CODE[State.UNDEFINED]
    codes[~np.isfinite(high)] = NO_WORD
    return codes


def classify_blocks(steady: SteadyTable, windows: Windows) -> Indices:
    """Return what each block of a signal without zero crossings says.

    A block with one level is A1, B1, C1, D1, E or F by it. So is one that ripples, where what lies above its middle and
    what lies below are both of one state. One with two levels is undefined otherwise, unless the upper is that of E and
    the lower that of E or of the low rail: a shorted pilot whose oscillation is lost in the hysteresis. One without a
    usable sample is undefined; one that lies all within the settling time of an edge says nothing.

    Parameters
    ----------
    steady : SteadyTable
        The blocks, b of them.
    windows : Windows
        The windows.

    Returns
    -------
    NDArray[np.int64]
        Array of shape (b,): places in ``STATES``, or -1.
    """
    levels = steady.levels
    codes = np.full(levels.level.size, _CODE[State.UNDEFINED], np.int64)
    lettered = zip(windows.high, (State.A1, State.B1, State.C1, State.D1, State.E), strict=True)
    for window, state in (*lettered, (windows.steady_low, State.F)):
        ripples = _within(levels.lower, window) & _within(levels.upper, window)
        codes[_within(levels.level, window) & (levels.steady | ripples)] = _CODE[state]
    shorted = windows.high_of("E")
    below = _within(levels.lower, windows.low_of("B")) | _within(levels.lower, shorted)
    codes[_within(levels.upper, shorted) & below & ~levels.steady] = _CODE[State.E]
    codes[~steady.settled] = NO_WORD
    return codes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """Cycles, steady blocks and single halves in order of time; every array of shape (p,).

    ``first`` and ``stop`` bound each in samples, ``code`` is its place in ``STATES`` or -1. ``cycle`` and ``block`` are
    its row in the table of cycles or of blocks, -1 where it has none.
    """

    first: Indices
    stop: Indices
    code: Indices
    cycle: Indices
    block: Indices


def classify(decoded: Decoded, windows: Windows) -> Pieces:
    """Put the parts of a capture in order and say which state each shows.

    Parameters
    ----------
    decoded : Decoded
        The capture taken apart.
    windows : Windows
        The windows.

    Returns
    -------
    Pieces
        They cover the capture without gap.
    """
    cycles, steady = decoded.cycles, decoded.steady
    codes: tuple[Indices, ...] = (
        classify_cycles(cycles.high.levels.level, cycles.low.levels.level, windows),
        classify_blocks(steady, windows),
        np.full(decoded.single_first.size, NO_WORD, np.int64),
    )
    if decoded.scale.noise > SPREAD_MOST:
        # noise wider than a window: where a few samples happen to agree is no level
        codes = tuple(np.where(code == NO_WORD, code, _CODE[State.UNDEFINED]) for code in codes)
    first = np.concatenate((cycles.first, steady.first, decoded.single_first))
    stop = np.concatenate((cycles.stop, steady.stop, decoded.single_stop))
    counts = [part.size for part in codes]
    order = np.argsort(first, kind="stable")
    row = np.concatenate([np.arange(count) for count in counts])
    kind = np.repeat([0, 1, 2], counts)
    return Pieces(
        first=first[order],
        stop=stop[order],
        code=np.concatenate(codes)[order],
        cycle=np.where(kind == 0, row, -1)[order],
        block=np.where(kind == 1, row, -1)[order],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class StateRun:
    """Pieces ``first_piece:stop_piece`` in one state, and the samples they cover.

    Pieces of the ``codes`` show its levels: those of its state, and of another where it stands at the edge of a window.
    """

    state: State
    first: int
    stop: int
    first_piece: int
    stop_piece: int
    codes: tuple[int, ...]


def find_runs(pieces: Pieces, interval: float) -> tuple[StateRun, ...]:
    """Join pieces into runs of one state.

    What is shorter than `SHORTEST_RUN` stands for no state. One such stretch between two runs is the passage from the
    one to the other and is counted to the one before (so a state begins with its first settled piece); many in a row
    are a run of the state that holds for most of their time, or undefined where none does.

    Parameters
    ----------
    pieces : Pieces
        The pieces of a capture.
    interval : float
        Time between samples. [s]

    Returns
    -------
    tuple of StateRun
        They cover the capture without gap; neighbours differ in state.

    Examples
    --------
    >>> code = np.repeat([STATES.index(State.B2), STATES.index(State.UNDEFINED), STATES.index(State.C2)], [20, 1, 20])
    >>> edge = np.arange(42) * 1000
    >>> rows = np.arange(41)
    >>> pieces = Pieces(first=edge[:-1], stop=edge[1:], code=code, cycle=rows, block=rows)
    >>> [(run.state.value, run.first, run.stop) for run in find_runs(pieces, 1e-6)]
    [('B2', 0, 21000), ('C2', 21000, 41000)]
    """
    if pieces.code.size == 0:
        return ()
    codes = filled_codes(pieces.code)
    span = int(pieces.stop[-1] - pieces.first[0])
    shortest = min(SHORTEST_RUN / interval, SHORTEST_RUN_SHARE * span) * (1.0 - 1e-9)
    bounds = _changes(codes)
    length = pieces.stop[bounds[1:] - 1] - pieces.first[bounds[:-1]]
    solid = length >= shortest
    settled = codes.copy()
    for a, b in _groups(~solid):
        first, stop = int(bounds[a]), int(bounds[b])
        settled[first:stop] = _word_of_group(pieces, codes, first, stop, shortest)
    bounds = _changes(settled)
    return tuple(
        StateRun(
            state=STATES[settled[first]],
            first=int(pieces.first[first]),
            stop=int(pieces.stop[stop - 1]),
            first_piece=first,
            stop_piece=stop,
            codes=(int(settled[first]),),
        )
        for first, stop in pairwise(bounds.tolist())
    )


def filled_codes(code: Indices) -> Indices:
    """Let pieces without a word repeat the one before them, those at the beginning the one after.

    Parameters
    ----------
    code : NDArray[np.int64]
        Array of shape (p,): places in ``STATES``, -1 where a piece says nothing.

    Returns
    -------
    NDArray[np.int64]
        Array of shape (p,): places in ``STATES``; undefined where no piece says anything.

    Examples
    --------
    >>> filled_codes(np.array([-1, 3, -1, 5])).tolist()
    [3, 3, 3, 5]
    """
    said = np.flatnonzero(code != NO_WORD)
    if said.size == 0:
        return np.full(code.size, _CODE[State.UNDEFINED], np.int64)
    last = np.maximum(np.searchsorted(said, np.arange(code.size), side="right") - 1, 0)
    return code[said[last]]


def _changes(codes: Indices) -> Indices:
    return np.concatenate(([0], np.flatnonzero(codes[1:] != codes[:-1]) + 1, [codes.size])).astype(np.int64)


def _groups(flags: Flags) -> list[tuple[int, int]]:
    padded = np.concatenate(([False], flags, [False]))
    first = np.flatnonzero(padded[1:] & ~padded[:-1])
    stop = np.flatnonzero(padded[:-1] & ~padded[1:])
    return list(zip(first.tolist(), stop.tolist(), strict=True))


def _word_of_group(pieces: Pieces, codes: Indices, first: int, stop: int, shortest: float) -> int:
    """Return the state of pieces none of which lasts as long as a run."""
    length = pieces.stop[first:stop] - pieces.first[first:stop]
    total = int(length.sum())
    neighbours = [int(codes[first - 1])] if first > 0 else []
    neighbours += [int(codes[stop])] if stop < codes.size else []
    if total < shortest and neighbours:
        return neighbours[0]
    share = np.bincount(codes[first:stop], weights=length, minlength=len(STATES))
    most = int(share.argmax())
    return most if share[most] >= MAJORITY * total else _CODE[State.UNDEFINED]


def pieces_of(run: StateRun, pieces: Pieces) -> NDArray[np.intp]:
    """Return the pieces of a run that show its state themselves, not those only counted to it.

    Parameters
    ----------
    run : StateRun
        The run.
    pieces : Pieces
        The pieces it was made of.

    Returns
    -------
    NDArray[np.intp]
        Places in ``pieces``.
    """
    codes = pieces.code[run.first_piece : run.stop_piece]
    return np.flatnonzero(np.isin(codes, run.codes)) + run.first_piece


def other_time(run: StateRun, pieces: Pieces) -> int:
    """Return for how long a run shows other states than its own.

    Parameters
    ----------
    run : StateRun
        The run.
    pieces : Pieces
        The pieces it was made of.

    Returns
    -------
    int
        Samples of its pieces that show another state. [1]
    """
    part = slice(run.first_piece, run.stop_piece)
    codes = pieces.code[part]
    other = (codes != NO_WORD) & ~np.isin(codes, run.codes)
    return int((pieces.stop[part] - pieces.first[part])[other].sum())
