"""What a warm surface loses to the air around it: the simulator's own simple law, still air, draught and radiation."""

from __future__ import annotations

from dataclasses import dataclass

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


Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Film:
    """How n surfaces meet the air: coefficients of still air and of a draught, and what they radiate.

    Arrays of shape (n,): ``still`` [W/(m²·K^1.25)], ``blown`` cubed [W³/(m⁶·K³) at 1 m/s], ``radiant`` [W/(m²·K⁴)].
    """

    still: Floats
    blown: Floats
    radiant: Floats


def film_of(*, diameter: Floats, emissivity: Floats) -> Film:
    """Return how surfaces meet the air.

    Parameters
    ----------
    diameter : numpy.ndarray
        Array of shape (n,), of the cylinders, or a like length of other bodies. [m]
    emissivity : numpy.ndarray
        Array of shape (n,). [1]

    Returns
    -------
    Film
        Their coefficients.
    """
    return Film(
        still=STILL / diameter**0.25,
        blown=(BLOWN * AIR_CONDUCTIVITY / diameter * (diameter / AIR_VISCOSITY) ** BLOWN_POWER) ** 3,
        radiant=emissivity * STEFAN_BOLTZMANN,
    )


def surface_loss(surface: Floats, ambient: float, film: Film, *, draught: float = 0.0) -> tuple[Floats, Floats]:
    """Return what surfaces lose, and how that rises with their temperature.

    Still air and draught are joined by the third root of their cubes.

    Parameters
    ----------
    surface : numpy.ndarray
        Array of shape (n,), temperatures of the surfaces. [°C]
    ambient : float
        Of air and walls. [°C]
    film : Film
        How they meet the air.
    draught : float
        Speed of the air across. [m/s]

    Returns
    -------
    tuple of numpy.ndarray
        Loss [W/m²] and its slope [W/(m²·K)], arrays of shape (n,).

    Examples
    --------
    >>> film = film_of(diameter=np.array([0.01]), emissivity=np.array([0.9]))
    >>> loss, slope = surface_loss(np.array([40.0]), 20.0, film)
    >>> round(float(loss[0])), round(float(slope[0]), 1)
    (290, 17.3)
    """
    rise = surface - ambient
    size = np.maximum(np.abs(rise), SMALLEST_RISE)
    still = film.still * np.sqrt(np.sqrt(size))
    cubed = still * still * still
    both = np.cbrt(cubed + film.blown * draught ** (3.0 * BLOWN_POWER)) if draught > 0.0 else still
    hot = surface + KELVIN
    hot_cubed = hot * hot * hot
    radiated = film.radiant * (hot_cubed * hot - (ambient + KELVIN) ** 4)
    # d|rise|^(1/4): a quarter of the still air's part comes on top, wherever the law has a slope
    steeper = STILL_POWER * cubed / (both * both) * (np.abs(rise) > SMALLEST_RISE)
    return both * rise + radiated, both + steeper + 4.0 * film.radiant * hot_cubed
