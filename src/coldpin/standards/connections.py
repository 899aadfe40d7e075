"""What a lead plugs into at either end: ratings, pins, practice by country, and the coding of the cable's current."""

from __future__ import annotations

import re
from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import Row

_PLUG = "plug."
_COUPLER = "coupler."


@dataclass(frozen=True, slots=True, kw_only=True)
class CodingBand:
    """A range of the resistance from proximity contact to earth, and what it says. [Ω]

    ``current`` is what the cable says it carries, None for a type 1 connector, which tells its latch only. [A]
    ``single_phase_current`` is what it says with one phase, where that differs. [A] ``latch`` is "released" or
    "pressed" for a type 1 connector, else empty.
    """

    minimum: float | None
    nominal: float | None
    maximum: float | None
    current: float | None
    single_phase_current: float | None = None
    latch: str
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class CodingEdges:
    """What lies outside the ranges of a type 2 cable, and the older edges that another text decides by. [Ω]

    ``error_low`` and ``error_high`` are errors below and above; ``older`` are the edges between two codings in rising
    order, ``older_outer`` the outermost of them.
    """

    error_low: Limit
    error_high: Limit
    older: tuple[Limit, ...]
    older_outer: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class ProximityCircuit:
    """The vehicle's side of the type 1 proximity contact: R4 to a supply, R5 to earth, both with one tolerance.

    ``supply`` in V, ``r4`` and ``r5`` in Ω, ``tolerance`` in per cent.
    """

    supply: Limit
    r4: Limit
    r5: Limit
    tolerance: Limit


def _folded(word: str) -> str:
    return re.sub(r"[^a-z0-9]+", "", word.casefold())


def _named(book: Book, prefix: str, kind: str, word: str) -> Row:
    rows = book.under(prefix)
    wanted = _folded(word)
    for row in rows:
        own = (row.limit.id, row.limit.id.removeprefix(prefix), row.limit.title, *row.words("words"))
        if wanted in map(_folded, own):
            return row
    raise UnknownName.among(kind, word, [row.words("words")[0] for row in rows])


def plugs(book: Book) -> tuple[Limit, ...]:
    """Return the plugs of the table with their rated currents.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of Limit
        One for each plug; the rated current is its maximum. [A]
    """
    return tuple(row.limit for row in book.under(_PLUG))


def plug(book: Book, word: str) -> Limit:
    """Return the rated current of a plug.

    Parameters
    ----------
    book : Book
        The constants.
    word : str
        The plug as the trade or its standard calls it ("CEE 7/4", "Schuko", "type G", "NEMA 14-50") or its id.

    Returns
    -------
    Limit
        The rated current is its maximum. [A]

    Raises
    ------
    UnknownName
        The table has no such plug; the message lists those it has.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> plug(load_book(), "Schuko").maximum
    16.0
    """
    return _named(book, _PLUG, "plug", word).limit


def coupler(book: Book, word: str) -> Limit:
    """Return the rated current of a vehicle coupler.

    Parameters
    ----------
    book : Book
        The constants.
    word : str
        "type 1" or "type 2".

    Returns
    -------
    Limit
        The rated current is its maximum. [A]

    Raises
    ------
    UnknownName
        The table has no such connector.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> coupler(load_book(), "type 2").maximum
    63.0
    """
    return _named(book, _COUPLER, "vehicle connector", word).limit


def plug_pins(book: Book, word: str) -> tuple[str, ...]:
    """Return the pins of a plug in the order of the wiring map.

    Parameters
    ----------
    book : Book
        The constants.
    word : str
        The plug, as in :func:`plug`.

    Returns
    -------
    tuple of str
        Names such as "L", "N", "PE".

    Raises
    ------
    UnknownName
        The table has no such plug.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> plug_pins(load_book(), "CEE 16 A red")
    ('L1', 'L2', 'L3', 'N', 'PE')
    """
    return _named(book, _PLUG, "plug", word).words("pins")


def plug_polarised(book: Book, word: str) -> bool:
    """Say whether a plug goes in one way round only, so that line and neutral can be told apart.

    Parameters
    ----------
    book : Book
        The constants.
    word : str
        The plug, as in :func:`plug`.

    Returns
    -------
    bool
        False for a plug that can be turned.

    Raises
    ------
    UnknownName
        The table has no such plug.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> plug_polarised(load_book(), "BS 1363"), plug_polarised(load_book(), "CEE 7/7")
    (True, False)
    """
    return _named(book, _PLUG, "plug", word).yes("polarised")


def plug_practice(book: Book, word: str, country: str = "") -> tuple[Limit, ...]:
    """Return what a plug is allowed for hours of charging in a plain socket, by country.

    Parameters
    ----------
    book : Book
        The constants.
    word : str
        The plug, as in :func:`plug`.
    country : str
        ISO 3166-1 code of the country, or "EU"; empty for all.

    Returns
    -------
    tuple of Limit
        The current is each one's maximum; empty where nothing is known. [A]

    Raises
    ------
    UnknownName
        The table has no such plug.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [limit.maximum for limit in plug_practice(load_book(), "CEE 7/4", "FI")]
    [8.0]
    """
    return _practice(book, word, country, marked=False)


def marked_socket_practice(book: Book, word: str, country: str = "") -> tuple[Limit, ...]:
    """Return what a plug is allowed for hours of charging in a socket that is marked or built for it, by country.

    Parameters
    ----------
    book : Book
        The constants.
    word : str
        The plug, as in :func:`plug`.
    country : str
        ISO 3166-1 code of the country; empty for all.

    Returns
    -------
    tuple of Limit
        The current is each one's maximum; empty where there is no such socket. [A]

    Raises
    ------
    UnknownName
        The table has no such plug.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [limit.maximum for limit in marked_socket_practice(load_book(), "BS 1363", "GB")]
    [13.0]
    """
    return _practice(book, word, country, marked=True)


_MEANT = {"UK": "GB", "EL": "GR"}
"""Codes that are written for countries whose code in ISO 3166-1 is another."""


def _practice(book: Book, word: str, country: str, *, marked: bool) -> tuple[Limit, ...]:
    own = _named(book, _PLUG, "plug", word).limit.id.removeprefix(_PLUG)
    written = country.strip().upper()
    wanted = _MEANT.get(written, written)
    return tuple(
        row.limit
        for row in book.under("plug-practice.")
        if own in row.words("plugs")
        and row.yes("marked") is marked
        and (not wanted or row.word("country") in ("", wanted))
    )


def connector_pins(book: Book, connector: str) -> tuple[str, ...]:
    """Return the contacts of a vehicle connector in the order of the wiring map.

    Parameters
    ----------
    book : Book
        The constants.
    connector : str
        "type 1" or "type 2".

    Returns
    -------
    tuple of str
        Names such as "L1", "N", "PE", "CP", "PP".

    Raises
    ------
    UnknownName
        The table has no such connector.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> connector_pins(load_book(), "type 1")
    ('L1', 'N', 'PE', 'CP', 'PP')
    """
    return _named(book, _COUPLER, "vehicle connector", connector).words("pins")


def coding(book: Book, connector: str) -> tuple[CodingBand, ...]:
    """Return the ranges of the resistance from proximity contact to earth.

    A resistance between two ranges of a type 2 cable stands for the lower current; below
    ``coding-error.type-2.low`` and above ``coding-error.type-2.high`` it is an error.

    Parameters
    ----------
    book : Book
        The constants.
    connector : str
        "type 1" or "type 2".

    Returns
    -------
    tuple of CodingBand
        Ranges in falling order of the resistance, so in rising order of the current.

    Raises
    ------
    UnknownName
        The table has no such connector.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(band.current, band.nominal) for band in coding(load_book(), "type 2")]
    [(13.0, 1500.0), (20.0, 680.0), (32.0, 220.0), (63.0, 100.0)]
    >>> [(band.latch, band.nominal) for band in coding(load_book(), "type 1")]
    [('pressed', 480.0), ('released', 150.0)]
    """
    own = _named(book, _COUPLER, "vehicle connector", connector).limit.id.removeprefix(_COUPLER)
    bands = [
        CodingBand(
            minimum=row.limit.minimum,
            nominal=row.limit.nominal,
            maximum=row.limit.maximum,
            current=row.number("current") if "current" in row.data else None,
            single_phase_current=row.number("single_phase_current") if "single_phase_current" in row.data else None,
            latch=row.word("latch"),
            limit=row.limit,
        )
        for row in book.under(f"coding.{own}.")
    ]
    return tuple(sorted(bands, key=lambda band: -(band.nominal or band.maximum or band.minimum or 0.0)))


def coding_edges(book: Book) -> CodingEdges:
    """Return the errors outside the ranges of a type 2 cable, and the older edges in dispute with the ranges.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    CodingEdges
        Edges. [Ω]

    Raises
    ------
    UnknownName
        A table lacks one of them.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> edges = coding_edges(load_book())
    >>> edges.error_low.maximum, [limit.nominal for limit in edges.older], edges.error_high.minimum
    (60.0, [150.0, 330.0, 1000.0], 4500.0)

    Sources
    -------
    ``coding-error.type-2.*``, ``coding-edge.type-2.*``.
    """
    outer = book.limit("coding-edge.type-2.outer")
    between = [row.limit for row in book.under("coding-edge.type-2.") if row.limit.id != outer.id]
    return CodingEdges(
        error_low=book.limit("coding-error.type-2.low"),
        error_high=book.limit("coding-error.type-2.high"),
        older=tuple(sorted(between, key=lambda limit: limit.nominal or 0.0)),
        older_outer=outer,
    )


def proximity_circuit(book: Book) -> ProximityCircuit:
    """Return the vehicle's side of the type 1 proximity contact.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    ProximityCircuit
        Supply, resistors and their tolerance.

    Raises
    ------
    UnknownName
        A table lacks one of them.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> circuit = proximity_circuit(load_book())
    >>> circuit.supply.nominal, circuit.r4.nominal, circuit.r5.nominal, circuit.tolerance.maximum
    (5.0, 330.0, 2700.0, 10.0)

    Sources
    -------
    ``proximity.type-1.*``.
    """
    supply, r4, r5, tolerance = (book.limit(f"proximity.type-1.{name}") for name in ("supply", "r4", "r5", "tolerance"))
    return ProximityCircuit(supply=supply, r4=r4, r5=r5, tolerance=tolerance)
