"""Levels of a capture: what is drawn is the lowest and highest of exactly the samples it says, at any zoom."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.workbench.wave_levels import (
    FIRST_BLOCK,
    LevelBuilder,
    LevelPlan,
    WaveBuilder,
    cut_for,
    envelope,
    extremes_of,
    plan_levels,
)


def plainly(volts: NDArray[np.float64], first: int, stop: int, per_column: int) -> NDArray[np.float32]:
    """The envelope, column by column, by the simplest means there are."""
    found = []
    for begin in range(first, stop, per_column):
        own = volts[begin : min(begin + per_column, stop)]
        own = own[~np.isnan(own)]
        found.append((own.min(), own.max()) if own.size else (np.nan, np.nan))
    return np.array(found, dtype=np.float64).astype(np.float32)


@st.composite
def captures(draw: st.DrawFn) -> tuple[NDArray[np.float64], NDArray[np.generic], float, float]:
    """Samples as stored, with gain and zero, and the volts they stand for; some are missing."""
    size = draw(st.integers(1, 5000))
    noise = np.random.default_rng(draw(st.integers(0, 2**32)))
    stored: NDArray[np.generic]
    if draw(st.booleans()):
        stored = noise.integers(-(2**15), 2**15, size).astype(draw(st.sampled_from(["<i2", "<i4"])))
    else:
        floats = noise.normal(0.0, 9.0, size)
        for begin in draw(st.lists(st.integers(0, size), max_size=3)):
            floats[begin : begin + draw(st.sampled_from([1, 7, 300, 2000]))] = np.nan
        stored = floats
    gain = draw(st.sampled_from([1.0, 0.01, -0.37]))
    zero = draw(st.sampled_from([0.0, 3.3]))
    return stored.astype(np.float64) * gain + zero, stored, gain, zero


@pytest.mark.independent("plain numpy minimum and maximum of each column")
@settings(max_examples=120, deadline=None)
@given(captures(), st.data())
def test_any_window_is_drawn_exactly(
    made: tuple[NDArray[np.float64], NDArray[np.generic], float, float], data: st.DataObject
) -> None:
    """Every sample lies in the column that says it holds it, none is left out, and none is in two."""
    volts, stored, gain, zero = made
    plan = LevelPlan(samples=volts.size, first_block=data.draw(st.sampled_from([2, 8, FIRST_BLOCK])))
    builder = LevelBuilder(plan, gain=gain, zero=zero)
    chunk = data.draw(st.integers(1, volts.size))
    for begin in range(0, volts.size, chunk):
        builder.take(stored[begin : begin + chunk])
    levels = builder.finish()
    assert [level.shape[0] for level in levels] == list(plan.counts)

    first = data.draw(st.integers(0, volts.size - 1))
    count, columns = data.draw(st.integers(1, 2 * volts.size)), data.draw(st.integers(1, 3000))
    cut = cut_for(volts.size, first=first, count=count, columns=columns)
    drawn = envelope(
        cut,
        plan,
        volts=lambda begin, size: volts[begin : begin + size],
        level=lambda place, begin, size: levels[place][begin : begin + size],
    )

    np.testing.assert_array_equal(drawn, plainly(volts, cut.first, cut.stop, cut.per_column))
    assert cut.first <= first
    assert cut.stop >= min(first + count, volts.size)
    assert drawn.shape == (cut.columns, 2)
    assert cut.columns <= columns + 1
    assert cut.first % cut.per_column == 0
    assert cut.per_column == 1 or 2 * cut.columns > columns, "no coarser than the columns ask for"


def test_a_small_window_shows_every_sample() -> None:
    """As many samples as columns, or fewer, are drawn one by one."""
    volts = np.arange(1000.0)
    cut = cut_for(1000, first=17, count=50, columns=50)
    drawn = envelope(
        cut,
        None,
        volts=lambda begin, size: volts[begin : begin + size],
        level=lambda *_: pytest.fail("no level is wanted"),
    )

    assert (cut.first, cut.stop, cut.per_column) == (17, 67, 1)
    assert drawn[:, 0].tolist() == drawn[:, 1].tolist() == volts[17:67].tolist()


@pytest.mark.parametrize(("first", "count", "columns"), [(-1, 5, 5), (10, 5, 5), (0, 0, 5), (0, 5, 0)])
def test_a_window_outside_is_refused(first: int, count: int, columns: int) -> None:
    """The message says what there is."""
    with pytest.raises(InputError, match=r"asked for|from 0 to 9"):
        cut_for(10, first=first, count=count, columns=columns)


def test_a_capture_that_changes_meanwhile_is_refused() -> None:
    """Fewer or more samples than planned are no levels."""
    plan = plan_levels(1000)
    for size in (900 - FIRST_BLOCK, 1000 + 2 * FIRST_BLOCK):
        builder = WaveBuilder(plan, gain=1.0, zero=0.0, output=False, progress=lambda _: None)
        with pytest.raises(InputError, match="changed while it was read"):  # noqa: PT012 - either may tell
            builder.take(np.zeros(size), None)
            builder.finish()


def test_the_plan_of_a_long_capture_stays_small() -> None:
    """However long it is, its first level takes no more than some 32 MiB."""
    for samples in (10**9, 10**10, 10**12):
        plan = plan_levels(samples)
        assert plan.counts[0] <= 1 << 22
        assert plan.counts[-1] <= 1 << 10
    assert plan_levels(10**9).first_block == FIRST_BLOCK


@pytest.mark.hand("a block of missing samples has no lowest one")
def test_missing_samples_are_passed_over_and_told() -> None:
    """One that is missing spoils no block; a block of nothing else is NaN."""
    found = extremes_of(np.array([np.nan, 2.0, np.nan, np.nan, np.nan]), 2)
    np.testing.assert_array_equal(found, [[2.0, 2.0], [np.nan, np.nan], [np.nan, np.nan]])
