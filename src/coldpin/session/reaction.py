"""What follows an event: an unlock, a lowered offer, a stop, a loss of the supply and its return."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity import Component, Quantity, assemble, format_figure, format_value
from coldpin.quantity.linear import components_of
from coldpin.quantity.model import SQRT3, Shape
from coldpin.records.log import LogQuantity
from coldpin.records.session import Bracket, EventMark, MarkKind, PhaseKind, Reaction, SessionPhase, SupplyOutage
from coldpin.session.charge_log import BY_FACTOR, LARGER, LOGGED, ChargeLog
from coldpin.session.levels import LASTING
from coldpin.session.meter import Meter, mean_reading
from coldpin.session.outages import span_of
from coldpin.session.phases import RESTS_A

DRAWN = (PhaseKind.RAMP, PhaseKind.STEADY, PhaseKind.REDUCED, PhaseKind.VARYING)
LESS = (PhaseKind.REDUCED, PhaseKind.PAUSED, PhaseKind.ENDED)
STOPS = (MarkKind.STOPPED_AT_CAR, MarkKind.STOPPED_AT_UNIT, MarkKind.BREAKER_OFF)
ACTS = (*STOPS, MarkKind.BREAKER_ON, MarkKind.UNLOCK, MarkKind.OFFER_LOWERED, MarkKind.OFFER_RAISED)
"""Marks that do something to a charge: what comes after the next, or after a lost supply, answers no earlier one."""

RELEASES = (MarkKind.LOCK_RELEASED, MarkKind.PLUG_PULLED)

BREAKER = (MarkKind.BREAKER_OFF, MarkKind.BREAKER_ON)
"""What the voltage of a log shows by itself: where it was logged, such a mark tells nothing more."""

ASKED = (MarkKind.UNLOCK, *STOPS, *RELEASES)
"""Marks of which it is told what followed them, beside an offer that was lowered to a current."""


def reactions_to(
    log: ChargeLog,
    phases: Sequence[SessionPhase],
    outages: Sequence[SupplyOutage],
    marks: Sequence[EventMark],
    meter: Meter,
) -> tuple[Reaction, ...]:
    """Return what followed each event, in order of time.

    Parameters
    ----------
    log : ChargeLog
        The rows.
    phases : sequence of SessionPhase
        Its phases.
    outages : sequence of SupplyOutage
        Its losses of the supply; the return of each is an event.
    marks : sequence of EventMark
        By the clock of the log, in order; those that are not placed by their own.
    meter : Meter
        The meter.

    Returns
    -------
    tuple of Reaction
        One for each mark that asks for something or releases the coupler, and one for each return of the supply. What
        followed a mark that is not placed is not known; nor how long a draw took to answer another mark, where one
        that is not placed may lie between.
    """
    end = float(log.time_s[-1])
    nowhere = [mark for mark in marks if mark.not_placed]
    marks = [mark for mark in marks if not mark.not_placed]
    found: list[Reaction] = []
    acts = [mark for mark in marks if mark.kind in ACTS]
    unseen = [mark for mark in nowhere if mark.kind in ACTS and (log.voltage_v is None or mark.kind not in BREAKER)]
    lost = [outage.start_bracket_s[0] for outage in outages]
    for mark in marks:
        nexts = [_earliest(act) for act in acts if act.at_s.value > mark.at_s.value]
        until = min([*nexts, *(at for at in lost if at > mark.at_s.value)], default=end)
        if mark.kind is MarkKind.UNLOCK or mark.kind in STOPS:
            found.append(_beside(_answer(log, mark, phases, until), unseen))
        elif _lowered(mark):
            followed = offer_followed(log, phases, mark, until, meter)
            found.append(_beside(followed, [*(act for act in acts if act is not mark and act.at_s.u is None), *unseen]))
        elif mark.kind in RELEASES:
            found.append(_release(log, phases, mark, meter))
    found += _returns(outages, phases, end)
    return (
        *sorted(found, key=lambda reaction: reaction.at_s.value),
        *(_nowhere(mark) for mark in nowhere if mark.kind in ASKED or _lowered(mark)),
    )


def time_between(mark: Quantity, bracket: Bracket, label: str) -> Quantity:
    """Return the time from a moment to a change that lies between two rows.

    Parameters
    ----------
    mark : Quantity
        The moment. [s]
    bracket : tuple of float
        The rows. [s]
    label : str
        What the time is of, for the budget.

    Returns
    -------
    Quantity
        The middle of the bracket less the moment; without an uncertainty where that of the moment is not known. [s]

    Examples
    --------
    >>> between = time_between(Quantity(100.0, 0.5, "s"), (104.0, 106.0), "reaction")
    >>> between.value, round(between.u, 3)
    (5.0, 0.764)
    """
    low, high = bracket
    value = 0.5 * (low + high) - mark.value
    if mark.u is None:
        return Quantity(value, None, "s", why=mark.why or "how surely the mark was set is not stated")
    parts = [
        Component(id=part.id, label=part.label, contribution=-part.contribution, dof=part.dof, shape=part.shape)
        for part in components_of(mark, f"{label}: mark")
    ]
    if high > low:
        parts.append(
            Component(
                id=f"{label}: rows at {low:.12g} s and {high:.12g} s",
                label=f"{label}: between two rows",
                contribution=0.5 * (high - low) / SQRT3,
                shape=Shape.RECTANGULAR,
            )
        )
    return assemble(value, "s", parts)


def _phase_at(phases: Sequence[SessionPhase], at_s: float) -> SessionPhase | None:
    return next((phase for phase in phases if phase.start_s <= at_s < phase.end_s), None)


def _earliest(mark: EventMark) -> float:
    return mark.at_s.value if mark.at_s.low is None else mark.at_s.low


def _unrecorded_between(phases: Sequence[SessionPhase], first_s: float, last_s: float) -> SessionPhase | None:
    """Return the first gap of the log that shares a time with that between two moments."""
    gaps = (phase for phase in phases if phase.kind is PhaseKind.NOT_RECORDED)
    return next((gap for gap in gaps if gap.start_s < last_s and gap.end_s > first_s), None)


def _not_in_log(log: ChargeLog, phases: Sequence[SessionPhase], mark: EventMark) -> str:
    """Say why a log shows nothing of a moment: it may lie before its first row, after its last, or in a gap of it."""
    early, late = span_of(mark)
    first, last = float(log.time_s[0]), float(log.time_s[-1])
    before, behind = early < 2.0 * first - float(log.time_s[1]), late > 2.0 * last - float(log.time_s[-2])
    if before or behind or not first <= mark.at_s.value <= last:
        return f"the log runs from {first:g} s to {last:.6g} s, and the mark lies or may lie outside of it"
    gap = _unrecorded_between(phases, early, late)
    return "" if gap is None else f"nothing was recorded from {gap.start_s:.6g} s to {gap.end_s:.6g} s"


def _beside(reaction: Reaction, unplaced: Sequence[EventMark]) -> Reaction:
    """Leave the time without an uncertainty where an event lies nobody knows where: it may have come between."""
    if reaction.after_s is None or not unplaced:
        return reaction
    why = f"when '{unplaced[0].kind.value}' was, which may lie between, is not known"
    after = Quantity(reaction.after_s.value, None, "s", why=reaction.after_s.why or why)
    return replace(reaction, after_s=after, statement=f"{reaction.statement} That is not sure: {why}.")


def _lowered(mark: EventMark) -> bool:
    return mark.kind is MarkKind.OFFER_LOWERED and mark.offer_a is not None


def _nowhere(mark: EventMark) -> Reaction:
    """Return that nothing can be said of a mark that lies nobody knows where."""
    what = f"At '{mark.kind.value}' the current" if mark.kind in RELEASES else f"What followed '{mark.kind.value}'"
    return Reaction(
        mark=mark.kind, at_s=mark.at_s, statement=f"{what} is not known, for it is not placed: {mark.not_placed}."
    )


def _watched(mark: EventMark, until: float) -> Quantity:
    """Return for how long at least a mark was watched; nothing bounds it where the mark may lie anywhere."""
    watched = max(until - mark.at_s.value, 0.0)
    if mark.at_s.u is None or mark.at_s.high is None:
        return Quantity(watched, None, "s", why=mark.at_s.why or "how surely the mark was set is not stated")
    least = max(until - mark.at_s.high, 0.0)
    return Quantity(watched, None, "s", low=least, high=None, why="nothing had followed when the watch ended")


def _lasted(phase: SessionPhase, after: SessionPhase | None) -> Quantity:
    """Return how long a phase was held, each end within its bracket; at least so long where its end is unseen."""
    if after is None or after.kind is PhaseKind.NOT_RECORDED:
        least = max(phase.end_s - phase.start_bracket_s[1], 0.0)
        return Quantity(phase.duration_s, None, "s", low=least, high=None, why="its end was not recorded")
    half = [0.5 * (high - low) for low, high in (phase.start_bracket_s, phase.end_bracket_s)]
    u = math.hypot(*half) / SQRT3
    return Quantity(phase.duration_s, u, "s")


def _answer(log: ChargeLog, mark: EventMark, phases: Sequence[SessionPhase], until: float) -> Reaction:
    """Return the first lower level after a mark, or that none came until the next event."""
    before = _phase_at(phases, mark.at_s.value)
    bare = Reaction(
        mark=mark.kind,
        at_s=mark.at_s,
        current_before_a=before.current_a if before is not None else None,
        statement="",
    )
    place = _first_lower(phases, _earliest(mark), until)
    name = f"After '{mark.kind.value}'"
    unseen = _not_in_log(log, phases, mark) if mark.at_s.u is not None else ""
    if unseen and (place is None or before is None):
        return replace(bare, statement=f"{name}: what was drawn at that moment is not known: {unseen}.")
    if before is not None and before.kind not in DRAWN and place is None:
        return replace(bare, statement=f"{name}: nothing was drawn at that moment.")
    if place is None:
        gap = _unrecorded_between(phases, mark.at_s.value, until)
        watched = _watched(mark, until if gap is None else gap.start_s)
        then = "" if gap is None else ", until nothing was recorded"
        said = f"{name} the draw went on as before for the {format_value(_rounded(watched.value), 's')} watched{then}."
        return replace(bare, after_s=watched, statement=said)
    followed = phases[place]
    after = time_between(mark.at_s, followed.start_bracket_s, mark.kind.value)
    if _unrecorded_between(phases, mark.at_s.value, followed.start_bracket_s[0]) is not None:
        after = Quantity(
            after.value, None, "s", why="nothing was recorded for a time between, and it may have begun then"
        )
    nexts = phases[place + 1] if place + 1 < len(phases) else None
    lasted = None if followed.kind is PhaseKind.ENDED else _lasted(followed, nexts)
    return replace(
        bare,
        followed_by=followed.kind,
        after_s=after,
        lasted_s=lasted,
        current_after_a=followed.current_a,
        statement=f"{name} {_FOLLOWED[followed.kind]} {_passed(after, 'the mark')}{_held(lasted)}.",
    )


def _held(lasted: Quantity | None) -> str:
    if lasted is None:
        return ""
    least = "" if lasted.u is not None else "at least "
    return f" and stayed so for {least}{format_value(_rounded(lasted.value), 's')}"


def _first_lower(phases: Sequence[SessionPhase], from_s: float, until: float) -> int | None:
    """Return the first phase from a moment on in which less is drawn than in the level before it, or nothing."""
    level: SessionPhase | None = None
    for place, phase in enumerate(phases):
        if phase.kind in (*LESS, PhaseKind.SUPPLY_LOST) and from_s <= phase.start_bracket_s[1]:
            if phase.start_bracket_s[0] > until:
                return None
            # a level stays "reduced" while it climbs again, which answers nothing
            if phase.kind is not PhaseKind.REDUCED or level is None or _drawn(phase) < _drawn(level):
                return place
        if phase.kind in (PhaseKind.STEADY, PhaseKind.REDUCED):
            level = phase
    return None


def _drawn(phase: SessionPhase) -> float:
    return phase.power_w.value if math.isnan(phase.current_a.value) else phase.current_a.value


def _passed(after: Quantity, event: str) -> str:
    """Say how long after an event something was, or before it where two clocks put it there."""
    if after.value >= 0.0:
        return f"after {format_figure(after)}"
    low, high = (None if end is None else -end for end in (after.high, after.low))
    earlier = replace(after, value=-after.value, low=low, high=high, components=(), quantiles=())
    return f"by the clocks {format_figure(earlier)} before {event}"


_FOLLOWED = {
    PhaseKind.REDUCED: "the draw was reduced",
    PhaseKind.PAUSED: "the draw paused",
    PhaseKind.ENDED: "the draw ended",
    PhaseKind.SUPPLY_LOST: "the supply was lost",
}


def _rounded(seconds: float) -> float:
    return float(f"{seconds:.3g}")


def offer_followed(
    log: ChargeLog, phases: Sequence[SessionPhase], mark: EventMark, until: float, meter: Meter
) -> Reaction:
    """Return how long the car drew more than a lowered offer.

    Parameters
    ----------
    log : ChargeLog
        The rows.
    phases : sequence of SessionPhase
        Its phases.
    mark : EventMark
        The lowered offer, with its current.
    until : float
        The next event, or the end of the log. [s]
    meter : Meter
        The meter: what it cannot tell from the offer counts as following.

    Returns
    -------
    Reaction
        The change lies between the last row above the offer and the next. Where the accuracy of current or offer is
        not stated the time is told without an uncertainty, for rows above the offer may be noise.
    """
    assert mark.offer_a is not None, "an offer that was lowered has a current"
    unseen = _not_in_log(log, phases, mark) if mark.at_s.u is not None else ""
    before = _phase_at(phases, mark.at_s.value)
    bare = Reaction(
        mark=mark.kind,
        at_s=mark.at_s,
        current_before_a=before.current_a if before is not None else None,
        statement="After the offer was lowered nothing can be said of the current, which is not known.",
    )
    if log.current_a is None:
        return bare
    if unseen:
        return replace(bare, statement=f"How soon the lowered offer was followed is not known: {unseen}.")
    long_gap = next((gap for gap in _gaps_after(phases, mark.at_s.value) if gap.duration_s >= LASTING), None)
    until = until if long_gap is None else min(until, long_gap.start_s)
    first, end = (int(np.searchsorted(log.time_s, at, side="right")) for at in (mark.at_s.value, until))
    rows = log.current_a[first:end]
    if not rows.size:
        return replace(bare, statement="After the offer was lowered there is no row before the next event.")
    unsure, why = _cannot_tell(log, mark.offer_a, meter)
    above = np.flatnonzero(rows > mark.offer_a.value + unsure)
    after_phase = _phase_at(phases, float(log.time_s[min(end, log.time_s.size) - 1]))
    current = after_phase.current_a if after_phase is not None else None
    kept_from = _kept_from(log.time_s[first:end], above)
    asked = int(np.searchsorted(log.time_s, _earliest(mark), side="right")) - 1
    if not above.size and asked >= 0 and float(np.max(log.current_a[asked:first])) <= mark.offer_a.value + unsure:
        said = (
            f"When the offer was lowered to {format_value(mark.offer_a.value, 'A')} the car drew no more than that "
            "already: whether it follows was not seen."
        )
        return replace(bare, current_after_a=current, statement=said)
    if kept_from is None:
        watched = _placed(_watched(mark, min(until, float(log.time_s[end - 1]))), why)
        said = (
            f"After the offer was lowered to {format_value(mark.offer_a.value, 'A')} the car drew more than that for "
            f"all of the {format_value(_rounded(watched.value), 's')} watched."
        )
        return replace(bare, after_s=watched, current_after_a=current, statement=said)
    low = float(log.time_s[first + kept_from - 1]) if kept_from else mark.at_s.value
    after = _placed(time_between(mark.at_s, (low, float(log.time_s[first + kept_from])), mark.kind.value), why)
    again = float(log.time_s[first + above[-1]]) if above.size and above[-1] > kept_from else None
    more = "" if again is None else f", and more again later, last at {again:.6g} s of the log"
    return replace(
        bare,
        followed_by=after_phase.kind if after_phase is not None else None,
        after_s=after,
        current_after_a=current,
        statement=(
            f"After the offer was lowered to {format_value(mark.offer_a.value, 'A')} the car drew no more than that "
            f"{_passed(after, 'the mark')}{more}."
        ),
    )


def _gaps_after(phases: Sequence[SessionPhase], at_s: float) -> Iterator[SessionPhase]:
    return (phase for phase in phases if phase.kind is PhaseKind.NOT_RECORDED and phase.end_s > at_s)


def _kept_from(time_s: NDArray[np.float64], above: NDArray[np.intp]) -> int | None:
    """Return the first row from which on an offer is kept for as long as a level lasts, or to the end."""
    starts = [0, *(above + 1).tolist()]
    ends = [*above.tolist(), time_s.size]
    for start, end in zip(starts, ends, strict=True):
        held = float(time_s[min(end, time_s.size - 1)] - time_s[start]) if end > start else 0.0
        if end > start and (held >= LASTING or end == time_s.size):
            return int(start)
    return None


def _placed(time: Quantity, why: str) -> Quantity:
    """Return a time as it is, or without uncertainty and bounds where there is a reason."""
    return Quantity(time.value, None, time.unit, why=why) if why else time


def _cannot_tell(log: ChargeLog, offer: Quantity, meter: Meter) -> tuple[float, str]:
    """Return by how much a row may read above an offer that is kept, and why that is not all that is unsure."""
    step = log.current_step or 0.0
    stated = meter.components(LogQuantity.CURRENT, offer.value, label="offer")
    read = assemble(offer.value, "A", stated or ()).expanded or 0.0
    unsure = max(math.hypot(read, offer.expanded or 0.0), step)
    if log.current_from == BY_FACTOR:
        return unsure, "the current is power divided by voltage and power factor: one row of it tells too little"
    if log.current_from != LOGGED:
        return unsure, LARGER
    if stated is None:
        return unsure, meter.why(LogQuantity.CURRENT)
    return unsure, "" if offer.u is not None else offer.why or "how surely the offer is known is not stated"


def _release(log: ChargeLog, phases: Sequence[SessionPhase], mark: EventMark, meter: Meter) -> Reaction:
    """Return the largest current about a release; unsure where it fell within the time to which the mark is known."""
    bare = Reaction(mark=mark.kind, at_s=mark.at_s, statement=f"At '{mark.kind.value}' the current is not known.")
    if log.current_a is None or log.current_from != LOGGED:
        return bare
    low, high = mark.at_s.low, mark.at_s.high
    if mark.at_s.u is None or low is None or high is None:
        why = mark.at_s.why or "how surely the mark was set is not stated"
        return replace(bare, statement=f"At '{mark.kind.value}' the current is not known: {why}.")
    if unseen := _not_in_log(log, phases, mark):
        return replace(bare, statement=f"At '{mark.kind.value}' the current is not known: {unseen}.")
    first = max(int(np.searchsorted(log.time_s, low, side="right")) - 1, 0)
    last = min(int(np.searchsorted(log.time_s, high, side="left")), log.time_s.size - 1)
    place = first + int(np.argmax(log.current_a[first : last + 1]))
    row = slice(place, place + 1)
    current = mean_reading(
        log.time_s[row],
        log.current_a[row],
        LogQuantity.CURRENT,
        meter,
        step=log.current_step,
        label=f"at {mark.kind.value}",
    )
    least, most = (float(of(log.current_a[first : last + 1])) for of in (np.min, np.max))
    if least <= RESTS_A < most:
        said = (
            f"Within the time to which '{mark.kind.value}' is known the current fell from {most:.3g} A to "
            f"{least:.3g} A: which came first cannot be said."
        )
        unsure = Quantity(most, None, "A", low=least, high=most, why="the current fell about that moment")
        return replace(bare, current_at_a=unsure, statement=said)
    said = f"At '{mark.kind.value}' the largest current of the rows about it was {format_figure(current)}."
    return replace(bare, current_at_a=current, statement=said)


def _returns(outages: Sequence[SupplyOutage], phases: Sequence[SessionPhase], end: float) -> list[Reaction]:
    """Return what followed each return, from the phases between those drawn before the loss and the next loss."""
    starts = [phase.start_s for phase in phases]
    drawn = [place for place, phase in enumerate(phases) if phase.kind in DRAWN]
    lost = [place for place, phase in enumerate(phases) if phase.kind is PhaseKind.SUPPLY_LOST]
    found = []
    for outage in outages:
        if outage.end_s >= end:
            continue
        half = 0.5 * (outage.end_bracket_s[1] - outage.end_bracket_s[0])
        place = bisect_left(starts, outage.end_s - half)
        first = max(bisect_left(drawn, bisect_left(starts, outage.start_s)) - 2, 0)
        next_lost = bisect_left(lost, place)
        last = lost[next_lost] + 1 if next_lost < len(lost) else len(phases)
        found.append(after_return(outage, phases[drawn[first] if drawn else 0 : last]))
    return found


def after_return(outage: SupplyOutage, phases: Sequence[SessionPhase]) -> Reaction:
    """Return whether the current came back after the supply did.

    Parameters
    ----------
    outage : SupplyOutage
        A loss of the supply that ended within the log.
    phases : sequence of SessionPhase
        The phases of the log.

    Returns
    -------
    Reaction
        With the phase that followed, or how long none was seen.
    """
    low, high = outage.end_bracket_s
    half = 0.5 * (high - low)
    part = Component(
        id=f"supply back between {low:.12g} s and {high:.12g} s",
        label="return of the supply: between two rows",
        contribution=half / SQRT3,
        shape=Shape.RECTANGULAR,
    )
    at = assemble(outage.end_s, "s", [part] if half > 0.0 else [])
    later = [phase for phase in phases if phase.start_s >= outage.end_s - half]
    end = phases[-1].end_s if phases else outage.end_s
    ends = (PhaseKind.SUPPLY_LOST, PhaseKind.NOT_RECORDED)
    until = next((phase.start_s for phase in later if phase.kind in ends), end)
    drawn = next((phase for phase in later if phase.kind in DRAWN and phase.start_s < until), None)
    before = next(
        (phase for phase in reversed(phases) if phase.kind in DRAWN and phase.end_s <= outage.start_s + half), None
    )
    bare = Reaction(
        mark=MarkKind.BREAKER_ON,
        at_s=at,
        current_before_a=before.current_a if before is not None else None,
        statement="",
    )
    if drawn is None:
        watched = max(until - outage.end_s, 0.0)
        none = Quantity(watched, None, "s", low=watched, high=None, why="nothing had followed when the watch ended")
        said = f"After the supply returned nothing was drawn for the {format_value(_rounded(watched), 's')} watched."
        return replace(bare, after_s=none, statement=said)
    levels = (phase for phase in later if phase.kind in (PhaseKind.STEADY, PhaseKind.REDUCED) and phase.start_s < until)
    level = next(levels, drawn)
    after = time_between(at, drawn.start_bracket_s, "return of the supply")
    return replace(
        bare,
        followed_by=level.kind,
        after_s=after,
        current_after_a=level.current_a,
        statement=f"After the supply returned the draw began again {_passed(after, 'the return')}: by itself, "
        "unless somebody acted, which a log does not show.",
    )
