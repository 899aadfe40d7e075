"""A line of a capture and its fields."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache


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


@cache
def _field(delimiter: str) -> re.Pattern[str]:
    sign, blank = re.escape(delimiter), "" if delimiter == " " else "[ \t]*" if delimiter != "\t" else " *"
    return re.compile(rf'{blank}(?:"((?:[^"]|"")*)"{blank}|([^"{sign}]*))({sign}|$)')


def _quoted(line: str, delimiter: str) -> list[str]:
    fields, at = [], 0
    while (found := _field(delimiter).match(line, at)) is not None:
        quoted, plain, end = found.groups()
        fields.append((plain if quoted is None else quoted.replace('""', '"')).strip())
        if not end:
            return fields
        at = found.end()
    return [field.strip() for field in line.split(delimiter)]
