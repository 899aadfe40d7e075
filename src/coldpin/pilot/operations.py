"""Operations of the output gathered to events: all shown, the worst judged, and within only where there are enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coldpin.pilot.delay import Delay
from coldpin.quantity import format_value
from coldpin.records.finding import Outcome
from coldpin.records.pilot import State, Switching, SwitchingEvent
from coldpin.standards.timing import SwitchingLimit

FEWEST_OPERATIONS = 5
"""Ours: with fewer operations a contact that sticks now and then is not likely seen, so none is called within. [1] One
that is beyond is enough for beyond."""

STAYED_IN_D = "stayed live in D, which is right only for a unit meant for ventilated places"

_RANK = (Outcome.NOT_APPLICABLE, Outcome.WITHIN, Outcome.UNDECIDED, Outcome.BEYOND)


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One answer of the output to one change of the pilot, or one time it was live where it must not be.

    ``at`` is when the pilot changed, or when the output was live first. [s] ``delay`` is None where there is none;
    ``lasted`` is then for how long the output was seen live there. [s] ``brief`` says that the change was taken back
    before its limit had passed, so that nothing can be said of it.
    """

    event: Switching
    state_from: State
    state_to: State
    at: float
    delay: Delay | None
    outcome: Outcome
    limit: SwitchingLimit | None = None
    why: str = ""
    lasted: float | None = None
    brief: bool = False


def gather_event(event: Switching, operations: Sequence[Operation]) -> SwitchingEvent:
    """Gather the operations of one kind to an event, judged by the worst of them.

    Parameters
    ----------
    event : Switching
        The kind.
    operations : sequence of Operation
        One or more, in any order.

    Returns
    -------
    SwitchingEvent
        Within only for `FEWEST_OPERATIONS` or more. Changes that were let go too early are left out where others are.

    Examples
    --------
    >>> live = Operation(
    ...     event=Switching.LIVE_IN_A,
    ...     state_from=State.A1,
    ...     state_to=State.A1,
    ...     at=0.1,
    ...     delay=None,
    ...     outcome=Outcome.BEYOND,
    ...     lasted=0.5,
    ... )
    >>> gathered = gather_event(Switching.LIVE_IN_A, [live, live])
    >>> gathered.outcome, gathered.operations, gathered.why
    ('beyond', 2, 'output live in A, 2 times, the longest for 0.5 s')
    """
    # what was let go too early tells nothing of an event that was seen to its end
    ordered = sorted([one for one in operations if not one.brief] or operations, key=lambda operation: operation.at)
    if event is Switching.OPENS_ON_D:
        ordered = _one_rule_for_d(ordered)
    worst = max(ordered, key=_badness)
    limit = worst.limit
    outcome = worst.outcome
    whys = [worst.why] if worst.why else []
    if lasting := [one.lasted for one in ordered if one.lasted is not None]:
        whys.insert(0, _live_said(worst.state_to, lasting))
    if worst.delay is not None and worst.delay.quantity.u is None:
        whys.append(worst.delay.quantity.why)
    if worst.delay is not None and limit is not None and len(ordered) < FEWEST_OPERATIONS:
        counted = "1 operation" if len(ordered) == 1 else f"{len(ordered)} operations"
        whys.append(f"{counted}, where at least {FEWEST_OPERATIONS} are wanted")
        outcome = Outcome.UNDECIDED if outcome is Outcome.WITHIN else outcome
    return SwitchingEvent(
        event=event,
        state_from=worst.state_from,
        state_to=worst.state_to,
        delay_s=None if worst.delay is None else worst.delay.quantity,
        limit_s=None if limit is None else limit.seconds,
        limit_kind=None if limit is None else limit.kind,
        outcome=outcome.value,
        operations=len(ordered),
        delays_s=tuple(one.delay.quantity for one in ordered if one.delay is not None),
        at_s=tuple(one.at for one in ordered),
        limit="" if limit is None else limit.limit.id,
        why="; ".join(dict.fromkeys(clause for why in whys for clause in why.split("; "))),
    )


def _live_said(state: State, lasting: Sequence[float]) -> str:
    longest = f"{max(lasting):.2g} s"
    often = "once, for" if len(lasting) == 1 else f"{len(lasting)} times, the longest for"
    return f"output live in {state.value[0]}, {often} {longest}"


def _one_rule_for_d(operations: Sequence[Operation]) -> list[Operation]:
    """Judge staying live in D where the unit opened another time: then it is not meant for ventilated places."""
    if all(one.why == STAYED_IN_D for one in operations):
        return list(operations)
    seconds = format_value(operations[0].limit.seconds, "s") if operations[0].limit else ""
    why = f"stayed live in D for more than {seconds}, and opened another time"
    return [replace(one, outcome=Outcome.BEYOND, why=why) if one.why == STAYED_IN_D else one for one in operations]


def _badness(operation: Operation) -> tuple[int, float]:
    rank = _RANK.index(operation.outcome)
    if operation.delay is None:
        return rank, 0.0
    seconds = operation.delay.quantity.value
    return rank, -seconds if operation.limit is not None and operation.limit.kind == "min" else seconds
