"""What every reader of a text does: it finds the plan that fits, the form of the rows, and the time between them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.columns import column_label
from coldpin.capture.layout import Layout
from coldpin.capture.number import CellGrammar, grammar_of, written_shape
from coldpin.capture.plan import Plan, keep_plan, make_plan, recall_plan
from coldpin.capture.record import Request
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import Table, TableForm
from coldpin.capture.timing import TimeColumn, Timing, settle
from coldpin.errors import CaptureError
from coldpin.quantity.units import find_unit
from coldpin.records.dialect import Dialect

TEXT_NAME = Dialect().format
"""What the reader of texts is called."""

Used = TypeVar("Used")

_ENOUGH = 1 << 3
"""Rows whose last fields must be written alike to say that a last row written otherwise is cut."""


def by_plan(file: CaptureFile, request: Request, use: Callable[[Plan], Used]) -> Used:
    """Use a file by the plan that fits it; one that is remembered is tried first and dropped where it does not fit.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    request : Request
        A dialect, choices by hand, a dialect remembered.
    use : callable
        What is done by a plan.

    Returns
    -------
    Used
        What ``use`` returned.

    Raises
    ------
    CaptureError
        No plan fits; the message says where, why and what to do.
    """
    _for_text(file, request)
    if request.dialect is not None:
        return use(keep_plan(file, request.dialect, request.choices))
    if request.remembered is None:
        return use(make_plan(file, request.choices))
    try:
        return use(recall_plan(file, request.remembered, request.choices))
    except CaptureError as error:
        return use(_dropped(make_plan(file, request.choices), file, error))


def form_of(plan: Plan) -> TableForm:
    """Return the form of the rows that a plan tells.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    TableForm
        What the reader of the rows needs to know.
    """
    columns, headings = plan.columns, plan.layout.headings
    wanted = tuple(index for index in (columns.time, columns.voltage, columns.output) if index is not None)
    last_shape, last_empty = last_form(plan.layout, grammar_of(plan.dialect))
    return TableForm(
        encoding=plan.dialect.encoding,
        line_end=plan.line_end,
        skip=plan.layout.first,
        delimiter=plan.dialect.delimiter,
        comment=plan.dialect.comment_prefix,
        labels=tuple(heading.name or str(index + 1) for index, heading in enumerate(headings)),
        wanted=wanted,
        timed=columns.time,
        last_shape=last_shape,
        last_empty=last_empty,
    )


def last_form(layout: Layout, grammar: CellGrammar) -> tuple[tuple[int, int] | None, bool]:
    """Return how the last field of the first rows is written, by which a cut last row is told.

    Parameters
    ----------
    layout : Layout
        The layout of the rows.
    grammar : CellGrammar
        How a cell is read.

    Returns
    -------
    tuple
        The written shape that all of them have, None where they differ; and whether they are all empty.
    """
    last = [row[-1] for row in layout.rows]
    settled = last[:-1] if len(last) > 1 else last  # the last row of a short file may be cut
    numbers = [cell for cell in settled if grammar.kind(cell) == "number"]
    return _shape(numbers, grammar.decimal_char), not any(last)


def _for_text(file: CaptureFile, request: Request) -> None:
    """Refuse what means nothing for text, and a dialect of another format."""
    for name in ("channels", "segment"):
        if getattr(request.choices, name) is not None:
            raise file.error(f"--{name} means nothing here: this is text; leave the option out")
    if request.dialect is not None and request.dialect.format != TEXT_NAME:
        raise file.error(
            f"it was filed as {request.dialect.format}, but its content is text: it is not the file that was filed, "
            "or it was changed; put the original back"
        )


def _dropped(plan: Plan, file: CaptureFile, error: CaptureError) -> Plan:
    said = str(error).removeprefix(file.place())
    remark = f"the dialect remembered for this instrument does not fit ({said}); the file was looked at afresh"
    return replace(plan, remarks=(remark, *plan.remarks))


def _shape(cells: list[str], decimal_char: str) -> tuple[int, int] | None:
    """Return the written shape all cells have; None where they are few, differ, or have neither fraction nor power."""
    if len(cells) < _ENOUGH:
        return None
    shapes = {written_shape(cell, decimal_char) for cell in cells}
    return next(iter(shapes)) if len(shapes) == 1 and shapes != {(0, 0)} else None


def timing_of(file: CaptureFile, plan: Plan, table: Table) -> Timing:
    """Return the time between the rows; the time column is taken out of the table for it.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    plan : Plan
        The plan.
    table : Table
        The columns as read.

    Returns
    -------
    Timing
        Step and start.

    Raises
    ------
    CaptureError
        There is no step, the column is not even, or the two disagree.
    """

    def refuse(said: str, line: int | None) -> CaptureError:
        return file.error(said, line=line)

    index, dialect = plan.columns.time, plan.dialect
    column = None
    if index is not None:
        unit = dialect.units[dialect.time]
        column = TimeColumn(
            times=in_base(table.values.pop(index), unit, 1.0),
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


def in_base(values: NDArray[np.float64], unit: str, scale: float) -> NDArray[np.float64]:
    """Turn a column into seconds or volts in place, dividing where that rounds less than multiplying.

    Parameters
    ----------
    values : ndarray
        Array of shape (n,), which is changed. [unit]
    unit : str
        The unit as written.
    scale : float
        A factor beside it. [1]

    Returns
    -------
    ndarray
        The same array. [s] or [V]

    Examples
    --------
    >>> in_base(np.array([3.0]), "mV", 10.0)
    array([0.03])
    """
    factor = find_unit(unit).factor
    if factor.numerator != 1:
        values *= factor.numerator
    if factor.denominator != 1:
        values /= factor.denominator
    if scale != 1.0:
        values *= scale
    return values


def settled_dialect(plan: Plan, timing: Timing) -> Dialect:
    """Return a plan's dialect with the step as it was settled, None where the time column says it.

    Parameters
    ----------
    plan : Plan
        The plan.
    timing : Timing
        Step and start.

    Returns
    -------
    Dialect
        The dialect.
    """
    from_column = timing.origin == "from the time column"
    return replace(
        plan.dialect,
        step=None if from_column else timing.step,
        origin={
            **plan.dialect.origin,
            "step": timing.origin if plan.step is None else plan.dialect.origin.get("step", timing.origin),
        },
    )
