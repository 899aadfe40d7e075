"""What begins in a stretch: independent of what is read around it, and the same as the whole-array decoder finds."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.pilot.cycles import decode
from coldpin.pilot.glitches import across_zero
from coldpin.pilot.stream.counts import as_counts
from coldpin.pilot.stream.table import Table, take_apart

from .signals import FEW, GAIN, captures, plan_for, scale, to_int16

MICROSECOND = 1e-6
RATES = (1.0 / 48000.0, 5e-6, MICROSECOND)


def assert_same(one: Table, other: Table) -> None:
    """Both hold the same numbers, to the last bit."""
    for name in ("cycles", "blocks", "singles", "glitches"):
        a, b = getattr(one, name), getattr(other, name)
        assert a.size == b.size, name
        for column in a.dtype.names:
            np.testing.assert_array_equal(a[column], b[column], err_msg=f"{name}: {column}")


def joined(tables: list[Table]) -> Table:
    """The tables of neighbouring stretches as one."""
    return Table(
        **{
            name: np.concatenate([getattr(table, name) for table in tables])
            for name in ("cycles", "blocks", "singles", "glitches")
        }
    )


@FEW
@given(st.sampled_from(RATES), st.sampled_from(["int16", "float64"]), st.data())
def test_a_stretch_depends_on_nothing_beyond_its_reach(interval: float, stored: str, data: st.DataObject) -> None:
    """Cut anywhere, each piece read with what lies in its reach alone, the tables join to that of the whole."""
    voltage = data.draw(captures(interval, missing=stored == "float64"))
    raw = to_int16(voltage) if stored == "int16" else voltage / GAIN
    plan = plan_for(raw.size, interval, stored=stored)
    counts = as_counts(raw, GAIN, 0.0)
    step = data.draw(st.integers(20, 400)) * round(2e-5 / interval)
    bounds = [*range(0, raw.size, step), raw.size]
    tables = []
    for first, stop in pairwise(bounds):
        begin, end = max(0, first - plan.reach), min(raw.size, stop + plan.reach)
        tables.append(take_apart(counts[begin:end], begin, first, stop, plan))

    assert_same(joined(tables), take_apart(counts, 0, 0, raw.size, plan))


@FEW
@given(st.sampled_from(RATES), st.booleans(), st.data())
def test_every_sample_belongs_to_one_piece(interval: float, missing: bool, data: st.DataObject) -> None:
    """Cycles, blocks and singles cover the capture without gap or overlap."""
    voltage = data.draw(captures(interval, missing=missing))
    plan = plan_for(voltage.size, interval, stored="float64")
    table = take_apart(as_counts(voltage / GAIN, GAIN, 0.0), 0, 0, voltage.size, plan)
    first = np.concatenate((table.cycles["rise"] + 1, table.blocks["first"], table.singles["first"]))
    stop = np.concatenate((table.cycles["end"] + 1, table.blocks["stop"], table.singles["stop"]))
    order = np.argsort(first)

    assert first[order].tolist() == [0, *stop[order][:-1].tolist()]
    assert stop[order][-1] == voltage.size


@pytest.mark.independent("the decoder of whole arrays, which works in volts and floating point")
@FEW
@given(st.sampled_from(RATES), st.data())
def test_ordinary_captures_are_taken_apart_alike(interval: float, data: st.DataObject) -> None:
    """Without endless chatter, and with the band left in time, cycles, levels and blocks are those of `decode`."""
    period = data.draw(st.sampled_from([0.4e-3, 1e-3, 1.0037e-3, 4.7e-3])) / interval
    duty = data.draw(st.sampled_from([0.05, 0.1, 0.27, 0.5, 0.9]))
    high = data.draw(st.sampled_from([12.0, 9.0, 6.0]))
    place = np.arange(round(0.05 / interval))
    voltage = np.where(place % period < duty * period, high, -12.0)
    voltage[place.size // 3 : place.size // 3 + round(0.008 / interval)] = high
    voltage += np.random.default_rng(data.draw(st.integers(0, 99))).normal(0.0, 0.01, place.size)
    dip = data.draw(st.integers(0, place.size - 1))
    voltage[dip : dip + round(6e-6 / interval)] *= -1.0
    raw = to_int16(voltage)
    plan = plan_for(raw.size, interval)

    table = take_apart(raw, 0, 0, raw.size, plan)
    whole = decode(np.asarray(raw * GAIN, np.float64), scale(interval))

    cycles = whole.cycles
    assert table.cycles["rise"].tolist() == cycles.rise.index.tolist()
    assert table.cycles["fall"].tolist() == cycles.fall.index.tolist()
    assert table.cycles["end_fraction"] == pytest.approx(cycles.end.fraction, abs=1e-9)
    for side, plateaus in (("high", cycles.high), ("low", cycles.low)):
        levels = plateaus.levels
        assert table.cycles[side] == pytest.approx(levels.level, abs=1e-9)
        assert table.cycles[f"{side}_samples"].tolist() == levels.samples.tolist()
        assert table.cycles[f"{side}_drift"] == pytest.approx(plateaus.drift, abs=1e-9, nan_ok=True)
        several = levels.samples > 1
        deviation = np.sqrt(table.cycles[f"{side}_squares"][several] / (levels.samples[several] - 1))
        assert deviation == pytest.approx(levels.deviation[several], abs=1e-7)
    assert table.blocks["first"].tolist() == whole.steady.first.tolist()
    assert table.blocks["level"] == pytest.approx(whole.steady.levels.level, abs=1e-9, nan_ok=True)
    assert table.singles["first"].tolist() == whole.single_first.tolist()
    excursions = across_zero(np.asarray(raw * GAIN, np.float64), whole.glitches)
    assert table.glitches["index"].tolist() == excursions.index.tolist()
    assert table.glitches["samples"].tolist() == excursions.samples.tolist()
    assert table.glitches["peak"] * GAIN == pytest.approx(excursions.peak, abs=1e-9)


@pytest.mark.hand("each part of the signal stays just within the longest half, so that the reach is needed in full")
@pytest.mark.parametrize("share", [0.5, 0.97, 1.03])
def test_the_farthest_that_can_matter_is_within_the_reach(share: float) -> None:
    """A crossing far back, chatter, and two long halves in a row: every cut gives the rows of the whole."""
    interval = 1.0 / 48000.0
    length = round(share * 5e-3 / interval)
    half, chatter = np.ones(length), np.where(np.arange(length) % 2 == 0, 1.0, -1.0)
    part = np.concatenate((-half, 0.0 * half, chatter, half, -half, 0.0 * half, half, -chatter, -half, half))
    raw = to_int16(9.0 * np.tile(part, 2))
    plan = plan_for(raw.size, interval)
    expected = take_apart(raw, 0, 0, raw.size, plan)
    bounds = [*range(0, raw.size, 37), raw.size]
    tables = []
    for first, stop in pairwise(bounds):
        begin, end = max(0, first - plan.reach), min(raw.size, stop + plan.reach)
        tables.append(take_apart(raw[begin:end], begin, first, stop, plan))

    assert_same(joined(tables), expected)
