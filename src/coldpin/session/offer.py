"""The current a car draws beside the one it is offered."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from coldpin.quantity import Quantity, decide
from coldpin.records.log import LogQuantity
from coldpin.records.session import EventMark, MarkKind, OfferComparison, PhaseKind, SessionPhase
from coldpin.session.charge_log import LOGGED, ChargeLog
from coldpin.session.meter import Meter, mean_reading

DRAWN = (PhaseKind.STEADY, PhaseKind.REDUCED)
"""Phases with a level, which can be held against an offer."""

CHANGES = (PhaseKind.RAMP, PhaseKind.VARYING)
"""Phases without a level: of these what lies above an offer is looked at."""

OFFER_MARKS = (MarkKind.OFFER_LOWERED, MarkKind.OFFER_RAISED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """The current offered from a moment on, as far as it is known. [A], [s]"""

    from_s: float
    to_s: float
    offer_a: Quantity


def offers_over_time(
    offer: Quantity | None, marks: Sequence[EventMark], end_s: float, *, follow_s: float
) -> tuple[Offered, ...]:
    """Return what was offered when: first as stated, then as marked.

    Parameters
    ----------
    offer : Quantity or None
        The offer at the beginning; None where it is not stated. [A]
    marks : sequence of EventMark
        By the clock of the log, in order.
    end_s : float
        The end of the log. [s]
    follow_s : float
        How long a car may take to follow: so long after a change nothing is compared. [s]

    Returns
    -------
    tuple of Offered
        In order, each from when its change surely was to when the next may have been; what follows a change to a
        current that is not stated is left out. Where it is not known when a change was, no offer has an uncertainty;
        one to which it lies nobody knows where is offered nowhere.

    Examples
    --------
    >>> at, lower = Quantity(60.0, 0.5, "s"), Quantity(10.0, 0.1, "A")
    >>> lowered = EventMark(kind=MarkKind.OFFER_LOWERED, at_s=at, offer_a=lower)
    >>> told = offers_over_time(Quantity(16.0, 0.1, "A"), [lowered], 600.0, follow_s=5.0)
    >>> [(round(part.from_s, 2), round(part.to_s, 2), part.offer_a.value) for part in told]
    [(0.0, 59.02, 16.0), (65.98, 600.0, 10.0)]
    """
    changes = [mark for mark in marks if mark.kind in OFFER_MARKS]
    unplaced = next((mark.at_s for mark in changes if mark.at_s.u is None), None)
    changes = [mark for mark in changes if not mark.not_placed]
    times = [mark.at_s for mark in changes]
    # a mark that is known less well than the next may lie after it
    begins = [0.0, *(at + follow_s for at in accumulate((_edge(at, at.high) for at in times), max))]
    ends = [*accumulate((_edge(at, at.low) for at in reversed(times)), min, initial=end_s)][::-1]
    found = []
    for begin, end, offered in zip(begins, ends, [offer, *(mark.offer_a for mark in changes)], strict=True):
        if offered is not None:
            found.append(Offered(from_s=begin, to_s=end, offer_a=_unsure(offered, unplaced)))
    return tuple(found)


def _edge(at: Quantity, edge: float | None) -> float:
    return at.value if edge is None else edge


def _unsure(offered: Quantity, unplaced: Quantity | None) -> Quantity:
    if unplaced is None:
        return offered
    return Quantity(offered.value, None, offered.unit, why=f"when the offer changed is not known: {unplaced.why}")


def compare_with_offer(
    log: ChargeLog, phases: Sequence[SessionPhase], offers: Sequence[Offered], meter: Meter, *, follow_s: float = 0.0
) -> tuple[OfferComparison, ...]:
    """Hold the current of each level against what was offered meanwhile, and what is drawn above it between levels.

    A draw that settles at no level keeps to no offer by its mean: it is beyond where it stays above for longer than a
    car may take to follow, undecided where only peaks of it are.

    Parameters
    ----------
    log : ChargeLog
        The rows, with a current.
    phases : sequence of SessionPhase
        Its phases.
    offers : sequence of Offered
        What was offered when.
    meter : Meter
        The meter.
    follow_s : float
        How long a car may take to follow. [s]

    Returns
    -------
    tuple of OfferComparison
        One for each level and offer that share rows, and for each change between levels that has rows above one; none
        where the log has no current.
    """
    found = []
    for place, phase in enumerate(phases):
        for offered in offers:
            start, end = max(phase.start_s, offered.from_s), min(phase.end_s, offered.to_s)
            if phase.kind in CHANGES:
                above = _above_between(log, start, end, meter, offered.offer_a, follow_s)
                if above is not None:
                    found.append(_compared(place, above, offered.offer_a))
                continue
            if phase.kind not in DRAWN:
                continue
            current = _current_between(log, start, end, meter, phase, f"phase {place + 1}")
            if current is not None:
                found.append(_compared(place, current, offered.offer_a))
    return tuple(found)


def _current_between(
    log: ChargeLog, start: float, end: float, meter: Meter, phase: SessionPhase, label: str
) -> Quantity | None:
    """Return the current of the rows between two times; that of the phase where they are all of it."""
    if log.current_a is None or end <= start:
        return None
    if start <= phase.start_s and end >= phase.end_s:
        return phase.current_a
    first, last = (int(np.searchsorted(log.time_s, at, side="right")) for at in (start, end))
    if last <= first:
        return None
    if log.current_from != LOGGED:
        return Quantity(float(np.mean(log.current_a[first:last])), None, "A", why=phase.current_a.why)
    rows = slice(first, last)
    return mean_reading(
        log.time_s[rows], log.current_a[rows], LogQuantity.CURRENT, meter, step=log.current_step, label=label
    )


def _above_between(
    log: ChargeLog, start: float, end: float, meter: Meter, offer: Quantity, follow_s: float
) -> Quantity | None:
    """Return what was drawn above an offer between two times; None where it was so for no longer than a car may take.

    It is the mean of the longest time above, or of all, where that is beyond the offer; else the largest row.
    """
    if log.current_a is None or end <= start:
        return None
    first, last = (int(np.searchsorted(log.time_s, at, side="right")) for at in (start, end))
    rows = log.current_a[first:last]
    above = rows > (offer.value if offer.high is None else offer.high) + (log.current_step or 0.0)
    turns = np.flatnonzero(np.diff(np.concatenate(([False], above, [False])).astype(np.int8))).reshape(-1, 2) + first
    # from the last row before to the first one after
    begins, ends = np.maximum(turns[:, 0] - 1, 0), np.minimum(turns[:, 1], log.time_s.size - 1)
    lasted = log.time_s[ends] - log.time_s[begins]
    if float(np.sum(lasted)) <= follow_s or not lasted.size:
        return None
    longest = slice(*turns[int(np.argmax(lasted))].tolist())
    surely = float(log.time_s[longest.stop - 1] - log.time_s[longest.start])
    for part in ([longest] if surely > follow_s else []) + [slice(first, last)]:
        held = _mean_of(log, part, meter, f"above the offer, rows {part.start + 1} to {part.stop}")
        if at_most(held, offer)[0] == "beyond":
            return held
    most = f"it rose so high between two levels, above the offer for {float(np.max(lasted)):.3g} s at most"
    return Quantity(float(np.max(rows)), None, "A", why=most)


def _mean_of(log: ChargeLog, rows: slice, meter: Meter, label: str) -> Quantity:
    assert log.current_a is not None, "asked for where there is a current"
    if log.current_from != LOGGED:
        return Quantity(float(np.mean(log.current_a[rows])), None, "A", why="the current was not logged")
    return mean_reading(
        log.time_s[rows],
        log.current_a[rows],
        LogQuantity.CURRENT,
        meter,
        step=log.current_step,
        label=label,
        level=False,
    )


def _compared(place: int, current: Quantity, offer: Quantity) -> OfferComparison:
    outcome, probability = at_most(current, offer)
    # an offer that was withdrawn is one of nothing
    ratio = current.value / offer.value if offer.value > 0.0 else math.nan
    share = Quantity(ratio, None, "1", why=current.why or offer.why or "nothing was offered")
    if current.u is not None and offer.u is not None and current.value > 0.0 and offer.value > 0.0:
        relative = math.hypot(current.u / current.value, offer.u / offer.value)
        share = Quantity(share.value, share.value * relative, "1")
    return OfferComparison(
        phase=place, current_a=current, offer_a=offer, share=share, outcome=outcome, probability=probability
    )


def at_most(measured: Quantity, limit: Quantity) -> tuple[str, float | None]:
    """Say whether a measured value is at most another that has an uncertainty of its own.

    Parameters
    ----------
    measured, limit : Quantity
        In one unit, independent of each other.

    Returns
    -------
    tuple of str and float or None
        "within", "beyond" or "undecided", and the probability of being at most the limit; None where an uncertainty
        is not known. A value of which only the least is known can be beyond.

    Examples
    --------
    >>> offer = Quantity(16.0, 0.1, "A")
    >>> at_most(Quantity(15.2, 0.1, "A"), offer)[0], at_most(Quantity(15.9, 0.1, "A"), offer)[0]
    ('within', 'undecided')

    Sources
    -------
    JCGM 106:2012 clause 7 (standing: memory, recomputed).
    """
    if measured.u is None and measured.low is not None and limit.u is not None and limit.high is not None:
        return ("beyond" if measured.low > limit.high else "undecided"), None
    if measured.u is None or limit.u is None:
        return "undecided", None
    excess = Quantity(measured.value - limit.value, math.hypot(measured.u, limit.u), measured.unit)
    decision = decide(excess, maximum=0.0)
    return decision.outcome, decision.probability
