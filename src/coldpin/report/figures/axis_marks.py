"""The marks along a scale with their labels, its name, and the side of the panel it stands at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from coldpin.report.figures.ink import Ink
from coldpin.report.figures.lines_of_text import lay_out, text_elements, widest
from coldpin.report.figures.scale import ANY_STEPS, EASY_STEPS, Scale, labels, marks, room_for_marks
from coldpin.report.figures.strokes import WordLook, look

Box = tuple[float, float, float, float]

_LONG, _SHORT = 2.5, 1.5
"""Length of a mark, and of one between marks. [points]"""
_PAD = 3.5
"""From a mark to its label. [points]"""
_FINE = 0.6
"""Width of marks and sides. [points]"""
_SIZE = 7.0


@dataclass(slots=True)
class AxisMarks:
    """What is asked of the marks of a scale: places of one's own, or how many; their labels; the name of the scale."""

    shown: bool = True
    places: list[float] | None = None
    labels: list[str] | None = None
    between: Sequence[float] = ()
    most: int | None = None
    steps: Sequence[float] = EASY_STEPS
    size: float = _SIZE
    labelled: bool = True
    name: tuple[str, float, WordLook] | None = field(default=None)

    def at_most(self, most: int, steps: Sequence[float] = ANY_STEPS) -> None:
        """Ask for marks at multiples of an easy step.

        Parameters
        ----------
        most : int
            No more stretches between marks than this.
        steps : sequence of float
            Steps that are easy to read, in parts of a power of ten, from one to ten.
        """
        self.most, self.steps = most, steps


@dataclass(frozen=True, slots=True)
class DrawnAxis:
    """A scale as elements of SVG: its marks with labels and name, and its side."""

    marks: str
    side: str


def _found(asked: AxisMarks, scale: Scale, length: float, *, upright: bool) -> tuple[list[float], list[str]]:
    """Return places within the scale, and their labels."""
    places = asked.places
    if places is None:
        most = asked.most or room_for_marks(length, asked.size, upright=upright)
        places = [] if scale.logarithmic else marks(scale, most, asked.steps)
    told = asked.labels if asked.labels is not None else labels(places)
    kept = [(place, label) for place, label in zip(places, told, strict=True) if scale.holds(place)]
    return [place for place, _ in kept], [label for _, label in kept] if asked.labelled else []


def across_marks(asked: AxisMarks, scale: Scale, box: Box) -> DrawnAxis:
    """Return the scale across, at the bottom of a panel.

    Parameters
    ----------
    asked : AxisMarks
        What is asked of it.
    scale : Scale
        Its ends.
    box : tuple of float
        Left, top, width and height of the panel. [points]

    Returns
    -------
    DrawnAxis
        Its elements; none where it is not shown.
    """
    left, top, width, height = box
    if not asked.shown:
        return DrawnAxis("", "")
    bottom = top + height
    places, told = _found(asked, scale, width, upright=False)
    xs = [left + width * along for along in scale.along(places).tolist()]
    between = [left + width * along for along in scale.along(list(asked.between)).tolist()]
    ticks = [f"M {x:.2f} {bottom:.2f} L {x:.2f} {bottom + _LONG:.2f}" for x in xs]
    ticks += [f"M {x:.2f} {bottom:.2f} L {x:.2f} {bottom + _SHORT:.2f}" for x in between]
    below = bottom + _LONG + _PAD
    drawn = _ticks(ticks) + "".join(
        _label(text, x, below, asked.size, ha="center", va="top") for x, text in zip(xs, told, strict=False)
    )
    if asked.name is not None:
        text, pad, style = asked.name
        lowest = max([bottom + _LONG, *(below + lay_out(one, asked.size).height for one in told if one)])
        drawn += _name(text, left + 0.5 * width, lowest + pad, style, va="top", turned=False)
    return DrawnAxis(drawn, _side(f"M {left:.2f} {bottom:.2f} L {left + width:.2f} {bottom:.2f}"))


def upward_marks(asked: AxisMarks, scale: Scale, box: Box) -> DrawnAxis:
    """Return the scale upwards, at the left side of a panel.

    Parameters
    ----------
    asked : AxisMarks
        What is asked of it.
    scale : Scale
        Its ends.
    box : tuple of float
        Left, top, width and height of the panel. [points]

    Returns
    -------
    DrawnAxis
        Its elements; none where it is not shown.
    """
    left, top, _, height = box
    if not asked.shown:
        return DrawnAxis("", "")
    places, told = _found(asked, scale, height, upright=True)
    ys = [top + height * (1.0 - along) for along in scale.along(places).tolist()]
    ticks = [f"M {left:.2f} {y:.2f} L {left - _LONG:.2f} {y:.2f}" for y in ys]
    beside = left - _LONG - _PAD
    drawn = _ticks(ticks) + "".join(
        _label(text, beside, y, asked.size, ha="right", va="center_baseline") for y, text in zip(ys, told, strict=False)
    )
    if asked.name is not None:
        text, pad, style = asked.name
        reach = _LONG + (_PAD + widest(told, asked.size) if told else 0.0)
        drawn += _name(text, left - reach - pad, top + 0.5 * height, style, va="bottom", turned=True)
    return DrawnAxis(drawn, _side(f"M {left:.2f} {top + height:.2f} L {left:.2f} {top:.2f}"))


def _ticks(ticks: list[str]) -> str:
    return f'<path d="{" ".join(ticks)}" style="{look(stroke=Ink.RULE, width=_FINE)}"/>' if ticks else ""


def _side(path: str) -> str:
    return f'<path d="{path}" style="{look(stroke=Ink.RULE, width=_FINE, cap="projecting")}"/>'


def _label(text: str, x: float, y: float, size: float, *, ha: str, va: str) -> str:
    return text_elements(lay_out(text, size), x, y, size=size, bold=False, ink=Ink.QUIET, ha=ha, va=va)


def _name(text: str, x: float, y: float, style: WordLook, *, va: str, turned: bool) -> str:
    size, ink = style.get("fontsize", _SIZE), str(style.get("color", Ink.QUIET))
    block = lay_out(text, size)
    return text_elements(block, x, y, size=size, bold=False, ink=ink, ha="center", va=va, turned=turned)
