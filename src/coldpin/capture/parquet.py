"""The reader of Parquet tables: columns chosen as those of a text are, read in batches of rows.

The bytes are polars' to judge. It refuses what is damaged and now and then panics, which is told as damage; a file made
to mislead it about a length can still end the process, which no reader in the same process can prevent.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.in_memory import assemble
from coldpin.capture.level import scale_step
from coldpin.capture.named import APPLIES, FIRST_ROWS, Roles, settle_roles, settle_time
from coldpin.capture.npy import dialect_for
from coldpin.capture.record import Capture, Progress, Reader, Request
from coldpin.capture.said import Said, follow
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import LARGEST_CLAIM
from coldpin.capture.timing import Timing
from coldpin.capture.volts import Volts, VoltsSource, without_infinite
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect
from coldpin.records.unpacking import MOST_RATIO, unpacks_too_far

if TYPE_CHECKING:
    import polars as pl

BATCH_ROWS = 1 << 18
"""Rows fetched at once."""

_LOOKED_AT = 1 << 17
"""Rows by which the steps of the instrument's scale are judged in a stream."""

_MOST_COLUMNS = 1 << 10
_TITLE = "a Parquet table"
_MILLI = -3
_PLACES = {"ms": _MILLI, "us": 2 * _MILLI, "ns": 3 * _MILLI}
_NANOSECONDS = "ns"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """A table on disk: its columns by name, how many rows its footer claims, and the exponent of each time stamp."""

    path: Path
    file: CaptureFile
    names: tuple[str, ...]
    rows: int
    numbers: frozenset[int]
    stamps: dict[int, int]

    def fetch(self, wanted: tuple[int, ...], first: int, count: int) -> list[NDArray[Any]]:
        """Return some rows of some columns; what is missing is NaN, a time stamp is a whole number."""
        import polars as pl

        with damage_named(self.file):
            scan = scan_table(self.path).select(
                [
                    pl.col(self.names[index]).cast(pl.Int64) if index in self.stamps else pl.col(self.names[index])
                    for index in wanted
                ]
            )
            frame = scan.slice(first, count).collect()
        if frame.height != min(count, self.rows - first):
            raise self.file.error(
                f"its footer claims {self.rows} rows, but rows {first + 1} to {first + count} are not all there: "
                "copy it again from where it came"
            )
        return [_numbers(frame[self.names[index]]) for index in wanted]

    def column(self, index: int) -> NDArray[np.float64]:
        """Return a whole column as floats, a time stamp in seconds from the first."""
        if self.rows * np.float64().itemsize > LARGEST_CLAIM:
            raise self.file.error(
                f"it claims {self.rows} rows, which in memory exceed the {LARGEST_CLAIM >> 30} GiB that one capture "
                "may take: cut it into shorter ones"
            )
        refuse_packed(self.file, self.rows)
        parts = []
        zero = None
        for first in range(0, self.rows, BATCH_ROWS):
            (values,) = self.fetch((index,), first, BATCH_ROWS)
            if index in self.stamps:
                zero = values[0] if zero is None else zero
                values = (values - zero) * 10.0 ** self.stamps[index]
            parts.append(values.astype(np.float64))
        return np.concatenate(parts)


@dataclass(slots=True, kw_only=True, eq=False)
class TableSource(VoltsSource):
    """A table whose rows are read in batches; a place is looked for anew each time."""

    table: _Table
    roles: Roles
    timing: Timing

    def _fill(self, first: int, into: Volts) -> None:
        (values,) = self.table.fetch((self.roles.columns.voltage,), first, into.size)
        into[:] = without_infinite(values * self.roles.gain)

    def _batches(self) -> Iterator[tuple[Volts, Volts | None]]:
        for pilot, output in _batches(self.table, self.roles):
            yield without_infinite(pilot), None if output is None else without_infinite(output)

    def close(self) -> None:
        """Let go of the file."""
        self.table.file.close()


def open_parquet(path: Path, request: Request) -> TableSource:
    """Open a table, so that its rows can be read in batches.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered.

    Returns
    -------
    TableSource
        The capture on disk.

    Raises
    ------
    CaptureError
        It is damaged, no column can be the voltage, or the step is not known.
    """
    file = CaptureFile(path)
    try:
        return follow(
            file,
            request,
            "parquet",
            applies=APPLIES,
            title=_TITLE,
            read=lambda said: _source(path, file, said),
            remark=lambda source, text: replace(source, remarks=(text, *source.remarks)),
        )
    except BaseException:
        file.close()
        raise


def read_parquet(path: Path, request: Request) -> Capture:
    """Read a table.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered, progress.

    Returns
    -------
    Capture
        The capture.

    Raises
    ------
    CaptureError
        It is damaged or too long, no column can be the voltage, or the step is not known.
    """
    with open_parquet(path, request) as source:
        return _whole(source, request.progress)


def sniff_parquet(path: Path, request: Request) -> Dialect:
    """Say how a table would be read.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered.

    Returns
    -------
    Dialect
        The dialect, each field with its origin.

    Raises
    ------
    CaptureError
        It is damaged, no column can be the voltage, or the step is not known.
    """
    with open_parquet(path, request) as source:
        return source.dialect


PARQUET = Reader(
    name="parquet",
    title="Parquet tables (.parquet)",
    endings=(".parquet", ".pq"),
    sniffs=lambda head: head.startswith(b"PAR1"),
    read=read_parquet,
    sniff=sniff_parquet,
    source="Apache Parquet format 2.x",
    open=open_parquet,
)


@contextmanager
def damage_named(file: CaptureFile) -> Iterator[None]:
    """Turn what polars raises for a damaged file, a panic among it, into an error of this capture.

    Parameters
    ----------
    file : CaptureFile
        The file.

    Yields
    ------
    None
        Nothing; what polars raises inside comes out as an error that names the file.
    """
    from polars.exceptions import PanicException, PolarsError

    try:
        yield
    except (PolarsError, PanicException, OSError, OverflowError):
        raise file.error("as Parquet it is damaged or cut short: copy it again from where it came") from None


def scan_table(path: Path) -> pl.LazyFrame:
    """Open a table whose columns and rows are fetched when they are wanted.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    pl.LazyFrame
        The table.
    """
    import polars as pl

    return pl.scan_parquet(path, glob=False, hive_partitioning=False, use_statistics=False)


def _open_table(path: Path, file: CaptureFile) -> _Table:
    import polars as pl

    with damage_named(file):
        schema = scan_table(path).collect_schema()
        rows = int(scan_table(path).select(pl.len()).collect().item())
    if len(schema) > _MOST_COLUMNS:
        raise CaptureError(f"it has {len(schema)} columns; at most {_MOST_COLUMNS} are read: save the voltage alone")
    if not rows:
        raise CaptureError("it holds no rows of samples: export the capture again")
    numbers, stamps = set(), {}
    for index, dtype in enumerate(schema.dtypes()):
        if dtype.is_numeric():
            numbers.add(index)
        elif isinstance(dtype, pl.Datetime | pl.Duration):
            stamps[index] = _PLACES[dtype.time_unit]
        elif dtype == pl.Time:
            stamps[index] = _PLACES[_NANOSECONDS]
    return _Table(
        path=path, file=file, names=tuple(schema.names()), rows=rows, numbers=frozenset(numbers), stamps=stamps
    )


def _source(path: Path, file: CaptureFile, said: Said) -> TableSource:
    table = _open_table(path, file)
    roles = settle_roles(said, table.names, _first_rows(table), stamped=tuple(table.stamps))
    index = roles.columns.time
    place = table.stamps.get(index) if index is not None else None
    times = None if index is None else table.column(index) * (1.0 if place is not None else roles.time_factor)
    stored = None if index is None else _stored(table, index)
    timing = settle_time(
        said,
        roles,
        times,
        stored=stored,
        place=place,
        refuse=lambda text, line: file.error(text, line=line),
    )
    stamped = (f"the time stamps in column {roles.time!r} were counted from the first one",)
    (some,) = table.fetch((roles.columns.voltage,), 0, min(_LOOKED_AT, table.rows))
    return TableSource(
        table=table,
        roles=roles,
        samples=table.rows,
        sample_interval=timing.step,
        start=timing.start,
        timing=timing,
        dialect=dialect_for(said, roles, timing.origin, timing.step),
        resolution=scale_step(without_infinite(some * roles.gain)),
        remarks=(*roles.remarks, *(stamped if place is not None else ()), *timing.remarks),
    )


def _first_rows(table: _Table) -> list[NDArray[Any] | None]:
    known = tuple(sorted(table.numbers | table.stamps.keys()))
    rows = dict(zip(known, table.fetch(known, 0, min(FIRST_ROWS, table.rows)), strict=True)) if known else {}
    found: list[NDArray[Any] | None] = []
    for index in range(len(table.names)):
        values = rows.get(index)
        if values is not None and index in table.stamps:
            values = (values - values[0]) * 10.0 ** table.stamps[index]
        found.append(values)
    return found


def _stored(table: _Table, index: int) -> np.dtype[Any]:
    """Return the type of a column as stored, by which its rounding is judged."""
    (values,) = table.fetch((index,), 0, 1)
    return values.dtype


def _numbers(column: pl.Series) -> NDArray[Any]:
    """Return a column as an array: whole numbers as they are if none is missing, else floats with NaN."""
    import polars as pl

    if column.null_count() or not (column.dtype.is_integer() or column.dtype.is_float()):
        return column.cast(pl.Float64).fill_null(float("nan")).to_numpy()
    return column.to_numpy()


def _batches(table: _Table, roles: Roles) -> Iterator[tuple[Volts, Volts | None]]:
    """Yield pilot and output in volts, infinite where they are so in the table."""
    wanted = tuple(index for index in (roles.columns.voltage, roles.columns.output) if index is not None)
    for first in range(0, table.rows, BATCH_ROWS):
        pilot, *beside = table.fetch(wanted, first, BATCH_ROWS)
        yield (
            pilot.astype(np.float64) * roles.gain,
            beside[0].astype(np.float64) * roles.output_gain if beside else None,
        )


def refuse_packed(file: CaptureFile, numbers: int) -> None:
    """Refuse a table that is packed so well that its numbers would fill the memory, before any of them is read.

    Parameters
    ----------
    file : CaptureFile
        The file.
    numbers : int
        How many numbers it claims that would be held at once.

    Raises
    ------
    CaptureError
        They take more than 64 MiB and 200 times the size of the file.
    """
    unpacked = numbers * np.float64().itemsize
    if unpacks_too_far(packed=file.size, unpacked=unpacked):
        raise file.error(
            f"it has {file.size} bytes and claims {numbers} numbers, which in memory take more than {MOST_RATIO} times "
            "as many: it was not read; if it is a capture or log, cut it into shorter ones"
        )


def _whole(source: TableSource, progress: Progress | None) -> Capture:
    table, roles = source.table, source.roles
    columns = 1 if roles.columns.output is None else 2
    if table.rows * columns * np.float64().itemsize > LARGEST_CLAIM:
        raise table.file.error(
            f"it claims {table.rows} rows of {columns} column{'s' * (columns > 1)}, which in memory exceed the "
            f"{LARGEST_CLAIM >> 30} GiB that one capture may take: cut it into shorter ones"
        )
    refuse_packed(table.file, table.rows * columns)
    voltage = np.empty(table.rows)
    output = np.empty(table.rows) if columns > 1 else None
    first = 0
    for pilot, beside in _batches(table, roles):
        voltage[first : first + pilot.size] = pilot
        if output is not None and beside is not None:
            output[first : first + pilot.size] = beside
        first += pilot.size
        if progress is not None:
            progress(first / table.rows)
    try:
        capture = assemble(
            voltage,
            output,
            replace(source.timing, remarks=()),
            dialect=source.dialect,
            remarks=source.remarks,
            reader=PARQUET.name,
        )
    except CaptureError as error:
        raise table.file.error(str(error)) from None
    return replace(capture, waveform=replace(capture.waveform, resolution=source.resolution))
