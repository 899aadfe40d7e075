"""Columns that come as numbers and not as text (arrays, tables): which is what, in which unit, at which times."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.columns import Columns, check_roles, choose_columns, column_label, declared_columns
from coldpin.capture.header import read_heading
from coldpin.capture.layout import Layout
from coldpin.capture.plan import ASSUMED, settle_units
from coldpin.capture.preamble import StatedStep
from coldpin.capture.said import Said
from coldpin.capture.timing import TimeColumn, Timing, settle
from coldpin.errors import CaptureError
from coldpin.quantity.units import find_unit

FIRST_ROWS = 1 << 8
"""Rows looked at to say what the columns are."""

APPLIES = ("time", "voltage", "output", "unit", "step", "scale", "output_scale")
"""The choices that mean something for columns of numbers."""

_EXACT = -(1 << 9)
"""The power of ten of the last digit of a number that is not rounded to a decimal place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Roles:
    """Which columns are used, their units, and what was settled with them.

    ``labels`` are the names of all columns as a dialect tells them; ``time_factor``, ``gain`` and ``output_gain``
    make seconds and volts of what the columns hold.
    """

    columns: Columns
    labels: tuple[str, ...]
    units: dict[str, str]
    time_factor: float
    gain: float
    output_gain: float
    scale: float
    output_scale: float
    origin: dict[str, str]
    remarks: tuple[str, ...]

    @property
    def time(self) -> str:
        """The name of the time column, empty without one."""
        return "" if self.columns.time is None else self.labels[self.columns.time]

    @property
    def voltage(self) -> str:
        """The name of the pilot's column."""
        return self.labels[self.columns.voltage]

    @property
    def output(self) -> str:
        """The name of the output's column, empty without one."""
        return "" if self.columns.output is None else self.labels[self.columns.output]


def settle_roles(
    said: Said, names: Sequence[str], first: Sequence[NDArray[Any] | None], *, stamped: Sequence[int] = ()
) -> Roles:
    """Say which column is what, by the rules for text: by hand, by name and unit, else by what the first rows show.

    Parameters
    ----------
    said : Said
        What was said.
    names : sequence of str
        The names of the columns, with their units as a text's header has them; empty where there are none.
    first : sequence of (NDArray or None)
        For each column an array of shape (n,) of its first values, None for one that holds no numbers.
    stamped : sequence of int
        Indices of columns of time stamps, whose values are given in seconds.

    Returns
    -------
    Roles
        The columns by role.

    Raises
    ------
    AmbiguousDialect
        Several columns may be meant; the message lists them with the option to type.
    CaptureError
        No column can be meant, or a unit is wrong.
    UnknownName
        A column that was said does not exist.
    """
    rows = min((len(values) for values in first if values is not None), default=0)
    headings = tuple(read_heading(name if index not in stamped else f"{name} (s)") for index, name in enumerate(names))
    layout = Layout(
        delimiter=",",
        decimal_char=".",
        skip_rows=0,
        header_row_count=0,
        headings=headings,
        kinds=tuple(_kind(values) for values in first),
        rows=tuple(tuple("" if values is None else _written(values[row]) for values in first) for row in range(rows)),
        matching=rows,
    )
    if said.text("voltage") and "voltage" in said.kept:
        columns = declared_columns(
            headings, time=said.text("time"), voltage=said.text("voltage"), output=said.text("output")
        )
        origin = {name: said.where(name, "") for name in ("time", "voltage", "output") if said.text(name)}
    else:
        columns = choose_columns(layout, said.choices, step_known=said.number("step") is not None)
        origin = columns.origin
    check_roles(layout, columns)
    kept = said.base.units if "units" in said.kept else {}
    units, remarks = settle_units(layout, columns, said.choices, kept, said.origin.get("units", ASSUMED))
    labels = tuple(column_label(headings, index) for index in range(len(headings)))
    scale, beside = said.number("scale"), said.number("output_scale")
    scale, output_scale = 1.0 if scale is None else scale, 1.0 if beside is None else beside
    left = [labels[index] for index in columns.unused]

    def factor(index: int | None) -> float:
        return 1.0 if index is None else float(find_unit(units[labels[index]][0]).factor)

    return Roles(
        columns=columns,
        labels=labels,
        units={name: unit for name, (unit, _) in units.items()},
        time_factor=factor(columns.time),
        gain=factor(columns.voltage) * scale,
        output_gain=factor(columns.output) * output_scale,
        scale=scale,
        output_scale=output_scale,
        origin={
            **origin,
            "units": "; ".join(f"{label}: {where}" for label, (_, where) in units.items()),
            "scale": said.where("scale", ASSUMED),
        },
        remarks=(
            *remarks,
            *((f"columns not used: {', '.join(left)}",) if left else ()),
            *_counts_remarks(first[columns.voltage], scale),
            *said.remembered_scale(),
        ),
    )


def _kind(values: NDArray[Any] | None) -> str:
    if values is None:
        return "text"
    return "number" if not values.size or np.isfinite(values).any() else "empty"


def _written(value: Any) -> str:
    """Write a number as a text capture would, whole ones without a fraction only if they are stored so."""
    if not np.isfinite(value):
        return "NaN"
    return str(int(value)) if np.issubdtype(type(value), np.integer) else repr(float(value))


def _counts_remarks(values: NDArray[Any] | None, scale: float) -> tuple[str, ...]:
    if values is None or values.dtype.kind not in "iu" or scale != 1.0:
        return ()
    remark = (
        f"the voltage is stored in whole numbers ({values.dtype.name}) and was taken as it stands; if these are counts "
        "of a converter, give the volts of one count with --scale"
    )
    return (remark,)


def settle_time(
    said: Said,
    roles: Roles,
    times: NDArray[np.float64] | None,
    *,
    stored: np.dtype[Any] | None,
    place: int | None = None,
    stated: StatedStep | None = None,
    refuse: Callable[[str, int | None], CaptureError],
) -> Timing:
    """Return the time between samples by all that is known of it.

    Parameters
    ----------
    said : Said
        What was said.
    roles : Roles
        Which column is the time.
    times : NDArray or None
        Array of shape (n,), None without a time column. [s]
    stored : dtype or None
        The type of the time column as stored, which says how it is rounded.
    place : int or None
        The power of ten of the last digit of a time stamp, in seconds.
    stated : StatedStep or None
        A step that the file states.
    refuse : callable
        Builds an error that names the file.

    Returns
    -------
    Timing
        Step and start.

    Raises
    ------
    CaptureError
        There is no step, the times are not even, or they disagree with what is stated.
    """
    by_hand = said.number("step")
    if times is None or stored is None:
        if by_hand is None and stated is None:
            raise refuse("there is no time column: give --step or --rate, or name the column with --time", None)
        return settle(None, by_hand=by_hand, stated=stated, refuse=refuse)
    digits = np.finfo(stored).precision + 1 if stored.kind == "f" else np.iinfo(np.int64).bits
    whole = 0 if stored.kind in "iu" else _EXACT
    column = TimeColumn(
        times=times,
        place=whole if place is None else place,
        digits=int(digits),
        factor=roles.time_factor,
        row=lambda index: index + 1,
        name=roles.time,
    )
    return settle(column, by_hand=by_hand, stated=stated, refuse=refuse)
