"""What is drawn of a log: no extreme is lost, few rows are drawn as they are, and a gap is a gap."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.records.session import TraceOf, TraceRows
from coldpin.session.trace import trace_between, trace_of, trace_rows


def rows_of(time: list[float], values: list[float], gap_from: float = 1e9) -> TraceRows:
    """Rows of a current."""
    return TraceRows(
        time_s=np.asarray(time, dtype=float),
        current_a=np.asarray(values, dtype=np.float32),
        power_w=None,
        voltage_v=None,
        gap_from_s=gap_from,
    )


steps = st.lists(st.tuples(st.floats(0.1, 20.0), st.floats(0.0, 32.0, width=32)), min_size=2, max_size=60)


@given(steps=steps, stretches=st.integers(1, 20), ends=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)))
def test_no_extreme_is_lost_and_none_is_invented(
    steps: list[tuple[float, float]], stretches: int, ends: tuple[float, float]
) -> None:
    """Whatever part is drawn, its extremes are those of its rows, each in its own stretch."""
    time = np.cumsum([step for step, _ in steps]) - steps[0][0]
    values = [value for _, value in steps]
    start, end = (float(time[-1]) * share for share in sorted(ends))
    rows = rows_of(time.tolist(), values)
    if not end > start:
        with pytest.raises(OutsideRange, match="nothing to draw"):
            trace_between(rows, TraceOf.CURRENT, start=start, end=end, stretches=stretches)
        return
    drawn = trace_between(rows, TraceOf.CURRENT, start=start, end=end, stretches=stretches)
    inside = [value for when, value in zip(time, values, strict=True) if start <= when <= end]
    highs = [one for one in drawn.high if one is not None]
    lows = [one for one in drawn.low if one is not None]
    if inside:
        assert max(highs) >= max(inside)
        assert min(lows) <= min(inside)
    if drawn.exact:
        assert set(highs) <= set(values)
        return
    assert len(drawn.time_s) == stretches
    edges = np.linspace(start, end, stretches + 1)
    for place, (low, high) in enumerate(zip(drawn.low, drawn.high, strict=True)):
        last = place == stretches - 1
        own = [
            value
            for when, value in zip(time, values, strict=True)
            if edges[place] <= when and (when <= edges[place + 1] if last else when < edges[place + 1])
        ]
        if own:
            assert (low, high) == (min(own), max(own))


def test_few_rows_are_drawn_as_they_are_with_one_on_either_side() -> None:
    """So that a line enters and leaves the picture where it does; in a gap there is nothing."""
    rows = rows_of([0.0, 1.0, 2.0, 10.0, 11.0, 12.0], [0.0, 16.0, 16.0, 16.0, 10.0, 10.0], gap_from=5.0)
    drawn = trace_between(rows, TraceOf.CURRENT, start=1.5, end=10.5, stretches=10)

    assert drawn.exact
    assert drawn.time_s == (1.0, 2.0, 6.0, 10.0, 11.0)
    assert drawn.high == (16.0, 16.0, None, 16.0, 10.0)


@pytest.mark.hand("two stretches of five seconds, the second within a gap of eight")
def test_a_gap_is_told_apart_from_a_slow_meter() -> None:
    """A stretch without a row is nothing in a gap, else what was before it."""
    time, values = [0.0, 1.0, 2.0, 10.0, 11.0, 12.0], [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    gap = trace_between(rows_of(time, values, gap_from=5.0), TraceOf.CURRENT, stretches=3)
    slow = trace_between(rows_of(time, values, gap_from=9.0), TraceOf.CURRENT, stretches=3)

    assert gap.high == (3.0, None, 6.0)
    assert slow.high == (3.0, 3.0, 6.0)


@pytest.mark.parametrize(
    ("what", "start", "end", "stretches"),
    [
        (TraceOf.VOLTAGE, 0.0, 1.0, 10),
        (TraceOf.CURRENT, 5.0, 1.0, 10),
        (TraceOf.CURRENT, 99.0, 100.0, 10),
        (TraceOf.CURRENT, 0.0, 1.0, 0),
        (TraceOf.CURRENT, math.nan, 1.0, 10),
    ],
)
def test_what_is_not_there_is_not_drawn(what: TraceOf, start: float, end: float, stretches: int) -> None:
    """A quantity that was not logged, a part that is none."""
    with pytest.raises(OutsideRange, match="nothing to"):
        trace_between(rows_of([0.0, 1.0, 2.0], [0.0, 1.0, 2.0]), what, start=start, end=end, stretches=stretches)


def test_the_whole_of_a_log_is_what_the_report_draws() -> None:
    """The same extremes, whichever way they are asked for."""
    amperes = np.random.default_rng(3).uniform(0.0, 16.0, 5000)
    channel = LogChannel(
        name="I", quantity=LogQuantity.CURRENT, unit="A", values=amperes.astype(np.float32).astype(float)
    )
    log = Log(time_s=np.arange(5000.0), channels=(channel,))
    drawn, report = trace_between(trace_rows(log), TraceOf.CURRENT, stretches=100), trace_of(log, stretches=100)

    assert drawn.low == report.low
    assert drawn.high == report.high
    assert drawn.time_s == report.time_s
