"""Where rows can be read in more than one way: what decides, and how a person is asked."""

from __future__ import annotations

from collections.abc import Sequence

from coldpin.capture.choices import Choices
from coldpin.capture.layout import Layout
from coldpin.errors import AmbiguousDialect, CaptureError
from coldpin.records.file_words import DECIMAL_NAMES, SEPARATOR_NAMES


def only_layout(layouts: Sequence[Layout], choices: Choices) -> Layout:
    """Return the one layout that is meant, or raise with the choices.

    Parameters
    ----------
    layouts : sequence of Layout
        Every way the rows can be read, at least one.
    choices : Choices
        What was said by hand.

    Returns
    -------
    Layout
        The layout.

    Raises
    ------
    AmbiguousDialect
        There are several ways; the message lists them with the option to type.
    CaptureError
        The header is one of other rows.
    """
    commas = next((layout for layout in layouts if open_commas(layout)), None)
    if commas is not None and not choices.separator and not choices.decimal:
        single = [layout for layout in layouts if layout.columns == 1 and layout.named]
        if len(single) != 1:
            raise AmbiguousDialect(_comma_choices(commas, layouts))
        layouts = single
    elif commas is None and any(layout.delimiter == "," and layout.columns > 1 for layout in layouts):
        layouts = [layout for layout in layouts if layout.columns > 1]
    if len(layouts) > 1:
        named = [layout for layout in layouts if layout.named]
        if len(named) != 1:
            ways = "; ".join(f"{describe(layout)} ({_to_type(layout)})" for layout in layouts)
            raise AmbiguousDialect(f"the rows can be read in {len(layouts)} ways: {ways}: say which")
        layouts = named
    if layouts[0].other_header:
        raise CaptureError(
            f"the header has cells for {layouts[0].other_header} columns, the rows below it have "
            f"{layouts[0].columns} fields: a sign may both separate and mark decimals, or the header is not theirs; "
            "export the capture again with another separator, or pass the header over with "
            f"--skip-rows {layouts[0].first} and name columns by number"
        )
    if grouped_or_decimal(layouts[0]) and not choices.decimal:
        cell = next(cell for row in layouts[0].rows for cell in row if "," in cell)
        raise AmbiguousDialect(
            f"the comma in {cell!r} may mark decimals (--decimal comma) or group thousands, which is not read: "
            "say --decimal comma, or export the capture again without grouping"
        )
    return layouts[0]


def _comma_choices(layout: Layout, layouts: Sequence[Layout]) -> str:
    shown = ",".join(layout.rows[0])
    if layout.other_header:
        return (
            f"in {shown[:60]!r} commas both separate the {layout.other_header} columns that the header names and mark "
            "decimals, which no reader can take apart: export the capture again with a semicolon or a decimal point "
            f"(or, for {layout.columns} columns of whole numbers, say --separator comma --skip-rows {layout.first})"
        )
    ways = [f"{layout.columns} columns of whole numbers (--separator comma)"]
    ways += ["1 column with the decimal comma (--decimal comma)" for other in layouts if other.columns == 1] or [
        "fewer columns with the decimal comma, which no reader can take apart (export again with a semicolon)"
    ]
    return (
        f"in {shown[:60]!r} a comma may separate columns or mark decimals, and no header says which: "
        + "; or ".join(ways)
    )


def _to_type(layout: Layout) -> str:
    return f"--separator {SEPARATOR_NAMES[layout.delimiter]} --decimal {DECIMAL_NAMES[layout.decimal_char]}"


def open_commas(layout: Layout) -> bool:
    """Say whether some comma between columns could as well be a decimal comma, and no header says otherwise.

    Parameters
    ----------
    layout : Layout
        A layout with the comma as separator.

    Returns
    -------
    bool
        True for rows such as ``1,5,2,5``.
    """
    if layout.delimiter != "," or layout.columns < 2 or layout.quoted or (layout.named and layout.each_named):
        return False
    if any("." in cell for row in layout.rows for cell in row):
        return False
    pairs = range(layout.columns - 1)
    return any(all(_can_join(row[k], row[k + 1]) for row in layout.rows) for k in pairs)


def _can_join(left: str, right: str) -> bool:
    whole = left[1:] if left[:1] in ("+", "-") else left
    fraction = right.lower().partition("e")[0]
    return whole.isdigit() and fraction.isdigit()


def grouped_or_decimal(layout: Layout) -> bool:
    """Say whether every comma in the numbers could group thousands (``1,234``) as well as mark decimals.

    Parameters
    ----------
    layout : Layout
        A layout with the decimal comma.

    Returns
    -------
    bool
        True if all numbers with a comma have exactly three digits behind it and none begins with zero.
    """
    if layout.decimal_char != ",":
        return False
    with_comma = [cell.lstrip("+-") for row in layout.rows for cell in row if "," in cell]
    return bool(with_comma) and all(
        len(whole) <= 3 and whole[:1] not in ("", "0") and len(rest) == 3 and rest.isdigit()
        for whole, _, rest in (cell.partition(",") for cell in with_comma)
    )


def describe(layout: Layout) -> str:
    """Say in a few words how a layout reads the rows, for a list of choices.

    Parameters
    ----------
    layout : Layout
        The layout.

    Returns
    -------
    str
        Such as "2 columns, separator semicolon, decimal comma".
    """
    columns = f"{layout.columns} column{'s' if layout.columns > 1 else ''}"
    separator = f", separator {SEPARATOR_NAMES[layout.delimiter]}" if layout.columns > 1 else ""
    return f"{columns}{separator}, decimal {DECIMAL_NAMES[layout.decimal_char]}"
