"""Regular batches of rows, parsed at once by polars: like separators in every line, plain numbers in every cell."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.source import LONGEST_LINE

if TYPE_CHECKING:
    import polars as pl

UNIT_SEPARATOR = "\x1f"
"""Put between fields that were all in quotes; text captures do not hold it."""

Columns = Sequence[NDArray[np.float64]]


def batch_parser(
    *, columns: int, wanted: Sequence[int], delimiter: str, decimal_char: str, comment: str
) -> Callable[[bytes], Columns | None]:
    """Return the parser of regular batches.

    Parameters
    ----------
    columns : int
        How many fields a row has.
    wanted : sequence of int
        The indices of the columns to be parsed.
    delimiter : str
        The character between two fields.
    decimal_char : str
        The character before the fraction.
    comment : str
        What begins a line of comment.

    Returns
    -------
    callable
        From whole lines to arrays of shape (n,), one for each column wanted; to None where the batch is not
        regular, or a cell wanted holds no number. What it returns may be infinite or not a number.
    """
    import polars as pl

    names = [f"column_{index + 1}" for index in range(columns)]
    chosen = [names[index] for index in wanted]
    schema = dict.fromkeys(names, pl.Float64())
    decimal_comma = decimal_char == ","

    def parse(data: bytes) -> Columns | None:
        if b"\x00" in data or (comment and comment.encode() in data):
            return None
        if data.count(b"\r") != data.count(b"\r\n"):
            return None  # a carriage return inside a row stands between two fields for the strict grammar
        plain, separator = _unquoted(data, delimiter)
        plain = _without_padding(plain, separator)
        ends = _regular_ends(plain, separator, columns)
        if ends is None or (separator != delimiter and data.count(b'"') != 2 * columns * ends.size):
            return None
        if decimal_comma and _points_in(plain, separator, columns, wanted, ends):
            return None
        frame = pl.read_csv(
            plain,
            has_header=False,
            separator=separator,
            schema=schema,
            columns=chosen,
            quote_char=None,
            decimal_comma=decimal_comma,
            ignore_errors=True,
        )
        if any(frame[name].null_count() for name in chosen):
            return None
        return [frame[name].to_numpy() for name in chosen]

    return parse


def cell_parser(
    *, columns: int, wanted: Sequence[int], delimiter: str, comment: str
) -> Callable[[bytes], list[pl.Series] | None]:
    """Return the parser of regular batches that gives the cells as they are written.

    Parameters
    ----------
    columns : int
        How many fields a row has.
    wanted : sequence of int
        The indices of the columns to be parsed.
    delimiter : str
        The character between two fields.
    comment : str
        What begins a line of comment.

    Returns
    -------
    callable
        From whole lines in UTF-8 to a series of n texts for each column wanted, without spaces around them; to None
        where the batch is not regular.
    """
    import polars as pl

    names = [f"column_{index + 1}" for index in range(columns)]
    chosen = [names[index] for index in wanted]
    schema = dict.fromkeys(names, pl.String())

    def parse(data: bytes) -> list[pl.Series] | None:
        if b"\x00" in data or (comment and comment.encode() in data):
            return None
        if data.count(b"\r") != data.count(b"\r\n"):
            return None
        plain, separator = _unquoted(data, delimiter)
        plain = _without_padding(plain, separator)
        ends = _regular_ends(plain, separator, columns)
        if ends is None or (separator != delimiter and data.count(b'"') != 2 * columns * ends.size):
            return None
        frame = pl.read_csv(
            plain, has_header=False, separator=separator, schema=schema, columns=chosen, quote_char=None
        )
        return [frame[name].fill_null("").str.strip_chars() for name in chosen] if frame.height == ends.size else None

    return parse


def _unquoted(data: bytes, delimiter: str) -> tuple[bytes, str]:
    """Take away quotes where every field has them; quotes that stay make the batch irregular."""
    if b'"' not in data:
        return data, delimiter
    between = b'"' + delimiter.encode() + b'"'
    plain = data.replace(between, UNIT_SEPARATOR.encode()).replace(b'"\r\n', b'"\n').replace(b'"\n"', b"\n")
    return plain.removeprefix(b'"').removesuffix(b'"\n') + b"\n", UNIT_SEPARATOR


def _without_padding(data: bytes, separator: str) -> bytes:
    """Take away spaces beside separators, and make of any run of spaces one."""
    if separator == " ":
        data = data.replace(b"\t", b" ").replace(b"\r\n", b"\n")
        while b"  " in data:
            data = data.replace(b"  ", b" ")
        return data.replace(b"\n ", b"\n").replace(b" \n", b"\n").removeprefix(b" ")
    if b" " not in data:
        return data
    sign = separator.encode()
    while b" " + sign in data or b" \n" in data or b" \r" in data:
        data = data.replace(b" " + sign, sign).replace(b" \n", b"\n").replace(b" \r", b"\r")
    return data


def _regular_ends(data: bytes, separator: str, columns: int) -> NDArray[np.intp] | None:
    """Return where lines end, if each has the same number of separators, none is empty, too long or quoted."""
    if b'"' in data:
        return None
    signs = np.frombuffer(data, np.uint8)
    ends = np.flatnonzero(signs == ord("\n"))
    starts = np.concatenate(([-1], ends[:-1]))
    if int((ends - starts).max()) > LONGEST_LINE:
        return None
    if columns == 1:
        return ends if separator.encode() not in data and int((ends - starts).min()) > 1 else None
    flat = np.flatnonzero(signs == ord(separator))
    if flat.size != ends.size * (columns - 1):
        return None
    marks = flat.reshape(ends.size, columns - 1)
    return ends if bool((marks[:, 0] > starts).all() and (marks[:, -1] < ends).all()) else None


def _points_in(data: bytes, separator: str, columns: int, wanted: Sequence[int], ends: NDArray[np.intp]) -> bool:
    """Say whether a column wanted holds a point, which polars takes for a second decimal sign beside the comma."""
    if b"." not in data:
        return False
    signs = np.frombuffer(data, np.uint8)
    points = np.flatnonzero(signs == ord("."))
    before = np.searchsorted(np.flatnonzero(signs == ord(separator)), points)
    column = before - np.searchsorted(ends, points) * (columns - 1)
    return bool(np.isin(column, wanted).any())
