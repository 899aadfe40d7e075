"""How text stands in a drawing: its lines, how high they are, and where each begins.

The height of a line is that of its letters, at least that of one that reaches from an l to a p, so that lines of
figures and lines of words stand alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from html import escape

from coldpin.report.typeface import BOLD, REGULAR, typeface

REACHING = "lp"
"""Letters that reach as far up and as far down as a line is high at least."""


@dataclass(frozen=True, slots=True)
class TextBlock:
    """Lines of text: their baselines from the top of the first down, and the size of the whole. [points]"""

    lines: tuple[str, ...]
    baselines: tuple[float, ...]
    rise: float
    width: float
    height: float

    def above(self, standing: str) -> float:
        """Return how far the top of the block stands above the place it is put at.

        Parameters
        ----------
        standing : str
            What stands at that place: top, bottom, center, baseline, or center_baseline, the middle of what rises
            above the baseline.

        Returns
        -------
        float
            How far. [points]
        """
        if standing == "top":
            return 0.0
        if standing == "center":
            return 0.5 * self.height
        if standing == "center_baseline":
            return 0.5 * self.rise
        return self.height if standing == "bottom" else self.baselines[-1]


@cache
def lay_out(text: str, size: float, *, bold: bool = False, spacing: float = 1.2) -> TextBlock:
    r"""Return a text as lines.

    Parameters
    ----------
    text : str
        One line or several.
    size : float
        Size of the font. [points]
    bold : bool
        Whether it is bold.
    spacing : float
        From baseline to baseline, as a factor of a line's rise. [1]

    Returns
    -------
    TextBlock
        Its lines.

    Examples
    --------
    >>> block = lay_out("one\ntwo", 10.0)
    >>> block.lines, [round(baseline, 1) for baseline in block.baselines]
    (('one', 'two'), [7.6, 18.8])
    """
    face = typeface(BOLD if bold else REGULAR)
    lines = tuple(text.split("\n"))
    baselines: list[float] = []
    least_rise, least_fall = _reach(REACHING, bold=bold)
    fall = rise = bottom = 0.0
    for line in lines:
        above, below = _reach(line, bold=bold)
        fall = max(below, least_fall)
        rise = max(above + below, least_rise + least_fall) - fall
        bottom = bottom + (max(least_rise, rise) * spacing if baselines else rise)
        baselines.append(bottom)
        bottom += fall
    width = max(sum(face.letter(one).advance for one in line) for line in lines)
    return TextBlock(
        lines=lines,
        baselines=tuple(size * baseline for baseline in baselines),
        rise=size * rise,
        width=size * width,
        height=size * bottom,
    )


@cache
def _reach(line: str, *, bold: bool) -> tuple[float, float]:
    """Return how far a line reaches up and down, in parts of the size of the font."""
    face = typeface(BOLD if bold else REGULAR)
    letters = [face.letter(one) for one in line]
    inked = [one for one in letters if one.above or one.below]
    return max((one.above for one in inked), default=0.0), max((one.below for one in inked), default=0.0)


_ANCHORS = {"left": "start", "center": "middle", "right": "end"}


def text_elements(
    block: TextBlock, x: float, y: float, *, size: float, bold: bool, ink: str, ha: str, va: str, turned: bool = False
) -> str:
    """Return a block of text as SVG.

    Parameters
    ----------
    block : TextBlock
        The lines.
    x, y : float
        Where it is put, from the left and from the top. [points]
    size : float
        Size of the font. [points]
    bold : bool
        Whether it is bold.
    ink : str
        Its colour.
    ha, va : str
        What of it stands there: left, center, right; and as :meth:`TextBlock.above` says.
    turned : bool
        Whether it runs upwards; what stands at the place is then said of the text before it is turned.

    Returns
    -------
    str
        One ``text`` element for each line that is not empty.
    """
    top = y - block.above(va)
    face = f"font: {'700 ' if bold else ''}{size:g}px 'DejaVu Sans'; text-anchor: {_ANCHORS[ha]}; fill: {ink}"
    turn = f' transform="rotate(-90 {x:.2f} {y:.2f})"' if turned else ""
    return "".join(
        f'<text x="{x:.2f}" y="{top + baseline:.2f}"{turn} style="{face}">{escape(line, quote=False)}</text>'
        for line, baseline in zip(block.lines, block.baselines, strict=True)
        if line
    )


def box_around(block: TextBlock, x: float, y: float, *, ha: str, va: str) -> tuple[float, float, float, float]:
    """Return the box that a block of text fills.

    Parameters
    ----------
    block : TextBlock
        The lines.
    x, y : float
        Where it is put, from the left and from the top. [points]
    ha, va : str
        What of it stands there.

    Returns
    -------
    tuple of float
        Left, top, width and height. [points]
    """
    share = ("left", "center", "right").index(ha) * 0.5
    return x - share * block.width, y - block.above(va), block.width, block.height


def widest(texts: Sequence[str], size: float) -> float:
    """Return the width of the widest of several lines.

    Parameters
    ----------
    texts : sequence of str
        The lines.
    size : float
        Size of the font. [points]

    Returns
    -------
    float
        The width; none is zero. [points]
    """
    return max((lay_out(text, size).width for text in texts), default=0.0)
