"""How the rows of a text are laid out: separator, decimal sign, first row of numbers, header and unit rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from coldpin.capture.choices import Choices
from coldpin.capture.header import CAPTURES, Heading, Trade
from coldpin.capture.heading_rows import begins_like_number, header_of, is_heading, names_above
from coldpin.capture.number import CellGrammar, grammar_of, read_number
from coldpin.capture.row import split_row
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect
from coldpin.records.file_words import SEPARATOR_NAMES

MOST_COLUMNS = 1 << 10
_TAILS = (1 << 5, 1 << 3, 3, 1)
"""How many of the last rows are asked what the columns are."""

_BLOCK = 3
"""Rows of numbers in a row above a heading that make it a heading in the middle of data."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """How the rows of a text are laid out.

    ``first`` is the index of the first row of numbers, ``skip_rows`` how many lines stand above the header.
    ``headings`` has one entry per column, ``kinds`` says of each "number", "text" or "empty". ``rows`` are the
    first rows of numbers as fields, ``matching`` counts the rows of the sample that fit. ``quoted`` is true if
    there are quotes in those rows. ``other_header`` counts the names in a header that has another number of columns.
    ``trade`` says which headings are known.
    """

    delimiter: str
    decimal_char: str
    skip_rows: int
    header_row_count: int
    headings: tuple[Heading, ...]
    kinds: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    matching: int
    quoted: bool = False
    other_header: int = 0
    trade: Trade = CAPTURES

    @property
    def first(self) -> int:
        """The index of the first row of numbers, counted from 0."""
        return self.skip_rows + self.header_row_count

    @property
    def columns(self) -> int:
        """How many fields a row has."""
        return len(self.kinds)

    @property
    def whole_numbers(self) -> bool:
        """True if no number in the first rows shows which sign marks decimals."""
        numbers = [index for index, kind in enumerate(self.kinds) if kind == "number"]
        return not any(sign in row[index] for row in self.rows for index in numbers for sign in ".,")

    @property
    def each_named(self) -> bool:
        """True if every column of numbers has a name of its own."""
        return all(heading.cell for heading, kind in zip(self.headings, self.kinds, strict=True) if kind == "number")

    @property
    def named(self) -> bool:
        """True if there is a header with a name that such a table is expected to have."""
        return any(self.trade.knows(heading) for heading in self.headings)


def possible_layouts(
    lines: Sequence[str], choices: Choices, marks: Dialect, *, whole: bool, trade: Trade = CAPTURES
) -> tuple[Layout, ...]:
    """Return every way the rows can be laid out that gives different numbers.

    Parameters
    ----------
    lines : sequence of str
        The first lines of the file.
    choices : Choices
        What was said by hand.
    marks : Dialect
        Whose marks for missing and overload, and sign of comment, hold.
    whole : bool
        True if these are all lines of the file, so that the last one may be cut.
    trade : Trade
        Which headings are known, and whether columns may hold words.

    Returns
    -------
    tuple of Layout
        The layouts, the likeliest first; none if there are no rows of numbers.
    """
    found: list[Layout] = []
    quoted = any('"' in line for line in lines)
    for delimiter, decimal_char in _pairs(choices, quoted=quoted):
        grammar = grammar_of(replace(marks, decimal_char=decimal_char))
        layout = _layout(lines, delimiter, grammar, choices.skip_rows, marks.comment_prefix, trade, whole=whole)
        if layout is not None:
            found.append(layout)
    return _distinct(found, marks)


def declared_layout(lines: Sequence[str], dialect: Dialect, *, whole: bool, trade: Trade = CAPTURES) -> Layout:
    """Return the layout a dialect declares, held against the first lines of a file.

    Parameters
    ----------
    lines : sequence of str
        The first lines of the file.
    dialect : Dialect
        The dialect.
    whole : bool
        True if these are all lines of the file, so that the last one may be cut.
    trade : Trade
        Which headings are known, and whether columns may hold words.

    Returns
    -------
    Layout
        The layout; ``matching`` also counts rows of numbers above the first that the dialect names.

    Raises
    ------
    CaptureError
        There are no rows of numbers where the dialect says.
    """
    grammar, comment = grammar_of(dialect), dialect.comment_prefix
    first = dialect.skip_rows + dialect.header_row_count
    rows = [split_row(lines[index], dialect.delimiter) for index in _row_lines(lines, first, comment)]
    found = _best_kinds(rows, grammar, trade, whole=whole) if rows else None
    if found is None:
        raise CaptureError(
            f"no rows of numbers follow line {first}, where the dialect has them (separator "
            f"{SEPARATOR_NAMES.get(dialect.delimiter, dialect.delimiter)}, decimal sign {dialect.decimal_char!r})"
        )
    kinds, fits = found
    above = [split_row(lines[index], dialect.delimiter) for index in _row_lines(lines[:first], 0, comment)]
    count, headings = header_of(lines, first, dialect.skip_rows, dialect.delimiter, comment, kinds, grammar, trade)
    if bool(count) != bool(dialect.header_row_count):
        raise CaptureError(f"line {dialect.skip_rows + 1} does not hold the header that the dialect has there")
    return Layout(
        delimiter=dialect.delimiter,
        decimal_char=dialect.decimal_char,
        skip_rows=dialect.skip_rows,
        header_row_count=dialect.header_row_count,
        headings=headings,
        kinds=kinds,
        rows=tuple(tuple(row) for row, fit in zip(rows, fits, strict=True) if fit),
        matching=sum(fits) + sum(_fits(row, kinds, grammar, trade) for row in above),
        trade=trade,
    )


def _row_lines(lines: Sequence[str], top: int, comment: str) -> list[int]:
    """Return the indices of the lines that may be rows: not blank, not comment."""
    return [
        index
        for index in range(top, len(lines))
        if lines[index].strip() and not (comment and lines[index].lstrip().startswith(comment))
    ]


def _pairs(choices: Choices, *, quoted: bool) -> Iterator[tuple[str, str]]:
    """Yield separators and decimal signs; they can be the same only where quotes keep them apart."""
    for delimiter in [choices.separator] if choices.separator else [",", ";", "\t", " "]:
        for decimal_char in [choices.decimal] if choices.decimal else [".", ","]:
            if delimiter != decimal_char or quoted:
                yield delimiter, decimal_char


def _distinct(found: Sequence[Layout], marks: Dialect) -> tuple[Layout, ...]:
    """Leave out what reads the same numbers as another, and what explains less of the file."""
    if not found:
        return ()
    most = max(layout.matching for layout in found)
    found = [layout for layout in found if 2 * layout.matching >= most and layout.matching == _most_of(layout, found)]
    tabs = max((layout.columns for layout in found if layout.delimiter == "\t"), default=0)
    found = [layout for layout in found if layout.delimiter != " " or layout.columns != tabs]
    fewest = min(_text_left(layout) for layout in found)
    best = [layout for layout in found if _text_left(layout) == fewest]
    if fewest:
        numbers = max(layout.kinds.count("number") for layout in best)
        best = [layout for layout in best if layout.kinds.count("number") == numbers]
    best.sort(key=lambda layout: (-layout.matching, -layout.columns))
    kept: dict[object, Layout] = {}
    for layout in best:
        grammar = grammar_of(replace(marks, decimal_char=layout.decimal_char))
        full = [index for index, kind in enumerate(layout.kinds) if kind != "empty"]
        values = tuple(tuple(str(grammar.value(row[index])) for index in full) for row in layout.rows)
        kept.setdefault((layout.first, values), layout)
    return tuple(kept.values())


def _text_left(layout: Layout) -> int:
    """Count the columns of text, twice where a cell begins with a number that a space ends: it may be two fields."""
    texts = [index for index, kind in enumerate(layout.kinds) if kind == "text"]
    pairs = [
        any(" " in row[index] and read_number(row[index].split()[0]) is not None for row in layout.rows)
        for index in texts
    ]
    return len(texts) + sum(pairs)


def _most_of(layout: Layout, found: Sequence[Layout]) -> int:
    """Return how many rows fit with the same separator and the better decimal sign."""
    return max(other.matching for other in found if other.delimiter == layout.delimiter)


def _layout(
    lines: Sequence[str],
    delimiter: str,
    grammar: CellGrammar,
    skip: int | None,
    comment: str,
    trade: Trade,
    *,
    whole: bool,
) -> Layout | None:
    at = _row_lines(lines, skip or 0, comment)
    if not at:
        return None
    rows = [split_row(lines[index], delimiter) for index in at]
    found = _best_kinds(rows, grammar, trade, whole=whole)
    if found is None:
        return None
    kinds, fits = found
    start = _start(rows, fits, grammar, trade)
    header = header_of(lines, at[start], skip or 0, delimiter, comment, kinds, grammar, trade)
    kept = tuple(tuple(row) for row, fit in zip(rows[start:], fits[start:], strict=True) if fit)
    return Layout(
        delimiter=delimiter,
        decimal_char=grammar.decimal_char,
        skip_rows=at[start] - header[0],
        header_row_count=header[0],
        headings=header[1],
        kinds=kinds,
        rows=kept,
        matching=sum(fits),
        quoted=any('"' in lines[index] for index in at[start:]),
        other_header=0 if header[0] else names_above(lines, at[start], skip or 0, delimiter, grammar, trade),
        trade=trade,
    )


def _best_kinds(
    rows: Sequence[Sequence[str]], grammar: CellGrammar, trade: Trade, *, whole: bool
) -> tuple[tuple[str, ...], list[bool]] | None:
    """Return the kinds of the columns and which rows fit them; None if there are no rows of numbers.

    The last rows tell: as many as possible first, fewer where a long preamble outnumbers them. The very last one
    may be cut, or a closing line.
    """
    best: tuple[tuple[str, ...], list[bool]] | None = None
    rank = (0, 0)
    seen: set[tuple[str, ...]] = set()
    for last in (rows[:-1], rows) if whole and len(rows) > 1 else (rows,):
        for size in _TAILS:
            kinds = _kinds(last[-size:], grammar, trade)
            kinds = kinds and _kinds_of_all(rows, kinds, grammar, trade)
            if kinds is None or kinds in seen:
                continue
            seen.add(kinds)
            fits = [_fits(row, kinds, grammar, trade) for row in rows]
            if any(fits) and (best is None or (-kinds.count("text"), sum(fits)) > rank):
                best, rank = (kinds, fits), (-kinds.count("text"), sum(fits))
    return best


def _kinds(rows: Sequence[Sequence[str]], grammar: CellGrammar, trade: Trade) -> tuple[str, ...] | None:
    """Return the kind of each column by the last rows, or None if they are no rows of numbers."""
    columns, count = Counter(len(row) for row in rows).most_common(1)[0]
    if 2 * count < len(rows) or columns > MOST_COLUMNS:
        return None
    even = [row for row in rows if len(row) == columns]
    kinds = tuple(_kind([row[k] for row in even], grammar, trade) for k in range(columns))
    return kinds if "number" in kinds and "other" not in kinds else None


def _kinds_of_all(
    rows: Sequence[Sequence[str]], kinds: tuple[str, ...], grammar: CellGrammar, trade: Trade
) -> tuple[str, ...]:
    """Look through all rows for numbers in a column that has none in the last ones."""
    if "empty" not in kinds:
        return kinds
    even = [row for row in rows if _fits(row, kinds, grammar, trade)]

    def seen(k: int, *sorts: str) -> bool:
        return any(grammar.kind(row[k]) in sorts for row in even)

    told = ["number" if kind == "empty" and seen(k, "number", "overload") else kind for k, kind in enumerate(kinds)]
    if trade.words:  # a logger's clock or state that is missing in the last rows
        told = ["text" if kind == "empty" and seen(k, "text") else kind for k, kind in enumerate(told)]
    return tuple(told)


def _kind(cells: Sequence[str], grammar: CellGrammar, trade: Trade) -> str:
    seen = Counter(grammar.kind(cell) for cell in cells)
    if seen["number"] and seen["number"] >= seen["text"]:
        return "number"
    if not seen["text"]:
        return "number" if seen["overload"] else "empty"
    texts = [cell for cell in cells if grammar.kind(cell) == "text"]
    return "text" if all(_is_label(cell, trade) for cell in texts) else "other"


def _is_label(cell: str, trade: Trade) -> bool:
    """Say whether a cell can be a clock time or a label, and not several fields that were not split."""
    return (trade.words or any(character.isdigit() for character in cell)) and not any(sign in cell for sign in ",;\t")


def _fits(row: Sequence[str], kinds: Sequence[str], grammar: CellGrammar, trade: Trade) -> bool:
    if len(row) != len(kinds):
        return False
    if not any(cell for cell, kind in zip(row, kinds, strict=True) if kind == "number"):
        return False
    for cell, kind in zip(row, kinds, strict=True):
        if kind == "number" and grammar.kind(cell) == "text":
            return False
        if kind == "text" and cell and not _is_label(cell, trade):
            return False
    return True


def _start(rows: Sequence[Sequence[str]], fits: Sequence[bool], grammar: CellGrammar, trade: Trade) -> int:
    """Return the first row of numbers: above it stands a heading, or nothing that could be such a row.

    A row that fits and stands above a row that is neither a row of numbers nor a heading shows a fault in the
    data, not an end of the preamble: it is kept, so that the fault is named and nothing is dropped in silence.
    """
    start = _run_start(fits, max(index for index, fit in enumerate(fits) if fit))
    columns = len(rows[start])
    while start > 0:
        if not fits[start - 1] and _nearly(rows[start - 1], columns, grammar):
            start = _run_start(fits, start - 1)
            continue
        above = next((index for index in range(start - 1, -1, -1) if fits[index]), None)
        if above is None:
            break
        earlier = _run_start(fits, above)
        heading = any(is_heading(row, grammar, trade) for row in rows[above + 1 : start])
        if heading and above - earlier + 1 < _BLOCK:
            break
        start = earlier
    return start


def _run_start(fits: Sequence[bool], last: int) -> int:
    while last > 0 and fits[last - 1]:
        last -= 1
    return last


def _nearly(row: Sequence[str], columns: int, grammar: CellGrammar) -> bool:
    """Say whether a row is one of numbers but for some cell: as many fields, the first begins like a number."""
    return (
        len(row) == columns > 1 and begins_like_number(row[0]) and any(grammar.kind(cell) == "number" for cell in row)
    )
