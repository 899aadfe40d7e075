"""The rows of a log, batch by batch: columns of numbers as arrays, the column of the time as it is written.

A batch is regular if every line has the same separators: then polars splits it. Any other is split line by line. Both
give the same cells, and every cell is read by the grammar of :mod:`coldpin.capture.number`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.batch import cell_parser
from coldpin.capture.number import INSTRUMENT_INFINITY, CellGrammar
from coldpin.capture.record import Progress
from coldpin.capture.source import Block, CaptureFile
from coldpin.capture.table import LARGEST_CLAIM, TableForm, TableReader
from coldpin.errors import CaptureError

if TYPE_CHECKING:
    import polars as pl

RAGGED_SHARE = 0.01
"""Ours: a logger that lost its supply leaves a torn line now and then; where more than this part of the rows have
another number of fields, the separator is wrong and nothing may be passed over."""


class LogReader(TableReader):
    """Goes through the rows of a log once; ``texts`` are the columns kept as they are written."""

    def __init__(
        self, file: CaptureFile, form: TableForm, grammar: CellGrammar, *, texts: Sequence[int], header: Sequence[str]
    ) -> None:
        super().__init__(file, form, grammar, quick=False)
        self.texts = frozenset(texts)
        self.header = [cell.strip() for cell in header]
        self.repeated = 0
        self.torn: list[int] = []
        self.split_batch = cell_parser(
            columns=self.columns, wanted=form.wanted, delimiter=form.delimiter, comment=form.comment
        )
        self.wide = form.encoding in ("latin-1", "cp1252")

    def read_columns(self, progress: Progress | None) -> tuple[dict[int, NDArray[np.float64]], dict[int, pl.Series]]:
        """Read all rows.

        Parameters
        ----------
        progress : callable or None
            Told between two batches how much of the file has been read; what it raises stops the work.

        Returns
        -------
        tuple of dict
            For each column of numbers an array of shape (n,), NaN where a cell is missing, infinite where the
            instrument said "beyond range"; for each column of text a series of n cells.

        Raises
        ------
        CaptureError
            A row cannot be read, or there are more than may be kept.
        """
        import polars as pl

        form = self.form
        numbers: dict[int, list[NDArray[np.float64]]] = {i: [] for i in form.wanted if i not in self.texts}
        texts: dict[int, list[pl.Series]] = {index: [] for index in form.wanted if index in self.texts}
        most = LARGEST_CLAIM // (np.float64().itemsize * len(form.wanted))
        for block in self.file.blocks(form.encoding, form.line_end, skip=form.skip):
            columns, count = self._read_block(block)
            self.kept += count
            if self.kept > most:
                raise self.file.error(
                    f"it has more than {most} rows; {len(form.wanted)} columns of that length exceed the "
                    f"{LARGEST_CLAIM >> 30} GiB that one log may take: cut it into shorter ones"
                )
            for index, column in columns.items():
                if isinstance(column, pl.Series):
                    texts[index].append(column)
                else:
                    numbers[index].append(column)
            if progress is not None:
                progress(block.fraction)
        self._finish()
        self._tell_passed_over()
        return (
            {index: np.concatenate(parts) if parts else np.empty(0) for index, parts in numbers.items()},
            {index: pl.concat(parts) if parts else pl.Series([], dtype=pl.String) for index, parts in texts.items()},
        )

    def _tell_passed_over(self) -> None:
        remarks = self.table.remarks
        if self.repeated:
            again = "once more" if self.repeated == 1 else f"{self.repeated} times more"
            remarks.append(f"the header stands among the rows {again}, as after a restart of the logger; passed over")
        if self.torn:
            lines = ", ".join(str(line) for line in self.torn[:_LISTED])
            more = f" and {len(self.torn) - _LISTED} more" if len(self.torn) > _LISTED else ""
            remarks.append(
                f"torn rows, with another number of fields than {self.columns}, left out: line {lines}{more}"
            )

    def _read_block(self, block: Block) -> tuple[dict[int, NDArray[np.float64] | pl.Series], int]:
        if block.ended and self.short is None:
            cells = self.split_batch(block.data.decode(self.form.encoding).encode() if self.wide else block.data)
            columns = None if cells is None else self._parsed(cells)
            if columns is not None and cells is not None:
                self._anchor(0, block.line)
                self.blank, self.gap = self.blank + self.gap, 0
                self.table.rows_read += cells[0].len()
                return columns, cells[0].len()
        return self._line_by_line(block)

    def _parsed(self, cells: Sequence[pl.Series]) -> dict[int, NDArray[np.float64] | pl.Series] | None:
        """Read the cells of a regular batch; None where one of them is no number and no mark."""
        columns: dict[int, NDArray[np.float64] | pl.Series] = {}
        for index, column in zip(self.form.wanted, cells, strict=True):
            if index in self.texts:
                if self.header and bool((column == self.header[index]).any()):
                    return None
                columns[index] = column
                continue
            values = read_cells(column, self.grammar)
            if values is None:
                return None
            columns[index] = values
        return columns

    def _line_by_line(self, block: Block) -> tuple[dict[int, NDArray[np.float64] | pl.Series], int]:
        import polars as pl

        kept: dict[int, list[float]] = {index: [] for index in self.form.wanted if index not in self.texts}
        texts: dict[int, list[str]] = {index: [] for index in self.texts}
        encoding = "utf-8" if self.form.encoding.startswith("utf-16") else self.form.encoding
        text = block.data.decode(encoding, errors="replace")
        count, fresh, line = 0, True, block.line - 1
        for raw in text.removesuffix("\n").split("\n"):
            line += 1
            fields = self._fields(raw, line)
            if fields is None or self._is_header(fields):
                fresh = True
                continue
            values = self._values(fields, line, ended=block.ended or raw.endswith("\r"))
            if values is None:
                fresh = True
                continue
            self.blank, self.gap = self.blank + self.gap, 0
            if fresh:
                self._anchor(count, line)
                fresh = False
            for index, value in zip(self.form.wanted, values, strict=True):
                if index in self.texts:
                    texts[index].append(fields[index])
                else:
                    kept[index].append(value)
            count += 1
            self.table.rows_read += 1
        columns: dict[int, NDArray[np.float64] | pl.Series] = {i: np.array(v, np.float64) for i, v in kept.items()}
        for index, column in texts.items():
            columns[index] = pl.Series(column, dtype=pl.String)
        return columns, count

    def _is_header(self, fields: Sequence[str]) -> bool:
        if not self.header or list(fields) != self.header:
            return False
        self.repeated += 1
        return True

    def _fields(self, raw: str, line: int) -> list[str] | None:
        """Return the fields of a row; a torn one that is not the last is passed over, as long as they are few."""
        held, self.short = self.short, None
        if held is not None:
            self.torn.append(held[0])
            if len(self.torn) > max(_LISTED, RAGGED_SHARE * self.table.rows_read):
                raise self._ragged(*held)
        return super()._fields(raw, line)

    def _values(self, fields: Sequence[str], line: int, *, ended: bool) -> list[float] | None:
        """Return the numbers of a row, NaN for what is kept as text."""
        values: list[float] = []
        if not ended and self._cut(fields):
            self._leave_out(line, f"is cut short ({fields[-1]!r} ends it)")
            return None
        for index in self.form.wanted:
            value = math.nan if index in self.texts else self.grammar.value(fields[index])
            if value is None:
                if not ended:
                    self._leave_out(line, f"is cut short ({fields[index]!r} is no number)")
                    return None
                raise self._no_number(fields[index], line, index)
            values.append(value)
        return values

    def _no_number(self, cell: str, line: int, index: int) -> CaptureError:
        if "\x00" in cell:
            return super()._no_number(cell, line, index)
        return self.file.error(
            f"{cell[:60]!r} is not a number; a number is written like 1{self.grammar.decimal_char}5, digits not "
            f"grouped: if it marks a value that is missing, say --missing {cell[:60]!r}, else --decimal or --separator",
            line=line,
            column=self.form.labels[index],
        )


_LISTED = 3
"""Places named in a remark."""


def read_cells(column: pl.Series, grammar: CellGrammar) -> NDArray[np.float64] | None:
    """Read a column of cells: what a cell holds by the grammar, whole columns at once where they are plain numbers.

    Parameters
    ----------
    column : pl.Series
        n texts, without spaces around them.
    grammar : CellGrammar
        How a cell is read.

    Returns
    -------
    ndarray or None
        Array of shape (n,), NaN where a cell is missing, infinite where the instrument said "beyond range"; None where
        a cell is neither a number nor a mark.

    Examples
    --------
    >>> import polars as pl
    >>> from coldpin.capture.number import grammar_of
    >>> from coldpin.records.dialect import Dialect
    >>> read_cells(pl.Series(["1.5", "", "OL"]), grammar_of(Dialect())).tolist()
    [1.5, nan, inf]
    """
    import polars as pl

    plain = column
    odd = np.zeros(column.len(), np.bool_)
    if grammar.decimal_char == ",":
        odd = column.str.contains(".", literal=True).to_numpy()
        plain = column.str.replace_all(",", ".", literal=True)
    values = plain.cast(pl.Float64, strict=False).fill_null(math.nan).to_numpy(writable=True)
    odd = odd | ~(np.abs(values) < INSTRUMENT_INFINITY)
    for mark in grammar.number_marks():
        odd |= values == mark
    if not odd.any():
        return values
    places = np.flatnonzero(odd)
    cells = column.gather(places)
    different = cells.unique()
    read = [grammar.value(cell) for cell in different.to_list()]
    if any(value is None for value in read):
        return None
    values[places] = cells.replace_strict(
        different, pl.Series(read, dtype=pl.Float64), return_dtype=pl.Float64
    ).to_numpy()
    return values
