"""Compression: every row in one stretch, no span beyond its width, the same whatever the blocks and cuts are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.session import compression
from coldpin.session.compression import compress, find_starts

VALUES = st.lists(st.floats(0.0, 40.0, allow_nan=False, width=32), min_size=1, max_size=400).map(np.array)
NONE = np.array([], np.intp)


def by_definition(values: NDArray[np.float64], width: float) -> list[int]:
    """The starts as the docstring says them, with no thought of speed."""
    starts = [0]
    for row in range(1, values.size):
        seen = values[starts[-1] : row + 1]
        if seen.max() - seen.min() > width:
            starts.append(row)
    return starts


@pytest.mark.independent("the definition, row by row")
@given(VALUES, st.floats(0.0, 20.0), st.sampled_from([1, 3, 256]))
def test_starts_are_as_defined_whatever_the_block(values: NDArray[np.float64], width: float, block: int) -> None:
    """Looking at a block at once is an accelerator: it changes nothing."""
    kept, compression.BLOCK = compression.BLOCK, block
    try:
        found = find_starts(values, np.full(values.size, width), NONE).tolist()
    finally:
        compression.BLOCK = kept

    assert found == by_definition(values, width)


@given(VALUES, st.sets(st.integers(0, 399), max_size=6))
def test_rows_are_parted_without_loss(values: NDArray[np.float64], cuts: set[int]) -> None:
    """Each row lies in one stretch, no stretch spans more than its width, and a cut begins one."""
    at = np.array(sorted(cut for cut in cuts if cut < values.size), np.intp)
    stretches = compress(np.arange(values.size, dtype=np.float64), values, share=0.05, least=0.2, cuts=at)

    assert stretches.first[0] == 0
    assert stretches.last[-1] == values.size - 1
    assert (stretches.first[1:] == stretches.last[:-1] + 1).all()
    assert (stretches.high - stretches.low <= stretches.width).all()
    assert set(at.tolist()) <= set(stretches.first.tolist())
    for place in range(stretches.count):
        rows = values[stretches.first[place] : stretches.last[place] + 1]
        assert stretches.mean[place] == pytest.approx(rows.mean())
        assert (stretches.low[place], stretches.high[place]) == (rows.min(), rows.max())


@given(VALUES, st.integers(1, 399))
def test_what_comes_later_changes_nothing_before(values: NDArray[np.float64], end: int) -> None:
    """A log that is cut off has the same stretches up to there."""
    whole = find_starts(values, np.full(values.size, 1.0), NONE)
    part = find_starts(values[:end], np.full(values[:end].size, 1.0), NONE)

    assert part.tolist() == whole[whole < end].tolist()


def test_wandering_within_the_width_ends_nothing() -> None:
    """That is the hysteresis: to and fro within the width is one stretch, a lasting step is two."""
    wandering = 16.0 + 0.15 * np.sin(np.arange(1000.0))
    stepped = np.concatenate([wandering, wandering - 1.0])

    assert find_starts(wandering, np.full(1000, 0.4), NONE).tolist() == [0]
    assert find_starts(stepped, np.full(2000, 0.4), NONE).tolist() == [0, 1000]


def test_no_row_has_no_stretch() -> None:
    """An empty log compresses to nothing."""
    assert compress(np.empty(0), np.empty(0), share=0.1, least=0.1, cuts=NONE).count == 0
