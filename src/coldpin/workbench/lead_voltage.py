"""A quick look at what a lead takes from the voltage, with nothing written anywhere."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from coldpin.copper.resistance import metal_temperature, temperature_factor, temperature_questions
from coldpin.copper.source_impedance import (
    LEAST_STEP,
    find_steps,
    impedance_from_readings,
    impedance_from_steps,
    questions,
)
from coldpin.copper.supposed_warmth import supposed_temperature
from coldpin.copper.voltage_drop import voltage_drop
from coldpin.copper.voltage_drop_telling import MEASURED, questions_of_supply
from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Quantity, parse_quantity, propagate, rectangular
from coldpin.records.log import LogQuantity
from coldpin.records.voltage_drop import SourceImpedance, VoltageDrop
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import Book, load_book
from coldpin.standards.conductors import resistance_limit
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_voltage
from coldpin.workbench.look_log import channel_of, open_log

Choices = Mapping[str, str | float | int | Sequence[str]]

STATED = "stated"
"""How an impedance that the user gave is told."""


def tell_voltage_drop(
    *,
    current: str,
    resistance: str = "",
    at: str = "",
    cores_in_series: int = 1,
    nominal: str = "",
    length: str = "",
    conductor_temperature: str = "",
    phases: int = 1,
    power_factor: float = 1.0,
    private_source: bool = False,
    source: SourceImpedance | None = None,
    unloaded: str = "",
) -> VoltageDrop:
    """Say what a lead takes from the voltage at a current, and what is left at the car.

    Parameters
    ----------
    current : str
        In each line: "16 A".
    resistance : str
        Of one conductor of the lead from end to end: "40.1 mΩ ± 0.3 mΩ"; where it is left out, that of the marked size.
    at : str
        Temperature of the metal when it was read: "22 °C"; needed with a resistance.
    cores_in_series : int
        1, or 2 where two were joined at the far end.
    nominal : str
        The marked size: "2.5 mm2".
    length : str
        Of the cable: "5.00 m".
    conductor_temperature : str
        Of the conductors at that current; that of the printed table for cords where it is left out.
    phases : int
        1 or 3.
    power_factor : float
        cos φ of a current that lags. [1]
    private_source : bool
        Whether the installation has a source of its own.
    source : SourceImpedance, optional
        Of the supply at the socket: from :func:`supply_from_log`, :func:`supply_from_voltages` or
        :func:`supply_stated`.
    unloaded : str
        Voltage at the socket without load, line to neutral.

    Returns
    -------
    VoltageDrop
        Drop, limit, what is left, and the voltage at the car.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    InputError
        Neither a resistance with its temperature nor a marked size with a length is given.

    Examples
    --------
    >>> told = tell_voltage_drop(current="16 A", nominal="2.5 mm2", length="5 m")
    >>> round(told.lead_v.value, 2), told.outcome.value
    (1.48, 'within')
    """
    book = load_book()
    metres = positive(length, "m", "length").value if length else None
    size = positive(nominal, "mm²", "marked size").value if nominal else None
    core, from_what = end_to_end(book, resistance=resistance, at=at, cores=cores_in_series, size=size, length=metres)
    amps = positive(current, "A", "current")
    before = parse_quantity(unloaded, "V", id="voltage: without load") if unloaded else _not_read(book)
    told = voltage_drop(
        core,
        current=amps if amps.u is not None else replace(amps, u=0.0, low=None, high=None, why=""),
        conductor_temperature=_in_use(conductor_temperature, book),
        book=book,
        phases=phases,
        power_factor=power_factor,
        length=metres,
        nominal_mm2=size,
        from_what=from_what,
        source=source,
        unloaded=before,
        private_source=private_source,
        asked=(
            *(_metal_at(at, book)[1] if resistance else ()),
            *questions_of_supply(source, before, supply_voltage(book)),
        ),
    )
    return replace(told, remarks=(*told.remarks, ONE_GIVEN)) if phases == 1 else told


def _not_read(book: Book) -> Quantity:
    nominal = supply_voltage(book)
    return Quantity(nominal, None, "V", why="the voltage without load was not read: the nominal one is taken")


ONE_GIVEN = "One conductor was given: the neutral is taken to be like it, and what lies beyond the taps is not counted."


def _metal_at(text: str, book: Book) -> tuple[Quantity, tuple[str, ...]]:
    """Read the temperature of the metal, with usual limits where it has none, and ask about odd ones."""
    read = parse_quantity(text, "°C", id="conductor: temperature", label="temperature of the metal")
    return metal_temperature(read, book)[0], temperature_questions(read, book)


def _in_use(text: str, book: Book) -> Quantity | float:
    """Read the temperature in use; where nobody measured it, the one that is supposed."""
    if not text:
        return supposed_temperature(book)
    read = parse_quantity(text, "°C", id="conductor: in use", label="temperature of the conductors in use")
    if read.u is not None:
        return read
    limit = book.limit("conductor-measurement.thermometer")
    return rectangular(
        read.value, needed(limit, "maximum"), "°C", id="conductor: in use", label="temperature of the conductors in use"
    )


def end_to_end(
    book: Book, *, resistance: str, at: str, cores: int = 1, size: float | None = None, length: float | None = None
) -> tuple[Quantity, str]:
    """Return the resistance of one conductor of a lead at 20 °C, measured or by the class of its marked size.

    Parameters
    ----------
    book : Book
        The constants.
    resistance : str
        As read, from end to end; may be empty.
    at : str
        Temperature of the metal when it was read.
    cores : int
        Cores in series, 1 or 2.
    size : float, optional
        Marked size. [mm²]
    length : float, optional
        Of the cable. [m]

    Returns
    -------
    tuple of Quantity and str
        The resistance [Ω], and where it is from, as a reader would say it.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    InputError
        Neither a resistance with its temperature nor a marked size with a length is given.

    Examples
    --------
    >>> core, said = end_to_end(load_book(), resistance="", at="", size=2.5, length=5.0)
    >>> round(core.value, 4), said
    (0.0399, 'the most that class 5 lets 5 m of 2.5 mm² have')
    """
    if not resistance:
        if size is None or length is None:
            raise InputError("give the resistance of a conductor with --at, or the marked size and the length")
        limit = resistance_limit(book, cross_section_mm2=size)
        assert limit.maximum is not None, "a class limits the resistance from above"
        said = f"the most that class 5 lets {length:g} m of {size:g} mm² have"
        return Quantity(limit.maximum * length / 1000.0, 0.0, "Ω"), said
    if not at:
        raise InputError(f"resistance {resistance!r}: say at which temperature of the metal it was read, as '22 °C'")
    read = positive(resistance, "Ω", "resistance")
    metal, _ = _metal_at(at, book)
    given: dict[str, Quantity | float] = {
        "resistance": read,
        "temperature": metal,
        "cores": float(cores),
        "coefficient": temperature_coefficient(book),
    }
    return propagate(_at_20, given, "Ω"), MEASURED


def _at_20(*, resistance: float, temperature: float, cores: float, coefficient: float) -> object:
    return resistance / cores * temperature_factor(temperature=temperature, coefficient=coefficient)


def positive(text: str, unit: str, what: str) -> Quantity:
    """Read a quantity that is above zero, or say that it is not.

    Parameters
    ----------
    text : str
        As written.
    unit : str
        The unit wanted.
    what : str
        What it is, for the message and the budget.

    Returns
    -------
    Quantity
        In the unit wanted.

    Raises
    ------
    QuantityTextError
        It cannot be read, or has no unit.
    UnitError
        Its unit is unknown or of another kind.
    OutsideRange
        It is not above zero.

    Examples
    --------
    >>> positive("5 m", "m", "length").value
    5.0
    """
    read = parse_quantity(text, unit, id=what, label=what)
    if read.value <= 0.0:
        raise OutsideRange(f"{what} {text!r}: it must be above 0 {unit}")
    return read


def supply_stated(text: str) -> SourceImpedance:
    """Return the impedance of a supply as somebody gives it.

    Parameters
    ----------
    text : str
        "0.25 Ω ± 0.04 Ω".

    Returns
    -------
    SourceImpedance
        With what is to be asked of an odd value.

    Raises
    ------
    QuantityTextError
        It cannot be read, or has no unit.
    UnitError
        Its unit is unknown or of another kind.
    OutsideRange
        It is not above zero.

    Examples
    --------
    >>> supply_stated("0.25 Ω ± 0.04 Ω").resistance_ohm.value
    0.25
    """
    read = positive(text, "Ω", "source impedance")
    return SourceImpedance(resistance_ohm=read, method=STATED, remarks=questions(read.value))


def supply_from_voltages(unloaded: str, loaded: str, load_current: str) -> SourceImpedance:
    """Return the impedance of a supply from a voltage without and one with load.

    Parameters
    ----------
    unloaded : str
        "232.4 V ± 0.1 V".
    loaded : str
        "228.4 V ± 0.1 V".
    load_current : str
        "16.0 A ± 0.1 A".

    Returns
    -------
    SourceImpedance
        Its uncertainty is not known where a reading states none.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        The voltage did not fall, or the current is not above zero.
    InputError
        One of the three is missing.

    Examples
    --------
    >>> told = supply_from_voltages("232.4 V ± 0.1 V", "228.4 V ± 0.1 V", "16.0 A ± 0.1 A")
    >>> round(told.resistance_ohm.value, 3)
    0.25
    """
    for what, text in (("voltage without load", unloaded), ("current of the load", load_current)):
        if not text:
            raise InputError(f"the {what} is missing: a voltage with load tells the supply only beside it")
    return impedance_from_readings(
        unloaded=parse_quantity(unloaded, "V", id="voltage: without load", label="voltage without load"),
        loaded=parse_quantity(loaded, "V", id="voltage: with load", label="voltage with load"),
        current=parse_quantity(load_current, "A", id="current of the load", label="current of the load"),
    )


def supply_from_log(
    path: Path | str, *, accuracy: str = "", least_step: str = "", choices: Choices | None = None
) -> SourceImpedance:
    """Return the impedance of a supply from a log of its voltage and current.

    Parameters
    ----------
    path : Path or str
        The log.
    accuracy : str
        Of the meter that wrote it, "voltage; current" or one for both, as its maker writes it: "0.5 %; 1 %".
    least_step : str
        The smallest step of the current that counts: "8 A".
    choices : mapping, optional
        How to read the log, as for :func:`coldpin.workbench.look_log.open_log`.

    Returns
    -------
    SourceImpedance
        Its uncertainty is not known where no accuracy is given.

    Raises
    ------
    CaptureError
        The log cannot be read, or has no column of voltage or current.
    QuantityTextError
        The accuracy or the step cannot be read.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        The log has too few steps, or the voltage rises with the current.
    """
    captured = open_log(path, choices=choices)
    log = captured.log
    name = Path(path).name
    voltage = channel_of(log, LogQuantity.VOLTAGE, where=name).values
    current = channel_of(log, LogQuantity.CURRENT, where=name).values
    least = positive(least_step, "A", "least step").value if least_step else LEAST_STEP
    steps = find_steps(log.time_s, voltage=voltage, current=current, least_step=least)
    level = float(np.nanmedian(voltage))
    told = impedance_from_steps(
        steps,
        accuracy=relative_accuracy(accuracy, volts=level, amperes=float(np.abs(steps.current).mean() or least))
        if accuracy and steps.current.size
        else None,
    )
    return replace(told, remarks=(*told.remarks, *captured.remarks))


def relative_accuracy(accuracy: str, *, volts: float, amperes: float) -> float:
    """Return what the accuracy of voltage and current leaves in their quotient.

    Parameters
    ----------
    accuracy : str
        "voltage; current" or one for both.
    volts : float
        The voltage at which it is asked. [V]
    amperes : float
        The current at which it is asked. [A]

    Returns
    -------
    float
        Relative standard uncertainty. [1]

    Raises
    ------
    QuantityTextError
        It cannot be read.

    Examples
    --------
    >>> round(relative_accuracy("0.5 %; 1 %", volts=230.0, amperes=10.0), 5)
    0.00645
    """
    first, _, second = accuracy.partition(";")
    parts = []
    for statement, value, unit in ((first, volts, "V"), (second or first, amperes, "A")):
        shown = parse_accuracy(statement.strip()).apply(Quantity(value, 0.0, unit), id=unit, label=unit)
        assert shown.u is not None, "a statement of accuracy gives an uncertainty"
        parts.append(shown.u / abs(value))
    return math.hypot(*parts)
