"""Layers of a cable: thermal resistance from the metal of its cores through insulation and sheath to its surface."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange

Number = float | NDArray[np.float64]

MOST_CORES = 5
"""Cores laid in one layer without a middle one: what a lead has. Six around one would need another geometry."""


def layer_resistance(*, resistivity: Number, inner_diameter: Number, thickness: Number) -> Number:
    r"""Return the thermal resistance of a round layer.

    .. math:: T = \frac{\rho}{2 \pi} \ln \left( 1 + \frac{2 t}{d} \right)

    Parameters
    ----------
    resistivity : float or array of shape (n,)
        Thermal resistivity ρ. [K·m/W]
    inner_diameter : float or array of shape (n,)
        Diameter d below the layer. [m]
    thickness : float or array of shape (n,)
        Thickness t. [m]

    Returns
    -------
    float or array of shape (n,)
        T. [K·m/W]

    Examples
    --------
    0.7 mm of PVC on a core of 1.5 mm².

    >>> round(float(layer_resistance(resistivity=5.0, inner_diameter=1.6e-3, thickness=0.7e-3)), 4)
    0.5002

    Sources
    -------
    IEC 60287-2-1 clause 4.1.2, as two public texts print it; ``cable.thermal-resistivity.*`` for ρ.
    """
    return resistivity / (2.0 * np.pi) * np.log(1.0 + 2.0 * thickness / inner_diameter)


def circle_around(cores: int, core_diameter: Number) -> Number:
    r"""Return the diameter of the circle around equal cores that touch their neighbours.

    .. math:: D_c = d \left( 1 + \frac{1}{\sin(\pi / N)} \right)

    Parameters
    ----------
    cores : int
        Number N of cores, 1 to 5.
    core_diameter : float or array of shape (n,)
        Diameter d over the insulation of one. [m]

    Returns
    -------
    float or array of shape (n,)
        Dc; the core's own diameter where there is but one. [m]

    Raises
    ------
    OutsideRange
        There are more than five cores, or none.

    Examples
    --------
    >>> [round(float(circle_around(cores, 1.0)), 3) for cores in (1, 2, 3, 4, 5)]
    [1.0, 2.0, 2.155, 2.414, 2.701]

    Sources
    -------
    Geometry.
    """
    if not 1 <= cores <= MOST_CORES:
        raise OutsideRange(f"{cores} cores: cables of 1 to {MOST_CORES} equal cores are known here")
    if cores == 1:
        return core_diameter
    return core_diameter * (1.0 + 1.0 / math.sin(math.pi / cores))


def crowding(
    *, conductor_diameter: Number, core_diameter: Number, outer_diameter: Number, cores: int, loaded_cores: int
) -> Number:
    r"""Return the geometric factor of a round cable's hottest loaded core, metal to surface, in one plastic.

    Each loaded core is a line of heat at radius a from the axis of a round body of radius R whose surface has one
    temperature; an image of equal and opposite heat at R²/a keeps it so. With the angle φ to each other loaded core,

    .. math:: G = \ln \frac{R^2 - a^2}{R\, r}
              + \sum_{\varphi} \ln \frac{\sqrt{R^4 + a^4 - 2 R^2 a^2 \cos \varphi}}{2 R a \sin(\varphi / 2)}

    so that the core's metal of radius r is warmer than the surface by ρ G / (2 π) times the loss of one core.

    Parameters
    ----------
    conductor_diameter : float or array of shape (n,)
        Of the metal of one core. [m]
    core_diameter : float or array of shape (n,)
        Over the insulation of one core. [m]
    outer_diameter : float or array of shape (n,)
        Over the sheath. [m]
    cores : int
        Equal cores in the cable.
    loaded_cores : int
        Those that carry the current; they lie side by side.

    Returns
    -------
    float or array of shape (n,)
        G. [1]

    Raises
    ------
    OutsideRange
        More cores are loaded than there are, or they do not fit into each other.

    Examples
    --------
    One core alone is the layer formula; two of three crowd each other.

    >>> alone = crowding(conductor_diameter=2e-3, core_diameter=3.6e-3, outer_diameter=3.6e-3, cores=1, loaded_cores=1)
    >>> round(float(alone), 4), round(float(np.log(1.8)), 4)
    (0.5878, 0.5878)
    >>> cord = {"conductor_diameter": 2e-3, "core_diameter": 3.6e-3, "outer_diameter": 11.2e-3}
    >>> round(float(crowding(**cord, cores=3, loaded_cores=2)), 3)
    2.089

    Sources
    -------
    Method of images for line sources of heat, as for the capacitance of cables (standing: memory); for all cores
    loaded it is Russell's formula. A line in the place of a thick conductor gives 4 % too much with two cores loaded
    and 8 % with three (against a solution in the plane, in the tests): on the warm side, some tenths of a kelvin.
    """
    if not 1 <= loaded_cores <= cores:
        raise OutsideRange(f"{loaded_cores} loaded cores of {cores}: at least one, and no more than there are")
    circle = circle_around(cores, core_diameter)
    if np.any(conductor_diameter >= core_diameter) or np.any(circle > outer_diameter * (1.0 + ROUNDING)):
        raise OutsideRange(
            f"{cores} cores of {_mm(core_diameter)} around metal of {_mm(conductor_diameter)} need a circle of "
            f"{_mm(circle)}, and the cable is {_mm(outer_diameter)} across: measure the diameters again"
        )
    radius, wire = 0.5 * outer_diameter, 0.5 * conductor_diameter
    axis = 0.5 * (circle - core_diameter)
    own: Number = np.log((radius**2 - axis**2) / (radius * wire))
    if loaded_cores == 1:
        return own
    return own + reduce(
        np.maximum, (_by_others(radius, axis, cores, loaded_cores, place) for place in range(loaded_cores))
    )


ROUNDING = 1e-9
"""Part by which a cable may be thinner than its cores before that is no rounding any more."""


def _by_others(radius: Number, axis: Number, cores: int, loaded: int, place: int) -> Number:
    """Return what the other loaded cores add at one of them."""
    total: Number = 0.0
    for other in range(loaded):
        if other == place:
            continue
        angle = 2.0 * np.pi * (other - place) / cores
        image = np.sqrt(radius**4 + axis**4 - 2.0 * radius**2 * axis**2 * np.cos(angle))
        total = total + np.log(image / (2.0 * radius * axis * abs(np.sin(0.5 * angle))))
    return total


@dataclass(frozen=True, slots=True, kw_only=True)
class CableLayers:
    """A round cable of equal cores in one sheath.

    Diameters [m]: of the metal, over one core, over the sheath. Resistivities of insulation and sheath [K·m/W]; what
    fills the gaps between the cores counts as insulation. Each may be an array of shape (n,).
    """

    conductor_diameter: Number
    core_diameter: Number
    outer_diameter: Number
    cores: int
    loaded_cores: int
    insulation: Number
    sheath: Number


def sheath_resistance(layers: CableLayers) -> Number:
    """Return T3, the thermal resistance of the sheath as a ring around the cores.

    Parameters
    ----------
    layers : CableLayers
        The cable.

    Returns
    -------
    float or array of shape (n,)
        T3, for the loss of the whole cable. [K·m/W]

    Raises
    ------
    OutsideRange
        There are more than five cores, or none.

    Examples
    --------
    >>> cord = CableLayers(conductor_diameter=2e-3, core_diameter=3.6e-3, outer_diameter=11.2e-3, cores=3,
    ...                    loaded_cores=2, insulation=5.0, sheath=5.0)
    >>> round(float(sheath_resistance(cord)), 3)
    0.292

    Sources
    -------
    IEC 60287-2-1 clause 4.1.2; ``cable.thermal-resistivity.*``.
    """
    circle = circle_around(layers.cores, layers.core_diameter)
    return layers.sheath / (2.0 * np.pi) * np.log(layers.outer_diameter / circle)


def core_resistance(layers: CableLayers) -> Number:
    """Return T1, the thermal resistance of one loaded core to the sheath, crowding of the cores included.

    Parameters
    ----------
    layers : CableLayers
        The cable.

    Returns
    -------
    float or array of shape (n,)
        T1, for the loss of one loaded core. [K·m/W]

    Raises
    ------
    OutsideRange
        The cores do not fit, or there are too many.

    Examples
    --------
    >>> core = CableLayers(conductor_diameter=1.6e-3, core_diameter=3.0e-3, outer_diameter=3.0e-3, cores=1,
    ...                    loaded_cores=1, insulation=5.0, sheath=5.0)
    >>> round(float(core_resistance(core)), 4)
    0.5002

    Sources
    -------
    As in :func:`crowding` and :func:`layer_resistance`.
    """
    factor = crowding(
        conductor_diameter=layers.conductor_diameter,
        core_diameter=layers.core_diameter,
        outer_diameter=layers.outer_diameter,
        cores=layers.cores,
        loaded_cores=layers.loaded_cores,
    )
    ring = np.log(layers.outer_diameter / circle_around(layers.cores, layers.core_diameter))
    return layers.insulation / (2.0 * np.pi) * (factor - layers.loaded_cores * ring)


def inner_resistance(layers: CableLayers) -> Number:
    r"""Return the thermal resistance from the metal to the surface, for the loss of the whole cable.

    .. math:: T_i = T_1 / n + T_3

    Parameters
    ----------
    layers : CableLayers
        The cable.

    Returns
    -------
    float or array of shape (n,)
        Ti. [K·m/W]

    Raises
    ------
    OutsideRange
        The cores do not fit, or there are too many.

    Examples
    --------
    >>> cord = CableLayers(conductor_diameter=2e-3, core_diameter=3.6e-3, outer_diameter=11.2e-3, cores=3,
    ...                    loaded_cores=2, insulation=5.0, sheath=5.0)
    >>> round(float(inner_resistance(cord)), 3)
    0.831

    Sources
    -------
    IEC 60287-1-1, the term T1/n + T3 of a cable without metal sheath.
    """
    return core_resistance(layers) / layers.loaded_cores + sheath_resistance(layers)


def _mm(metres: Number) -> str:
    return f"{float(np.max(metres)) * 1e3:.3g} mm"
