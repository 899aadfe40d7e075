"""What a core may be made of, over the area it would then have: one row for each metal."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.ticker import NullFormatter, NullLocator

from coldpin.records.metal import Metal, MetalEstimate, MetalShare
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, quiet_axes
from coldpin.report.numbers import probability

_NAMES = {
    Metal.COPPER: ("copper", ""),
    Metal.TINNED_COPPER: ("copper, tinned", ""),
    Metal.CLAD_10: ("clad aluminium", "10 % copper"),
    Metal.CLAD_15: ("clad aluminium", "15 % copper"),
    Metal.ALUMINIUM: ("aluminium", ""),
    Metal.STEEL_CORED: ("copper on steel", ""),
}
_COPPER = (Metal.COPPER, Metal.TINNED_COPPER)
_SIZES = (0.2, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 50.0)
_BETWEEN = (0.3, 0.75, 1.25, 1.75, 2.0, 2.25, 2.75, 3.0, 3.5, 4.5, 5.0, 7.0, 8.0, 12.0, 14.0, 20.0, 35.0)
"""Areas at which the axis may be marked: sizes as they are sold, and between them where there is room. [mm²]"""

_ROW_MM = 9.0
_TOP_MM = 7.0
_BOTTOM_MM = 10.0
_LEFT_MM = 28.0
_PLOT_MM = 94.0
_PROBABILITY_MM = 126.0
_AREA_MM = 143.0
_TALLEST = 0.74
"""Height of a bell of a metal that is certain, as part of a row."""
_SEEN = 0.004
"""Metals less likely than this have no bell, which would be thinner than its line, and do not stretch the axis."""
_ROOM = 1.08
"""Space left on either side of what is drawn, as a factor of the area."""
_LEAST_SPAN = 2.0
"""The axis covers at least this factor of the area, so that a narrow interval looks narrow."""
_NEAREST = 0.08
"""Marks of the axis nearer to each other than this part of it are left out."""
_FOOT = 0.004
"""A bell is drawn from where it has this part of its height."""


def metal(estimate: MetalEstimate, anchors: Anchors, *, subject: str = "the core") -> Figure:
    """Return the figure of metal and area.

    Parameters
    ----------
    estimate : MetalEstimate
        What the evidence says.
    anchors : Anchors
        Where the figure gets its anchor.
    subject : str
        Which core, in the words of the caption.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    height = _TOP_MM + _ROW_MM * len(estimate.metals) + _BOTTOM_MM
    size = estimate.size
    mark = (
        ""
        if not any(share.keeps_size_from_mm2 for share in estimate.metals)
        else " Triangle: from this area on the metal keeps the resistance of the marked size."
    )
    told = (
        "Height of a bell: probability of the metal. "
        if estimate.explained
        else "No metal explains the evidence together, so none has a probability. "
    )
    return Figure(
        anchor=anchors.fresh("figure-metal"),
        svg=draw(WIDTH_MM, height, lambda canvas: _paint(canvas, estimate, height)),
        alt=metal_told(estimate),
        caption=f"What {subject} may be made of, over its area. {told}Line: the area it has if it is that metal "
        f"(95 %). Solid: copper; hatched: not copper.{mark}"
        + (
            f" The cable is marked {size.nominal_mm2:g} mm²; a size is a resistance and no area."
            if size is not None
            else ""
        ),
        width_mm=WIDTH_MM,
    )


def _paint(canvas: Canvas, estimate: MetalEstimate, height: float) -> None:
    rows = len(estimate.metals)
    axes: Axes = canvas.add_axes(
        (_LEFT_MM / WIDTH_MM, _BOTTOM_MM / height, _PLOT_MM / WIDTH_MM, _ROW_MM * rows / height)
    )
    axes.set_xscale("log")
    axes.set_xlim(*_ends(estimate.metals))
    axes.set_ylim(rows, 0.0)
    quiet_axes(axes, left=False)
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_minor_formatter(NullFormatter())
    ticks = _ticks(*axes.get_xlim())
    axes.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    axes.set_xlabel("area of metal (mm²)", fontsize=7, color=Ink.QUIET, labelpad=2)
    for row in range(rows):
        axes.axhline(row + 1.0, color=Ink.RULE, linewidth=0.4, zorder=0)
    for row, share in enumerate(estimate.metals):
        _row(axes, row, share)
    words: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    words.set_xlim(0.0, WIDTH_MM)
    words.set_ylim(height, 0.0)
    words.patch.set_visible(False)
    quiet_axes(words, left=False, bottom=False)
    _words(words, estimate)


def _ends(shares: Sequence[MetalShare]) -> tuple[float, float]:
    """Return the ends of the axis: the areas of the metals that count, and where they begin to keep the size."""
    seen = [share for share in shares if (share.probability or 0.0) >= _SEEN] or shares
    places = [
        end
        for share in seen
        for end in (share.area_mm2.low, share.area_mm2.high, share.keeps_size_from_mm2)
        if end is not None
    ]
    low, high = min(places) / _ROOM, max(places) * _ROOM
    short = max(1.0, _LEAST_SPAN * low / high)
    return low / math.sqrt(short), high * math.sqrt(short)


def _ticks(low: float, high: float) -> list[float]:
    """Return the marks of the axis that have room, sizes as sold first."""
    found: list[float] = []
    for size in (*_SIZES, *_BETWEEN):
        far = all(abs(math.log(size / other)) > _NEAREST * math.log(high / low) for other in found)
        if low <= size <= high and far:
            found.append(size)
    return sorted(found) or [float(f"{math.sqrt(low * high):.2g}")]


def _row(axes: Axes, row: int, share: MetalShare) -> None:
    ink, fill = (Ink.COPPER, Ink.EMBER) if share.metal in _COPPER else (Ink.COLD, Ink.MIST)
    base, likely = row + 0.86, share.probability or 0.0
    left, right = axes.get_xlim()
    area = share.area_mm2
    if area.low is not None and area.high is not None:
        axes.plot([area.low, area.high], [base, base], color=ink, linewidth=1.3, solid_capstyle="butt", zorder=3)
        for end in (area.low, area.high):
            axes.plot([end, end], [base - 0.07, base + 0.07], color=ink, linewidth=0.8, zorder=3)
        if area.low > right or area.high < left:
            _beyond(axes, base, ink, to_the_right=area.low > right)
    if likely >= _SEEN:
        highest = max(point.density for point in share.outline)
        drawn = [point for point in share.outline if point.density >= _FOOT * highest]
        places, density = np.array([[point.area_mm2, point.density] for point in drawn]).T
        top = base - _TALLEST * likely * density / density.max()
        hatch = None if share.metal in _COPPER else "////"
        axes.fill_between(places, base, top, facecolor=fill, edgecolor=ink, linewidth=0.0, hatch=hatch, zorder=2)
        axes.plot(places, top, color=ink, linewidth=0.9, zorder=4)
    if share.keeps_size_from_mm2 is not None:
        axes.plot(
            [share.keeps_size_from_mm2],
            [base],
            marker=">",
            markersize=4.4,
            color=Ink.TEXT,
            markerfacecolor=Ink.PAPER,
            markeredgewidth=0.7,
            zorder=5,
        )


def _beyond(axes: Axes, base: float, ink: Ink, *, to_the_right: bool) -> None:
    """Say at the rim that a metal's area lies further out; the column beside tells it."""
    place, text = (0.995, "larger →") if to_the_right else (0.005, "← smaller")
    axes.text(
        place,
        base,
        text,
        transform=axes.get_yaxis_transform(),
        ha="right" if to_the_right else "left",
        va="center",
        fontsize=6,
        color=ink,
    )


def _words(axes: Axes, estimate: MetalEstimate) -> None:
    for place, text in ((_PROBABILITY_MM, "probability"), (_AREA_MM, "area if it is that (mm²)")):
        axes.text(place, _TOP_MM - 1.5, text, ha="left", va="bottom", fontsize=6, color=Ink.QUIET)
    for row, share in enumerate(estimate.metals):
        middle = _TOP_MM + _ROW_MM * (row + 0.60)
        ink = Ink.COPPER if share.metal in _COPPER else Ink.COLD
        weight = "bold" if share.metal is estimate.likeliest else "normal"
        name, kind = _NAMES[share.metal]
        below = "bottom" if kind else "center"
        axes.text(1.0, middle, name, ha="left", va=below, fontsize=7.5, color=ink, fontweight=weight)
        axes.text(1.0, middle + 0.4, kind, ha="left", va="top", fontsize=6.5, color=ink)
        axes.text(
            _PROBABILITY_MM,
            middle,
            _share_said(share),
            ha="left",
            va="center",
            fontsize=7.5 if share.probability is not None else 6.5,
            color=ink,
            fontweight=weight,
        )
        axes.text(_AREA_MM, middle, _range_said(share), ha="left", va="center", fontsize=6.5, color=Ink.TEXT)


def _share_said(share: MetalShare) -> str:
    if share.probability is None:
        return "does not fit"
    return probability(share.probability).replace("more than", ">").replace("less than", "<")


def _range_said(share: MetalShare) -> str:
    """Return the ends of the area to as many digits as tell them apart."""
    low, high = share.area_mm2.low, share.area_mm2.high
    if low is None or high is None:
        return "not known"
    if high > 2.0 * low:
        return f"{low:.2g} to {high:.2g}"
    digits = max(0, 1 - math.floor(math.log10(max(high - low, 1e-3))))
    return f"{low:.{digits}f} to {high:.{digits}f}"


def metal_told(estimate: MetalEstimate) -> str:
    """Return what the figure shows, for whoever cannot see it.

    Parameters
    ----------
    estimate : MetalEstimate
        What the evidence says.

    Returns
    -------
    str
        Its statement, then each metal with its probability and its area.
    """
    said = [
        f"{', '.join(filter(None, _NAMES[share.metal]))}: {_share_said(share)}, area {_range_said(share)} mm²"
        + (
            f", keeps the marked size from {share.keeps_size_from_mm2:.2f} mm² on"
            if share.keeps_size_from_mm2 is not None
            else ""
        )
        + "."
        for share in estimate.metals
    ]
    return " ".join([estimate.statement, *(one[:1].upper() + one[1:] for one in said)])
