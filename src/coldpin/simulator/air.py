"""What a warm surface loses to the air around it: the simulator's own simple law, still air, draught and radiation."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

STILL = 1.32
"""Textbook coefficient of a horizontal cylinder in still air: h = 1.32 (ΔT/D)^0.25. [W/(m^1.75·K^1.25)]"""

STILL_POWER = 0.25

BLOWN, BLOWN_POWER = 0.615, 0.466
"""Hilpert's cylinder across a slow stream: Nu = 0.615 Re^0.466, for Re from 40 to 4000. [1]"""

AIR_CONDUCTIVITY = 0.0265
"""Of air near 35 °C. [W/(m·K)]"""

AIR_VISCOSITY = 1.65e-5
"""Kinematic, of air near 35 °C. [m²/s]"""

STEFAN_BOLTZMANN = 5.670374e-8
"""[W/(m²·K⁴)]"""

KELVIN = 273.15
"""0 °C. [K]"""

SMALLEST_RISE = 1.0e-3
"""Below this the still air's law, which has no slope at zero, is taken at this rise. [K]"""


def surface_loss(
    surface: NDArray[np.float64], ambient: float, *, diameter: float, emissivity: float, draught: float = 0.0
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return what a surface loses, and how that rises with its temperature.

    Still air and draught are joined by the third root of their cubes.

    Parameters
    ----------
    surface : numpy.ndarray
        Array of shape (n,), temperatures of the surface. [°C]
    ambient : float
        Of air and walls. [°C]
    diameter : float
        Of the cylinder, or a like length of another body. [m]
    emissivity : float
        Of the surface. [1]
    draught : float
        Speed of the air across. [m/s]

    Returns
    -------
    tuple of numpy.ndarray
        Loss [W/m²] and its slope [W/(m²·K)], arrays of shape (n,).

    Examples
    --------
    >>> loss, slope = surface_loss(np.array([40.0]), 20.0, diameter=0.01, emissivity=0.9)
    >>> round(float(loss[0])), round(float(slope[0]), 1)
    (290, 17.3)
    """
    rise = surface - ambient
    size = np.maximum(np.abs(rise), SMALLEST_RISE)
    still = STILL * (size / diameter) ** STILL_POWER
    blown = BLOWN * AIR_CONDUCTIVITY / diameter * (max(draught, 0.0) * diameter / AIR_VISCOSITY) ** BLOWN_POWER
    film = np.cbrt(still**3 + blown**3)
    film_slope = np.where(np.abs(rise) > SMALLEST_RISE, STILL_POWER * still**3 / (film**2 * size) * np.sign(rise), 0.0)
    hot, cold = surface + KELVIN, ambient + KELVIN
    radiated = emissivity * STEFAN_BOLTZMANN * (hot**4 - cold**4)
    slope = film + film_slope * rise + 4.0 * emissivity * STEFAN_BOLTZMANN * hot**3
    return film * rise + radiated, slope
