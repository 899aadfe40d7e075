"""A sheet to draw on: it keeps what its panels share, and becomes one SVG element, the same bytes every time."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from coldpin.report.figures.panel import Panel
from coldpin.report.figures.shapes import Marker, hatching, marker_path
from coldpin.report.figures.strokes import look

if TYPE_CHECKING:
    from collections.abc import Callable

_ID = 10
"""Characters of an identifier: those of the digest of what it names. With its s none is taken for a colour."""


class Canvas:
    """A sheet of a size, with panels on it."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self._panels: list[Panel] = []
        self._named: dict[str, str] = {}

    def add_axes(self, box: tuple[float, float, float, float]) -> Panel:
        """Add a panel.

        Parameters
        ----------
        box : tuple of float
            Left, bottom, width and height, as parts of the sheet.

        Returns
        -------
        Panel
            To draw on.
        """
        left, bottom, wide, high = box
        panel = Panel(
            self, self.width * left, self.height * (1.0 - bottom - high), self.width * wide, self.height * high
        )
        self._panels.append(panel)
        return panel

    def clip(self, left: float, top: float, width: float, height: float) -> str:
        """Return the name of a box that bounds what is drawn.

        Parameters
        ----------
        left, top, width, height : float
            The box. [points]

        Returns
        -------
        str
            For an attribute.
        """
        box = f'<rect x="{left:.2f}" y="{top:.2f}" width="{width:.2f}" height="{height:.2f}"/>'
        return self._name(box, lambda name: f'<clipPath id="{name}">{box}</clipPath>')

    def hatch(self, hatch: str, face: str, ink: str) -> str:
        """Return the name of a hatching.

        Parameters
        ----------
        hatch : str
            Its signs.
        face : str
            What lies below its lines.
        ink : str
            Their colour.

        Returns
        -------
        str
            For a style.
        """
        side, lines = hatching(hatch)
        ground = "" if face == "none" else f'<rect width="{side:g}" height="{side:g}" style="{look(fill=face)}"/>'
        drawn = f'{ground}<path d="{lines}" style="{look(stroke=ink, width=0.5)}"/>'
        size = f'patternUnits="userSpaceOnUse" width="{side:g}" height="{side:g}"'
        return self._name(drawn, lambda name: f'<pattern id="{name}" {size}>{drawn}</pattern>')

    def sign(self, marker: Marker, size: float) -> tuple[str, str]:
        """Return the name of a sign, and how its corners are joined.

        Parameters
        ----------
        marker : Marker
            Its shape.
        size : float
            Its size. [points]

        Returns
        -------
        tuple of str
            For a reference and a style.
        """
        path, join = marker_path(marker, size)
        return self._name(f"{path} {join}", lambda name: f'<path id="{name}" d="{path}"/>'), join

    def svg(self) -> str:
        """Return all that was drawn.

        Returns
        -------
        str
            One ``svg`` element.
        """
        drawn = "".join(f"<g>{panel.svg()}</g>" for panel in self._panels)
        width, height = f"{self.width:.3f}", f"{self.height:.3f}"
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
            f'width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}" version="1.1">'
            f"<defs>{''.join(self._named.values())}</defs>"
            f'<g style="stroke-linejoin: round; stroke-linecap: butt">{drawn}</g></svg>'
        )

    def _name(self, content: str, written: Callable[[str], str]) -> str:
        name = f"s{hashlib.sha256(content.encode()).hexdigest()[:_ID]}"
        if name not in self._named:
            self._named[name] = written(name)
        return name
