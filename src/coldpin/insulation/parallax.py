"""What stands above the calibrated plane is nearer to the lens: it looks larger and moves outward from its foot."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Number = float | NDArray[np.float64]


def parallax_shift(*, from_foot: Number, height: Number, camera_height: Number) -> Number:
    r"""Return by how much a raised point seems to have moved outward from the foot of the lens.

    .. math:: \Delta = r \, h / (H - h)

    Parameters
    ----------
    from_foot : float or array of shape (n,)
        True distance r of the point from the foot of the lens on the plane. [mm]
    height : float or array of shape (n,)
        Height h of the point above the plane; below 0 where it lies deeper. [mm]
    camera_height : float or array of shape (n,)
        Height H of the lens above the plane. [mm]

    Returns
    -------
    float or array of shape (n,)
        Δ, towards the foot where it is below 0. [mm]

    Examples
    --------
    >>> round(parallax_shift(from_foot=40.0, height=10.0, camera_height=300.0), 5)
    1.37931

    Sources
    -------
    Pinhole geometry (relief displacement).
    """
    return from_foot * height / (camera_height - height)


def raised_reading(*, length: Number, height: Number, camera_height: Number) -> Number:
    r"""Return what is read for a length at a height above the calibrated plane; higher reads longer, the unsafe side.

    .. math:: d' = d \, H / (H - h)

    Parameters
    ----------
    length : float or array of shape (n,)
        True length d, all of it at one height. [mm]
    height : float or array of shape (n,)
        Height h above the plane; below 0 where it lies deeper. [mm]
    camera_height : float or array of shape (n,)
        Height H of the lens above the plane. [mm]

    Returns
    -------
    float or array of shape (n,)
        d'. [mm]

    Examples
    --------
    >>> round(raised_reading(length=6.4, height=1.6, camera_height=300.0), 6)
    6.434316

    Sources
    -------
    Pinhole geometry.
    """
    return length * camera_height / (camera_height - height)
