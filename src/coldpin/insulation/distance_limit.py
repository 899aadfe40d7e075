"""A required distance as one limit, with the weakest standing of what it rests on, for a finding to be placed by."""

from __future__ import annotations

from coldpin.records.distance import PathKind
from coldpin.records.finding import Limit, Standing
from coldpin.records.required_distances import DistanceRow
from coldpin.standards.book import Book
from coldpin.standards.wording import sources_once

_GROOVE = "groove width X"
_WEAKEST_FIRST = (Standing.JUDGEMENT, Standing.MEMORY, Standing.COMMON_PRACTICE, Standing.READ, Standing.STANDARD)


def distance_limit(book: Book, row: DistanceRow, kind: PathKind, *, because: tuple[Limit, ...] = ()) -> Limit:
    """Return what a row asks of a clearance or a creepage as one limit.

    Parameters
    ----------
    book : Book
        The constants.
    row : DistanceRow
        The row.
    kind : PathKind
        Which of its distances.
    because : tuple of Limit
        What asks for this kind of insulation, category or degree; their standing counts too.

    Returns
    -------
    Limit
        With its least value in mm. Its standing is the weakest of all it rests on.

    Raises
    ------
    UnknownName
        A row of the table is missing.

    Examples
    --------
    >>> from coldpin.insulation.dimensioning import distance_row
    >>> from coldpin.records.required_distances import InsulationKind, InsulationSituation
    >>> from coldpin.records.required_distances import MaterialGroup, OvervoltageCategory
    >>> from coldpin.standards.book import load_book
    >>> mains = InsulationSituation(
    ...     nominal_voltage_v=230.0,
    ...     overvoltage_category=OvervoltageCategory.II,
    ...     pollution_degree=2,
    ...     material_group=MaterialGroup.IIIA,
    ... )
    >>> row = distance_row(load_book(), mains, InsulationKind.REINFORCED)
    >>> limit = distance_limit(load_book(), row, PathKind.CREEPAGE)
    >>> limit.minimum, limit.standing.value, limit.id
    (5.0, 'read', 'creepage.required.reinforced')

    Sources
    -------
    Those of the row.
    """
    through_air = kind is PathKind.CLEARANCE
    required = row.clearance_mm if through_air else row.creepage_mm
    up_to = row.clearance_up_to_mm if through_air else row.creepage_up_to_mm
    steps = [used for used in row.rows if used.step != _GROOVE]
    if through_air:
        steps = [used for used in steps if not used.step.startswith(("creepage", "reinforced, times"))]
    elif row.creepage_table_mm >= row.creepage_mm:
        steps = [used for used in steps if used.step.startswith(("creepage", "reinforced, times"))]
    named = [book.limit(name) for used in steps for name in used.rows]
    texts = dict.fromkeys(text for limit in named for text in limit.read_in)
    standing = min((limit.standing for limit in (*because, *named)), key=_WEAKEST_FIRST.index)
    places = dict.fromkeys(limit.place for limit in named if limit.place)
    return Limit(
        id=f"{kind.value}.required.{row.insulation.value}",
        title=f"{kind.value} of {row.insulation.value} insulation",
        unit="mm",
        minimum=required,
        source=sources_once(limit.source for limit in named),
        place="; ".join(places),
        standing=standing,
        read_in=tuple(texts),
        other="" if up_to <= required else f"{up_to:.4g} mm by another reading; used: undecided between the two",
        note="; ".join(f"{used.step}: {used.entered_with}" for used in steps),
        asserted_by="; ".join(dict.fromkeys(limit.asserted_by for limit in named if limit.asserted_by)),
    )
