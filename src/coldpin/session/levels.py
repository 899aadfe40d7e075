"""Levels of a charge: where the draw keeps to a value, found on stretches and trimmed on the rows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldpin.session.compression import Stretches

LASTING = 10.0
"""Ours: a level is held at least so long; a car that goes from one current to another passes each value sooner. [s]"""

FEWEST_ROWS = 3
"""Ours: a level rests on at least so many rows, however far apart they are. [1]"""

DRIFT_SHARE = 0.15
"""Ours: a stretch whose outer thirds differ by so much of its width, and by more than noise explains, may be on its
way: what drifts evenly shows two thirds of the part of the width that noise leaves, what wanders about a value next to
nothing. [1]"""

DRIFT_DEVIATIONS = 4.0
"""Ours: more than noise explains is a difference of the thirds of so many of its standard deviations. [1]"""

SLOWEST = 1800.0
"""Ours: what would take longer than this to leave its width is a level that drifts, not a ramp: a car that tapers at
the end of a charge is faster. [s]"""

OUTER_THIRDS = 1.5
"""The middles of the outer thirds lie two thirds of a stretch apart; over all of it an even drift is so many times what
these differ by. [1]"""

STRAY_ROWS = 2
"""Ours: so few rows off a level that is the same before and after are strays of the meter or a flicker. [1]"""

STRAY_WIDTHS = 2.0
"""Ours: rows within so many widths of a level belong to it, if it is the same before and after. [1]"""

EDGE_DEVIATIONS = 4.0
"""Ours: a row farther from the mean of a level's inner rows than so many of their standard deviations is not of the
level; among a thousand rows that hold to it, one is taken wrongly at most. [1]"""

EDGE_STEPS = 1.5
"""Ours: nor is one farther by so many steps of the meter. [1]"""

EDGE_SHARE = 0.05
"""Ours: a row within this part of the width is of the level, where the log is finer than anything a car does. [1]"""

MONOTONE = 1.5
"""Ours: a change whose way is no longer than so many times the distance it makes good is a ramp; a draw that goes to
and fro settles at no level. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A part of a log that keeps to one value: rows ``first`` to ``last``, both included.

    ``mean`` and ``width`` are in the unit of the values: the mean of its rows, and what they were allowed to span.
    ``kind`` is "off", "lost" or "draw".
    """

    kind: str
    first: int
    last: int
    mean: float
    width: float

    @property
    def rows(self) -> int:
        """The number of rows."""
        return self.last - self.first + 1


def levels_of_draw(stretches: Stretches, begin: int, end: int, *, noise: float) -> list[Level]:
    """Return the levels among the stretches of one uninterrupted draw.

    Parameters
    ----------
    stretches : Stretches
        A log, compressed.
    begin, end : int
        The stretches of the draw, the last not included.
    noise : float
        Standard deviation of the meter's noise, in the unit of the values.

    Returns
    -------
    list of Level
        In order; neighbours at one value are one level, with what strays between them.
    """
    found: list[Level] = []
    for place in begin + np.flatnonzero(_are_levels(stretches, slice(begin, end), noise)):
        level = Level(
            kind="draw",
            first=int(stretches.first[place]),
            last=int(stretches.last[place]),
            mean=float(stretches.mean[place]),
            width=float(stretches.width[place]),
        )
        if found and _is_same(found[-1], level, stretches):
            before = found[-1]
            weighted = before.mean * before.rows + level.mean * level.rows
            found[-1] = replace(before, last=level.last, mean=weighted / (before.rows + level.rows))
        else:
            found.append(level)
    return found


def _are_levels(stretches: Stretches, within: slice, noise: float) -> NDArray[np.bool_]:
    """Say which stretches last, and neither begin nor end elsewhere than they are.

    A ramp that is cut off, as a taper is when a car switches off, leaves a last stretch with too few rows to show a
    drift. Where the stretch before it was on its way, it is a level only if it outlasts that one.
    """
    rows = stretches.last[within] - stretches.first[within] + 1
    lasted = stretches.end_s[within] - stretches.begin_s[within]
    moved, width = np.abs(stretches.drift[within]), stretches.width[within]
    explained = DRIFT_DEVIATIONS * noise * np.sqrt(2.0 / np.maximum(rows // 3, 1))
    still = (moved < DRIFT_SHARE * width) | (moved <= explained)
    slow = lasted * width >= SLOWEST * OUTER_THIRDS * moved
    lasts = (rows >= FEWEST_ROWS) & (lasted >= LASTING)
    crossed = np.diff(stretches.begin_s[within])
    outlasts = np.ones(rows.size, np.bool_)
    outlasts[1:] = (still | slow)[:-1] | (lasted[1:] >= crossed)
    return np.asarray(lasts & (still | slow) & outlasts, np.bool_)


def _is_same(before: Level, after: Level, stretches: Stretches) -> bool:
    """Whether two levels are one: at one value, and what lies between does not leave it for more than strays do."""
    if abs(after.mean - before.mean) >= min(before.width, after.width):
        return False
    between = after.first - before.last - 1
    if between <= STRAY_ROWS:
        return True
    first = int(np.searchsorted(stretches.first, before.last + 1))
    last = int(np.searchsorted(stretches.first, after.first))
    reach = STRAY_WIDTHS * before.width
    low, high = np.min(stretches.low[first:last]), np.max(stretches.high[first:last])
    return bool(low >= before.mean - reach and high <= before.mean + reach)


def trimmed(level: Level, values: NDArray[np.float64], step: float, *, head: bool = True, tail: bool = True) -> Level:
    """Return a level without the rows at its ends that lie off it: the way there, and the way on.

    Parameters
    ----------
    level : Level
        As found on stretches, whose width lets in the end of one ramp and the beginning of the next.
    values : NDArray[np.float64]
        Array of shape (n,), the rows of the log.
    step : float
        One step of the values as written, in their unit.
    head, tail : bool
        Whether its beginning and its end are looked at.

    Returns
    -------
    Level
        At least its middle half; its mean is that of the rows left.
    """
    if not (head or tail):
        return replace(level, mean=float(np.mean(values[level.first : level.last + 1])))
    quarter = level.rows // 4
    inner = values[level.first + quarter : level.last + 1 - quarter]
    centre = float(np.mean(inner))
    reach = max(EDGE_DEVIATIONS * float(np.std(inner)), EDGE_STEPS * step, EDGE_SHARE * level.width)
    first, last = level.first, level.last
    while head and first < level.first + quarter and abs(values[first] - centre) > reach:
        first += 1
    while tail and last > level.last - quarter and abs(values[last] - centre) > reach:
        last -= 1
    return replace(level, first=first, last=last, mean=float(np.mean(values[first : last + 1])))


def is_ramp(path: list[float]) -> bool:
    """Say whether a change goes one way.

    Parameters
    ----------
    path : list of float
        Values passed, in order, in one unit.

    Returns
    -------
    bool
        Whether what it goes to and fro is little beside the distance between its ends; a single value goes nowhere.

    Examples
    --------
    >>> is_ramp([0.0, 4.0, 9.0, 16.0]), is_ramp([0.0, 16.0, 2.0, 1.0])
    (True, False)
    """
    way = sum(abs(b - a) for a, b in pairwise(path))
    return 0.0 < way <= MONOTONE * abs(path[-1] - path[0])
