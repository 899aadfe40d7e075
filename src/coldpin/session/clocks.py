"""The clocks that events were marked by, each aligned with that of the log as far as that can be had."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from coldpin.errors import InputError
from coldpin.quantity import Quantity, assemble, format_figure
from coldpin.quantity.linear import components_of
from coldpin.records.session import ClockOffset, EventMark, SessionPhase, SupplyOutage
from coldpin.session.clock_drift import Seen, drifting, ways_to_see
from coldpin.session.marks import (
    LOG_CLOCK,
    SEEN_IN_LOG,
    aligned,
    contradicted,
    not_aligned,
    offset_of,
    seen_in_log,
    speaks_against,
)

DAY = 86400.0
"""The seconds of a day. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocks:
    """What is known of the clocks beside a log.

    ``offsets`` are of those that are aligned, ``why`` says by clock why another is not; ``remarks`` tell of the log
    that contradicts one.
    """

    offsets: tuple[ClockOffset, ...] = ()
    why: dict[str, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()

    def by_log(self, marks: Sequence[EventMark]) -> tuple[EventMark, ...]:
        """Return marks by the clock of the log.

        Parameters
        ----------
        marks : sequence of EventMark
            By whatever clocks.

        Returns
        -------
        tuple of EventMark
            In order of time; behind them those that are not placed.
        """
        return aligned(marks, self.offsets, self.why)

    def surely(self, marks: Sequence[EventMark]) -> tuple[EventMark, ...]:
        """Return the marks that lie where they say: of a clock that is not aligned, or is doubted, none does.

        Parameters
        ----------
        marks : sequence of EventMark
            By whatever clocks.

        Returns
        -------
        tuple of EventMark
            By the clock of the log, in order of time.
        """
        sure = {LOG_CLOCK, *(offset.clock for offset in self.offsets if not offset.contradicted)}
        return self.by_log([mark for mark in marks if mark.clock in sure])


def need_the_log(marks: Sequence[EventMark], stated: Sequence[ClockOffset]) -> bool:
    """Say whether clocks can only be aligned, or held, by what the log shows.

    Parameters
    ----------
    marks : sequence of EventMark
        By whatever clocks.
    stated : sequence of ClockOffset
        The offsets that somebody stated.

    Returns
    -------
    bool
        False where every other clock has an offset and marked nothing that a log shows.
    """
    known = {offset.clock for offset in stated}
    others = (mark for mark in marks if mark.clock != LOG_CLOCK)
    return any(mark.clock not in known or mark.kind in SEEN_IN_LOG for mark in others)


def align_clocks(
    marks: Sequence[EventMark],
    stated: Sequence[ClockOffset],
    phases: Sequence[SessionPhase],
    outages: Sequence[SupplyOutage],
) -> Clocks:
    """Align the clocks of marks by an offset as stated, or by an event that both saw.

    Parameters
    ----------
    marks : sequence of EventMark
        By whatever clocks.
    stated : sequence of ClockOffset
        The offsets that somebody stated.
    phases : sequence of SessionPhase
        The phases of the log.
    outages : sequence of SupplyOutage
        Its losses of the supply, as the voltage shows them.

    Returns
    -------
    Clocks
        One that cannot be aligned refuses nothing: its marks are not placed.
    """
    offsets = list(stated)
    why: dict[str, str] = {}
    for clock in dict.fromkeys(mark.clock for mark in marks):
        if clock == LOG_CLOCK or any(offset.clock == clock for offset in stated):
            continue
        found, reason = _found([mark for mark in marks if mark.clock == clock], phases, outages)
        offsets += found
        if reason:
            why[clock] = reason
    wrong = contradicted(marks, offsets, phases, outages)
    offsets = [_doubted(offset, wrong[offset.clock]) if offset.clock in wrong else offset for offset in offsets]
    return Clocks(
        offsets=tuple(offsets),
        why=why,
        remarks=(
            *(_not_placed(clock, reason, marks) for clock, reason in why.items()),
            *(
                f"{offset.contradicted}: is a mark late, or the offset of another sign? No time by that clock is sure"
                for offset in offsets
                if offset.contradicted
            ),
            *(_drifts(offset, marks) for offset in offsets if offset.drift is not None),
        ),
    )


def _found(
    marks: Sequence[EventMark], phases: Sequence[SessionPhase], outages: Sequence[SupplyOutage]
) -> tuple[list[ClockOffset], str]:
    """Return what aligns a clock, or why nothing does: all its marks that a log shows, else the first shown once."""
    own = [mark for mark in marks if mark.kind in SEEN_IN_LOG]
    if not own:
        return [], not_aligned(marks[0].clock)
    places = {kind: seen_in_log(kind, phases, outages) for kind in SEEN_IN_LOG}
    several = len(own) > 1 and all(mark.at_s.u is not None for mark in own)
    ways = ways_to_see(own, places.__getitem__) if several else ()
    if len(ways) == 1:
        return [_by_several(ways[0])], ""
    why = ""
    for mark in own:
        try:
            return [offset_of(mark, places[mark.kind])], ""
        except InputError as error:
            why = why or str(error)
    if several and all(places[mark.kind] for mark in own):
        fit = "in more than one way: mark one more" if ways else "nowhere: is one of them late, or not marked here"
        why += f"; the times between its marks fit the log {fit}"
    return [], why


def _by_several(seen: Sequence[Seen]) -> ClockOffset:
    """Return the offset of a clock with its drift, where marks far enough apart tell it; else as by the first mark."""
    line = drifting(seen)
    if line is not None and not _against(line, seen):
        return line
    constant = offset_of(seen[0].mark, (seen[0].place,))
    against = _against(constant, seen)
    return _doubted(constant, against) if against else constant


def _against(offset: ClockOffset, seen: Sequence[Seen]) -> str:
    return next((why for one in seen if (why := speaks_against(one.mark, offset, (one.place,)))), "")


def _drifts(offset: ClockOffset, marks: Sequence[EventMark]) -> str:
    fitted = sum(mark.clock == offset.clock and mark.kind in SEEN_IN_LOG for mark in marks)
    untested = ": two marks leave nothing that would test it, a third does" if fitted == 2 else ""
    return f"the clock '{offset.clock}' {drift_told(offset)}, by {fitted} marks that the log shows too{untested}"


def drift_told(offset: ClockOffset) -> str:
    """Return by how much a clock drifts from that of the log.

    Parameters
    ----------
    offset : ClockOffset
        With a drift.

    Returns
    -------
    str
        Half a sentence; empty for a clock of which no drift is known.

    Examples
    --------
    >>> runs = Quantity(8e-5, 1e-5, "1")
    >>> drift_told(ClockOffset(clock="w", mark=SEEN_IN_LOG[0], offset_s=Quantity(1.0, 0.1, "s"), drift=runs))
    'loses 6.9 s ± 1.7 s in a day'
    """
    if offset.drift is None:
        return ""
    daily = assemble(
        abs(offset.drift.value) * DAY,
        "s",
        [replace(part, contribution=part.contribution * DAY) for part in components_of(offset.drift, "drift")],
    )
    return f"{'loses' if offset.drift.value >= 0.0 else 'gains'} {format_figure(daily)} in a day"


def _not_placed(clock: str, reason: str, marks: Sequence[EventMark]) -> str:
    own = ", ".join(f"'{mark.kind.value}' at {mark.at_s.value:.6g} s" for mark in marks if mark.clock == clock)
    return f"not placed in the log: {own} by the clock '{clock}': {reason}"


def _doubted(offset: ClockOffset, why: str) -> ClockOffset:
    return replace(offset, offset_s=Quantity(offset.offset_s.value, None, "s", why=why), contradicted=why)
