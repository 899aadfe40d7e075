r"""Resistance of a conductor: from a reading between two taps to ohms for each kilometre of cable at 20 °C.

.. math:: R'_{20} = \frac{1000\,R}{n\,L} \cdot \frac{1}{1 + \alpha (t + \Delta t - 20)}

L is the length of cable between the taps: the cores are laid up and longer than the cable, and IEC 60228 limits the
resistance for each kilometre of cable. n is the number of cores in series. t is the temperature of the metal before the
test current flowed, Δt by how much the current had warmed it when it was read.

"2.5 mm²" is no area but a resistance: 17.241 Ω·mm²/km over 2.5 mm² is 6.90 Ω/km, which no standard asks for, and 2.16
mm² of copper keep the limit of class 5.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError, OutsideRange, UnknownName
from coldpin.quantity import Quantity, add_components, convert, propagate, rectangular
from coldpin.standards.book import Book
from coldpin.standards.conductors import REFERENCE_TEMPERATURE
from coldpin.standards.metals import resistivity, temperature_coefficient
from coldpin.standards.table import needed

Number = float | NDArray[np.float64]

FOUR_WIRE, TWO_WIRE, CONTINUITY = "four-wire", "two-wire", "continuity meter"
METHODS = (FOUR_WIRE, TWO_WIRE, CONTINUITY)
"""How a resistance was read; only the first tells a cross-section."""

CORES_IN_SERIES = (1, 2)
"""One core by itself, or two joined at the far end."""


UNLIKE = 0.05
"""Ours: two directions of a current that differ by more of the drop than this did not see one conductor. [1]"""


def temperature_factor(*, temperature: Number, coefficient: float) -> Number:
    r"""Return the factor that refers a resistance to 20 °C, by the exact formula.

    .. math:: k_t = 1 / (1 + \alpha (t - 20))

    Parameters
    ----------
    temperature : float or array of shape (n,)
        Temperature t of the metal, not of the room. [°C]
    coefficient : float
        Temperature coefficient α of the metal at 20 °C. [1/K]

    Returns
    -------
    float or array of shape (n,)
        k_t. [1]

    Examples
    --------
    >>> round(temperature_factor(temperature=40.0, coefficient=0.00393), 4)
    0.9271

    Sources
    -------
    IEC 60228 Annex B (``metal.copper.temperature-coefficient``). The factors that IEC 60228 prints
    (``conductor-correction.*``) are rounded from 250/(230 + t) for both metals: 0.07 % beside this at 30 °C.
    """
    return 1.0 / (1.0 + coefficient * (temperature - REFERENCE_TEMPERATURE))


def linear_resistance(
    *, resistance: Number, length: Number, temperature: Number, rise: Number, cores: float, coefficient: float
) -> Number:
    r"""Return a conductor's resistance at 20 °C for each kilometre of cable.

    .. math:: R'_{20} = 1000 \frac{R}{n L} k_t(t + \Delta t)

    Parameters
    ----------
    resistance : float or array of shape (n,)
        R, between the taps. [Ω]
    length : float or array of shape (n,)
        L, of cable between the taps. [m]
    temperature : float or array of shape (n,)
        t, of the metal before the current flowed. [°C]
    rise : float or array of shape (n,)
        Δt, by how much the current had warmed it. [K]
    cores : float
        n, cores in series, 1 or 2. [1]
    coefficient : float
        α of the metal at 20 °C. [1/K]

    Returns
    -------
    float or array of shape (n,)
        R'. [Ω/km]

    Examples
    --------
    >>> found = linear_resistance(
    ...     resistance=0.0407, length=5.0, temperature=25.0, rise=0.0, cores=1.0, coefficient=0.00393
    ... )
    >>> round(found, 2)
    7.98

    Sources
    -------
    IEC 60228 Annex B; the limits are for each kilometre of cable.
    """
    factor = temperature_factor(temperature=temperature + rise, coefficient=coefficient)
    return 1000.0 * resistance / (length * cores) * factor


def equivalent_area(*, linear: Number, resistivity: float) -> Number:
    r"""Return the area of annealed copper that has a resistance for each kilometre.

    .. math:: A = \rho / R'_{20}

    Parameters
    ----------
    linear : float or array of shape (n,)
        R', at 20 °C. [Ω/km]
    resistivity : float
        ρ of copper at 20 °C. [Ω·m]

    Returns
    -------
    float or array of shape (n,)
        A: what the conductor is worth, not what it measures; clad wire is thicker than this. [mm²]

    Examples
    --------
    >>> round(equivalent_area(linear=7.98, resistivity=1.7241e-8), 2)
    2.16

    Sources
    -------
    ``metal.copper.resistivity``.
    """
    return 1e9 * resistivity / linear


def resistance_both_ways(*, forward: Number, reverse: Number, current: Number) -> Number:
    r"""Return a resistance from the drop with the current one way and the other.

    .. math:: R = \frac{|V_+| + |V_-|}{2 I}

    A thermal voltage adds to one drop what it takes from the other.

    Parameters
    ----------
    forward : float or array of shape (n,)
        V+, along the conductor between the taps. [V]
    reverse : float or array of shape (n,)
        V−, with the current reversed and the taps as they were; its sign may be written or left out. [V]
    current : float or array of shape (n,)
        I, the same both ways. [A]

    Returns
    -------
    float or array of shape (n,)
        R. [Ω]

    Examples
    --------
    >>> float(round(resistance_both_ways(forward=0.37002, reverse=-0.36998, current=10.0), 6))
    0.037

    Sources
    -------
    Ohm's law; reversal against thermal voltages is common practice.
    """
    return 0.5 * (np.abs(forward) + np.abs(reverse)) / np.abs(current)


def resistance_one_way(*, drop: Number, thermal: Number, current: Number) -> Number:
    r"""Return a resistance from one drop, with a thermal voltage in it that nobody knows.

    .. math:: R = \frac{|V| - E}{I}

    Parameters
    ----------
    drop : float or array of shape (n,)
        V, along the conductor between the taps. [V]
    thermal : float or array of shape (n,)
        E, of the taps on the wire. [V]
    current : float or array of shape (n,)
        I. [A]

    Returns
    -------
    float or array of shape (n,)
        R. [Ω]

    Examples
    --------
    >>> float(round(resistance_one_way(drop=0.370, thermal=0.0, current=10.0), 6))
    0.037

    Sources
    -------
    Ohm's law.
    """
    return (np.abs(drop) - thermal) / np.abs(current)


def resistance_of_drop(
    forward: Quantity, reverse: Quantity | None, current: Quantity, book: Book
) -> tuple[Quantity, tuple[str, ...]]:
    """Return a resistance from the drop along a conductor, and what is to be asked about it.

    Parameters
    ----------
    forward : Quantity
        The drop between the taps. [V]
    reverse : Quantity, optional
        The same with the current reversed; None where that was not done. [V]
    current : Quantity
        The current. [A]
    book : Book
        The constants.

    Returns
    -------
    Quantity
        The resistance; its uncertainty is not known where that of drop or current is not, or where the two directions
        are too unlike to be of one conductor. [Ω]
    tuple of str
        A remark on a missing or unlike reversal.

    Raises
    ------
    OutsideRange
        The current or the drop is zero.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> drop, current = Quantity(0.37, 2e-4, "V"), Quantity(10.0, 0.01, "A")
    >>> resistance, remarks = resistance_of_drop(drop, None, current, load_book())
    >>> round(resistance.value, 4), remarks[0].split(":")[0]
    (0.037, 'the current was not reversed')

    Sources
    -------
    ``conductor-measurement.thermal-voltage``.
    """
    if current.value == 0.0 or forward.value == 0.0:
        raise OutsideRange("a drop of 0 V, or one at 0 A, tells no resistance: check taps and source, and read again")
    if reverse is None:
        limit = book.limit("conductor-measurement.thermal-voltage")
        most = convert(needed(limit, "maximum"), limit.unit, "V")
        thermal = rectangular(0.0, most, "V", id=limit.id, label="thermal voltage of the taps")
        inputs = {"drop": forward, "thermal": thermal, "current": current}
        said = (
            f"the current was not reversed: a thermal voltage of up to {needed(limit, 'maximum'):g} {limit.unit} at "
            "the taps is taken into the uncertainty; read with both directions and it cancels"
        )
        return propagate(resistance_one_way, inputs, "Ω"), (said,)
    found = propagate(resistance_both_ways, {"forward": forward, "reverse": reverse, "current": current}, "Ω")
    first, second = abs(forward.value), abs(reverse.value)
    if abs(first - second) <= UNLIKE * max(first, second):
        return found, ()
    said = (
        f"the drops of both directions, {first:g} V and {second:g} V, differ by more than a thermal voltage can make: "
        "was the current the same, and did a tap move?"
    )
    return Quantity(found.value, None, found.unit, why=said), (said,)


def length_between_taps(length: Quantity, book: Book, *, step: float = 0.0) -> tuple[Quantity, tuple[str, ...]]:
    """Return the length of cable between the taps with the limits of the tape and of where the taps sit.

    Parameters
    ----------
    length : Quantity
        As measured; its limits are those of the tape. [m]
    book : Book
        The constants.
    step : float
        What one step of the last digit is worth that was written of it, where that is known. [m]

    Returns
    -------
    Quantity
        The length; where no limits are stated those of a tape in the table are taken, or half of the last digit where
        that is more: "5 m" is not 5.000 m. [m]
    tuple of str
        A remark on what was taken for granted.

    Raises
    ------
    OutsideRange
        The length is not above zero, or its limits reach down to there.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> length, remarks = length_between_taps(Quantity(5.0, None, "m"), load_book())
    >>> round(1000.0 * length.u, 2), len(remarks)
    (4.97, 1)

    Sources
    -------
    ``conductor-measurement.tape``, ``conductor-measurement.taps``.
    """
    if not length.value > 0.0:
        raise OutsideRange(
            f"the length between the taps is {length.value:g} m; it must be above 0: give the length of cable, as "
            "'5.00 m'"
        )
    if length.low is not None and not length.low > 0.0:
        raise OutsideRange(
            f"the length between the taps is {length.value:g} m, give or take {length.expanded or 0.0:.2g} m: that "
            "reaches down to none: measure it, as '5.00 m ± 5 mm'"
        )
    taps = _limits(book, "conductor-measurement.taps", "m", "where the taps sit")
    if length.u is not None:
        return add_components(_named(length, "conductor: length", "tape"), taps.components), ()
    tape = _limits(book, "conductor-measurement.tape", "m", "tape")
    exact = replace(length, u=0.0, low=None, high=None, why="")
    shown = needed(book.limit("conductor-measurement.tape"), "maximum")
    remark = f"no limits of the length are stated: ± {shown:g} mm of a tape are taken, and the seat of the taps added"
    rounded = 0.5 * step
    if 1000.0 * rounded > shown * _ROUNDING:
        tape = rectangular(0.0, rounded, "m", id="conductor: length: last digit", label="length as it is written")
        remark = (
            f"no limits of the length are stated, and it is written to {step:g} m: ± {rounded:g} m, half of its last "
            "digit, is taken, and the seat of the taps added; measure it to the centimetre"
        )
    return add_components(exact, (*tape.components, *taps.components)), (remark,)


_ROUNDING = 1.0 + 1e-9
"""Room for the rounding of a product of decimal fractions."""


def metal_temperature(temperature: Quantity, book: Book) -> tuple[Quantity, tuple[str, ...]]:
    """Return the temperature of the metal with an uncertainty, and what was taken for granted.

    Parameters
    ----------
    temperature : Quantity
        As measured, of the metal before the current flowed. [°C]
    book : Book
        The constants.

    Returns
    -------
    Quantity
        The temperature; where no limits are stated those of the table are taken. [°C]
    tuple of str
        A remark where no limits are stated.

    Raises
    ------
    OutsideRange
        So cold that copper would have no resistance: a rise or a temperature in kelvin was written as one in °C, or
        the other way round.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> temperature, remarks = metal_temperature(Quantity(25.0, None, "°C"), load_book())
    >>> round(temperature.u, 2), len(remarks)
    (1.15, 1)

    Sources
    -------
    ``conductor-measurement.thermometer``.
    """
    if not 1.0 + temperature_coefficient(book) * (temperature.value - REFERENCE_TEMPERATURE) > 0.0:
        raise OutsideRange(
            f"the metal is said to be at {_degrees(temperature)} °C, where copper would have no resistance left: give "
            "its temperature in °C, as '25 °C', or in kelvin from absolute zero"
        )
    if temperature.u is not None:
        return _named(temperature, "conductor: temperature", "temperature of the metal"), ()
    limit = book.limit("conductor-measurement.thermometer")
    most = needed(limit, "maximum")
    taken = rectangular(temperature.value, most, "°C", id=limit.id, label="temperature of the metal")
    said = f"no limits of the metal's temperature are stated: ± {most:g} K are taken"
    return taken, (said,)


def temperature_questions(temperature: Quantity, book: Book) -> tuple[str, ...]:
    """Return what is to be asked about a temperature for which no factor is printed.

    Parameters
    ----------
    temperature : Quantity
        Of the metal, as measured. [°C]
    book : Book
        The constants.

    Returns
    -------
    tuple of str
        Empty where it is usual.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> temperature_questions(Quantity(298.0, 1.0, "°C"), load_book())[0].partition(";")[0]
    'the metal is said to be at 298 °C, outside 5 °C to 50 °C for which factors to 20 °C are printed'

    Sources
    -------
    ``conductor-measurement.temperature``.
    """
    span = book.limit("conductor-measurement.temperature")
    low, high = needed(span, "minimum"), needed(span, "maximum")
    if low <= temperature.value <= high:
        return ()
    asked = (
        f"the metal is said to be at {_degrees(temperature)} °C, outside {low:g} °C to {high:g} °C for which factors "
        "to 20 °C are printed; is the unit right, and did the cable lie in the room long enough?"
    )
    return (asked,)


def _degrees(temperature: Quantity) -> str:
    return f"{temperature.value:.4g}".replace("-", "−")


def resistance_at_20(
    resistance: Quantity,
    *,
    length: Quantity,
    temperature: Quantity,
    rise: Quantity,
    cores_in_series: int = 1,
    metal: str = "copper",
    book: Book,
) -> Quantity:
    """Return a conductor's resistance at 20 °C for each kilometre of cable, with its budget.

    Parameters
    ----------
    resistance : Quantity
        Between the taps. [Ω]
    length : Quantity
        Of cable between the taps. [m]
    temperature : Quantity
        Of the metal before the current flowed. [°C]
    rise : Quantity
        By how much the current had warmed it. [K]
    cores_in_series : int
        1 or 2.
    metal : str
        "copper" or "aluminium", for the temperature coefficient.
    book : Book
        The constants.

    Returns
    -------
    Quantity
        R'; its uncertainty is not known where that of an input is not. [Ω/km]

    Raises
    ------
    InputError
        There are neither one nor two cores in series.
    UnknownName
        There is no such metal.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> found = resistance_at_20(
    ...     Quantity(0.052, 2e-4, "Ω"),
    ...     length=Quantity(5.0, 0.005, "m"),
    ...     temperature=Quantity(25.0, 0.6, "°C"),
    ...     rise=Quantity(0.0, 0.0, "K"),
    ...     book=load_book(),
    ... )
    >>> round(found.value, 2), round(found.u, 3)
    (10.2, 0.047)

    Sources
    -------
    JCGM 100:2008; IEC 60228 Annex B.
    """
    if cores_in_series not in CORES_IN_SERIES:
        raise InputError(f"{cores_in_series} cores in series; it is 1, or 2 where two are joined at the far end")
    inputs: dict[str, Quantity | float] = {
        "resistance": resistance,
        "length": length,
        "temperature": temperature,
        "rise": rise,
        "cores": float(cores_in_series),
        "coefficient": temperature_coefficient(book, metal),
    }
    return propagate(linear_resistance, inputs, "Ω/km")


def area_of(linear: Quantity, book: Book) -> Quantity:
    """Return the area of annealed copper that has a conductor's resistance.

    Parameters
    ----------
    linear : Quantity
        R', at 20 °C. [Ω/km]
    book : Book
        The constants.

    Returns
    -------
    Quantity
        The area; its lower end alone where the resistance cannot be told from none. [mm²]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(area_of(Quantity(10.2, 0.05, "Ω/km"), load_book()).value, 2)
    1.69

    Sources
    -------
    ``metal.copper.resistivity``.
    """
    copper = resistivity(book)
    if linear.low is None or linear.low > 0.0:
        return propagate(equivalent_area, {"linear": linear, "resistivity": copper}, "mm²")
    value = float(equivalent_area(linear=linear.value, resistivity=copper))
    least = None if linear.high is None else float(equivalent_area(linear=linear.high, resistivity=copper))
    return Quantity(value, None, "mm²", low=least, why=NO_LARGEST_AREA)


NO_LARGEST_AREA = "the resistance is too uncertain to tell it from none: the area has no upper end"
"""Why an area is told by its lower end alone."""


def no_evidence_of_size(method: str, book: Book) -> str:
    """Return why a way of reading a resistance tells no cross-section.

    Parameters
    ----------
    method : str
        One of :data:`METHODS`.
    book : Book
        The constants.

    Returns
    -------
    str
        The reason; empty for a four-wire reading.

    Raises
    ------
    UnknownName
        There is no such method.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> no_evidence_of_size("four-wire", load_book()), no_evidence_of_size("two-wire", load_book())[:34]
    ('', 'a two-wire reading holds leads and')

    Sources
    -------
    ``conductor-measurement.continuity-meter``.
    """
    if method not in METHODS:
        raise UnknownName.among("way of reading a resistance", method, METHODS)
    if method == FOUR_WIRE:
        return ""
    if method == TWO_WIRE:
        return (
            "a two-wire reading holds leads and clips, which resist as much as the conductor: read with two wires for "
            "the current and two for the voltage, these inside of those"
        )
    limit = book.limit("conductor-measurement.continuity-meter")
    return (
        "a continuity meter proves that a conductor is joined and nothing of its cross-section: it may be wrong by "
        f"{needed(limit, 'maximum'):g} % ({limit.source}, standing: {limit.standing})"
    )


def _limits(book: Book, name: str, unit: str, label: str) -> Quantity:
    limit = book.limit(name)
    return rectangular(0.0, convert(needed(limit, "maximum"), limit.unit, unit), unit, id=limit.id, label=label)


def _named(quantity: Quantity, name: str, label: str) -> Quantity:
    """Return a quantity whose components have an id and a label for the budget."""
    if not quantity.components:
        return quantity
    named = tuple(
        replace(component, id=component.id or name, label=component.label or label) for component in quantity.components
    )
    return replace(quantity, components=named)
