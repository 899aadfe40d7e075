"""Delays of the output and their limits, as printed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from coldpin.quantity.model import Quantity
from coldpin.records.pilot import Switching, SwitchingEvent
from coldpin.report.numbers import each, measured, number
from coldpin.report.times import duration

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
            To the digits of the half-width; empty where there is none.

    Examples
    --------
    >>> delays_said([Quantity(0.2404, 0.0002, "s"), Quantity(0.2388, 0.0003, "s")])
    '0.24040, 0.23880 s, each ± 0.00059 s at most'
    >>> delays_said([Quantity(0.2404, 0.0002, "s"), Quantity(4.0, None, "s", low=4.0)])
    '0.24040 s ± 0.00039 s; at least 4 s'
    """
    said: list[str] = []
    for known, group in groupby(delays, key=lambda delay: bool(delay.expanded)):
        alike = list(group)
        if known and len(alike) > 1:
            said.append(each(alike))
        else:
            said.append(", ".join(delay_said(delay) for delay in alike))
    return "; ".join(said)


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
