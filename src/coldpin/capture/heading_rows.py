"""The rows above the data of a text: which of them can be a header, of names, of units, or of other rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from coldpin.capture.header import CAPTURES, Heading, Trade, bare_unit, is_unit_row
from coldpin.capture.number import CellGrammar
from coldpin.capture.row import split_row

_HEADER_LINES = 4


def begins_like_number(cell: str) -> bool:
    """Say whether a cell begins as a number or a date does.

    Parameters
    ----------
    cell : str
        The cell.

    Returns
    -------
    bool
        True for "12 V" and "2026-01-01".
    """
    return cell.lstrip("\"'+-.,")[:1].isdigit()


def is_heading(row: Sequence[str], grammar: CellGrammar, trade: Trade) -> bool:
    """Say whether a row can be one of names: no numbers, and not only marks and cells that begin like numbers.

    A date beside a mark for a missing value is a row of data, whatever its number of cells.

    Parameters
    ----------
    row : sequence of str
        Its cells.
    grammar : CellGrammar
        How a cell is read.
    trade : Trade
        How a heading is read.

    Returns
    -------
    bool
        Whether it can.
    """
    if all(begins_like_number(cell) or grammar.kind(cell) == "missing" for cell in row if cell):
        return False
    if any(grammar.kind(trade.read(cell).name) == "number" for cell in row):  # "600000 s" is a value with its unit
        return False
    return all(not cell or grammar.kind(cell) in ("text", "missing") for cell in row)


def header_of(
    lines: Sequence[str],
    first: int,
    top: int,
    delimiter: str,
    comment: str,
    kinds: Sequence[str],
    grammar: CellGrammar,
    trade: Trade,
) -> tuple[int, tuple[Heading, ...]]:
    """Return how many lines the header has, and the heading of each column.

    Parameters
    ----------
    lines : sequence of str
        The first lines of the file.
    first : int
        Index of the first row of numbers.
    top : int
        Index of the first line that may belong to the header.
    delimiter, comment : str
        What stands between two fields, and what begins a line of comment.
    kinds : sequence of str
        The kind of each column.
    grammar : CellGrammar
        How a cell is read.
    trade : Trade
        How a heading is read, and which are known.

    Returns
    -------
    tuple
        The number of lines, 0 where there is no header; one heading per column.
    """
    found: list[tuple[int, list[str]]] = []
    for index in range(first - 1, max(top, first - _HEADER_LINES) - 1, -1):
        line = lines[index].lstrip()
        noted = bool(comment) and line.startswith(comment)
        cells = heading_cells(line.removeprefix(comment) if noted else line, delimiter, kinds, trade)
        heading = cells is not None and is_heading(cells, grammar, trade)
        title = noted or delimiter == " "  # words of a sentence are no names, unless one of them is known
        if cells is not None and heading and (not title or _any_known(cells, trade)):
            found.append((index, cells))
        elif line and not noted:
            break
    unit_rows = [at for at, (_, cells) in enumerate(found) if is_unit_row(cells, trade)]
    if not found:
        return 0, (Heading(),) * len(kinds)
    units = unit_rows[0] if unit_rows else None
    if units is None:
        index, names = found[0]
        return first - index, tuple(trade.read(cell) for cell in names)
    row = [bare_unit(cell) for cell in found[units][1]]
    if units + 1 == len(found):
        return first - found[units][0], tuple(Heading(unit=unit or None, cell=unit) for unit in row)
    index, names = found[units + 1]
    headings = (
        replace(trade.read(name), unit=unit or trade.read(name).unit) for name, unit in zip(names, row, strict=True)
    )
    return first - index, tuple(headings)


def _any_known(cells: Sequence[str], trade: Trade) -> bool:
    return is_unit_row(cells, trade) or any(trade.knows(trade.read(cell)) for cell in cells)


def names_above(lines: Sequence[str], first: int, top: int, delimiter: str, grammar: CellGrammar, trade: Trade) -> int:
    """Return how many names stand in the line above the data, if it reads like a header of other rows; else 0.

    Parameters
    ----------
    lines : sequence of str
        The first lines of the file.
    first : int
        Index of the first row of numbers.
    top : int
        Index of the first line that may belong to the header.
    delimiter : str
        What stands between two fields.
    grammar : CellGrammar
        How a cell is read.
    trade : Trade
        How a heading is read, and which are known.

    Returns
    -------
    int
        The number of names.
    """
    above = next((lines[index] for index in range(first - 1, top - 1, -1) if lines[index].strip()), "")
    cells = split_row(above, delimiter)
    known = (
        _any_known(cells, trade) if len(cells) > 1 else is_unit_row(cells, trade)
    )  # a lone word is a title, unless it is a unit
    likely = is_heading(cells, grammar, trade) and known
    return len(cells) if likely else 0


def heading_cells(line: str, delimiter: str, kinds: Sequence[str], trade: Trade = CAPTURES) -> list[str] | None:
    """Return the cells of a line above the data, one per column.

    Parameters
    ----------
    line : str
        The line, without a sign of comment.
    delimiter : str
        The character between two fields.
    kinds : sequence of str
        The kind of each column; an empty last column may lack its cell.
    trade : Trade
        Which headings are known.

    Returns
    -------
    list of str or None
        The cells; None if their number is not that of the columns, or the line is a title.
    """
    cells = split_row(line, delimiter)
    while len(cells) > len(kinds) and not cells[-1]:
        cells.pop()
    if len(cells) == len(kinds) - 1 and kinds[-1] == "empty":
        cells.append("")
    return cells if len(cells) == len(kinds) and (len(kinds) > 1 or _one_name(cells[0], trade)) else None


def _one_name(cell: str, trade: Trade) -> bool:
    """Tell a heading above a single column from a title: it must read like a heading."""
    return not any(sign in cell for sign in ",;\t:=") and (trade.knows(trade.read(cell)) or is_unit_row([cell], trade))
