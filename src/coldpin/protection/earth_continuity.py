"""What a protective conductor should read from its copper, and what is left of a reading when that is subtracted.

A reading from plug pin to connector pin is the copper of the cable and everything that joins it: pins, crimps,
terminals, a box in between. The copper can be reckoned from length and size; what is left is the joints, or a conductor
that is thinner or of another metal than is marked.
"""

from __future__ import annotations

from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, propagate, rectangular
from coldpin.standards.book import Book
from coldpin.standards.conductors import resistance_limit
from coldpin.standards.metals import resistivity, temperature_coefficient
from coldpin.standards.table import needed

PER_MM2 = 1e6
"""Square millimetres in a square metre. [mm²/m²]"""


def copper_resistance(*, per_length: float, length: float, coefficient: float, temperature: float) -> float:
    r"""Return the resistance of a conductor at a temperature.

    .. math:: R = r_{20} l \left(1 + \alpha (t - 20)\right)

    Parameters
    ----------
    per_length : float
        r, at 20 °C. [Ω/m]
    length : float
        l. [m]
    coefficient : float
        Of temperature. [1/K]
    temperature : float
        t of the copper. [°C]

    Returns
    -------
    float
        R. [Ω]

    Examples
    --------
    >>> round(copper_resistance(per_length=7.98e-3, length=5.0, coefficient=0.00393, temperature=11.0), 5)
    0.03849
    """
    return per_length * length * (1.0 + coefficient * (temperature - REFERENCE))


REFERENCE = 20.0
"""The temperature that resistances of conductors are referred to; the tables' own. [°C]"""


def expected_copper(book: Book, *, size_mm2: float, length: Quantity, temperature: Quantity) -> Quantity:
    """Return what the copper of a protective conductor of a marked size reads, as an interval.

    It ends at the most that a flexible tinned conductor of the size may have, and begins where the whole marked
    cross-section is copper.

    Parameters
    ----------
    book : Book
        The constants.
    size_mm2 : float
        The marked size. [mm²]
    length : Quantity
        Of the cable. [m]
    temperature : Quantity
        Of the copper. [°C]

    Returns
    -------
    Quantity
        With the interval of the conductor and the uncertainty of length and temperature. [Ω]

    Raises
    ------
    OutsideRange
        The length is not above 0, or the table has no such size.
    UnknownName
        The table has no such conductor.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> at = {"length": Quantity(5.0, 0.0, "m"), "temperature": Quantity(20.0, 0.0, "°C")}
    >>> found = expected_copper(load_book(), size_mm2=2.5, **at)
    >>> round(found.value, 4), round(found.expanded, 4)
    (0.0378, 0.0031)

    Sources
    -------
    ``conductor.class-5.tinned.*``, ``metal.copper.*``.
    """
    if not length.value > 0.0:
        raise OutsideRange(f"the length of the cable is {length.value:g} m: it must be above 0 m")
    most = 1e-3 * needed(resistance_limit(book, coating="tinned", cross_section_mm2=size_mm2), "maximum")
    least = resistivity(book) * PER_MM2 / size_mm2
    middle, half = 0.5 * (most + least), 0.5 * (most - least)
    label = f"copper of {size_mm2:g} mm², from its whole section to the most allowed"
    inputs: dict[str, Quantity | float] = {
        "per_length": rectangular(middle, half, "Ω/m", id="expected copper", label=label),
        "length": length,
        "coefficient": temperature_coefficient(book),
        "temperature": temperature,
    }
    return propagate(copper_resistance, inputs, "Ω")


def measured_copper(book: Book, *, per_metre: Quantity, length: Quantity, temperature: Quantity) -> Quantity:
    """Return what a protective conductor reads by the resistance of its metre, as that was measured.

    Parameters
    ----------
    book : Book
        The constants.
    per_metre : Quantity
        At 20 °C. [Ω/m]
    length : Quantity
        Of the cable. [m]
    temperature : Quantity
        Of the conductor. [°C]

    Returns
    -------
    Quantity
        With the uncertainty of all three. [Ω]

    Raises
    ------
    OutsideRange
        The length is not above 0.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> at = {"length": Quantity(4.0, 0.0, "m"), "temperature": Quantity(20.0, 0.0, "°C")}
    >>> round(measured_copper(load_book(), per_metre=Quantity(0.0184, 1e-4, "Ω/m"), **at).value, 4)
    0.0736

    Sources
    -------
    ``metal.copper.temperature-coefficient``: those of other metals of cords lie within 3 % of it.
    """
    if not length.value > 0.0:
        raise OutsideRange(f"the length of the cable is {length.value:g} m: it must be above 0 m")
    inputs: dict[str, Quantity | float] = {
        "per_length": per_metre,
        "length": length,
        "coefficient": temperature_coefficient(book),
        "temperature": temperature,
    }
    return propagate(copper_resistance, inputs, "Ω")


def beyond_copper(*, reading: float, copper: float) -> float:
    r"""Return what is left of a reading when the copper is subtracted: the joints.

    .. math:: R_j = R - R_{Cu}

    Parameters
    ----------
    reading : float
        From pin to pin. [Ω]
    copper : float
        Expected of the conductor. [Ω]

    Returns
    -------
    float
        What is left. [Ω]

    Examples
    --------
    >>> round(beyond_copper(reading=0.051, copper=0.0378), 4)
    0.0132
    """
    return reading - copper


def fault_touch_voltage(*, voltage: float, line: float, earth: float) -> float:
    r"""Return the voltage of a metal body against earth while line touches it and the device has not acted yet.

    The wiring before the socket is left out; where its line and earth are alike it draws the answer towards half of U.

    .. math:: U_b = U \frac{R_{PE}}{R_L + R_{PE}}

    Parameters
    ----------
    voltage : float
        U, of line to earth. [V]
    line : float
        R_L, of the line conductor. [Ω]
    earth : float
        R_PE, of the protective conductor. [Ω]

    Returns
    -------
    float
        U_b. [V]

    Raises
    ------
    OutsideRange
        A resistance is below 0, or both are 0.

    Examples
    --------
    >>> round(fault_touch_voltage(voltage=230.0, line=0.04, earth=0.04), 1)
    115.0
    """
    if line < 0.0 or earth < 0.0 or not line + earth > 0.0:
        raise OutsideRange(f"line {line:g} Ω and earth {earth:g} Ω: neither may be below 0 Ω, and not both may be 0 Ω")
    return voltage * earth / (line + earth)
