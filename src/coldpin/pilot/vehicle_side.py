"""The pilot's circuit backward: from levels that were measured to the resistances that made them.

One instrument reads the open-circuit level and the loaded one, so its error is in both. The ids of the components carry
that: a gain error falls out of the ratio, an offset out of the difference, and what is left is what the two readings do
not share.
"""

from __future__ import annotations

from coldpin.errors import OutsideRange
from coldpin.pilot.circuit import Number
from coldpin.quantity import Quantity, format_value, propagate, rectangular
from coldpin.records.finding import Limit
from coldpin.standards.table import needed


def load_from_levels(*, level: Number, open_circuit: Number, source_resistance: Number, drop: Number) -> Number:
    r"""Return the resistance behind the diode that pulls the open-circuit level down to the one seen.

    .. math:: R = R_1 \frac{V - V_d}{V_0 - V}

    Parameters
    ----------
    level : float or array of shape (n,)
        V, the loaded level. [V]
    open_circuit : float or array of shape (n,)
        V0, the same rail without load. [V]
    source_resistance : float or array of shape (n,)
        R1. [Ω]
    drop : float or array of shape (n,)
        Vd; 0 on the low rail, which a load is seen on only without a diode. [V]

    Returns
    -------
    float or array of shape (n,)
        R. [Ω]

    Examples
    --------
    >>> round(load_from_levels(level=9.0, open_circuit=12.0, source_resistance=1000.0, drop=0.7))
    2767
    """
    return source_resistance * (level - drop) / (open_circuit - level)


def source_from_levels(*, level: Number, open_circuit: Number, load: Number, drop: Number) -> Number:
    r"""Return the source resistance that a known load shows.

    .. math:: R_1 = R \frac{V_0 - V}{V - V_d}

    Parameters
    ----------
    level : float or array of shape (n,)
        V, the level with the load. [V]
    open_circuit : float or array of shape (n,)
        V0, the level without it. [V]
    load : float or array of shape (n,)
        R, behind the diode. [Ω]
    drop : float or array of shape (n,)
        Vd; 0 for a load without diode, which makes the result the surer. [V]

    Returns
    -------
    float or array of shape (n,)
        R1. [Ω]

    Examples
    --------
    >>> round(source_from_levels(level=9.0, open_circuit=12.0, load=2740.0, drop=0.7))
    990
    """
    return load * (open_circuit - level) / (level - drop)


def vehicle_resistance(
    level: Quantity, *, open_circuit: Quantity, source_resistance: Quantity, drop: Quantity
) -> Quantity:
    """Return the resistance on the vehicle's side of the pilot, with its interval.

    Parameters
    ----------
    level : Quantity
        The loaded level. [V]
    open_circuit : Quantity
        The same rail without load; what both readings share of their instrument's error cancels by id. [V]
    source_resistance : Quantity
        R1, measured on this unit or as its tolerance has it. [Ω]
    drop : Quantity
        The diode's drop; exact 0 without one. [V]

    Returns
    -------
    Quantity
        R. [Ω] Its uncertainty is not known where that of an input is not.

    Raises
    ------
    OutsideRange
        The levels show no load, or one below the drop of the diode.

    Examples
    --------
    >>> scope = {"id": "scope: vertical", "label": "scope"}
    >>> found = vehicle_resistance(
    ...     rectangular(8.98, 0.27, "V", **scope),
    ...     open_circuit=rectangular(12.0, 0.36, "V", **scope),
    ...     source_resistance=Quantity(1000.0, 5.0, "Ω"),
    ...     drop=Quantity(0.7, 0.0, "V"),
    ... )
    >>> round(found.value), round(found.u)
    (2742, 14)
    """
    _check_loaded(level, open_circuit, drop)
    inputs = {
        "level": level,
        "open_circuit": open_circuit,
        "source_resistance": source_resistance,
        "drop": drop,
    }
    return propagate(load_from_levels, inputs, "Ω")


def source_resistance(level: Quantity, *, open_circuit: Quantity, load: Quantity, drop: Quantity) -> Quantity:
    """Return the source resistance of a unit from its level with and without a known load.

    Parameters
    ----------
    level : Quantity
        The level with the load. [V]
    open_circuit : Quantity
        The level without it, on the same rail. [V]
    load : Quantity
        The load, behind the diode. [Ω]
    drop : Quantity
        The diode's drop; exact 0 for a load without one, which is the better way to do it. [V]

    Returns
    -------
    Quantity
        R1. [Ω] Its uncertainty is not known where that of an input is not.

    Raises
    ------
    OutsideRange
        The levels show no load, or one below the drop of the diode.

    Examples
    --------
    >>> found = source_resistance(
    ...     Quantity(-8.79, 0.01, "V"),
    ...     open_circuit=Quantity(-12.0, 0.01, "V"),
    ...     load=Quantity(2740.0, 8.0, "Ω"),
    ...     drop=Quantity(0.0, 0.0, "V"),
    ... )
    >>> round(found.value), round(found.u, 1)
    (1001, 6.0)
    """
    _check_loaded(level, open_circuit, drop)
    inputs = {"level": level, "open_circuit": open_circuit, "load": load, "drop": drop}
    return propagate(source_from_levels, inputs, "Ω")


def quantity_of(limit: Limit, name: str) -> Quantity:
    """Return a part that is known by its tolerance only: anywhere between the two ends, rectangular.

    Parameters
    ----------
    limit : Limit
        With minimum and maximum.
    name : str
        Id of this one part: two results that rest on it share it.

    Returns
    -------
    Quantity
        The middle of the span and its half-width, in the unit of the limit.

    Raises
    ------
    InputError
        An own value of the case leaves an end open.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> part = quantity_of(load_book().limit("pilot.source-resistance.iec-3"), "R1")
    >>> part.value, round(part.u, 1)
    (1000.0, 17.3)
    """
    low, high = needed(limit, "minimum"), needed(limit, "maximum")
    return rectangular(0.5 * (low + high), 0.5 * (high - low), limit.unit, id=name, label=name)


def _check_loaded(level: Quantity, open_circuit: Quantity, drop: Quantity) -> None:
    """Refuse levels from which no resistance follows."""
    sign = -1.0 if open_circuit.value < 0.0 else 1.0
    if sign * level.value >= sign * open_circuit.value:
        raise OutsideRange(
            f"the level {format_value(level.value, 'V')} is not nearer to 0 V than the open-circuit level "
            f"{format_value(open_circuit.value, 'V')}: no load is seen; measure both on the same rail"
        )
    if sign * (level.value - drop.value) <= 0.0:
        raise OutsideRange(
            f"the level {format_value(level.value, 'V')} is not beyond the drop of the diode, "
            f"{format_value(drop.value, 'V')}: a short behind the diode, whose resistance the level does not tell"
        )
