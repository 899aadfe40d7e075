"""The current's way from socket to car: plug, socket practice, cable, coupler side by side with claims and offer.

A lead carries no more than its weakest part. Which part that is, and what asks for more than it bears, is what a reader
wants to know; each rating keeps its own source, and a practice for hours stands beside the rating of the same plug.
"""

from __future__ import annotations

from collections.abc import Iterable

from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, decide, format_value
from coldpin.records.current_path import CurrentPath, Exceeding, PathPart, PathRole
from coldpin.records.finding import Limit, Outcome
from coldpin.standards.book import Book
from coldpin.standards.cable_ratings import cable_ratings, row_text
from coldpin.standards.connections import coupler, plug, plug_practice
from coldpin.standards.table import needed

LOADED_CORES = {1: 2, 3: 3}
"""Cores of a cable that carry current, by its phases."""


PLUG, SOCKET, CABLE, COUPLER = "plug", "socket", "cable", "coupler"
"""The kinds of parts that carry."""


def carries(name: str, limit: Limit, *, kind: str = "", for_hours: bool = False) -> PathPart:
    """Return a part that carries up to a limit.

    Parameters
    ----------
    name : str
        What it is, as a reader would say it.
    limit : Limit
        Its rating, as a maximum. [A]
    kind : str
        "plug", "socket", "cable" or "coupler".
    for_hours : bool
        Whether the limit holds for hours of charging.

    Returns
    -------
    PathPart
        The part.

    Raises
    ------
    InputError
        The limit has no maximum.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> carries("plug", plug(load_book(), "Schuko")).current_a.value
    16.0
    """
    return PathPart(
        name=name,
        role=PathRole.CARRIES,
        current_a=Quantity(needed(limit, "maximum"), 0.0, "A"),
        limit=limit,
        for_hours=for_hours,
        kind=kind,
    )


def claims(name: str, current: float, *, said_by: str, about: str = "") -> PathPart:
    """Return a current that the lead claims of itself.

    Parameters
    ----------
    name : str
        What it is, as a reader would say it.
    current : float
        The current. [A]
    said_by : str
        Who says so: "the plate".
    about : str
        The kind of part that it is about, as "cable" for its coding; empty for the whole lead.

    Returns
    -------
    PathPart
        The claim.

    Raises
    ------
    OutsideRange
        The current is not above zero.

    Examples
    --------
    >>> claims("rated current", 20.0, said_by="the plate").role.value
    'claims'
    """
    if current <= 0.0:
        raise OutsideRange(f"{name} by {said_by} is {current:g} A: it must be above 0 A")
    return PathPart(name=name, role=PathRole.CLAIMS, current_a=Quantity(current, 0.0, "A"), said_by=said_by, kind=about)


def asks(name: str, current: Quantity, *, allowed: float = 0.0) -> PathPart:
    """Return a current that the lead asks for: what it offers the car.

    Parameters
    ----------
    name : str
        What it is, as a reader would say it.
    current : Quantity
        As measured. [A]
    allowed : float
        How far it may lie above a rating and be as it should, by the tolerance of what tells it. [A]

    Returns
    -------
    PathPart
        The asking.

    Examples
    --------
    >>> asks("offer", Quantity(16.1, 0.05, "A")).role.value
    'asks'
    """
    return PathPart(name=name, role=PathRole.ASKS, current_a=current, said_by="measured", allowed_a=allowed)


def carriers(
    book: Book,
    *,
    plug_word: str = "",
    country: str = "",
    connector: str = "",
    cross_section_mm2: float | None = None,
    phases: int = 1,
) -> tuple[PathPart, ...]:
    """Return what is known of the parts that carry: plug, practice of the country, coupler, cable.

    Parameters
    ----------
    book : Book
        The constants.
    plug_word : str
        The plug; empty where there is none.
    country : str
        For the practice of its household sockets; empty where it is not known.
    connector : str
        "type 1" or "type 2"; empty where it is not known.
    cross_section_mm2 : float, optional
        Marked size of the cable's power conductors. [mm²]
    phases : int
        1 or 3.

    Returns
    -------
    tuple of PathPart
        Those known; of a cable the lowest printed rating of its size.

    Raises
    ------
    UnknownName
        Plug or connector are not in the table.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> parts = carriers(load_book(), plug_word="Schuko", country="FI", connector="type 2", cross_section_mm2=1.5)
    >>> [(part.name, part.current_a.value) for part in parts][:2]
    [('plug', 16.0), ('household socket for hours (FI)', 8.0)]

    Sources
    -------
    ``plug.*``, ``plug-practice.*``, ``coupler.*``, ``cable-rating.*``.
    """
    found = []
    if plug_word:
        found.append(carries("plug", plug(book, plug_word), kind=PLUG))
        practices = plug_practice(book, plug_word, country) if country else ()
        if practices:
            least = min(practices, key=lambda limit: needed(limit, "maximum"))
            found.append(carries(f"household socket for hours ({country.upper()})", least, kind=SOCKET, for_hours=True))
    if cross_section_mm2 is not None:
        rows = cable_ratings(book, cross_section_mm2=cross_section_mm2, loaded_cores=LOADED_CORES.get(phases, 2))
        if rows:
            found.append(carries(f"cable of {cross_section_mm2:g} mm²", rows[0].limit, kind=CABLE))
    if connector:
        found.append(carries(f"{connector} coupler", coupler(book, connector), kind=COUPLER))
    return tuple(found)


def current_path(parts: Iterable[PathPart]) -> CurrentPath:
    """Return the parts by rising current, the weakest that carries, and what exceeds which.

    Parameters
    ----------
    parts : iterable of PathPart
        Those that carry, claim and ask.

    Returns
    -------
    CurrentPath
        Beyond where a claim or an offer lies above a part that it concerns, undecided where it may, within where
        nothing does; not tested where nothing carries, or nothing claims or asks.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = current_path([
    ...     *carriers(load_book(), plug_word="Schuko", cross_section_mm2=1.5),
    ...     claims("rated current", 20.0, said_by="the plate"),
    ... ])
    >>> told.weakest.name, told.outcome.value, [one.part.name for one in told.exceeding]
    ('plug', 'beyond', ['plug', 'cable of 1.5 mm²'])
    """
    listed = tuple(sorted(parts, key=lambda part: part.current_a.value))
    bearing = [part for part in listed if part.role is PathRole.CARRIES]
    wanting = [part for part in listed if part.role is not PathRole.CARRIES]
    pairs = [_placed(asking, part) for asking in wanting for part in bearing if asking.kind in ("", part.kind)]
    exceeding = tuple(pair for pair in pairs if pair.outcome is not Outcome.WITHIN)
    outcomes = {pair.outcome for pair in exceeding}
    if not pairs:
        outcome = Outcome.NOT_TESTED
    elif Outcome.BEYOND in outcomes:
        outcome = Outcome.BEYOND
    else:
        outcome = Outcome.UNDECIDED if outcomes else Outcome.WITHIN
    weakest = bearing[0] if bearing else None
    return CurrentPath(
        parts=listed,
        weakest=weakest,
        exceeding=exceeding,
        outcome=outcome,
        statement=_statement(weakest, wanting, exceeding),
    )


def _placed(asking: PathPart, part: PathPart) -> Exceeding:
    decision = decide(asking.current_a, maximum=part.current_a.value + asking.allowed_a)
    return Exceeding(asking=asking, part=part, outcome=Outcome(decision.outcome), probability=decision.probability)


def _statement(weakest: PathPart | None, wanting: list[PathPart], exceeding: tuple[Exceeding, ...]) -> str:
    if weakest is None:
        return "Of none of the parts is it known what it may carry."
    first = f"The weakest part on the way is the {weakest.name}: {format_value(weakest.current_a.value, 'A')}"
    if weakest.kind == CABLE and weakest.limit is not None:
        first = f"{first} {row_text(weakest.limit)}"
    if not wanting:
        return f"{first}."
    if not exceeding:
        return f"{first}; nothing is claimed of a part, or offered, above what that part may carry."
    by_asking: dict[str, list[str]] = {}
    for one in exceeding:
        told = f"{one.part.name} ({format_value(one.part.current_a.value, 'A')})"
        sure = "" if one.outcome is Outcome.BEYOND else ", perhaps,"
        asking = f"the {one.asking.name} of {format_value(float(f'{one.asking.current_a.value:.3g}'), 'A')} is{sure}"
        by_asking.setdefault(asking, []).append(told)
    return f"{first}; " + "; ".join(f"{who} above {' and '.join(parts)}" for who, parts in by_asking.items()) + "."
