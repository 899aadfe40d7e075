"""Logs in Parquet tables: columns known as those of a text are, time stamps written out for the same reader."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from coldpin.capture.header import Heading
from coldpin.capture.layout import Layout
from coldpin.capture.log_assembly import LogRows
from coldpin.capture.log_choices import LogChoices
from coldpin.capture.log_columns import written_times
from coldpin.capture.log_header import LOGS
from coldpin.capture.log_plan import LogPlan, laid_over, settle_log_plan
from coldpin.capture.parquet import PARQUET, damage_named, refuse_packed, scan_table
from coldpin.capture.record import Progress
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import LARGEST_CLAIM
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect

if TYPE_CHECKING:
    import polars as pl

PARQUET_NAME = PARQUET.name
"""What the format is called in a dialect."""

_FIRST_ROWS = 1 << 6
_ORIGIN = {"columns": "from the header"}


def is_parquet(head: bytes) -> bool:
    """Say whether a file is a Parquet table.

    Parameters
    ----------
    head : bytes
        Its first bytes.

    Returns
    -------
    bool
        By its signature.
    """
    return PARQUET.sniffs(head)


def make_table_plan(file: CaptureFile, choices: LogChoices) -> LogPlan:
    """Decide by the names of its columns and by options how a table is to be read as a log.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    choices : LogChoices
        What was said by hand.

    Returns
    -------
    LogPlan
        The plan.

    Raises
    ------
    CaptureError
        It is damaged, or a unit is not known.
    AmbiguousDialect
        It cannot be told which column is what.
    """
    base = Dialect(format=PARQUET_NAME, header_row_count=1)
    return settle_log_plan(None, _layout(file), choices, base, _ORIGIN)


def keep_table_plan(file: CaptureFile, dialect: Dialect, choices: LogChoices) -> LogPlan:
    """Follow the dialect of a table that was read as a log, except for what is said by hand.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    dialect : Dialect
        How it was read before.
    choices : LogChoices
        What was said by hand.

    Returns
    -------
    LogPlan
        The plan.

    Raises
    ------
    CaptureError
        It was filed as something else, or its columns are others.
    """
    if dialect.format != PARQUET_NAME or dialect.log is None:
        raise CaptureError(
            f"it was filed as {dialect.format}, but its content is a Parquet table: it is not the file that was filed, "
            "or it was changed; put the original back"
        )
    said = laid_over(dialect, dialect.log, choices)
    return settle_log_plan(None, _layout(file), said, dialect, dialect.origin, kept=dialect.log)


def read_table_rows(file: CaptureFile, plan: LogPlan, progress: Progress | None) -> LogRows:
    """Read the columns of a table that a plan wants.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    plan : LogPlan
        How it is read.
    progress : callable or None
        Told 1 when it is read; what it raises stops the work.

    Returns
    -------
    LogRows
        Its rows, counted from 1.

    Raises
    ------
    CaptureError
        It is damaged, or longer than what one log may take.
    """
    import polars as pl

    names = [heading.cell for heading in plan.layout.headings]
    texts = written_times(plan.time)
    time = () if plan.time.index is None or texts else (plan.time.index,)
    numbers = tuple(dict.fromkeys((*time, *(column.index for column in plan.channels))))
    with damage_named(file):
        scan = scan_table(file.path)
        rows = int(scan.select(pl.len()).collect().item())
        if rows * len(names) * np.float64().itemsize > LARGEST_CLAIM:
            raise file.error(f"it claims {rows} rows, more than one log may take: cut it into shorter ones")
        refuse_packed(file, rows * len(names))
        frame = scan.select([names[index] for index in (*texts, *numbers)]).collect()
    if progress is not None:
        progress(1.0)
    return LogRows(
        numbers={
            index: frame[names[index]].cast(pl.Float64).fill_null(math.nan).to_numpy(writable=True) for index in numbers
        },
        texts={index: _written(frame[names[index]]) for index in texts},
        kept=rows,
        rows_read=rows,
        line=lambda row: row + 1,
    )


def _layout(file: CaptureFile) -> Layout:
    with damage_named(file):
        first = scan_table(file.path).head(_FIRST_ROWS).collect()
    if not first.height or not first.width:
        raise CaptureError("it holds no rows: export the log again")
    columns = [_written(first[name]).to_list() for name in first.columns]
    headings = tuple(LOGS.read(name) if name.strip() else Heading() for name in first.columns)
    return Layout(
        delimiter=Dialect().delimiter,
        decimal_char=Dialect().decimal_char,
        skip_rows=0,
        header_row_count=1,
        headings=headings,
        kinds=tuple("number" if dtype.is_numeric() else "text" for dtype in first.dtypes),
        rows=tuple(zip(*columns, strict=True)),
        matching=first.height,
        trade=LOGS,
    )


def _written(column: pl.Series) -> pl.Series:
    """Return a column as texts, a time stamp in ISO 8601 with its zone, a missing cell empty."""
    import polars as pl

    if isinstance(column.dtype, pl.Datetime):
        zone = "%:z" if column.dtype.time_zone else ""
        return column.dt.to_string(f"%Y-%m-%dT%H:%M:%S%.6f{zone}").fill_null("")
    return column.cast(pl.String, strict=False).fill_null("")
