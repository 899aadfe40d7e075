"""How a virtual cable warms: implicit steps through time with a balance of heat, and the end it runs to."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix, diags
from scipy.sparse.linalg import SuperLU, splu

from coldpin.errors import OutsideRange
from coldpin.simulator.cable_mesh import CableMesh

Floats = NDArray[np.float64]

STAGE = 1.0 - 1.0 / math.sqrt(2.0)
"""Part of a step that each of its two implicit stages takes: Alexander's method of second order. [1]"""

CLOSE = 1.0e-8
"""A stage is solved when its next correction is below this. [K]"""

FEW = 6
"""After so many corrections the matrix is made anew."""

SAME = 1.0e-3
"""Steps that differ by less share a matrix: it decides how quickly a stage converges, not to what. [1]"""

MANY = 60
"""After so many the stage does not converge."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Warming:
    """Temperatures of all nodes at each instant, and the heat made and lost until then.

    ``time_s``: array of shape (m,). ``temperatures``: array of shape (m, n) [°C]. ``made``, ``lost``: arrays of shape
    (m,) [J].
    """

    time_s: Floats
    temperatures: Floats
    made: Floats
    lost: Floats


def warm(
    mesh: CableMesh,
    time_s: Floats,
    *,
    current: Floats,
    ambient: Floats,
    draught: Floats | None = None,
    start: Floats | None = None,
) -> Warming:
    """March a cable through time.

    Parameters
    ----------
    mesh : CableMesh
        The cable, cut.
    time_s : numpy.ndarray
        Array of shape (m,), rising; each step ends at the next. [s]
    current : numpy.ndarray
        Array of shape (m,): through every loaded core during the step that ends at this instant. [A]
    ambient : numpy.ndarray
        The same of the surroundings' temperature. [°C]
    draught : numpy.ndarray, optional
        The same of the air's speed across; still if left out. [m/s]
    start : numpy.ndarray, optional
        Array of shape (n,), where all nodes begin; at the first ambient if left out. [°C]

    Returns
    -------
    Warming
        Temperatures and heat at each instant.

    Raises
    ------
    OutsideRange
        The instants do not rise, or the arrays differ in length; or a step finds no solution.

    Examples
    --------
    >>> from coldpin.simulator.cable import VirtualCable
    >>> from coldpin.simulator.cable_mesh import cut_cable
    >>> mesh = cut_cable(VirtualCable())
    >>> time = np.arange(0.0, 601.0, 20.0)
    >>> seen = warm(mesh, time, current=np.full(31, 16.0), ambient=np.full(31, 20.0))
    >>> stored = float(mesh.capacity @ (seen.temperatures[-1] - seen.temperatures[0]))
    >>> bool(abs(seen.made[-1] - seen.lost[-1] - stored) < 1e-6 * stored)
    True
    """
    blown = np.zeros(time_s.size) if draught is None else draught
    if any(one.shape != time_s.shape for one in (current, ambient, blown)) or np.any(np.diff(time_s) <= 0.0):
        raise OutsideRange("virtual cable: instants must rise, with one current, ambient and draught for each")
    temperatures = np.empty((time_s.size, mesh.nodes))
    made, lost = np.zeros(time_s.size), np.zeros(time_s.size)
    temperatures[0] = np.full(mesh.nodes, ambient[0]) if start is None else start
    stepper = _Stepper(mesh)
    for step in range(1, time_s.size):
        temperatures[step], heat_in, heat_out = stepper.step(
            temperatures[step - 1],
            float(time_s[step] - time_s[step - 1]),
            (float(current[step]), float(ambient[step]), float(blown[step])),
        )
        made[step], lost[step] = made[step - 1] + heat_in, lost[step - 1] + heat_out
    return Warming(time_s=time_s, temperatures=temperatures, made=made, lost=lost)


class _Stepper:
    """Steps with the matrix of an earlier one for as long as that converges quickly."""

    def __init__(self, mesh: CableMesh) -> None:
        self.mesh = mesh
        self.stage_s = self.solved_for = 0.0
        self.solver: SuperLU | None = None

    def step(self, before: Floats, seconds: float, given: tuple[float, float, float]) -> tuple[Floats, float, float]:
        """Return the temperatures after a step [°C], and the heat made and lost in it. [J]"""
        stage_s = STAGE * seconds
        if abs(stage_s - self.solved_for) > SAME * stage_s:
            self.solved_for, self.solver = stage_s, None
        self.stage_s = stage_s
        middle, net, made_1, lost_1 = self._stage(before, before, given)
        rest = before + (1.0 - STAGE) * seconds * net / self.mesh.capacity
        after, _, made_2, lost_2 = self._stage(rest, middle, given)
        parts = (1.0 - STAGE) * seconds, stage_s
        return after, parts[0] * made_1 + parts[1] * made_2, parts[0] * lost_1 + parts[1] * lost_2

    def _stage(
        self, rest: Floats, guess: Floats, given: tuple[float, float, float]
    ) -> tuple[Floats, Floats, float, float]:
        found = guess
        for turn in range(MANY):
            net, slope, made, lost = _balance(self.mesh, found, given)
            if self.solver is None or turn % FEW == FEW - 1:
                own = diags(self.mesh.capacity / self.stage_s - slope)
                self.solver = splu(csc_matrix(own - self.mesh.conduction))
            correction = self.solver.solve(net - self.mesh.capacity * (found - rest) / self.stage_s)
            found = found + correction
            if np.max(np.abs(correction)) < CLOSE:
                net, _, made, lost = _balance(self.mesh, found, given)
                return found, net, made, lost
        raise OutsideRange(
            f"virtual cable: a step of {self.stage_s / STAGE:g} s finds no balance of heat; take it shorter"
        )


def settle(mesh: CableMesh, *, current: float, ambient: float, draught: float = 0.0) -> Floats:
    """Return the temperatures to which a cable runs in the end.

    Parameters
    ----------
    mesh : CableMesh
        The cable, cut.
    current : float
        Through every loaded core. [A]
    ambient : float
        Of the surroundings. [°C]
    draught : float
        Speed of the air across. [m/s]

    Returns
    -------
    numpy.ndarray
        Array of shape (n,). [°C]

    Raises
    ------
    OutsideRange
        There is no end: the resistance rises faster than what is lost.

    Examples
    --------
    >>> from coldpin.simulator.cable import VirtualCable
    >>> from coldpin.simulator.cable_mesh import cut_cable
    >>> mesh = cut_cable(VirtualCable())
    >>> ends = [settle(mesh, current=amperes, ambient=20.0)[mesh.metal].max() for amperes in (8.0, 16.0)]
    >>> bool(20.0 < ends[0] < ends[1] < 40.0)
    True
    """
    found = np.full(mesh.nodes, ambient + 10.0)
    for _ in range(MANY):
        net, slope, _, _ = _balance(mesh, found, (current, ambient, draught))
        correction = splu(csc_matrix(-diags(slope) - mesh.conduction)).solve(net)
        found = found + np.clip(correction, -STRIDE, STRIDE)
        if np.max(np.abs(correction)) < CLOSE:
            return found
        if np.max(found) > MELTED:
            break
    raise OutsideRange(f"virtual cable: {current:g} A at {ambient:g} °C come to no end below {MELTED:g} °C; take less")


STRIDE = 80.0
"""A correction on the way to the end is not taken further than this. [K]"""

MELTED = 500.0
"""No cable is one beyond this. [°C]"""


def _balance(
    mesh: CableMesh, temperatures: Floats, given: tuple[float, float, float]
) -> tuple[Floats, Floats, float, float]:
    """Return the heat left in each node [W], its slope but for conduction [W/K], all heat made and lost. [W]"""
    current, ambient, draught = given
    made, made_slope = mesh.made(temperatures, current)
    lost, lost_slope = mesh.lost(temperatures, ambient, draught)
    net = mesh.conduction @ temperatures + made - lost
    return net, made_slope - lost_slope, float(made.sum()), float(lost.sum())
