"""Parts of a capture join: any cut anywhere gives the same whole, to the last bit."""

from __future__ import annotations

from functools import reduce
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.pilot.stream.counts import as_counts
from coldpin.pilot.stream.part import join, part_of
from coldpin.pilot.stream.spans import runs_of

from .signals import FEW, GAIN, captures, plan_for, to_int16

RATES = (1.0 / 48000.0, 5e-6, 1e-6)


@FEW
@given(st.sampled_from(RATES), st.sampled_from(["int16", "float32"]), st.integers(1, 12), st.data())
def test_any_cut_gives_the_same_whole(interval: float, stored: str, page: int, data: st.DataObject) -> None:
    """decode(a + b + ...) = join(decode(a), decode(b), ...), joined from the left or from the right."""
    voltage = data.draw(captures(interval, missing=stored != "int16"))
    raw = to_int16(voltage) if stored == "int16" else (voltage / GAIN).astype(stored)
    plan = plan_for(raw.size, interval, page=page, stored=stored)
    counts = as_counts(raw, GAIN, 0.0)
    cuts = sorted(data.draw(st.lists(st.integers(0, raw.size), max_size=6)))
    parts = [part_of(counts[a:b], a, plan) for a, b in pairwise([0, *cuts, raw.size])]

    whole = part_of(counts, 0, plan)
    left = reduce(join, parts)
    right = reduce(lambda later, earlier: join(earlier, later), reversed(parts))

    for found in (left, right):
        assert found.spans == whole.spans
        assert found.glitches == whole.glitches
        assert (found.first, found.stop, found.pages) == (0, raw.size, range(plan.pages))
        assert found.head.size == found.tail.size == 0


@FEW
@given(st.sampled_from(RATES), st.data())
def test_runs_cover_the_capture(interval: float, data: st.DataObject) -> None:
    """Runs follow each other without gap and neighbours differ; each cycle belongs to one."""
    raw = to_int16(data.draw(captures(interval)))
    plan = plan_for(raw.size, interval, page=3)
    whole = part_of(raw, 0, plan)
    runs = runs_of(whole.spans, plan.shortest_run)

    assert [run.first for run in runs] == [0, *(run.stop for run in runs[:-1])]
    assert runs[-1].stop == raw.size
    assert all(a.state is not b.state for a, b in pairwise(runs))
    assert sum(run.cycles for run in runs) == sum(span.cycles for span in whole.spans)


def test_parts_of_which_one_does_not_follow_the_other_are_refused() -> None:
    """A part is joined to its neighbour only."""
    raw = np.zeros(100, np.int16)
    plan = plan_for(raw.size, 1e-6)

    with pytest.raises(ValueError, match="ends at sample 10 cannot be joined to one from sample 20 on"):
        join(part_of(raw[:10], 0, plan), part_of(raw[20:], 20, plan))
