"""A virtual lead from pin to pin: its conductors, its joints at both ends, and the cable that they warm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from coldpin.errors import UnknownName
from coldpin.simulator.cable import VirtualCable, VirtualTerminal
from coldpin.simulator.conductor import GOOD_JOINT, VirtualConductor, VirtualPath

POLES = ("L", "N")
"""The loaded conductors of a single-phase lead; with PE they are all that is measured end to end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualLead:
    """A single-phase lead.

    ``conductor`` is that of line and neutral, ``earth`` that of PE. ``plug_joints`` and ``connector_joints`` are by
    conductor, sound ones where none is named [Ω]. ``length`` is that of the cable, with thicknesses of its layers [m].
    """

    conductor: VirtualConductor
    earth: VirtualConductor
    length: float
    plug_joints: Mapping[str, float] = field(default_factory=dict)
    connector_joints: Mapping[str, float] = field(default_factory=dict)
    insulation_thickness: float = 0.8e-3
    sheath_thickness: float = 1.4e-3

    def path(self, conductor: str, *, length: float | None = None) -> VirtualPath:
        """Return one conductor from pin to pin.

        Parameters
        ----------
        conductor : str
            L, N or PE.
        length : float, optional
            Cable between its ends, if not all of it. [m]

        Returns
        -------
        VirtualPath
            The core with both joints.

        Raises
        ------
        UnknownName
            There is no such conductor.

        Examples
        --------
        >>> copper = VirtualConductor()
        >>> lead = VirtualLead(conductor=copper, earth=copper, length=5.0, plug_joints={"N": 0.01})
        >>> round(1e3 * (lead.path("N").at_pins() - lead.path("L").at_pins()), 3)
        9.7
        """
        known = (*POLES, "PE")
        if conductor not in known:
            raise UnknownName.among("conductor of a virtual lead", conductor, known)
        return VirtualPath(
            conductor=self.earth if conductor == "PE" else self.conductor,
            length=self.length if length is None else length,
            plug_joint=self.plug_joints.get(conductor, GOOD_JOINT),
            connector_joint=self.connector_joints.get(conductor, GOOD_JOINT),
        )

    @property
    def cable(self) -> VirtualCable:
        """The cable with its terminals, line before neutral, as it warms under current."""
        ends = (self.plug_joints, self.connector_joints)
        plug, connector = (
            VirtualTerminal(joints=tuple(joints.get(pole, GOOD_JOINT) for pole in POLES)) for joints in ends
        )
        return VirtualCable(
            conductor=self.conductor,
            loaded=len(POLES),
            idle=1,
            length=self.length,
            insulation_thickness=self.insulation_thickness,
            sheath_thickness=self.sheath_thickness,
            plug=plug,
            connector=connector,
        )
