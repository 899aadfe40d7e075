"""Wires of two metals, and the number that tells a metal whatever its area: resistance times mass, per metre."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", float, NDArray[np.float64])


def metal_number(*, resistance: Number, mass: Number) -> Number:
    r"""Return the number that tells the metal of a core: the area drops out.

    .. math:: X = R'_{20} m' = \rho d k^2

    Parameters
    ----------
    resistance : float or array of shape (n,)
        R', of one metre of cable at 20 °C. [Ω/m]
    mass : float or array of shape (n,)
        m', of the metal of one core. [g/m]

    Returns
    -------
    float or array of shape (n,)
        X. [Ω·g/m²]

    Examples
    --------
    >>> round(metal_number(resistance=7.98e-3, mass=22.2), 3)
    0.177

    Sources
    -------
    Our algebra: ρ resistivity, d density, k length of wire in one metre of cable. Of annealed copper laid straight it
    is ``metal.copper.mass-resistivity``.
    """
    return resistance * mass


def parallel_resistivity(*, share: Number, skin: float, core: float) -> Number:
    r"""Return the resistivity of a wire of two metals side by side.

    .. math:: 1/\rho = f/\rho_s + (1 - f)/\rho_c

    Parameters
    ----------
    share : float or array of shape (n,)
        f, of the cross-section that is skin. [1]
    skin : float
        ρs, of the skin. [Ω·m]
    core : float
        ρc, of the core. [Ω·m]

    Returns
    -------
    float or array of shape (n,)
        ρ. [Ω·m]

    Examples
    --------
    >>> round(1e9 * parallel_resistivity(share=0.10, skin=17.241e-9, core=28.264e-9), 2)
    26.57
    """
    return 1.0 / (share / skin + (1.0 - share) / core)


def mixed_by_volume(*, share: Number, skin: float, core: float) -> Number:
    """Return a property that adds up by volume, such as density or volumetric heat, of a wire of two metals.

    Parameters
    ----------
    share : float or array of shape (n,)
        Of the cross-section that is skin. [1]
    skin : float
        The property of the skin. [kg/m³ or J/(m³·K)]
    core : float
        The same of the core. [kg/m³ or J/(m³·K)]

    Returns
    -------
    float or array of shape (n,)
        The same of the wire. [kg/m³ or J/(m³·K)]

    Examples
    --------
    >>> round(mixed_by_volume(share=0.10, skin=8890.0, core=2703.0))
    3322
    """
    return share * skin + (1.0 - share) * core


def mixed_temperature_coefficient(*, share: float, skin: tuple[float, float], core: tuple[float, float]) -> float:
    r"""Return the temperature coefficient of the resistance of a wire of two metals side by side, at 20 °C.

    .. math:: \alpha = \rho \left( \frac{f \alpha_s}{\rho_s} + \frac{(1 - f) \alpha_c}{\rho_c} \right)

    Parameters
    ----------
    share : float
        f, of the cross-section that is skin. [1]
    skin : tuple of float
        Resistivity ρs [Ω·m] and temperature coefficient αs [1/K] of the skin.
    core : tuple of float
        The same of the core.

    Returns
    -------
    float
        α. [1/K]

    Examples
    --------
    >>> round(mixed_temperature_coefficient(share=0.10, skin=(17.241e-9, 0.00393), core=(28.264e-9, 0.00403)), 5)
    0.00401
    """
    resistivity = parallel_resistivity(share=share, skin=skin[0], core=core[0])
    return resistivity * (share * skin[1] / skin[0] + (1.0 - share) * core[1] / core[0])
