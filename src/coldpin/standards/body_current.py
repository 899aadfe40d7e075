"""What a body lets through, what part of it the heart meets, and the curves of the zones: looked up in the book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.body_current import Kind
from coldpin.records.finding import Limit
from coldpin.records.person import Wetness
from coldpin.standards.book import Book
from coldpin.standards.table import needed

_IMPEDANCE = "body.impedance"
_CURVE = "body.curve"
_ZONE = "body.zone."
CURVES: Mapping[Kind, tuple[str, ...]] = {Kind.AC: ("a", "b", "c1", "c2", "c3"), Kind.DC: ("a", "b", "c1")}
"""The curves that part the zones, lowest first; of d.c. no point beyond c1 is known to us."""
ZONES: Mapping[Kind, tuple[str, ...]] = {
    Kind.AC: ("AC-1", "AC-2", "AC-3", "AC-4.1", "AC-4.2", "AC-4.3"),
    Kind.DC: ("DC-1", "DC-2", "DC-3", "DC-4"),
}
"""The zones between them: one more than there are curves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyPath:
    """A way through the body: what part of the impedance hand to hand it has, and the heart-current factors of it.

    ``heart`` are ids of the table, that of the standard's path first; where several hold, or a model of the body gives
    another, all are told.
    """

    name: str
    told: str
    impedance: str
    heart: tuple[str, ...]


PATHS: tuple[BodyPath, ...] = (
    BodyPath(
        name="hand-to-feet",
        told="from a hand to both feet",
        impedance="hand-to-feet",
        heart=("left-hand-to-feet", "right-hand-to-feet"),
    ),
    BodyPath(
        name="left-hand-to-feet",
        told="from the left hand to both feet",
        impedance="hand-to-feet",
        heart=("left-hand-to-feet",),
    ),
    BodyPath(
        name="right-hand-to-feet",
        told="from the right hand to both feet",
        impedance="hand-to-feet",
        heart=("right-hand-to-feet",),
    ),
    BodyPath(
        name="hand-to-foot",
        told="from a hand to one foot",
        impedance="hand-to-foot",
        heart=("left-hand-to-feet", "right-hand-to-feet"),
    ),
    BodyPath(
        name="hands-to-feet",
        told="from both hands to both feet",
        impedance="hands-to-feet",
        heart=("hands-to-feet",),
    ),
    BodyPath(
        name="hand-to-hand",
        told="from hand to hand",
        impedance="hand-to-hand",
        heart=("hand-to-hand", "model.hand-to-hand"),
    ),
    BodyPath(
        name="hand-to-chest",
        told="from a hand to the chest",
        impedance="hand-to-trunk",
        heart=("chest-to-left-hand", "chest-to-right-hand", "model.chest-to-right-hand"),
    ),
    BodyPath(
        name="hand-to-back",
        told="from a hand to the back",
        impedance="hand-to-trunk",
        heart=("back-to-left-hand", "back-to-right-hand"),
    ),
    BodyPath(
        name="hand-to-seat",
        told="from a hand to the seat",
        impedance="hand-to-trunk",
        heart=("seat-to-hand",),
    ),
)
"""Ways through the body of one who holds a lead, stands on the ground, leans on a car or sits in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpedanceTable:
    """The impedance from hand to hand over the touch voltage, for some parts of the population.

    ``voltages`` rise [V]; ``columns`` are the impedances [Ω] that ``percentiles`` per cent of people do not exceed.
    ``limits`` has the cell of each.
    """

    voltages: tuple[float, ...]
    percentiles: tuple[float, ...]
    columns: tuple[tuple[float, ...], ...]
    limits: tuple[tuple[Limit, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneCurve:
    """One curve: ``durations`` rise [s], ``currents`` [mA] never do; each point with its row of the table."""

    name: str
    durations: tuple[float, ...]
    currents: tuple[float, ...]
    limits: tuple[Limit, ...]


def find_path(name: str) -> BodyPath:
    """Return a way through the body by its name.

    Parameters
    ----------
    name : str
        Such as "hand-to-feet".

    Returns
    -------
    BodyPath
        The path.

    Raises
    ------
    UnknownName
        There is none of that name; the message lists them.

    Examples
    --------
    >>> find_path("hand-to-feet").told
    'from a hand to both feet'
    """
    by_name = {path.name: path for path in PATHS}
    if name not in by_name:
        raise UnknownName.among("path through the body", name, by_name)
    return by_name[name]


def impedance_table(book: Book, *, kind: Kind, wetness: Wetness) -> ImpedanceTable:
    """Return the impedance from hand to hand of one kind of current and state of the skin.

    For d.c. only dry skin has a table known to us; for wet skin that of a.c. is returned, whose every value is no
    higher than the one of d.c. at the same skin.

    Parameters
    ----------
    book : Book
        The constants.
    kind : Kind
        a.c. or d.c.
    wetness : Wetness
        Of the skin.

    Returns
    -------
    ImpedanceTable
        With three columns.

    Raises
    ------
    InputError
        An own value of the case leaves a cell without its number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> table = impedance_table(load_book(), kind=Kind.AC, wetness=Wetness.DRY)
    >>> table.percentiles, [column[8] for column in table.columns]
    ((5.0, 50.0, 95.0), [775.0, 1225.0, 1900.0])

    Sources
    -------
    ``body.impedance.*``.
    """
    has_table = kind is Kind.AC or wetness is Wetness.DRY
    return _table(book, f"{_IMPEDANCE}.{(kind if has_table else Kind.AC).value}.{wetness.value}")


def superseded_table(book: Book) -> ImpedanceTable:
    """Return the dry a.c. impedance of an older edition, which is still copied: to be shown beside, not to be used.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    ImpedanceTable
        With three columns.

    Raises
    ------
    InputError
        An own value of the case leaves a cell without its number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> superseded_table(load_book()).columns[0][5]
    1000.0

    Sources
    -------
    ``body.impedance.superseded.dry.*``.
    """
    return _table(book, f"{_IMPEDANCE}.superseded.dry")


def _table(book: Book, start: str) -> ImpedanceTable:
    heads = dict.fromkeys(row.limit.id.split(".")[len(start.split("."))] for row in book.under(f"{start}."))
    rows = {head: book.under(f"{start}.{head}.") for head in heads}
    first = next(iter(rows.values()))
    return ImpedanceTable(
        voltages=tuple(row.number("touch_voltage") for row in first),
        percentiles=tuple(float(head.removeprefix("p")) for head in heads),
        columns=tuple(tuple(needed(row.limit, "nominal") for row in column) for column in rows.values()),
        limits=tuple(tuple(row.limit for row in column) for column in rows.values()),
    )


def path_factor(book: Book, path: BodyPath) -> Limit:
    """Return what part of the impedance hand to hand a path has.

    Parameters
    ----------
    book : Book
        The constants.
    path : BodyPath
        The path.

    Returns
    -------
    Limit
        With its nominal value, or with the span that is quoted.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> path_factor(load_book(), find_path("hand-to-feet")).nominal
    0.75

    Sources
    -------
    ``body.path-factor.*``.
    """
    return book.limit(f"body.path-factor.{path.impedance}")


def heart_factors(book: Book, path: BodyPath) -> tuple[Limit, ...]:
    """Return the heart-current factors of a path, that of the standard first.

    Parameters
    ----------
    book : Book
        The constants.
    path : BodyPath
        The path.

    Returns
    -------
    tuple of Limit
        One or more.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [factor.nominal for factor in heart_factors(load_book(), find_path("hand-to-hand"))]
    [0.4, 1.0]

    Sources
    -------
    ``body.heart-factor.*``.
    """
    return tuple(book.limit(f"body.heart-factor.{name}") for name in path.heart)


def zone_curves(book: Book, kind: Kind) -> tuple[ZoneCurve, ...]:
    """Return the curves that part the zones, lowest first.

    Parameters
    ----------
    book : Book
        The constants.
    kind : Kind
        a.c. or d.c.

    Returns
    -------
    tuple of ZoneCurve
        Each with its points in rising time.

    Raises
    ------
    InputError
        An own value of the case leaves a point without its current.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [curve.name for curve in zone_curves(load_book(), Kind.DC)]
    ['a', 'b', 'c1']

    Sources
    -------
    ``body.curve.*``.
    """
    found = []
    for name in CURVES[kind]:
        rows = sorted(book.under(f"{_CURVE}.{kind.value}.{name}."), key=lambda row: row.number("duration"))
        found.append(
            ZoneCurve(
                name=name,
                durations=tuple(row.number("duration") for row in rows),
                currents=tuple(needed(row.limit, "nominal") for row in rows),
                limits=tuple(row.limit for row in rows),
            )
        )
    return tuple(found)


def zone_effect(book: Book, zone: str) -> str:
    """Return what a current in a zone does, in a few words.

    Parameters
    ----------
    book : Book
        The constants.
    zone : str
        Such as "AC-3".

    Returns
    -------
    str
        The effect.

    Raises
    ------
    UnknownName
        There is no such zone.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> zone_effect(load_book(), "AC-1")
    'may be felt, usually without a start'

    Sources
    -------
    ``body.zone.*``.
    """
    return book.row(f"{_ZONE}{zone}").word("effect")


def charge_model(book: Book) -> tuple[Limit, Limit, float]:
    """Return the independent model of fibrillation by charge: current at 1 s, at long times, and from when that holds.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of Limit, Limit and float
        Currents in mA, and the duration from which the second holds. [s]

    Raises
    ------
    InputError
        An own value of the case leaves the duration out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [limit.nominal for limit in charge_model(load_book())[:2]]
    [100.0, 38.0]

    Sources
    -------
    ``body.charge-model.*``.
    """
    row = book.row("body.charge-model.one-second")
    return row.limit, book.limit("body.charge-model.current"), row.number("duration_to")
