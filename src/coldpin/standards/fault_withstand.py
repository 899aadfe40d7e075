"""How much heat of a fault a conductor bears: the printed factors k by metal and insulation."""

from __future__ import annotations

import re
from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import Row, needed

_K = "k."

K_METALS = ("copper", "aluminium", "steel")
"""The metals with printed factors; clad aluminium has none and is judged as aluminium."""

_CLAD = ("clad", "cca")


@dataclass(frozen=True, slots=True, kw_only=True)
class WithstandFactor:
    """A printed factor k [A·√s/mm²] with the temperatures between which it holds. [°C]"""

    k: float
    metal: str
    insulation: str
    initial_temperature: float
    final_temperature: float
    limit: Limit


def judged_as(metal: str) -> str:
    """Return the metal in whose row a metal is judged.

    Parameters
    ----------
    metal : str
        "copper", "tinned copper", "aluminium", "clad 10", "clad 15", "CCA", "steel".

    Returns
    -------
    str
        A metal of the table: clad aluminium is judged as aluminium, tinned copper as copper, steel-cored as steel.

    Raises
    ------
    UnknownName
        No row serves for it.

    Examples
    --------
    >>> [judged_as(metal) for metal in ("tinned_copper", "clad_10", "steel-cored")]
    ['copper', 'aluminium', 'steel']
    """
    folded = re.sub(r"[\s_-]+", " ", metal.strip().casefold())
    if any(folded.startswith(word) for word in _CLAD) or "aluminium" in folded:
        return "aluminium"
    for known in K_METALS:
        if known in folded:
            return known
    raise UnknownName.among("metal", metal, (*K_METALS, "clad aluminium"))


def withstand_factors(book: Book, metal: str = "copper") -> tuple[WithstandFactor, ...]:
    """Return the printed factors of a metal, one for each insulation.

    Parameters
    ----------
    book : Book
        The constants.
    metal : str
        The metal, as in :func:`judged_as`.

    Returns
    -------
    tuple of WithstandFactor
        In the order of the table.

    Raises
    ------
    UnknownName
        No row serves for the metal.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [factor.k for factor in withstand_factors(load_book(), "aluminium")][:3]
    [76.0, 94.0, 93.0]

    Sources
    -------
    ``k.*``, IEC 60364-5-54 table A.54.4.
    """
    return tuple(_factor(row) for row in book.under(f"{_K}{judged_as(metal)}."))


def _factor(row: Row) -> WithstandFactor:
    return WithstandFactor(
        k=needed(row.limit, "nominal"),
        metal=row.word("material"),
        insulation=row.word("insulation"),
        initial_temperature=row.number("initial_c"),
        final_temperature=row.number("final_c"),
        limit=row.limit,
    )


def _folded(word: str) -> str:
    return re.sub(r"[^a-z0-9]+", "", word.casefold().replace("°c", ""))


def withstand_factor(book: Book, *, metal: str = "copper", insulation: str = "") -> WithstandFactor:
    """Return the printed factor of a metal in an insulation.

    Parameters
    ----------
    book : Book
        The constants.
    metal : str
        The metal, as in :func:`judged_as`.
    insulation : str
        "PVC 70", "PVC 90", "cross-linked 90" (or "XLPE", "EPR"), "rubber 60", "rubber 85"; where nothing is known of it
        the least factor of the metal serves.

    Returns
    -------
    WithstandFactor
        k and its temperatures.

    Raises
    ------
    UnknownName
        No row serves for the metal, or the insulation is not in the table; the message lists them.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> withstand_factor(load_book(), insulation="PVC 70").k, withstand_factor(load_book(), insulation="epr").k
    (115.0, 143.0)
    >>> withstand_factor(load_book()).insulation
    'PVC 90 °C'

    Sources
    -------
    ``k.*``, IEC 60364-5-54 table A.54.4.
    """
    factors = withstand_factors(book, metal)
    if not insulation.strip():
        return min(factors, key=lambda factor: factor.k)
    words = {row.word("insulation"): row.words("words") for row in book.under(f"{_K}copper.")}
    wanted = _folded(insulation)
    for factor in factors:
        if wanted in map(_folded, (factor.insulation, *words[factor.insulation])):
            return factor
    raise UnknownName.among("insulation", insulation, words)


def insulation_of_print(book: Book, text: str) -> str:
    """Return the insulation for which the code on a cable's sheath stands.

    Parameters
    ----------
    book : Book
        The constants.
    text : str
        What is printed on the cable.

    Returns
    -------
    str
        As :func:`withstand_factor` takes it; empty where the print holds no code of the table: of a charging cable the
        code alone does not tell what its insulation bears in a fault.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [insulation_of_print(load_book(), text) for text in ("H05VV-F 3G1.5", "H07BZ5-F 3G2.5 + 2X0.5")]
    ['PVC 70 °C', '']

    Sources
    -------
    ``cable-code.*``.
    """
    printed = _folded(text)
    for row in book.under("cable-code."):
        if any(_folded(word) in printed for word in row.words("words")):
            return row.word("insulation")
    return ""
