"""When a residual-current device acted, placed against what is asked of it: every operation told, the worst judged.

A test current is never exactly that of its row, and that has a side. Acting late shows something only where no less
flowed than the row asks; acting in time shows something only where not much more did; a device is shown to hold only
where not much less flowed. What is not stated is never taken as perfect: the current of a source nobody spoke for may
be off by `UNSTATED_CURRENT` either way.

A slow rise is judged by the same times: what counts is for how long the current of a row had flowed already when the
device acted. So a rise that is too fast shows neither, and rate and dwell belong to the result.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from coldpin.protection.trip_telling import NAMES, Answer, rate_told, tell_worst
from coldpin.quantity import Quantity, decide, format_value
from coldpin.records.finding import Limit, Outcome
from coldpin.records.trip_test import (
    ResidualDevice,
    ResidualKind,
    RowRole,
    TripOperation,
    TripPlacement,
    TripRow,
    TripTest,
)
from coldpin.standards.book import Book
from coldpin.standards.residual_current import HIGH, INSTEAD, RAISED, hold_span, inverse_limit, trip_rows, trip_span
from coldpin.standards.table import needed
from coldpin.standards.wording import limit_value

FEWEST_OPERATIONS = 5
"""Ours: with fewer operations a device that is slow now and then is not likely seen, so none is called within. [1] One
that is beyond is enough for beyond."""

UNSTATED_CURRENT = 0.2
"""Ours: a test current nobody spoke for is off by no more than this. [1] A resistor off the shelf is within a tenth of
what is printed on it, and the mains within a tenth of its nominal voltage."""

UNSTATED_WATCH = 0.5
"""Ours: who counts the seconds for which a current was left on is off by no more than half of them. [1] A device that
did nothing in "more than two seconds" was late for 0.3 s, whoever counted; for ten seconds it shows nothing."""

WAYS = {
    ResidualKind.ALTERNATING: ("0°", "180°"),
    ResidualKind.PULSATING: ("positive", "negative"),
    ResidualKind.SMOOTH: ("positive", "negative"),
}
"""Both ways in which each form begins: a device may see one and not the other."""

COIL = "seen at the relay's coil: the contacts may lag or weld"
"""Why no time, and no current of a rise, is called within where the contacts themselves were not seen."""

_RANK = {Outcome.BEYOND: 0, Outcome.UNDECIDED: 1, Outcome.WITHIN: 2}
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spans:
    """By how much a test current may lie off its row: where the device must act, and where it must not. [1]"""

    most: float
    least: float


def judge_trips(
    operations: Iterable[TripOperation], device: ResidualDevice, kind: ResidualKind, book: Book
) -> TripTest:
    """Place the operations of a device with one form of residual current against every row of what is asked of it.

    Parameters
    ----------
    operations : iterable of TripOperation
        In the order in which they were done; those of another form are left out.
    device : ResidualDevice
        The device, by what is said of it.
    kind : ResidualKind
        The form.
    book : Book
        The constants.

    Returns
    -------
    TripTest
        A placement for each row that an operation touched; none where such a device need not see this form.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.residual_current import find_residual_device
    >>> done = [
    ...     TripOperation(
    ...         kind=ResidualKind.ALTERNATING,
    ...         current_ma=Quantity(31.0, 0.3, "mA"),
    ...         time_s=Quantity(0.025, 0.001, "s"),
    ...         way=way,
    ...     )
    ...     for way in ("0°", "180°", "0°", "180°", "0°")
    ... ]
    >>> test = judge_trips(done, find_residual_device(rated="30 mA"), ResidualKind.ALTERNATING, load_book())
    >>> [(placement.row.name, placement.outcome.value) for placement in test.placements]
    [('threshold', 'within')]

    Sources
    -------
    ``residual-current.*``; the decision by JCGM 106:2012 clauses 7 and 8 (standing: memory, recomputed).
    """
    done = tuple(operation for operation in operations if operation.kind is kind)
    rows = trip_rows(book, device, kind)
    spans = _Spans(most=needed(trip_span(book), "maximum"), least=needed(hold_span(book), "minimum"))
    placements = [placed for row in rows if (placed := _place(row, rows, done, spans, kind, book)) is not None]
    return TripTest(
        schema="coldpin.trip_test/1",
        device=device,
        kind=kind,
        rows=rows,
        placements=tuple(_with_instead(placements)),
        operations=done,
        remarks=tuple(_remarks(done, rows, device, kind)),
    )


def never_acted(test: TripTest) -> bool:
    """Say whether a device acted at no current at all, though far more than it must act at was put on both ways.

    Parameters
    ----------
    test : TripTest
        The test.

    Returns
    -------
    bool
        True where the function was provoked and did not show.
    """
    if not test.placements or any(operation.tripped for operation in test.operations):
        return False
    raised = [placed.row.current_ma for placed in test.placements if placed.row.name == RAISED]
    if not raised:
        return False
    ways = {one.way for one in test.operations if one.rate_ma_s is None and bounds_ma(one.current_ma)[0] >= raised[0]}
    return set(WAYS[test.kind]) <= ways


def bounds_ma(current: Quantity) -> tuple[float, float]:
    """Return between what a test current lies.

    Parameters
    ----------
    current : Quantity
        The current. [mA]

    Returns
    -------
    tuple of float
        The ends of its 95 % interval, or `UNSTATED_CURRENT` to either side where nobody stated how exact it is. [mA]

    Examples
    --------
    >>> bounds_ma(Quantity(30.0, None, "mA", why="not stated"))
    (24.0, 36.0)
    """
    open_above = current.u is None and current.low is not None and current.high is None
    spread = 0.0 if current.u is not None else UNSTATED_CURRENT
    low = current.value * (1.0 - spread) if current.low is None else current.low
    high = current.value * (1.0 + spread) if current.high is None else current.high
    return low, math.inf if open_above else high


def _place(
    row: TripRow,
    rows: Sequence[TripRow],
    done: Sequence[TripOperation],
    spans: _Spans,
    kind: ResidualKind,
    book: Book,
) -> TripPlacement | None:
    if row.role is RowRole.RISE:
        at = [one for one in done if one.rate_ma_s is not None and one.angle_deg == row.angle_deg]
        answers = [_of_rise(row, rows, one) for one in at]
    else:
        at_once = [one for one in done if one.rate_ma_s is None and one.angle_deg == row.angle_deg]
        at = [one for one in at_once if _at(row, rows, one, spans)]
        if row.inverse:
            first = min(other.current_ma for other in rows if other.inverse)
            answers = [_of_curve(row, one, first, book) for one in at]
        else:
            tell = _of_hold if row.role is RowRole.HOLD else _of_trip
            told = [tell(row, one, spans) for one in at_once]
            # an operation at another current may show this row broken, never kept
            answers = [answer for answer in told if answer.operation in at or answer.outcome is Outcome.BEYOND]
    if not answers:
        return None
    return _gathered(row, answers, at, kind)


def _at(row: TripRow, rows: Sequence[TripRow], one: TripOperation, spans: _Spans) -> bool:
    """Say whether a current is the one of a row; on the inverse curve the middle row takes all between its ends."""
    value = one.current_ma.value
    if row.inverse:
        nearest = min((other for other in rows if other.inverse), key=lambda other: _apart(other, value))
        return nearest is row and value >= spans.least * min(o.current_ma for o in rows if o.inverse)
    return spans.least * row.current_ma - _CLOSE <= value <= spans.most * row.current_ma + _CLOSE


def _apart(row: TripRow, current_ma: float) -> float:
    return abs(math.log(current_ma / row.current_ma)) if current_ma > 0.0 else math.inf


def _of_curve(row: TripRow, one: TripOperation, first: float, book: Book) -> Answer:
    """Place a time beside the inverse curve: late by what surely flowed, in time by the most that may have.

    ``first`` is the current from which such a device must act; the curve itself may begin below it. [mA]
    """
    sure, most = bounds_ma(one.current_ma)
    if most < first:
        return replace(
            _timed(one, row.limit), outcome=Outcome.UNDECIDED, why="less may have flowed than it must act at"
        )
    late = _timed(one, inverse_limit(book, max(sure, first)))
    if late.outcome is Outcome.BEYOND and sure >= first:
        return late
    in_time = _timed(one, inverse_limit(book, most))
    if in_time.outcome is Outcome.WITHIN:
        return in_time
    return replace(in_time, outcome=Outcome.UNDECIDED, why=in_time.why or "the test current is not known well enough")


def _of_trip(row: TripRow, one: TripOperation, spans: _Spans) -> Answer:
    low, high = bounds_ma(one.current_ma)
    timed = _timed(one, row.limit)
    outcome, why = timed.outcome, timed.why
    if outcome is Outcome.BEYOND and _early(one, row.limit):
        if high > row.current_ma + _CLOSE:
            outcome, why = Outcome.UNDECIDED, f"more than {format_value(row.current_ma, 'mA')} may have flowed"
    elif outcome is Outcome.BEYOND and low < row.current_ma - _CLOSE:
        outcome, why = Outcome.UNDECIDED, f"less than {format_value(row.current_ma, 'mA')} may have flowed"
    if outcome is Outcome.WITHIN and high > spans.most * row.current_ma + _CLOSE:
        outcome, why = Outcome.UNDECIDED, f"so much more than {format_value(row.current_ma, 'mA')} makes it easy"
        if one.current_ma.u is None:
            why = "how exact the test current is nobody stated"
    return replace(timed, outcome=outcome, why=why)


def _early(one: TripOperation, limit: Limit) -> bool:
    """Say whether a device acted before the time for which it must hold; with more current it may."""
    return one.tripped and limit.minimum is not None and one.time_s.value < limit.minimum


def _timed(one: TripOperation, limit: Limit) -> Answer:
    """Place a time against its limit, whatever the current was."""
    time = one.time_s
    probability = None
    if not one.tripped and time.u is None and time.low is None:
        outcome = _between(time.value * (1.0 - UNSTATED_WATCH), None, limit)
    elif time.u is not None:
        decision = decide(time, minimum=limit.minimum, maximum=limit.maximum)
        outcome, probability = Outcome(decision.outcome), decision.probability
    else:
        outcome = _between(time.low, time.high, limit)
    why = ""
    if not one.tripped:
        # watched for so long: the time it would have taken is longer
        late = outcome is Outcome.BEYOND and (limit.maximum is None or time.value > limit.maximum)
        outcome = Outcome.BEYOND if late else Outcome.UNDECIDED
        why = "" if late else "it was not watched for long enough"
    elif one.at_coil and outcome is Outcome.WITHIN:
        outcome, why = Outcome.UNDECIDED, COIL
    if time.u is None and outcome is Outcome.UNDECIDED and not why:
        why = "how exact the time is nobody stated"
    return Answer(
        operation=one,
        outcome=outcome,
        measured=time,
        limit=limit,
        probability=probability if one.tripped else None,
        why=why,
    )


def _between(low: float | None, high: float | None, limit: Limit) -> Outcome:
    least, most = -math.inf if low is None else low, math.inf if high is None else high
    shortest = -math.inf if limit.minimum is None else limit.minimum
    longest = math.inf if limit.maximum is None else limit.maximum
    if least > longest or most < shortest:
        return Outcome.BEYOND
    return Outcome.WITHIN if least >= shortest and most <= longest else Outcome.UNDECIDED


def _of_hold(row: TripRow, one: TripOperation, spans: _Spans) -> Answer:
    low, high = bounds_ma(one.current_ma)
    outcome, why = Outcome.UNDECIDED, ""
    if one.tripped and high <= row.current_ma + _CLOSE:
        outcome = Outcome.BEYOND
    elif one.tripped:
        why = f"more than {format_value(row.current_ma, 'mA')} may have flowed"
    elif low >= spans.least * row.current_ma - _CLOSE:
        watched = one.time_s.value if one.time_s.high is None else one.time_s.high
        long_enough = watched >= row.watch_s - _CLOSE
        outcome = Outcome.WITHIN if long_enough else Outcome.UNDECIDED
        why = "" if long_enough else f"it was left on for less than {format_value(row.watch_s, 's')}"
    elif one.current_ma.u is None:
        why = "how exact the test current is nobody stated"
    else:
        why = f"so much less than {format_value(row.current_ma, 'mA')} makes it easy"
    return Answer(operation=one, outcome=outcome, measured=one.current_ma, limit=row.limit, why=why)


def _of_rise(row: TripRow, rows: Sequence[TripRow], one: TripOperation) -> Answer:
    """Place the current at which a device acted while it rose; above the band the times of other rows count."""
    current = one.current_ma
    low, high = bounds_ma(current)
    made = Answer(operation=one, outcome=Outcome.UNDECIDED, measured=current, limit=row.limit)
    least, most = row.limit.minimum, needed(row.limit, "maximum")
    if one.tripped and least is not None and high < least:
        return replace(made, outcome=Outcome.BEYOND, probability=0.0)
    overstayed = next((other for other in rows if _overstayed(other, one, low)), None)
    if overstayed is not None:
        allowed = format_value(needed(overstayed.limit, "maximum"), "s")
        why = f"{format_value(overstayed.current_ma, 'mA')} had flowed for more than {allowed} by then"
        return replace(made, outcome=Outcome.BEYOND, why=why)
    if one.tripped and current.u is not None:
        decision = decide(current, minimum=least, maximum=most)
        if Outcome(decision.outcome) is Outcome.WITHIN and not one.at_coil:
            return replace(made, outcome=Outcome.WITHIN, probability=decision.probability)
        if Outcome(decision.outcome) is Outcome.WITHIN:
            return replace(made, why=COIL)
    if current.u is None:
        return replace(made, why="how exact the test current is nobody stated")
    if not one.tripped and low < most:
        return replace(made, why=f"it was not raised to {format_value(most, 'mA')}, where it must act")
    if high > most:
        return replace(made, why="it rose too fast: no current that must trip it had flowed for as long as it may take")
    return replace(made, why=f"too close to {limit_value(row.limit)} to say")


def _overstayed(row: TripRow, one: TripOperation, surely_ma: float) -> bool:
    """Say whether a rise had surely passed a row's current for longer than that row allows."""
    if row.role is not RowRole.TRIP or row.inverse or row.limit.maximum is None or not one.rate_ma_s:
        return False
    since = (surely_ma - row.current_ma) / one.rate_ma_s - one.dwell_s
    return since > row.limit.maximum


def _gathered(
    row: TripRow, answers: Sequence[Answer], at: Sequence[TripOperation], kind: ResidualKind
) -> TripPlacement:
    worst = min(answers, key=_badness)
    outcome = worst.outcome
    wanting = _wanting(at, kind) if outcome is Outcome.WITHIN else ()
    if wanting:
        outcome = Outcome.UNDECIDED
    asked = at or [answer.operation for answer in answers]
    return TripPlacement(
        row=row,
        limit=worst.limit,
        outcome=outcome,
        probability=worst.probability,
        measured=worst.measured,
        worst=worst.operation,
        operations=len(at),
        never=row.role is not RowRole.HOLD and not any(one.tripped for one in asked),
        early=outcome is Outcome.BEYOND
        and all(_too_soon(row, answer) for answer in answers if answer.outcome is Outcome.BEYOND),
        wanting=wanting,
        statement=tell_worst(row, worst, at, kind, wanting),
    )


def _too_soon(row: TripRow, answer: Answer) -> bool:
    """Say whether what is beyond is only that a device acted where, or while, it should have held."""
    one, least = answer.operation, answer.limit.minimum
    if row.role is RowRole.RISE:
        return one.tripped and least is not None and bounds_ma(one.current_ma)[1] < least
    return one.tripped and (row.role is RowRole.HOLD or _early(one, answer.limit))


def _badness(answer: Answer) -> tuple[int, float]:
    """Put the worst first: beyond, undecided, within; among equals the one that is farthest out."""
    value, longest = answer.measured.value, answer.limit.maximum
    if answer.measured.unit != "s":
        return _RANK[answer.outcome], value
    return _RANK[answer.outcome], -value / longest if answer.operation.tripped and longest else -math.inf


def _wanting(at: Sequence[TripOperation], kind: ResidualKind) -> tuple[str, ...]:
    found = []
    if len(at) < FEWEST_OPERATIONS:
        counted = "one operation was" if len(at) == 1 else f"{len(at)} operations were"
        found.append(f"{counted} done, where at least {FEWEST_OPERATIONS} are wanted")
    missing = [way for way in WAYS[kind] if all(one.way != way for one in at)]
    if missing:
        what = "starting phase" if kind is ResidualKind.ALTERNATING else "polarity"
        found.append(f"none is stated for the {what} {' or '.join(missing)}")
    return tuple(found)


def _with_instead(placements: Sequence[TripPlacement]) -> list[TripPlacement]:
    """Let the row of 250 mA stand for five times the rated current, as the footnote has it."""
    instead = next((placed for placed in placements if placed.row.name == INSTEAD), None)
    found = []
    for placed in placements:
        if placed.row.name == HIGH and placed.outcome is not Outcome.WITHIN:
            if instead is None and placed.outcome is Outcome.BEYOND and placed.row.stands_for:
                found.append(_repeat(placed))
            elif instead is None:
                found.append(placed)
        elif placed.row.name == HIGH:
            found.append(placed)
            instead = None
        elif placed.row.name != INSTEAD:
            found.append(placed)
    if instead is not None:
        found.append(replace(instead, row=replace(instead.row, name=HIGH)))
    return found


def _repeat(placed: TripPlacement) -> TripPlacement:
    """Say of a device that is late at five times its current that another test is open to it."""
    return replace(
        placed,
        outcome=Outcome.UNDECIDED,
        statement=f"{placed.statement} {placed.row.stands_for} may take the place of this row: repeat there.",
    )


def _remarks(
    done: Sequence[TripOperation], rows: Sequence[TripRow], device: ResidualDevice, kind: ResidualKind
) -> Iterable[str]:
    if not rows and done:
        yield f"Such a device ({device.name}) need not see {NAMES[kind]}: what it did is told and not judged."
    rises = [one for one in done if one.rate_ma_s is not None]
    if rises:
        rates = ", ".join(dict.fromkeys(rate_told(one) for one in rises))
        yield f"The rise ran at {rates}: with another the result may be another."
