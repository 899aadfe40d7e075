"""A virtual conductor: strands, lay and twist of a core, and the joints at its two ends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coldpin.errors import OutsideRange
from coldpin.simulator.wire import COPPER, WIRES, Wire, wire

STRANDS = {0.5: 16, 0.75: 24, 1.0: 32, 1.5: 30, 2.5: 50, 4.0: 56, 6.0: 84, 10.0: 80, 16.0: 128}
"""Strands of a flexible core by nominal size [mm²], as price lists of flexible cable count them."""

USUAL_STRAND = 0.25e-3
"""Diameter of a strand where the size is not in the list. [m]"""

LAY = 1.02
"""Length of a strand for one of core. [1] Bunched strand is said to take up 1 % to 4 %."""

TWIST = 1.015
"""Length of a core for one of cable. [1] Three or five cores laid up at ten to sixteen times their circle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualConductor:
    """One core of a cable.

    ``strand_diameter`` [m]. ``lay``: length of strand in one of core, ``twist``: length of core in one of cable [1].
    """

    wire: Wire = WIRES["copper"]
    strands: int = 50
    strand_diameter: float = USUAL_STRAND
    lay: float = LAY
    twist: float = TWIST

    def __post_init__(self) -> None:
        if self.strands < 1 or not self.strand_diameter > 0.0:
            raise OutsideRange(
                f"virtual conductor: {self.strands} strands of {self.strand_diameter:g} m; give at least one strand"
            )
        if self.lay < 1.0 or self.twist < 1.0:
            raise OutsideRange("virtual conductor: lay and twist are 1 or more, as nothing is shorter than straight")

    @property
    def area(self) -> float:
        """Metal in a cut square to the strands. [m²]"""
        return self.strands * math.pi / 4.0 * self.strand_diameter**2

    def resistance(self, *, temperature: float = 20.0) -> float:
        """Return the resistance of one metre of cable.

        Parameters
        ----------
        temperature : float
            Of the metal. [°C]

        Returns
        -------
        float
            Resistance. [Ω/m]

        Examples
        --------
        >>> round(1e3 * VirtualConductor().resistance(), 2)
        7.27
        """
        strand = self.wire.conductance(self.strand_diameter, temperature=temperature)
        return self.lay * self.twist / (self.strands * strand)

    @property
    def copper_area(self) -> float:
        """Area of straight annealed copper that would conduct as well at 20 °C. [m²]"""
        return COPPER.resistivity / self.resistance()

    @property
    def mass(self) -> float:
        """Mass of one metre of stripped core, along the core. [kg/m]"""
        return self.lay * self.strands * self.wire.mass(self.strand_diameter)

    @property
    def heat_capacity(self) -> float:
        """Heat that warms the metal in one metre of cable by one kelvin. [J/(m·K)]"""
        return self.lay * self.twist * self.strands * self.wire.heat_capacity(self.strand_diameter)

    @property
    def heat_conductance(self) -> float:
        """Heat that one metre of cable conducts along this core. [W·m/K]"""
        return self.strands * self.wire.heat_conductance(self.strand_diameter) / (self.lay * self.twist)


def conductor_of(metal: str, area_mm2: float, *, nominal_mm2: float | None = None) -> VirtualConductor:
    """Return a conductor of a metal with a true area.

    Parameters
    ----------
    metal : str
        A key of :data:`coldpin.simulator.wire.WIRES`.
    area_mm2 : float
        Area of its metal, square to the strands. [mm²]
    nominal_mm2 : float, optional
        Size it is sold as: so many strands does it have; ``area_mm2`` if left out. [mm²]

    Returns
    -------
    VirtualConductor
        The conductor, its strands as thin as the area asks.

    Raises
    ------
    UnknownName
        There is no such metal.
    OutsideRange
        The area is not above zero.

    Examples
    --------
    >>> thin = conductor_of("copper", 1.9, nominal_mm2=2.5)
    >>> thin.strands, round(1e6 * thin.area, 3)
    (50, 1.9)
    """
    if not area_mm2 > 0.0:
        raise OutsideRange(f"virtual conductor: {area_mm2:g} mm² of metal; give an area above zero")
    usual = math.pi / 4.0 * (1e3 * USUAL_STRAND) ** 2
    sold = area_mm2 if nominal_mm2 is None else nominal_mm2
    strands = STRANDS.get(sold, max(1, round(sold / usual)))
    return VirtualConductor(
        wire=wire(metal), strands=strands, strand_diameter=1e-3 * math.sqrt(4.0 * area_mm2 / (math.pi * strands))
    )


PURITY = (0.985, 1.01)
"""By what the resistivity of a melt differs from the nominal. [1] Good copper wire reaches 101.5 % conductivity."""

SKINS = (0.87, 1.13)
"""By what the skin of clad or tinned wire differs from the nominal. [1]"""

LAYS, TWISTS = (1.005, 1.04), (1.005, 1.03)
"""How lay and twist differ between makers. [1]"""


def draw_conductor(
    metal: str, area_mm2: float, rng: np.random.Generator, *, nominal_mm2: float | None = None
) -> VirtualConductor:
    """Return a conductor as a maker might make it, with the tolerances of melt, skin, lay and twist.

    Parameters
    ----------
    metal : str
        A key of :data:`coldpin.simulator.wire.WIRES`.
    area_mm2 : float
        Area of its metal, square to the strands; exactly this. [mm²]
    rng : numpy.random.Generator
        Where the tolerances come from.
    nominal_mm2 : float, optional
        Size it is sold as. [mm²]

    Returns
    -------
    VirtualConductor
        The conductor.

    Raises
    ------
    UnknownName
        There is no such metal.
    OutsideRange
        The area is not above zero.

    Examples
    --------
    >>> drawn = draw_conductor("clad_15", 5.8, np.random.default_rng(4), nominal_mm2=6.0)
    >>> drawn.wire.name, round(1e6 * drawn.area, 3), 1.0 < drawn.lay < 1.05
    ('clad_15', 5.8, True)
    """
    plain = conductor_of(metal, area_mm2, nominal_mm2=nominal_mm2)
    purity, skin = rng.uniform(*PURITY), rng.uniform(*SKINS)
    return VirtualConductor(
        wire=plain.wire.purer(float(purity), skin=float(skin)),
        strands=plain.strands,
        strand_diameter=plain.strand_diameter,
        lay=float(rng.uniform(*LAYS)),
        twist=float(rng.uniform(*TWISTS)),
    )


GOOD_JOINT = 0.3e-3
"""Crimp or screw with the pin it holds, sound. [Ω]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualPath:
    """One core from pin to pin: the joint at the plug, so much cable, the joint at the connector. [Ω], [m]"""

    conductor: VirtualConductor
    length: float
    plug_joint: float = GOOD_JOINT
    connector_joint: float = GOOD_JOINT

    def __post_init__(self) -> None:
        if not self.length > 0.0:
            raise OutsideRange(f"virtual path: {self.length:g} m of cable; give a length above zero")

    def inside(self, *, temperature: float = 20.0) -> float:
        """Return the resistance between taps on the core itself, just inside the joints.

        Parameters
        ----------
        temperature : float
            Of the metal. [°C]

        Returns
        -------
        float
            Resistance. [Ω]
        """
        return self.length * self.conductor.resistance(temperature=temperature)

    def at_pins(self, *, temperature: float = 20.0) -> float:
        """Return the resistance from pin to pin.

        Parameters
        ----------
        temperature : float
            Of the metal. [°C]

        Returns
        -------
        float
            Resistance, joints and all. [Ω]

        Examples
        --------
        >>> path = VirtualPath(conductor=VirtualConductor(), length=5.0)
        >>> round(1e3 * (path.at_pins() - path.inside()), 3)
        0.6
        """
        return self.plug_joint + self.inside(temperature=temperature) + self.connector_joint
