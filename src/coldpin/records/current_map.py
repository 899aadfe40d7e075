"""Current times ambient: what a lead becomes, and the lines at which one of its limits is reached."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit, Outcome


class Place(StrEnum):
    """Where a limit holds: the metal under its insulation, the sheath that a hand meets, a plug or coupler.

    Of a plug or coupler two things are limited: the rise over the air of what makes contact, and its body in a hand.
    """

    METAL = "metal"
    SHEATH = "sheath"
    ACCESSORY = "accessory"
    BODY = "body"


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessoryRise:
    """The rise of a plug or coupler in the end of a test, and the limit it is held against.

    ``rise`` [K] with its standard uncertainty ``rise_u`` [K], None where that is not known, at ``current`` [A] in air
    of ``ambient`` [°C]; what is not known of the current is in ``rise_u``. ``limit`` of the rise [K], or of the
    temperature that a hand bears [°C]; ``exponent`` low and high of the power by which its film follows the rise [1].
    ``part`` says which part it was.
    """

    rise: float
    current: float
    ambient: float
    limit: Limit
    exponent: tuple[float, float]
    rise_u: float | None = 0.0
    part: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MappedLead:
    """What a map was reckoned from, kept so that any other current, air and way of lying can be asked of the same lead.

    ``diameter_m`` over the sheath, ``inner_km_per_w`` is T1/n + T3, ``resistance_ohm_per_m`` of one core at 20 °C,
    ``coefficient`` α of its metal at 20 °C [1/K], ``cores`` that are loaded. ``accessory`` is the plug or coupler whose
    limit comes first, ``body`` that which is warmest in a hand; None where none was heated.
    """

    diameter_m: Quantity
    inner_km_per_w: Quantity
    resistance_ohm_per_m: Quantity
    coefficient: float
    cores: int
    metal_limit: Limit
    touch_limit: Limit
    accessory: AccessoryRise | None = None
    body: AccessoryRise | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatedPlace:
    """One place of a lead in the end, at a current in some air, beside its limit.

    ``temperature_c`` is null where it would pass 250 °C or never settle. ``rise_k`` is that over the air, which is what
    the limit of a plug or coupler is about. ``low_a``, ``middle_a``, ``high_a``: the current that brings the limit in
    this air, with everything at its warm end, in the middle, at its cool end; null beyond what is looked for, 0 where
    the air alone reaches it. [A]
    """

    place: Place
    limit: Limit
    temperature_c: Quantity | None
    rise_k: Quantity | None
    low_a: float | None
    middle_a: float | None
    high_a: float | None
    outcome: Outcome
    probability: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadHeat:
    """How warm a lead becomes in the end at a current in some air, and which of its limits binds there.

    ``arrangement`` is how it lies, ``binds`` the place whose limit is reached first as the current rises, with all at
    its warm end. ``outcome`` is the worst of all places.
    """

    current_a: float
    ambient_c: float
    arrangement: str
    places: tuple[HeatedPlace, ...]
    binds: Place
    outcome: Outcome
    statement: str


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
    is told as that [°C]. ``entries`` are those it rests on, ``lead`` is what it was reckoned from. The rest as in
    :class:`CurrentMap`.
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
    lead: MappedLead | None = None
