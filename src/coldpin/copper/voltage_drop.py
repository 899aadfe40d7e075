r"""Voltage drop: what a lead takes from the voltage at a current, hot, and what is left for the wiring and the car.

.. math:: u_1 = I\,[(R_{out} + R_{back}) \cos\varphi + 2 X \sin\varphi] \qquad
   u_3 = \sqrt{3}\, I\,(R \cos\varphi + X \sin\varphi)

With one phase the current goes out and comes back; with three, evenly loaded, nothing comes back, and the drop between
two lines is √3 times that of one. Either is divided by the voltage it is taken from, so a lead of three phases loses
half the per cent that it would with one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from coldpin.copper.resistance import Number, temperature_factor
from coldpin.copper.steady import hot_resistance
from coldpin.copper.voltage_at_vehicle import at_vehicle
from coldpin.copper.voltage_drop_telling import (
    MEASURED,
    questions,
    questions_of_supply,
    remarks,
    remarks_of_supply,
    statements,
)
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, decide, format_value, propagate
from coldpin.records.finding import Outcome
from coldpin.records.lead_way import BEYOND_TAPS, NONE_APART, LeadWay
from coldpin.records.voltage_drop import SourceImpedance, TabulatedDrop, VoltageDrop
from coldpin.standards.book import Book
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import (
    cable_reactance,
    check_phases,
    cord_temperature,
    drop_limit,
    printed_drop,
    supply_voltage,
)
from coldpin.standards.wording import limit_value

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
    _check_power_factor(power_factor)
    inputs: dict[str, Quantity | float] = {"current": current, "reactance": reactance, "power_factor": power_factor}
    if back is out:
        # one reading stands for both conductors: what is wrong with it is wrong twice
        return propagate(_drop_of_equal_cores, {**inputs, "core": out}, "V")
    return propagate(drop_of_one_phase, {**inputs, "out": out, "back": back}, "V")


def _drop_of_equal_cores(*, current: Number, core: Number, reactance: Number, power_factor: Number) -> Number:
    return drop_of_one_phase(current=current, out=core, back=core, reactance=reactance, power_factor=power_factor)


def _drop_of_one_line(*, current: Number, core: Number, reactance: Number, power_factor: Number) -> Number:
    between = drop_of_three_phases(current=current, line=core, reactance=reactance, power_factor=power_factor)
    return between / math.sqrt(3.0)


def _check_power_factor(power_factor: float) -> None:
    if not 0.0 < power_factor <= 1.0:
        raise OutsideRange(f"power factor is {power_factor:g}: give one above 0 and up to 1")


@dataclass(frozen=True, slots=True, kw_only=True)
class NotCounted:
    """What of the way through a lead is in none of its figures, and the most that is allowed for it at 20 °C. [Ω]

    ``told`` says what was added, scaled or taken for granted in those figures.
    """

    what: tuple[str, ...] = ()
    allowed_20: float = 0.0
    told: tuple[str, ...] = ()


ALL_COUNTED = NotCounted()
"""Everything between plug and car is in the figures."""


def voltage_drop(
    core_20: Quantity,
    *,
    current: Quantity,
    conductor_temperature: Quantity | float,
    book: Book,
    phases: int = 1,
    beyond: NotCounted = ALL_COUNTED,
    power_factor: float = 1.0,
    length: float | None = None,
    nominal_mm2: float | None = None,
    from_what: str = MEASURED,
    source: SourceImpedance | None = None,
    unloaded: Quantity | None = None,
    private_source: bool = False,
    asked: Iterable[str] = (),
) -> VoltageDrop:
    """Return what a lead takes from the voltage at a current, and what is left.

    Parameters
    ----------
    core_20 : Quantity
        One conductor of the lead from end to end, at 20 °C: with one phase the mean of line and neutral. [Ω]
    current : Quantity
        The current in each line. [A]
    conductor_temperature : Quantity or float
        Of the conductors at that current; a float is one that the question supposes: then it is within only if it is so
        with conductors as hot as in the hottest table too. [°C]
    book : Book
        The constants.
    phases : int
        1 or 3.
    beyond : NotCounted
        What of the way is not in it, and the most that is allowed for it.
    power_factor : float
        cos φ of a current that lags. [1]
    length : float, optional
        Of the cable, for its reactance and the printed table; without it neither is told. [m]
    nominal_mm2 : float, optional
        The marked size, for the printed table. [mm²]
    from_what : str
        Where the resistance is from: "measured", or the class that it was taken from.
    source : SourceImpedance, optional
        Of the supply at the socket.
    unloaded : Quantity, optional
        The voltage at the socket without load, line to neutral; where it was not read the nominal one, of unknown
        accuracy. [V]
    private_source : bool
        Whether the installation has a source of its own.
    asked : iterable of str
        What is asked of an input that looks mistaken: then nothing is decided.

    Returns
    -------
    VoltageDrop
        The drop of the lead alone, placed against the limit for a whole installation, and the voltage at the car where
        something is known of the supply.

    Raises
    ------
    OutsideRange
        Phases, power factor, temperature, current, length or resistance are no such thing.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = voltage_drop(
    ...     Quantity(0.0407, 2e-4, "Ω"),
    ...     current=Quantity(16.0, 0.0, "A"),
    ...     conductor_temperature=60.0,
    ...     book=load_book(),
    ... )
    >>> round(told.lead_v.value, 2), round(told.lead_percent.value, 2), told.outcome.value
    (1.51, 0.66, 'within')

    Sources
    -------
    IEC 60364-5-52 annex G (``drop-limit.*``); BS 7671 tables 4F2B and 4F3B (``drop.*``).
    """
    check_phases(phases)
    _check_power_factor(power_factor)
    if current.value <= 0.0:
        raise OutsideRange(f"current is {format_value(current.value, 'A')}: a drop needs one above 0 A")
    if length is not None and length <= 0.0:
        raise OutsideRange(f"length is {length:g} m: a cable is longer than 0 m")
    warm, warmer = conductor_temperature, 0.0
    if not isinstance(warm, Quantity):
        warmer = more_if_hot(warm, book)
        warm = Quantity(warm, 0.0, "°C")
    hot = at_temperature(core_20, warm, book)
    reactance = 0.0 if length is None else cable_reactance(book) * length
    given: dict[str, Quantity | float] = {
        "current": current,
        "core": hot,
        "reactance": reactance,
        "power_factor": power_factor,
    }
    lost = propagate(_drop_of_equal_cores if phases == 1 else _drop_of_one_line, given, "V")
    nominal = supply_voltage(book)
    percent = propagate(_percent, {"lost": lost, "nominal": nominal}, "%")
    limit = drop_limit(book, private_source=private_source)
    most = needed(limit, "maximum")
    in_doubt = (*asked, *questions(core_20, current, percent))
    decision = decide(percent, maximum=most)
    allowed_v = drop_of_resistance(beyond.allowed_20, current.value * power_factor, warm.value, book)
    allowed = float(_percent(lost=allowed_v, nominal=nominal))
    highest = _higher(percent, allowed + warmer * percent.value)
    hidden = decision.outcome == WITHIN and decide(highest, maximum=most).outcome != WITHIN
    outcome = Outcome.UNDECIDED if in_doubt or hidden else Outcome(decision.outcome)
    vehicle = None
    of_supply = questions_of_supply(source, unloaded, nominal)
    if source is not None:
        vehicle = at_vehicle(lost, current=current, source=source, unloaded=unloaded, book=book)
        highest = _higher(lost, allowed_v + warmer * lost.value)
        least = at_vehicle(highest, current=current, source=source, unloaded=unloaded, book=book)
        if in_doubt or of_supply or (vehicle.outcome is Outcome.WITHIN and least.outcome is not Outcome.WITHIN):
            vehicle = replace(vehicle, outcome=Outcome.UNDECIDED, probability=None)
    tabulated = _tabulated(book, nominal_mm2, warm.value, phases, current.value, length)
    return VoltageDrop(
        schema="coldpin.voltage_drop/1",
        phases=phases,
        current_a=current,
        power_factor=power_factor,
        core_20c_ohm=core_20,
        core_hot_ohm=hot,
        conductor_temperature_c=warm.value,
        from_what=from_what,
        lead_v=lost,
        lead_percent=percent,
        limit=limit,
        left_percent=propagate(_left, {"part": percent, "whole": most}, "%", monte_carlo=False),
        outcome=outcome,
        probability=None if in_doubt or hidden else decision.probability,
        tabulated=tabulated,
        vehicle=vehicle,
        statements=statements(
            lost,
            percent,
            most,
            outcome,
            current,
            vehicle,
            phases,
            asked=bool(in_doubt),
            supply_asked=bool(of_supply),
            hidden=hidden,
            allowed=allowed,
            warmer=bool(warmer),
        ),
        remarks=(
            *remarks(phases, from_what, warm.value, limit_value(limit), beyond.told, beyond.what, allowed),
            *remarks_of_supply(phases, source, unloaded=unloaded is not None),
        ),
        questions=tuple(dict.fromkeys((*in_doubt, *of_supply))),
        not_counted=beyond.what,
        allowed_percent=allowed,
    )


WITHIN = "within"


def drop_of_way(
    way: LeadWay,
    phases: int,
    nominal_mm2: float | None,
    current: float,
    book: Book,
    *,
    length: float | None = None,
    conductor_temperature: Quantity | float | None = None,
    source: SourceImpedance | None = None,
    unloaded: Quantity | None = None,
) -> VoltageDrop:
    """Return what a lead whose conductors were read takes from the voltage: the one reckoning of checks and pages.

    Parameters
    ----------
    way : LeadWay
        Line and neutral as read.
    phases : int
        1 or 3.
    nominal_mm2 : float or None
        The marked size, for the printed table. [mm²]
    current : float
        In each line. [A]
    book : Book
        The constants.
    length : float, optional
        Of the same cable; its own where left out. [m]
    conductor_temperature : Quantity or float, optional
        Of the conductors at that current; that of the printed table where left out. [°C]
    source, unloaded : SourceImpedance and Quantity, optional
        As in :func:`voltage_drop`.

    Returns
    -------
    VoltageDrop
        With what of the way is not counted.

    Raises
    ------
    OutsideRange
        As for :func:`voltage_drop`.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> line, neutral = Quantity(0.04, 1e-4, "Ω"), Quantity(0.06, 1e-4, "Ω")
    >>> way = LeadWay(
    ...     out_20_ohm=line,
    ...     back_20_ohm=neutral,
    ...     mean_20_ohm=Quantity(0.05, 1e-4, "Ω"),
    ...     mean_per_metre_20_ohm=Quantity(0.01, 2e-5, "Ω/m"),
    ...     length_m=5.0,
    ... )
    >>> [round(drop_of_way(way, 1, None, 16.0, load_book(), length=long).lead_v.value, 2) for long in (5.0, 10.0)]
    [1.85, 3.7]
    """
    own = length is None or length == way.length_m
    core, allowed = way.mean_20_ohm, way.allowed_20_ohm
    if length is not None and not own:
        core = along(way.mean_per_metre_20_ohm, length, way.joints_20_ohm)
        allowed = way.allowed_joints_20_ohm + way.allowed_per_metre_20_ohm * length
    beyond = tuple(what for what in way.not_counted if own or what != BEYOND_TAPS)
    told = voltage_drop(
        core,
        current=Quantity(current, 0.0, "A"),
        conductor_temperature=cord_temperature(book) if conductor_temperature is None else conductor_temperature,
        book=book,
        phases=phases,
        beyond=NotCounted(what=beyond, allowed_20=allowed, told=way.told if own else way.taken),
        length=way.length_m if length is None else length,
        nominal_mm2=nominal_mm2,
        source=source,
        unloaded=unloaded,
    )
    return replace(told, line_20c_ohm=way.out_20_ohm, neutral_20c_ohm=way.back_20_ohm) if own else told


def along(per_metre: Quantity, length: float, joints: Quantity = NONE_APART) -> Quantity:
    """Return what a conductor has over a length.

    Parameters
    ----------
    per_metre : Quantity
        Of one metre. [Ω/m]
    length : float
        The length. [m]
    joints : Quantity
        At its ends. [Ω]

    Returns
    -------
    Quantity
        The resistance. [Ω]

    Examples
    --------
    >>> along(Quantity(0.008, 2e-5, "Ω/m"), 5.0).value
    0.04
    """
    given: dict[str, Quantity | float] = {"per_metre": per_metre, "length": length, "joints": joints}
    return propagate(_along, given, "Ω", monte_carlo=False)


def _along(*, per_metre: float, length: float, joints: float) -> float:
    return per_metre * length + joints


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


def more_if_hot(temperature: float, book: Book) -> float:
    """Return how much more conductors take that are as hot as in the hottest printed table.

    Parameters
    ----------
    temperature : float
        For which their drop is told. [°C]
    book : Book
        The constants.

    Returns
    -------
    float
        As a part of that drop. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(more_if_hot(60.0, load_book()), 3), more_if_hot(95.0, load_book())
    (0.102, 0.0)
    """
    coefficient = temperature_coefficient(book)
    hot, told = (
        hot_resistance(resistance=1.0, temperature=one, coefficient=coefficient)
        for one in (max(HOTTEST_TABLE, temperature), temperature)
    )
    return float(hot / told - 1.0)


HOTTEST_TABLE = 90.0
"""Ours: conductors whose temperature nobody measured may be as hot as the hottest printed table has them. [°C]"""


def _higher(quantity: Quantity, by: float) -> Quantity:
    """Return a quantity moved up as a whole."""
    if not by:
        return quantity
    return propagate(_moved, {"quantity": quantity, "by": by}, quantity.unit, monte_carlo=False)


def _moved(*, quantity: Number, by: float) -> Number:
    return quantity + by


def _percent(*, lost: Number, nominal: float) -> Number:
    return 100.0 * lost / nominal


def _left(*, part: Number, whole: float) -> Number:
    return whole - part


def _tabulated(
    book: Book, size: float | None, temperature: float, phases: int, current: float, length: float | None
) -> TabulatedDrop | None:
    if size is None or length is None:
        return None
    row = printed_drop(book, cross_section_mm2=size, conductor_temperature=temperature, phases=phases)
    if row is None:
        return None
    # the table prints three phases between lines; the drop told here is that of one line
    drop = row.per_ampere_metre * current * length / (math.sqrt(3.0) if phases == 3 else 1.0)
    return TabulatedDrop(drop_v=drop, conductor_temperature_c=row.conductor_temperature, limit=row.limit)
