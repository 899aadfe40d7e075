"""The virtual logger: stamps, gaps, a clock that is set, steps of values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange
from coldpin.simulator.logger import VirtualLogger, in_steps


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


@pytest.mark.hand("1000 rows of 1 s; 5 % lost; none from 100 s to 200 s")
def test_rows_are_lost() -> None:
    """Dropouts thin the rows, a gap has none, and what is left keeps its order."""
    logger = VirtualLogger(jitter=0.5, dropout=0.05, gaps=[(100.0, 200.0)], stamp_step=0.01)
    seen = logger.stamps(1000.0, rng())

    assert np.all(np.diff(seen.time_s) > 0.0)
    assert not np.any((seen.true_s >= 100.0) & (seen.true_s < 200.0))
    assert seen.true_s.size == pytest.approx(0.95 * 901, abs=4 * np.sqrt(901 * 0.05))
    assert np.all(np.abs(seen.time_s - (seen.true_s - seen.true_s[0])) < 0.0101)


@pytest.mark.hand("a clock 100 ppm fast gains 8.64 s in a day; put back one hour it shows the hour again")
def test_a_clock_runs_fast_and_is_set() -> None:
    """The clock as it ran knows no setting; what it showed does."""
    logger = VirtualLogger(interval=60.0, clock_rate=1e-4, clock_offset=30.0, clock_sets=[(43_230.0, -3600.0)])
    seen = logger.stamps(86_400.0, rng())

    assert seen.time_s[-1] - (seen.true_s[-1] - seen.true_s[0]) == pytest.approx(8.64, abs=1.0)
    (step,) = seen.clock_steps
    assert (step.row, step.seconds) == (721, -3600.0)
    jump = seen.shown_s - seen.time_s
    assert np.unique(jump).tolist() == [30.0 - 3600.0, 30.0]
    assert jump[step.row - 1] == 30.0 > jump[step.row]


@given(
    step=st.sampled_from([0.001, 0.01, 0.1, 0.5, 1.0, 5.0]),
    values=st.lists(st.floats(-1000.0, 1000.0), min_size=1, max_size=20),
)
def test_values_are_written_in_steps(step: float, values: list[float]) -> None:
    """Each lies within half a step of what it was, on a whole number of steps, as a reader of the text finds it."""
    written = in_steps(np.array(values), step)

    assert np.all(np.abs(written - values) <= 0.5 * step * (1 + 1e-6))
    for one in written.tolist():
        assert one / step == pytest.approx(round(one / step), abs=1e-6)
        assert float(f"{one:.3f}") == one
    assert in_steps(np.array([0.123456]), 0.0).tolist() == [0.123456]


@pytest.mark.hand("rows every 0.4 s with stamps of 1 s: one row a stamp")
def test_one_row_for_each_stamp() -> None:
    """Stamps coarser than the rows keep the first row of each."""
    seen = VirtualLogger(interval=0.4).stamps(10.0, rng())

    assert seen.time_s.tolist() == list(map(float, range(11)))


def test_a_logger_that_cannot_be_is_refused() -> None:
    """No interval, rows later than the next, too short a run."""
    with pytest.raises(OutsideRange, match="must be above zero"):
        VirtualLogger(interval=0.0)
    with pytest.raises(OutsideRange, match="late by less than an interval"):
        VirtualLogger(jitter=1.0)
    with pytest.raises(OutsideRange, match=r"1 rows in 0\.5 s"):
        VirtualLogger().stamps(0.5, rng())
