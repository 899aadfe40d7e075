"""How lines, areas and words of a drawing are asked to look, and how that is written."""

from __future__ import annotations

from enum import Enum
from functools import cache
from typing import Any, TypedDict

from coldpin.report.figures.shapes import Marker

Dashes = str | tuple[float, tuple[float, ...]]
"""``-`` or ``solid``, ``:`` for dots, or where a pattern begins with its lengths in parts of the line's width."""

_DOTS = (1.0, 1.65)
_SOLID = ("-", "solid")
_CAPS = {"projecting": "square", "butt": "butt", "round": "round"}


class Frame(Enum):
    """What the numbers of a place mean."""

    DATA = "both in the units of the axes"
    PANEL = "both as parts of the panel, from the lower left corner"
    ROW = "across as a part of the panel, upwards in the unit of the axis"
    COLUMN = "across in the unit of the axis, upwards as a part of the panel"


class LineLook(TypedDict, total=False):
    """How a line and the signs on it look; lengths in points."""

    color: str
    linewidth: float
    linestyle: Dashes
    solid_capstyle: str
    solid_joinstyle: str
    alpha: float
    marker: Marker
    markersize: float
    markerfacecolor: str
    markeredgecolor: str
    markeredgewidth: float
    zorder: float
    clip_on: bool
    frame: Frame


class AreaLook(TypedDict, total=False):
    """How an area looks; ``color`` is face and edge, ``stepped``: constant around each place; lengths in points."""

    color: str
    facecolor: str
    edgecolor: str
    linewidth: float
    linestyle: Dashes
    hatch: str | None
    alpha: float
    zorder: float
    stepped: bool


class WordLook(TypedDict, total=False):
    """How words look and stand; sizes in points, ``linespacing`` in parts of a line's rise."""

    fontsize: float
    fontweight: str
    color: str
    ha: str
    va: str
    linespacing: float
    rotation: float
    box: BoxLook
    zorder: float
    clip_on: bool
    frame: Frame


class BoxLook(TypedDict, total=False):
    """How the box behind words looks; ``pad`` in points."""

    circle: bool
    pad: float
    facecolor: str
    edgecolor: str
    linewidth: float
    alpha: float


@cache
def look(
    *,
    fill: str = "none",
    stroke: str = "none",
    width: float = 1.0,
    dashes: Dashes = "-",
    cap: str = "butt",
    join: str = "round",
    alpha: float = 1.0,
) -> str:
    """Return the style of an element of SVG; what a drawing takes for granted is left out.

    Parameters
    ----------
    fill, stroke : str
        Inks.
    width : float
        Width of the line; without any there is none. [points]
    dashes : Dashes
        How the line is broken.
    cap : str
        How it ends: butt, projecting, or round; one that is broken ends bluntly.
    join : str
        How its corners look: round or miter.
    alpha : float
        How dense the whole is. [1]

    Returns
    -------
    str
        Declarations.

    Examples
    --------
    >>> look(fill="none", stroke="#c3ccd0", width=0.5, cap="projecting")
    'fill: none; stroke: #c3ccd0; stroke-width: 0.5; stroke-linecap: square'
    """
    said = [f"fill: {_ink(fill)}"]
    if stroke != "none" and width > 0.0:
        said += [f"stroke: {_ink(stroke)}", f"stroke-width: {width:g}"]
        if dashes in _SOLID:
            said += [f"stroke-linecap: {_CAPS[cap]}"] if cap != "butt" else []
        else:
            start, pattern = (0.0, _DOTS) if isinstance(dashes, str) else dashes
            said.append(f"stroke-dasharray: {','.join(f'{width * length:g}' for length in pattern)}")
            said += [f"stroke-dashoffset: {width * start:g}"] if start else []
        said += [f"stroke-linejoin: {join}"] if join != "round" else []
    said += [f"opacity: {alpha:g}"] if alpha < 1.0 else []
    return "; ".join(said)


def _ink(ink: str) -> str:
    return "#ffffff" if ink == "white" else str(ink)


def area_look(given: AreaLook, *, edged: float = 1.0) -> dict[str, Any]:
    """Return an area's face, edge and the rest as :func:`look` takes them.

    Parameters
    ----------
    given : AreaLook
        What was asked for.
    edged : float
        Width of the edge where none was given. [points]

    Returns
    -------
    dict
        For :func:`look`; a hatching is no part of it.
    """
    both = given.get("color", "none")
    return {
        "fill": str(given.get("facecolor", both)),
        "stroke": str(given.get("edgecolor", both)),
        "width": given.get("linewidth", edged),
        "dashes": given.get("linestyle", "-"),
        "alpha": given.get("alpha", 1.0),
    }
