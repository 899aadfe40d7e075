"""A virtual cable between two terminals: what it is built of. How it warms is computed in `cable_heat`."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from coldpin.errors import OutsideRange
from coldpin.simulator.conductor import VirtualConductor

FILLED = 0.75
"""Part of a bunched conductor's circle that is metal. [1]"""

BUNDLES = {1: 1.0, 2: 2.0, 3: 2.155, 4: 2.414, 5: 2.701, 7: 3.0}
"""Diameter of so many equal circles laid up together, in diameters of one. [1] Geometry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stuff:
    """What is not metal: how it conducts heat [W/(m·K)] and stores it [J/(m³·K)]."""

    conductivity: float
    heat: float


INSULATION = Stuff(conductivity=0.25, heat=2.0e6)
"""Rubber-like insulation of flexible cords; data sheets of compounds say 0.2 to 0.3."""

SHEATH = Stuff(conductivity=0.21, heat=1.9e6)
"""Polyurethane or a like elastomer."""

FILLER = Stuff(conductivity=0.12, heat=0.9e6)
"""Textile, air and the valleys of the sheath between the cores: half air."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualTerminal:
    """A plug or connector at one end: for each loaded core a joint, all joints in one body.

    ``joints``: resistance of each loaded core's joint [Ω]; the last stands for the cores beyond. ``to_body``: from a
    joint to the body, ``to_socket``: from a joint through its pin into what it is put in, which stays near ambient
    [W/K]. ``joint_heat`` of one pin with its crimp, ``body_heat`` of the body [J/K]; ``surface`` of it [m²], ``size``
    the length its air film goes by [m].
    """

    joints: Sequence[float] = (0.3e-3,)
    to_body: float = 0.12
    to_socket: float = 0.05
    joint_heat: float = 6.0
    body_heat: float = 70.0
    surface: float = 9.0e-3
    size: float = 0.05
    emissivity: float = 0.9

    def joint(self, core: int) -> float:
        """Return the resistance of a core's joint.

        Parameters
        ----------
        core : int
            Number of the loaded core, from 0.

        Returns
        -------
        float
            Resistance. [Ω]

        Examples
        --------
        >>> VirtualTerminal(joints=(0.02, 0.001)).joint(2)
        0.001
        """
        return self.joints[min(core, len(self.joints) - 1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualCable:
    """A round cable: loaded cores and idle ones in a filler under a sheath, a terminal at each end.

    ``idle`` counts cores as large as the loaded ones that carry nothing: earth, and the pilot's thin ones with it.
    ``around`` is what the cable has lost of its free surface, by lying on a floor or in a coil: 1 is none [1].
    """

    conductor: VirtualConductor = field(default_factory=VirtualConductor)
    loaded: int = 2
    idle: int = 1
    length: float = 5.0
    insulation_thickness: float = 0.8e-3
    sheath_thickness: float = 1.4e-3
    insulation: Stuff = INSULATION
    filler: Stuff = FILLER
    sheath: Stuff = SHEATH
    emissivity: float = 0.9
    around: float = 1.0
    plug: VirtualTerminal = field(default_factory=VirtualTerminal)
    connector: VirtualTerminal = field(default_factory=VirtualTerminal)

    def __post_init__(self) -> None:
        if self.loaded < 1 or self.loaded + self.idle not in BUNDLES:
            known = ", ".join(str(one) for one in BUNDLES)
            raise OutsideRange(f"virtual cable: {self.loaded} loaded and {self.idle} idle cores; lay up one of {known}")
        for name in ("length", "insulation_thickness", "sheath_thickness", "around"):
            if not getattr(self, name) > 0.0:
                raise OutsideRange(f"virtual cable: {name} is {getattr(self, name):g}; it must be above zero")

    @property
    def conductor_radius(self) -> float:
        """Of the circle in which the strands lie. [m]"""
        return math.sqrt(self.conductor.area / (math.pi * FILLED))

    @property
    def core_radius(self) -> float:
        """Over the insulation. [m]"""
        return self.conductor_radius + self.insulation_thickness

    @property
    def bundle_radius(self) -> float:
        """Over all cores laid up. [m]"""
        return BUNDLES[self.loaded + self.idle] * self.core_radius

    @property
    def radius(self) -> float:
        """Over the sheath. [m]"""
        return self.bundle_radius + self.sheath_thickness

    @property
    def bundle_heat(self) -> float:
        """Heat stored between the loaded cores and the sheath, in one metre, for one kelvin. [J/(m·K)]"""
        core = math.pi * self.core_radius**2
        rest = math.pi * self.bundle_radius**2 - (self.loaded + self.idle) * core
        idle = self.conductor.heat_capacity + self.insulation.heat * (core - math.pi * self.conductor_radius**2)
        return self.filler.heat * rest + self.idle * idle
