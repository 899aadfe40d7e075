"""A part of a capture as a value that joins to its neighbour: what is finished as spans, the ends as they are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coldpin.pilot.stream.counts import Counts
from coldpin.pilot.stream.engine import SPECIFICATION, Engine
from coldpin.pilot.stream.glitch_sums import GlitchSums, glitch_sums
from coldpin.pilot.stream.plan import Plan
from coldpin.pilot.stream.spans import Span, extend_spans, joined_spans


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """Samples ``first:stop`` of a capture, read as far as they can be without their neighbours.

    ``pages`` are finished: ``spans`` and ``glitches`` hold what begins in them. ``head`` and
    ``tail`` are the counts at either end that a neighbour will need, a page and twice the reach at most; where no page
    is finished, ``head`` is all there is.
    """

    plan: Plan
    first: int
    stop: int
    pages: range
    spans: tuple[Span, ...]
    glitches: GlitchSums
    head: Counts
    tail: Counts


def part_of(counts: Counts, first: int, plan: Plan, engine: Engine = SPECIFICATION) -> Part:
    """Read a part of a capture.

    Parameters
    ----------
    counts : NDArray
        Array of shape (n,) of int16 or int32.
    first : int
        Place of the first count in the capture. [1]
    plan : Plan
        The plan of the capture.
    engine : Engine
        Who does the work.

    Returns
    -------
    Part
        The part.
    """
    stop = first + counts.size
    pages = _finished(first, stop, plan)
    if not pages:
        return _unread(counts, first, plan)
    return _read(counts, first, pages, plan, engine)


def _unread(counts: Counts, first: int, plan: Plan) -> Part:
    return Part(
        plan=plan,
        first=first,
        stop=first + counts.size,
        pages=range(0),
        spans=(),
        glitches=GlitchSums(),
        head=counts.copy(),
        tail=counts[:0],
    )


def _read(counts: Counts, first: int, pages: range, plan: Plan, engine: Engine) -> Part:
    spans: list[Span] = []
    glitches = read_pages(counts, first, pages, plan, spans, engine)
    head = max(0, pages.start * plan.page + plan.reach - first) if pages.start else 0
    tail = max(0, pages.stop * plan.page - plan.reach - first) if pages.stop < plan.pages else counts.size
    return Part(
        plan=plan,
        first=first,
        stop=first + counts.size,
        pages=pages,
        spans=tuple(spans),
        glitches=glitches,
        # copies: what the part was read from may be used again
        head=counts[:head].copy(),
        tail=counts[tail:].copy(),
    )


def read_pages(
    counts: Counts, first: int, pages: range, plan: Plan, spans: list[Span], engine: Engine = SPECIFICATION
) -> GlitchSums:
    """Read some pages and join their spans to those before.

    Parameters
    ----------
    counts : NDArray
        Array of shape (n,) of int16 or int32: what the pages need (:meth:`Plan.window`), or more.
    first : int
        Place of the first count in the capture. [1]
    pages : range
        Numbers of the pages.
    plan : Plan
        The plan of the capture.
    spans : list of Span
        The joined spans of the pages before, which are extended.
    engine : Engine
        Who does the work.

    Returns
    -------
    GlitchSums
        The glitches of these pages.
    """
    if not pages:
        return GlitchSums()
    begin, end = plan.window(pages.start, pages.stop)
    low, high = pages.start * plan.page, min(plan.samples, pages.stop * plan.page)
    table = engine.take_apart(counts[begin - first : end - first], begin, low, high, plan)
    extend_spans(spans, engine.spans_of_pages(table, pages, plan), plan.shortest_run)
    return glitch_sums(table.glitches)


def _finished(first: int, stop: int, plan: Plan) -> range:
    """Return the pages that can be finished with what lies between two samples."""
    begin = 0 if first == 0 else -(-(first + plan.reach) // plan.page)
    end = plan.pages if stop == plan.samples else (stop - plan.reach) // plan.page
    return range(begin, max(begin, end))


def join(one: Part, other: Part, engine: Engine = SPECIFICATION) -> Part:
    """Join two neighbouring parts of one capture.

    ``join(part_of(a), part_of(b))`` is what reading a and b in one gives: the pages between the finished ones are read
    from the tail of the first and the head of the second.

    Parameters
    ----------
    one, other : Part
        The parts; the second begins where the first ends.
    engine : Engine
        Who does the work.

    Returns
    -------
    Part
        The part that both make.

    Raises
    ------
    ValueError
        They do not follow each other, or belong to different captures.
    """
    plan = one.plan
    if one.stop != other.first or plan is not other.plan:
        raise ValueError(f"a part that ends at sample {one.stop} cannot be joined to one from sample {other.first} on")
    before = one.tail if one.pages else one.head
    seam = np.concatenate((before, other.head))
    first = one.stop - before.size
    between = _finished(one.first, other.stop, plan)
    if not between:
        return _unread(seam, first, plan)
    middle = _read(
        seam,
        first,
        range(
            one.pages.stop if one.pages else between.start,
            other.pages.start if other.pages else between.stop,
        ),
        plan,
        engine,
    )
    return Part(
        plan=plan,
        first=one.first,
        stop=other.stop,
        pages=between,
        spans=joined_spans((*one.spans, *middle.spans, *other.spans), plan.shortest_run),
        glitches=one.glitches.plus(middle.glitches).plus(other.glitches),
        head=one.head if one.pages else middle.head,
        tail=other.tail if other.pages else middle.tail,
    )
