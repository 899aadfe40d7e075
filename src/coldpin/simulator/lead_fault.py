"""Faults to build into a virtual lead, one record each, so that tests and tables can go through them all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.car import CARS, VirtualCar
from coldpin.simulator.conductor import VirtualConductor, draw_conductor
from coldpin.simulator.lead import VirtualLead
from coldpin.simulator.wire import wire

NOMINAL = 2.5
"""Size of the leads that are drawn. [mm²]"""

CODED = 680.0
"""What codes 20 A, as leads of that size are made. [Ω]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadSpecimen:
    """A lead with what is marked on it and how it behaves.

    ``cable_print`` is on its sheath. ``coding`` is from proximity pin to earth [Ω]. ``standby`` is what the unit draws
    idle [W], [var]. ``car`` is what it is tried on.
    """

    lead: VirtualLead
    cable_print: str = "3G2.5 + 1X0.5 450/750 V"
    coding: float = CODED
    standby: tuple[float, float] = (0.6, -9.0)
    car: VirtualCar = field(default_factory=lambda: replace(CARS["prompt"], releases_after=4.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadFault:
    """A fault of a lead: what it is, and what it changes."""

    name: str
    meaning: str
    change: Callable[[LeadSpecimen], LeadSpecimen]


def draw_lead(rng: np.random.Generator, *, length: float = 5.0) -> LeadSpecimen:
    """Return a sound lead as an honest maker might make it.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where tolerances come from.
    length : float
        Of the cable. [m]

    Returns
    -------
    LeadSpecimen
        Copper of nearly the marked size, tinned or plain, and good joints.

    Examples
    --------
    >>> drawn = draw_lead(np.random.default_rng(2))
    >>> 6.9 < 1e3 * drawn.lead.conductor.resistance() < 7.9
    True
    """
    metal = "tinned_copper" if rng.random() < TINNED else "copper"
    line, earth = (_honest(metal, rng) for _ in range(2))
    joints = [{pole: float(rng.uniform(*GOOD)) for pole in ("L", "N", "PE")} for _ in range(2)]
    return LeadSpecimen(
        lead=VirtualLead(conductor=line, earth=earth, length=length, plug_joints=joints[0], connector_joints=joints[1]),
        coding=float(CODED * rng.uniform(0.99, 1.01)),
        standby=(float(rng.uniform(0.3, 0.8)), float(rng.uniform(-15.0, -4.0))),
    )


def _honest(metal: str, rng: np.random.Generator) -> VirtualConductor:
    """Return a core whose maker holds back no more metal than its size leaves to be held back."""
    drawn = draw_conductor(metal, NOMINAL * float(rng.uniform(*HONEST)), rng, nominal_mm2=NOMINAL)
    return replace(drawn, lay=min(drawn.lay, LONGEST_LAY), twist=min(drawn.twist, LONGEST_TWIST))


TINNED = 0.3
"""Part of the leads with tinned wires. [1]"""

GOOD = (0.2e-3, 1.0e-3)
"""Sound joints. [Ω]"""

HONEST = (0.955, 1.0)
"""Metal of an honest core, in parts of its size. [1]"""

LONGEST_LAY, LONGEST_TWIST = 1.03, 1.02
"""What an honest core keeps to. [1]"""


def of_area(conductor: VirtualConductor, part: float) -> VirtualConductor:
    """Return a conductor with a part of its metal, in wires so much thinner.

    Parameters
    ----------
    conductor : VirtualConductor
        The conductor.
    part : float
        Of its area. [1]

    Returns
    -------
    VirtualConductor
        As many wires, each thinner.

    Examples
    --------
    >>> round(of_area(VirtualConductor(), 0.5).area / VirtualConductor().area, 9)
    0.5
    """
    return replace(conductor, strand_diameter=conductor.strand_diameter * part**0.5)


def of_metal(conductor: VirtualConductor, metal: str) -> VirtualConductor:
    """Return a conductor with wires of another metal.

    Parameters
    ----------
    conductor : VirtualConductor
        The conductor.
    metal : str
        Its name.

    Returns
    -------
    VirtualConductor
        The same wires otherwise.

    Raises
    ------
    UnknownName
        There is no such metal.
    """
    return replace(conductor, wire=wire(metal))


def _lead(**changes: Callable[[VirtualLead], object]) -> Callable[[LeadSpecimen], LeadSpecimen]:
    """Return a change of some fields of a lead, each computed from the lead as it was."""

    def change(specimen: LeadSpecimen) -> LeadSpecimen:
        made: dict[str, Any] = {name: of(specimen.lead) for name, of in changes.items()}
        return replace(specimen, lead=replace(specimen.lead, **made))

    return change


_FAULTS = (
    LeadFault(
        name="thin conductor",
        meaning="line and neutral have 70 % of the metal that is printed on the sheath",
        change=_lead(conductor=lambda lead: of_area(lead.conductor, 0.7)),
    ),
    LeadFault(
        name="clad conductor",
        meaning="all wires are aluminium with a tenth of copper around it, of the printed size",
        change=_lead(
            conductor=lambda lead: of_metal(lead.conductor, "clad_10"),
            earth=lambda lead: of_metal(lead.earth, "clad_10"),
        ),
    ),
    LeadFault(
        name="aluminium conductor",
        meaning="all wires are aluminium, of the printed size",
        change=_lead(
            conductor=lambda lead: of_metal(lead.conductor, "aluminium"),
            earth=lambda lead: of_metal(lead.earth, "aluminium"),
        ),
    ),
    LeadFault(
        name="steel-cored conductor",
        meaning="all wires are steel under copper, of the printed size",
        change=_lead(
            conductor=lambda lead: of_metal(lead.conductor, "steel_cored"),
            earth=lambda lead: of_metal(lead.earth, "steel_cored"),
        ),
    ),
    LeadFault(
        name="thin earth conductor",
        meaning="the protective conductor has 40 % of the metal that is printed on the sheath",
        change=_lead(earth=lambda lead: of_area(lead.earth, 0.4)),
    ),
    LeadFault(
        name="loose joint in the plug",
        meaning="the joint of line in the plug has 20 mΩ",
        change=_lead(plug_joints=lambda lead: {**lead.plug_joints, "L": 20.0e-3}),
    ),
    LeadFault(
        name="loose joint in the connector",
        meaning="the joint of neutral in the vehicle connector has 20 mΩ",
        change=_lead(connector_joints=lambda lead: {**lead.connector_joints, "N": 20.0e-3}),
    ),
    LeadFault(
        name="coded above its size",
        meaning="a cable of 2.5 mm² is coded for 32 A",
        change=lambda specimen: replace(specimen, coding=220.0),
    ),
    LeadFault(
        name="cable below its offer",
        meaning="the cable is an honest one of 1 mm², and says so, under an offer of 16 A",
        change=lambda specimen: replace(
            specimen,
            cable_print="3G1 300/500 V",
            lead=replace(
                specimen.lead,
                conductor=of_area(specimen.lead.conductor, 0.4),
                earth=of_area(specimen.lead.earth, 0.4),
            ),
        ),
    ),
    LeadFault(
        name="hungry when idle",
        meaning="the unit draws 14 W with nothing connected",
        change=lambda specimen: replace(specimen, standby=(14.0, -20.0)),
    ),
    LeadFault(
        name="car takes more than offered",
        meaning="the car draws 6 % more than it is offered",
        change=lambda specimen: replace(specimen, car=CARS["takes more than offered"]),
    ),
    LeadFault(
        name="car deaf to a lowered offer",
        meaning="the car goes on as before when its offer is lowered",
        change=lambda specimen: replace(specimen, car=CARS["deaf to the offer"]),
    ),
    LeadFault(
        name="car lets go under load",
        meaning="unlocked, the car releases the coupler and goes on drawing",
        change=lambda specimen: replace(specimen, car=CARS["unlocks under load"]),
    ),
)

LEAD_FAULTS: Mapping[str, LeadFault] = MappingProxyType({fault.name: fault for fault in _FAULTS})
"""Every fault of leads by its name."""


def lead_fault(name: str) -> LeadFault:
    """Return a fault of leads by its name.

    Parameters
    ----------
    name : str
        A key of :data:`LEAD_FAULTS`.

    Returns
    -------
    LeadFault
        The fault.

    Raises
    ------
    UnknownName
        There is no such fault; the message lists them.

    Examples
    --------
    >>> lead_fault("coded above its size").change(draw_lead(np.random.default_rng(1))).coding
    220.0
    """
    if name not in LEAD_FAULTS:
        raise UnknownName.among("fault of a lead", name, LEAD_FAULTS)
    return LEAD_FAULTS[name]
