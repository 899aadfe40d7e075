"""The clocks that events were marked by, each aligned with that of the log as far as that can be had."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from coldpin.errors import InputError
from coldpin.quantity import Quantity
from coldpin.records.session import ClockOffset, EventMark, SessionPhase, SupplyOutage
from coldpin.session.marks import LOG_CLOCK, SEEN_IN_LOG, aligned, contradicted, not_aligned, offset_of, seen_in_log


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
    return Clocks(
        offsets=tuple(_doubted(offset, wrong[offset.clock]) if offset.clock in wrong else offset for offset in offsets),
        why=why,
        remarks=(
            *(_not_placed(clock, reason, marks) for clock, reason in why.items()),
            *(
                f"{reason}: is a mark late, or the offset of another sign? No time by that clock is sure"
                for reason in wrong.values()
            ),
        ),
    )


def _found(
    marks: Sequence[EventMark], phases: Sequence[SessionPhase], outages: Sequence[SupplyOutage]
) -> tuple[list[ClockOffset], str]:
    """Return the offset of a clock by the first of its marks that the log shows once, or why there is none."""
    why = ""
    for mark in marks:
        if mark.kind not in SEEN_IN_LOG:
            continue
        try:
            return [offset_of(mark, seen_in_log(mark.kind, phases, outages))], ""
        except InputError as error:
            why = why or str(error)
    return [], why or not_aligned(marks[0].clock)


def _not_placed(clock: str, reason: str, marks: Sequence[EventMark]) -> str:
    own = ", ".join(f"'{mark.kind.value}' at {mark.at_s.value:.6g} s" for mark in marks if mark.clock == clock)
    return f"not placed in the log: {own} by the clock '{clock}': {reason}"


def _doubted(offset: ClockOffset, why: str) -> ClockOffset:
    return replace(offset, offset_s=Quantity(offset.offset_s.value, None, "s", why=why), contradicted=why)
