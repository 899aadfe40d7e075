"""How templates say what is on a drawing: the filters of the section Board."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from coldpin.insulation.required_telling import millimetres
from coldpin.records.plain import to_plain


def capitalize_first(text: str) -> str:
    """Return a text with its first letter large, all others as they are.

    Parameters
    ----------
    text : str
        A sentence or a part of one.

    Returns
    -------
    str
        "Straight from mains N 1" of "straight from mains N 1".

    Examples
    --------
    >>> capitalize_first("over PE")
    'Over PE'
    """
    return text[:1].upper() + text[1:]


BOARD: Mapping[str, Callable[..., Any]] = {
    "capitalize_first": capitalize_first,
    "millimetres": millimetres,
    "to_plain": to_plain,
}
"""By the names that templates call them."""
