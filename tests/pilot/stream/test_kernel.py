"""The accelerator gives the rows of the specification, to the last bit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.pilot.stream import table
from coldpin.pilot.stream.counts import as_counts
from coldpin.pilot.stream.engine import SPECIFICATION, accelerator, engine_for
from coldpin.pilot.stream.gather import gather
from coldpin.pilot.stream.spans import joined_spans, spans_of_pages

from .signals import FEW, GAIN, captures, plan_for, source_of, to_int16
from .test_table import RATES, assert_same

kernel = pytest.importorskip("coldpin.pilot.stream.kernel", reason="LEFT OUT, missing here: numba")
kernel_spans = pytest.importorskip("coldpin.pilot.stream.kernel_spans", reason="LEFT OUT, missing here: numba")


@FEW
@given(st.sampled_from(RATES), st.sampled_from(["int16", "float64"]), st.sampled_from([0.02, 0.1, 1.0]), st.data())
def test_rows_are_those_of_the_specification(interval: float, stored: str, spread: float, data: st.DataObject) -> None:
    """Whatever the signal, the stretch and its place in the capture."""
    voltage = data.draw(captures(interval, missing=stored == "float64"))
    raw = to_int16(voltage) if stored == "int16" else voltage / GAIN
    plan = plan_for(raw.size, interval, stored=stored, spread=spread)
    counts = as_counts(raw, GAIN, 0.0)
    first, stop = sorted((data.draw(st.integers(0, raw.size)), data.draw(st.integers(0, raw.size))))
    begin, end = max(0, first - plan.reach), min(raw.size, stop + plan.reach)

    assert_same(
        kernel.take_apart(counts[begin:end], begin, first, stop, plan),
        table.take_apart(counts[begin:end], begin, first, stop, plan),
    )
    assert_same(kernel.take_apart(counts, 0, 0, raw.size, plan), table.take_apart(counts, 0, 0, raw.size, plan))


@FEW
@given(st.sampled_from(RATES), st.sampled_from(["int16", "float64"]), st.integers(1, 40), st.data())
def test_spans_are_those_of_the_specification(interval: float, stored: str, page: int, data: st.DataObject) -> None:
    """Sums, codes and borders of every span of every page."""
    voltage = data.draw(captures(interval, missing=stored == "float64"))
    raw = to_int16(voltage) if stored == "int16" else voltage / GAIN
    plan = plan_for(raw.size, interval, page=page, stored=stored)
    found = table.take_apart(as_counts(raw, GAIN, 0.0), 0, 0, raw.size, plan)
    pages = range(plan.pages)

    # the accelerator joins the spans of neighbouring pages itself
    expected = joined_spans(spans_of_pages(found, pages, plan), plan.shortest_run)

    assert joined_spans(kernel_spans.spans_of_pages(found, pages, plan), plan.shortest_run) == expected


@FEW
@given(st.data())
def test_a_capture_reads_the_same_with_and_without_it(data: st.DataObject) -> None:
    """One hand or four, the accelerator or the specification: the same spans and glitches."""
    raw = np.tile(to_int16(data.draw(captures(5e-6))), 4)
    plan = plan_for(raw.size, 5e-6, page=5)
    source = source_of(raw, 5e-6)
    found = [
        gather(source, plan, hands=hands, progress=lambda _: None, engine=engine)
        for hands, engine in ((1, SPECIFICATION), (1, accelerator()), (4, accelerator()))
    ]

    assert found[1] == found[0]
    assert found[2] == found[0]


def test_the_accelerator_is_used_where_it_is_done_first() -> None:
    """Short captures do not wait for it."""
    assert engine_for(10**6) is SPECIFICATION
    assert engine_for(10**9) is accelerator()
