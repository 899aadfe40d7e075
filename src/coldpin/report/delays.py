"""Delays of the output and their limits, as printed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from coldpin.quantity.model import Quantity
from coldpin.quantity.printing import format_value
from coldpin.records.finding import Outcome
from coldpin.records.pilot import OutputKind, OutputReading, Switching, SwitchingEvent
from coldpin.report.numbers import each, measured, number
from coldpin.report.times import duration
from coldpin.report.words import OUTCOME_WORDS
from coldpin.standards.book import Book
from coldpin.standards.wording import limit_source

_TITLES = {
    Switching.CLOSES_IN_C: "closes when asked (C)",
    Switching.CLOSES_IN_D: "closes when asked (D)",
    Switching.OPENS_ON_B: "opens when no longer asked (B)",
    Switching.OPENS_ON_A: "opens when unplugged (A)",
    Switching.OPENS_ON_D: "opens when asked for ventilation (D)",
    Switching.OPENS_ON_SHORT: "opens on a shorted pilot (E)",
    Switching.OPENS_ON_DIODE_LOSS: "opens on a lost diode",
    Switching.OPENS_ON_OSCILLATOR_OFF: "opens after its oscillator stopped",
    Switching.OPENS_ON_FAULT: "opens on a fault",
    Switching.OPENS_UNASKED: "opens though still asked",
    Switching.LIVE_IN_A: "live with no vehicle (A)",
    Switching.LIVE_IN_B: "live though not asked (B)",
    Switching.LIVE_IN_C1: "closes with its oscillator off (C1)",
    Switching.LIVE_ON_SHORT: "live on a shorted pilot (E)",
    Switching.LIVE_IN_F: "live while it says unavailable (F)",
    Switching.LIVE_WITHOUT_DIODE: "live without the vehicle's diode",
}


def event_said(event: Switching) -> str:
    """Return what an event is, in words.

    Parameters
    ----------
    event : Switching
        The event.

    Returns
    -------
    str
        Such as "opens when unplugged (A)".

    Examples
    --------
    >>> event_said(Switching.LIVE_IN_A)
    'live with no vehicle (A)'
    """
    return _TITLES[event]


def is_open(delay: Quantity) -> bool:
    """Say whether a delay is one of "at least": the output had not followed when it was last seen.

    Parameters
    ----------
    delay : Quantity
        The delay. [s]

    Returns
    -------
    bool
        True where it has no upper end.
    """
    return delay.low is not None and delay.high is None


def delay_said(delay: Quantity | None) -> str:
    """Return a delay as printed.

    Parameters
    ----------
    delay : Quantity or None
        The delay. [s]

    Returns
    -------
    str
        With its 95 % half-width; "at least" where the output did not follow; "not stated" where clock or sensor are
        not; a dash where there is none.

    Examples
    --------
    >>> delay_said(Quantity(0.24, 0.001, "s")), delay_said(Quantity(4.0, None, "s", low=4.0))
    ('0.2400 s ± 0.0020 s', 'at least 4 s')
    >>> delay_said(Quantity(0.0719, None, "s"))
    '71.9 ms (± not stated)'
    """
    if delay is None:
        return "–"
    if is_open(delay):
        return f"at least {duration(delay.value)}"
    if delay.u is None:
        return f"{duration(delay.value)} (± not stated)"
    return measured(delay)


def delays_said(delays: Sequence[Quantity]) -> str:
    """Return the delays of several operations as printed, the largest half-width said once behind them.

    Parameters
    ----------
    delays : sequence of Quantity
        The delays, in order of time. [s]

    Returns
    -------
    str
        To the digits of the half-width; empty where there is none. That no half-width is stated is said once too, and
        delays that read alike are counted.

    Examples
    --------
    >>> delays_said([Quantity(0.2404, 0.0002, "s"), Quantity(0.2388, 0.0003, "s")])
    '0.24040, 0.23880 s, each ± 0.00059 s at most'
    >>> delays_said([Quantity(0.2404, 0.0002, "s"), Quantity(4.0, None, "s", low=4.0)])
    '0.24040 s ± 0.00039 s; at least 4 s'
    >>> delays_said([Quantity(value, None, "s") for value in (0.2, 0.2, 0.2, 0.0719)])
    '200 ms (3 times), 71.9 ms (± not stated)'
    """
    said: list[str] = []
    for known, group in groupby(delays, key=lambda delay: None if is_open(delay) else delay.u is not None):
        alike = list(group)
        if not known:
            said.append(_without_half_width(alike))
        else:
            said.append(each(alike) if len(alike) > 1 else delay_said(alike[0]))
    return "; ".join(said)


def _without_half_width(delays: Sequence[Quantity]) -> str:
    """Return delays that are all open or all of unstated half-width, those that read alike counted."""
    runs = [(words, len(list(group))) for words, group in groupby(duration(delay.value) for delay in delays)]
    listed = ", ".join(words if times == 1 else f"{words} ({times} times)" for words, times in runs)
    if is_open(delays[0]):
        return f"at least {listed}"
    if len(runs) == 1 and len(delays) > 1:
        return f"{runs[0][0]} ({len(delays)} times, ± not stated)"
    return f"{listed} (± not stated)"


def operations_said(event: SwitchingEvent) -> str:
    """Return all operations of an event as printed.

    Parameters
    ----------
    event : SwitchingEvent
        The event.

    Returns
    -------
    str
        Their delays, or how often it was where it has none: "once", "5 times".
    """
    return delays_said(event.delays_s) or ("once" if event.operations == 1 else f"{event.operations} times")


def outcome_said(event: SwitchingEvent) -> str:
    """Return the outcome of an event as printed.

    Parameters
    ----------
    event : SwitchingEvent
        The event.

    Returns
    -------
    str
        The usual word; "no limit known" where nothing limits it, which does not say that nothing was found.
    """
    outcome = Outcome(event.outcome)
    if outcome is Outcome.NOT_APPLICABLE and event.limit_s is None:
        return "no limit known"
    return OUTCOME_WORDS[outcome]


def limits_cited(events: Sequence[SwitchingEvent], book: Book) -> tuple[str, ...]:
    """Return where the limits of some events are from.

    Parameters
    ----------
    events : sequence of SwitchingEvent
        The events.
    book : Book
        The constants they were judged by.

    Returns
    -------
    tuple of str
        A sentence for each limit with its source, edition, place and standing, whatever edition was asked for.

    Raises
    ------
    InputError
        A limit is none of the book.

    Examples
    --------
    >>> from coldpin.records.pilot import State
    >>> from coldpin.standards.book import load_book
    >>> event = SwitchingEvent(
    ...     event=Switching.OPENS_ON_B,
    ...     state_from=State.C2,
    ...     state_to=State.B2,
    ...     delay_s=None,
    ...     limit_s=0.1,
    ...     limit_kind="max",
    ...     outcome="undecided",
    ...     operations=1,
    ...     limit="timing.open-on-S2",
    ... )
    >>> print(*limits_cited([event, event], load_book()))
    at most 0.1 s: timing.open-on-S2, IEC 61851-1:2017, edition 3.0, Table A.6 sequence 8.1 (read)
    """
    lines = (
        f"{delay_limit_said(event)}: {event.limit}, {limit_source(limit)} ({limit.standing})"
        for event in events
        if event.limit
        for limit in (book.limit(event.limit),)
    )
    return tuple(dict.fromkeys(lines))


def height_said(output: OutputReading) -> str:
    """Return how high the second channel reads while live, in no more digits than it is known to.

    Parameters
    ----------
    output : OutputReading
        The second channel.

    Returns
    -------
    str
        Of mains its r.m.s. value, by two digits: its amplitude is read by percentiles, some hundredths too low.

    Examples
    --------
    >>> height_said(OutputReading(kind=OutputKind.MAINS, stated=True, live=(), amplitude_v=325.3))
    'about 230 V r.m.s. as read'
    >>> height_said(OutputReading(kind=OutputKind.LEVEL, stated=True, live=(), amplitude_v=12.004))
    '12 V high as read'
    """
    if output.kind is OutputKind.MAINS:
        rms = output.amplitude_v / math.sqrt(2.0)
        return f"about {format_value(float(f'{rms:.2g}'), 'V')} r.m.s. as read"
    return f"{format_value(float(f'{output.amplitude_v:.3g}'), 'V')} high as read"


def delay_limit_said(event: SwitchingEvent) -> str:
    """Return the limit of an event as printed.

    Parameters
    ----------
    event : SwitchingEvent
        The event.

    Returns
    -------
    str
        Such as "at most 0.1 s"; a dash where nothing limits it.
    """
    if event.limit_s is None:
        return "–"
    return f"{'at most' if event.limit_kind == 'max' else 'at least'} {number(event.limit_s)} s"
