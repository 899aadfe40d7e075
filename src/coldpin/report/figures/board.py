"""A drawing of a board: its nets, slots and parts, and the shortest ways across each barrier, also from near by."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path as Outline

from coldpin.records.board import Role
from coldpin.records.distance import PathKind
from coldpin.records.inside import BoardPhotograph, DrawnBoard, DrawnShape, InsideDistance
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import measured
from coldpin.report.words import outcome_mark

POINTS = 72.0 / 25.4
"""Points in a millimetre: the unit in which a drawing is written."""
_WHOLE_MM = 168.0
"""Width of the whole board on paper. [mm]"""
_HIGHEST_MM = 84.0
"""The whole board is no higher on paper. [mm]"""
_NEAR_MM = 54.0
"""Width and height of a near view on paper. [mm]"""
_GAP_MM = 3.0
_WORDS_MM = 15.0
"""Room for the words below a near view. [mm]"""
_KEY_MM = 6.0
"""Room for the key below the board. [mm]"""
_MOST_VIEWS = 3
_DASHED = (0.0, (4.0, 1.4))
_DOTTED = (0.0, (1.0, 1.6))
_AROUND = 0.6
"""What a near view shows around a way, as a part of the way's extent."""
_LEAST_MM = 4.0
"""A near view shows at least so much around the middle of a way. [mm]"""
_LETTERS = 44
_LETTER_MM = 1.25
_FEWEST_LETTERS = 30
"""With less room beside the board its ways are told below alone."""
_LINE_MM = 2.8

_FILLS: dict[str, tuple[Ink, Ink, str]] = {
    "mains": (Ink.EMBER, Ink.COPPER, ""),
    "pilot": (Ink.DEEP, Ink.COLD, ""),
    "earth": (Ink.FROST, Ink.OCHRE, "////"),
}
"""How the groups of nets are filled, edged and hatched: what differs in colour differs in hatch or word too."""
_OTHER_NET = (Ink.MIST, Ink.COLD, "")
_FLOATING = (Ink.RULE, Ink.TEXT, "xxxx")


def board(drawn: DrawnBoard, anchors: Anchors) -> Figure:
    """Return the figure of a board.

    Parameters
    ----------
    drawn : DrawnBoard
        The drawing with its ways.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The whole board, and the worst ways from near by.
    """
    low_x, low_y, high_x, high_y = _extent(corner for shape in drawn.shapes for corner in shape.outline_mm)
    scale = min(_WHOLE_MM / (high_x - low_x), _HIGHEST_MM / (high_y - low_y))
    whole_mm = (scale * (high_x - low_x), scale * (high_y - low_y))
    views = _views(drawn)
    height = whole_mm[1] + _KEY_MM + (_NEAR_MM + _WORDS_MM + _GAP_MM if views else 0.0) + _GAP_MM

    def paint(canvas: Canvas) -> None:
        axes = _axes(canvas, (0.0, height - whole_mm[1], *whole_mm), height)
        axes.set_xlim(low_x, high_x)
        axes.set_ylim(low_y, high_y)
        _shapes(axes, drawn.shapes, named=False, over_photograph=drawn.photograph is not None)
        for number, (way, box) in enumerate(views, start=1):
            _way(axes, way, width=1.2)
            _frame(axes, number, box)
        _ruler(axes, 10.0)
        _key(canvas, drawn, height - whole_mm[1] - _KEY_MM, height)
        _beside(canvas, drawn, whole_mm, height)
        for number, (way, box) in enumerate(views, start=1):
            left = (number - 1) * (_NEAR_MM + _GAP_MM)
            near = _axes(canvas, (left, _WORDS_MM, _NEAR_MM, _NEAR_MM), height)
            near.set_xlim(box[0], box[2])
            near.set_ylim(box[1], box[3])
            _shapes(near, drawn.shapes, named=True)
            _way(near, way, width=1.8)
            _ruler(near, 1.0)
            _words(canvas, number, way, left, height)

    return Figure(
        anchor=anchors.fresh("figure-board"),
        svg=_with_photograph(draw(WIDTH_MM, height, paint), drawn.photograph, (low_x, high_y), scale),
        alt=_in_words(drawn, views),
        caption=f"{_name(drawn)}, drawn from {_drawn_from(drawn)}. Thick lines are the shortest ways: solid along the "
        "surface, dashed through air, dotted across what conducts, where nothing counts. The framed ones are shown "
        "from near by, with what was measured, what is asked for, and where it falls.",
        width_mm=WIDTH_MM,
    )


def _name(drawn: DrawnBoard) -> str:
    return letter(f"The board '{drawn.part}'" if drawn.part else "The board")


def _drawn_from(drawn: DrawnBoard) -> str:
    if drawn.photograph is not None:
        return "the photograph behind it, which was laid flat and made paler"
    return letter(drawn.drawn_from) or "what is not said"


def _views(drawn: DrawnBoard) -> list[tuple[InsideDistance, tuple[float, float, float, float]]]:
    """Return the worst ways, each with the part of the board around it; ways along one line share a view."""
    worst: dict[tuple[tuple[float, float], ...], InsideDistance] = {}
    for way in drawn.ways:
        if way.corners_mm:
            worst.setdefault(way.corners_mm, way)
    return [(way, _box(way)) for way in list(worst.values())[:_MOST_VIEWS]]


def _box(way: InsideDistance) -> tuple[float, float, float, float]:
    low_x, low_y, high_x, high_y = _extent(way.corners_mm)
    middle = (0.5 * (low_x + high_x), 0.5 * (low_y + high_y))
    half = max(_LEAST_MM, (0.5 + _AROUND) * max(high_x - low_x, high_y - low_y))
    return middle[0] - half, middle[1] - half, middle[0] + half, middle[1] + half


def _extent(corners: Iterable[tuple[float, float]]) -> tuple[float, float, float, float]:
    listed = list(corners)
    xs, ys = [x for x, _ in listed], [y for _, y in listed]
    margin = 1e-6
    return min(xs) - margin, min(ys) - margin, max(xs) + margin, max(ys) + margin


def _axes(canvas: Canvas, box_mm: tuple[float, float, float, float], height: float) -> Axes:
    left, bottom, wide, high = box_mm
    axes: Axes = canvas.add_axes((left / WIDTH_MM, bottom / height, wide / WIDTH_MM, high / height))
    axes.set_aspect("equal", adjustable="box")
    quiet_axes(axes, left=False, bottom=False)
    return axes


_ORDER = (Role.BOARD, Role.SLOT, Role.CONDUCTOR, Role.FLOATING, Role.BARRIER, Role.COMPONENT)


def _shapes(axes: Axes, shapes: tuple[DrawnShape, ...], *, named: bool, over_photograph: bool = False) -> None:
    """Draw all shapes, over a photograph by their outlines; what is milled out of the board shows the paper."""
    slots = tuple(shape.outline_mm for shape in shapes if shape.role is Role.SLOT)
    for depth, role in enumerate(_ORDER):
        for shape in (one for one in shapes if one.role is role):
            if role is Role.BOARD:
                shape = replace(shape, openings_mm=(*shape.openings_mm, *slots))
            if over_photograph:
                _outlined(axes, shape, depth)
            else:
                axes.add_patch(_patch(shape, depth))
            if named and role in (Role.CONDUCTOR, Role.FLOATING):
                _named(axes, shape)


def _outlined(axes: Axes, shape: DrawnShape, depth: int) -> None:
    edge = Ink.TEXT if shape.role is not Role.CONDUCTOR else _FILLS.get(shape.group.casefold(), _OTHER_NET)[1]
    path = _outline(shape)
    for ink, width in ((Ink.FROST, 1.8), (edge, 0.8)):
        axes.add_patch(PathPatch(path, fill=False, edgecolor=ink, linewidth=width, zorder=depth))


def _with_photograph(svg: str, photograph: BoardPhotograph | None, corner: tuple[float, float], scale: float) -> str:
    """Put a photograph behind a drawing whose upper left corner shows a place of the board. [mm]"""
    if photograph is None:
        return svg
    left, top = (scale * (photograph.low_mm[0] - corner[0]), scale * (corner[1] - photograph.high_mm[1]))
    wide, high = (scale * (b - a) for a, b in zip(photograph.low_mm, photograph.high_mm, strict=True))
    x, y, width, height = (f"{POINTS * length:.3f}" for length in (left, top, wide, high))
    image = (
        f'<image x="{x}" y="{y}" width="{width}" height="{height}" preserveAspectRatio="none" '
        f'href="data:image/jpeg;base64,{photograph.jpeg}"/>'
    )
    return svg.replace("</defs>", f"</defs>{image}", 1)


def _patch(shape: DrawnShape, depth: int) -> PathPatch:
    path = _outline(shape)
    if shape.role is Role.BOARD:
        return PathPatch(path, facecolor=Ink.FROST, edgecolor=Ink.QUIET, linewidth=0.5, zorder=depth)
    if shape.role is Role.SLOT:
        return PathPatch(path, fill=False, edgecolor=Ink.TEXT, linewidth=0.6, zorder=depth)
    if shape.role in (Role.COMPONENT, Role.BARRIER):
        dashes = (0.0, (2.0, 1.5)) if shape.role is Role.COMPONENT else "solid"
        return PathPatch(path, fill=False, edgecolor=Ink.QUIET, linewidth=0.5, linestyle=dashes, zorder=depth)
    face, edge, hatch = _FLOATING if shape.role is Role.FLOATING else _FILLS.get(shape.group.casefold(), _OTHER_NET)
    return PathPatch(path, facecolor=face, edgecolor=edge, hatch=hatch or None, linewidth=0.5, zorder=depth)


def _outline(shape: DrawnShape) -> Outline:
    corners: list[tuple[float, float]] = []
    codes: list[int] = []
    rings = (_turned(shape.outline_mm, 1.0), *(_turned(ring, -1.0) for ring in shape.openings_mm))
    for ring in rings:
        corners += [*ring, ring[0]]
        codes += [int(Outline.MOVETO), *[int(Outline.LINETO)] * (len(ring) - 1), int(Outline.CLOSEPOLY)]
    return Outline(corners, codes)


def _turned(ring: tuple[tuple[float, float], ...], way: float) -> tuple[tuple[float, float], ...]:
    """Return a ring that turns left, or right for a way below zero: what is open turns against what is filled."""
    area = sum(x * v - u * y for (x, y), (u, v) in pairwise((*ring, ring[0])))
    return ring if area * way >= 0.0 else ring[::-1]


def _named(axes: Axes, shape: DrawnShape) -> None:
    """Write a name where its shape is in view."""
    low_x, high_x = axes.get_xlim()
    low_y, high_y = axes.get_ylim()
    seen = [(x, y) for x, y in shape.outline_mm if low_x <= x <= high_x and low_y <= y <= high_y]
    if not seen:
        return
    box = _extent(shape.outline_mm)
    x = min(max(0.5 * (box[0] + box[2]), low_x), high_x)
    y = min(max(0.5 * (box[1] + box[3]), low_y), high_y)
    edge = 0.02 * (high_x - low_x)
    across = "left" if x - low_x < 4 * edge else "right" if high_x - x < 4 * edge else "center"
    axes.text(
        min(max(x, low_x + edge), high_x - edge),
        min(max(y, low_y + edge), high_y - edge),
        letter(shape.name, longest=24),
        fontsize=5.5,
        color=Ink.TEXT,
        ha=across,
        va="center",
        zorder=8,
        clip_on=True,
        bbox={"facecolor": Ink.FROST, "edgecolor": "none", "pad": 0.6, "alpha": 0.8},
    )


def _way(axes: Axes, way: InsideDistance, *, width: float) -> None:
    """Draw a way: through air dashed, along the surface solid, dotted across what conducts, where nothing counts."""
    pieces = list(zip(pairwise(way.corners_mm), way.counts, strict=True))
    for (start, end), _ in pieces:
        axes.plot(
            *zip(start, end, strict=True), color=Ink.FROST, linewidth=width + 1.4, solid_capstyle="round", zorder=9
        )
    for (start, end), counts in pieces:
        axes.plot(
            *zip(start, end, strict=True),
            color=Ink.TEXT,
            linewidth=width if counts else 0.6 * width,
            linestyle=(_DASHED if way.kind is PathKind.CLEARANCE else "solid") if counts else _DOTTED,
            solid_capstyle="round",
            zorder=10,
        )


def _ruler(axes: Axes, length: float) -> None:
    """Draw a bar of a known length into the lower left corner."""
    low_x, high_x = axes.get_xlim()
    low_y, high_y = axes.get_ylim()
    x, y = low_x + 0.03 * (high_x - low_x), low_y + 0.03 * (high_y - low_y)
    axes.plot([x, x + length], [y, y], color=Ink.FROST, linewidth=4.0, solid_capstyle="butt", zorder=11)
    axes.plot([x, x + length], [y, y], color=Ink.TEXT, linewidth=1.6, solid_capstyle="butt", zorder=12)
    axes.annotate(
        f"{length:g} mm",
        (x, y),
        (0.0, 2.0),
        textcoords="offset points",
        fontsize=5.5,
        color=Ink.TEXT,
        va="bottom",
        zorder=12,
    )


def _frame(axes: Axes, number: int, box: tuple[float, float, float, float]) -> None:
    low_x, high_x = axes.get_xlim()
    low_y, high_y = axes.get_ylim()
    box = (max(box[0], low_x), max(box[1], low_y), min(box[2], high_x), min(box[3], high_y))
    for ink, width in ((Ink.FROST, 1.9), (Ink.TEXT, 0.8)):
        axes.add_patch(
            Rectangle(box[:2], box[2] - box[0], box[3] - box[1], fill=False, edgecolor=ink, linewidth=width, zorder=11)
        )
    beside = box[2] if box[2] + 0.03 * (high_x - low_x) < high_x else box[0]
    axes.annotate(
        str(number),
        (beside, box[3]),
        (3.0 if beside == box[2] else -3.0, -2.0),
        textcoords="offset points",
        fontsize=8,
        color=Ink.TEXT,
        ha="left" if beside == box[2] else "right",
        va="top",
        zorder=12,
        bbox={"facecolor": Ink.FROST, "edgecolor": "none", "pad": 0.8, "alpha": 0.8},
    )


def _key(canvas: Canvas, drawn: DrawnBoard, bottom: float, height: float) -> None:
    axes: Axes = canvas.add_axes((0.0, bottom / height, 1.0, _KEY_MM / height))
    axes.set_xlim(0.0, WIDTH_MM)
    axes.set_ylim(0.0, _KEY_MM)
    axes.patch.set_visible(False)
    quiet_axes(axes, left=False, bottom=False)
    left = 0.0
    for words, shape in _kinds(drawn):
        outline = ((left, 1.6), (left + 4.0, 1.6), (left + 4.0, 4.2), (left, 4.2))
        axes.add_patch(_patch(DrawnShape(name="", role=shape.role, group=shape.group, outline_mm=outline), 1))
        axes.text(left + 5.0, 2.9, letter(words, longest=24), fontsize=6.5, color=Ink.TEXT, va="center")
        left += 8.5 + 1.35 * len(words)


def _beside(canvas: Canvas, drawn: DrawnBoard, whole_mm: tuple[float, float], height: float) -> None:
    """Tell all ways beside the board, where there is room."""
    left = whole_mm[0] + _GAP_MM
    room = int((WIDTH_MM - left) / _LETTER_MM)
    if room < _FEWEST_LETTERS:
        return
    box = (left / WIDTH_MM, 1.0 - whole_mm[1] / height, 1.0 - left / WIDTH_MM, whole_mm[1] / height)
    axes: Axes = canvas.add_axes(box)
    axes.set_xlim(0.0, WIDTH_MM - left)
    axes.set_ylim(whole_mm[1], 0.0)
    axes.patch.set_visible(False)
    quiet_axes(axes, left=False, bottom=False)
    lines = [line for way in drawn.ways for line in (*textwrap.wrap(letter(_one_line(way)), room), "")]
    for at, line in enumerate(lines[: int(whole_mm[1] / _LINE_MM) - 1]):
        axes.text(0.0, _LINE_MM * (at + 0.7), line, fontsize=6.2, color=Ink.TEXT, va="center")


def _one_line(way: InsideDistance) -> str:
    length = measured(way.measured_mm) if way.measured_mm is not None else f"more than {way.over_range}"
    asked = " / ".join(dict.fromkeys(f"{degree.required_mm:g}" for degree in way.degrees))
    return f"{way.across}, {way.kind.value}: {length}; asked {asked} mm; {outcome_mark(way.outcome).word}"


def _kinds(drawn: DrawnBoard) -> list[tuple[str, DrawnShape]]:
    """Return what is on the board, once each, with an example."""
    words = {Role.FLOATING: "of no circuit", Role.SLOT: "slot", Role.COMPONENT: "part above", Role.BARRIER: "barrier"}
    kinds: dict[str, DrawnShape] = {}
    for shape in drawn.shapes:
        if shape.role is Role.CONDUCTOR:
            kinds.setdefault(shape.group, shape)
        elif shape.role in words:
            kinds.setdefault(words[shape.role], shape)
    return list(kinds.items())


def _words(canvas: Canvas, number: int, way: InsideDistance, left: float, height: float) -> None:
    axes: Axes = canvas.add_axes((left / WIDTH_MM, 0.0, _NEAR_MM / WIDTH_MM, _WORDS_MM / height))
    axes.set_xlim(0.0, _NEAR_MM)
    axes.set_ylim(_WORDS_MM, 0.0)
    axes.patch.set_visible(False)
    quiet_axes(axes, left=False, bottom=False)
    lines = [line for text in _told(number, way) for line in textwrap.wrap(letter(text), _LETTERS)]
    for at, line in enumerate(lines[:5]):
        axes.text(0.0, 1.6 + 2.8 * at, line, fontsize=6.2, color=Ink.TEXT, va="center")


def _told(number: int, way: InsideDistance) -> tuple[str, ...]:
    length = measured(way.measured_mm) if way.measured_mm is not None else f"more than {way.over_range}"
    asked = " / ".join(f"{degree.required_mm:g} mm (degree {degree.pollution_degree})" for degree in way.degrees)
    return (
        f"{number}  {way.kind.value}, {way.across}: {length}",
        f"asked: {asked}, {way.insulation.value}",
        outcome_mark(way.outcome).word,
    )


def _in_words(drawn: DrawnBoard, views: list[tuple[InsideDistance, tuple[float, float, float, float]]]) -> str:
    groups = ", ".join(words for words, _ in _kinds(drawn))
    told = " ".join(f"{'; '.join(_told(number, way))}; {way.told}." for number, (way, _) in enumerate(views, start=1))
    box = _extent(corner for shape in drawn.shapes for corner in shape.outline_mm)
    width = math.ceil(box[2] - box[0])
    return letter(f"{_name(drawn)}, some {width} mm wide, with {groups}. {told}", longest=1200)
