"""The figure of a heating test: readings, band and residuals, from a run to its end and from one stopped early."""

from __future__ import annotations

import re

import numpy as np
import pytest

from coldpin.copper.heating_limits import limit_for
from coldpin.copper.heating_log import AskedUse, HeatingTest
from coldpin.copper.temperature_rise import rise_of_log
from coldpin.quantity import parse_quantity
from coldpin.records.heating import HeatedPart, TemperatureRise
from coldpin.records.log import LogChannel, LogQuantity
from coldpin.report.anchors import Anchors
from coldpin.report.figures.heating_curve import heating_curve
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import load_book


def told(seconds: float) -> TemperatureRise:
    """A sheath that warms by 30 K with 400 s."""
    time = np.arange(0.0, seconds, 10.0)
    noise = np.random.default_rng(1).normal(0.0, 0.05, time.size)
    channel = LogChannel(
        name="sheath",
        quantity=LogQuantity.TEMPERATURE,
        unit="°C",
        values=np.round(21.0 + 30.0 * -np.expm1(-time / 400.0) + noise, 1),
        resolution=0.1,
    )
    test = HeatingTest(
        part=HeatedPart.SHEATH,
        time_s=time,
        channel=channel,
        ambient=parse_quantity("21.0 °C ± 0.5 °C", "°C"),
        current=parse_quantity("16 A ± 0.1 A", "A"),
        start_s=0.0,
        accuracy=parse_accuracy("± 0.5 °C"),
    )
    use = AskedUse(limit=limit_for(HeatedPart.SHEATH, load_book()))
    return rise_of_log(test, use, load_book())


@pytest.mark.parametrize("seconds", [300.0, 2000.0])
def test_the_figure_shows_readings_band_residuals_and_where_to_stop(seconds: float) -> None:
    """One dot for each block of readings, twice, and the words a reader needs."""
    record = told(seconds)
    figure = heating_curve(record, Anchors())

    assert len(re.findall(r"<use ", figure.svg)) >= 2 * len(record.chart.read_c)
    for word in ("sheath (°C)", "residual (K)", "minutes from the first row", "readings end", "air"):
        assert word in figure.svg
    assert record.statement in figure.alt


def test_an_open_end_is_said_in_the_caption() -> None:
    """A run stopped early is drawn with what bounds its end, and no upper end is printed."""
    assert "no upper end" in heating_curve(told(160.0), Anchors()).caption
    assert "no upper end" not in heating_curve(told(2000.0), Anchors()).caption
