"""Logs from files: rows at uneven times, each column in the unit logs are kept in; what is not told is asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.log_choices import LOG_CHOICES, LogChoices, Value, parse_log_choices
from coldpin.capture.log_clock import settle_clock
from coldpin.capture.log_columns import EPOCH, STAMP, STEPS, TimeColumn
from coldpin.capture.log_plan import LogPlan, keep_log_plan, make_log_plan, recall_log_plan
from coldpin.capture.log_rows import LogReader
from coldpin.capture.log_stamps import MICRO, TIME_OF_DAY, missing_cells, read_stamps
from coldpin.capture.log_values import doubtful_power, settle_values
from coldpin.capture.number import CellGrammar, grammar_of, read_number, written_digits
from coldpin.capture.plan import naming
from coldpin.capture.record import Progress
from coldpin.capture.signature import content_signature, is_text
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import TableForm
from coldpin.capture.text_plan import last_form
from coldpin.errors import CaptureError
from coldpin.quantity.units import find_unit
from coldpin.records.dialect import Dialect
from coldpin.records.log import Log

if TYPE_CHECKING:
    import polars as pl

__all__ = ["LOG_CHOICES", "LogCapture", "read_log"]

_HEAD = 4096


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


def read_log(
    path: str | PathLike[str],
    *,
    dialect: Dialect | None = None,
    choices: Mapping[str, Value] | None = None,
    remembered: Dialect | None = None,
    progress: Progress | None = None,
) -> LogCapture:
    """Read a log: rows with a time, or a date and time, and columns of power, current, temperature and the like.

    Steps may be uneven. A time that goes back is taken for a setting of the logger's clock and said; one that jumps
    ahead is a gap, unless it is said by hand that the clock was put forward.

    Parameters
    ----------
    path : str or path
        The file: rows of text.
    dialect : Dialect or None
        How the log is to be read, to the letter (as kept with the evidence).
    choices : mapping of str to str, float, int or sequence of str
        Options by hand, which go before everything else; the keys are ``LOG_CHOICES``.
    remembered : Dialect or None
        How the instrument's logs were read before: tried first, dropped with a remark where it does not fit.
    progress : callable or None
        Told between two batches how much of the file has been read, from 0 to 1; what it raises (``Interrupted``)
        stops the work.

    Returns
    -------
    LogCapture
        The log, the dialect with the origin of each field, remarks and preamble.

    Raises
    ------
    CaptureError
        The file cannot be read: the message names file, row, column and text, and what to do.
    AmbiguousDialect
        It can be read in several ways: the message lists them with the option to type.
    UnknownName
        A key of ``choices`` or a quantity is unknown.
    """
    said = parse_log_choices(choices or {})
    with CaptureFile(Path(path)) as file:
        _refuse_other(file, said, dialect)
        if dialect is not None:
            return _read(file, keep_log_plan(file, dialect, said), progress)
        if remembered is None:
            return _read(file, make_log_plan(file, said), progress)
        try:
            return _read(file, recall_log_plan(file, remembered, said), progress)
        except CaptureError as error:
            plan = make_log_plan(file, said)
            told = str(error).removeprefix(file.place())
            dropped = f"the dialect remembered for this instrument does not fit ({told}); the file was looked at afresh"
            return _read(file, replace(plan, remarks=(dropped, *plan.remarks)), progress)


def _refuse_other(file: CaptureFile, said: LogChoices, dialect: Dialect | None) -> None:
    if file.size == 0:
        raise file.error("the file is empty: export the log again")
    head = file.head(_HEAD)
    encoding = said.table.encoding or (dialect.encoding if dialect else "")
    if is_text(head) or (encoding.startswith("utf-16") and not content_signature(head)):
        return
    content = content_signature(head) or "binary, not text"
    raise file.error(f"its content is {content}; a log is read from rows of text: export it as CSV")


def _read(file: CaptureFile, plan: LogPlan, progress: Progress | None) -> LogCapture:
    with naming(file):
        grammar = grammar_of(plan.dialect)
        reader = LogReader(file, _form(plan, grammar), grammar, texts=_texts(plan.time), header=_header(plan))
        numbers, texts = reader.read_columns(progress)
        if not reader.kept:
            raise file.error("it holds no rows: export the log again")
        timed = _times(file, plan, grammar, reader, numbers, texts)
        remarks = [*plan.remarks, *reader.table.remarks, *timed.remarks]
        channels = []
        for column in plan.channels:
            cells = [row[column.index] for row in plan.layout.rows]
            raw = numbers[column.index][timed.known]
            channel, said = settle_values(raw, column, cells, plan.dialect.decimal_char)
            channels.append(channel)
            remarks += said
        remarks += doubtful_power(channels)
        rows = np.flatnonzero(timed.known)

        def line(row: int) -> int:
            return reader.table.row(int(rows[row]))

        lines = {line_of: _row_of(line_of, line, rows.size) for line_of in plan.clock_steps}
        clock = settle_clock(
            timed.stamps,
            resolution=timed.resolution,
            by_hand={lines[at]: seconds for at, seconds in plan.clock_steps.items()},
            line=line,
            refuse=lambda text, row: file.error(text, line=line(row)),
            midnight=timed.form == TIME_OF_DAY,
            dated=bool(timed.began),
        )
        said_all = tuple(dict.fromkeys((*remarks, *clock.remarks)))
        log_table = plan.dialect.log
        assert log_table is not None, "the plan of a log has the table of a log"
        origin = {**plan.dialect.origin, **({"time_form": timed.origin} if timed.origin else {})}
        return LogCapture(
            log=Log(
                time_s=clock.time_s,
                channels=tuple(channels),
                began=timed.began,
                clock_steps=clock.steps,
                remarks=said_all,
            ),
            dialect=replace(plan.dialect, log=replace(log_table, time_form=timed.form), origin=origin),
            remarks=said_all,
            preamble=plan.preamble,
            rows_read=reader.table.rows_read,
            rows_kept=int(rows.size),
        )


def _form(plan: LogPlan, grammar: CellGrammar) -> TableForm:
    headings = plan.layout.headings
    time = plan.time
    places = [index for index in (time.date, time.index) if index is not None]
    wanted = tuple(dict.fromkeys([*places, *(column.index for column in plan.channels)]))
    shape, empty = last_form(plan.layout, grammar)
    return TableForm(
        encoding=plan.dialect.encoding,
        line_end=plan.line_end,
        skip=plan.layout.first,
        delimiter=plan.dialect.delimiter,
        comment=plan.dialect.comment_prefix,
        labels=tuple(heading.name or str(index + 1) for index, heading in enumerate(headings)),
        wanted=wanted,
        last_shape=shape,
        last_empty=empty,
    )


def _texts(time: TimeColumn) -> tuple[int, ...]:
    if time.form not in (STAMP, TIME_OF_DAY):
        return ()
    return tuple(index for index in (time.date, time.index) if index is not None)


def _header(plan: LogPlan) -> list[str]:
    return [heading.cell for heading in plan.layout.headings] if plan.layout.header_row_count == 1 else []


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


def _times(
    file: CaptureFile,
    plan: LogPlan,
    grammar: CellGrammar,
    reader: LogReader,
    numbers: Mapping[int, NDArray[np.float64]],
    texts: Mapping[int, pl.Series],
) -> _Timed:
    time = plan.time
    if time.form == STEPS:
        step = plan.dialect.step
        assert step is not None, "rows without a time have a step"
        every = np.ones(reader.kept, np.bool_)
        even = np.arange(reader.kept, dtype=np.float64) * step
        return _Timed(stamps=even, known=every, resolution=0.0, form=STEPS)
    assert time.index is not None, "a time that is no step stands in a column"
    if time.index in texts:
        return _stamped(file, plan, grammar, reader, texts)
    values = numbers[time.index]
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


def _stamped(
    file: CaptureFile, plan: LogPlan, grammar: CellGrammar, reader: LogReader, texts: Mapping[int, pl.Series]
) -> _Timed:
    time = plan.time
    assert time.index is not None, "stamps stand in a column"
    column = texts[time.index]
    known = ~missing_cells(column, grammar.missing)
    if time.date is not None:
        known &= ~missing_cells(texts[time.date], grammar.missing)
        column = texts[time.date] + " " + column
    _require_some(known, time.label)

    order = plan.date_order or "of the others"

    def refuse(cell: str, row: int) -> CaptureError:
        return file.error(
            f"{cell[:60]!r} is no date and time that exists in the order {order}: mend the cell, or say --date-order",
            line=reader.table.row(row),
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


def _last_place(cells: list[str], decimal_char: str) -> float:
    places = [written_digits(cell, decimal_char)[0] for cell in cells if read_number(cell, decimal_char) is not None]
    return float(10.0 ** min(places)) if places else 0.0


def _epoch(count: float, factor: float) -> str:
    from datetime import UTC, datetime

    try:
        return datetime.fromtimestamp(count * factor, tz=UTC).isoformat()
    except (OverflowError, ValueError, OSError):
        return ""


def _row_of(wanted: int, line: Callable[[int], int], rows: int) -> int:
    """Return the index of the first row at a line of the file or after it."""
    low, high = 0, rows
    while low < high:
        middle = (low + high) // 2
        if line(middle) < wanted:
            low = middle + 1
        else:
            high = middle
    return low
