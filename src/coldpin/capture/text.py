"""The reader of text captures: rows of numbers, separated as RFC 4180 or its relatives do."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.columns import column_label
from coldpin.capture.layout import Layout
from coldpin.capture.level import clipping_remarks, missing_remarks, scale_step, take_overload
from coldpin.capture.number import grammar_of, written_shape
from coldpin.capture.plan import Plan, keep_plan, make_plan, naming, recall_plan
from coldpin.capture.record import Capture, Reader, Request
from coldpin.capture.signature import is_text
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import Table, TableForm, read_table
from coldpin.capture.timing import TimeColumn, Timing, settle
from coldpin.errors import CaptureError
from coldpin.quantity.units import find_unit
from coldpin.records.dialect import Dialect
from coldpin.records.waveform import Waveform

_ENOUGH = 1 << 3
"""Rows whose last fields must be written alike to say that a last row written otherwise is cut."""

ENDINGS = (".csv", ".txt", ".tsv", ".tab", ".dat", ".asc", ".prn", ".log")


def read_text(path: Path, request: Request, *, quick: bool = True) -> Capture:
    """Read a text capture.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered, progress.
    quick : bool
        False reads every row by the strict grammar; the result is the same.

    Returns
    -------
    Capture
        The capture.

    Raises
    ------
    CaptureError
        The file cannot be read; the message says where, why and what to do.
    """
    with CaptureFile(path) as file:
        request = _for_text(file, request)
        if request.dialect is not None:
            return _read(file, keep_plan(file, request.dialect, request.choices), request, quick=quick)
        if request.remembered is None:
            return _read(file, make_plan(file, request.choices), request, quick=quick)
        try:
            return _read(file, recall_plan(file, request.remembered, request.choices), request, quick=quick)
        except CaptureError as error:
            return _read(file, _dropped(make_plan(file, request.choices), file, error), request, quick=quick)


def sniff_text(path: Path, request: Request) -> Dialect:
    """Say how a text capture would be read.

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
        The file cannot be read.
    """
    with CaptureFile(path) as file:
        request = _for_text(file, request)
        if request.dialect is not None:
            return keep_plan(file, request.dialect, request.choices).dialect
        if request.remembered is not None:
            try:
                return recall_plan(file, request.remembered, request.choices).dialect
            except CaptureError:
                pass  # what was remembered is only a help: the file itself decides
        return make_plan(file, request.choices).dialect


TEXT = Reader(
    name="text",
    title="Rows of numbers as text, separated by comma, semicolon, tab or spaces",
    endings=ENDINGS,
    sniffs=is_text,
    read=read_text,
    sniff=sniff_text,
    source="RFC 4180; W3C Metadata Vocabulary for Tabular Data, 5.9 (dialects)",
)


def _for_text(file: CaptureFile, request: Request) -> Request:
    """Refuse what means nothing for text, and a dialect of another format."""
    for name in ("channels", "segment"):
        if getattr(request.choices, name) is not None:
            raise file.error(f"--{name} means nothing here: this is text; leave the option out")
    if request.dialect is not None and request.dialect.format != TEXT.name:
        raise file.error(
            f"it was filed as {request.dialect.format}, but its content is text: it is not the file that was filed, "
            "or it was changed; put the original back"
        )
    return request


def _dropped(plan: Plan, file: CaptureFile, error: CaptureError) -> Plan:
    said = str(error).removeprefix(file.place())
    remark = f"the dialect remembered for this instrument does not fit ({said}); the file was looked at afresh"
    return replace(plan, remarks=(remark, *plan.remarks))


def _read(file: CaptureFile, plan: Plan, request: Request, *, quick: bool) -> Capture:
    columns, headings = plan.columns, plan.layout.headings
    wanted = tuple(index for index in (columns.time, columns.voltage, columns.output) if index is not None)
    last = [row[-1] for row in plan.layout.rows]
    settled = last[:-1] if len(last) > 1 else last  # the last row of a short file may be cut
    grammar = grammar_of(plan.dialect)
    form = TableForm(
        encoding=plan.dialect.encoding,
        line_end=plan.line_end,
        skip=plan.layout.first,
        delimiter=plan.dialect.delimiter,
        comment=plan.dialect.comment_prefix,
        labels=tuple(heading.name or str(index + 1) for index, heading in enumerate(headings)),
        wanted=wanted,
        timed=columns.time,
        last_shape=_shape([cell for cell in settled if grammar.kind(cell) == "number"], plan.dialect.decimal_char),
        last_empty=not any(last),
    )
    with naming(file):
        table = read_table(file, form, grammar, progress=request.progress, quick=quick)
        return _capture(file, plan, table)


def _shape(cells: list[str], decimal_char: str) -> tuple[int, int] | None:
    """Return the written shape all cells have; None where they are few, differ, or have neither fraction nor power."""
    if len(cells) < _ENOUGH:
        return None
    shapes = {written_shape(cell, decimal_char) for cell in cells}
    return next(iter(shapes)) if len(shapes) == 1 and shapes != {(0, 0)} else None


def _capture(file: CaptureFile, plan: Plan, table: Table) -> Capture:
    dialect, columns = plan.dialect, plan.columns
    if not table.row_count:
        raise file.error("it holds no rows of samples: export the capture again")
    timing = _timing(file, plan, table)
    voltage = _in_base(table.values[columns.voltage], dialect.units[dialect.voltage], dialect.scale)
    overload, overload_remarks = take_overload(voltage, "voltage")
    if not np.isfinite(voltage).any():
        raise file.error(f"column {dialect.voltage!r} holds no voltage at all, only marks: export the capture again")
    output: NDArray[np.float64] | None = None
    output_remarks: tuple[str, ...] = ()
    if columns.output is not None:
        output = _in_base(table.values[columns.output], dialect.units[dialect.output], dialect.output_scale)
        _, output_remarks = take_overload(output, "output")
    remarks = (
        *plan.remarks,
        *table.remarks,
        *timing.remarks,
        *overload_remarks,
        *missing_remarks(voltage, overload),
        *output_remarks,
        *clipping_remarks(voltage),
    )
    from_column = timing.origin == "from the time column"
    waveform = Waveform(
        voltage=voltage,
        sample_interval=timing.step,
        start=timing.start,
        output=output,
        overload=overload,
        resolution=scale_step(voltage),
        remarks=remarks,
    )
    return Capture(
        waveform=waveform,
        dialect=replace(
            dialect,
            step=None if from_column else timing.step,
            origin={
                **dialect.origin,
                "step": timing.origin if plan.step is None else dialect.origin.get("step", timing.origin),
            },
        ),
        remarks=remarks,
        preamble=plan.preamble,
        rows_read=table.rows_read,
        rows_kept=int(voltage.size),
        reader=TEXT.name,
    )


def _timing(file: CaptureFile, plan: Plan, table: Table) -> Timing:
    def refuse(said: str, line: int | None) -> CaptureError:
        return file.error(said, line=line)

    index, dialect = plan.columns.time, plan.dialect
    column = None
    if index is not None:
        unit = dialect.units[dialect.time]
        column = TimeColumn(
            times=_in_base(table.values.pop(index), unit, 1.0),
            place=table.place,
            digits=table.digits,
            factor=float(find_unit(unit).factor),
            row=table.row,
            name=dialect.time,
        )
    return settle(column, by_hand=plan.step, stated=plan.stated, refuse=refuse, instead=_clock(plan.layout))


def _clock(layout: Layout) -> str:
    """Name a column of text that may hold clock times, which are no seconds."""
    for index, kind in enumerate(layout.kinds):
        if kind == "text":
            return (
                f" (column {column_label(layout.headings, index)!r} holds text, {layout.rows[0][index]!r}, no seconds)"
            )
    return ""


def _in_base(values: NDArray[np.float64], unit: str, scale: float) -> NDArray[np.float64]:
    """Turn a column into seconds or volts in place, dividing where that rounds less than multiplying."""
    factor = find_unit(unit).factor
    if factor.numerator != 1:
        values *= factor.numerator
    if factor.denominator != 1:
        values /= factor.denominator
    if scale != 1.0:
        values *= scale
    return values
