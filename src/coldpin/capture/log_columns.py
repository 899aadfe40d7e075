"""Which column of a log is the time, which hold quantities, and in which unit; what is not told is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coldpin.capture.columns import BY_HAND, FROM_HEADER, SEEN, column_label, find_column
from coldpin.capture.header import Heading
from coldpin.capture.layout import Layout
from coldpin.capture.log_choices import LogChoices, Said, check_log_unit
from coldpin.capture.log_header import heading_quantity, is_time_heading, is_time_name, name_allows
from coldpin.capture.log_stamps import TIME_OF_DAY, stamp_kind
from coldpin.capture.number import read_number
from coldpin.errors import AmbiguousDialect, CaptureError
from coldpin.records.log import LOG_UNITS, LogQuantity

NUMBER, EPOCH, STEPS, STAMP = "number", "epoch", "steps", "stamp"
"""Forms of a time; that of stamps is settled once all dates are known."""

_SHOWN_ROWS = 3
_LISTED = 12

_EPOCH_RANGES = (("s", 1e9, 5e9), ("ms", 1e12, 5e12))
"""Ours: numbers between these count seconds or milliseconds since 1970 and lie between 2001 and 2128."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeColumn:
    """Which column holds the time, and which the date where that is another; None and no label where there is none.

    ``form`` is "number" or "epoch" with a ``unit``, "steps", "stamp" or "time of day".
    """

    index: int | None
    label: str
    form: str
    unit: str = ""
    date: int | None = None
    date_label: str = ""
    origin: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LogColumn:
    """One column of numbers: what it holds, its unit as written, and whether a person said that it is meant."""

    index: int
    label: str
    quantity: LogQuantity
    unit: str
    meant: bool = False


def written_times(time: TimeColumn) -> tuple[int, ...]:
    """Return the columns whose cells are dates or times of day, written out.

    Parameters
    ----------
    time : TimeColumn
        Which column is the time.

    Returns
    -------
    tuple of int
        Their indices; none where the time is a count or a step.
    """
    if time.form not in (STAMP, TIME_OF_DAY):
        return ()
    return tuple(index for index in (time.date, time.index) if index is not None)


def first_rows(layout: Layout) -> AmbiguousDialect:
    """Build the question that a log without a header asks: its first rows, column by column, and the options to type.

    Parameters
    ----------
    layout : Layout
        The layout of the rows.

    Returns
    -------
    AmbiguousDialect
        The error, to be raised by the caller.
    """
    shown = [
        f"column {index + 1}: {', '.join(row[index] or 'empty' for row in layout.rows[:_SHOWN_ROWS])}"
        for index in range(min(layout.columns, _LISTED))
    ]
    numbers = [index for index, kind in enumerate(layout.kinds) if kind == "number"]
    stamped = any(stamp_kind(cell) for cell in layout.rows[0])
    time = "" if stamped or len(numbers) < 2 else f"--time {numbers[0] + 1}:s "
    return AmbiguousDialect(
        f"no header names its columns ({'; '.join(shown)}): say which holds what and in which unit, such as "
        f"{time}--column power={numbers[-1] + 1}:W; quantities are {', '.join(LogQuantity)}"
    )


def choose_time(layout: Layout, choices: LogChoices) -> tuple[TimeColumn, tuple[str, ...]]:
    """Say which column is the time: by hand, by its cells where they are dates and times, else by its heading.

    Parameters
    ----------
    layout : Layout
        The layout of the rows.
    choices : LogChoices
        What was said by hand.

    Returns
    -------
    tuple
        The time column; remarks.

    Raises
    ------
    AmbiguousDialect
        Several columns may be meant.
    CaptureError
        There is none, and no step was said.
    """
    headings = layout.headings
    kinds = [_cells_kind(layout, index) for index in range(layout.columns)]
    date = find_column(headings, choices.date, role="date") if choices.date else None
    if choices.time:
        index = find_column(headings, choices.time, role="time")
        return _by_hand(layout, choices, index, date, kinds), ()
    if choices.table.step is not None:
        return TimeColumn(index=None, label="", form=STEPS, origin=BY_HAND), ()
    stamps = [index for index, kind in enumerate(kinds) if kind == "stamp"]
    clocks = [index for index, kind in enumerate(kinds) if kind == "clock"]
    dates = [index for index, kind in enumerate(kinds) if kind == "date"]
    if date is None and len(dates) == 1 and not stamps:
        date = dates[0]
    found = stamps or clocks or ([] if date is None else [date])
    if len(found) > 1:
        named = [index for index in found if is_time_name(headings[index])]
        found = named if len(named) == 1 else found
    if len(found) > 1:
        raise AmbiguousDialect(f"{len(found)} columns hold times: {_options(headings, found)}")
    if found:
        index = found[0]
        others = [other for other in _numeric_times(layout) if not stamps or is_time_name(headings[other])]
        said = (
            f"column {column_label(headings, others[0])!r} could be the time as well; say --time for it"
            if others
            else ""
        )
        form = STAMP if stamps or date is not None else TIME_OF_DAY
        date = None if index == date or stamps else date
        return _time_column(layout, index, form, date=date, origin=SEEN), (said,) if said else ()
    return _numeric(layout)


def _cells_kind(layout: Layout, index: int) -> str:
    if layout.kinds[index] != "text":
        return ""
    kinds = {stamp_kind(row[index]) for row in layout.rows if row[index]}
    if "stamp" in kinds and kinds <= {"stamp", "date"}:
        return "stamp"
    return kinds.pop() if len(kinds) == 1 else ""


def _by_hand(layout: Layout, choices: LogChoices, index: int, date: int | None, kinds: Sequence[str]) -> TimeColumn:
    if layout.kinds[index] == "number":
        heading = layout.headings[index]
        unit = choices.time_unit or (heading.unit if heading.kind == "time" else None) or "s"
        form = EPOCH if choices.epoch else NUMBER
        return _time_column(layout, index, form, unit=unit, origin=BY_HAND)
    if not kinds[index]:
        cell = next((row[index] for row in layout.rows if row[index]), "nothing")
        raise CaptureError(
            f"column {column_label(layout.headings, index)!r}, taken for the time, holds {cell[:60]!r}, which is no "
            "date and time; readable are 2026-05-02 14:30:00, 2/5/2026 14:30, 14:30:00 and counts of seconds"
        )
    form = TIME_OF_DAY if kinds[index] == "clock" and date is None else STAMP
    return _time_column(layout, index, form, date=date, origin=BY_HAND)


def _time_column(
    layout: Layout, index: int, form: str, *, unit: str = "", date: int | None = None, origin: str
) -> TimeColumn:
    return TimeColumn(
        index=index,
        label=column_label(layout.headings, index),
        form=form,
        unit=unit,
        date=date,
        date_label="" if date is None else column_label(layout.headings, date),
        origin=origin,
    )


def _numeric_times(layout: Layout) -> list[int]:
    headings = layout.headings
    return [i for i, kind in enumerate(layout.kinds) if kind == "number" and is_time_heading(headings[i])]


def _numeric(layout: Layout) -> tuple[TimeColumn, tuple[str, ...]]:
    headings = layout.headings
    found = _numeric_times(layout)
    if len(found) > 1:
        named = [index for index in found if is_time_name(headings[index])]
        found = named if len(named) == 1 else found
    if len(found) > 1:
        raise AmbiguousDialect(f"{len(found)} columns can be the time: {_options(headings, found)}")
    if not found:
        shown = ", ".join(repr(column_label(headings, index)) for index in range(min(layout.columns, _LISTED)))
        raise CaptureError(
            f"no column can be the time (columns: {shown}): name it with --time COLUMN:UNIT, such as --time 1:s, or "
            "say --step, such as --step '1 min', where the rows follow each other evenly"
        )
    index = found[0]
    heading, label = headings[index], column_label(headings, index)
    if heading.kind == "time":
        assert heading.unit is not None, "a heading of a kind has a unit"
        return _time_column(layout, index, NUMBER, unit=heading.unit, origin=FROM_HEADER), ()
    value = next((v for row in layout.rows if (v := read_number(row[index], layout.decimal_char)) is not None), 0.0)
    for unit, low, high in _EPOCH_RANGES:
        if low <= value < high:
            said = (
                f"column {label!r} counts {unit} since 1970 by the size of its numbers; --time {label}:s says otherwise"
            )
            return _time_column(layout, index, EPOCH, unit=unit, origin=SEEN), (said,)
    said = f"no unit is given for the time in column {label!r}; s was taken (--time {label}:min says another)"
    return _time_column(layout, index, NUMBER, unit="s", origin=FROM_HEADER), (said,)


def choose_channels(
    layout: Layout, choices: LogChoices, time: TimeColumn, *, complete: bool
) -> tuple[tuple[LogColumn, ...], tuple[str, ...]]:
    """Say what the other columns hold, by hand, else by unit and name.

    Parameters
    ----------
    layout : Layout
        The layout of the rows.
    choices : LogChoices
        What was said by hand.
    time : TimeColumn
        Which column is the time.
    complete : bool
        True where ``choices`` name every column, as those of a kept dialect do.

    Returns
    -------
    tuple
        The columns, those said by hand first; remarks.

    Raises
    ------
    AmbiguousDialect
        No column tells its quantity and unit; the message lists those that lack one, with the options to type.
    CaptureError
        A unit is not known, or a column cannot hold what was said.
    """
    headings = layout.headings
    taken = {index for index in (time.index, time.date) if index is not None}
    found: list[LogColumn] = []
    for said in choices.columns:
        column = _said(layout, said, complete=complete)
        if column.index in taken:
            raise CaptureError(f"column {column.label!r} is given twice: as {said.quantity} and as something else")
        taken.add(column.index)
        found.append(column)
    unitless: list[tuple[str, LogQuantity]] = []
    remarks: list[str] = []
    for index, heading in enumerate(headings):
        if index in taken or complete or layout.kinds[index] == "text":
            continue
        if layout.kinds[index] == "empty" and heading_quantity(heading) is None:
            continue
        column, said_of_it = _by_heading(headings, index, heading)
        remarks += said_of_it
        quantity = heading_quantity(heading)
        if quantity is not None and column.quantity is LogQuantity.OTHER:
            unitless.append((column.label, quantity))
        found.append(column)
    if not any(column.quantity is not LogQuantity.OTHER for column in found) and not choices.columns:
        raise _nothing_known(found, unitless)
    if unitless:
        names = ", ".join(f"{label!r} ({quantity})" for label, quantity in unitless[:_LISTED])
        label, quantity = unitless[0]
        remarks.append(
            f"no unit is given for {names}: kept as written and used for nothing; say --column "
            f"{_quoted(f'{quantity}={label}:{LOG_UNITS[quantity]}')} or another unit"
        )
    return tuple(found), tuple(remarks)


def _said(layout: Layout, said: Said, *, complete: bool) -> LogColumn:
    headings = layout.headings
    index = find_column(headings, said.column, role=f"column {said.quantity}", sign="=")
    heading, label = headings[index], column_label(headings, index)
    if layout.kinds[index] == "text":
        raise CaptureError(f"column {label!r}, said to be a {said.quantity}, holds text: give one of numbers")
    unit = said.unit or heading.unit or ""
    if said.quantity is LogQuantity.OTHER:
        return LogColumn(index=index, label=label, quantity=said.quantity, unit=unit)
    if not unit and said.quantity is LogQuantity.POWER_FACTOR:
        unit = "1"
    if not unit:
        usual = LOG_UNITS[said.quantity]
        raise CaptureError(
            f"column {label!r}, said to be a {said.quantity}, has no unit: say it behind a colon, such as --column "
            f"{_quoted(f'{said.quantity}={said.column}:{usual}')}"
        )
    remedy = (
        "" if said.unit else f": say --column {_quoted(f'{said.quantity}={said.column}:{LOG_UNITS[said.quantity]}')}"
    )
    check_log_unit(unit, said.quantity, f"column {label!r}", remedy)
    return LogColumn(index=index, label=label, quantity=said.quantity, unit=unit, meant=not complete)


def _by_heading(headings: Sequence[Heading], index: int, heading: Heading) -> tuple[LogColumn, list[str]]:
    label = column_label(headings, index)
    quantity = heading_quantity(heading)
    other = LogColumn(index=index, label=label, quantity=LogQuantity.OTHER, unit=heading.unit or "")
    if quantity is None:
        return other, []
    if heading.unit is None:
        if quantity is not LogQuantity.POWER_FACTOR:
            return other, []
        return LogColumn(index=index, label=label, quantity=quantity, unit="1"), []
    remedy = f": mend the header, or say --column {_quoted(f'{quantity}={label}:{LOG_UNITS[quantity]}')}"
    check_log_unit(heading.unit, quantity, f"column {label!r}", remedy)
    remarks = []
    if not name_allows(heading.name, quantity):
        remarks.append(f"column {label!r} is in {heading.unit} and was taken for a {quantity}, whatever its name says")
    return LogColumn(index=index, label=label, quantity=quantity, unit=heading.unit), remarks


def _nothing_known(found: Sequence[LogColumn], unitless: Sequence[tuple[str, LogQuantity]]) -> AmbiguousDialect:
    if unitless:
        ways = ", ".join(
            f"--column {_quoted(f'{quantity}={label}:{LOG_UNITS[quantity]}')}" for label, quantity in unitless[:_LISTED]
        )
        return AmbiguousDialect(
            "no column has a unit, so that W and kW cannot be told apart: say those that you need, each in its unit, "
            f"such as {ways}"
        )
    shown = ", ".join(repr(column.label) for column in found[:_LISTED]) or "none"
    return AmbiguousDialect(
        f"no column tells by its name what it holds (columns: {shown}): say it with --column QUANTITY=COLUMN:UNIT, "
        f"such as --column power=3:W; quantities are {', '.join(LogQuantity)}"
    )


def _quoted(text: str) -> str:
    return f"'{text}'" if " " in text else text


def _options(headings: Sequence[Heading], indices: Sequence[int]) -> str:
    labels = (column_label(headings, index) for index in indices)
    return ", ".join(f"--time {_quoted(label)}" for label in labels)
