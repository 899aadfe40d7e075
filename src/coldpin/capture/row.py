"""A line of a capture and its fields."""

from __future__ import annotations

import csv
from collections.abc import Callable


def split_row(line: str, delimiter: str) -> list[str]:
    """Return the fields of a line, without spaces around them.

    A space as delimiter means any run of spaces and tabs. Quotes are those of RFC 4180; a quote that is not
    closed on its line belongs to the text.

    Parameters
    ----------
    line : str
        The line without its end.
    delimiter : str
        The character between two fields.

    Returns
    -------
    list of str
        The fields, at least one.

    Examples
    --------
    >>> split_row('"1,5", 2', ","), split_row("  1.5   2 ", " "), split_row("1;", ";")
    (['1,5', '2'], ['1.5', '2'], ['1', ''])
    """
    return splitter(delimiter)(line)


def splitter(delimiter: str) -> Callable[[str], list[str]]:
    """Return the function that splits lines at one delimiter, as :func:`split_row` does.

    Parameters
    ----------
    delimiter : str
        The character between two fields.

    Returns
    -------
    callable
        From a line to its fields.
    """

    def at_spaces(line: str) -> list[str]:
        if '"' in line:
            return _quoted(" ".join(line.split()), " ")
        return line.split() or [""]

    def at_delimiter(line: str) -> list[str]:
        if '"' in line:
            return _quoted(line, delimiter)
        return [field.strip() for field in line.split(delimiter)]

    return at_spaces if delimiter == " " else at_delimiter


def _quoted(line: str, delimiter: str) -> list[str]:
    try:
        rows = list(csv.reader([line], delimiter=delimiter, skipinitialspace=True, strict=True))
    except csv.Error:
        return [field.strip() for field in line.split(delimiter)]
    return [field.strip() for field in rows[0]] if rows else [""]
