"""Events marked beside a log, and the offset between the clock of the mark and that of the log."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate, pairwise

from coldpin.errors import InputError
from coldpin.quantity import Quantity, add_components, assemble, rectangular
from coldpin.quantity.linear import components_of
from coldpin.records.session import Bracket, ClockOffset, EventMark, MarkKind, PhaseKind, SessionPhase, SupplyOutage

SEEN_IN_LOG = (MarkKind.BREAKER_OFF, MarkKind.BREAKER_ON)
"""Events that a log of power or voltage shows at the moment they happen.

An unlock is not among them: nothing moves in the supply until the car acts on it, sooner or later. Neither is a lowered
offer, nor a stop asked for at car or unit: the current follows, after a time that is what one wants to know."""


def seen_in_log(kind: MarkKind, phases: Sequence[SessionPhase], outages: Sequence[SupplyOutage]) -> tuple[Bracket, ...]:
    """Return where a log shows an event, each time between two rows.

    Parameters
    ----------
    kind : MarkKind
        "breaker off" or "breaker on".
    phases : sequence of SessionPhase
        The phases of the log.
    outages : sequence of SupplyOutage
        Its losses of the supply.

    Returns
    -------
    tuple of tuple of float
        Beginnings or ends of outages that the voltage shows, but for those at the first or last row; where there are no
        outages, where a draw ended or began from one row to the next, and where one lies within a gap: a meter behind
        the breaker leaves one. [s]

    Raises
    ------
    InputError
        The event is not visible in such a log.

    Examples
    --------
    >>> seen_in_log(MarkKind.BREAKER_OFF, (), ())
    ()
    """
    if kind not in SEEN_IN_LOG:
        raise InputError(
            f"clocks cannot be aligned by '{kind.value}': it is not visible in a log of power at the moment it "
            f"happens; mark one of {', '.join(seen.value for seen in SEEN_IN_LOG)} in both clocks"
        )
    off = kind is MarkKind.BREAKER_OFF
    if outages:
        # a loss that was there at the first row began before it, and one that lasts to the last row has not ended
        first, last = (phases[0].start_s, phases[-1].end_s) if phases else (-math.inf, math.inf)
        return tuple(
            outage.start_bracket_s if off else outage.end_bracket_s
            for outage in outages
            if (outage.start_s > first if off else outage.end_s < last)
        )
    resting = (PhaseKind.PAUSED, PhaseKind.ENDED) if off else (PhaseKind.STEADY, PhaseKind.REDUCED, PhaseKind.RAMP)
    from_rest = (PhaseKind.WAITING, PhaseKind.PAUSED)
    found = []
    for before, after in pairwise(phases):
        leaves = before.kind not in from_rest if off else before.kind in from_rest
        if leaves and after.kind in resting and before.kind is not PhaseKind.NOT_RECORDED:
            found.append(after.start_bracket_s)
    if found:
        # an end of the draw beside a gap is one of several moments it may have been
        found += [(phase.start_s, phase.end_s) for phase in phases if phase.kind is PhaseKind.NOT_RECORDED]
    return tuple(sorted(found))


def contradicted(
    marks: Iterable[EventMark],
    offsets: Iterable[ClockOffset],
    phases: Sequence[SessionPhase],
    outages: Sequence[SupplyOutage],
) -> dict[str, str]:
    """Say which clocks put a breaker where the voltage of the log shows none.

    Parameters
    ----------
    marks : iterable of EventMark
        By whatever clocks.
    offsets : iterable of ClockOffset
        What is taken of these.
    phases : sequence of SessionPhase
        The phases of the log.
    outages : sequence of SupplyOutage
        Its losses of the supply, as the voltage shows them.

    Returns
    -------
    dict
        By clock what speaks against its offset; without the clocks of which nothing does.
    """
    known = {offset.clock: offset for offset in offsets}
    found: dict[str, str] = {}
    for mark in marks:
        offset = known.get(mark.clock)
        if offset is None or mark.kind not in SEEN_IN_LOG or not outages:
            continue
        gaps = [(phase.start_s, phase.end_s) for phase in phases if phase.kind is PhaseKind.NOT_RECORDED]
        unseen = [(-math.inf, phases[0].start_s), *gaps, (phases[-1].end_s, math.inf)]
        against = speaks_against(mark, offset, seen_in_log(mark.kind, phases, outages), unseen)
        if against:
            found.setdefault(mark.clock, against)
    return found


def speaks_against(
    mark: EventMark, offset: ClockOffset, seen: Sequence[Bracket], unseen: Sequence[Bracket] = ()
) -> str:
    """Say that an offset puts a mark where the log does not show its event.

    Parameters
    ----------
    mark : EventMark
        A mark by the clock of the offset.
    offset : ClockOffset
        What is taken of the clock.
    seen : sequence of tuple of float
        Where the log shows such an event. [s]
    unseen : sequence of tuple of float
        Where it would not show one. [s]

    Returns
    -------
    str
        Half a sentence; empty where the mark may lie at one of these.
    """
    (moved,) = aligned([mark], [offset])
    early, late = (moved.at_s.value if edge is None else edge for edge in (moved.at_s.low, moved.at_s.high))
    if any(begin <= late and early <= end for begin, end in (*seen, *unseen)):
        return ""
    places = ", ".join(f"{begin:.6g} s to {end:.6g} s" for begin, end in seen)
    return (
        f"by the offset taken for the clock '{mark.clock}', '{mark.kind.value}' was at {moved.at_s.value:.6g} s of the "
        f"log, which shows {f'it at {places}' if places else 'none'}"
    )


def offset_of(mark: EventMark, seen: Sequence[Bracket]) -> ClockOffset:
    """Return how far the clock of a mark is behind that of the log, from an event that both saw.

    Parameters
    ----------
    mark : EventMark
        The event by the other clock.
    seen : sequence of tuple of float
        Where the log shows such an event: exactly one. [s]

    Returns
    -------
    ClockOffset
        The middle of the bracket less the time of the mark; half of the bracket is in its uncertainty beside that of
        the mark.

    Raises
    ------
    InputError
        The log shows none, or more than one.

    Examples
    --------
    >>> mark = EventMark(kind=MarkKind.BREAKER_OFF, at_s=Quantity(100.0, 0.5, "s"), clock="watch")
    >>> offset = offset_of(mark, [(112.0, 113.0)]).offset_s
    >>> offset.value, round(offset.u, 3)
    (12.5, 0.577)
    """
    if len(seen) != 1:
        places = ", ".join(f"{low:g} s to {high:g} s" for low, high in seen)
        shown = f"the log shows it {len(seen)} times ({places}), one is needed; state the offset, or cut the log"
        raise InputError(
            f"the clock '{mark.clock}' cannot be aligned by '{mark.kind.value}': "
            f"{shown if seen else 'the log does not show it; mark one that it shows, or state the offset'}"
        )
    low, high = seen[0]
    middle = 0.5 * (low + high)
    name = f"offset of the clock '{mark.clock}'"
    bracket = rectangular(middle, 0.5 * (high - low), "s", id=f"{name}: rows", label=f"{name}: between two rows")
    if mark.at_s.u is None:
        value = middle - mark.at_s.value
        return ClockOffset(
            clock=mark.clock,
            mark=mark.kind,
            offset_s=Quantity(value, None, "s", why="how surely the mark was set is not stated"),
        )
    own = tuple(
        replace(part, id=f"{name}: {part.id}", label=f"{name}: mark", contribution=-part.contribution)
        for part in components_of(mark.at_s, "mark")
    )
    return ClockOffset(
        clock=mark.clock,
        mark=mark.kind,
        offset_s=assemble(middle - mark.at_s.value, "s", (*bracket.components, *own)),
    )


def aligned(
    marks: Iterable[EventMark], offsets: Iterable[ClockOffset], why: Mapping[str, str] | None = None
) -> tuple[EventMark, ...]:
    """Return marks by the clock of the log.

    Parameters
    ----------
    marks : iterable of EventMark
        By whatever clocks.
    offsets : iterable of ClockOffset
        What is known of these.
    why : mapping of str to str, optional
        By clock why it has no offset; that none is known where left out.

    Returns
    -------
    tuple of EventMark
        In order of time; behind them those of a clock without an offset, which are not placed: each keeps its clock and
        time, without an uncertainty, and says why.

    Examples
    --------
    >>> mark = EventMark(kind=MarkKind.UNLOCK, at_s=Quantity(200.0, 0.5, "s"), clock="watch")
    >>> offset = ClockOffset(clock="watch", mark=MarkKind.BREAKER_OFF, offset_s=Quantity(12.5, 0.6, "s"))
    >>> [moved] = aligned([mark], [offset])
    >>> moved.at_s.value, round(moved.at_s.u, 2), moved.clock
    (212.5, 0.78, 'log')
    >>> [nowhere] = aligned([mark], [])
    >>> nowhere.at_s.value, nowhere.at_s.u, nowhere.clock
    (200.0, None, 'watch')
    """
    known = {offset.clock: offset for offset in offsets}
    found = [mark if mark.clock == LOG_CLOCK else _placed(mark, known.get(mark.clock), why or {}) for mark in marks]
    return tuple(sorted(found, key=lambda mark: (mark.not_placed != "", mark.not_placed, mark.at_s.value)))


def offset_at(offset: ClockOffset, own_s: float) -> Quantity:
    """Return how far a clock is behind that of the log at a time of its own.

    Parameters
    ----------
    offset : ClockOffset
        What is known of it.
    own_s : float
        The time. [s]

    Returns
    -------
    Quantity
        The offset; where the clock drifts with what that comes to since it was so, the less sure the longer. [s]

    Examples
    --------
    >>> runs = Quantity(1e-4, 1e-5, "1")
    >>> aligned = ClockOffset(
    ...     clock="watch", mark=MarkKind.OTHER, offset_s=Quantity(12.5, 0.3, "s"), drift=runs, at_own_s=1e4
    ... )
    >>> later = offset_at(aligned, 5e4)
    >>> later.value, round(later.u, 6)
    (16.5, 0.5)
    """
    if offset.drift is None or offset.at_own_s is None:
        return offset.offset_s
    since = own_s - offset.at_own_s
    value = offset.offset_s.value + offset.drift.value * since
    if offset.offset_s.u is None or offset.drift.u is None:
        return Quantity(value, None, "s", why=offset.offset_s.why or offset.drift.why)
    name = f"of the clock '{offset.clock}'"
    grown = (
        replace(part, contribution=part.contribution * since) for part in components_of(offset.drift, f"drift {name}")
    )
    return assemble(value, "s", (*components_of(offset.offset_s, f"offset {name}"), *grown))


def not_aligned(clock: str) -> str:
    """Say that nothing is known of a clock, and what to do.

    Parameters
    ----------
    clock : str
        Its name.

    Returns
    -------
    str
        Half a sentence.

    Examples
    --------
    >>> not_aligned("watch").partition(":")[0]
    "the clock 'watch' is not aligned with that of the log"
    """
    return (
        f"the clock '{clock}' is not aligned with that of the log: mark an event that both see "
        f"({', '.join(kind.value for kind in SEEN_IN_LOG)}) or state the offset"
    )


LOG_CLOCK = "log"
"""The name of the log's own clock."""


def running_times(shown_s: float, steps: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """Return when a clock that was set on its way showed a time.

    Parameters
    ----------
    shown_s : float
        What it showed, in seconds from what it showed at the first row. [s]
    steps : sequence of tuple of float
        When it was set, in seconds it ran from the first row, and by how much it was put forward. [s], [s]

    Returns
    -------
    tuple of float
        Seconds it had run from the first row: one as a rule, none where the time was skipped, two where it was put
        back and showed the time twice. [s]

    Examples
    --------
    >>> running_times(5400.0, [(1800.0, 3600.0)]), running_times(3000.0, [(1800.0, 3600.0)])
    ((1800.0,), ())
    >>> running_times(3000.0, [(3600.0, -3600.0)])
    (3000.0, 6600.0)
    """
    begins = [-math.inf, *(at for at, _ in steps)]
    ends = [*(at for at, _ in steps), math.inf]
    put_forward = [0.0, *accumulate(seconds for _, seconds in steps)]
    runs = zip(begins, ends, put_forward, strict=True)
    return tuple(shown_s - by for begin, end, by in runs if begin <= shown_s - by < end)


def _placed(mark: EventMark, offset: ClockOffset | None, why: Mapping[str, str]) -> EventMark:
    if offset is not None:
        return replace(mark, at_s=_moved(mark, offset_at(offset, mark.at_s.value)), clock=LOG_CLOCK)
    reason = why.get(mark.clock) or not_aligned(mark.clock)
    return replace(mark, at_s=Quantity(mark.at_s.value, None, "s", why=reason), not_placed=reason)


def _moved(mark: EventMark, offset: Quantity) -> Quantity:
    value = mark.at_s.value + offset.value
    if mark.at_s.u is None or offset.u is None:
        return Quantity(value, None, "s", why=mark.at_s.why or offset.why)
    own = components_of(mark.at_s, f"mark '{mark.kind.value}' at {mark.at_s.value:g} s")
    return add_components(assemble(value, "s", own), components_of(offset, f"offset of the clock '{mark.clock}'"))
