"""The virtual vehicle, or the box of resistors that stands for it on the bench."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from coldpin.errors import OutsideRange
from coldpin.simulator import nominal
from coldpin.simulator.load import VehicleDiode, read_load


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualVehicle:
    """Resistors, diode and filter capacitor of the vehicle side.

    Resistances are in ohm, ``capacitance`` [F] sits from pilot to earth before the diode. ``diode_saturation`` [A] and
    ``diode_emission`` [1] are those of an ideal junction in series with the resistors.
    """

    r2: float = nominal.R2
    r3_c: float = nominal.R3_C
    r3_d: float = nominal.R3_D
    short: float = nominal.PILOT_SHORT
    capacitance: float = nominal.VEHICLE_CAPACITANCE
    diode: VehicleDiode = "present"
    diode_saturation: float = nominal.DIODE_SATURATION
    diode_emission: float = nominal.DIODE_EMISSION

    def __post_init__(self) -> None:
        for name in ("r2", "r3_c", "r3_d", "short", "diode_saturation", "diode_emission"):
            if not getattr(self, name) > 0.0:
                raise OutsideRange(f"virtual vehicle: {name} is {getattr(self, name):g}; it must be above zero")
        if self.capacitance < 0.0:
            raise OutsideRange(f"virtual vehicle: capacitance is {self.capacitance:g} F; it cannot be negative")

    def resistance(self, load: str) -> float:
        """Return the resistance behind the diode for a load.

        Parameters
        ----------
        load : str
            A step of a schedule, such as "C" or "B 1870".

        Returns
        -------
        float
            The resistance; infinite where nothing reaches the vehicle side. [Ω]

        Raises
        ------
        UnknownName
            The load is not known.
        OutsideRange
            A resistance in it is not above zero.

        Examples
        --------
        >>> round(VirtualVehicle().resistance("C"), 1), VirtualVehicle().resistance("B 1870")
        (881.7, 1870.0)
        """
        step = read_load(load)
        diode = step.diode or self.diode
        if step.letter == "A" or diode == "open":
            return math.inf
        r2 = step.r2 or self.r2
        match step.letter:
            case "C":
                beside = step.resistance or self.r3_c
            case "D":
                beside = step.resistance or self.r3_d
            case "B":
                return step.resistance or r2
            case _:
                if not step.behind_diode:
                    return r2
                beside = step.resistance or self.short
        return 1.0 / (1.0 / r2 + 1.0 / beside)


def draw_vehicle(
    rng: np.random.Generator, *, vehicle: VirtualVehicle | None = None, resistance_tolerance: float = 0.01
) -> VirtualVehicle:
    """Return a vehicle whose resistors are drawn within their tolerance.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where the draws come from.
    vehicle : VirtualVehicle, optional
        The nominal one.
    resistance_tolerance : float
        Half-width of the rectangular distribution, relative. [1]

    Returns
    -------
    VirtualVehicle
        The same vehicle with other resistors.

    Examples
    --------
    >>> drawn = draw_vehicle(np.random.default_rng(1))
    >>> 2712.6 < drawn.r2 < 2767.4
    True
    """
    given = vehicle or VirtualVehicle()
    factors = 1.0 + resistance_tolerance * rng.uniform(-1.0, 1.0, 3)
    return replace(
        given,
        r2=given.r2 * float(factors[0]),
        r3_c=given.r3_c * float(factors[1]),
        r3_d=given.r3_d * float(factors[2]),
    )
