"""The current that reaches a hand through capacitors, or through a protective impedance, when the earth is lost."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange

Number = float | NDArray[np.float64]


def capacitor_current(*, capacitance: Number, voltage: Number, frequency: Number) -> Number:
    r"""Return the current through a capacitor that lies between the mains and a person.

    .. math:: I = 2 \pi f C U

    The person's own resistance is left out: beside the reactance of some nanofarads it is nothing, and leaving it out
    tells more current, not less.

    Parameters
    ----------
    capacitance : float or array
        Of what joins the live pole to the part that is touched. [F]
    voltage : float or array
        r.m.s. of that pole to earth. [V]
    frequency : float or array
        Of the mains. [Hz]

    Returns
    -------
    float or array
        r.m.s. current. [A]

    Examples
    --------
    >>> round(1e3 * capacitor_current(capacitance=4.7e-9, voltage=230.0, frequency=50.0), 4)
    0.3396

    Sources
    -------
    By calculation; printed by a maker of Y capacitors (``touch-current.information.class-I``).
    """
    return 2.0 * math.pi * frequency * capacitance * voltage


def largest_capacitance(*, current: float, voltage: float, frequency: float) -> float:
    r"""Return the capacitance that lets just a current through.

    .. math:: C = I / (2 \pi f U)

    Parameters
    ----------
    current : float
        r.m.s. current allowed. [A]
    voltage : float
        r.m.s. of the live pole to earth, the highest there can be. [V]
    frequency : float
        Of the mains, the highest there can be. [Hz]

    Returns
    -------
    float
        The capacitance, tolerance and all. [F]

    Raises
    ------
    OutsideRange
        One of them is not above 0.

    Examples
    --------
    >>> round(1e9 * largest_capacitance(current=0.25e-3, voltage=253.0, frequency=50.0), 3)
    3.145
    """
    for name, value in (("current", current), ("voltage", voltage), ("frequency", frequency)):
        if not value > 0.0:
            raise OutsideRange(f"{name} is {value:g}: it must be above 0")
    return current / (2.0 * math.pi * frequency * voltage)


NEUTRAL = "N"
"""How the neutral pole is called."""


def poles_that_drive(poles: Sequence[str]) -> tuple[tuple[str, tuple[tuple[int, ...], ...]], ...]:
    """Return the situations in which capacitors drive a person who touches what has lost its earth.

    With the earth open the part hangs on all capacitors, and a person joins it to earth: the pole at earth's potential
    adds nothing. Which pole that is depends on how the plug is put in. With the neutral open as well, the load ties it
    to a line and both drive.

    Parameters
    ----------
    poles : sequence of str
        The poles that have a capacitor: "L" and "N", or "L1", "L2", "L3" and "N".

    Returns
    -------
    tuple of str and tuple of tuple of int
        What is so, and the poles that are live then, by their place, those at one potential together; of three lines
        every set of lines that may be live, for a fuse may have gone.

    Examples
    --------
    >>> [told for told, live in poles_that_drive(("L", "N"))]
    ['earth open', 'earth open, plug turned', 'earth and neutral open']
    """
    lines = tuple(place for place, pole in enumerate(poles) if pole != NEUTRAL)
    neutral = tuple(place for place, pole in enumerate(poles) if pole == NEUTRAL)
    if len(lines) > 1:
        return tuple(_of_several_lines(poles, lines, neutral))
    found = [("earth open", (lines,))] if lines else []
    if neutral:
        found.append(("earth open, plug turned", (neutral,)))
    if lines and neutral:
        found.append(("earth and neutral open", ((*lines, *neutral),)))
    return tuple(found)


def _of_several_lines(
    poles: Sequence[str], lines: tuple[int, ...], neutral: tuple[int, ...]
) -> Iterator[tuple[str, tuple[tuple[int, ...], ...]]]:
    """Yield what may be live of several lines, and to which of them a load may tie an open neutral."""
    for count in range(len(lines), 0, -1):
        for live in combinations(lines, count):
            gone = "" if count == len(lines) else f", {' and '.join(poles[place] for place in live)} alone live"
            yield f"earth open{gone}", tuple((place,) for place in live)
            for tied in live if neutral else ():
                told = f"earth and neutral open, a load on {poles[tied]}{gone}"
                yield told, tuple((place, *neutral) if place == tied else (place,) for place in live)


def three_line_current(
    *, first: Number, second: Number, third: Number, voltage: Number, frequency: Number
) -> NDArray[np.float64]:
    r"""Return the current of the capacitors of three lines through one person; equal ones cancel each other.

    .. math:: I = 2 \pi f U \sqrt{\tfrac{1}{2}\left[(C_1 - C_2)^2 + (C_2 - C_3)^2 + (C_3 - C_1)^2\right]}

    Parameters
    ----------
    first : float or array
        Capacitance of the first line; 0 where that line is dead. [F]
    second : float or array
        Of the second. [F]
    third : float or array
        Of the third. [F]
    voltage : float or array
        r.m.s. of each line to earth. [V]
    frequency : float or array
        Of the mains. [Hz]

    Returns
    -------
    float or array
        r.m.s. current. [A]

    Examples
    --------
    >>> at = {"voltage": 230.0, "frequency": 50.0}
    >>> [round(1e3 * float(three_line_current(first=4.7e-9, second=two, third=0.0, **at)), 4) for two in (0.0, 4.7e-9)]
    [0.3396, 0.3396]

    Sources
    -------
    By calculation: the magnitude of a sum of three phasors 120° apart.
    """
    squared = 0.5 * ((first - second) ** 2 + (second - third) ** 2 + (third - first) ** 2)
    return 2.0 * math.pi * frequency * voltage * np.sqrt(squared)


def impedance_current(*, resistance: Number, voltage: Number) -> Number:
    r"""Return the peak of the current through a protective impedance.

    .. math:: \hat{I} = \sqrt{2} U / R

    Parameters
    ----------
    resistance : float or array
        Of its parts in series. [Ω]
    voltage : float or array
        r.m.s. of the live pole to earth. [V]

    Returns
    -------
    float or array
        Peak current. [A]

    Examples
    --------
    >>> round(1e3 * impedance_current(resistance=511.1e3, voltage=253.0), 4)
    0.7001
    """
    return math.sqrt(2.0) * voltage / resistance


def least_resistance(*, peak_current: float, voltage: float) -> float:
    r"""Return the least resistance of a protective impedance, and of what is left of it with one part shorted.

    .. math:: R = \sqrt{2} U / \hat{I}

    Parameters
    ----------
    peak_current : float
        Peak current allowed. [A]
    voltage : float
        r.m.s. of the live pole to earth, the highest there can be. [V]

    Returns
    -------
    float
        The resistance. [Ω]

    Raises
    ------
    OutsideRange
        The current is not above 0.

    Examples
    --------
    >>> round(1e-3 * least_resistance(peak_current=0.7e-3, voltage=253.0), 1)
    511.1
    """
    if not peak_current > 0.0:
        raise OutsideRange(f"the current is {peak_current:g} A: it must be above 0")
    return math.sqrt(2.0) * voltage / peak_current
