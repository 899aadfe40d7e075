"""Current times ambient: what a lead becomes, and the lines at which one of its limits is reached."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from coldpin.records.finding import Limit


class Place(StrEnum):
    """Where a limit holds: the metal under its insulation, the sheath that a hand meets, a plug or coupler."""

    METAL = "metal"
    SHEATH = "sheath"
    ACCESSORY = "accessory"


@dataclass(frozen=True, slots=True, kw_only=True)
class StopValue:
    """One limit of a heating test, and the reading at which the test is to be stopped for it.

    ``temperature`` is the limit as a temperature in the air of the test; of a rise that is the air's plus the rise
    [°C]. ``reading`` is that less the thermometer's U and, of the metal, less what it is warmer than the place read
    [°C].
    """

    place: Place
    limit: Limit
    temperature: float
    reading: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StopValues:
    """All limits of a heating test, lowest reading first."""

    values: tuple[StopValue, ...]

    @property
    def lowest(self) -> StopValue:
        """The first that is reached."""
        return self.values[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class StopLine:
    """Where a limit is reached, over the ambients of a map.

    ``low``, ``middle``, ``high``: the current at each ambient with film, layers, diameter and resistance at their warm
    ends, in the middle and at their cool ends [A]; None where it lies beyond the map, 0 where the air alone reaches it.
    """

    place: Place
    limit: Limit
    low: tuple[float | None, ...]
    middle: tuple[float | None, ...]
    high: tuple[float | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestedPoint:
    """A test on the map: current [A], ambient [°C], what the sheath reached in the end [°C]."""

    __test__ = False

    current: float
    ambient: float
    sheath: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurrentMap:
    """Temperatures of a lead over current and ambient.

    ``current``: array of shape (n,). [A] ``ambient``: array of shape (m,). [°C] ``metal``, ``sheath`` (which is what a
    hand meets) and ``metal_high`` (with all at its warm end): arrays of shape (m, n), infinite
    beyond the hottest sheath asked for. [°C] ``margin``: array of shape (m, n), how far the nearest limit of metal and
    sheath is off with everything at its warm end. [K] ``offered`` and ``rated`` current [A], None where not known;
    ``max_ambient`` the hottest air it is meant for. [°C] ``cable`` says in words what was assumed.
    """

    arrangement: str
    cable: str
    current: NDArray[np.float64]
    ambient: NDArray[np.float64]
    metal: NDArray[np.float64]
    metal_high: NDArray[np.float64]
    sheath: NDArray[np.float64]
    margin: NDArray[np.float64]
    lines: tuple[StopLine, ...]
    offered: float | None = None
    rated: float | None = None
    max_ambient: float | None = None
    tested: tuple[TestedPoint, ...] = ()
    factor: tuple[float, float, float] = (1.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentChart:
    """What the figure of a map shows, thinned, as a report keeps it.

    ``metal``: one row for each ambient, one number for each current; what would be above the hottest sheath asked for
    is told as that [°C]. ``entries`` are those it rests on. The rest as in :class:`CurrentMap`.
    """

    arrangement: str
    cable: str
    current: tuple[float, ...]
    ambient: tuple[float, ...]
    metal: tuple[tuple[float, ...], ...]
    lines: tuple[StopLine, ...]
    offered: float | None = None
    rated: float | None = None
    max_ambient: float | None = None
    tested: tuple[TestedPoint, ...] = ()
    entries: tuple[str, ...] = ()
