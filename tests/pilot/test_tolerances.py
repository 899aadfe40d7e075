"""Levels within the tolerances of the parts: the published corners, and what is likely between them."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.pilot.tolerances import (
    boundary_chart,
    boundary_windows,
    high_levels,
    nominal_level,
    shorted_low_levels,
    with_tolerance,
)
from coldpin.standards import Edition, load_book, state_windows

BOOK = load_book()
NOTE = (
    "own notes of the project's start: generator 5 %, R1 3 %, R2 and R3 3 %, diode 0.55 V to 0.85 V; standing: memory"
)


@pytest.mark.published(NOTE)
@pytest.mark.parametrize(
    ("state", "nominal", "lowest", "highest"),
    [("B", 8.98, 8.37, 9.59), ("C", 6.0, 5.47, 6.53), ("D", 2.93, 2.59, 3.28)],
)
def test_corners_of_the_high_level(state: str, nominal: float, lowest: float, highest: float) -> None:
    """Nominal and both corners agree to the printed digits."""
    (span,) = (one for one in high_levels(BOOK, Edition.IEC_3) if one.state == state)

    # 5.995 V is printed as 6.00 by the note
    assert span.nominal == pytest.approx(nominal, abs=0.0055)
    assert (span.lowest, span.highest) == pytest.approx((lowest, highest), abs=0.005)


@pytest.mark.published(NOTE)
@pytest.mark.parametrize(("state", "lowest", "highest"), [("B", 8.41, 9.55), ("C", 5.53, 6.47), ("D", 2.62, 3.24)])
def test_corners_with_a_bench_load_of_one_per_cent(state: str, lowest: float, highest: float) -> None:
    """Better resistors in the load narrow the span as published."""
    (span,) = (one for one in high_levels(BOOK, Edition.IEC_3, load_tolerance=1.0) if one.state == state)

    assert (span.lowest, span.highest) == pytest.approx((lowest, highest), abs=0.005)


@pytest.mark.published(NOTE)
@pytest.mark.parametrize(
    ("state", "nominal", "lowest", "highest"),
    [("B", -8.79, -9.38, -8.22), ("C", -5.62, -6.09, -5.17), ("D", -2.37, -2.61, -2.14)],
)
def test_corners_of_the_low_level_with_a_shorted_diode(
    state: str, nominal: float, lowest: float, highest: float
) -> None:
    """What a unit sees when it must not close, to the printed digits."""
    (span,) = (one for one in shorted_low_levels(BOOK, Edition.IEC_3) if one.state == state)

    assert span.nominal == pytest.approx(nominal, abs=0.005)
    assert (span.lowest, span.highest) == pytest.approx((lowest, highest), abs=0.005)


def test_the_table_of_corners_is_what_is_computed() -> None:
    """The entries pilot.corner.* and pilot.no-diode.*, which judge, are those of the formula."""
    for prefix, spans in (
        ("pilot.corner", high_levels(BOOK, Edition.IEC_3)),
        ("pilot.no-diode", shorted_low_levels(BOOK, Edition.IEC_3)),
    ):
        for span in spans:
            row = BOOK.limit(f"{prefix}.{span.state}")
            assert (row.minimum, row.nominal, row.maximum) == pytest.approx(
                (span.lowest, span.nominal, span.highest), abs=0.005
            )


@pytest.mark.independent("100 000 draws of all parts through Kirchhoff's law written out")
@pytest.mark.parametrize(("place", "r3"), [(0, None), (1, 1300.0), (2, 270.0)])
def test_the_likely_interval_is_that_of_drawn_parts(place: int, r3: float | None) -> None:
    """The statistical span agrees with draws from the same tolerances, and lies within the corners."""
    span = high_levels(BOOK, Edition.IEC_3)[place]
    rng = np.random.default_rng(3)

    def drawn(nominal: float, part: float) -> np.ndarray:
        return rng.uniform(nominal * (1.0 - part), nominal * (1.0 + part), 100_000)

    conductance = 1.0 / drawn(2740.0, 0.03) + (1.0 / drawn(r3, 0.03) if r3 else 0.0)
    drop, rail, source = rng.uniform(0.55, 0.85, 100_000), drawn(12.0, 0.05), drawn(1000.0, 0.03)
    levels = (rail / source + drop * conductance) / (1.0 / source + conductance)
    low, high = np.quantile(levels, [0.025, 0.975])

    assert span.likely.low is not None
    assert span.likely.high is not None
    assert (span.likely.low, span.likely.high) == pytest.approx((low, high), abs=0.01)
    assert span.lowest < span.likely.low < span.nominal < span.likely.high < span.highest


@pytest.mark.published("8.06 V to 9.99 V, 4.99 V to 6.99 V by the same secondary text that names the resistors (read)")
def test_boundary_resistors_span_the_windows() -> None:
    """The published test resistors give the published levels, and these are the windows of the states within 0.07 V."""
    windows = {window.state: window for window in boundary_windows(BOOK, Edition.IEC_3)}
    levels = {state: (window.level_low, window.level_high) for state, window in windows.items()}

    assert levels["B"] == pytest.approx((8.06, 9.99), abs=0.005)
    assert levels["C"] == pytest.approx((4.99, 6.99), abs=0.005)
    for one in state_windows(BOOK, Edition.IEC_3):
        if one.level == "high" and one.letter in levels:
            assert levels[one.letter] == pytest.approx((one.minimum, one.maximum), abs=0.07)


def test_the_chart_holds_windows_and_curve() -> None:
    """The curve rises over the whole span, passes the windows' corners, and reaches past both."""
    chart = boundary_chart(BOOK, Edition.IEC_3)

    assert np.all(np.diff(chart.level) > 0.0)
    assert chart.load[0] < chart.windows[-1].low < chart.windows[0].high < chart.load[-1]
    for window in chart.windows:
        assert nominal_level(BOOK, Edition.IEC_3, window.low) == window.level_low
        assert np.interp(window.high, chart.load, chart.level) == pytest.approx(window.level_high, abs=0.01)


def test_a_tolerance_is_told() -> None:
    """A part taken with another tolerance says so."""
    part = with_tolerance(BOOK.limit("pilot.vehicle.r3-C"), 1.0)

    assert (part.minimum, part.maximum, part.note) == (1287.0, 1313.0, "Taken with 1 % either way.")
