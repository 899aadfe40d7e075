"""From the cells of a log to the log: stamps to a time that rises, columns to the units of logs, what is to be said."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.log_clock import settle_clock
from coldpin.capture.log_columns import EPOCH, STEPS
from coldpin.capture.log_plan import LogPlan
from coldpin.capture.log_stamps import MICRO, TIME_OF_DAY, missing_cells, read_stamps
from coldpin.capture.log_values import doubtful_power, settle_values
from coldpin.capture.number import grammar_of, read_number, written_digits
from coldpin.capture.source import CaptureFile
from coldpin.errors import CaptureError
from coldpin.quantity.units import find_unit
from coldpin.records.dialect import Dialect
from coldpin.records.log import Log

if TYPE_CHECKING:
    import polars as pl


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogCapture:
    """A log as it was read.

    ``dialect`` says how it was read and where each part of that came from. ``remarks`` say what the reader had to do.
    ``preamble`` holds the lines above the header as they stand in the file. ``rows_read`` counts the rows met,
    ``rows_kept`` those that are in the log.
    """

    log: Log
    dialect: Dialect
    remarks: tuple[str, ...] = ()
    preamble: tuple[str, ...] = ()
    rows_read: int = 0
    rows_kept: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogRows:
    """The rows of a log as read: by column, numbers as arrays of shape (n,), times that are written out as n texts.

    ``line`` gives the line of the file for a row, ``rows_read`` counts the rows met.
    """

    numbers: Mapping[int, NDArray[np.float64]]
    texts: Mapping[int, pl.Series]
    kept: int
    rows_read: int
    line: Callable[[int], int]
    remarks: tuple[str, ...] = ()


def assemble_log(file: CaptureFile, plan: LogPlan, rows: LogRows) -> LogCapture:
    """Make a log of its rows.

    Parameters
    ----------
    file : CaptureFile
        The file, for messages.
    plan : LogPlan
        How it is read.
    rows : LogRows
        Its rows.

    Returns
    -------
    LogCapture
        The log.

    Raises
    ------
    CaptureError
        A stamp is none, rows are out of order, or there are none.
    """
    if not rows.kept:
        raise file.error("it holds no rows: export the log again")
    timed = _times(file, plan, rows)
    remarks = [*plan.remarks, *rows.remarks, *timed.remarks]
    channels = []
    for column in plan.channels:
        cells = [row[column.index] for row in plan.layout.rows]
        raw = rows.numbers[column.index][timed.known]
        channel, said = settle_values(raw, column, cells, plan.dialect.decimal_char)
        channels.append(channel)
        remarks += said
    remarks += doubtful_power(channels)
    places = np.flatnonzero(timed.known)

    def line(row: int) -> int:
        return rows.line(int(places[row]))

    clock = settle_clock(
        timed.stamps,
        resolution=timed.resolution,
        by_hand={_row_at(at, line, places.size): seconds for at, seconds in plan.clock_steps.items()},
        line=line,
        refuse=lambda text, row: file.error(text, line=line(row)),
        midnight=timed.form == TIME_OF_DAY,
        dated=bool(timed.began),
    )
    told = tuple(dict.fromkeys((*remarks, *clock.remarks)))
    log_table = plan.dialect.log
    assert log_table is not None, "the plan of a log has the table of a log"
    origin = {**plan.dialect.origin, **({"time_form": timed.origin} if timed.origin else {})}
    return LogCapture(
        log=Log(
            time_s=clock.time_s,
            channels=tuple(channels),
            began=timed.began,
            clock_steps=clock.steps,
            remarks=told,
        ),
        dialect=replace(plan.dialect, log=replace(log_table, time_form=timed.form), origin=origin),
        remarks=told,
        preamble=plan.preamble,
        rows_read=rows.rows_read,
        rows_kept=int(places.size),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Timed:
    """Stamps in seconds from the first row that has a time; ``known`` is false for rows without one."""

    stamps: NDArray[np.float64]
    known: NDArray[np.bool_]
    resolution: float
    form: str
    began: str = ""
    origin: str = ""
    remarks: tuple[str, ...] = ()


def _times(file: CaptureFile, plan: LogPlan, rows: LogRows) -> _Timed:
    time = plan.time
    if time.form == STEPS:
        step = plan.dialect.step
        assert step is not None, "rows without a time have a step"
        every = np.ones(rows.kept, np.bool_)
        even = np.arange(rows.kept, dtype=np.float64) * step
        return _Timed(stamps=even, known=every, resolution=0.0, form=STEPS)
    assert time.index is not None, "a time that is no step stands in a column"
    if time.index in rows.texts:
        return _stamped(file, plan, rows)
    values = rows.numbers[time.index]
    known = np.isfinite(values)
    _require_some(known, time.label)
    factor = find_unit(time.unit).factor
    cells = [row[time.index] for row in plan.layout.rows]
    first = values[known][0]
    stamps: NDArray[np.float64] = (values[known] - first) * float(factor.numerator) / float(factor.denominator)
    began = _epoch(float(first), float(factor)) if time.form == EPOCH else ""
    return _Timed(
        stamps=stamps,
        known=known,
        resolution=_last_place(cells, plan.dialect.decimal_char) * float(factor),
        form=time.form,
        began=began,
        remarks=_timeless(known),
    )


def _stamped(file: CaptureFile, plan: LogPlan, rows: LogRows) -> _Timed:
    time = plan.time
    assert time.index is not None, "stamps stand in a column"
    column, grammar = rows.texts[time.index], grammar_of(plan.dialect)
    known = ~missing_cells(column, grammar.missing)
    if time.date is not None:
        known &= ~missing_cells(rows.texts[time.date], grammar.missing)
        column = rows.texts[time.date] + " " + column
    _require_some(known, time.label)

    order = plan.date_order or "of the others"

    def refuse(cell: str, row: int) -> CaptureError:
        return file.error(
            f"{cell[:60]!r} is no date and time that exists in the order {order}: mend the cell, or say --date-order",
            line=rows.line(row),
            column=time.label,
        )

    stamps = read_stamps(
        column,
        known=known,
        said=plan.date_order,
        refuse=refuse,
    )
    micros = stamps.micros[known]
    return _Timed(
        stamps=(micros - micros[0]) / MICRO,
        known=known,
        resolution=stamps.resolution,
        form=stamps.form,
        began=stamps.began,
        origin=stamps.origin,
        remarks=_timeless(known),
    )


def _require_some(known: NDArray[np.bool_], label: str) -> None:
    if not known.any():
        raise CaptureError(f"column {label!r}, the time, is empty throughout: name another with --time")


def _timeless(known: NDArray[np.bool_]) -> tuple[str, ...]:
    lost = int(known.size - known.sum())
    return (f"rows without a time, left out: {lost} of {known.size}",) if lost else ()


def _last_place(cells: Sequence[str], decimal_char: str) -> float:
    places = [written_digits(cell, decimal_char)[0] for cell in cells if read_number(cell, decimal_char) is not None]
    return float(10.0 ** min(places)) if places else 0.0


def _epoch(count: float, factor: float) -> str:
    try:
        return datetime.fromtimestamp(count * factor, tz=UTC).isoformat()
    except (OverflowError, ValueError, OSError):
        return ""


def _row_at(wanted: int, line: Callable[[int], int], rows: int) -> int:
    """Return the index of the first row at a line of the file or after it."""
    low, high = 0, rows
    while low < high:
        middle = (low + high) // 2
        if line(middle) < wanted:
            low = middle + 1
        else:
            high = middle
    return low
