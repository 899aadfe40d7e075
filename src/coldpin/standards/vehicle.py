"""What a vehicle puts on the pilot, and which loads in its place a supply unit must still take for a state."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.finding import Limit
from coldpin.standards.book import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleParts:
    """The parts on the vehicle's side: R2 always, R3 in parallel for C or D, a diode in series with both."""

    r2: Limit
    r3_c: Limit
    r3_d: Limit
    drop: Limit

    def r3(self, state: str) -> Limit | None:
        """Return the resistor added for a state.

        Parameters
        ----------
        state : str
            "B", "C" or "D".

        Returns
        -------
        Limit or None
            None for B, where R2 stands alone.
        """
        return {"C": self.r3_c, "D": self.r3_d}.get(state)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundaryLoads:
    """The resistors with which a unit's own windows are looked at.

    ``r2`` is varied for B; ``r3_c`` and ``r3_d`` for C and D while R2 has its value at the same end. ``hysteresis`` is
    the change in per cent, ``short`` the resistor straight across the pilot for state E. [Ω]
    """

    r2: Limit
    r3_c: Limit
    r3_d: Limit
    hysteresis: Limit
    short: Limit


def vehicle_parts(book: Book) -> VehicleParts:
    """Return the parts on the vehicle's side with their tolerances; all editions agree on them.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    VehicleParts
        Resistors [Ω] and the diode's drop [V].

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> parts = vehicle_parts(load_book())
    >>> parts.r2.nominal, parts.r3("C").nominal, parts.drop.nominal
    (2740.0, 1300.0, 0.7)

    Sources
    -------
    ``pilot.vehicle.*``.
    """
    return VehicleParts(
        r2=book.limit("pilot.vehicle.r2"),
        r3_c=book.limit("pilot.vehicle.r3-C"),
        r3_d=book.limit("pilot.vehicle.r3-D"),
        drop=book.limit("pilot.vehicle.diode-drop"),
    )


def boundary_loads(book: Book) -> BoundaryLoads:
    """Return the resistors of the tests that look at a unit's own windows; known for edition 3.0 only.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    BoundaryLoads
        Resistors. [Ω]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> loads = boundary_loads(load_book())
    >>> loads.r2.minimum, loads.r3_c.maximum, loads.short.nominal
    (1870.0, 1723.0, 80.0)

    Sources
    -------
    ``pilot.recognise.*``, ``pilot.short-test``.
    """
    return BoundaryLoads(
        r2=book.limit("pilot.recognise.B"),
        r3_c=book.limit("pilot.recognise.C"),
        r3_d=book.limit("pilot.recognise.D"),
        hysteresis=book.limit("pilot.recognise.hysteresis"),
        short=book.limit("pilot.short-test"),
    )
