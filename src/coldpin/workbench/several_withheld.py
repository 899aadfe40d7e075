"""What several cases withhold, taken out of one page about all of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from coldpin.errors import CaseError, InputError
from coldpin.records.plain import from_plain, to_plain
from coldpin.records.withheld import WithheldText
from coldpin.workbench.withholding import mapped, swapper

T = TypeVar("T")

_END = ", withheld]"


def of_each(texts: Iterable[WithheldText], which: str) -> tuple[WithheldText, ...]:
    """Return what one of several cases withholds, with placeholders that no other case has.

    Each case counts its own: the address 1 of one is another than the address 1 of the next.

    Parameters
    ----------
    texts : iterable of WithheldText
        What the case withholds.
    which : str
        Which of them it is, such as "specimen 2".

    Returns
    -------
    tuple of WithheldText
        In the same order.

    Examples
    --------
    >>> one = WithheldText(placeholder="[address 1, withheld]", text="Pier 12", what="address", found="by name")
    >>> of_each([one], "specimen 2")[0].placeholder
    '[address 1 of specimen 2, withheld]'
    """
    return tuple(replace(one, placeholder=f"{one.placeholder.removesuffix(_END)} of {which}{_END}") for one in texts)


def without_any(kind: type[T], record: T, texts: Iterable[WithheldText], *, where: str) -> T:
    """Return a record about several cases without what any of them withholds.

    Parameters
    ----------
    kind : type
        Of the record.
    record : object
        The record.
    texts : iterable of WithheldText
        What all of them withhold; of one text that two withhold the first placeholder stands for both.
    where : str
        How a message calls the record.

    Returns
    -------
    object
        The record that may be handed on.

    Raises
    ------
    CaseError
        A text to be withheld is part of what the record cannot do without.
    """
    ordered = tuple(texts)
    if not ordered:
        return record
    try:
        return from_plain(kind, mapped(to_plain(record), swapper(ordered)), where=where)
    except InputError as error:
        raise CaseError(
            f"a text in private.toml is part of what the record is made of: give more of it ({error})"
        ) from error
