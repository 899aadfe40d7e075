"""A drawing measured for several pollution degrees, as an outdoor unit is judged whose sealing is not proved."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from coldpin.errors import InputError
from coldpin.records.board_distances import DegreeDistances, DistancesByDegree
from coldpin.standards.book import Book, load_book
from coldpin.workbench.boards import NEXT, Asked, measure_board


def measure_board_by_degree(
    path: Path | str,
    nets: tuple[str, str],
    *,
    pollution_degrees: Sequence[int],
    asked: Asked | None = None,
    part: str = "",
    calliper: Sequence[str] = (),
    groove: str = "",
    pick_uncertainty: str = "",
    next_count: int = NEXT,
    book: Book | None = None,
) -> DistancesByDegree:
    """Measure clearance and creepage between two nets of a drawing for each of several pollution degrees.

    A degree changes which grooves are bridged, and what is asked for.

    Parameters
    ----------
    path : Path or str
        The drawing, a GeoJSON file, or the folder of a case.
    nets : tuple of str
        A net ("mains L") or a group of nets ("mains") at each end.
    pollution_degrees : sequence of int
        Each 1 to 3; one that is given twice counts once.
    asked : Asked, optional
        Where the insulation stands, for the required distances; none are told where it has no voltage.
    part : str
        Which board of a case, where it has several.
    calliper : sequence of str
        Gaps read by calliper on the same board: "R5 | relay pin 3 = 4.97 mm ± 0.03 mm".
    groove : str
        The width X by hand: "1.0 mm"; it goes before everything else.
    pick_uncertainty : str
        Standard uncertainty of each corner drawn, for a drawing in millimetres that does not say it: "0.03 mm".
    next_count : int
        How many further paths of each kind.
    book : Book, optional
        The constants; ours where it is left out.

    Returns
    -------
    DistancesByDegree
        For each degree what `measure_board` tells.

    Raises
    ------
    CaptureError
        The drawing cannot be read, or draws what cannot be.
    CaseError
        The case cannot be read, or has no such drawing.
    UnknownName
        The drawing has no such net or group; all are listed.
    QuantityTextError
        A value cannot be read.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    InputError
        No degree is given, or something that does not go with the rest.
    """
    if not pollution_degrees:
        raise InputError("no pollution degree is given: give one or several of 1, 2, 3")
    constants = book or load_book()
    return DistancesByDegree(
        schema="coldpin.distances_by_degree/1",
        by_degree=tuple(
            DegreeDistances(
                pollution_degree=degree,
                distances=measure_board(
                    path,
                    nets,
                    pollution_degree=degree,
                    asked=asked,
                    part=part,
                    calliper=calliper,
                    groove=groove,
                    pick_uncertainty=pick_uncertainty,
                    next_count=next_count,
                    book=constants,
                ),
            )
            for degree in dict.fromkeys(pollution_degrees)
        ),
    )
