"""The finite volumes of a virtual cable: nodes with their heat capacities, and what conducts between them.

Along the cable there are slices, thin at the ends and thicker towards the middle. In each slice every loaded core has
a node for its metal, which is one with the inside of its insulation, and nodes outwards to the surface of the
insulation; then come nodes from the inside of the sheath to its surface. Each terminal adds a joint for each core and
one body. Nodes stand on the interfaces of the layers, so that layers in a steady state are exact however few the nodes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix, diags

from coldpin.errors import OutsideRange
from coldpin.simulator.air import Film, film_of, surface_loss
from coldpin.simulator.cable import Stuff, VirtualCable

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

RESISTANCE_AT = (20.0, 90.0)
"""Temperatures between which a conductor's resistance is taken as a straight line. [°C]"""

FIRST_SLICE, GROWTH, LONGEST_SLICE = 0.01, 1.25, 0.25
"""Thickness of the slice beside a terminal [m], how each next one grows [1], and where that stops [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CableMesh:
    """A cable cut into finite volumes.

    ``capacity``: array of shape (n,) [J/K]. ``conduction``: matrix of shape (n, n) that gives the heat flowing into
    each node from the others [W/K]. ``widths``: array of shape (slices,) [m]. Places of nodes: ``metal`` of shape
    (cores, slices), ``surface`` of shape (slices,), ``joints`` of shape (2, cores), ``bodies`` of shape (2,), plug
    before connector. What is ``open_to_air``: array of shape (m,), surfaces before bodies, with their ``film`` and
    ``area`` [m²]; of the joints, plug before connector, arrays of shape (2 · cores,): ``joint_resistance`` [Ω] and
    conductance ``to_socket`` [W/K]. ``resistance_20`` of one metre of core [Ω/m], its ``rise`` with temperature [1/K].
    """

    cable: VirtualCable
    capacity: Floats
    conduction: csc_matrix
    widths: Floats
    metal: Places
    surface: Places
    joints: Places
    bodies: Places
    open_to_air: Places
    film: Film
    area: Floats
    joint_resistance: Floats
    to_socket: Floats
    resistance_20: float
    rise: float

    @property
    def nodes(self) -> int:
        """The number of nodes n."""
        return int(self.capacity.size)

    @property
    def middles(self) -> Floats:
        """Where the middle of each slice is, from the plug: array of shape (slices,). [m]"""
        return np.cumsum(self.widths) - 0.5 * self.widths

    def made(self, temperatures: Floats, current: float) -> tuple[Floats, Floats]:
        """Return the heat made in each node, and how it rises with the node's temperature.

        Parameters
        ----------
        temperatures : numpy.ndarray
            Array of shape (n,). [°C]
        current : float
            Through every loaded core. [A]

        Returns
        -------
        tuple of numpy.ndarray
            Heat [W] and slope [W/K], arrays of shape (n,).
        """
        heat, slope = np.zeros(self.nodes), np.zeros(self.nodes)
        cold = current**2 * self.resistance_20 * self.widths
        heat[self.metal] = cold * (1.0 + self.rise * (temperatures[self.metal] - 20.0))
        slope[self.metal] = cold * self.rise
        heat[self.joints.ravel()] = current**2 * self.joint_resistance
        return heat, slope

    def lost(self, temperatures: Floats, ambient: float, draught: float) -> tuple[Floats, Floats]:
        """Return the heat that each node loses to its surroundings, and how it rises with the node's temperature.

        Parameters
        ----------
        temperatures : numpy.ndarray
            Array of shape (n,). [°C]
        ambient : float
            Of air, walls and sockets. [°C]
        draught : float
            Speed of the air across. [m/s]

        Returns
        -------
        tuple of numpy.ndarray
            Heat [W] and slope [W/K], arrays of shape (n,).
        """
        heat, slope = np.zeros(self.nodes), np.zeros(self.nodes)
        open_ = self.open_to_air
        flux, flux_slope = surface_loss(temperatures[open_], ambient, self.film, draught=draught)
        heat[open_], slope[open_] = self.area * flux, self.area * flux_slope
        pins = self.joints.ravel()
        heat[pins], slope[pins] = self.to_socket * (temperatures[pins] - ambient), self.to_socket
        return heat, slope

    def along(self, values: Floats, place: float) -> Floats:
        """Return what is at a place along the cable, straight between the middles of slices.

        Parameters
        ----------
        values : numpy.ndarray
            Array of shape (m, slices), such as surface temperatures at m instants. [any]
        place : float
            From the plug. [m]

        Returns
        -------
        numpy.ndarray
            Array of shape (m,).

        Raises
        ------
        OutsideRange
            The cable is not so long.
        """
        if not 0.0 <= place <= self.cable.length:
            raise OutsideRange(f"virtual cable: {place:g} m along a cable of {self.cable.length:g} m")
        above = int(np.clip(np.searchsorted(self.middles, place), 1, self.middles.size - 1))
        low, high = self.middles[above - 1], self.middles[above]
        part = np.clip((place - low) / (high - low), 0.0, 1.0)
        return np.asarray((1.0 - part) * values[:, above - 1] + part * values[:, above])

    def core_resistance(self, temperatures: Floats, core: int) -> Floats:
        """Return the resistance of a core between its joints.

        Parameters
        ----------
        temperatures : numpy.ndarray
            Array of shape (m, n), all nodes at m instants. [°C]
        core : int
            Number of the loaded core, from 0.

        Returns
        -------
        numpy.ndarray
            Array of shape (m,). [Ω]
        """
        hot = 1.0 + self.rise * (temperatures[:, self.metal[core]] - 20.0)
        return np.asarray(self.resistance_20 * (hot @ self.widths))


def cut_cable(
    cable: VirtualCable,
    *,
    slice_factor: float = 1.0,
    insulation_rings: int = 2,
    sheath_rings: int = 3,
) -> CableMesh:
    """Cut a cable into finite volumes.

    Parameters
    ----------
    cable : VirtualCable
        The cable.
    slice_factor : float
        By how much thicker than usual the slices are; below 1 they are finer. [1]
    insulation_rings, sheath_rings : int
        How many rings each layer is cut into.

    Returns
    -------
    CableMesh
        The finite volumes.

    Examples
    --------
    >>> mesh = cut_cable(VirtualCable())
    >>> mesh.nodes == mesh.widths.size * 10 + 6, round(float(mesh.widths.sum()), 9)
    (True, 5.0)
    """
    widths = _slices(cable.length, slice_factor)
    cores, slices = cable.loaded, widths.size
    per_core = insulation_rings + 1
    per_slice = cores * per_core + sheath_rings + 1
    start = per_slice * np.arange(slices)
    metal = np.array([start + core * per_core for core in range(cores)])
    sheath_inside = start + cores * per_core
    surface = start + per_slice - 1
    joints = per_slice * slices + np.arange(2 * cores).reshape(2, cores)
    bodies = per_slice * slices + 2 * cores + np.arange(2)

    build = _Build(int(bodies[-1]) + 1)
    core_radii = np.linspace(cable.conductor_radius, cable.core_radius, per_core)
    sheath_radii = np.linspace(cable.bundle_radius, cable.radius, sheath_rings + 1)
    metal_heat = cable.conductor.heat_capacity
    for core in range(cores):
        build.layer(metal[core], core_radii, cable.insulation, widths)
        build.capacity[metal[core]] += metal_heat * widths
        build.join(metal[core] + insulation_rings, sheath_inside, _filler_conductance(cable) * widths)
        build.chain(metal[core], widths, cable.conductor.heat_conductance)
    build.layer(sheath_inside, sheath_radii, cable.sheath, widths)
    build.capacity[sheath_inside] += cable.bundle_heat * widths
    for end, terminal, at in ((0, cable.plug, 0), (1, cable.connector, slices - 1)):
        build.capacity[joints[end]] += terminal.joint_heat
        build.capacity[bodies[end]] += terminal.body_heat
        into = cable.conductor.heat_conductance / (0.5 * widths[at])
        build.join(joints[end], metal[:, at], np.full(cores, into))
        build.join(joints[end], np.full(cores, bodies[end]), np.full(cores, terminal.to_body))
    ends = (cable.plug, cable.connector)
    cold, hot = (cable.conductor.resistance(temperature=one) for one in RESISTANCE_AT)
    return CableMesh(
        cable=cable,
        capacity=build.capacity,
        conduction=build.matrix(),
        widths=widths,
        metal=metal,
        surface=surface,
        joints=joints,
        bodies=bodies,
        open_to_air=np.concatenate([surface, bodies]),
        film=film_of(
            diameter=np.r_[np.full(slices, 2.0 * cable.radius), [one.size for one in ends]],
            emissivity=np.r_[np.full(slices, cable.emissivity), [one.emissivity for one in ends]],
        ),
        area=np.r_[2.0 * math.pi * cable.radius * cable.around * widths, [one.surface for one in ends]],
        joint_resistance=np.array([one.joint(core) for one in ends for core in range(cores)]),
        to_socket=np.array([one.to_socket for one in ends for _ in range(cores)]),
        resistance_20=cable.conductor.resistance(),
        rise=(hot / cold - 1.0) / (RESISTANCE_AT[1] - RESISTANCE_AT[0]),
    )


def _slices(length: float, factor: float) -> Floats:
    """Return thicknesses of slices, thin at both ends, that add up to the length. [m]"""
    half = [factor * FIRST_SLICE]
    while sum(half) < 0.5 * length:
        half.append(min(half[-1] * GROWTH, factor * LONGEST_SLICE))
    widths = np.array([*half, *reversed(half)])
    return np.asarray(widths * (length / widths.sum()))


def _filler_conductance(cable: VirtualCable) -> float:
    """Return what conducts from one core through the filler to the sheath, in one metre. [W/(m·K)]

    A ring of filler as thick as what is left between a core, off the middle, and the sheath; the cores share it.
    """
    gap = 0.25 * max(cable.bundle_radius - cable.core_radius, 1e-5)
    mean = cable.bundle_radius - 0.5 * gap
    return 2.0 * math.pi * mean * cable.filler.conductivity / gap / (cable.loaded + cable.idle)


class _Build:
    """Capacities and conductances as they come together."""

    def __init__(self, nodes: int) -> None:
        self.capacity = np.zeros(nodes)
        self._from: list[Places] = []
        self._to: list[Places] = []
        self._by: list[Floats] = []

    def join(self, one: Places, other: Places, conductance: Floats) -> None:
        """Let heat flow between nodes, both ways. [W/K]"""
        self._from += [one, other]
        self._to += [other, one]
        self._by += [conductance, conductance]

    def layer(self, innermost: Places, radii: Floats, stuff: Stuff, widths: Floats) -> None:
        """Lay nodes of one layer outwards from the innermost in each slice, and join them."""
        edges = np.concatenate([radii[:1], 0.5 * (radii[1:] + radii[:-1]), radii[-1:]])
        for ring in range(radii.size):
            stored = math.pi * (edges[ring + 1] ** 2 - edges[ring] ** 2) * stuff.heat
            self.capacity[innermost + ring] += stored * widths
        for ring, ratio in enumerate(radii[1:] / radii[:-1]):
            by = 2.0 * math.pi * stuff.conductivity / math.log(ratio)
            self.join(innermost + ring, innermost + ring + 1, by * widths)

    def chain(self, nodes: Places, widths: Floats, conductance: float) -> None:
        """Join the slices of one metal along the cable. [W·m/K]"""
        self.join(nodes[:-1], nodes[1:], conductance / (0.5 * (widths[:-1] + widths[1:])))

    def matrix(self) -> csc_matrix:
        """Return the matrix of heat flowing into each node."""
        by = np.concatenate(self._by)
        rows, columns = np.concatenate(self._from), np.concatenate(self._to)
        size = self.capacity.size
        flows = csc_matrix(coo_matrix((by, (rows, columns)), shape=(size, size)))
        return csc_matrix(flows - diags(np.asarray(flows.sum(axis=1)).ravel()))
