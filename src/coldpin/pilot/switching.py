"""What the output did when the pilot changed: operations, each with its delay, gathered into events and judged.

The limits are kept apart: unplugging and a vehicle that stops asking have one, a shorted pilot another, an oscillator
that stops a third, which is a minimum. A state C too short for its limit, in which the output stayed dead, asked for
nothing: vehicles wake up a unit by such toggles. What had not followed when the capture ended is a delay of "at least".
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from coldpin.pilot.changes import PilotRun
from coldpin.pilot.delay import BY_COIL, Chain, Delay, delay_at_least, delay_between, judge_delay
from coldpin.pilot.operations import STAYED_IN_D, Operation, gather_event
from coldpin.records.finding import Outcome
from coldpin.records.pilot import (
    Bracket,
    Diode,
    LiveStretch,
    OutputKind,
    OutputReading,
    State,
    Switching,
    SwitchingEvent,
)
from coldpin.standards.timing import SwitchingLimits

PASSAGE = 20e-3
"""Ours: a level outside all windows for less than this is the passage between two states: contacts bounce, a plug is
pulled. [s]"""

BRIEF = 0.1
"""Ours: a change of the pilot taken back sooner than this is a contact that bounces, not one meant to be answered. [s]
What was held for longer, and still not for as long as the limit, is told."""

QUICKEST_CONTACT = 2e-3
"""Ours: no contact opens sooner after its controller saw the pilot fall; an output that is dead by then went with the
supply that makes the pilot too. [s] Common practice, no published source: a relay lets go in some milliseconds."""

TOGETHER = "went dead together with the pilot's levels, as where the supply is taken away: nothing limits it"
CLOSED_IN_D = "closed in D, which is right only for a unit meant for ventilated places"
STAYED_WITHOUT_DIODE = "live throughout"
LET_GO_EARLY = "held too briefly: the pilot changed again before the limit had passed"

_ENTERED = {
    "A": Switching.OPENS_ON_A,
    "B": Switching.OPENS_ON_B,
    "E": Switching.OPENS_ON_SHORT,
    "F": Switching.OPENS_ON_FAULT,
    "u": Switching.OPENS_ON_FAULT,
}
_LIVE_IN = {
    "A": Switching.LIVE_IN_A,
    "B": Switching.LIVE_IN_B,
    "E": Switching.LIVE_ON_SHORT,
    "F": Switching.LIVE_IN_F,
}
_SOFT = (Switching.OPENS_ON_D, Switching.OPENS_ON_DIODE_LOSS, Switching.OPENS_ON_OSCILLATOR_OFF)
"""Openings that another change may overtake: the vehicle still asks, or may."""

_LEVELS_GONE = (Switching.OPENS_ON_SHORT, Switching.OPENS_ON_FAULT)
"""Changes of the pilot that look the same where the unit lost its supply."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Demand:
    """A change of the pilot that the output should follow by opening."""

    event: Switching
    before: PilotRun
    run: PilotRun
    began: Bracket


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scene:
    """The pilot and the output side by side, and what judges them; ``starts`` is when each run began first. [s]"""

    runs: tuple[PilotRun, ...]
    live: tuple[LiveStretch, ...]
    duration: float
    limits: SwitchingLimits
    chain: Chain
    doubt: str
    starts: tuple[float, ...]

    def runs_beside(self, stretch: LiveStretch) -> range:
        """Return the places of the runs that a live stretch may touch."""
        first = 0.0 if stretch.first_contact_s is None else stretch.first_contact_s[0]
        last = self.duration if stretch.opened_s is None else stretch.opened_s[1]
        begin = max(0, bisect_left(self.starts, first) - 2)
        return range(begin, min(len(self.runs), bisect_right(self.starts, last) + 1))

    def live_beside(self, first: float, last: float) -> tuple[LiveStretch, ...]:
        """Return the live stretches that a time may touch. [s]"""
        begin = bisect_left(
            self.live, first, key=lambda one: self.duration if one.opened_s is None else one.opened_s[1]
        )
        end = bisect_right(self.live, last, key=lambda one: 0.0 if one.closed_s is None else one.closed_s[0])
        return self.live[begin : end + 1]

    def end_of(self, place: int) -> Bracket:
        """Return when a run ended; the end of the capture where it is the last."""
        following = self.runs[place + 1].began if place + 1 < len(self.runs) else None
        return following or (self.duration, self.duration)

    def began(self, place: int) -> Bracket:
        """Return when a run began; the beginning of the capture where it is the first."""
        return self.runs[place].began or (0.0, 0.0)

    def previous(self, place: int) -> State:
        return self.runs[place - 1 if place else 0].state

    def operation(self, event: Switching, before: PilotRun, run: PilotRun, began: Bracket, delay: Delay) -> Operation:
        limit = self.limits.find(event, run.state)
        outcome, why = judge_delay(delay, limit, self.chain)
        if self.doubt:
            outcome, why = Outcome.UNDECIDED, self.doubt
        return Operation(
            event=event,
            state_from=before.state,
            state_to=run.state,
            at=0.5 * sum(began),
            delay=delay,
            outcome=outcome,
            limit=limit,
            why=why,
        )

    def alive(self, event: Switching, place: int, at: float, lasted: float) -> Operation:
        """Return an operation that says: live, where it must not be, and for how long. [s]"""
        coil = self.chain.kind is OutputKind.COIL
        return Operation(
            event=event,
            state_from=self.previous(place),
            state_to=self.runs[place].state,
            at=at,
            delay=None,
            outcome=Outcome.UNDECIDED if coil or self.doubt else Outcome.BEYOND,
            why=self.doubt or (BY_COIL if coil else ""),
            lasted=max(0.0, lasted),
        )


def find_switching(
    runs: Sequence[PilotRun], output: OutputReading, *, duration: float, limits: SwitchingLimits, chain: Chain
) -> tuple[SwitchingEvent, ...]:
    """Put the output beside the pilot and judge what it did.

    Parameters
    ----------
    runs : sequence of PilotRun
        The runs of the pilot, with the span in which each began.
    output : OutputReading
        When the output was live.
    duration : float
        Length of the capture. [s]
    limits : SwitchingLimits
        The limits of the edition.
    chain : Chain
        What stands between contacts and numbers.

    Returns
    -------
    tuple of SwitchingEvent
        One for each kind that occurred, in the order of `Switching`; the worst operation of each is judged, and within
        is said only where there are enough.

    Examples
    --------
    >>> from coldpin.pilot.output import OutputSensor
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.editions import Edition
    >>> from coldpin.standards.timing import switching_limits
    >>> began = {State.B2: None, State.C2: (1.0, 1.001)}
    >>> runs = [
    ...     PilotRun(state=state, diode=Diode.PRESENT, began=span, start_s=0.0, end_s=0.0)
    ...     for state, span in began.items()
    ... ]
    >>> stretch = LiveStretch(
    ...     first_contact_s=(1.08, 1.081), closed_s=(1.08, 1.081), first_break_s=None, opened_s=None
    ... )
    >>> output = OutputReading(kind=OutputKind.MAINS, stated=True, live=(stretch,), amplitude_v=325.0)
    >>> (event,) = find_switching(
    ...     runs,
    ...     output,
    ...     duration=2.0,
    ...     limits=switching_limits(load_book(), Edition.IEC_3),
    ...     chain=Chain(sensor=OutputSensor(), kind=OutputKind.MAINS, accuracy=None, name="capture"),
    ... )
    >>> event.event.value, round(event.delay_s.value, 3), event.outcome
    ('closes-in-c', 0.08, 'undecided')
    """
    kept = without_passages(runs)
    scene = _Scene(
        runs=kept,
        starts=tuple(0.0 if run.began is None else run.began[0] for run in kept),
        live=output.live,
        duration=duration,
        limits=limits,
        chain=chain,
        doubt=output.doubt,
    )
    operations: dict[Switching, list[Operation]] = defaultdict(list)
    for finder in (_closings, _openings, _live):
        for operation in finder(scene):
            operations[operation.event].append(operation)
    return tuple(gather_event(event, operations[event]) for event in Switching if operations[event])


def without_passages(runs: Sequence[PilotRun]) -> tuple[PilotRun, ...]:
    """Return the runs without short ones outside all windows: the next state may have begun anywhere in them.

    Parameters
    ----------
    runs : sequence of PilotRun
        The runs of the pilot.

    Returns
    -------
    tuple of PilotRun
        What is left, neighbours of one state and diode joined.
    """
    kept: list[PilotRun] = []
    since: Bracket | None = None
    for place, run in enumerate(runs):
        short = run.state is State.UNDEFINED and run.end_s - run.start_s < PASSAGE
        if short and 0 < place < len(runs) - 1:
            since = since or run.began
            continue
        begun = run if since is None or run.began is None else replace(run, began=(since[0], run.began[1]))
        since = None
        if kept and kept[-1].state is run.state and kept[-1].diode is run.diode:
            kept[-1] = replace(kept[-1], end_s=run.end_s)
        else:
            kept.append(begun)
    return tuple(kept)


def _letter(run: PilotRun) -> str:
    return run.state.value[0]


def _asks(run: PilotRun) -> bool:
    return run.state in (State.C2, State.D2)


def _closings(scene: _Scene) -> Iterator[Operation]:
    """Yield what the output did when a state that asks for power began, and what it did without the diode."""
    first = 0
    while first < len(scene.runs):
        last = first
        while last + 1 < len(scene.runs) and scene.runs[last + 1].state is scene.runs[first].state:
            last += 1
        if _asks(scene.runs[first]):
            yield from _closing(scene, first, last)
        first = last + 1


def _closing(scene: _Scene, first: int, last: int) -> Iterator[Operation]:
    run, began, end = scene.runs[first], scene.began(first), scene.end_of(last)
    bare = all(one.diode is Diode.ABSENT for one in scene.runs[first : last + 1])
    beside = scene.live_beside(began[0], end[1])
    inside = [
        stretch
        for stretch in beside
        if stretch.first_contact_s is not None and began[0] <= stretch.first_contact_s[1] <= end[1]
    ]
    for stretch in inside:
        assert stretch.first_contact_s is not None, "taken only with a first contact"
        here = max(at for at in range(first, last + 1) if scene.began(at)[0] <= stretch.first_contact_s[1])
        if scene.runs[here].diode is Diode.ABSENT:
            at = stretch.first_contact_s[1]
            yield scene.alive(Switching.LIVE_WITHOUT_DIODE, here, at, _end_without(scene, here, stretch) - at)
    already = [stretch for stretch in beside if _live_at(stretch, began)]
    if run.diode is Diode.ABSENT and already:
        lasted = max(_end_without(scene, first, stretch) for stretch in already) - began[1]
        yield scene.alive(Switching.LIVE_WITHOUT_DIODE, first, began[1], lasted)
    if run.began is None:
        return
    if bare or already:
        return
    event = Switching.CLOSES_IN_D if run.state is State.D2 else Switching.CLOSES_IN_C
    before = scene.runs[first - 1]
    if inside:
        closed = inside[0].closed_s
        assert closed is not None, "a stretch with a first contact closed"
        operation = scene.operation(event, before, run, began, delay_between(began, closed, scene.chain))
        # what kind of unit it is the capture does not say
        kept_in_d = event is Switching.CLOSES_IN_D and operation.outcome is Outcome.WITHIN
        yield replace(operation, outcome=Outcome.UNDECIDED, why=CLOSED_IN_D) if kept_in_d else operation
        return
    watched = end[0] - began[1]
    limit = scene.limits.find(event, run.state)
    too_short = limit is not None and watched < limit.seconds and last + 1 < len(scene.runs)
    if run.state is State.C2 and not too_short and watched > 0.0:
        yield scene.operation(event, before, run, began, delay_at_least(watched, scene.chain))


def _ends(scene: _Scene, stretch: LiveStretch) -> float:
    """Return until when a stretch was surely live. [s]"""
    return scene.duration if stretch.first_break_s is None else stretch.first_break_s[0]


def _end_without(scene: _Scene, place: int, stretch: LiveStretch) -> float:
    """Return until when a stretch was seen live with no diode, from a run on. [s]"""
    last = place
    while last + 1 < len(scene.runs) and _asks(scene.runs[last + 1]) and scene.runs[last + 1].diode is Diode.ABSENT:
        last += 1
    return min(scene.end_of(last)[0], _ends(scene, stretch))


def _live_at(stretch: LiveStretch, moment: Bracket) -> bool:
    """Say whether a stretch had begun before a change and had not surely ended."""
    began = stretch.first_contact_s is None or stretch.first_contact_s[1] < moment[0]
    return began and (stretch.first_break_s is None or stretch.first_break_s[1] >= moment[0])


def _openings(scene: _Scene) -> Iterator[Operation]:
    """Yield what each live stretch did when the pilot changed, until it ended."""
    for stretch in scene.live:
        demand: _Demand | None = None
        for place in scene.runs_beside(stretch):
            if place == 0:
                continue
            before, run, began = scene.runs[place - 1], scene.runs[place], scene.began(place)
            if not _live_at(stretch, began):
                continue
            coming = _demand(before, run, began) if demand is not None or _letter(before) in "CD" else None
            if _asks(run) and coming is None:
                if demand is not None:
                    yield from _overtaken(scene, demand, began)
                demand = None
            elif coming is not None and (demand is None or demand.event in _SOFT or coming.event is not demand.event):
                if demand is not None and demand.event not in _SOFT and _same_demand(demand, coming):
                    continue
                if demand is not None:
                    yield from _overtaken(scene, demand, began)
                demand = coming
        yield from _opening(scene, stretch, demand)


def _same_demand(demand: _Demand, coming: _Demand) -> bool:
    """Say whether a further change asks for no more than the one the output has not followed yet."""
    quick = (Switching.OPENS_ON_A, Switching.OPENS_ON_B)
    return demand.event in quick or coming.event not in quick


def _demand(before: PilotRun, run: PilotRun, began: Bracket) -> _Demand | None:
    event = _ENTERED.get(_letter(run))
    if event is None and run.state in (State.C1, State.D1) and before.state in (State.C2, State.D2):
        event = Switching.OPENS_ON_OSCILLATOR_OFF
    elif event is None and run.state is State.D2 and before.state is State.C2:
        event = Switching.OPENS_ON_D
    elif event is None and _asks(run) and before.state is run.state:
        lost = run.diode is Diode.ABSENT and before.diode is not Diode.ABSENT
        event = Switching.OPENS_ON_DIODE_LOSS if lost else None
    return None if event is None else _Demand(event=event, before=before, run=run, began=began)


def _overtaken(scene: _Scene, demand: _Demand, began: Bracket) -> Iterator[Operation]:
    """Yield a demand that the output had not followed when the pilot changed again, where that says anything."""
    watched = began[0] - demand.began[1]
    limit = scene.limits.find(demand.event, demand.run.state)
    if limit is not None and limit.kind == "min":
        return
    if limit is None or watched > limit.seconds:
        if watched > 0.0:
            yield _unfollowed(scene, demand, watched)
    elif watched >= BRIEF:
        operation = _unfollowed(scene, demand, watched)
        yield replace(operation, brief=True, why=scene.doubt or LET_GO_EARLY)


def _unfollowed(scene: _Scene, demand: _Demand, watched: float) -> Operation:
    delay = delay_at_least(watched, scene.chain)
    operation = scene.operation(demand.event, demand.before, demand.run, demand.began, delay)
    if demand.event is Switching.OPENS_ON_D and operation.outcome is Outcome.BEYOND:
        return replace(operation, outcome=Outcome.NOT_APPLICABLE, why=STAYED_IN_D)
    if demand.event is Switching.OPENS_ON_DIODE_LOSS:
        return replace(operation, why=f"{STAYED_WITHOUT_DIODE}; {operation.why}")
    return operation


def _opening(scene: _Scene, stretch: LiveStretch, demand: _Demand | None) -> Iterator[Operation]:
    if stretch.opened_s is None or stretch.first_break_s is None:
        if demand is not None and (watched := scene.duration - demand.began[1]) > 0.0:
            yield _unfollowed(scene, demand, watched)
        return
    if demand is not None:
        early = demand.event is Switching.OPENS_ON_OSCILLATOR_OFF
        opened = stretch.first_break_s if early else stretch.opened_s
        delay = delay_between(demand.began, opened, scene.chain)
        if demand.event in _LEVELS_GONE and _together(demand.began, opened, scene.chain):
            yield _unasked(demand.before, demand.run, stretch.first_break_s, TOGETHER)
            return
        yield scene.operation(demand.event, demand.before, demand.run, demand.began, delay)
        return
    place = max(0, bisect_right(scene.starts, stretch.first_break_s[0]) - 1)
    run = scene.runs[place]
    if not _asks(run):
        # when it was asked to open lies before the capture
        return
    following = scene.runs[place + 1] if place + 1 < len(scene.runs) else None
    if following is not None and following.state is State.F and following.began is not None:
        delay = delay_between(following.began, stretch.opened_s, scene.chain)
        yield scene.operation(Switching.OPENS_ON_FAULT, run, following, following.began, delay)
        return
    yield _unasked(run, run, stretch.first_break_s, "opened while the pilot still asked: no text known to us limits it")


def _unasked(before: PilotRun, run: PilotRun, opened: Bracket, why: str) -> Operation:
    return Operation(
        event=Switching.OPENS_UNASKED,
        state_from=before.state,
        state_to=run.state,
        at=0.5 * sum(opened),
        delay=None,
        outcome=Outcome.NOT_APPLICABLE,
        why=why,
    )


def _together(pilot: Bracket, output: Bracket, chain: Chain) -> bool:
    """Say whether the output may have gone dead with the pilot's levels, sooner than a contact opens."""
    late = 0.0 if chain.sensor.delay is None else chain.sensor.delay.value
    return output[0] - pilot[1] - late < QUICKEST_CONTACT


def _live(scene: _Scene) -> Iterator[Operation]:
    """Yield every time the output was live in a state in which it must be dead, the time to open left out."""
    for stretch in scene.live:
        starts = 0.0 if stretch.first_contact_s is None else stretch.first_contact_s[1]
        ends = _ends(scene, stretch)
        for place in scene.runs_beside(stretch):
            run = scene.runs[place]
            began, end = scene.began(place), scene.end_of(place)
            if run.state is State.C1:
                inside = stretch.first_contact_s is not None and began[1] <= stretch.first_contact_s[0] < end[0]
                if inside and starts < min(end[0], ends):
                    yield scene.alive(Switching.LIVE_IN_C1, place, starts, min(end[0], ends) - starts)
                continue
            event = _LIVE_IN.get(_letter(run))
            if event is None:
                continue
            if _late(scene, stretch, place):
                continue
            at = max(starts, began[1] + _time_to_open(scene, run))
            if at < min(end[0], ends):
                yield scene.alive(event, place, at, min(end[0], ends) - max(starts, began[1]))


def _late(scene: _Scene, stretch: LiveStretch, place: int) -> bool:
    """Say whether an output was live when the pilot stopped asking and opened before it asked again.

    However late, that is an opening: its delay says for how long the output was live.
    """
    first = last = place
    while first > 0 and _letter(scene.runs[first]) not in "CD":
        first -= 1
    while last + 1 < len(scene.runs) and _letter(scene.runs[last + 1]) not in "CD":
        last += 1
    asked = _letter(scene.runs[first]) in "CD"
    opened = stretch.first_break_s is not None and stretch.first_break_s[1] < scene.end_of(last)[1]
    return asked and opened and _live_at(stretch, scene.began(first + 1))


def _time_to_open(scene: _Scene, run: PilotRun) -> float:
    """Return how long the output may stay live after a state began; for F, which no text limits, as for E."""
    event = Switching.OPENS_ON_SHORT if run.state is State.F else _ENTERED[_letter(run)]
    limit = scene.limits.find(event, run.state)
    assert limit is not None, "opening on A, B and E is limited"
    return limit.seconds
