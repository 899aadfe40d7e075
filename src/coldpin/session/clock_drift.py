"""Clocks that drift: which of the marks of a clock are which events of a log, and the straight line through them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity import Component, assemble, rectangular
from coldpin.quantity.linear import components_of
from coldpin.records.session import Bracket, ClockOffset, EventMark, MarkKind

DRIFT_MOST = 1e-4
"""Ours, common practice without a published source: an ordinary quartz clock runs wrong by no more than about this part
of the time, which is nine seconds in a day. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A mark by another clock, and the two rows between which the log shows its event. [s]"""

    mark: EventMark
    place: Bracket

    @property
    def middle_s(self) -> float:
        """The middle between the rows. [s]"""
        return 0.5 * (self.place[0] + self.place[1])

    @property
    def half_s(self) -> float:
        """Half of what lies between the rows. [s]"""
        return 0.5 * (self.place[1] - self.place[0])


def ways_to_see(
    marks: Sequence[EventMark], places: Callable[[MarkKind], Sequence[Bracket]]
) -> tuple[tuple[Seen, ...], ...]:
    """Say which events of a log the marks of one clock may be, by the times that lie between them.

    Parameters
    ----------
    marks : sequence of EventMark
        Marks by one clock of events that a log shows, each with an uncertainty.
    places : callable
        Tells by the kind of an event where the log shows it, in order. [s]

    Returns
    -------
    tuple of tuple of Seen
        Each way in which all marks fit, in their order; two at most, which is enough to know that there is more than
        one.

    Examples
    --------
    >>> from coldpin.quantity import Quantity
    >>> off = EventMark(kind=MarkKind.BREAKER_OFF, at_s=Quantity(0.0, 0.5, "s"), clock="watch")
    >>> on = EventMark(kind=MarkKind.BREAKER_ON, at_s=Quantity(60.0, 0.5, "s"), clock="watch")
    >>> shown = {off.kind: [(99.0, 100.0), (499.0, 500.0)], on.kind: [(129.0, 130.0), (559.0, 560.0)]}
    >>> [[seen.place for seen in way] for way in ways_to_see([off, on], shown.__getitem__)]
    [[(499.0, 500.0), (559.0, 560.0)]]
    """
    first, *others = marks
    shown = [np.asarray(places(mark.kind), np.float64).reshape(-1, 2) for mark in others]
    return tuple(
        islice(
            (
                tuple(Seen(mark=mark, place=place) for mark, place in zip(marks, (begin, *chosen), strict=True))
                for begin in places(first.kind)
                for chosen in product(
                    *(_met(mark, there, first, begin) for mark, there in zip(others, shown, strict=True))
                )
            ),
            2,
        )
    )


def drifting(seen: Sequence[Seen]) -> ClockOffset | None:
    """Return offset and drift of a clock by several marks that the log shows too.

    Parameters
    ----------
    seen : sequence of Seen
        Marks of one clock, how surely each was set known, with where the log shows them.

    Returns
    -------
    ClockOffset
        The straight line of least squares, each mark weighed by its own uncertainty and the rows'. None where the
        marks lie too close to tell a drift from that of any clock, or the drift is one that no real clock has.

    Examples
    --------
    >>> from coldpin.quantity import Quantity
    >>> marks = [EventMark(kind=MarkKind.BREAKER_OFF, at_s=Quantity(at, 0.3, "s"), clock="watch") for at in (0.0, 2e4)]
    >>> places = [(99.5, 100.5), (20101.1, 20102.1)]
    >>> told = drifting([Seen(mark=mark, place=place) for mark, place in zip(marks, places)])
    >>> round(told.offset_s.value, 6), told.at_own_s, round(1e6 * told.drift.value), round(1e6 * told.drift.u)
    (100.8, 10000.0, 80, 29)

    Sources
    -------
    JCGM 100:2008 clause 5 for the uncertainty (standing: memory, recomputed); least squares of a straight line.
    """
    times = np.array([one.mark.at_s.value for one in seen])
    behind = np.array([one.middle_s for one in seen]) - times
    weights = np.array([1.0 / max(_variance(one), _LEAST) for one in seen])
    middle = float(np.sum(weights * times) / np.sum(weights))
    spread = float(np.sum(weights * (times - middle) ** 2))
    if spread <= 0.0:
        return None
    shares, slopes = weights / np.sum(weights), weights * (times - middle) / spread
    clock = seen[0].mark.clock
    parts = [_parts(one, f"offset of the clock '{clock}', mark {place}") for place, one in enumerate(seen, start=1)]
    drift = assemble(float(np.sum(slopes * behind)), "1", _weighed(parts, slopes))
    expanded = drift.expanded
    if expanded is None or expanded > DRIFT_MOST or abs(drift.value) - expanded > DRIFT_MOST:
        return None
    return ClockOffset(
        clock=clock,
        mark=seen[0].mark.kind,
        offset_s=assemble(float(np.sum(shares * behind)), "s", _weighed(parts, shares)),
        drift=drift,
        at_own_s=middle,
    )


_LEAST = 1e-12
"""A variance that stands in for none, where mark and rows are exact. [s²]"""


def _met(mark: EventMark, places: NDArray[np.float64], first: EventMark, place: Bracket) -> list[Bracket]:
    """Return the places at which a mark may lie if another lies at its own, by what is known of both and of clocks."""
    later = mark.at_s.value - first.at_s.value
    unsure = (mark.at_s.expanded or 0.0) + (first.at_s.expanded or 0.0) + DRIFT_MOST * abs(later)
    meets = (places[:, 0] - place[1] <= later + unsure) & (places[:, 1] - place[0] >= later - unsure)
    return [(low, high) for low, high in places[meets].tolist()]


def _variance(seen: Seen) -> float:
    return (seen.mark.at_s.u or 0.0) ** 2 + seen.half_s**2 / 3


def _parts(seen: Seen, name: str) -> list[Component]:
    """Return what makes the time between a mark and its event in the log unsure: the rows, and the hand. [s]"""
    rows = rectangular(seen.middle_s, seen.half_s, "s", id=f"{name}: rows", label=f"{name}: between two rows")
    hand = components_of(seen.mark.at_s, "hand")
    return [
        *rows.components,
        *(
            replace(part, id=f"{name}: {part.id}", label=f"{name}: hand", contribution=-part.contribution)
            for part in hand
        ),
    ]


def _weighed(parts: Sequence[Sequence[Component]], by: NDArray[np.float64]) -> list[Component]:
    return [
        replace(part, contribution=part.contribution * float(share))
        for each, share in zip(parts, by, strict=True)
        for part in each
    ]
