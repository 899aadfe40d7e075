"""Wires of virtual conductors: each metal with its constants, and strands of two metals computed from both."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from coldpin.errors import OutsideRange, UnknownName


@dataclass(frozen=True, slots=True, kw_only=True)
class Metal:
    """A pure metal: resistivity at 20 °C [Ω·m], its rise with temperature [1/K], density [kg/m³], heat [J/(kg·K)].

    ``conductivity`` is that for heat [W/(m·K)].
    """

    resistivity: float
    rise: float
    density: float
    heat: float
    conductivity: float


COPPER = Metal(resistivity=1.7241e-8, rise=3.93e-3, density=8890.0, heat=385.0, conductivity=390.0)
"""Annealed copper. The value by which conductivity has been told for a century."""

ALUMINIUM = Metal(resistivity=2.80e-8, rise=4.05e-3, density=2703.0, heat=897.0, conductivity=235.0)
"""Soft aluminium of electrical grade, as in handbooks of wire; hard-drawn wire is 1 % higher."""

TIN = Metal(resistivity=1.15e-7, rise=4.5e-3, density=7290.0, heat=227.0, conductivity=66.0)
"""Handbook value."""

STEEL = Metal(resistivity=1.6e-7, rise=5.0e-3, density=7850.0, heat=470.0, conductivity=52.0)
"""Low-carbon steel: handbooks say 1.4e-7 to 1.8e-7."""

CLAD_10, CLAD_15 = 0.10, 0.15
"""Part of the cross-section that is copper, in the two usual kinds of copper-clad aluminium. [1]"""

STEEL_SKIN = 0.22
"""The same on a steel core: what gives some 30 % of copper's conductivity. [1]"""

TIN_COAT = 1.0e-6
"""Thickness of the tin on a strand. [m] Makers of tinned strand say half a micrometre to a few."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """What a strand is made of: a core and, where ``skin`` is a metal, a skin around it.

    ``skin_part`` is the part of the cross-section that is skin [1]; where ``skin_thickness`` is above zero it decides
    instead, whatever the strand's diameter [m]. ``magnetic``: a magnet pulls it. ``cut``: how a fresh cut looks.
    """

    name: str
    core: Metal
    skin: Metal | None = None
    skin_part: float = 0.0
    skin_thickness: float = 0.0
    magnetic: bool = False
    cut: str = "red throughout"

    def skin_part_at(self, diameter: float) -> float:
        """Return the part of the cross-section that is skin.

        Parameters
        ----------
        diameter : float
            Of the whole strand. [m]

        Returns
        -------
        float
            Zero where there is no skin. [1]

        Raises
        ------
        OutsideRange
            The skin is thicker than the strand.

        Examples
        --------
        >>> round(WIRES["tinned_copper"].skin_part_at(0.25e-3), 4)
        0.0159
        """
        if self.skin is None:
            return 0.0
        if self.skin_thickness <= 0.0:
            return self.skin_part
        inner = diameter - 2.0 * self.skin_thickness
        if inner <= 0.0:
            raise OutsideRange(f"virtual wire {self.name}: a strand of {diameter:g} m is all skin; take a thicker one")
        return 1.0 - (inner / diameter) ** 2

    def conductance(self, diameter: float, *, temperature: float = 20.0) -> float:
        """Return what one metre of strand conducts: core and skin side by side.

        Parameters
        ----------
        diameter : float
            Of the whole strand. [m]
        temperature : float
            Of the metal. [°C]

        Returns
        -------
        float
            Conductance of one metre. [S·m]

        Examples
        --------
        >>> copper = WIRES["copper"].conductance(1.0e-3)
        >>> round(WIRES["clad_10"].conductance(1.0e-3) / copper, 3)
        0.654
        """
        area = math.pi / 4.0 * diameter**2
        part = self.skin_part_at(diameter)
        conducted = area * (1.0 - part) / _resistivity(self.core, temperature)
        return conducted if self.skin is None else conducted + area * part / _resistivity(self.skin, temperature)

    def mass(self, diameter: float) -> float:
        """Return what one metre of strand weighs.

        Parameters
        ----------
        diameter : float
            Of the whole strand. [m]

        Returns
        -------
        float
            Mass. [kg/m]

        Examples
        --------
        >>> round(1e3 * WIRES["copper"].mass(1.0e-3), 3)
        6.982
        """
        area = math.pi / 4.0 * diameter**2
        part = self.skin_part_at(diameter)
        return area * ((1.0 - part) * self.core.density + (part * self.skin.density if self.skin else 0.0))

    def heat_capacity(self, diameter: float) -> float:
        """Return the heat that warms one metre of strand by one kelvin.

        Parameters
        ----------
        diameter : float
            Of the whole strand. [m]

        Returns
        -------
        float
            Heat capacity. [J/(m·K)]

        Examples
        --------
        >>> round(WIRES["copper"].heat_capacity(1.0e-3), 2)
        2.69
        """
        area = math.pi / 4.0 * diameter**2
        part = self.skin_part_at(diameter)
        skin = self.skin.density * self.skin.heat * part if self.skin else 0.0
        return area * ((1.0 - part) * self.core.density * self.core.heat + skin)

    def heat_conductance(self, diameter: float) -> float:
        """Return what heat one metre of strand conducts along itself.

        Parameters
        ----------
        diameter : float
            Of the whole strand. [m]

        Returns
        -------
        float
            Heat conductance of one metre. [W·m/K]

        Examples
        --------
        >>> round(1e3 * WIRES["copper"].heat_conductance(1.0e-3), 3)
        0.306
        """
        area = math.pi / 4.0 * diameter**2
        part = self.skin_part_at(diameter)
        return area * ((1.0 - part) * self.core.conductivity + (part * self.skin.conductivity if self.skin else 0.0))

    def purer(self, factor: float, *, skin: float = 1.0) -> Wire:
        """Return the same wire from another melt.

        Parameters
        ----------
        factor : float
            By what the resistivity of the core, and of a copper skin, is multiplied. [1]
        skin : float
            By what the skin is multiplied, in part and in thickness. [1]

        Returns
        -------
        Wire
            The wire.
        """
        return replace(
            self,
            core=replace(self.core, resistivity=self.core.resistivity * factor),
            skin=None if self.skin is None else replace(self.skin, resistivity=self.skin.resistivity * factor),
            skin_part=self.skin_part * skin,
            skin_thickness=self.skin_thickness * skin,
        )


def _resistivity(metal: Metal, temperature: float) -> float:
    return metal.resistivity * (1.0 + metal.rise * (temperature - 20.0))


WIRES: Mapping[str, Wire] = MappingProxyType(
    {
        wire.name: wire
        for wire in (
            Wire(name="copper", core=COPPER),
            Wire(
                name="tinned_copper",
                core=COPPER,
                skin=TIN,
                skin_thickness=TIN_COAT,
                cut="red core with white skin",
            ),
            Wire(name="clad_10", core=ALUMINIUM, skin=COPPER, skin_part=CLAD_10, cut="white core with red skin"),
            Wire(name="clad_15", core=ALUMINIUM, skin=COPPER, skin_part=CLAD_15, cut="white core with red skin"),
            Wire(name="aluminium", core=ALUMINIUM, cut="white throughout"),
            Wire(
                name="steel_cored",
                core=STEEL,
                skin=COPPER,
                skin_part=STEEL_SKIN,
                magnetic=True,
                cut="white core with red skin",
            ),
        )
    }
)
"""Every metal that a conductor may be made of, by its name."""


def wire(name: str) -> Wire:
    """Return a wire by its name.

    Parameters
    ----------
    name : str
        A key of :data:`WIRES`.

    Returns
    -------
    Wire
        The wire.

    Raises
    ------
    UnknownName
        There is no such wire; the message lists them.

    Examples
    --------
    >>> wire("steel_cored").magnetic
    True
    """
    if name not in WIRES:
        raise UnknownName.among("metal of a virtual conductor", name, WIRES)
    return WIRES[name]
