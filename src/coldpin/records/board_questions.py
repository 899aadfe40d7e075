"""What is asked about a drawing because it is possible and not likely; nothing is changed by it."""

from __future__ import annotations

import numpy as np

from coldpin.records.board import BoardModel
from coldpin.records.nets import EARTHS, LOW_VOLTAGES, MAINS, PILOTS, SURFACES, unasked

USUAL_SPAN_MM = (2.0, 400.0)
"""Ours: a drawing in millimetres that spans less or more is asked about; it may be in another unit. No board of a lead
or wall unit is wider, and one of 11 mm already is where mils were taken for millimetres. [mm]"""

_LISTED = 5
_GROUPS = ", ".join((MAINS, PILOTS[0], LOW_VOLTAGES[0], EARTHS[0], SURFACES[0]))


def size_questions(board: BoardModel) -> tuple[str, ...]:
    """Ask for the unit of a drawing whose size is unlikely.

    Parameters
    ----------
    board : BoardModel
        The drawing.

    Returns
    -------
    tuple of str
        Each as it stands inside a sentence; none for a drawing over a picture, whose scale is measured.
    """
    if board.calibration is not None or not board.features:
        return ()
    corners = np.concatenate([feature.outline for feature in board.features])
    span = float((corners.max(axis=0) - corners.min(axis=0)).max())
    least, most = USUAL_SPAN_MM
    return () if least <= span <= most else (f"the drawing spans {span:.4g} mm: look whether it is in millimetres",)


def net_questions(board: BoardModel) -> tuple[str, ...]:
    """Ask what the nets are of which nothing is asked: any of them may be mains.

    Parameters
    ----------
    board : BoardModel
        The drawing.

    Returns
    -------
    tuple of str
        Each as it stands inside a sentence.
    """
    nets = unasked(feature.net for feature in board.features)
    if not nets:
        return ()
    named, verb = ", ".join(repr(net) for net in nets[:_LISTED]), "is" if len(nets) == 1 else "are"
    more = f" and {len(nets) - _LISTED} more" if len(nets) > _LISTED else ""
    said = f"{verb} of none of the groups {_GROUPS} and may be any: write one before the name, as in 'mains L'"
    return (f"{named}{more} {said}",)
