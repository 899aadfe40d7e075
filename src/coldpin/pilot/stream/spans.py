"""Spans of one state, and how neighbours join: the finished part of a stream, which no longer needs its samples."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from coldpin.pilot.crossings import Indices
from coldpin.pilot.cycles import SteadyTable
from coldpin.pilot.flicker import LASTING, Shown, Stretch, settle
from coldpin.pilot.plateaus import Levels
from coldpin.pilot.scale import SPREAD_MOST
from coldpin.pilot.states import MAJORITY, NO_WORD, STATES, classify_blocks, classify_cycles
from coldpin.pilot.stream.plan import Plan
from coldpin.pilot.stream.sums import VOLT, LevelSums, Sums, added, interleaved, sums_of
from coldpin.pilot.stream.table import SETTLED, STEADY, Rows, Table
from coldpin.records.pilot import State

UNDEFINED = STATES.index(State.UNDEFINED)
MIXED = -2
"""Code of a span that joins stretches of several states, none of which lasts as long as a run."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """What one state has of a span: ``share`` samples count for it, ``sums`` are those of the pieces that show it."""

    share: int
    sums: Sums

    def plus(self, other: Word) -> Word:
        """Return the shares of two stretches together.

        Parameters
        ----------
        other : Word
            That of the later stretch.

        Returns
        -------
        Word
            Their sum.
        """
        return Word(share=self.share + other.share, sums=added(self.sums, other.sums))


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Samples ``first:stop`` in one state, or in several that change faster than a run lasts.

    ``code`` is a place in `STATES`, `NO_WORD`, or `MIXED`; ``cycles`` counts all cycles; ``words`` holds, by code, what
    each state has of it.
    """

    first: int
    stop: int
    code: int
    cycles: int
    words: Mapping[int, Word]

    @property
    def samples(self) -> int:
        """Its length. [1]"""
        return self.stop - self.first


def _with(span: Span, other: Span, code: int) -> Span:
    words = dict(span.words)
    for key, word in other.words.items():
        words[key] = words[key].plus(word) if key in words else word
    return Span(first=span.first, stop=other.stop, code=code, cycles=span.cycles + other.cycles, words=words)


def _with_silent(span: Span, silent: Span) -> Span:
    """Count a stretch that says nothing to the span before it, or, at the beginning, after it."""
    first, stop = min(span.first, silent.first), max(span.stop, silent.stop)
    words = dict(span.words)
    if span.code >= 0:
        words[span.code] = replace(words[span.code], share=words[span.code].share + silent.samples)
    return replace(span, first=first, stop=stop, cycles=span.cycles + silent.cycles, words=words)


def joined_spans(spans: Iterable[Span], shortest: float) -> tuple[Span, ...]:
    """Join neighbouring spans as far as what comes before and after cannot change it.

    Stretches that say nothing are counted to the one before, equal ones become one, and two or more in a row that are
    shorter than a run become a mixed one; the first and the last are left open. So it does not matter in which order
    parts are joined.

    Parameters
    ----------
    spans : iterable of Span
        Spans in order, without gap; parts of them may have been joined before.
    shortest : float
        The shortest run. [1]

    Returns
    -------
    tuple of Span
        The joined ones.
    """
    found: list[Span] = []
    extend_spans(found, spans, shortest)
    return tuple(found)


def extend_spans(found: list[Span], spans: Iterable[Span], shortest: float) -> None:
    """Join further spans to those found so far, as :func:`joined_spans` does.

    Parameters
    ----------
    found : list of Span
        Joined spans, which are extended.
    spans : iterable of Span
        Those that follow.
    shortest : float
        The shortest run. [1]
    """
    for span in spans:
        if found and span.code == NO_WORD:
            found[-1] = _with_silent(found[-1], span)
        elif found and span.code == found[-1].code and span.code != MIXED:
            found[-1] = _with(found[-1], span, span.code)
        else:
            _push(found, span, shortest)


def _push(found: list[Span], span: Span, shortest: float) -> None:
    # a stretch at the head may yet turn out to be part of one before it, and so may what follows a silent one
    closed = 2 if found and found[0].code == NO_WORD else 1
    # what was last is closed now
    if len(found) > closed + 1 and _loose(found[-1], shortest) and _loose(found[-2], shortest):
        last = found.pop()
        found[-1] = _with(found[-1], last, MIXED)
    if len(found) > closed and span.code == MIXED and _loose(found[-1], shortest):
        found[-1] = _with(found[-1], span, MIXED)
    else:
        found.append(span)


def _loose(span: Span, shortest: float) -> bool:
    return span.code == MIXED or span.samples < shortest


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanRun:
    """A run of one state.

    Samples ``first:stop``, its cycles, the sums of the pieces that show it, for how many samples pieces show another
    state, and what each state has of it.
    """

    state: State
    first: int
    stop: int
    cycles: int
    sums: Sums
    other_time: int
    words: Mapping[int, Word]


def runs_of(spans: tuple[Span, ...], shortest: float) -> tuple[SpanRun, ...]:
    """Return the runs that the joined spans of a whole capture make.

    Parameters
    ----------
    spans : tuple of Span
        Spans of the whole capture.
    shortest : float
        The shortest run. [1]

    Returns
    -------
    tuple of SpanRun
        They cover the capture without gap; neighbours differ in state.
    """
    if len(spans) > 1 and spans[0].code == NO_WORD:
        spans = (_with_silent(spans[1], spans[0]), *spans[2:])
    settled: list[Span] = []
    group: list[Span] = []
    for span in spans:
        if _loose(span, shortest):
            group.append(span)
            continue
        if group:
            settled.append(_settled(group, settled[-1].code if settled else span.code, shortest))
            group = []
        settled.append(span)
    if group:
        settled.append(_settled(group, settled[-1].code if settled else None, shortest))
    runs: list[Span] = []
    for span in settled:
        if runs and runs[-1].code == span.code:
            runs[-1] = _with(runs[-1], span, span.code)
        else:
            runs.append(span)
    return tuple(_run(span) for span in runs)


def _settled(group: list[Span], neighbour: int | None, shortest: float) -> Span:
    """Return the span of stretches none of which lasts as long as a run, in the state that stands for them."""
    whole = group[0]
    for span in group[1:]:
        whole = _with(whole, span, MIXED)
    if whole.samples < shortest and neighbour is not None:
        return replace(whole, code=neighbour)
    code = max(sorted(whole.words), key=lambda key: whole.words[key].share, default=UNDEFINED)
    stands = code in whole.words and whole.words[code].share >= MAJORITY * whole.samples
    return replace(whole, code=code if stands else UNDEFINED)


def _run(span: Span) -> SpanRun:
    code = span.code if span.code >= 0 else UNDEFINED
    return _run_in(span, code, (code,))


def _run_in(span: Span, code: int, codes: tuple[int, ...]) -> SpanRun:
    others = [word.sums for key, word in span.words.items() if key not in codes]
    return SpanRun(
        state=STATES[code],
        first=span.first,
        stop=span.stop,
        cycles=span.cycles,
        sums=interleaved([span.words[key].sums for key in codes if key in span.words]),
        other_time=sum(sums.cycle_time + sums.block_time for sums in others),
        words=span.words,
    )


def runs_without_flicker(runs: Sequence[SpanRun], plan: Plan) -> tuple[SpanRun, ...]:
    """Join runs that are one level at the edge of a window, as :func:`coldpin.pilot.flicker.without_flicker` does.

    Parameters
    ----------
    runs : sequence of SpanRun
        The runs of a whole capture.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    tuple of SpanRun
        They cover the capture without gap.
    """
    spans = [
        Span(first=run.first, stop=run.stop, code=STATES.index(run.state), cycles=run.cycles, words=run.words)
        for run in runs
    ]
    stretches = [
        Stretch(
            code=span.code,
            samples=span.samples,
            shown={code: _shown(word) for code, word in span.words.items()},
        )
        for span in spans
    ]
    found = []
    for one in settle(stretches, spread=plan.scale.spread, lasting=LASTING / plan.scale.interval):
        whole = spans[one.first]
        for span in spans[one.first + 1 : one.stop]:
            whole = _with(whole, span, one.code)
        found.append(_run_in(whole, one.code, one.codes))
    return tuple(found)


def _shown(word: Word) -> Shown:
    sums = word.sums
    high = low = math.nan
    if sums.cycle_time > sums.block_time:
        high, low = _mean(sums.high), _mean(sums.low)
    elif sums.blocks and sums.steady == sums.blocks:
        high = _mean(sums.rest)
    return Shown(samples=word.share, high=high, low=low)


def _mean(sums: LevelSums) -> float:
    if sums.kept:
        return sums.total / (sums.kept * VOLT)
    return sums.early_total / (sums.early * VOLT) if sums.early else math.nan


def spans_of(table: Table, page: int, plan: Plan) -> tuple[Span, ...]:
    """Return the spans of one page.

    Parameters
    ----------
    table : Table
        What begins in the page.
    page : int
        Its number.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    tuple of Span
        They cover, without gap, what begins in the page.
    """
    cycles, blocks, singles = table.cycles, table.blocks, table.singles
    first = np.concatenate((cycles["rise"] + 1, blocks["first"], singles["first"]))
    stop = np.concatenate((cycles["end"] + 1, blocks["stop"], singles["stop"]))
    code = np.concatenate((cycle_codes(cycles, plan), block_codes(blocks, plan), np.full(singles.size, NO_WORD)))
    kind = np.repeat([0, 1, 2], [cycles.size, blocks.size, singles.size])
    order = np.argsort(first, kind="stable")
    first, stop, code, kind = first[order], stop[order], code[order], kind[order]
    at_cycle = np.cumsum(kind == 0) - (kind == 0)
    at_block = np.cumsum(kind == 1) - (kind == 1)
    bounds = [0, *(np.flatnonzero(np.diff(code)) + 1).tolist(), code.size] if code.size else []
    spans = []
    for a, b in pairwise(bounds):
        own_cycles = cycles[at_cycle[a] : at_cycle[b - 1] + (kind[b - 1] == 0)]
        own_blocks = blocks[at_block[a] : at_block[b - 1] + (kind[b - 1] == 1)]
        word = int(code[a])
        length = int(stop[b - 1] - first[a])
        spans.append(
            Span(
                first=int(first[a]),
                stop=int(stop[b - 1]),
                code=word,
                cycles=own_cycles.size,
                words={}
                if word == NO_WORD
                else {word: Word(share=length, sums=sums_of(own_cycles, own_blocks, page // plan.batch, plan))},
            )
        )
    return tuple(spans)


def cycle_codes(cycles: Rows, plan: Plan) -> Indices:
    """Return what each cycle says.

    Parameters
    ----------
    cycles : NDArray
        Array of shape (c,) of `CYCLE`.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    NDArray[np.int64]
        Array of shape (c,): places in `STATES`, or `NO_WORD`.
    """
    return _told(classify_cycles(cycles["high"], cycles["low"], plan.windows), plan)


def block_codes(blocks: Rows, plan: Plan) -> Indices:
    """Return what each steady block says.

    Parameters
    ----------
    blocks : NDArray
        Array of shape (b,) of `BLOCK`.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    NDArray[np.int64]
        Array of shape (b,): places in `STATES`, or `NO_WORD`.
    """
    nothing = np.empty(blocks.size)
    levels = Levels(
        level=blocks["level"],
        deviation=nothing,
        samples=blocks["samples"],
        lowest=nothing,
        highest=nothing,
        steady=(blocks["flags"] & STEADY) != 0,
        lower=blocks["lower"],
        upper=blocks["upper"],
    )
    settled = (blocks["flags"] & SETTLED) != 0
    table = SteadyTable(first=blocks["first"], stop=blocks["stop"], levels=levels, settled=settled)
    return _told(classify_blocks(table, plan.windows), plan)


def _told(codes: Indices, plan: Plan) -> Indices:
    if plan.scale.noise <= SPREAD_MOST:
        return codes
    # noise wider than a window: where a few samples happen to agree is no level
    return np.where(codes == NO_WORD, codes, UNDEFINED)


def by_page(table: Table, pages: range, plan: Plan) -> Iterator[Table]:
    """Part what begins in some pages by the page it begins in.

    Parameters
    ----------
    table : Table
        What begins in the pages.
    pages : range
        Their numbers.
    plan : Plan
        The plan of the capture.

    Yields
    ------
    Table
        What begins in each page.
    """
    bounds = np.arange(pages.start, pages.stop + 1) * plan.page
    cycles, blocks, singles, glitches = (
        np.searchsorted(first, bounds)
        for first in (table.cycles["rise"] + 1, table.blocks["first"], table.singles["first"], table.glitches["index"])
    )
    for at in range(len(pages)):
        yield Table(
            cycles=table.cycles[cycles[at] : cycles[at + 1]],
            blocks=table.blocks[blocks[at] : blocks[at + 1]],
            singles=table.singles[singles[at] : singles[at + 1]],
            glitches=table.glitches[glitches[at] : glitches[at + 1]],
        )


def spans_of_pages(table: Table, pages: range, plan: Plan) -> Iterator[Span]:
    """Return the spans of some pages.

    Parameters
    ----------
    table : Table
        What begins in the pages.
    pages : range
        Their numbers.
    plan : Plan
        The plan of the capture.

    Yields
    ------
    Span
        Spans in order of time.
    """
    for page, own in zip(pages, by_page(table, pages, plan), strict=True):
        yield from spans_of(own, page, plan)
