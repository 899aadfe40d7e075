"""Where a measured distance falls beside what is asked for."""

from __future__ import annotations

from coldpin.insulation.required_telling import millimetres
from coldpin.quantity import Quantity, decide, format_figure
from coldpin.records.distance import PathKind
from coldpin.records.finding import Outcome
from coldpin.records.required_distances import DistancePlacement, DistanceRow


def place_distance(measured: Quantity, row: DistanceRow, kind: PathKind, *, asked: bool = False) -> DistancePlacement:
    """Place a measured distance against one row.

    It is within where it surely keeps what every reading of the texts asks for, beyond where it surely misses what the
    mildest asks for, and undecided between the two.

    Parameters
    ----------
    measured : Quantity
        The distance. [mm]
    row : DistanceRow
        What one kind of insulation asks for.
    kind : PathKind
        Whether it is a clearance or a creepage.
    asked : bool
        Whether this row is the one asked for.

    Returns
    -------
    DistancePlacement
        Outcome, and the probability that the distance is at least that of the row.

    Raises
    ------
    InputError
        The distance has no value.

    Examples
    --------
    >>> row = DistanceRow(
    ...     insulation="reinforced",
    ...     clearance_mm=3.0,
    ...     creepage_mm=5.0,
    ...     clearance_up_to_mm=3.0,
    ...     creepage_up_to_mm=5.0,
    ...     creepage_table_mm=5.0,
    ...     groove_x_mm=1.0,
    ...     rated_impulse_v=4000.0,
    ...     governed_by="rated impulse voltage",
    ...     rows=(),
    ... )
    >>> gap = Quantity(4.4, 0.058, "mm")
    >>> [place_distance(gap, row, kind).outcome.value for kind in PathKind]
    ['within', 'beyond']
    """
    through_air = kind is PathKind.CLEARANCE
    required = row.clearance_mm if through_air else row.creepage_mm
    up_to = row.clearance_up_to_mm if through_air else row.creepage_up_to_mm
    mildest = decide(measured, minimum=required)
    strictest = decide(measured, minimum=up_to)
    outcome = Outcome.UNDECIDED
    if mildest.outcome == "beyond":
        outcome = Outcome.BEYOND
    elif strictest.outcome == "within":
        outcome = Outcome.WITHIN
    return DistancePlacement(
        insulation=row.insulation,
        kind=kind,
        required_mm=required,
        up_to_mm=up_to,
        outcome=outcome,
        probability=mildest.probability,
        asked=asked,
    )


def placements_told(measured: Quantity, placements: tuple[DistancePlacement, ...], *, degree: int) -> tuple[str, ...]:
    """Say where a reading falls, as a clearance and as a creepage.

    Parameters
    ----------
    measured : Quantity
        The distance. [mm]
    placements : tuple of DistancePlacement
        Where it falls.
    degree : int
        The pollution degree of the rows.

    Returns
    -------
    tuple of str
        One sentence for each kind of path.
    """
    told = []
    for kind in PathKind:
        rows = [placed for placed in placements if placed.kind is kind]
        if rows:
            told.append(
                f"{format_figure(measured)} as a {kind.value}, pollution degree {degree}: "
                + "; ".join(_beside(placed) for placed in rows)
                + "."
            )
    return tuple(told)


def _beside(placed: DistancePlacement) -> str:
    asked = f"{millimetres(placed.required_mm)} of {placed.insulation} insulation"
    if placed.outcome is Outcome.WITHIN:
        return f"at least the {asked}"
    if placed.outcome is Outcome.BEYOND:
        return f"less than the {asked}"
    if placed.probability is None:
        return f"beside the {asked} undecided, for its accuracy is not known"
    if placed.up_to_mm > placed.required_mm:
        return f"beside the {asked} undecided: another reading of the texts asks for {millimetres(placed.up_to_mm)}"
    return f"too close to the {asked} to say"
