"""Logs from files: rows at uneven times, each column in the unit logs are kept in; what is not told is asked."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from os import PathLike
from pathlib import Path

from coldpin.capture.log_assembly import LogCapture, LogRows, assemble_log
from coldpin.capture.log_choices import LOG_CHOICES, LogChoices, Value, parse_log_choices
from coldpin.capture.log_columns import written_times
from coldpin.capture.log_parquet import PARQUET_NAME, is_parquet, keep_table_plan, make_table_plan, read_table_rows
from coldpin.capture.log_plan import LogPlan, keep_log_plan, make_log_plan, recall_log_plan
from coldpin.capture.log_rows import LogReader
from coldpin.capture.number import CellGrammar, grammar_of
from coldpin.capture.plan import naming
from coldpin.capture.record import Progress
from coldpin.capture.signature import content_signature, is_text
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import TableForm
from coldpin.capture.text_plan import last_form
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect

__all__ = ["LOG_CHOICES", "LogCapture", "read_log", "sniff_log"]

_HEAD = 4096


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
        The file: rows of text, or a Parquet table.
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
    with CaptureFile(Path(path), kind="log", holds="the readings") as file:
        if file.size == 0:
            raise file.error("the file is empty: export the log again")
        if is_parquet(file.head(_HEAD)):
            return _read_parquet(file, said, dialect or remembered, progress, kept=dialect is not None)
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


def sniff_log(
    path: str | PathLike[str], *, choices: Mapping[str, Value] | None = None, remembered: Dialect | None = None
) -> Dialect:
    """Say how a log would be read, from its first lines.

    Parameters
    ----------
    path : str or path
        The file.
    choices : mapping of str to str, float, int or sequence of str
        Options by hand; the keys are ``LOG_CHOICES``.
    remembered : Dialect or None
        How the instrument's logs were read before: tried first, dropped where it does not fit.

    Returns
    -------
    Dialect
        The dialect; ``origin`` says where each field comes from.

    Raises
    ------
    CaptureError
        The file cannot be read.
    AmbiguousDialect
        It can be read in several ways.
    UnknownName
        A key of ``choices`` or a quantity is unknown.
    """
    said = parse_log_choices(choices or {})
    with CaptureFile(Path(path), kind="log", holds="the readings") as file:
        if file.size == 0:
            raise file.error("the file is empty: export the log again")
        if is_parquet(file.head(_HEAD)):
            with naming(file):
                return make_table_plan(file, said).dialect
        _refuse_other(file, said, None)
        if remembered is not None:
            with suppress(CaptureError):
                return recall_log_plan(file, remembered, said).dialect
        return make_log_plan(file, said).dialect


def _refuse_other(file: CaptureFile, said: LogChoices, dialect: Dialect | None) -> None:
    head = file.head(_HEAD)
    encoding = said.table.encoding or (dialect.encoding if dialect else "")
    if is_text(head) or (encoding.startswith("utf-16") and not content_signature(head)):
        return
    content = content_signature(head) or "binary, not text"
    raise file.error(f"its content is {content}; a log is read from rows of text or a Parquet table: export it as CSV")


def _read_parquet(
    file: CaptureFile, said: LogChoices, known: Dialect | None, progress: Progress | None, *, kept: bool
) -> LogCapture:
    with naming(file):
        if known is not None and (kept or known.format == PARQUET_NAME):
            plan = keep_table_plan(file, known, said)
        else:
            plan = make_table_plan(file, said)
        return assemble_log(file, plan, read_table_rows(file, plan, progress))


def _read(file: CaptureFile, plan: LogPlan, progress: Progress | None) -> LogCapture:
    with naming(file):
        grammar = grammar_of(plan.dialect)
        reader = LogReader(file, _form(plan, grammar), grammar, texts=written_times(plan.time), header=_header(plan))
        numbers, texts = reader.read_columns(progress)
        rows = LogRows(
            numbers=numbers,
            texts=texts,
            kept=reader.kept,
            rows_read=reader.table.rows_read,
            line=reader.table.row,
            remarks=tuple(reader.table.remarks),
        )
        return assemble_log(file, plan, rows)


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


def _header(plan: LogPlan) -> list[str]:
    return [heading.cell for heading in plan.layout.headings] if plan.layout.header_row_count == 1 else []
