"""The accelerator's sums: what :mod:`coldpin.pilot.stream.sums` specifies, compiled.

Importing this module needs numba (extra ``fast``).
"""

# mypy: disable-error-code="no-untyped-def, no-untyped-call, assignment"
# numba reads types from what it is given, not from annotations
# ruff: noqa: C901 - calling a function costs more than many of these lines
from __future__ import annotations

import numpy as np

from coldpin.pilot.figures import IRREGULAR, MEDIAN_DEVIATION_TO_SIGMA, OUTLIER, SAMPLING_SPREAD, WHOLE_SHARE
from coldpin.pilot.stream.compiled import inner
from coldpin.pilot.stream.sums import (
    ALL_CLEAN,
    COARSE_BITS,
    COARSE_SHARE_BITS,
    INTERVAL,
    MIDDLE_OF,
    MOST_DEPARTURE,
    SHARE,
    STRETCH,
    VOLT,
)
from coldpin.pilot.stream.table import HIGH_SETTLED, LOW_SETTLED, STEADY

HEAD = 8
"""Whole numbers at the head of a row: first, stop, code, page, samples of cycles and blocks, blocks and steady ones."""

COLUMNS = 7
"""Columns in which the plateaus of a page are laid out: place, value, settled, lag, samples, least, most."""

SIDES = 5
"""Levels of a row: high, low, rest, its lower and its upper one."""

ROOM = MIDDLE_OF + 1
"""Places for the values a middle is taken of."""

MOST = 2.0**62
"""What sums of squares may come to."""

HIGH, LOW, REST, LOWER, UPPER = range(SIDES)
_TO_SIGMA = OUTLIER * MEDIAN_DEVIATION_TO_SIGMA
_NEAR_PERIOD = int(SAMPLING_SPREAD * INTERVAL)


@inner
def _lower_median(some, count):
    """Return the lower median of some values, by halving where it can lie: no branch depends on the values."""
    low, high = some[0], some[0]
    for i in range(count):
        low, high = min(low, some[i]), max(high, some[i])
    # a fixed length makes a few steps of many values each
    for i in range(count, ROOM):
        some[i] = high
    rank = (count - 1) // 2
    while low < high:
        half = (low + high) >> 1
        below = 0
        for i in range(ROOM):
            below += 1 if some[i] <= half else 0
        low, high = (low, half) if below > rank else (half + 1, high)
    return low


@inner
def _middle(values, size, some):
    step = -(-size // MIDDLE_OF)
    count = 0
    for i in range(0, size, step):
        some[count] = values[i]
        count += 1
    return _lower_median(some, count)


@inner
def _middle_departure(values, size, centre, some):
    step = -(-size // MIDDLE_OF)
    count = 0
    for i in range(0, size, step):
        some[count] = abs(values[i] - centre)
        count += 1
    return _lower_median(some, count)


@inner
def _to_steps(value, unit):
    return np.int64(np.floor(value * unit + 0.5))


@inner
def _level_sums(out, work, volts, size, spread, some):
    """Sum up plateaus laid out in columns; return the centre that ``squares`` and ``total`` are about."""
    place, values = work[0], work[1]
    settled, lag, samples, least, most = work[2], work[3], work[4], work[5], work[6]
    level, squares, drift = volts[0], volts[1], volts[2]
    seen, count = 0, 0
    for i in range(size):
        if np.isfinite(level[i]):
            seen += 1
            if settled[i]:
                place[count] = i
                values[count] = samples[i]
                count += 1
    out[0], out[1] = size, seen
    if count == 0:
        out[11] = seen
        for i in range(size):
            if np.isfinite(level[i]):
                out[12] += _to_steps(level[i], VOLT)
        return 0
    least_samples = WHOLE_SHARE * _middle(values, count, some)
    kept = 0
    for i in range(count):
        if values[i] >= least_samples:
            place[kept] = place[i]
            kept += 1
    for i in range(kept):
        values[i] = _to_steps(level[place[i]], VOLT)
    centre = _middle(values, kept, some)
    near = max(np.int64(_TO_SIGMA * _middle_departure(values, kept, centre, some)), spread)
    before, before_drift, told, count = 0, 0, 0, 0
    # sums are kept at hand: adding to memory again and again takes most of the time
    total, squared, steps, lowest, highest, within, freedom, left = 0, 0, 0, 0, 0, 0, 0, 0
    drifts, drifts_squared, drift_steps = 0, 0, 0
    for i in range(kept):
        departure = values[i] - centre
        if abs(departure) > near:
            continue
        departure = min(max(departure, -MOST_DEPARTURE), MOST_DEPARTURE)
        j = place[i]
        total += departure
        squared += departure * departure
        if count > 0:
            steps += (departure - before) * (departure - before)
        before = departure
        count += 1
        lowest += least[j]
        highest += most[j]
        within += _to_steps(squares[j], SHARE)
        freedom += samples[j] - 1
        left += lag[j]
        if np.isfinite(drift[j]):
            drifted = 0
            if drift[j] != 0.0:
                drifted = min(max(_to_steps(drift[j], VOLT), -MOST_DEPARTURE), MOST_DEPARTURE)
            drifts += drifted
            drifts_squared += drifted * drifted
            if told > 0:
                drift_steps += (drifted - before_drift) * (drifted - before_drift)
            before_drift = drifted
            told += 1
    out[3], out[4], out[5], out[7], out[8], out[9], out[10] = total, squared, steps, lowest, highest, within, freedom
    out[14], out[15], out[16], out[18] = drifts, drifts_squared, drift_steps, left
    out[2], out[6] = count, max(0, count - 1)
    out[13], out[17] = told, max(0, told - 1)
    return centre


@inner
def _time_sums(out, cycles, size, work, some):
    """Sum up the times of cycles; return the centre that coarse periods and stretches are about."""
    place, period, duty = work[0], work[1], work[2]
    count = 0
    for i in range(size):
        row = cycles[i]
        high = row.high if np.isfinite(row.high) else 0.0
        low = row.low if np.isfinite(row.low) else 0.0
        swing = high - low
        if (row.flags & ALL_CLEAN) != ALL_CLEAN or not swing > 0.0:
            continue
        rise = min(np.float64(row.rise_steepest) / swing, 1.0)
        fall = min(np.float64(row.fall_steepest) / swing, 1.0)
        end = min(np.float64(row.end_steepest) / swing, 1.0)
        at_rise = row.rise_fraction + rise * rise * (0.5 - row.rise_fraction)
        at_fall = row.fall_fraction + fall * fall * (0.5 - row.fall_fraction)
        at_end = row.end_fraction + end * end * (0.5 - row.end_fraction)
        time = np.float64(row.end - row.rise) + (at_end - at_rise)
        duty[count] = _to_steps((np.float64(row.fall - row.rise) + (at_fall - at_rise)) / time, SHARE)
        period[count] = _to_steps(time, INTERVAL)
        work[4, i], work[5, i] = _to_steps(rise, SHARE), _to_steps(fall, SHARE)
        place[count] = i
        count += 1
    if count == 0:
        return 0
    usual = _middle(period, count, some)
    near = max(np.int64(_TO_SIGMA * _middle_departure(period, count, usual, some)), _NEAR_PERIOD)
    usual_duty = _middle(duty, count, some)
    least = np.int64(SAMPLING_SPREAD * INTERVAL / usual * SHARE)
    near_duty = max(np.int64(_TO_SIGMA * _middle_departure(duty, count, usual_duty, some)), least)
    irregular = np.int64(IRREGULAR * usual)
    kept = 0
    out[0] = count
    for i in range(count):
        apart = abs(period[i] - usual)
        if apart > irregular:
            continue
        out[1] += 1
        if apart <= near and abs(duty[i] - usual_duty) <= near_duty:
            period[kept], duty[kept], place[kept] = period[i], duty[i], place[i]
            kept += 1
    if kept == 0:
        return 0
    centre = usual >> COARSE_BITS
    before, before_share, stretch = 0, 0, 0
    times, coarses, coarses_squared, coarse_steps = 0, 0, 0, 0
    duties, shares, shares_squared, share_steps = 0, 0, 0, 0
    rises, falls, stretches, means, means_squared = 0, 0, 0, 0, 0
    for i in range(kept):
        times += period[i]
        coarse = (period[i] >> COARSE_BITS) - centre
        share = duty[i] >> COARSE_SHARE_BITS
        coarses += coarse
        coarses_squared += coarse * coarse
        duties += duty[i]
        shares += share
        shares_squared += share * share
        if i > 0:
            coarse_steps += (coarse - before) * (coarse - before)
            share_steps += (share - before_share) * (share - before_share)
        before, before_share = coarse, share
        stretch += period[i]
        if i % STRETCH == STRETCH - 1:
            mean = ((stretch // STRETCH) >> COARSE_BITS) - centre
            stretches += 1
            means += mean
            means_squared += mean * mean
            stretch = 0
        rises += work[4, place[i]]
        falls += work[5, place[i]]
    out[3], out[4], out[5], out[6] = times, coarses, coarses_squared, coarse_steps
    out[7], out[8], out[9], out[10] = duties, shares, shares_squared, share_steps
    out[12], out[13], out[16], out[17], out[18] = rises, falls, stretches, means, means_squared
    for i in range(kept):
        period[i] = _to_steps(np.float64(abs(cycles[place[i]].rise_step)), VOLT)
        duty[i] = _to_steps(np.float64(abs(cycles[place[i]].fall_step)), VOLT)
    out[2], out[11] = kept, kept - 1
    out[14] = kept * _middle(period, kept, some)
    out[15] = kept * _middle(duty, kept, some)
    return centre


@inner
def cycle_sums(head, levels, times, centres, cycles, lags, limits, work, volts, some):
    """Sum up the cycles of one word of a page: both plateaus, and the times."""
    size = cycles.size
    settling, longest_settling, spread = limits[0], limits[1], limits[2]
    for side in range(2):
        for i in range(size):
            row = cycles[i]
            if side == HIGH:
                length = row.fall - row.rise
                work[2, i] = row.flags & HIGH_SETTLED
                work[4, i], work[5, i], work[6, i] = row.high_samples, row.high_least, row.high_most
                volts[0, i], volts[1, i], volts[2, i] = row.high, row.high_squares, row.high_drift
            else:
                length = row.end - row.fall
                work[2, i] = row.flags & LOW_SETTLED
                work[4, i], work[5, i], work[6, i] = row.low_samples, row.low_least, row.low_most
                volts[0, i], volts[1, i], volts[2, i] = row.low, row.low_squares, row.low_drift
            skip = max(settling, min(length // 2, longest_settling))
            work[3, i] = lags[min(skip, length // 2 + length // 4)]
        centres[side] = _level_sums(levels[side], work, volts, size, spread, some)
    for i in range(size):
        head[4] += cycles[i].end - cycles[i].rise
    centres[SIDES] = _time_sums(times, cycles, size, work, some)


@inner
def block_sums(head, levels, centres, blocks, spread, work, volts, some):
    """Sum up the blocks of one word of a page: their level, and the lower and the upper one of those not steady."""
    size = blocks.size
    for i in range(size):
        row = blocks[i]
        head[5] += row.stop - row.first
        head[7] += 1 if row.flags & STEADY else 0
    head[6] = size
    for side in range(REST, SIDES):
        if side != REST and head[7] == size:
            for i in range(levels.shape[1]):
                levels[side, i] = levels[REST, i]
            centres[side] = centres[REST]
            continue
        for i in range(size):
            row = blocks[i]
            work[2, i], work[3, i] = row.samples, 0
            work[4, i], work[5, i], work[6, i] = row.samples, row.least, row.most
            volts[0, i] = row.level if side == REST else (row.lower if side == LOWER else row.upper)
            volts[1, i], volts[2, i] = row.squares, 0.0
        centres[side] = _level_sums(levels[side], work, volts, size, spread, some)


@inner
def _fits(one, total, squares, count, apart):
    """Whether squares about another centre still fit."""
    moved = np.float64(apart) * np.float64(apart) * count + 2.0 * abs(np.float64(apart) * np.float64(total))
    return np.float64(one) + np.float64(squares) + moved < MOST


@inner
def merged(levels, times, centres, row):
    """Add a row to the one before where both fit into one; return whether they did."""
    before = row - 1
    for side in range(SIDES):
        one, other = levels[before, side], levels[row, side]
        apart = centres[row, side] - centres[before, side] if one[2] > 0 and other[2] > 0 else 0
        if not _fits(one[4], other[3], other[4], other[2], apart) or np.float64(one[9]) + np.float64(other[9]) > MOST:
            return False
    one, other = times[before], times[row]
    apart = centres[row, SIDES] - centres[before, SIDES] if one[2] > 0 and other[2] > 0 else 0
    if not _fits(one[5], other[4], other[5], other[2], apart) or not _fits(
        one[18], other[17], other[18], other[16], apart
    ):
        return False
    for side in range(SIDES):
        _add(levels[before, side], levels[row, side], 3, 2, centres[before], centres[row], side)
    if times[before, 2] > 0 and times[row, 2] > 0:
        apart = centres[row, SIDES] - centres[before, SIDES]
        times[row, 18] += 2 * apart * times[row, 17] + times[row, 16] * apart * apart
        times[row, 17] += times[row, 16] * apart
    _add(times[before], times[row], 4, 2, centres[before], centres[row], SIDES)
    return True


@inner
def _add(one, other, total, count, one_centre, other_centre, which):
    """Add a row of sums to another, its total and the squares behind it moved to the centre of the other."""
    if one[count] == 0:
        one_centre[which] = other_centre[which]
    elif other[count] > 0:
        apart = other_centre[which] - one_centre[which]
        other[total + 1] += 2 * apart * other[total] + other[count] * apart * apart
        other[total] += other[count] * apart
    for i in range(one.size):
        one[i] += other[i]
        other[i] = 0
