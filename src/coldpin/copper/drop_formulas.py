r"""What conductors take from the voltage at a current, as warm as they are.

.. math:: u_1 = I\,[(R_{out} + R_{back}) \cos\varphi + 2 X \sin\varphi] \qquad
   u_3 = \sqrt{3}\, I\,(R \cos\varphi + X \sin\varphi)

With one phase the current goes out and comes back; with three, evenly loaded, nothing comes back, and the drop between
two lines is √3 times that of one. Either is divided by the voltage it is taken from, so a lead of three phases loses
half the per cent that it would with one.
"""

from __future__ import annotations

import math

from coldpin.copper.resistance import Number, temperature_factor
from coldpin.copper.steady import hot_resistance
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, format_value, propagate
from coldpin.standards.book import Book
from coldpin.standards.metals import temperature_coefficient

# What only leads to another quantity keeps its linear sum, with the shapes of its components: where these are far from
# normal, the last step finds the interval by draws.


def drop_of_one_phase(*, current: Number, out: Number, back: Number, reactance: Number, power_factor: Number) -> Number:
    r"""Return the voltage that is lost out and back with one phase.

    .. math:: u = I\,[(R_{out} + R_{back}) \cos\varphi + 2 X \sin\varphi]

    Parameters
    ----------
    current : float or array of shape (n,)
        I. [A]
    out : float or array of shape (n,)
        Resistance of the line conductor. [Ω]
    back : float or array of shape (n,)
        Resistance of the neutral conductor. [Ω]
    reactance : float or array of shape (n,)
        X, of each of the two. [Ω]
    power_factor : float or array of shape (n,)
        cos φ of a current that lags. [1]

    Returns
    -------
    float or array of shape (n,)
        u. [V]

    Examples
    --------
    >>> round(drop_of_one_phase(current=16.0, out=0.0475, back=0.0475, reactance=0.0, power_factor=1.0), 3)
    1.52

    Sources
    -------
    IEC 60364-5-52 annex G.
    """
    lag = (1.0 - power_factor**2) ** 0.5
    return current * ((out + back) * power_factor + 2.0 * reactance * lag)


def drop_of_three_phases(*, current: Number, line: Number, reactance: Number, power_factor: Number) -> Number:
    r"""Return the voltage that is lost between two lines with three phases, evenly loaded.

    .. math:: u = \sqrt{3}\, I\,(R \cos\varphi + X \sin\varphi)

    Parameters
    ----------
    current : float or array of shape (n,)
        I, in each line. [A]
    line : float or array of shape (n,)
        R, of one line conductor. [Ω]
    reactance : float or array of shape (n,)
        X, of one line conductor. [Ω]
    power_factor : float or array of shape (n,)
        cos φ of a current that lags. [1]

    Returns
    -------
    float or array of shape (n,)
        u. [V]

    Examples
    --------
    >>> round(drop_of_three_phases(current=16.0, line=0.0475, reactance=0.0, power_factor=1.0), 3)
    1.316

    Sources
    -------
    IEC 60364-5-52 annex G.
    """
    lag = (1.0 - power_factor**2) ** 0.5
    return math.sqrt(3.0) * current * (line * power_factor + reactance * lag)


def drop_at(drop: Quantity, read_at: Quantity, temperature: float, book: Book, *, metal: str = "copper") -> Quantity:
    """Return a drop that was read with conductors of one temperature as it is at another.

    Parameters
    ----------
    drop : Quantity
        As read, or a part of it. [V]
    read_at : Quantity
        Temperature of the conductors meanwhile. [°C]
    temperature : float
        The one wanted. [°C]
    book : Book
        The constants.
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    Quantity
        In the unit of the drop; its uncertainty is not known where that of an input is not.

    Raises
    ------
    OutsideRange
        The temperature is one that no conductor in use has.
    UnknownName
        There is no such metal.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = drop_at(Quantity(10.9, 0.05, "V"), Quantity(20.0, 0.5, "°C"), 60.0, load_book())
    >>> round(told.value, 2)
    12.61

    Sources
    -------
    IEC 60228 Annex B.
    """
    check_conductor_temperature(read_at.value)
    inputs: dict[str, Quantity | float] = {
        "drop": drop,
        "read_at": read_at,
        "temperature": temperature,
        "coefficient": temperature_coefficient(book, metal),
    }
    return propagate(_drop_at, inputs, drop.unit, monte_carlo=False)


def _drop_at(*, drop: Number, read_at: Number, temperature: float, coefficient: float) -> Number:
    cold = drop * temperature_factor(temperature=read_at, coefficient=coefficient)
    return hot_resistance(resistance=cold, temperature=temperature, coefficient=coefficient)


def at_temperature(resistance: Quantity, temperature: Quantity, book: Book, *, metal: str = "copper") -> Quantity:
    """Return a conductor's resistance at a temperature, with the uncertainty of both.

    Parameters
    ----------
    resistance : Quantity
        At 20 °C. [Ω]
    temperature : Quantity
        Of the conductor. [°C]
    book : Book
        The constants.
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    Quantity
        Its uncertainty is not known where that of an input is not. [Ω]

    Raises
    ------
    OutsideRange
        The resistance is below zero, or the temperature one that no conductor in use has.
    UnknownName
        There is no such metal.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> hot = at_temperature(Quantity(0.04, 1e-4, "Ω"), Quantity(90.0, 0.0, "°C"), load_book())
    >>> round(hot.value, 4), round(hot.u, 6)
    (0.051, 0.000128)
    """
    if resistance.value < 0.0:
        raise OutsideRange(
            f"a conductor's resistance is {format_value(resistance.value, 'Ω')}: it cannot be below 0 Ω; zero the "
            "leads of the meter and read again"
        )
    check_conductor_temperature(temperature.value)
    inputs: dict[str, Quantity | float] = {
        "resistance": resistance,
        "temperature": temperature,
        "coefficient": temperature_coefficient(book, metal),
    }
    return propagate(hot_resistance, inputs, "Ω", monte_carlo=False)


def check_conductor_temperature(temperature: float) -> None:
    """Refuse a temperature that no conductor in use has.

    Parameters
    ----------
    temperature : float
        Of the conductor. [°C]

    Raises
    ------
    OutsideRange
        It is colder or hotter than any, as one given in kelvin.

    Examples
    --------
    >>> check_conductor_temperature(333.0)
    Traceback (most recent call last):
    coldpin.errors.OutsideRange: conductor temperature is 333 °C: give one between -50 °C and 200 °C, not in kelvin
    """
    if not COLDEST <= temperature <= HOTTEST:
        raise OutsideRange(
            f"conductor temperature is {temperature:g} °C: give one between {COLDEST:g} °C and {HOTTEST:g} °C, not in "
            "kelvin"
        )


COLDEST = -50.0
HOTTEST = 200.0
"""Ours: no conductor in use is colder or hotter; a temperature given in kelvin lies beyond. [°C]"""


def lead_drop(
    *, current: Quantity, out: Quantity, back: Quantity, reactance: float = 0.0, power_factor: float = 1.0
) -> Quantity:
    """Return the voltage lost out and back with one phase, with the uncertainty of its inputs.

    Parameters
    ----------
    current : Quantity
        The current. [A]
    out : Quantity
        The line conductor, hot. [Ω]
    back : Quantity
        The neutral conductor, hot; the same quantity where only one was measured. [Ω]
    reactance : float
        Of each conductor. [Ω]
    power_factor : float
        cos φ. [1]

    Returns
    -------
    Quantity
        The drop. [V]

    Raises
    ------
    OutsideRange
        The power factor does not lie between 0 and 1.

    Examples
    --------
    >>> core = Quantity(0.0475, 2e-4, "Ω")
    >>> drop = lead_drop(current=Quantity(16.0, 0.0, "A"), out=core, back=core)
    >>> round(drop.value, 3)
    1.52
    """
    check_power_factor(power_factor)
    inputs: dict[str, Quantity | float] = {"current": current, "reactance": reactance, "power_factor": power_factor}
    if back is out:
        # one reading stands for both conductors: what is wrong with it is wrong twice
        return propagate(drop_of_equal_cores, {**inputs, "core": out}, "V")
    return propagate(drop_of_one_phase, {**inputs, "out": out, "back": back}, "V")


def drop_of_equal_cores(*, current: Number, core: Number, reactance: Number, power_factor: Number) -> Number:
    """Return the voltage that is lost out and back through two conductors of which one reading is known.

    Parameters
    ----------
    current : float or array of shape (n,)
        The current. [A]
    core : float or array of shape (n,)
        Resistance of each of the two, hot. [Ω]
    reactance : float or array of shape (n,)
        Of each of the two. [Ω]
    power_factor : float or array of shape (n,)
        cos φ of a current that lags. [1]

    Returns
    -------
    float or array of shape (n,)
        The drop. [V]

    Examples
    --------
    >>> round(drop_of_equal_cores(current=16.0, core=0.0475, reactance=0.0, power_factor=1.0), 3)
    1.52
    """
    return drop_of_one_phase(current=current, out=core, back=core, reactance=reactance, power_factor=power_factor)


def drop_of_one_line(*, current: Number, core: Number, reactance: Number, power_factor: Number) -> Number:
    """Return the voltage that one line loses with three phases, evenly loaded, so that nothing comes back.

    Parameters
    ----------
    current : float or array of shape (n,)
        In each line. [A]
    core : float or array of shape (n,)
        Resistance of one line conductor, hot. [Ω]
    reactance : float or array of shape (n,)
        Of one line conductor. [Ω]
    power_factor : float or array of shape (n,)
        cos φ of a current that lags. [1]

    Returns
    -------
    float or array of shape (n,)
        The drop. [V]

    Examples
    --------
    >>> round(drop_of_one_line(current=16.0, core=0.0475, reactance=0.0, power_factor=1.0), 3)
    0.76
    """
    between = drop_of_three_phases(current=current, line=core, reactance=reactance, power_factor=power_factor)
    return between / math.sqrt(3.0)


def check_power_factor(power_factor: float) -> None:
    """Refuse a power factor that nothing has.

    Parameters
    ----------
    power_factor : float
        cos φ. [1]

    Raises
    ------
    OutsideRange
        It does not lie above 0 and up to 1.

    Examples
    --------
    >>> check_power_factor(95.0)
    Traceback (most recent call last):
    coldpin.errors.OutsideRange: power factor is 95: give one above 0 and up to 1
    """
    if not 0.0 < power_factor <= 1.0:
        raise OutsideRange(f"power factor is {power_factor:g}: give one above 0 and up to 1")


def drop_of_resistance(resistance: float, current: float, temperature: float, book: Book) -> float:
    """Return the voltage that a resistance takes, as warm as the conductors are.

    Parameters
    ----------
    resistance : float
        At 20 °C. [Ω]
    current : float
        The part of the current that is in phase with the voltage. [A]
    temperature : float
        Of the conductors. [°C]
    book : Book
        The constants.

    Returns
    -------
    float
        The voltage. [V]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(drop_of_resistance(0.03, 16.0, 60.0, load_book()), 3)
    0.555
    """
    if not resistance:
        return 0.0
    hot = hot_resistance(resistance=resistance, temperature=temperature, coefficient=temperature_coefficient(book))
    return float(current * hot)
