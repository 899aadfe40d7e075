"""What the uncertainty of a distance is made of, in words, and what would make each part of it smaller."""

from __future__ import annotations

from types import MappingProxyType

from coldpin.insulation.corner_scatter import Drawing, Influence
from coldpin.insulation.plane_map import scale_at

TILT = "a tilt that the scale does not show"
LENS = "bending by the lens"
BOW = "how far the card bows"
AGAINST_CALLIPER = "the drawing against the calliper"
WIDTH = "whether something is narrower than X"

_LABELS = MappingProxyType(
    {
        Influence.PICKING: "picking of the corners",
        Influence.POINTS: "the points of the scale",
        Influence.LENGTH: "the known length of the scale",
        Influence.HEIGHT: "heights above the face",
        Influence.LEVEL: "the level of the scale against the face",
    }
)

_REDUCED = MappingProxyType(
    {
        _LABELS[Influence.POINTS]: (
            "use the scale card, or known points that lie farther apart and on both sides of the gap"
        ),
        _LABELS[Influence.LENGTH]: "measure the bar of the printed card by calliper, and state it",
        _LABELS[Influence.HEIGHT]: (
            "measure this gap by calliper, or photograph again with the lens straight above it and farther away"
        ),
        _LABELS[Influence.LEVEL]: (
            "lay the scale level with the face of the board, or state how far the face lies above it"
        ),
        TILT: "take the tilt out: by the scale card, or by four points of a rectangle",
        LENS: "photograph from farther away with the gap in the middle, and known points all round it",
        BOW: "glue the card on a plate, or tape it flat, and photograph again with a second card beyond the board",
    }
)


def label_of(influence: Influence) -> str:
    """Return what a budget calls an influence.

    Parameters
    ----------
    influence : Influence
        The influence.

    Returns
    -------
    str
        Its line.

    Examples
    --------
    >>> label_of(Influence.PICKING)
    'picking of the corners'
    """
    return _LABELS[influence]


def reduced_by(drawing: Drawing, label: str, narrow: str = "") -> str:
    """Return what would make the largest line of a budget smaller.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    label : str
        The line.
    narrow : str
        What may or may not be narrower than X.

    Returns
    -------
    str
        What to do at the bench.
    """
    if label == WIDTH:
        return f"measure by calliper whether {narrow}"
    if label in _REDUCED:
        return _REDUCED[label]
    plane = drawing.plane
    if plane is None:
        return "draw each corner several times from a larger picture and take the mean, or measure the gap by calliper"
    pixel = scale_at(plane, plane.frame.centre_px)
    return (
        f"photograph nearer or with more pixels (one is {pixel:.2g} mm here), or pick each corner several times and "
        "take the mean"
    )
