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
from dataclasses import replace

from coldpin.copper.resistance import Number, temperature_factor
from coldpin.copper.steady import hot_resistance
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, decide, format_quantity, format_value, propagate
from coldpin.records.finding import Outcome
from coldpin.records.voltage_drop import SourceImpedance, TabulatedDrop, VoltageAtVehicle, VoltageDrop
from coldpin.standards.book import Book
from coldpin.standards.conductors import temperature_coefficient
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import (
    cable_reactance,
    check_phases,
    drop_limit,
    printed_drop,
    supply_tolerance,
    supply_voltage,
)
from coldpin.standards.wording import limit_value, number_text

MEASURED = "measured"
"""How a resistance that was read is told, beside one that was taken from a class."""

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
    _check_temperature(read_at.value)
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
    _check_temperature(temperature.value)
    inputs: dict[str, Quantity | float] = {
        "resistance": resistance,
        "temperature": temperature,
        "coefficient": temperature_coefficient(book, metal),
    }
    return propagate(hot_resistance, inputs, "Ω", monte_carlo=False)


def _check_temperature(temperature: float) -> None:
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


def voltage_drop(
    core_20: Quantity,
    *,
    current: Quantity,
    conductor_temperature: Quantity | float,
    book: Book,
    phases: int = 1,
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
        One conductor of the lead from end to end, at 20 °C. [Ω]
    current : Quantity
        The current in each line. [A]
    conductor_temperature : Quantity or float
        Of the conductors at that current; a float is one that the question supposes. [°C]
    book : Book
        The constants.
    phases : int
        1 or 3.
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
    warm = conductor_temperature
    if not isinstance(warm, Quantity):
        warm = Quantity(warm, 0.0, "°C")
    hot = at_temperature(core_20, warm, book)
    reactance = 0.0 if length is None else cable_reactance(book) * length
    formula = _drop_of_equal_cores if phases == 1 else _drop_of_one_line
    given: dict[str, Quantity | float] = {
        "current": current,
        "core": hot,
        "reactance": reactance,
        "power_factor": power_factor,
    }
    lost = propagate(formula, given, "V")
    nominal = supply_voltage(book)
    percent = propagate(_percent, {"lost": lost, "nominal": nominal}, "%")
    limit = drop_limit(book, private_source=private_source)
    most = needed(limit, "maximum")
    questions = (*asked, *_questions(core_20, current, percent))
    decision = decide(percent, maximum=most)
    outcome = Outcome.UNDECIDED if questions else Outcome(decision.outcome)
    vehicle = None
    if source is not None:
        vehicle = at_vehicle(lost, current=current, source=source, unloaded=unloaded, book=book)
        if questions:
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
        probability=None if questions else decision.probability,
        tabulated=tabulated,
        vehicle=vehicle,
        statements=_statements(lost, percent, most, outcome, current, vehicle, phases, asked=bool(questions)),
        remarks=_remarks(phases, from_what, warm.value, limit_value(limit), source, unloaded=unloaded is not None),
        questions=questions,
    )


def _questions(core_20: Quantity, current: Quantity, percent: Quantity) -> tuple[str, ...]:
    """Ask about values that no lead has; nothing is corrected."""
    asked = []
    if current.value > MOST_CURRENT:
        asked.append(
            f"The current is {format_value(current.value, 'A')}, more than any charging lead carries: is it in mA?"
        )
    if percent.value > MOST_PERCENT:
        asked.append(
            f"The lead would take {said(percent)} of the supply's voltage: are resistance (mΩ) and current (A) in the "
            "units that were written?"
        )
    if core_20.value < LEAST_CORE:
        asked.append(
            f"A conductor of {said(core_20)} from end to end is less than that of the shortest lead: is it in mΩ?"
        )
    return tuple(asked)


MOST_CURRENT = 100.0
"""Ours: couplers for alternating current end at 63 A to 80 A; a larger current is asked about. [A]"""

MOST_PERCENT = 20.0
"""Ours: a lead that takes a fifth of the voltage would glow; such a drop is asked about. [%]"""

LEAST_CORE = 1e-3
"""Ours: a metre of 16 mm² has more; a smaller resistance is asked about. [Ω]"""


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


def at_vehicle(
    lead: Quantity,
    *,
    current: Quantity,
    source: SourceImpedance,
    book: Book,
    unloaded: Quantity | None = None,
) -> VoltageAtVehicle:
    """Return the voltage at the car, and what it is above the lowest that a supply may have.

    Parameters
    ----------
    lead : Quantity
        What the lead takes, line to neutral. [V]
    current : Quantity
        The current. [A]
    source : SourceImpedance
        Of the supply at the socket.
    book : Book
        The constants.
    unloaded : Quantity, optional
        The voltage at the socket without load; the nominal one, of unknown accuracy, where it was not read. [V]

    Returns
    -------
    VoltageAtVehicle
        Voltage, drop of the whole path, and what is left of the supply's tolerance.

    Raises
    ------
    InputError
        An own value of the case leaves out a number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> known = SourceImpedance(resistance_ohm=Quantity(0.25, 0.02, "Ω"), method="stated")
    >>> lead, load = Quantity(1.5, 0.01, "V"), Quantity(16.0, 0.0, "A")
    >>> told = at_vehicle(lead, current=load, source=known, book=load_book(), unloaded=Quantity(230.0, 0.5, "V"))
    >>> round(told.at_vehicle_v.value, 1), round(told.left_v.value, 1), told.outcome.value
    (224.5, 17.5, 'within')
    >>> at_vehicle(lead, current=load, source=known, book=load_book()).outcome.value
    'undecided'

    Sources
    -------
    ``supply.tolerance``, IEC 60038 and EN 50160.
    """
    nominal = supply_voltage(book)
    before = unloaded if unloaded is not None else Quantity(nominal, None, "V", why=NOT_READ)
    taken = propagate(_source_drop, {"current": current, "resistance": source.resistance_ohm}, "V", monte_carlo=False)
    left = propagate(_at_vehicle, {"before": before, "source": taken, "lead": lead}, "V")
    tolerance = supply_tolerance(book)
    least = nominal * (1.0 + needed(tolerance, "minimum") / 100.0)
    decision = decide(left, minimum=least)
    return VoltageAtVehicle(
        unloaded_v=before,
        source=source,
        source_drop_v=taken,
        at_vehicle_v=left,
        path_percent=propagate(
            _path_percent, {"source": taken, "lead": lead, "nominal": nominal}, "%", monte_carlo=False
        ),
        tolerance=tolerance,
        least_v=least,
        left_v=propagate(_above, {"voltage": left, "least": least}, "V", monte_carlo=False),
        outcome=Outcome(decision.outcome),
        probability=decision.probability,
    )


NOT_READ = "the voltage without load was not read"


def _source_drop(*, current: Number, resistance: Number) -> Number:
    return current * resistance


def _at_vehicle(*, before: Number, source: Number, lead: Number) -> Number:
    return before - source - lead


def _path_percent(*, source: Number, lead: Number, nominal: float) -> Number:
    return 100.0 * (source + lead) / nominal


def _above(*, voltage: Number, least: float) -> Number:
    return voltage - least


def said(quantity: Quantity) -> str:
    """Return a quantity in words; of one without an uncertainty of its own, exact or not known, four figures.

    Parameters
    ----------
    quantity : Quantity
        The quantity.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> said(Quantity(1.477512, 0.0, "V")), said(Quantity(1.477512, None, "V"))
    ('1.478 V', '1.478 V (uncertainty not known)')
    """
    if quantity.u:
        return format_quantity(quantity)
    plain = format_value(float(f"{quantity.value:.{FIGURES}g}"), quantity.unit)
    return plain if quantity.u == 0.0 else f"{plain} (uncertainty not known)"


FIGURES = 4
"""Figures to which a value is told that has no uncertainty to round by."""


def _statements(
    lost: Quantity,
    percent: Quantity,
    most: float,
    outcome: Outcome,
    current: Quantity,
    vehicle: VoltageAtVehicle | None,
    phases: int,
    *,
    asked: bool,
) -> tuple[str, ...]:
    unsettled = "nothing is placed while a value is in question" if asked else ""
    whole = f"the {most:g} % that a whole installation may take"
    placed = {
        Outcome.WITHIN: f"less than {whole}",
        Outcome.BEYOND: f"more than {whole}, with nothing left for its wiring",
    }.get(outcome, unsettled or f"too close to {whole}, or not known well enough, to say")
    between = " in each line, line to neutral" if phases == 3 else ""
    first = (
        f"At {format_value(current.value, 'A')} the lead takes {said(lost)}{between}, {said(percent)} of "
        f"the nominal voltage: {placed}."
    )
    if vehicle is None:
        return (first,)
    least = number_text(round(vehicle.least_v, 6), "V")
    where = {
        Outcome.WITHIN: f"above the {least} that the supply itself may have at the least",
        Outcome.BEYOND: f"below the {least} that the supply itself may have at the least",
    }.get(
        vehicle.outcome,
        unsettled or f"too close to the {least} that the supply itself may have at the least, or not known, to say",
    )
    second = (
        f"With the drop of the supply, {said(vehicle.source_drop_v)}, the car has "
        f"{said(vehicle.at_vehicle_v)}: {where}."
    )
    return (first, second)


def _remarks(
    phases: int, from_what: str, temperature: float, limit: str, source: SourceImpedance | None, *, unloaded: bool
) -> tuple[str, ...]:
    remarks = [
        f"The limit ({limit}) counts from the origin of the installation: the wiring takes its part first.",
        f"Reckoned with the conductors at {temperature:g} °C.",
    ]
    if from_what != MEASURED:
        remarks.append(f"The resistance is not measured: {from_what}.")
    if source is not None:
        remarks.extend(source.remarks)
        if not unloaded:
            remarks.append("The voltage without load was not read: the nominal one is taken, and nothing is decided.")
        if phases == 3:
            remarks.append(
                "The supply's impedance is that of line and neutral; with three phases evenly loaded the neutral takes "
                "no part, so the drop told is the most it can be."
            )
    return tuple(remarks)
