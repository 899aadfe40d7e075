"""Current over ambient: how warm a lead becomes, where its limits are reached, and where it was tested."""

from __future__ import annotations

import math
import re
import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_rgba
from matplotlib.figure import Figure as Canvas
from matplotlib.ticker import MaxNLocator

from coldpin.records.current_map import CurrentChart, Place, StopLine
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.standards.wording import number_text

_HEIGHT_MM = 92.0
_LEFT_MM, _BOTTOM_MM, _TOP_MM = 13.0, 11.0, 4.0
_PLOT_MM = 96.0
_LIST_MM = 117.0
"""Where the words beside the map begin. [mm]"""
_LETTERS = 36
"""How many letters of the list stand on one line."""
_STEP = 10.0
"""Between two shades of the map. [K]"""
_COOLEST, _WARMEST = 30.0, 90.0
"""Below and above these all is one shade. [°C]"""
_SHADES = (
    to_rgba(Ink.FROST, 0.0),
    to_rgba(Ink.FROST, 0.9),
    to_rgba(Ink.MIST, 0.7),
    to_rgba(Ink.MIST, 1.0),
    to_rgba(Ink.EMBER, 0.45),
    to_rgba(Ink.EMBER, 0.75),
    to_rgba(Ink.EMBER, 1.0),
    to_rgba(Ink.COPPER, 0.25),
)
"""From cool to warm; a page puts its own dark inks in their place, so that only how dense they are is told here."""
_NEAR = 0.035
"""How near a word may stand to a line at the left side, as a part of its height."""

_ALONG = (0.0, 0.2, 0.35, 0.5, 0.65, 0.8)
"""Where along the ambient a word is tried, as shares of the width, the left side first."""
_TOGETHER = 0.05
"""Two currents nearer than this, as a part of the height, share one word."""

_UNITS = re.compile(r"(\d) (A|K|°C|mm|Ω/km)")
"""A number and its unit stand on one line."""

_INKS = {Place.METAL: Ink.COPPER, Place.SHEATH: Ink.COLD, Place.ACCESSORY: Ink.OCHRE, Place.BODY: Ink.QUIET}
_DASHES: dict[Place, str | tuple[float, tuple[float, ...]]] = {
    Place.METAL: "solid",
    Place.SHEATH: (0.0, (5.0, 1.6)),
    Place.ACCESSORY: (0.0, (1.4, 1.4)),
    Place.BODY: (0.0, (5.0, 1.4, 1.4, 1.4)),
}
_TOLD = {
    Place.METAL: "metal",
    Place.SHEATH: "sheath",
    Place.ACCESSORY: "plug or coupler",
    Place.BODY: "body of plug or coupler",
}


def current_map(chart: CurrentChart, anchors: Anchors) -> Figure:
    """Return the map of current and ambient.

    Parameters
    ----------
    chart : CurrentChart
        Temperatures, lines, currents, tests.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    lies = "" if not chart.arrangement else f", {chart.arrangement}"
    return Figure(
        anchor=anchors.fresh("figure-current-map"),
        svg=draw(WIDTH_MM, _HEIGHT_MM, lambda canvas: _paint(canvas, chart)),
        alt=current_map_told(chart),
        caption=f"How warm the lead becomes in the end{lies}: shades show the metal in steps of {_STEP:g} K. Each line "
        "shows the current that brings a limit; the band around it is what film of air, layers, diameter and "
        "resistance leave open, all at their warm or cool ends together.",
        width_mm=WIDTH_MM,
    )


def _paint(canvas: Canvas, chart: CurrentChart) -> None:
    axes: Axes = canvas.add_axes(
        (
            _LEFT_MM / WIDTH_MM,
            _BOTTOM_MM / _HEIGHT_MM,
            _PLOT_MM / WIDTH_MM,
            (_HEIGHT_MM - _BOTTOM_MM - _TOP_MM) / _HEIGHT_MM,
        )
    )
    axes.set_xlim(chart.ambient[0], chart.ambient[-1])
    axes.set_ylim(0.0, chart.current[-1])
    _shade(axes, chart)
    for line in chart.lines:
        _line(axes, chart, line)
    _currents(axes, chart)
    for point in chart.tested:
        axes.plot(
            [point.ambient],
            [point.current],
            marker="o",
            markersize=5.0,
            color=Ink.TEXT,
            markerfacecolor=Ink.PAPER,
            zorder=6,
        )
    quiet_axes(axes)
    axes.xaxis.set_major_locator(MaxNLocator(7))
    axes.yaxis.set_major_locator(MaxNLocator(8))
    axes.set_xlabel("ambient (°C)", fontsize=7, color=Ink.QUIET, labelpad=2)
    axes.set_ylabel("current in each loaded core (A)", fontsize=7, color=Ink.QUIET, labelpad=2)
    words: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    words.set_xlim(0.0, WIDTH_MM)
    words.set_ylim(_HEIGHT_MM, 0.0)
    words.patch.set_visible(False)
    quiet_axes(words, left=False, bottom=False)
    _list(words, chart)


def _shade(axes: Axes, chart: CurrentChart) -> None:
    """Shade the metal's temperature, and write it where a shade begins, at the coolest air where there is room."""
    levels = np.arange(_COOLEST, _WARMEST + 0.5 * _STEP, _STEP)
    metal = np.minimum(np.asarray(chart.metal).T, _WARMEST + 2.0 * _STEP)
    bounds = [-1e3, *levels, 1e3]
    axes.contourf(chart.ambient, chart.current, metal, levels=bounds, colors=_SHADES, zorder=0)
    axes.contour(chart.ambient, chart.current, metal, levels=levels, colors=[Ink.RULE], linewidths=0.4, zorder=1)
    placed: list[tuple[int, float]] = []
    columns = [int(share * (len(chart.ambient) - 1)) for share in _ALONG]
    for level in levels:
        for column in columns:
            place = float(np.interp(level, metal[:, column], chart.current))
            inside = metal[0, column] < level < metal[-1, column]
            if inside and _is_free(chart, column, place, placed):
                placed.append((column, place))
                axes.annotate(
                    f"{level:.0f} °C",
                    (chart.ambient[column], place),
                    (3.0, 0.6),
                    textcoords="offset points",
                    ha="left",
                    va="bottom",
                    fontsize=5.5,
                    color=Ink.QUIET,
                    zorder=2,
                )
                break


def _is_free(chart: CurrentChart, column: int, place: float, placed: list[tuple[int, float]]) -> bool:
    """Say whether a word at a place of the map would stand on no band, no line and no other word."""
    near = _NEAR * chart.current[-1]
    if not 0.0 < place < chart.current[-1] - near:
        return False
    crossed = [one for one in (chart.offered, chart.rated) if one is not None]
    bands = [(one, one) for one in crossed]
    for line in chart.lines:
        for at in (column, min(column + 1, len(chart.ambient) - 1)):
            low, high = line.low[at], line.high[at]
            bands.append((math.inf if low is None else low, math.inf if high is None else high))
    return all(not low - near < place < high + 0.5 * near for low, high in bands) and all(
        abs(place - other) > near for at, other in placed if at == column
    )


def _line(axes: Axes, chart: CurrentChart, line: StopLine) -> None:
    ink, top = _INKS[line.place], 2.0 * chart.current[-1]
    low, middle, high = (
        np.minimum([top if amperes is None else amperes for amperes in one], top)
        for one in (line.low, line.middle, line.high)
    )
    axes.fill_between(chart.ambient, low, high, color=ink, alpha=0.13, linewidth=0.0, zorder=3)
    for end in (low, high):
        axes.plot(chart.ambient, end, color=ink, linewidth=0.35, zorder=3)
    axes.plot(chart.ambient, middle, color=ink, linewidth=1.5, linestyle=_DASHES[line.place], zorder=4)


def _currents(axes: Axes, chart: CurrentChart) -> None:
    """Draw the offered and the marked current across, and the hottest air upwards; each with its word."""
    known = [(one, word) for one, word in ((chart.offered, "offered"), (chart.rated, "marked")) if one is not None]
    for amperes, _ in known:
        axes.axhline(amperes, color=Ink.TEXT, linewidth=0.7, linestyle=(0, (6, 2)), zorder=5)
    for amperes, word in _worded(known, _TOGETHER * chart.current[-1]):
        axes.annotate(
            word,
            (chart.ambient[0], amperes),
            (34.0, -2.5 if _crowded_above(chart, amperes) else 1.5),
            textcoords="offset points",
            ha="left",
            va="top" if _crowded_above(chart, amperes) else "bottom",
            fontsize=6,
            color=Ink.TEXT,
            zorder=6,
        )
    if chart.max_ambient is not None:
        axes.axvline(chart.max_ambient, color=Ink.TEXT, linewidth=0.7, linestyle=(0, (1, 2)), zorder=5)
        axes.annotate(
            f"hottest air {number_text(chart.max_ambient, '°C')}",
            (chart.max_ambient, 0.0),
            (2.0, 3.0),
            textcoords="offset points",
            ha="left",
            va="bottom",
            rotation=90,
            fontsize=6,
            color=Ink.TEXT,
            zorder=6,
        )


def _crowded_above(chart: CurrentChart, amperes: float) -> bool:
    """Say whether a line of a limit runs where the word above a current would stand."""
    column = len(chart.ambient) // 4
    middles = [line.middle[column] for line in chart.lines]
    return any(one is not None and 0.0 <= one - amperes < 2.0 * _NEAR * chart.current[-1] for one in middles)


def _worded(known: list[tuple[float, str]], near: float) -> list[tuple[float, str]]:
    """Return the words of the currents and the height of each; currents that lie close share one word."""
    if len({amperes for amperes, _ in known}) == 1:
        return [(known[0][0], f"{' and '.join(word for _, word in known)} {number_text(known[0][0], 'A')}")]
    told = [(amperes, f"{word} {number_text(amperes, 'A')}") for amperes, word in known]
    if len(told) > 1 and abs(told[0][0] - told[1][0]) < near:
        return [(max(amperes for amperes, _ in told), ", ".join(word for _, word in told))]
    return told


def _list(axes: Axes, chart: CurrentChart) -> None:
    """Say beside the map what each line is, from which text, and what the lead was taken to be."""
    height = 6.0
    for line in chart.lines:
        ink = _INKS[line.place]
        axes.plot([_LIST_MM, _LIST_MM + 7.0], [height, height], color=ink, linewidth=1.5, linestyle=_DASHES[line.place])
        height = _write(
            axes, height - 1.3, f"{_limit_told(line)}: {_reached(chart, line)}", ink=ink, bold=True, indent=9.0
        )
        height = _write(axes, height, _source(line), ink=Ink.QUIET, indent=9.0) + 3.4
    if chart.tested:
        axes.plot([_LIST_MM + 3.5], [height], marker="o", markersize=5.0, color=Ink.TEXT, markerfacecolor=Ink.PAPER)
        height = _write(axes, height - 1.3, "; ".join(_tested_told(chart)), ink=Ink.TEXT, indent=9.0) + 2.4
    if chart.cable:
        _write(axes, height, f"Taken for: {chart.cable}", ink=Ink.QUIET)


def _write(axes: Axes, height: float, text: str, *, ink: Ink, bold: bool = False, indent: float = 0.0) -> float:
    """Write text in lines and return where the next one may begin. [mm]"""
    letters = _LETTERS if indent else _LETTERS + 6
    kept = _UNITS.sub("\\1\u00a0\\2", letter(text, longest=400))
    lines = textwrap.wrap(kept, letters - 2 if bold else letters)
    axes.text(
        _LIST_MM + indent,
        height,
        "\n".join(lines),
        ha="left",
        va="top",
        fontsize=6,
        fontweight="bold" if bold else "normal",
        color=ink,
        linespacing=1.3,
    )
    return height + 2.85 * len(lines)


def _limit_told(line: StopLine) -> str:
    return f"{_TOLD[line.place]} at {number_text(line.limit.maximum or 0.0, line.limit.unit)}" + (
        " above the air" if line.place is Place.ACCESSORY else ""
    )


def _source(line: StopLine) -> str:
    return f"{line.limit.title}; {line.limit.source}, standing: {line.limit.standing}"


def _reached(chart: CurrentChart, line: StopLine) -> str:
    """Return the current of a line in the hottest air, with its band."""
    air = chart.max_ambient if chart.max_ambient is not None else float(chart.ambient[len(chart.ambient) // 2])
    low, middle, high = (_at(chart, one, air) for one in (line.low, line.middle, line.high))
    if not math.isfinite(middle):
        return f"beyond the map at {number_text(air, '°C')}"
    if middle <= 0.0:
        return f"the air of {number_text(air, '°C')} alone reaches it"
    return f"{middle:.1f} A at {number_text(air, '°C')} ({low:.1f} A to {high:.1f} A)"


def _at(chart: CurrentChart, line: tuple[float | None, ...], air: float) -> float:
    known = [amperes for amperes in line if amperes is not None]
    return float(np.interp(air, chart.ambient, known)) if len(known) == len(line) else math.inf


def _tested_told(chart: CurrentChart) -> list[str]:
    return [
        f"tested: {number_text(round(point.current, 2), 'A')} in {number_text(round(point.ambient, 1), '°C')}, sheath "
        f"{number_text(round(point.sheath, 1), '°C')} in the end"
        for point in chart.tested
    ]


def current_map_told(chart: CurrentChart) -> str:
    """Return what the map shows, for whoever cannot see it.

    Parameters
    ----------
    chart : CurrentChart
        The map.

    Returns
    -------
    str
        Each line with its limit and where it is reached, then currents, air, tests and what the lead was taken for.
    """
    told = [f"The {_limit_told(line)} ({_source(line)}): {_reached(chart, line)}." for line in chart.lines]
    for amperes, word in ((chart.offered, "Offered"), (chart.rated, "Marked")):
        if amperes is not None:
            told.append(f"{word}: {number_text(amperes, 'A')}.")
    if chart.max_ambient is not None:
        told.append(f"Hottest air: {number_text(chart.max_ambient, '°C')}.")
    told += [f"{one[0].upper()}{one[1:]}." for one in _tested_told(chart)]
    if chart.cable:
        told.append(f"The lead was taken for: {chart.cable}.")
    return " ".join(told)
