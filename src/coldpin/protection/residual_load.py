"""The resistor box that drives a residual current: which resistance, and how much power it must bear."""

from __future__ import annotations

import math

from coldpin.errors import OutsideRange
from coldpin.records.trip_test import ResidualLoad
from coldpin.standards.book import Book
from coldpin.standards.residual_current import hold_span, trip_span
from coldpin.standards.table import needed


def half_waves(angle_deg: float = 0.0) -> float:
    r"""Return the r.m.s. value of the half waves behind a diode, as a part of that of the whole sine.

    .. math:: \sqrt{(\pi - \alpha + \tfrac{1}{2}\sin 2\alpha) / 2\pi}

    Parameters
    ----------
    angle_deg : float
        α, at which each half wave begins to conduct, 0 to 180. [°]

    Returns
    -------
    float
        The part. [1]

    Raises
    ------
    OutsideRange
        There is no such angle.

    Examples
    --------
    >>> round(half_waves(), 4), round(half_waves(90.0), 4)
    (0.7071, 0.5)

    Sources
    -------
    The integral of the squared sine from α to π over a whole period.
    """
    cut = math.radians(angle_deg)
    if not 0.0 <= cut <= math.pi:
        raise OutsideRange(f"half waves are cut at {angle_deg:g}°: give 0° to 180°")
    return math.sqrt(max(math.pi - cut + 0.5 * math.sin(2.0 * cut), 0.0) / (2.0 * math.pi))


def residual_load(book: Book, *, current_ma: float, voltage: float, hold: bool = False) -> ResidualLoad:
    r"""Return the resistance between output line and neutral ahead of the specimen that drives a residual current.

    .. math:: R = U / I, \qquad P = U^2 / R

    Parameters
    ----------
    book : Book
        The constants.
    current_ma : float
        Residual current I of the row. [mA]
    voltage : float
        Voltage U of the supply. [V]
    hold : bool
        True for a current at which the device must not act: then it may be a little less, else a little more.

    Returns
    -------
    ResidualLoad
        Resistances [Ω] and power [W].

    Raises
    ------
    OutsideRange
        Current or voltage is not above zero.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> load = residual_load(load_book(), current_ma=30.0, voltage=230.0)
    >>> round(load.most_ohm), round(load.least_ohm), round(load.power_w, 1), round(load.rated_w, 1)
    (7667, 6970, 7.6, 15.2)

    Sources
    -------
    Ohm's law; ``residual-current.test.*``, ``residual-current.resistor.load``.
    """
    if not current_ma > 0.0 or not voltage > 0.0:
        raise OutsideRange(f"test box for {current_ma:g} mA at {voltage:g} V: both must be above zero")
    span = hold_span(book) if hold else trip_span(book)
    least, most = needed(span, "minimum"), needed(span, "maximum")
    meant = voltage / (current_ma / 1000)
    power = voltage**2 / (meant / most)
    return ResidualLoad(
        current_ma=current_ma,
        voltage_v=voltage,
        least_ohm=meant / most,
        most_ohm=meant / least,
        power_w=power,
        rated_w=power / needed(book.limit("residual-current.resistor.load"), "maximum"),
    )
