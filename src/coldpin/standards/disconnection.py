"""Disconnection of a fault to earth: how soon it must be off, and how low a loop the device before the socket needs."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.errors import OutsideRange, UnknownName
from coldpin.records.fault import ProtectiveDevice
from coldpin.records.finding import Limit, Standing
from coldpin.standards.book import Book
from coldpin.standards.protective_device import instantaneous_band, instantaneous_time
from coldpin.standards.table import Row, needed

_LOOP = "loop."
_TIME = "disconnection."
_WITHOUT = "without-factor"

SYSTEMS = ("TN", "TT")
"""How the earth reaches the source: by the network, or by an electrode."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopLimits:
    """The largest loop with which a device acts in time: with the tables' voltage factor, and without it. [Ω]"""

    with_factor: Limit
    without_factor: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """From ``current`` [A] on a device opens ``within`` a time [s], by ``limits``."""

    current: float
    within: Limit
    limits: tuple[Limit, ...]


def disconnection_time(book: Book, device: ProtectiveDevice, *, system: str = "TN") -> Limit:
    """Return how soon a fault to earth must be off.

    Parameters
    ----------
    book : Book
        The constants.
    device : ProtectiveDevice
        The device before the socket, whose rated current tells the circuit.
    system : str
        "TN": earth by the network; "TT": earth by an electrode.

    Returns
    -------
    Limit
        In seconds.

    Raises
    ------
    UnknownName
        There is no such system.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.protective_device import find_device
    >>> [disconnection_time(load_book(), find_device(name)).maximum for name in ("B16", "B32", "B40")]
    [0.4, 0.4, 5.0]

    Sources
    -------
    ``disconnection.*``, IEC 60364-4-41 table 41.1.
    """
    if system not in SYSTEMS:
        raise UnknownName.among("earthing system", system, SYSTEMS)
    final = book.row(f"{_TIME}{system.lower()}.final")
    if device.rating_a <= final.number("rating_to"):
        return final.limit
    return book.limit(f"{_TIME}{system.lower()}.other")


def voltage_factor(book: Book) -> float:
    """Return the factor on the nominal voltage for a low supply, as the loop tables use it.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        Cmin. [1]

    Raises
    ------
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> voltage_factor(load_book())
    0.95

    Sources
    -------
    ``loop.voltage-factor``.
    """
    return needed(book.limit(f"{_LOOP}voltage-factor"), "nominal")


def longest_short_circuit(book: Book) -> Limit:
    """Return the longest short circuit for which a conductor is reckoned to keep all its heat.

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
    >>> longest_short_circuit(load_book()).maximum
    5.0

    Sources
    -------
    ``short-circuit.longest``, IEC 60364-4-43 434.5.2 (standing: memory).
    """
    return book.limit("short-circuit.longest")


def largest_loop(book: Book, device: ProtectiveDevice, *, within: float) -> LoopLimits:
    """Return the largest loop with which a device acts in time, with and without the tables' voltage factor.

    A circuit-breaker that acts at once keeps every time class; its row, or the formula behind the rows, serves for all.
    Of a fuse the row of the longest time that is still short enough is used.

    Parameters
    ----------
    book : Book
        The constants.
    device : ProtectiveDevice
        The device.
    within : float
        The time class. [s]

    Returns
    -------
    LoopLimits
        Both. [Ω]

    Raises
    ------
    OutsideRange
        No table known to us has the fuse, and no formula gives it.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.protective_device import find_device
    >>> limits = largest_loop(load_book(), find_device("B16"), within=0.4)
    >>> limits.with_factor.maximum, limits.without_factor.maximum
    (2.73, 2.875)

    Sources
    -------
    ``loop.*``, BS 7671 tables 41.2 to 41.4.
    """
    factor = voltage_factor(book)
    rows = [row for row in book.under(_LOOP) if row.word("device") == device.kind and _rated(row, device)]
    tabulated = _in_time([row for row in rows if row.yes("with_factor")], within)
    bare = _in_time([row for row in rows if not row.yes("with_factor")], within)
    with_factor = tabulated.limit if tabulated else _by_formula(book, device, factor)
    if with_factor is None:
        raise OutsideRange(
            f"no loop table known to us has a {device.name} for {within:g} s: give the largest loop by your own text "
            "as a constant of the case, or another device"
        )
    without = bare.limit if bare else _by_formula(book, device, 1.0) or _without(with_factor, factor)
    return LoopLimits(with_factor=with_factor, without_factor=without)


def opening(book: Book, device: ProtectiveDevice) -> tuple[Opening, ...]:
    """Return from which current on a device opens within a known time: as much of its curve as the tables hold.

    Of a circuit-breaker that is the upper end of the band in which it acts at once, of a fuse the current of its loop
    table.

    Parameters
    ----------
    book : Book
        The constants.
    device : ProtectiveDevice
        The device.

    Returns
    -------
    tuple of Opening
        The shortest time first; empty where no table known to us has the device.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.protective_device import find_device
    >>> [(one.current, one.within.maximum) for one in opening(load_book(), find_device("B16"))]
    [(80.0, 0.1)]
    >>> [(round(one.current, 1), one.within.maximum) for one in opening(load_book(), find_device("BS 1362 13 A"))]
    [(95.0, 0.4)]

    Sources
    -------
    ``trip.*``, ``loop.*``.
    """
    band = instantaneous_band(book, device)
    if band is not None:
        time = instantaneous_time(book)
        return (Opening(current=needed(band, "maximum") * device.rating_a, within=time, limits=(band, time)),)
    least = voltage_factor(book) * needed(book.limit("supply.voltage"), "nominal")
    rows = [row for row in book.under(_LOOP) if row.word("device") == device.kind and _rated(row, device)]
    return tuple(
        Opening(current=least / needed(row.limit, "maximum"), within=_time_of(row, device), limits=(row.limit,))
        for row in sorted(rows, key=lambda row: row.number("time"))
        if row.yes("with_factor")
    )


def _time_of(row: Row, device: ProtectiveDevice) -> Limit:
    """Return the time for which a row's loop is printed, as a limit with the source of the row."""
    return replace(
        row.limit,
        id=f"{row.limit.id}.time",
        title=f"time within which a {device.name} opens with the largest loop of its table",
        unit="s",
        maximum=row.number("time"),
    )


def _rated(row: Row, device: ProtectiveDevice) -> bool:
    return row.data.get("rating") == device.rating_a


def _in_time(rows: list[Row], within: float) -> Row | None:
    return max((row for row in rows if row.number("time") <= within), key=lambda row: row.number("time"), default=None)


def _by_formula(book: Book, device: ProtectiveDevice, factor: float) -> Limit | None:
    band = instantaneous_band(book, device)
    if band is None:
        return None
    voltage = needed(book.limit("supply.voltage"), "nominal")
    multiple = needed(band, "maximum")
    return Limit(
        id=f"{_LOOP}{device.name.lower()}.formula" + ("" if factor < 1.0 else f".{_WITHOUT}"),
        title=f"largest loop for a {device.name}",
        unit="Ω",
        maximum=factor * voltage / (multiple * device.rating_a),
        source=band.source,
        place=f"{factor:g} times {voltage:g} V over {multiple:g} times the rated current, the formula of the tables",
        standing=Standing(band.standing),
        read_in=band.read_in,
    )


def _without(limit: Limit, factor: float) -> Limit:
    return replace(
        limit,
        id=f"{limit.id}.{_WITHOUT}",
        title=f"{limit.title}, without Cmin",
        maximum=needed(limit, "maximum") / factor,
        place=f"{limit.place}; without its factor {factor:g}, worked out",
    )


def residual_loop(book: Book, residual_current: float) -> Limit:
    """Return the largest resistance of the earth path with which a residual-current device serves.

    Parameters
    ----------
    book : Book
        The constants.
    residual_current : float
        Its rated residual operating current. [A]

    Returns
    -------
    Limit
        In ohm: the conventional touch voltage over that current.

    Raises
    ------
    OutsideRange
        The current is not above zero.
    InputError
        An own value of the case gives no touch voltage.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(residual_loop(load_book(), 0.03).maximum)
    1667

    Sources
    -------
    ``loop.residual.30mA``, ``touch.ac``; IEC 60364-4-41 411.5.3.
    """
    if residual_current <= 0.0:
        raise OutsideRange(f"rated residual operating current is {residual_current:g} A: it must be above 0, as 30 mA")
    printed = book.row(f"{_LOOP}residual.30mA")
    if printed.number("residual") == residual_current:
        return printed.limit
    touch = needed(book.limit("touch.ac"), "maximum")
    return replace(
        printed.limit,
        id=f"{_LOOP}residual",
        title="largest resistance of the earth path for a residual-current device",
        maximum=touch / residual_current,
    )
