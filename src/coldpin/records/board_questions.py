"""What is asked about a drawing because it is possible and not likely; nothing is changed by it."""

from __future__ import annotations

from collections.abc import Sequence

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


def proposal_questions(board: BoardModel) -> tuple[str, ...]:
    """Ask for the confirmation of shapes that a program proposed.

    Parameters
    ----------
    board : BoardModel
        The drawing.

    Returns
    -------
    tuple of str
        One that names them, as it stands inside a sentence, and says how they are confirmed; none where all are.

    Examples
    --------
    >>> from coldpin.records.board import BoardFeature, Role
    >>> slot = BoardFeature(name="slot 2", role=Role.SLOT, outline=np.eye(3)[:, :2], proposed=True)
    >>> proposal_questions(BoardModel(features=(slot,)))[0].partition(":")[0]
    "'slot 2' is a proposal that nobody has confirmed"
    """
    names = [feature.name for feature in board.features if feature.proposed]
    if not names:
        return ()
    named, more = _named(names)
    said = "is a proposal" if len(names) == 1 else "are proposals"
    confirm = "look at every side over the photograph, put right what is wrong, then take its property proposed out"
    return (f"{named}{more} {said} that nobody has confirmed: {confirm}",)


def _named(names: Sequence[str]) -> tuple[str, str]:
    """Return the first of some names, and how many more there are."""
    more = f" and {len(names) - _LISTED} more" if len(names) > _LISTED else ""
    return ", ".join(repr(name) for name in names[:_LISTED]), more


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
    named, more = _named(nets)
    verb = "is" if len(nets) == 1 else "are"
    said = f"{verb} of none of the groups {_GROUPS} and may be any: write one before the name, as in 'mains L'"
    return (f"{named}{more} {said}",)
