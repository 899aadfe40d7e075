"""Event marks as people write them: "905 s ± 1 s = unlock", "14:32:10 ± 1 s @watch = offer lowered to 10 A"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta

from coldpin.errors import InputError, QuantityTextError, UnknownName
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.session import ClockOffset, EventMark, MarkKind
from coldpin.session.marks import LOG_CLOCK, running_times

_OFFER = re.compile(r"(?P<kind>offer lowered|offer raised)(?: to)?,?\s+(?P<offer>.+)")
_CLOCK = re.compile(r"(?P<time>.*?)\s*@\s*(?P<clock>\S.*)")
_STAMP = re.compile(r"(?P<stamp>\d{4}-\d\d-\d\d[T ]\d\d:\d\d\S*|\d{1,2}:\d\d(?::\d\d(?:[.,]\d+)?)?)(?P<rest>.*)")
_UNSURE = "how surely the mark was set is not stated: write '± 1 s' behind the time"
_FORMS = "write TIME=EVENT, such as '905 s ± 1 s=unlock' or '14:32:10 ± 1 s @watch=offer lowered to 10 A'"


def parse_mark(text: str, *, began: str = "", clock_steps: Sequence[tuple[float, float]] = ()) -> EventMark:
    """Read an event mark.

    Parameters
    ----------
    text : str
        Time, perhaps with its limits and "@" with the name of another clock, an equals sign, the event. A time with a
        unit counts from the log's first row, or by another clock from any zero of its own; a time of day or a date
        with time is one of the log's own calendar.
    began : str
        Date and time of the log's first row, ISO 8601; empty where the log has none.
    clock_steps : sequence of tuple of float
        Where the log's clock was set: seconds it had run from the first row, and by how much it was put forward; a
        time of its calendar is told as the clock ran. [s]

    Returns
    -------
    EventMark
        The mark. Where no limits are written its uncertainty is not known.

    Raises
    ------
    QuantityTextError
        The text is of no such form, a time of day is given and the log has no date, or its clock showed that time
        twice or never.
    UnitError
        A unit is unknown or of another kind.
    UnknownName
        The event is not known; all are listed.

    Examples
    --------
    >>> mark = parse_mark("905 s ± 1 s @watch = offer lowered to 10 A")
    >>> mark.kind.value, mark.at_s.value, mark.clock, mark.offer_a.value
    ('offer lowered', 905.0, 'watch', 10.0)
    >>> parse_mark("14:02:10 = unlock", began="2026-05-02T13:30:00").at_s.value
    1930.0
    """
    when, sign, what = text.partition("=")
    if not sign or not when.strip() or not what.strip():
        raise QuantityTextError(f"event mark {text!r} has no time or no event: {_FORMS}")
    by = _CLOCK.fullmatch(when.strip())
    shown, clock = (by["time"], by["clock"]) if by else (when.strip(), LOG_CLOCK)
    mark = EventMark(
        kind=MarkKind.OTHER, at_s=_time(shown, began, text, clock_steps if clock == LOG_CLOCK else ()), clock=clock
    )
    return _with_event(mark, what.strip())


def _with_event(mark: EventMark, what: str) -> EventMark:
    offered = _OFFER.fullmatch(what)
    if offered:
        return replace(mark, kind=MarkKind(offered["kind"]), offer_a=parse_quantity(offered["offer"], "A"))
    kinds = {kind.value: kind for kind in MarkKind}
    if what not in kinds:
        raise UnknownName.among("event", what, kinds)
    return replace(mark, kind=kinds[what])


def _time(shown: str, began: str, text: str, clock_steps: Sequence[tuple[float, float]]) -> Quantity:
    stamp = _STAMP.fullmatch(shown)
    if stamp is None:
        read = parse_quantity(shown, "s", id=f"mark {text}", label="mark")
        return read if read.u is not None else replace(read, why=_UNSURE)
    ran = running_times(_since(stamp["stamp"], began, text), clock_steps)
    if len(ran) != 1:
        raise QuantityTextError(
            f"event mark {text!r}: the log's clock was set, and showed this time {'twice' if ran else 'never'}: give "
            "the time from its first row, such as '905 s'"
        )
    seconds = ran[0]
    rest = stamp["rest"].strip()
    if not rest:
        return Quantity(seconds, None, "s", why=_UNSURE)
    limits = parse_quantity(f"0 s {rest}", "s", id=f"mark {text}", label="mark")
    return replace(limits, value=seconds, low=None, high=None)


def _since(stamp: str, began: str, text: str) -> float:
    """Return the seconds from the log's first row to a time of its calendar."""
    if not began:
        raise QuantityTextError(
            f"event mark {text!r}: the log has no date or time of day, so this is not a time of it; give the time from "
            "its first row, such as '905 s'"
        )
    first = datetime.fromisoformat(began)
    try:
        if "-" in stamp:
            then = datetime.fromisoformat(stamp.replace(" ", "T"))
        else:
            padded = stamp.replace(",", ".") if stamp[1] != ":" else f"0{stamp}"
            then = datetime.combine(first.date(), time.fromisoformat(padded), first.tzinfo)
            then += timedelta(days=1) if then < first else timedelta(0)
    except ValueError as error:
        raise QuantityTextError(f"event mark {text!r}: {stamp!r} is no time: {error}; {_FORMS}") from error
    if (then.tzinfo is None) != (first.tzinfo is None):
        then, first = then.replace(tzinfo=None), first.replace(tzinfo=None)
    return (then - first).total_seconds()


def parse_offset(text: str) -> ClockOffset:
    """Read the offset of a clock: what is to be added to its times to have those of the log.

    Parameters
    ----------
    text : str
        Such as "watch=12.5 s ± 1 s".

    Returns
    -------
    ClockOffset
        The offset.

    Raises
    ------
    QuantityTextError
        The text has no clock or no time.
    UnitError
        A unit is unknown or of another kind.

    Examples
    --------
    >>> parse_offset("watch=12.5 s ± 1 s").offset_s.value
    12.5
    """
    clock, sign, shown = text.partition("=")
    if not sign or not clock.strip():
        raise QuantityTextError(f"offset {text!r} names no clock: write CLOCK=TIME, such as 'watch=12.5 s ± 1 s'")
    offset = parse_quantity(shown.strip(), "s", id=f"offset of {clock.strip()}", label="offset of the clock")
    return ClockOffset(clock=clock.strip(), mark=MarkKind.OTHER, offset_s=offset)


_PRICE = re.compile(r"(?P<amount>\d+(?:[.,]\d+)?)\s*(?P<currency>[^\d\s/.,]+)\s*/\s*kWh")


def parse_price(text: str) -> tuple[float, str]:
    """Read a price of energy.

    Parameters
    ----------
    text : str
        Such as "0.35 EUR/kWh".

    Returns
    -------
    tuple of float and str
        For each kilowatt-hour, and the currency.

    Raises
    ------
    InputError
        It is of another form.

    Examples
    --------
    >>> parse_price("0,35 EUR/kWh"), parse_price("12 p/kWh")
    ((0.35, 'EUR'), (12.0, 'p'))
    """
    found = _PRICE.fullmatch(text.strip())
    if found is None:
        raise InputError(f"price {text!r}: write an amount, a currency and '/kWh', such as '0.35 EUR/kWh'")
    return float(found["amount"].replace(",", ".")), found["currency"]
