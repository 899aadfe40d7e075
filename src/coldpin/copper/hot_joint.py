"""A hot plug or joint: what its own rise says of its extra resistance, and how far along the cable it is felt.

A hot joint sends heat two ways: off the surface of its plug, by the rise over the air; and along the copper into the
cable, which acts as a fin, by the *local* rise, that over the cable far from the joint at the same current. A plug with
good contacts is cooler than its cable, so what it gives off counts from the air and not from the cable.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, propagate

Number = float | NDArray[np.float64]

FAR_ENOUGH = 5.0
"""Ours: at so many lengths from a joint less than a hundredth of its rise is left (e⁻⁵ = 0.7 %)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HotJoint:
    """What the local rise of a joint says.

    ``local_rise`` over the cable far away [K], ``heat`` [W] and ``resistance`` [Ω] of all its contacts together,
    ``heat_at_offer`` [W] where they carry the current ``offer`` [A], ``length`` over which the rise along the cable
    falls to 1/e [m], ``sensor_from`` where a sensor of the cable's own temperature may sit at the nearest [m].
    """

    local_rise: Quantity
    heat: Quantity
    resistance: Quantity
    offer: Quantity
    heat_at_offer: Quantity
    length: Quantity
    sensor_from: float


def warmed_length(*, conductivity: Number, copper_area: Number, thermal_resistance: Number) -> Number:
    r"""Return the length over which the rise of a hot end falls to 1/e along a cable.

    .. math:: L = \sqrt{k A T}

    Parameters
    ----------
    conductivity : float or array of shape (n,)
        k, thermal conductivity of the conductors. [W/(m·K)]
    copper_area : float or array of shape (n,)
        A, of all conductors that touch the joint, together. [m²]
    thermal_resistance : float or array of shape (n,)
        T, from conductor to air, of a metre of cable. [K·m/W]

    Returns
    -------
    float or array of shape (n,)
        L. [m]

    Examples
    --------
    >>> length = warmed_length(conductivity=390.0, copper_area=2 * 2.5e-6, thermal_resistance=2.5)
    >>> round(float(length), 3)
    0.07

    Sources
    -------
    Textbook of heat transfer, a long fin (standing: memory). Its own result: ``accessory.end-length``.
    """
    return np.sqrt(conductivity * copper_area * thermal_resistance)


def fin_conductance(*, conductivity: Number, copper_area: Number, thermal_resistance: Number) -> Number:
    r"""Return how much heat a long cable takes from its end for each kelvin that the end is warmer.

    .. math:: G = \sqrt{k A / T}

    Parameters
    ----------
    conductivity : float or array of shape (n,)
        k. [W/(m·K)]
    copper_area : float or array of shape (n,)
        A, of all conductors that touch the joint, together. [m²]
    thermal_resistance : float or array of shape (n,)
        T, from conductor to air, of a metre of cable. [K·m/W]

    Returns
    -------
    float or array of shape (n,)
        G. [W/K]

    Examples
    --------
    >>> round(float(fin_conductance(conductivity=390.0, copper_area=2 * 2.5e-6, thermal_resistance=2.5)), 4)
    0.0279

    Sources
    -------
    As :func:`warmed_length`.
    """
    return np.sqrt(conductivity * copper_area / thermal_resistance)


def rise_along(distance: Number, *, local_rise: Number, length: Number) -> Number:
    r"""Return what is left of a joint's local rise at a distance along the cable.

    .. math:: \Delta(x) = \Delta_0 e^{-x/L}

    Parameters
    ----------
    distance : float or array of shape (n,)
        x, from the joint. [m]
    local_rise : float or array of shape (n,)
        Δ₀, at the joint over the cable far away. [K]
    length : float or array of shape (n,)
        L, as :func:`warmed_length` gives it. [m]

    Returns
    -------
    float or array of shape (n,)
        Δ. [K]

    Examples
    --------
    >>> round(float(rise_along(0.35, local_rise=30.0, length=0.07)), 2)
    0.2

    Sources
    -------
    As :func:`warmed_length`.
    """
    return local_rise * np.exp(-distance / length)


def sensor_distance(length: float, *, left: float = math.exp(-FAR_ENOUGH)) -> float:
    r"""Return how far from a joint a sensor must sit to see the cable alone.

    .. math:: x = L \ln(1 / s)

    Parameters
    ----------
    length : float
        L, as :func:`warmed_length` gives it. [m]
    left : float
        s, the share of the joint's local rise that may be left. [1]

    Returns
    -------
    float
        x. [m]

    Raises
    ------
    OutsideRange
        The share is not between 0 and 1.

    Examples
    --------
    >>> round(sensor_distance(0.07), 2), round(sensor_distance(0.07, left=0.1), 2)
    (0.35, 0.16)

    Sources
    -------
    As :func:`warmed_length`; `FAR_ENOUGH`.
    """
    if not 0.0 < left < 1.0:
        raise OutsideRange(f"a share of {left:g} of the joint's rise is asked to be left: give one between 0 and 1")
    return length * math.log(1.0 / left)


def joint_heat(*, rise: Number, local_rise: Number, surface: Number, fin: Number) -> Number:
    r"""Return the heat that a joint makes.

    .. math:: P = G_s \Theta + G \Delta_0

    Parameters
    ----------
    rise : float or array of shape (n,)
        Θ, of its surface over the air. [K]
    local_rise : float or array of shape (n,)
        Δ₀, over the cable far away. [K]
    surface : float or array of shape (n,)
        Gₛ, off its surface, and by its pins into what they are put in. [W/K]
    fin : float or array of shape (n,)
        G, into the cable or cables, as :func:`fin_conductance` gives it for each. [W/K]

    Returns
    -------
    float or array of shape (n,)
        P. [W]

    Examples
    --------
    >>> round(joint_heat(rise=30.0, local_rise=20.0, surface=0.10, fin=0.028), 2)
    3.56
    """
    return surface * rise + fin * local_rise


def joint_resistance(*, heat: Number, current: Number) -> Number:
    r"""Return the resistance in which a current makes so much heat.

    .. math:: R = P / I^2

    Parameters
    ----------
    heat : float or array of shape (n,)
        P. [W]
    current : float or array of shape (n,)
        I. [A]

    Returns
    -------
    float or array of shape (n,)
        R, of all contacts in the joint together. [Ω]

    Examples
    --------
    >>> round(1e3 * joint_resistance(heat=35.0, current=15.0))
    156
    """
    return heat / current**2


def hot_joint(
    *,
    rise: Quantity,
    local_rise: Quantity,
    current: Quantity,
    offer: Quantity,
    surface: Quantity,
    copper_area: Quantity,
    thermal_resistance: Quantity,
    conductivity: float,
) -> HotJoint:
    """Return what a joint's rise over its cable says: extra resistance, heat at the offered current, length warmed.

    Parameters
    ----------
    rise : Quantity
        Of its outside over the air. [K]
    local_rise : Quantity
        At the joint over the cable far away, at the same time and current. [K]
    current : Quantity
        At which the rise was read. [A]
    offer : Quantity
        The current that is offered to a vehicle. [A]
    surface : Quantity
        Heat off its surface, and by its pins, for each kelvin of the rise. [W/K]
    copper_area : Quantity
        Of all conductors that touch the joint, together. [m²]
    thermal_resistance : Quantity
        From conductor to air, of a metre of cable. [K·m/W]
    conductivity : float
        Of copper, from the table. [W/(m·K)]

    Returns
    -------
    HotJoint
        With uncertainties; what rests on an input of unknown uncertainty has none. The resistance is taken for the
        same at both currents: a contact that softens or oxidises is not.

    Raises
    ------
    InputError
        A quantity has no value, or a formula none at it.

    Examples
    --------
    >>> from coldpin.quantity import normal, rectangular
    >>> told = hot_joint(
    ...     rise=normal(30.0, 0.5, "K", id="rise"), local_rise=normal(20.0, 0.5, "K", id="rise"),
    ...     current=Quantity(16.0, 0.05, "A"),
    ...     offer=Quantity(16.0, 0.0, "A"), surface=rectangular(0.1, 0.05, "W/K", id="surface"),
    ...     copper_area=Quantity(5e-6, 0.0, "m²"), thermal_resistance=rectangular(2.5, 0.5, "K·m/W", id="film"),
    ...     conductivity=401.0)
    >>> round(told.heat.value, 2), round(1e3 * told.resistance.value), round(told.sensor_from, 2)
    (3.57, 14, 0.39)
    """
    fin: dict[str, Quantity | float] = {
        "copper_area": copper_area,
        "thermal_resistance": thermal_resistance,
        "conductivity": conductivity,
    }
    heat = propagate(
        lambda rise, local_rise, surface, **cable: joint_heat(
            rise=rise, local_rise=local_rise, surface=surface, fin=fin_conductance(**cable)
        ),
        {"rise": rise, "local_rise": local_rise, "surface": surface, **fin},
        "W",
    )
    resistance = propagate(joint_resistance, {"heat": heat, "current": current}, "Ω")
    length = propagate(warmed_length, fin, "m")
    return HotJoint(
        local_rise=local_rise,
        heat=heat,
        resistance=resistance,
        offer=offer,
        heat_at_offer=propagate(
            lambda heat, current, offer: heat * (offer / current) ** 2,
            {"heat": heat, "current": current, "offer": offer},
            "W",
        ),
        length=length,
        sensor_from=sensor_distance(length.high if length.high is not None else length.value),
    )
