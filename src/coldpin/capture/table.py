"""Columns of numbers out of the rows of a text, batch by batch.

A batch is regular if every line has the same separators and every cell wanted is a plain number: then polars parses
it. Any other batch is read row by row by the grammar of :mod:`coldpin.capture.number`. Both give the same numbers.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.batch import batch_parser
from coldpin.capture.encoding import decode
from coldpin.capture.number import INSTRUMENT_INFINITY, CellGrammar, written_digits, written_shape
from coldpin.capture.record import Progress
from coldpin.capture.row import splitter
from coldpin.capture.source import LONGEST_LINE, Block, CaptureFile
from coldpin.errors import CaptureError

LARGEST_CLAIM = 2 << 30
"""Bytes that the columns of one capture may take."""

_SOME_BYTES = 1024
_SOME_ROWS = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class TableForm:
    """What the reader of the rows needs to know: the form of a line, and which columns are wanted.

    ``labels`` are the names of all columns, for messages; ``wanted`` the indices to be read, ``timed`` the one
    among them that is the time (its written digits are noted). ``last_shape`` is the written shape all first rows
    have in their last field, or None where they differ; ``last_empty`` is true if that field is always empty.
    """

    encoding: str
    line_end: bytes
    skip: int
    delimiter: str
    comment: str
    labels: tuple[str, ...]
    wanted: tuple[int, ...]
    timed: int | None = None
    last_shape: tuple[int, int] | None = None
    last_empty: bool = False


@dataclass(slots=True, kw_only=True)
class Table:
    """Columns as read.

    ``values``: for each wanted column an array of shape (n,), NaN where a cell is missing, infinite where the
    instrument said "beyond range". ``row_count`` counts rows kept, ``rows_read`` rows met, ``place`` and ``digits``
    describe how the time was written, ``remarks`` say what was left out.
    """

    values: dict[int, NDArray[np.float64]]
    row_count: int = 0
    rows_read: int = 0
    place: int = 0
    digits: int = 0
    remarks: list[str] = field(default_factory=list)
    anchors: list[tuple[int, int]] = field(default_factory=list)

    def row(self, index: int) -> int:
        """Return the line of the file that a sample came from.

        Parameters
        ----------
        index : int
            Which sample, from 0.

        Returns
        -------
        int
            The number of the line, counted from 1.
        """
        at = bisect.bisect_right(self.anchors, (index, 1 << 62)) - 1
        first, line = self.anchors[at]
        return line + index - first


def read_table(
    file: CaptureFile, form: TableForm, grammar: CellGrammar, *, progress: Progress | None, quick: bool = True
) -> Table:
    """Read the wanted columns of all rows.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    form : TableForm
        The form of its rows.
    grammar : CellGrammar
        How a cell is read.
    progress : callable or None
        Told between two batches how much of the file has been read; what it raises stops the work.
    quick : bool
        False reads every batch by the strict grammar; the result is the same.

    Returns
    -------
    Table
        The columns.

    Raises
    ------
    CaptureError
        A row cannot be read; row, column and text are named.
    """
    return TableReader(file, form, grammar, quick=quick).read(progress)


class TableReader:
    """Goes through the rows of a file once, batch by batch."""

    def __init__(self, file: CaptureFile, form: TableForm, grammar: CellGrammar, *, quick: bool) -> None:
        self.file, self.form, self.grammar = file, form, grammar
        self.split = splitter(form.delimiter)
        self.columns = len(form.labels)
        self.marks = grammar.number_marks()
        self.quick = (
            batch_parser(
                columns=self.columns,
                wanted=form.wanted,
                delimiter=form.delimiter,
                decimal_char=grammar.decimal_char,
                comment=form.comment,
            )
            if quick
            else None
        )
        self.plain = _plain_row(form)
        self.blanks = " \x1a" if form.delimiter == "\t" else " \t\x1a"
        self.kept = 0
        self.blank = self.gap = self.noted = 0
        self.short: tuple[int, str] | None = None
        self.place, self.digits = 0, 0
        self.timed_seen = False
        self.table = Table(values={})

    def read(
        self,
        progress: Progress | None,
        keep: Sequence[int] | None = None,
        observe: Callable[[list[NDArray[np.float64]]], object] | None = None,
    ) -> Table:
        """Read all rows and keep columns of them.

        Parameters
        ----------
        progress : callable or None
            Told between two batches how much of the file has been read; what it raises stops the work.
        keep : sequence of int or None
            The indices of the columns that are kept; all that are wanted if None.
        observe : callable or None
            Shown each batch: an array of shape (n,) for each column wanted.

        Returns
        -------
        Table
            The columns kept.

        Raises
        ------
        CaptureError
            A row cannot be read, or there are more than may be kept.
        """
        kept = self.form.wanted if keep is None else keep
        room = self._room(progress, len(kept)) if kept else 0
        values = {index: np.empty(room) for index in kept}
        for first, columns, fraction in self.parts():
            for index, column in zip(self.form.wanted, columns, strict=True):
                if index in values:
                    values[index][first : first + column.size] = column
            if observe is not None:
                observe(columns)
            if progress is not None:
                progress(fraction)
        self.table.values = {index: column[: self.kept] for index, column in values.items()}
        return self.table

    def parts(self) -> Iterator[tuple[int, list[NDArray[np.float64]], float]]:
        """Go through the rows; afterwards ``table`` tells all but the values.

        Yields
        ------
        tuple
            Place of the first row of a batch, an array of shape (n,) for each column wanted, and how much of the file
            has been read.

        Raises
        ------
        CaptureError
            A row cannot be read.
        """
        for block in self.file.blocks(self.form.encoding, self.form.line_end, skip=self.form.skip):
            columns = [np.asarray(column, np.float64) for column in self._columns(block)]
            first = self.kept
            self.kept += columns[0].size
            yield first, columns, block.fraction
        self._finish()

    def _room(self, progress: Progress | None, columns: int) -> int:
        form = self.form
        most = LARGEST_CLAIM // (np.float64().itemsize * columns) + form.skip
        lines = self.file.count_lines(form.encoding, form.line_end, most=most, progress=progress)
        if lines > most:
            raise self.file.error(
                f"it has more than {most - form.skip} rows; {columns} columns of that length exceed the "
                f"{LARGEST_CLAIM >> 30} GiB that one capture may take: cut it into shorter ones"
            )
        return max(lines - form.skip, 1)

    def _finish(self) -> None:
        table = self.table
        if self.short is not None:
            line, said = self.short
            table.remarks.append(f"the last row (line {line}) {said}; it was left out, all rows before it were kept")
        if self.blank:
            table.remarks.append(f"passed over between the rows: {_counted(self.blank, 'blank line')}")
        if self.noted:
            table.remarks.append(f"passed over among the rows: {_counted(self.noted, 'line')} of comment")
        table.row_count = self.kept
        table.place, table.digits = self.place, self.digits
        table.anchors = table.anchors or [(0, self.form.skip + 1)]

    def _columns(self, block: Block) -> Sequence[Sequence[float] | NDArray[np.float64]]:
        waiting = self.short is not None or (self.gap and self.columns == 1)
        if self.quick is not None and block.ended and not waiting:
            columns = self.quick(block.data)
            if columns is not None and not any(self._odd(column) for column in columns):
                self._anchor(0, block.line)
                self._note_some(block.data)
                self._fill_gap([])
                self.table.rows_read += len(columns[0])
                return columns
        return self._strict(block)

    def _odd(self, column: NDArray[np.float64]) -> bool:
        """Say whether a cell may be a mark: something infinite, or a number that stands for a mark."""
        low, high = float(column.min()), float(column.max())
        if not max(-low, high) < INSTRUMENT_INFINITY:
            return True
        return any(low <= mark <= high and bool((column == mark).any()) for mark in self.marks)

    def _anchor(self, rows: int, line: int) -> None:
        self.table.anchors.append((self.kept + rows, line))

    def _fill_gap(self, column: list[float]) -> None:
        """Count blank lines once a row follows them; between rows of one column they are samples that are missing."""
        if self.kept or column:
            if self.columns == 1:
                column.extend([math.nan] * self.gap)
            else:
                self.blank += self.gap
        self.gap = 0

    def _note_some(self, data: bytes) -> None:
        """Note how the time is written in some lines at both ends of a regular batch."""
        if self.form.timed is None:
            return
        head = data[:_SOME_BYTES].split(b"\n")[:-1] or [data[: data.index(b"\n")]]
        for line in (*head, *data[-_SOME_BYTES:].split(b"\n")[1:-1]):
            self._note_time(self.split(decode(line, _plain(self.form.encoding)))[self.form.timed])

    def _note_time(self, cell: str) -> None:
        if self.grammar.kind(cell) != "number":
            return
        place, digits = written_digits(cell, self.grammar.decimal_char)
        self.place = min(self.place, place) if self.timed_seen else place
        self.digits = max(self.digits, digits)
        self.timed_seen = True

    def _strict(self, block: Block) -> list[list[float]]:
        wanted = self.form.wanted
        columns: list[list[float]] = [[] for _ in wanted]
        line, fresh = block.line - 1, True
        text = block.data.decode(_plain(self.form.encoding), errors="replace")
        for raw in text.removesuffix("\n").split("\n"):
            line += 1
            read = self._row(raw, line, ended=block.ended)
            if read is None:
                fresh = True
                continue
            fields, values = read
            if self.gap:
                self._fill_gap(columns[0])
            if fresh:
                self._anchor(len(columns[0]), line)
                fresh = False
            if self.form.timed is not None and (self.kept + len(columns[0]) < _SOME_ROWS or line % _SOME_ROWS == 0):
                self._note_time(fields[self.form.timed])
            for column, value in zip(columns, values, strict=True):
                column.append(value)
        self.table.rows_read += len(columns[0])
        return columns

    def _row(self, raw: str, line: int, *, ended: bool) -> tuple[list[str], list[float]] | None:
        """Return the fields and values of a row; None for what is no row or is left out."""
        fields = self.plain(raw) if ended and self.short is None else None
        if fields is not None:
            values = self.grammar.plain_values(fields, self.form.wanted)
            if values is not None:
                return fields, values
        fields = self._fields(raw, line)
        if fields is None:
            return None
        values = self._values(fields, line, ended=ended or raw.endswith("\r"))
        return None if values is None else (fields, values)

    def _fields(self, raw: str, line: int) -> list[str] | None:
        """Return the fields of a row; None for what is no row, and for a short row that may be the last."""
        text = raw.rstrip("\r")
        if not text.strip(self.blanks):
            self.gap += 1
            return None
        if self.form.comment and text.lstrip().startswith(self.form.comment):
            self.noted += 1
            return None
        if len(text) > LONGEST_LINE:
            raise self.file.error(f"the line has more than {LONGEST_LINE} characters: no row of samples", line=line)
        if self.short is not None:
            raise self._ragged(*self.short)
        fields = self.split(text)
        if len(fields) != self.columns:
            self._leave_out(line, f"has {_counted(len(fields), 'field')} instead of {self.columns} ({text[:60]!r})")
            return None
        return fields

    def _leave_out(self, line: int, said: str) -> None:
        self.short = (line, said)
        self.table.rows_read += 1

    def _ragged(self, line: int, said: str) -> CaptureError:
        return self.file.error(
            f"the row {said}; all rows must have the same: export the capture again, mend this row, "
            "or say the separator with --separator",
            line=line,
        )

    def _values(self, fields: Sequence[str], line: int, *, ended: bool) -> list[float] | None:
        values: list[float] = []
        if not ended and self._cut(fields):
            self._leave_out(line, f"is cut short ({fields[-1]!r} ends it)")
            return None
        for index in self.form.wanted:
            value = self.grammar.value(fields[index])
            if value is None:
                if not ended:
                    self._leave_out(line, f"is cut short ({fields[index]!r} is no number)")
                    return None
                raise self._no_number(fields[index], line, index)
            values.append(value)
        return values

    def _cut(self, fields: Sequence[str]) -> bool:
        """Say whether a last row without line end was cut within its last field."""
        last, shape = fields[-1], self.form.last_shape
        if not last:
            return not self.form.last_empty
        kind = self.grammar.kind(last)
        if kind != "number":
            return kind == "text" and shape is not None
        if shape is not None:
            written = written_shape(last, self.grammar.decimal_char)
            return written[0] < shape[0] or written[1] < shape[1]
        self.table.remarks.append("the file does not end with a line end; its last row was kept, though it may be cut")
        return False

    def _no_number(self, cell: str, line: int, index: int) -> CaptureError:
        if "\x00" in cell:
            said = "the cell holds NUL characters: the file is damaged or is no text; copy or export it again"
        else:
            said = (
                f"{cell[:60]!r} is not a number; a number is written like 1{self.grammar.decimal_char}5 or "
                f"-2{self.grammar.decimal_char}0E-3, digits not grouped, a missing one is empty or NA: "
                f"mend the cell, or say --decimal, --skip-rows or --separator{_hint(cell, self.grammar)}"
            )
        return self.file.error(said, line=line, column=self.form.labels[index])


def _plain_row(form: TableForm) -> Callable[[str], list[str] | None]:
    """Return the function that splits a row with nothing odd in it, and returns None for any other line."""
    columns, delimiter = len(form.labels), None if form.delimiter == " " else form.delimiter
    comment = form.comment or '"'

    def split(raw: str) -> list[str] | None:
        if '"' in raw or comment in raw or len(raw) > LONGEST_LINE:
            return None
        fields = raw.split(delimiter)
        return fields if len(fields) == columns else None

    return split


def _hint(cell: str, grammar: CellGrammar) -> str:
    other = "," if grammar.decimal_char == "." else "."
    if other in cell and grammar.decimal_char not in cell:
        return f" (the decimal sign was taken to be {grammar.decimal_char!r})"
    return ""


def _counted(count: int, what: str) -> str:
    return f"1 {what}" if count == 1 else f"{count} {what}s"


def _plain(encoding: str) -> str:
    """Blocks of UTF-16 come as UTF-8."""
    return "utf-8" if encoding.startswith("utf-16") else encoding
