"""A heating curve: readings, the best curve, where the curve may lie and goes on, and what is left of the readings."""

from __future__ import annotations

import math

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas

from coldpin.records.heating import HeatingChart, TemperatureRise
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, quiet_axes
from coldpin.report.heating_lines import bounded
from coldpin.report.times import duration

_HEIGHT_MM = 92.0
_LEFT_MM, _RIGHT_MM, _TOP_MM, _BOTTOM_MM = 15.0, 4.0, 4.0, 10.0
_RESIDUAL_MM, _GAP_MM = 17.0, 5.0
_MINUTE = 60.0


def heating_curve(told: TemperatureRise, anchors: Anchors) -> Figure:
    """Return the figure of a heating test.

    Parameters
    ----------
    told : TemperatureRise
        The test.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    end = bounded(told.end_temperature_c)
    return Figure(
        anchor=anchors.fresh("figure-heating"),
        svg=draw(WIDTH_MM, _HEIGHT_MM, lambda canvas: _paint(canvas, told)),
        alt=heating_curve_told(told),
        caption=f"Heating of the {told.part}: readings (dots), the best curve (line), where it may lie (band, 95 %), "
        f"led on beyond the readings. In the end: {end}. Below: readings less the best curve.",
        width_mm=WIDTH_MM,
    )


def heating_curve_told(told: TemperatureRise) -> str:
    """Return what the figure shows, for whoever cannot see it.

    Parameters
    ----------
    told : TemperatureRise
        The test.

    Returns
    -------
    str
        Its statement, how long it was heated, how far the readings scatter.
    """
    return f"{told.statement} Heated for {duration(told.lasted_s)}; the readings scatter by {told.scatter_k:.2g} K."


def _paint(canvas: Canvas, told: TemperatureRise) -> None:
    width = (WIDTH_MM - _LEFT_MM - _RIGHT_MM) / WIDTH_MM
    left = _LEFT_MM / WIDTH_MM
    below: Axes = canvas.add_axes((left, _BOTTOM_MM / _HEIGHT_MM, width, _RESIDUAL_MM / _HEIGHT_MM))
    bottom = _BOTTOM_MM + _RESIDUAL_MM + _GAP_MM
    above: Axes = canvas.add_axes(
        (left, bottom / _HEIGHT_MM, width, (_HEIGHT_MM - bottom - _TOP_MM) / _HEIGHT_MM), sharex=below
    )
    _curve(above, told)
    _residuals(below, told.chart)
    below.set_xlim(told.chart.at_s[0] / _MINUTE, told.chart.at_s[-1] / _MINUTE)
    below.set_xlabel("minutes from the first row", fontsize=7, color=Ink.QUIET, labelpad=2)


def _curve(axes: Axes, told: TemperatureRise) -> None:
    chart = told.chart
    quiet_axes(axes)
    axes.tick_params(labelbottom=False)
    at = [second / _MINUTE for second in chart.at_s]
    time = [second / _MINUTE for second in chart.time_s]
    low, high = _scale(told)
    axes.set_ylim(low, high)
    axes.fill_between(at, chart.low_c, chart.high_c, color=Ink.DEEP, linewidth=0.0, alpha=0.7, zorder=1)
    axes.plot(at, chart.middle_c, color=Ink.COLD, linewidth=0.7, linestyle=(0, (3, 2)), zorder=2)
    axes.plot(time, chart.read_c, ".", color=Ink.QUIET, markersize=2.2, zorder=3)
    axes.plot(time, chart.fitted_c, color=Ink.COLD, linewidth=1.1, zorder=4)
    axes.axvline(time[-1], color=Ink.RULE, linewidth=0.6, linestyle=(0, (2, 2)), zorder=0)
    axes.annotate("readings end", (time[-1], low), (2.0, 3.0), textcoords="offset points", fontsize=6, color=Ink.QUIET)
    ambient = told.ambient_c.value
    if low < ambient < high:
        axes.axhline(ambient, color=Ink.RULE, linewidth=0.6, zorder=0)
        axes.annotate(
            "air", (at[-1], ambient), (-2.0, 2.0), textcoords="offset points", ha="right", fontsize=6, color=Ink.QUIET
        )
    if told.stop_at_c is not None and low < told.stop_at_c < high:
        axes.axhline(told.stop_at_c, color=Ink.COPPER, linewidth=0.8, zorder=0)
        axes.annotate(
            "stop",
            (at[-1], told.stop_at_c),
            (-2.0, 2.0),
            textcoords="offset points",
            ha="right",
            fontsize=6.5,
            color=Ink.COPPER,
        )
    axes.set_ylabel(f"{told.part} (°C)", fontsize=7, color=Ink.QUIET, labelpad=2)


def _scale(told: TemperatureRise) -> tuple[float, float]:
    """Return the ends of the temperature scale: a band that runs away does not flatten the readings."""
    chart = told.chart
    lowest, highest = min(*chart.read_c, told.ambient_c.value), max(chart.read_c)
    span = max(highest - lowest, 1.0)
    top = min(max(*chart.high_c, highest), highest + span)
    if told.stop_at_c is not None and highest < told.stop_at_c < highest + span:
        top = max(top, told.stop_at_c)
    return lowest - 0.06 * span, top + 0.06 * span


def _residuals(axes: Axes, chart: HeatingChart) -> None:
    quiet_axes(axes)
    largest = max(*(abs(one) for one in chart.residual_k), 1e-3)
    scale = 10.0 ** math.floor(math.log10(largest))
    edge = scale * math.ceil(largest / scale)
    time = [second / _MINUTE for second in chart.time_s]
    axes.axhline(0.0, color=Ink.RULE, linewidth=0.6, zorder=0)
    axes.plot(time, chart.residual_k, ".", color=Ink.QUIET, markersize=2.2)
    axes.set_ylim(-1.15 * edge, 1.15 * edge)
    axes.set_yticks([-edge, 0.0, edge], [f"−{edge:g}", "0", f"{edge:g}"])
    axes.set_ylabel("residual (K)", fontsize=7, color=Ink.QUIET, labelpad=2)
