"""The reader of NumPy's single arrays: one column, several, or named fields; objects are never unpacked."""

from __future__ import annotations

import ast
import math
import struct
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from coldpin.capture.frames import Channel, FrameSource, fetch, look, whole
from coldpin.capture.level import scale_step
from coldpin.capture.named import APPLIES, FIRST_ROWS, Roles, settle_roles, settle_time
from coldpin.capture.record import Capture, Reader, Request
from coldpin.capture.said import Said, dialect_of, follow
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import LARGEST_CLAIM
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect

MAGIC = b"\x93NUMPY"
_LONGEST_HEADER = 1 << 16
"""Bytes of a header beyond which a file is no array of numbers."""

_MOST_COLUMNS = 1 << 6
_TITLE = "a NumPy array"


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayHeader:
    """What the header of an array claims: type, order of storing, shape, and how long the header is. [byte]"""

    dtype: np.dtype[Any]
    fortran: bool
    shape: tuple[int, ...]
    size: int


def read_header(head: bytes) -> ArrayHeader:
    r"""Read the header of an array without evaluating anything in it.

    Parameters
    ----------
    head : bytes
        The first bytes of the array's file; 64 KiB are enough for any.

    Returns
    -------
    ArrayHeader
        The header.

    Raises
    ------
    CaptureError
        It is damaged, or the array holds no real numbers.

    Examples
    --------
    >>> text = b"{'descr': '<i2', 'fortran_order': False, 'shape': (3,), }\n"
    >>> read_header(b"\x93NUMPY\x01\x00" + bytes([len(text), 0]) + text).shape
    (3,)
    """
    start = len(MAGIC) + 2
    form = "<H" if head[len(MAGIC) : len(MAGIC) + 1] == b"\x01" else "<I"
    try:
        (length,) = struct.unpack_from(form, head, start)
        size = start + struct.calcsize(form) + length
        if size > len(head):
            raise CaptureError("its header is cut short or no header of an array: export the capture again")
        claims = ast.literal_eval(head[size - length : size].decode("utf-8").strip())
        dtype = np.lib.format.descr_to_dtype(claims["descr"])
        shape = tuple(claims["shape"])
        fortran = bool(claims["fortran_order"])
    except CaptureError:
        raise
    except (struct.error, ValueError, SyntaxError, TypeError, KeyError, RecursionError, MemoryError) as error:
        raise CaptureError(f"its header cannot be read ({type(error).__name__}): export the capture again") from None
    if not all(type(length) is int and length >= 0 for length in shape):
        raise CaptureError(f"its header says a shape of {shape!r}, which no array has: export the capture again")
    if dtype.hasobject:
        raise CaptureError(
            "it holds Python objects, which only running code from the file could unpack (pickle), and that is never "
            "done: save it as numbers, for instance with array.astype(float)"
        )
    return ArrayHeader(dtype=dtype, fortran=fortran, shape=shape, size=size)


def kept_type(stored: np.dtype[Any], name: str = "it") -> np.dtype[Any]:
    """Return the type in which samples of a stored type are given out, which holds the same numbers.

    Only whole numbers of 64 bits beyond 2^53 are rounded.

    Parameters
    ----------
    stored : dtype
        The type in the file.
    name : str
        What holds them, for the message.

    Returns
    -------
    dtype
        One of uint8, int16, int32, float32 and float64.

    Raises
    ------
    CaptureError
        They are no real numbers.

    Examples
    --------
    >>> kept_type(np.dtype(">u2")), kept_type(np.dtype("i8"))
    (dtype('int32'), dtype('float64'))
    """
    if stored.kind not in "iuf" or stored.subdtype is not None:
        raise CaptureError(f"{name} holds {stored.name} values, not real numbers: save the voltage as numbers")
    if stored.kind == "f":
        return np.dtype(np.float32 if stored.itemsize <= np.float32().itemsize else np.float64)
    for kept in (np.uint8, np.int16, np.int32):
        if np.can_cast(stored.newbyteorder("="), kept):
            return np.dtype(kept)
    return np.dtype(np.float64)


def open_npy(path: Path, request: Request) -> FrameSource:
    """Open an array, so that its samples can be read from any place.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered.

    Returns
    -------
    FrameSource
        The capture on disk.

    Raises
    ------
    CaptureError
        It is no array of real numbers in one or two dimensions, or the step is not known.
    """
    file = CaptureFile(path)
    try:
        return follow(
            file,
            request,
            "npy",
            applies=APPLIES,
            title=_TITLE,
            read=lambda said: _source(file, said),
            remark=lambda source, text: replace(source, remarks=(text, *source.remarks)),
        )
    except BaseException:
        file.close()
        raise


def read_npy(path: Path, request: Request) -> Capture:
    """Read an array.

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
        It is no array of real numbers in one or two dimensions, or the step is not known.
    """
    return whole(open_npy(path, request), request.progress)


def sniff_npy(path: Path, request: Request) -> Dialect:
    """Say how an array would be read.

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
        It is no array of real numbers in one or two dimensions, or the step is not known.
    """
    with open_npy(path, request) as source:
        return source.dialect


NPY = Reader(
    name="npy",
    title="NumPy arrays (.npy)",
    endings=(".npy",),
    sniffs=lambda head: head.startswith(MAGIC),
    read=read_npy,
    sniff=sniff_npy,
    source="NumPy Enhancement Proposal 1, format versions 1.0 to 3.0",
    open=open_npy,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """Where the columns of an array stand, and how many rows there are."""

    names: tuple[str, ...]
    places: tuple[int, ...]
    stride: int
    types: tuple[np.dtype[Any], ...]
    rows: int
    remarks: tuple[str, ...]


def _source(file: CaptureFile, said: Said) -> FrameSource:
    header = read_header(file.head(_LONGEST_HEADER))
    columns = _columns(file, header)

    def channel(index: int | None, gain: float) -> Channel | None:
        if index is None:
            return None
        stored = columns.types[index]
        kept = kept_type(stored, f"column {columns.names[index] or index + 1!r}")
        return Channel(first=columns.places[index], stride=columns.stride, stored=stored, kept=kept, gain=gain)

    first = [_first_values(file, columns, index) for index in range(len(columns.names))]
    roles = settle_roles(said, columns.names, first)
    pilot = channel(roles.columns.voltage, roles.gain)
    assert pilot is not None, "a voltage was chosen"
    times = channel(roles.columns.time, roles.time_factor)
    timing = settle_time(
        said,
        roles,
        None if times is None else _values(file, times, columns.rows),
        stored=None if times is None else times.stored,
        refuse=_refuser(file),
    )
    return FrameSource(
        file=file,
        pilot=pilot,
        output=channel(roles.columns.output, roles.output_gain),
        samples=columns.rows,
        sample_interval=timing.step,
        start=timing.start,
        resolution=scale_step(look(file, pilot, columns.rows)),
        remarks=(*columns.remarks, *roles.remarks, *timing.remarks),
        reader=said.format,
        dialect=dialect_for(said, roles, timing.origin, timing.step),
    )


def dialect_for(said: Said, roles: Roles, step_origin: str, step: float) -> Dialect:
    """Build the dialect of columns of numbers.

    Parameters
    ----------
    said : Said
        What was said.
    roles : Roles
        Which column is what.
    step_origin : str
        Where the step came from.
    step : float
        The time between samples. [s]

    Returns
    -------
    Dialect
        The dialect; its step is None where the time column says it.
    """
    return dialect_of(
        said,
        time=roles.time,
        voltage=roles.voltage,
        output=roles.output,
        units=roles.units,
        step=None if step_origin == "from the time column" else step,
        scale=roles.scale,
        output_scale=roles.output_scale,
        origin={**roles.origin, "step": said.where("step", step_origin)},
    )


def _refuser(file: CaptureFile) -> Callable[[str, int | None], CaptureError]:
    return lambda said, line: file.error(said, line=line)


def _columns(file: CaptureFile, header: ArrayHeader) -> _Columns:
    dtype, shape = header.dtype, header.shape
    there = file.size - header.size
    if len(shape) not in (1, 2) or (dtype.names and len(shape) != 1):
        raise CaptureError(
            f"it is an array of shape {shape}; read are one column (n,), several side by side (n, 2) or (2, n), and "
            "named fields (n,): save the voltage as one of these"
        )
    claimed = math.prod(shape) * dtype.itemsize
    if claimed == 0:
        raise CaptureError(f"it is an array of shape {shape}, which holds no samples: export the capture again")
    remarks: tuple[str, ...] = ()
    if claimed < there:
        remarks = (f"behind the array {there - claimed} further bytes stand, which were not read",)
    by_row = not header.fortran or len(shape) == 1
    if dtype.names:
        names, rows, stride = dtype.names, shape[0], dtype.itemsize
        fields = [dtype.fields[name] for name in names] if dtype.fields else []
        places, types = tuple(header.size + field[1] for field in fields), tuple(field[0] for field in fields)
    elif len(shape) == 1:
        names, rows, stride, places, types = ("",), shape[0], dtype.itemsize, (header.size,), (dtype,)
    else:
        rows, columns = max(shape), min(shape)
        if rows == columns and rows > 1:
            raise CaptureError(
                f"it is an array of shape {shape}: nothing says whether its rows or its columns are the samples; "
                "save the voltage as one column"
            )
        side_by_side = (shape[1] == columns) == by_row
        stride = dtype.itemsize * (columns if side_by_side else 1)
        apart = dtype.itemsize * (1 if side_by_side else rows)
        by_row = side_by_side
        names, types = ("",) * columns, (dtype,) * columns
        places = tuple(header.size + index * apart for index in range(columns))
    if len(names) > _MOST_COLUMNS:
        raise CaptureError(f"it has {len(names)} columns; at most {_MOST_COLUMNS} are read: save the voltage alone")
    if claimed > there:
        rows, remarks = _cut_short(header, stride, there, by_row=by_row)
    return _Columns(names=tuple(names), places=places, stride=stride, types=tuple(types), rows=rows, remarks=remarks)


def _cut_short(header: ArrayHeader, stride: int, there: int, *, by_row: bool) -> tuple[int, tuple[str, ...]]:
    rows = there // stride
    said = f"its header claims an array of shape {header.shape}, {math.prod(header.shape)} numbers or records; "
    if not by_row or not rows:
        raise CaptureError(f"{said}the {there} bytes that follow are not enough: the file is cut short, copy it again")
    return rows, (f"{said}{rows} whole rows are there: the file is cut short; what is there was read",)


def _first_values(file: CaptureFile, columns: _Columns, index: int) -> np.typing.NDArray[Any] | None:
    stored = columns.types[index]
    try:
        kept = kept_type(stored)
    except CaptureError:
        if len(columns.names) > 1:
            return None  # a column of text beside the numbers is not wanted; named by hand, it is refused
        raise
    values = np.empty(min(columns.rows, FIRST_ROWS), kept)
    fetch(file, Channel(first=columns.places[index], stride=columns.stride, stored=stored, kept=kept), 0, values)
    return values.astype(stored.newbyteorder("="))


def _values(file: CaptureFile, channel: Channel, rows: int) -> np.typing.NDArray[np.float64]:
    if rows * np.float64().itemsize > LARGEST_CLAIM:
        raise CaptureError(
            f"its time column has {rows} rows, too many to be held against equal steps: give --step or --rate and "
            "save the voltage alone"
        )
    values = np.empty(rows, channel.kept)
    fetch(file, channel, 0, values)
    return channel.volts(values)
