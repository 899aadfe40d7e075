"""Devices before the socket: what they are called, what they let flow, when they act, and what they let through."""

from __future__ import annotations

import re
from dataclasses import dataclass

from coldpin.errors import OutsideRange, UnknownName
from coldpin.records.fault import ProtectiveDevice
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.connections import plug
from coldpin.standards.table import Row, needed

_TRIP = "trip."
_CONVENTIONAL = "trip.conventional"
_LET_THROUGH = "let-through."
_BEFORE = "before-socket."

KINDS = ("B", "C", "D", "gG", "BS 1362")
"""What a device may be called: band of a circuit-breaker, or fuse."""

BREAKERS = ("B", "C", "D")
"""Circuit-breakers, which act at once above a multiple of their rated current."""

_WRITTEN = re.compile(
    r"(?P<kind>BS ?1362|gG|gL|[BCD])[ -]?(?P<rating>\d+(?:[.,]\d+)?) ?A?"
    r"|(?P<rating_first>\d+(?:[.,]\d+)?) ?A? ?(?P<kind_last>BS ?1362|gG|gL|[BCD])",
    re.IGNORECASE,
)
_FOLDED = {"bs1362": "BS 1362", "gg": "gG", "gl": "gG", "b": "B", "c": "C", "d": "D"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ConventionalCurrents:
    """What a device carries for an hour, and at which current it acts within one; None where no text says so. [A]"""

    carries: float
    acts: float | None
    limit: Limit


def find_device(text: str) -> ProtectiveDevice:
    """Return the device that a text names.

    Parameters
    ----------
    text : str
        As it is printed or written: "B16", "C 20 A", "16 A gG", "BS 1362 13 A".

    Returns
    -------
    ProtectiveDevice
        Kind and rated current.

    Raises
    ------
    UnknownName
        The text names no device known here.
    OutsideRange
        The rated current is zero, or more than before any socket.

    Examples
    --------
    >>> find_device("c 20 A").name, find_device("13 A BS1362").name
    ('C20', 'BS 1362 13 A')
    """
    found = _WRITTEN.fullmatch(" ".join(text.split()))
    if found is None:
        raise UnknownName(
            f"unknown protective device {text!r}: write kind and rated current, as in B16, C20, 'gG 16 A' or "
            f"'BS 1362 13 A'; known kinds: {', '.join(KINDS)}"
        )
    kind = (found["kind"] or found["kind_last"]).replace(" ", "").casefold()
    rating = float((found["rating"] or found["rating_first"]).replace(",", "."))
    try:
        check_rating(rating)
    except OutsideRange as error:
        raise OutsideRange(f"protective device {text!r}: {error}") from error
    return ProtectiveDevice(kind=_FOLDED[kind], rating_a=rating)


def check_rating(rating: float) -> None:
    """Refuse a rated current that no device before a socket has.

    Parameters
    ----------
    rating : float
        The rated current. [A]

    Raises
    ------
    OutsideRange
        It is not above zero, or larger than that of the largest socket.

    Examples
    --------
    >>> check_rating(16000.0)
    Traceback (most recent call last):
    coldpin.errors.OutsideRange: rated current 16000 A: sockets end at 125 A; is it in mA?
    """
    if rating <= 0.0:
        raise OutsideRange(f"rated current {rating:g} A: it must be above 0 A")
    if rating > LARGEST_SOCKET:
        raise OutsideRange(f"rated current {rating:g} A: sockets end at {LARGEST_SOCKET:g} A; is it in mA?")


LARGEST_SOCKET = 125.0
"""Ours: industrial sockets are made up to it; a larger device before one is a slip of the unit. [A]"""


def device_before(book: Book, plug_word: str) -> ProtectiveDevice:
    """Return the device that may stand before the socket of a plug, where nobody looked.

    Parameters
    ----------
    book : Book
        The constants.
    plug_word : str
        The plug, by a word of the table of plugs.

    Returns
    -------
    ProtectiveDevice
        The fuse of a plug that has one, else a circuit-breaker as large as the plug.

    Raises
    ------
    UnknownName
        The table has no such plug.
    InputError
        An own value of the case gives no rated current.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> device_before(load_book(), "Schuko").name, device_before(load_book(), "type G").name
    ('C16', 'BS 1362 13 A')

    Sources
    -------
    ``before-socket.*``, common practice.
    """
    rated = plug(book, plug_word)
    for row in book.under(_BEFORE):
        if rated.id.removeprefix("plug.") in row.words("words"):
            return ProtectiveDevice(kind=row.word("device"), rating_a=needed(row.limit, "maximum"))
    breaker = book.row(f"{_BEFORE}breaker")
    return ProtectiveDevice(kind=breaker.word("device"), rating_a=needed(rated, "maximum"))


def customary_capacity(book: Book) -> float:
    """Return the short-circuit capacity of a household circuit-breaker, where nobody looked.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        The figure in the frame. [A]

    Raises
    ------
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> customary_capacity(load_book())
    6000.0

    Sources
    -------
    ``device.capacity``, common practice.
    """
    return needed(book.limit("device.capacity"), "nominal")


def instantaneous_band(book: Book, device: ProtectiveDevice) -> Limit | None:
    """Return the band in which a circuit-breaker acts at once, in multiples of its rated current.

    Parameters
    ----------
    book : Book
        The constants.
    device : ProtectiveDevice
        The device.

    Returns
    -------
    Limit or None
        None for a fuse, which has no such band.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> instantaneous_band(load_book(), find_device("B16")).maximum
    5.0

    Sources
    -------
    ``trip.b``, ``trip.c``, ``trip.d``.
    """
    return book.limit(f"{_TRIP}{device.kind.lower()}") if device.kind in BREAKERS else None


def instantaneous_time(book: Book) -> Limit:
    """Return the time within which a circuit-breaker acts at the upper end of its band.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In seconds.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> instantaneous_time(load_book()).maximum
    0.1

    Sources
    -------
    ``trip.time``.
    """
    return book.limit(f"{_TRIP}time")


def conventional_currents(book: Book, device: ProtectiveDevice) -> ConventionalCurrents | None:
    """Return what a device carries for an hour, and at which current it acts within one.

    Parameters
    ----------
    book : Book
        The constants.
    device : ProtectiveDevice
        The device.

    Returns
    -------
    ConventionalCurrents or None
        None where nothing is known of the device.

    Raises
    ------
    InputError
        An own value of the case gives no minimum.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> currents = conventional_currents(load_book(), find_device("B16"))
    >>> round(currents.carries, 1), round(currents.acts, 1)
    (18.1, 23.2)

    Sources
    -------
    ``trip.conventional*``.
    """
    for row in book.under(_CONVENTIONAL):
        if device.kind not in row.words("words") or not _of_size(row, device):
            continue
        if row.limit.unit == "A":
            if row.number("rating") != device.rating_a:
                return None
            return ConventionalCurrents(carries=needed(row.limit, "minimum"), acts=row.limit.maximum, limit=row.limit)
        acts = row.limit.maximum
        return ConventionalCurrents(
            carries=device.rating_a * needed(row.limit, "minimum"),
            acts=None if acts is None else device.rating_a * acts,
            limit=row.limit,
        )
    return None


def _of_size(row: Row, device: ProtectiveDevice) -> bool:
    """Whether a row holds for a device of this rated current; one that names no size holds for all."""
    if "rating_to" not in row.data:
        return True
    return row.number("rating_above") < device.rating_a <= row.number("rating_to")


def overload_factor(book: Book) -> Limit:
    """Return how far above the cable's rating the current may lie at which the device acts.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        A factor.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> overload_factor(load_book()).maximum
    1.45

    Sources
    -------
    ``overload.cable``, IEC 60364-4-43 433.1.
    """
    return book.limit("overload.cable")


def largest_let_through(
    book: Book, device: ProtectiveDevice, *, capacity: float, energy_class: int = 3
) -> Limit | None:
    """Return the most that a circuit-breaker of a class may let through, up to its short-circuit capacity.

    Parameters
    ----------
    book : Book
        The constants.
    device : ProtectiveDevice
        The device.
    capacity : float
        Its short-circuit capacity, the figure in a frame on its front. [A]
    energy_class : int
        Its energy limiting class, the small figure beside it.

    Returns
    -------
    Limit or None
        In A²s; None where no text known to us has the device.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> largest_let_through(load_book(), find_device("B16"), capacity=6000.0).maximum
    35000.0

    Sources
    -------
    ``let-through.*``, EN 60898-1 annex ZA (standing: memory).
    """
    rows = (row for row in book.under(_LET_THROUGH) if row.word("device") == device.kind)
    return next(
        (
            row.limit
            for row in rows
            if row.number("rating_above") < device.rating_a <= row.number("rating_to")
            and (row.number("capacity"), row.number("energy_class")) == (capacity, energy_class)
        ),
        None,
    )
