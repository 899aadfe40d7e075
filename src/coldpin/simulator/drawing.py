"""Drawings that stand in for photographs where a specimen is only invented; each says that it is a drawing."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping, Sequence

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyBboxPatch, Rectangle

from coldpin.errors import UnknownName

CAPTION = "drawing, not a photograph; places are schematic"

_SIZE = (6.4, 4.2)
_DPI = 100
_MIDDLE = 33.5
_BODY, _METAL, _INK, _PAPER = "#3d4650", "#c9b37e", "#1d2328", "#e9ebe7"


def draw_plate(lines: Sequence[str], *, title: str) -> bytes:
    r"""Draw a rating plate with its text.

    Parameters
    ----------
    lines : sequence of str
        What it says, the first line largest.
    title : str
        What the drawing shows.

    Returns
    -------
    bytes
        A PNG file, the same each time.

    Examples
    --------
    >>> draw_plate(["Skerrow 16", "230 V~ 16 A"], title="plate")[:4]
    b'\x89PNG'
    """

    def plate(axes: Axes) -> None:
        axes.add_patch(
            FancyBboxPatch((8, 14), 84, 42, boxstyle="round,pad=0,rounding_size=3", facecolor=_PAPER, edgecolor=_INK)
        )
        pitch = 34.0 / max(len(lines), 4)
        for place, line in enumerate(lines):
            size, weight = (17, "bold") if place == 0 else (11, "normal")
            axes.text(12, 51 - pitch * place, line, fontsize=size, weight=weight, color=_INK, va="top")

    return _drawn(plate, title)


def draw_face(kind: str, *, title: str) -> bytes:
    r"""Draw the face of a plug or connector, its contacts named.

    Parameters
    ----------
    kind : str
        A key of :data:`FACES`.
    title : str
        What the drawing shows.

    Returns
    -------
    bytes
        A PNG file, the same each time.

    Raises
    ------
    UnknownName
        There is no drawing of it; the message lists those there are.

    Examples
    --------
    >>> draw_face("type 2 connector", title="connector")[:4]
    b'\x89PNG'
    """
    if kind not in FACES:
        raise UnknownName.among("face", kind, FACES)

    def face(axes: Axes) -> None:
        axes.add_patch(Circle((50, _MIDDLE), 24, facecolor=_BODY, edgecolor=_INK, linewidth=2))
        if kind == "type 2 connector":
            axes.add_patch(Rectangle((24, _MIDDLE + 17), 52, 8, facecolor="white", edgecolor="none"))
            axes.plot([33.06, 66.94], [_MIDDLE + 17, _MIDDLE + 17], color=_INK, linewidth=2)
        for name, (across, up, radius) in FACES[kind].items():
            axes.add_patch(Circle((50 + across, _MIDDLE + up), radius, facecolor=_METAL, edgecolor=_INK))
            axes.text(50 + across, _MIDDLE + up, name, fontsize=9, color=_INK, ha="center", va="center")

    return _drawn(face, title)


FACES: Mapping[str, Mapping[str, tuple[float, float, float]]] = {
    "type 2 connector": {
        "PP": (-9.0, 11.5, 2.6),
        "CP": (9.0, 11.5, 2.6),
        "N": (16.5, 0.5, 3.8),
        "PE": (0.0, 0.5, 3.8),
        "L1": (-16.5, 0.5, 3.8),
        "L2": (-9.0, -12.5, 3.8),
        "L3": (9.0, -12.5, 3.8),
    },
    "CEE 7/4 plug": {"L": (-10.0, 0.0, 3.4), "N": (10.0, 0.0, 3.4), "PE ": (0.0, 20.0, 3.0), "PE": (0.0, -20.0, 3.0)},
    "blue 16 A plug": {"PE": (0.0, -14.0, 4.2), "L": (-12.5, 8.0, 3.6), "N": (12.5, 8.0, 3.6)},
    "terminals": {"L": (-14.0, 0.0, 4.5), "N": (0.0, 0.0, 4.5), "PE": (14.0, 0.0, 4.5)},
}
"""Faces that can be drawn: contacts with place and radius, from the middle of the drawing, up and right positive."""


def _drawn(paint: Callable[[Axes], None], title: str) -> bytes:
    figure = Figure(figsize=_SIZE, dpi=_DPI, facecolor="white")
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(0, 100), ylim=(0, 65.6), aspect="equal")
    axes.set_axis_off()
    paint(axes)
    axes.text(50, 64, title, fontsize=12, color=_INK, ha="center", va="top")
    axes.text(50, 3, CAPTION, fontsize=9, style="italic", color=_INK, ha="center")
    written = io.BytesIO()
    # Without the program's name and version the same drawing is the same file.
    figure.savefig(written, format="png", dpi=_DPI, metadata={"Software": None})
    return written.getvalue()
