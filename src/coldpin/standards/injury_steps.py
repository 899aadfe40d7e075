"""What the steps of injury scenarios are thought to be, and what surveys and zones say of them."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.finding import Limit
from coldpin.records.scenario import Span
from coldpin.standards.book import Book
from coldpin.standards.table import needed


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneHarm:
    """What a shock in a zone does: severity without fibrillation, lasting and brief, and how often the heart stops."""

    severity: int
    severity_brief: int
    fibrillation: Span
    limit: Limit


def step_span(book: Book, row: str) -> tuple[Span, Limit]:
    """Return what a step is thought to be.

    Parameters
    ----------
    book : Book
        The constants.
    row : str
        Id of its row.

    Returns
    -------
    tuple
        Low, best and high [1], and the row they are from.

    Raises
    ------
    UnknownName
        There is no such row.
    InputError
        An own value of the case leaves one of the three out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> step_span(load_book(), "injury.upstream-idle")[0]
    Span(low=0.021, best=0.064, high=0.071)

    Sources
    -------
    ``injury.*``.
    """
    limit = book.limit(row)
    low, best, high = (needed(limit, which) for which in ("minimum", "nominal", "maximum"))
    return Span(low=low, best=best, high=high), limit


def zone_harm(book: Book, zone: str) -> ZoneHarm:
    """Return what a shock in a zone does.

    Parameters
    ----------
    book : Book
        The constants.
    zone : str
        Such as "AC-4.1".

    Returns
    -------
    ZoneHarm
        Severities and fibrillation.

    Raises
    ------
    UnknownName
        There is no such zone.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> zone_harm(load_book(), "AC-3").severity, zone_harm(load_book(), "AC-4.1").fibrillation.high
    (2, 0.05)

    Sources
    -------
    ``injury.zone.*``.
    """
    row = book.row(f"injury.zone.{zone}")
    span, limit = step_span(book, row.limit.id)
    severity, brief = int(row.number("severity")), int(row.number("severity_brief"))
    return ZoneHarm(severity=severity, severity_brief=brief, fibrillation=span, limit=limit)
