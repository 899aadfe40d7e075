"""Means of the rows of phases: all phases in one pass are what each comes to by itself."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.records.log import LogQuantity
from coldpin.session.meter import mean_reading
from coldpin.session.row_means import BATCHES, row_means
from tests.session.charges import METER


@pytest.mark.independent("numpy on each phase alone, batches divided by numpy.array_split and its kind")
@given(st.lists(st.tuples(st.integers(1, 60), st.integers(0, 3)), min_size=1, max_size=8), st.integers(0, 2**32 - 1))
def test_each_phase_is_as_it_is_alone(phases: list[tuple[int, int]], seed: int) -> None:
    """Mean over time, deviation, and what batches scatter, whatever lies between the phases."""
    random = np.random.default_rng(seed)
    rows = sum(own + between for own, between in phases)
    time_s, values = np.cumsum(random.uniform(0.5, 3.0, rows)), random.normal(230.0, 2.0, rows)
    first = np.cumsum([0, *(own + between for own, between in phases[:-1])])
    last = first + [own - 1 for own, _ in phases]
    told = row_means(time_s, values, first, last)

    for place, (begin, end) in enumerate(zip(first, last + 1, strict=True)):
        when, read = time_s[begin:end], values[begin:end]
        found = told.at(place)
        size = read.size
        parts = min(size, BATCHES)
        cuts = [part * size // parts for part in range(parts + 1)]
        means = np.array([np.mean(read[a:b]) for a, b in pairwise(cuts)])
        mean = np.trapezoid(read, when) / (when[-1] - when[0]) if size > 1 else read[0]
        assert (found.rows, found.parts) == (size, parts)
        assert found.mean == pytest.approx(mean, rel=1e-12)
        assert found.deviation == pytest.approx(np.std(read), rel=1e-9, abs=1e-12)
        if parts > 1:
            assert found.about_mean == pytest.approx(np.std(means, ddof=1) / math.sqrt(parts), rel=1e-9)
            slow = 0.5 * np.mean(np.diff(means) ** 2)
            assert found.about_way == pytest.approx(math.sqrt(slow / parts), rel=1e-9)
        else:
            assert found.about_mean == found.about_way == 0.0


def test_a_missing_value_spoils_its_own_phase_only() -> None:
    """What is not known of one phase is known of the next."""
    values = np.array([230.0, math.nan, 231.0, 231.0])
    told = row_means(np.arange(4.0), values, np.array([0, 2]), np.array([1, 3]))

    assert math.isnan(told.mean[0])
    assert told.mean[1] == 231.0


@pytest.mark.hand("limits of 0.5 % alone: 95 % of a rectangle of half-width 1.1555 V")
@pytest.mark.parametrize("rows", [30, 110, 333])
def test_rows_that_are_all_alike_do_not_scatter(rows: int) -> None:
    """What rounding leaves of 231.1 V read again and again is no scatter, and widens no interval."""
    told = mean_reading(
        np.arange(float(rows)), np.full(rows, 231.1), LogQuantity.VOLTAGE, METER, step=None, label="phase 1"
    )

    assert [part.label for part in told.components] == ["phase 1: 0.5 %"]
    assert told.expanded == pytest.approx(0.95 * 0.005 * 231.1, rel=1e-9)
