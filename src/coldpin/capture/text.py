"""The reader of text captures: rows of numbers, separated as RFC 4180 or its relatives do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.level import clipping_remarks, missing_remarks, scale_step, take_overload
from coldpin.capture.number import grammar_of
from coldpin.capture.plan import Plan, naming
from coldpin.capture.record import Capture, Progress, Reader, Request
from coldpin.capture.signature import is_text
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import Table, read_table
from coldpin.capture.text_plan import TEXT_NAME, by_plan, form_of, in_base, settled_dialect, timing_of
from coldpin.capture.text_stream import open_text
from coldpin.records.dialect import Dialect
from coldpin.records.waveform import Waveform

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
        return by_plan(file, request, lambda plan: _read(file, plan, request.progress, quick=quick))


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
        return by_plan(file, request, lambda plan: plan.dialect)


TEXT = Reader(
    name=TEXT_NAME,
    title="Rows of numbers as text, separated by comma, semicolon, tab or spaces",
    endings=ENDINGS,
    sniffs=is_text,
    read=read_text,
    sniff=sniff_text,
    source="RFC 4180; W3C Metadata Vocabulary for Tabular Data, 5.9 (dialects)",
    open=open_text,
)


def _read(file: CaptureFile, plan: Plan, progress: Progress | None, *, quick: bool) -> Capture:
    with naming(file):
        table = read_table(file, form_of(plan), grammar_of(plan.dialect), progress=progress, quick=quick)
        return _capture(file, plan, table)


def _capture(file: CaptureFile, plan: Plan, table: Table) -> Capture:
    dialect, columns = plan.dialect, plan.columns
    if not table.row_count:
        raise file.error("it holds no rows of samples: export the capture again")
    timing = timing_of(file, plan, table)
    voltage = in_base(table.values[columns.voltage], dialect.units[dialect.voltage], dialect.scale)
    overload, overload_remarks = take_overload(voltage, "voltage")
    if not np.isfinite(voltage).any():
        raise file.error(f"column {dialect.voltage!r} holds no voltage at all, only marks: export the capture again")
    output: NDArray[np.float64] | None = None
    output_remarks: tuple[str, ...] = ()
    if columns.output is not None:
        output = in_base(table.values[columns.output], dialect.units[dialect.output], dialect.output_scale)
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
        dialect=settled_dialect(plan, timing),
        remarks=remarks,
        preamble=plan.preamble,
        rows_read=table.rows_read,
        rows_kept=int(voltage.size),
        reader=TEXT.name,
    )
