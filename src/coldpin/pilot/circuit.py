"""The pilot's circuit forward: from its parts to the levels and edges one sees.

.. code-block:: text

    rail ──[R1]──┬──────────┬───────────┬── pilot
                 C      R across    diode (drop Vd)
                 │          │        R behind
    earth ───────┴──────────┴───────────┴──

The generator switches R1 between two rails. The vehicle is a resistance *behind* a diode; what lies straight *across*
the pilot (a shorted diode, the 80 Ω of the test of state E) loads both rails. The diode conducts at a constant drop and
blocks below it; how the drop itself follows current and temperature is :func:`diode_drop`. Every formula is written
once and takes numbers or arrays.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from coldpin.standards.parts import DiodeBehaviour

Number = TypeVar("Number", float, NDArray[np.float64])

REFERENCE_CURRENT = 6e-3
"""Ours: the current at which the diode's nominal drop is taken to hold. [A] That of state C."""

REFERENCE_TEMPERATURE = 25.0
"""Ours: the temperature for which data sheets give a drop. [°C]"""

FIRST = 0.1
LAST = 1.0 - FIRST
"""An edge is timed from 10 % to 90 % of the swing: the definition of rise and fall time. [1]"""


def parallel(first: Number, second: Number) -> Number:
    r"""Return two resistances side by side.

    .. math:: R = R_1 / (1 + R_1 / R_2)

    Parameters
    ----------
    first : float or array of shape (n,)
        R1, finite. [Ω]
    second : float or array of shape (n,)
        R2, above 0; infinite where there is none. [Ω]

    Returns
    -------
    float or array of shape (n,)
        R. [Ω]

    Examples
    --------
    >>> round(parallel(2740.0, 1300.0), 1), parallel(2740.0, float("inf"))
    (881.7, 2740.0)
    """
    return first / (1.0 + first / second)


def level(
    *, rail: Number, source_resistance: Number, behind: Number, drop: Number, across: Number | float = math.inf
) -> Number:
    r"""Return the settled level of the pilot while the generator stands at one rail.

    .. math:: V = \min\left(V', V' - (V' - V_d) \frac{R'}{R' + R}\right), \quad V' = V_0 \frac{R_a}{R_1 + R_a}, \quad
        R' = R_1 \parallel R_a

    The first is the level with the diode blocking, the second with it conducting; whichever rail is on, the lower of
    the two is the one that exists.

    Parameters
    ----------
    rail : float or array of shape (n,)
        V0, the rail that is on: the open-circuit level. [V]
    source_resistance : float or array of shape (n,)
        R1. [Ω]
    behind : float or array of shape (n,)
        R, behind the diode; infinite where there is none, 0 for a short there. [Ω]
    drop : float or array of shape (n,)
        Vd, the drop of the diode. [V]
    across : float or array of shape (n,)
        Ra, straight across the pilot, above 0; infinite where there is none. [Ω]

    Returns
    -------
    float or array of shape (n,)
        V. [V]

    Examples
    --------
    >>> circuit = {"source_resistance": 1000.0, "behind": 2740.0, "drop": 0.7}
    >>> [f"{level(rail=rail, **circuit):.2f}" for rail in (12.0, -12.0)]
    ['8.98', '-12.00']
    >>> f"{level(rail=12.0, source_resistance=1000.0, behind=882.0, drop=0.7, across=80.0):.2f}"
    '0.87'

    Sources
    -------
    Thévenin's theorem; the circuit is that of IEC 61851-1 Annex A as restated in the texts of ``pilot.vehicle.*``.
    """
    share = 1.0 / (1.0 + source_resistance / across)
    blocked = rail * share
    inner = source_resistance * share
    conducting = blocked - (blocked - drop) * inner / (inner + behind)
    lower: Number = np.minimum(blocked, conducting)
    return lower


def shorted_level(*, rail: Number, source_resistance: Number, load: Number) -> Number:
    r"""Return the settled level with the vehicle's diode shorted, so that its resistors load the low rail as well.

    .. math:: V = V_0 R / (R_1 + R)

    Parameters
    ----------
    rail : float or array of shape (n,)
        V0, the rail that is on. [V]
    source_resistance : float or array of shape (n,)
        R1. [Ω]
    load : float or array of shape (n,)
        R, all resistors of the vehicle together. [Ω]

    Returns
    -------
    float or array of shape (n,)
        V. [V]

    Examples
    --------
    >>> round(shorted_level(rail=-12.0, source_resistance=1000.0, load=2740.0), 2)
    -8.79
    """
    return rail * load / (source_resistance + load)


def diode_drop(*, current: Number, temperature: Number, nominal: float, behaviour: DiodeBehaviour) -> Number:
    r"""Return the drop of a silicon diode at a current and a temperature, from its nominal drop at 6 mA and 25 °C.

    .. math:: V_d = V_n + n V_T \ln(I / I_n) + k (t - t_n)

    Simple on purpose: the series resistance of the diode and the change of the thermal voltage with temperature
    are left out. From the current of state B to that of state D the drop grows by some 50 mV; a hundred kelvin take
    0.2 V off it.

    Parameters
    ----------
    current : float or array of shape (n,)
        I, above 0. [A]
    temperature : float or array of shape (n,)
        t. [°C]
    nominal : float
        Vn, the drop at the reference. [V]
    behaviour : DiodeBehaviour
        n, VT and k.

    Returns
    -------
    float or array of shape (n,)
        Vd. [V]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.parts import diode_behaviour
    >>> known = {"nominal": 0.7, "behaviour": diode_behaviour(load_book())}
    >>> f"{diode_drop(current=0.003, temperature=25.0, **known):.3f}"
    '0.668'
    >>> f"{diode_drop(current=0.006, temperature=-15.0, **known):.3f}"
    '0.780'

    Sources
    -------
    ``diode.*``.
    """
    ratio: Number = np.log(current / REFERENCE_CURRENT)
    by_current = behaviour.emission * behaviour.thermal_voltage * ratio
    return nominal + by_current + behaviour.per_kelvin * (temperature - REFERENCE_TEMPERATURE)


def drop_in_circuit(
    *,
    rail: Number,
    source_resistance: Number,
    behind: Number,
    temperature: Number,
    nominal: float,
    behaviour: DiodeBehaviour,
) -> Number:
    r"""Return the drop a diode takes by itself in the circuit, where it and its current settle together.

    .. math:: V_d = V_d(I, t), \quad I = (V_0 - V_d) / (R_1 + R)

    Parameters
    ----------
    rail : float or array of shape (n,)
        V0, the high rail; above the drop. [V]
    source_resistance : float or array of shape (n,)
        R1. [Ω]
    behind : float or array of shape (n,)
        R, behind the diode, finite. [Ω]
    temperature : float or array of shape (n,)
        t, of the diode. [°C]
    nominal : float
        The drop at 6 mA and 25 °C. [V]
    behaviour : DiodeBehaviour
        As in :func:`diode_drop`.

    Returns
    -------
    float or array of shape (n,)
        Vd. [V]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.parts import diode_behaviour
    >>> known = {"temperature": 25.0, "nominal": 0.7, "behaviour": diode_behaviour(load_book())}
    >>> circuit = {"rail": 12.0, "source_resistance": 1000.0}
    >>> [f"{drop_in_circuit(**circuit, behind=load, **known):.3f}" for load in (2740.0, 246.0)]
    ['0.668', '0.719']
    """
    drop = nominal + 0.0 * (rail + source_resistance + behind + temperature)
    # each round makes the error some hundred times smaller: a decade of current is 0.1 V of some 11 V
    for _ in range(6):
        current = (rail - drop) / (source_resistance + behind)
        drop = diode_drop(current=current, temperature=temperature, nominal=nominal, behaviour=behaviour)
    return drop


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges(Generic[Number]):
    """The edges of the pilot at the place of measurement.

    ``rise`` and ``fall`` run from 10 % to 90 % of the swing and back; ``up`` and ``down`` from the edge of the
    generator to the crossing of 0 V. [s] ``free_lag`` is the time constant R'C while the diode blocks, ``loaded_lag``
    (R' ∥ R) C while it conducts. [s] ``duty_error`` is what the difference of the two crossings adds to the duty cycle,
    in percentage points; negative where it reads short. [%]
    """

    rise: Number
    fall: Number
    up: Number
    down: Number
    free_lag: Number
    loaded_lag: Number
    duty_error: Number


def edges(
    *,
    high_rail: Number,
    low_rail: Number,
    source_resistance: Number,
    capacitance: Number,
    behind: Number,
    drop: Number,
    across: Number | float = math.inf,
    period: float,
) -> Edges[Number]:
    r"""Return rise and fall time, crossings and their effect on the duty cycle, for an ideal generator.

    While the diode blocks, and while it conducts, the pilot nears a fixed level exponentially; the two stretches meet
    where the voltage passes the drop. The time to a voltage is the sum of the times in both:

    .. math:: t(v) = \tau_1 \ln\frac{s_1}{s_1 - d_1} + \tau_2 \ln\frac{s_2}{s_2 - d_2}

    with s the span from where a stretch begins to where it tends, and d the way made in it.

    Parameters
    ----------
    high_rail : float or array of shape (n,)
        The high open-circuit level. [V]
    low_rail : float or array of shape (n,)
        The low one, below 0. [V]
    source_resistance : float or array of shape (n,)
        R1. [Ω]
    capacitance : float or array of shape (n,)
        C, of supply unit, cable and vehicle together. [F]
    behind : float or array of shape (n,)
        R behind the diode; infinite where there is none. [Ω]
    drop : float or array of shape (n,)
        Drop of the diode, not below 0. [V]
    across : float or array of shape (n,)
        Straight across the pilot, above 0; infinite where there is none. [Ω]
    period : float
        Period of the oscillator, for the effect on the duty cycle. [s]

    Returns
    -------
    Edges
        The times, each half being taken as long enough to settle. [s]

    Examples
    --------
    >>> circuit = {"high_rail": 12.0, "low_rail": -12.0, "source_resistance": 1000.0, "drop": 0.7, "period": 1e-3}
    >>> told = edges(**circuit, capacitance=5.5e-9, behind=2740.0)
    >>> f"{1e6 * told.rise:.1f} µs, {1e6 * told.fall:.1f} µs, {told.duty_error:.2f} %"
    '9.2 µs, 12.0 µs, -0.09 %'

    Sources
    -------
    Charging of a capacitance through a resistance; 10 % to 90 % as in the edge limits ``pilot.rise.*``.
    """
    share = 1.0 / (1.0 + source_resistance / across)
    inner = source_resistance * share
    free_lag = inner * capacitance
    conducting = inner / (inner + behind)
    loaded_lag = free_lag * (1.0 - conducting)
    circuit = {"source_resistance": source_resistance, "behind": behind, "drop": drop}
    bridge = across + 0.0 * source_resistance
    high = level(rail=high_rail, **circuit, across=bridge)
    low = level(rail=low_rail, **circuit, across=bridge)
    free_high, free_low = high_rail * share, low_rail * share
    loaded_low = free_low - (free_low - drop) * conducting
    knee_up: Number = np.maximum(low, drop)
    knee_down: Number = np.minimum(high, drop)
    top: Number = np.maximum(high, drop)

    def rising(voltage: Number) -> Number:
        below: Number = np.minimum(voltage, knee_up)
        above: Number = np.maximum(voltage, knee_up)
        free = free_lag * _reach(free_high - low, below - low)
        return free + loaded_lag * _reach(high - knee_up, above - knee_up)

    def falling(voltage: Number) -> Number:
        below: Number = np.minimum(voltage, knee_down)
        above: Number = np.maximum(voltage, drop)
        loaded = loaded_lag * _reach(top - loaded_low, top - above)
        return loaded + free_lag * _reach(knee_down - free_low, knee_down - below)

    first, last = low + FIRST * (high - low), low + LAST * (high - low)
    up, down = rising(0.0 * high), falling(0.0 * high)
    return Edges(
        rise=rising(last) - rising(first),
        fall=falling(first) - falling(last),
        up=up,
        down=down,
        free_lag=free_lag,
        loaded_lag=loaded_lag,
        duty_error=100.0 * (down - up) / period,
    )


def _reach(span: Number, way: Number) -> Number:
    """Return in time constants how long a way takes that tends to a span; 0 where there is no way to make."""
    moves: Number = np.greater(way, 0.0) * 1.0
    time: Number = -np.log1p(-moves * way / (moves * span + (1.0 - moves)))
    return time


def dissipation(*, rail: Number, source_resistance: Number, load: Number, drop: Number) -> Number:
    r"""Return the power in the load while the generator stands steadily at a rail.

    .. math:: P = \left(\frac{V_0 - V_d}{R_1 + R}\right)^2 R

    Parameters
    ----------
    rail : float or array of shape (n,)
        V0. [V]
    source_resistance : float or array of shape (n,)
        R1. [Ω]
    load : float or array of shape (n,)
        R. [Ω]
    drop : float or array of shape (n,)
        Vd, 0 without a diode. [V]

    Returns
    -------
    float or array of shape (n,)
        P. [W]

    Examples
    --------
    >>> round(dissipation(rail=12.6, source_resistance=970.0, load=970.0, drop=0.0), 4)
    0.0409
    """
    current = (rail - drop) / (source_resistance + load)
    return current * current * load
