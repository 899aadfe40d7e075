"""What a fault of a virtual specimen is, and the schedules under which faults show."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from coldpin.simulator.load import Schedule
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle

STEPS: Schedule = ((0.1, "A"), (0.2, "B"), (0.4, "C"), (0.4, "B"), (0.2, "C"), (0.4, "A"))
"""Connected, asking, no longer asking, asking again, unplugged while live."""

SHORTED: Schedule = ((0.1, "A"), (0.2, "B, diode shorted"), (0.4, "C, diode shorted"), (0.2, "A"))
VENTILATED: Schedule = ((0.1, "A"), (0.2, "B"), (0.4, "D"), (0.2, "A"))
DIODE_LOST: Schedule = ((0.2, "B"), (0.4, "C"), (0.8, "C, diode shorted"), (0.3, "B"))
EARTH_LOST: Schedule = ((0.2, "B"), (0.4, "C"), (0.4, "C, PE open"))
PILOT_SHORTED: Schedule = ((0.2, "B"), (0.4, "C"), (4.0, "E"))
WITHDRAWN: Schedule = ((0.2, "B"), (0.4, "C"), (0.5, "C, offer withdrawn"), (0.3, "B, offer withdrawn"))
NEVER_OFFERED: Schedule = ((0.2, "A, offer withdrawn"), (0.2, "B, offer withdrawn"), (0.4, "C, offer withdrawn"))
INTERRUPTED: Schedule = ((0.3, "A"), (0.4, "A, supply off"), (1.0, "A"))
INTERRUPTED_LIVE: Schedule = ((0.2, "B"), (0.3, "C"), (0.2, "C, supply off"), (0.2, "A, supply off"), (1.0, "A"))
NO_EARTH_UPSTREAM: Schedule = (
    (0.3, "A, supply earth open"),
    (0.3, "B, supply earth open"),
    (0.4, "C, supply earth open"),
)
OFFER_STEPS: Schedule = ((0.5, "B"), (0.5, "B, duty 16.7"), (0.5, "B, duty 20"))


def boundary(load: str) -> Schedule:
    """Return the steps that ask how a unit takes one resistance.

    Parameters
    ----------
    load : str
        The load at a boundary, such as "B 1870".

    Returns
    -------
    sequence of (float, str)
        Nothing, then connected if the load asks for power, then the load, then nothing.

    Examples
    --------
    >>> boundary("C 909")
    ((0.1, 'A'), (0.2, 'B'), (0.5, 'C 909'), (0.2, 'A'))
    """
    before: Schedule = ((0.1, "A"),) if load.startswith("B") else ((0.1, "A"), (0.2, "B"))
    return (*before, (0.5, load), (0.2, "A"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A fault: what it is, and what it changes in unit or vehicle.

    ``shown_by`` is a schedule under which it can be seen; ``shows_on_pilot`` and ``shows_on_output`` say whether the
    pilot, and the output beside it, then differ from those of a sound specimen at all.
    """

    name: str
    meaning: str
    shows_on_pilot: bool
    shows_on_output: bool
    shown_by: Schedule = STEPS
    unit: Callable[[VirtualUnit], VirtualUnit] = lambda unit: unit
    vehicle: Callable[[VirtualVehicle], VirtualVehicle] = lambda vehicle: vehicle

    def applied(self, unit: VirtualUnit, vehicle: VirtualVehicle) -> tuple[VirtualUnit, VirtualVehicle]:
        """Return unit and vehicle with the fault.

        Parameters
        ----------
        unit : VirtualUnit
            The unit without it.
        vehicle : VirtualVehicle
            The vehicle or its stand-in without it.

        Returns
        -------
        tuple of VirtualUnit and VirtualVehicle
            Both with it; the one it does not concern is as given.
        """
        return self.unit(unit), self.vehicle(vehicle)


def with_controller(unit: VirtualUnit, **changes: Any) -> VirtualUnit:
    """Return a unit whose controller does something else.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    **changes : Any
        Fields of the controller.

    Returns
    -------
    VirtualUnit
        The same unit otherwise.
    """
    return replace(unit, controller=replace(unit.controller, **changes))


def with_windows(unit: VirtualUnit, **changes: float) -> VirtualUnit:
    """Return a unit with other thresholds.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    **changes : float
        Fields of its windows, parts of its rail. [1]

    Returns
    -------
    VirtualUnit
        The same unit otherwise.
    """
    return with_controller(unit, windows=replace(unit.controller.windows, **changes))


def with_relay(unit: VirtualUnit, **changes: Any) -> VirtualUnit:
    """Return a unit with another relay.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    **changes : Any
        Fields of the relay.

    Returns
    -------
    VirtualUnit
        The same unit otherwise.
    """
    return replace(unit, relay=replace(unit.relay, **changes))
