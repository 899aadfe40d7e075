"""Dates and times of day in the cells of a log: one grammar, and the order of a date never guessed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import AmbiguousDialect

if TYPE_CHECKING:
    import polars as pl

YMD, DMY, MDY = "year month day", "day month year", "month day year"
TIME_OF_DAY = "time of day"

MICRO = 1_000_000
"""Stamps are counted in whole microseconds, so that no digit is lost beside fifty years of seconds."""

_MINUTE, _HOUR, _DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
_UNIT = timedelta(microseconds=1)
_NOON = 12
_FRACTION_DIGITS = 6
_LONG_YEAR = 4
_CENTURY = 2000
_EPOCH = date(1970, 1, 1)

_DATE = r"(?P<a>\d{1,4})(?P<sign>[-/.])(?P<b>\d{1,2})(?P=sign)(?P<c>\d{1,4})"
_CLOCK = (
    r"(?P<h>\d{1,4}):(?P<m>\d{2})(?::(?P<s>\d{2})(?:[.,](?P<f>\d{1,9}))?)?"
    r"(?:\s*(?P<half>[AaPp])\.?[Mm]\.?)?\s*(?P<zone>[Zz]|[+-]\d{2}:?\d{2})?"
)
_DATE_CELL = re.compile(_DATE)
_CLOCK_CELL = re.compile(_CLOCK)
_STAMP_CELL = re.compile(rf"(?P<date>{_DATE})(?P<join>[Tt_ ,]\s*)(?P<clock>{_CLOCK})")
_SPLIT = r"^([0-9]+[-/.][0-9]+[-/.][0-9]+)(?:[Tt_ ,]\s*(.*))?$"


def stamp_kind(cell: str) -> str:
    """Say what a cell of text may be of a date and time.

    Parameters
    ----------
    cell : str
        The cell.

    Returns
    -------
    str
        "stamp" for a date with a time, "date", "clock" for a time of day, or the empty text.

    Examples
    --------
    >>> [stamp_kind(cell) for cell in ("2026-05-02T14:30", "2.5.2026", "2:30:01 pm", "charging")]
    ['stamp', 'date', 'clock', '']
    """
    for kind, pattern in (("stamp", _STAMP_CELL), ("date", _DATE_CELL), ("clock", _CLOCK_CELL)):
        if pattern.fullmatch(cell):
            return kind
    return ""


def orders_possible(dates: Iterable[str]) -> tuple[str, ...]:
    """Return the orders in which every one of some dates exists.

    Parameters
    ----------
    dates : iterable of str
        Dates as written.

    Returns
    -------
    tuple of str
        Among "year month day", "day month year" and "month day year"; one stands for all where each gives the same
        days.

    Examples
    --------
    >>> orders_possible(["2007-02-01"]), orders_possible(["3/4/2026"]), orders_possible(["3/4/2026", "13/4/2026"])
    (('year month day',), ('day month year', 'month day year'), ('day month year',))
    """
    found: dict[tuple[int | None, ...], str] = {}
    written = sorted(set(dates))
    for order in (YMD, DMY, MDY):
        days = tuple(_days(text, order) for text in written)
        if None not in days:
            found.setdefault(days, order)
    return tuple(found.values())


def choose_order(dates: Iterable[str], said: str) -> tuple[str, str]:
    """Return the order of the dates of a log, and where that came from.

    Parameters
    ----------
    dates : iterable of str
        Dates as written, all of the log.
    said : str
        The order said by hand, or the empty text.

    Returns
    -------
    tuple of str
        The order; "" as its origin where the dates themselves tell.

    Raises
    ------
    AmbiguousDialect
        Several orders give different days; the message lists them with the option to type.
    """
    if said:
        return said, "given by hand"
    written = sorted(set(dates))
    orders = orders_possible(written)
    dotted = all("." in text for text in written)
    if len(orders) > 1 and dotted and DMY in orders and all(_long_year(text) for text in written):
        return DMY, "by its dots, which stand behind day and month"
    if len(orders) > 1:
        names = {YMD: "ymd", DMY: "dmy", MDY: "mdy"}
        ways = ", ".join(f"--date-order {names[order]} ({_shown(written[0], order)})" for order in orders)
        raise AmbiguousDialect(f"the date {written[0]!r} can be read in {len(orders)} ways: say {ways}")
    return (orders[0], "") if orders else (YMD, "")


def _long_year(text: str) -> bool:
    found = _DATE_CELL.fullmatch(text)
    return found is not None and len(found["c"]) == _LONG_YEAR


def _shown(text: str, order: str) -> str:
    days = _days(text, order)
    assert days is not None, "an order that is possible gives a day"
    return f"{_EPOCH + timedelta(days=days):%d %B %Y}"


def _days(text: str, order: str) -> int | None:
    """Return the days from 1970 to a date as written, None where there is no such day."""
    found = _DATE_CELL.fullmatch(text)
    if found is None:
        return None
    parts = found["a"], found["b"], found["c"]
    year, month, day = {YMD: parts, DMY: parts[::-1], MDY: (parts[2], parts[0], parts[1])}[order]
    if len(year) not in (2, _LONG_YEAR) or max(len(month), len(day)) > 2:
        return None
    full = int(year) if len(year) == _LONG_YEAR else int(year) + _CENTURY
    try:
        return (date(full, int(month), int(day)) - _EPOCH).days
    except ValueError:
        return None


def _clock(text: str) -> tuple[int, int | None] | None:
    """Return a time of day in microseconds, and the offset of its zone where it names one; None where it is none."""
    found = _CLOCK_CELL.fullmatch(text)
    if found is None:
        return None
    hour, minute, second = int(found["h"]), int(found["m"]), int(found["s"] or 0)
    if found["half"]:
        if not 1 <= hour <= _NOON:
            return None
        hour = hour % _NOON + (_NOON if found["half"] in "Pp" else 0)
    if minute * _MINUTE >= _HOUR or second * MICRO * _UNIT >= _MINUTE:
        return None
    fraction = int((found["f"] or "").ljust(_FRACTION_DIGITS, "0")[:_FRACTION_DIGITS])
    micros = (hour * _HOUR + minute * _MINUTE + timedelta(seconds=second)) // _UNIT + fraction
    return micros, _offset(found["zone"])


def _offset(zone: str | None) -> int | None:
    if not zone:
        return None
    if zone in "Zz":
        return 0
    digits = zone[1:].replace(":", "")
    size = (int(digits[:2]) * _HOUR + int(digits[2:]) * _MINUTE) // _UNIT
    return -size if zone[0] == "-" else size


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamps:
    """A column of stamps as read.

    ``micros``: array of shape (n,), microseconds from 1970 by the clock of the file (from midnight for a time of day),
    zones taken away, zero where the cell is missing. ``resolution`` is the last place written [s], ``began`` the first
    stamp in ISO 8601, empty for a time of day.
    """

    micros: NDArray[np.int64]
    resolution: float
    began: str
    form: str
    origin: str


def read_stamps(
    column: pl.Series, *, known: NDArray[np.bool_], said: str, refuse: Callable[[str, int], Exception]
) -> Stamps:
    """Read a column of stamps or of times of day.

    Parameters
    ----------
    column : pl.Series
        The cells, n texts.
    known : ndarray
        Array of shape (n,), false where a cell is a mark for "missing"; at least one is true.
    said : str
        The order of the dates said by hand or kept, or the empty text.
    refuse : callable
        Builds the error for a cell and its row.

    Returns
    -------
    Stamps
        The column read.

    Raises
    ------
    AmbiguousDialect
        The order of the dates cannot be told.
    CaptureError
        A cell is no stamp; what ``refuse`` returned.
    """
    first = int(np.argmax(known))
    head = column[first]
    dates, clocks = _parts(column, head)
    micros = np.zeros(column.len(), np.int64)
    form, origin = TIME_OF_DAY, ""
    day_texts: list[str] = []
    if dates is not None:
        day_texts = dates.filter(known).unique().to_list()
        proper = [text for text in day_texts if _DATE_CELL.fullmatch(text)]
        form, origin = choose_order(proper, said)
        micros += _mapped(dates, lambda text: _whole_day(text, form), known, column, refuse)
    clock_of = {text: _clock(text) for text in clocks.filter(known).unique().to_list() if text}
    micros += _mapped(clocks, lambda text: _in_zone(clock_of.get(text)) if text else 0, known, column, refuse)
    began = _began(int(micros[first]), clock_of.get(clocks[first])) if dates is not None else ""
    return Stamps(
        micros=micros,
        resolution=_resolution([text for text in clock_of if text]),
        began=began,
        form=form,
        origin=origin,
    )


def missing_cells(column: pl.Series, marks: frozenset[str]) -> NDArray[np.bool_]:
    """Say which cells are marks for "missing".

    Parameters
    ----------
    column : pl.Series
        n texts.
    marks : frozenset of str
        The marks, folded.

    Returns
    -------
    ndarray
        Array of shape (n,).

    Examples
    --------
    >>> import polars as pl
    >>> missing_cells(pl.Series(["12:00", "NA", ""]), frozenset({"na", ""})).tolist()
    [False, True, True]
    """
    longest = max(map(len, marks), default=0)
    short = column.filter(column.str.len_chars() <= longest).unique().to_list()
    return column.is_in([cell for cell in short if cell.casefold() in marks]).to_numpy()


def _parts(column: pl.Series, head: str) -> tuple[pl.Series | None, pl.Series]:
    """Split stamps into dates and times of day; no dates where the column holds times of day alone."""
    found = _STAMP_CELL.fullmatch(head)
    if found is None and _CLOCK_CELL.fullmatch(head):
        return None, column
    if found is not None:
        lengths = column.str.len_bytes()
        cut, begin = found.end("date"), found.start("clock")
        even = lengths.min() == lengths.max() == len(head.encode())
        if even and bool((column.str.slice(cut, begin - cut) == found["join"]).all()):
            return column.str.slice(0, cut), column.str.slice(begin)
    dates = column.str.extract(_SPLIT, 1).fill_null(column)
    return dates, column.str.extract(_SPLIT, 2).fill_null("")


def _whole_day(text: str, order: str) -> int | None:
    days = _days(text, order)
    return None if days is None else days * (_DAY // _UNIT)


def _in_zone(read: tuple[int, int | None] | None) -> int | None:
    return None if read is None else read[0] - (read[1] or 0)


def _mapped(
    texts: pl.Series,
    value: Callable[[str], int | None],
    known: NDArray[np.bool_],
    column: pl.Series,
    refuse: Callable[[str, int], Exception],
) -> NDArray[np.int64]:
    """Return what each text stands for; each different text is read once."""
    import polars as pl

    different = texts.unique()
    values = [value(text) for text in different.to_list()]
    read = texts.replace_strict(different, pl.Series(values, dtype=pl.Int64), return_dtype=pl.Int64)
    wrong = read.is_null().to_numpy() & known
    if wrong.any():
        row = int(np.argmax(wrong))
        raise refuse(column[row], row)
    return read.fill_null(0).to_numpy()


def _resolution(clocks: list[str]) -> float:
    """Return the last place to which times are written. [s]"""
    digits = -1
    seconds = False
    for text in clocks:
        found = _CLOCK_CELL.fullmatch(text)
        if found is not None and found["s"]:
            seconds = True
            digits = max(digits, len(found["f"] or ""))
    if not seconds:
        return _MINUTE.total_seconds() if clocks else _DAY.total_seconds()
    return float(10.0 ** -max(digits, 0))


def _began(micros: int, clock: tuple[int, int | None] | None) -> str:
    """Return the first stamp as the clock of the file showed it, with its zone where it names one."""
    zone = clock[1] if clock is not None else None
    moment = datetime.combine(_EPOCH, time(0), tzinfo=UTC) + timedelta(microseconds=micros + (zone or 0))
    plain = moment.replace(tzinfo=None).isoformat()
    if zone is None:
        return plain
    hours, minutes = divmod(abs(zone) // (_MINUTE // _UNIT), _HOUR // _MINUTE)
    return f"{plain}{'-' if zone < 0 else '+'}{hours:02d}:{minutes:02d}"
