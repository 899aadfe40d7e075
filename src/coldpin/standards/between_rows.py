"""A column of a table entered between its rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from coldpin.errors import OutsideRange
from coldpin.records.finding import Limit
from coldpin.standards.table import Row, needed


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What a table gave: the value between two rows, and that of the row above, which is no less exacting.

    ``rows`` is the row above alone where the table was entered at it, or below its first row.
    """

    value: float
    stepped: float
    rows: tuple[Limit, ...]


def looked_up(
    rows: Iterable[Row],
    entry: float,
    *,
    across: str,
    gives: Literal["minimum", "nominal", "maximum"],
    what: str,
    unit: str,
) -> Looked:
    """Enter a column of a table between its rows.

    Parameters
    ----------
    rows : iterable of Row
        The column.
    entry : float
        What the table is entered with, in ``unit``.
    across : str
        The name of the rows' own number.
    gives : str
        Which number of a limit the value is.
    what : str
        How a message names the table.
    unit : str
        The unit of the entry.

    Returns
    -------
    Looked
        The interpolated value, that of the next row above, and the rows; below the first row, that row.

    Raises
    ------
    OutsideRange
        The entry is beyond the last row, or is no positive number.
    InputError
        An own value of the case leaves the number out.
    """
    column = sorted(rows, key=lambda row: row.number(across))
    if not column:
        raise OutsideRange(f"{what}: there is no such table")
    last = column[-1].number(across)
    if not 0.0 <= entry <= last:
        raise OutsideRange(f"{what}: no row for {entry:g} {unit}; the table ends at {last:g} {unit}")
    place = next(index for index, row in enumerate(column) if row.number(across) >= entry)
    above = column[place]
    high = needed(above.limit, gives)
    at = above.number(across)
    if place == 0 or at == entry:
        return Looked(value=high, stepped=high, rows=(above.limit,))
    below = column[place - 1]
    low, start = needed(below.limit, gives), below.number(across)
    value = low + (high - low) * (entry - start) / (at - start)
    return Looked(value=value, stepped=high, rows=(below.limit, above.limit))
