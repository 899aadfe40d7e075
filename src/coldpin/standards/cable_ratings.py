"""What published tables let a cable carry, how that falls with the ambient, how hot each insulation may become."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import needed

_ROW = "cable-rating."
_AMBIENT = "cable-rating.ambient."
_INSULATION = "insulation-temperature."

FIXED_WIRING = "fixed wiring"
"""The family of rows for cables that stay where they are: shown for comparison, no lead is judged by them."""

SINGLE_CORE = "single core"
"""The family of rows for one core alone in air."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CableRating:
    """One published row: what a cable of a family may carry at an ambient.

    ``current`` [A]; ``conductor_temperature`` is that of the row [°C], None where the text leaves it to the type of
    cable; ``ambient`` [°C].
    """

    family: str
    loaded_cores: int
    cross_section_mm2: float
    current: float
    conductor_temperature: float | None
    ambient: float
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class AmbientFactor:
    """One published factor on the current at another ambient than that of the row. ``ambient`` [°C], ``factor`` [1]."""

    family: str
    conductor_temperature: float
    ambient: float
    factor: float
    limit: Limit


def all_cable_ratings(book: Book) -> tuple[CableRating, ...]:
    """Return every published row.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of CableRating
        In the order of the table.

    Raises
    ------
    InputError
        An own value of the case leaves a row without its current.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> sorted({row.family for row in all_cable_ratings(load_book())})[:3]
    ['cord', 'fixed wiring', 'heat-resistant 90 °C']

    Sources
    -------
    ``cable-rating.*``.
    """
    found = []
    for row in book.under(_ROW):
        if row.limit.id.startswith(_AMBIENT):
            continue
        conductor = row.data.get("conductor_temperature")
        found.append(
            CableRating(
                family=row.word("family"),
                loaded_cores=int(row.number("loaded_cores")),
                cross_section_mm2=row.number("cross_section"),
                current=needed(row.limit, "maximum"),
                conductor_temperature=conductor if isinstance(conductor, float) else None,
                ambient=row.number("ambient"),
                limit=row.limit,
            )
        )
    return tuple(found)


def cable_ratings(
    book: Book, *, cross_section_mm2: float, loaded_cores: int, families: tuple[str, ...] = ()
) -> tuple[CableRating, ...]:
    """Return the published rows for one cross-section.

    Parameters
    ----------
    book : Book
        The constants.
    cross_section_mm2 : float
        As the tables have it. [mm²]
    loaded_cores : int
        Cores that carry current: 1, 2 or 3.
    families : tuple of str
        Those wanted; empty for all that are made for leads.

    Returns
    -------
    tuple of CableRating
        Lowest current first; empty where no table has the cross-section.

    Raises
    ------
    InputError
        An own value of the case leaves a row without its current.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(row.family, row.current) for row in cable_ratings(load_book(), cross_section_mm2=2.5, loaded_cores=2)]
    [('cord', 25.0), ('cord', 25.0), ('multicore', 26.0)]

    Sources
    -------
    ``cable-rating.*``.
    """
    found = [
        row
        for row in all_cable_ratings(book)
        if row.cross_section_mm2 == cross_section_mm2
        and row.loaded_cores == loaded_cores
        and (row.family in families if families else row.family not in (FIXED_WIRING, SINGLE_CORE))
    ]
    return tuple(sorted(found, key=lambda row: row.current))


def row_text(limit: Limit) -> str:
    """Return by which printed row a cable may carry a current, for the end of a sentence.

    Parameters
    ----------
    limit : Limit
        The row, as a limit.

    Returns
    -------
    str
        Its title and the text it stands in.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> row = cable_ratings(load_book(), cross_section_mm2=1.0, loaded_cores=2)[0]
    >>> row_text(row.limit)
    'by the row “cord for household and hand-held apparatus, two loaded cores, 1 mm²” of BS 7671'
    """
    return f"by the row “{limit.title}” of {limit.source}"


LOWEST_COUNTS = "the lowest counts here, whatever kind of cable it is"
BOTH_COUNT = "within is what the lowest allows, beyond what the highest does not"
"""How a check decides between rows that name different currents."""


def tables_named(rows: Sequence[CableRating], decides: str, country: str = "") -> str:
    """Say which table holds for what where they name different currents for one size, and which of them decides.

    Parameters
    ----------
    rows : sequence of CableRating
        Of one size.
    decides : str
        ``LOWEST_COUNTS`` or ``BOTH_COUNT``.
    country : str
        Where it is used, as the case says it; may be empty.

    Returns
    -------
    str
        One sentence or two; empty where all name one current.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> rows = cable_ratings(load_book(), cross_section_mm2=1.0, loaded_cores=2)
    >>> tables_named(rows, LOWEST_COUNTS, "FI").rpartition(": ")[2]
    'the lowest counts here, whatever kind of cable it is.'
    >>> tables_named(rows[:1], LOWEST_COUNTS)
    ''
    """
    first: dict[float, CableRating] = {}
    for row in sorted(rows, key=lambda row: row.current):
        first.setdefault(row.current, row)
    if len(first) < 2:
        return ""
    told = "; ".join(f"{row.current:g} A for {_holds_for(row)}" for row in first.values())
    where = f"in {country}" if country else "of a country"
    return (
        f"The tables differ, each for a cable laid out in air of {rows[0].ambient:g} °C for hours: {told}. None is for "
        f"charging cables, and no rule known to us makes one of them the law {where}: {decides}."
    )


def _holds_for(row: CableRating) -> str:
    kind, metal = row.limit.title.partition(",")[0], row.conductor_temperature
    at = "" if metal is None else f", conductor at {metal:g} °C"
    return f"{kind}{at} ({row.limit.source}, {row.limit.place.partition(';')[0]})"


def ambient_factors(book: Book, family: str) -> tuple[AmbientFactor, ...]:
    """Return the published factors on the current at other ambients.

    Parameters
    ----------
    book : Book
        The constants.
    family : str
        "60", "70", "90" (cables) or "90-cord".

    Returns
    -------
    tuple of AmbientFactor
        By rising ambient.

    Raises
    ------
    UnknownName
        The table has no such family.
    InputError
        An own value of the case leaves a factor without its number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [row.factor for row in ambient_factors(load_book(), "60")][:2]
    [0.91, 0.82]

    Sources
    -------
    ``cable-rating.ambient.*``.
    """
    rows = [row for row in book.under(_AMBIENT) if row.word("family") == family]
    if not rows:
        raise UnknownName.among("family of ambient factors", family, {r.word("family") for r in book.under(_AMBIENT)})
    return tuple(
        AmbientFactor(
            family=family,
            conductor_temperature=row.number("conductor_temperature"),
            ambient=row.number("ambient"),
            factor=needed(row.limit, "nominal"),
            limit=row.limit,
        )
        for row in sorted(rows, key=lambda row: row.number("ambient"))
    )


def insulation_temperature(book: Book, insulation: str) -> Limit:
    """Return how hot a conductor may be for hours in an insulation.

    Parameters
    ----------
    book : Book
        The constants.
    insulation : str
        "pvc", "pvc-heat", "rubber", "cross-linked", "charging", "silicone", "tpu-compound" or "tpu-sheath".

    Returns
    -------
    Limit
        In °C.

    Raises
    ------
    UnknownName
        The table has no such insulation.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> insulation_temperature(load_book(), "charging").maximum
    90.0

    Sources
    -------
    ``insulation-temperature.*``.
    """
    rows = {row.limit.id.removeprefix(_INSULATION): row.limit for row in book.under(_INSULATION)}
    if insulation not in rows:
        raise UnknownName.among("insulation", insulation, rows)
    return rows[insulation]
