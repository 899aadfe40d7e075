"""Mains on the pilot: what the car's input sees, and what a person, through the unit's source resistor or past it.

A fault inside a unit joins the line to the low voltage that drives the pilot, before its source resistor, or to the
pilot itself behind it. In the car a diode and the resistors of a state lead to the car's body; the body is earthed
through the lead, or, where that earth is lost, through whoever touches it.
"""

from __future__ import annotations

import math

from coldpin.errors import OutsideRange, UnknownName
from coldpin.protection.body_telling import body_current
from coldpin.quantity import format_value
from coldpin.records.body_current import BodyCurrent
from coldpin.records.finding import Limit
from coldpin.records.mains_on_pilot import CarInput, MainsOnPilot, PilotSituation
from coldpin.records.person import Wetness
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.standards.pilot import generator
from coldpin.standards.table import needed
from coldpin.standards.vehicle import vehicle_parts

STATES = ("B", "C", "D")
"""States of a connected car, by the resistors it has in."""

WHOLE = "Behind the car's diode only one half of each period flows; it is reckoned as if both did, which is worse."
NO_SHUNT = "What the unit's own electronics lead away to earth is not counted: a fault may have opened it."


def half_wave(*, peak: float, drop: float, resistance: float) -> tuple[float, float, float]:
    r"""Return peak, r.m.s. and mean of the current through a diode and resistors on a sine.

    It conducts from :math:`\theta = \arcsin(V_d / \hat{U})` to :math:`\pi - \theta`.

    .. math:: \hat{I} = (\hat{U} - V_d) / R

    .. math:: \bar{I} = \frac{2 \hat{U} \cos\theta - V_d (\pi - 2\theta)}{2 \pi R}

    .. math::

        I^2 = \frac{\hat{U}^2 (\pi - 2\theta + \sin 2\theta) / 2 - 4 \hat{U} V_d \cos\theta + V_d^2 (\pi - 2\theta)}
        {2 \pi R^2}

    Parameters
    ----------
    peak : float
        Of the sine, above the drop. [V]
    drop : float
        V_d, of the diode. [V]
    resistance : float
        R, of all that lies in series. [Ω]

    Returns
    -------
    tuple of float
        Peak, r.m.s., mean. [A]

    Raises
    ------
    OutsideRange
        The peak does not exceed the drop, or the resistance is not above 0.

    Examples
    --------
    >>> [round(1e3 * one, 2) for one in half_wave(peak=325.27, drop=0.0, resistance=1000.0)]
    [325.27, 162.63, 103.54]
    """
    if not resistance > 0.0:
        raise OutsideRange(f"the resistance in series is {resistance:g} Ω: it must be above 0 Ω")
    if not peak > drop >= 0.0:
        raise OutsideRange(f"the peak of {peak:g} V does not exceed the diode's drop of {drop:g} V: nothing flows")
    angle = math.asin(drop / peak)
    span = math.pi - 2.0 * angle
    mean = (2.0 * peak * math.cos(angle) - drop * span) / (2.0 * math.pi * resistance)
    waves = 0.5 * (0.5 * peak**2 * (span + math.sin(2.0 * angle)) + drop**2 * span)
    squared = (waves - 2.0 * peak * drop * math.cos(angle)) / math.pi
    return (peak - drop) / resistance, math.sqrt(squared) / resistance, mean


def car_input(book: Book, *, voltage: float, series: float, state: str, earth: float) -> CarInput:
    """Return what the pilot input of an earthed car sees.

    Parameters
    ----------
    book : Book
        The constants.
    voltage : float
        Of the line to earth, r.m.s. [V]
    series : float
        Between the mains and the pilot contact. [Ω]
    state : str
        "B", "C" or "D".
    earth : float
        Of the protective conductor to the car's body. [Ω]

    Returns
    -------
    CarInput
        With the nominal resistors and the least drop of the diode.

    Raises
    ------
    UnknownName
        There is no such state.
    OutsideRange
        A value is one that cannot be.
    InputError
        An own value of the case leaves a part without its number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> seen = car_input(load_book(), voltage=230.0, series=1000.0, state="B", earth=0.3)
    >>> round(seen.reverse_peak_v), round(1e3 * seen.rms_current_a, 1), round(seen.power_w, 1)
    (325, 43.4, 5.2)

    Sources
    -------
    ``pilot.vehicle.*``.
    """
    if state not in STATES:
        raise UnknownName.among("state of a connected car", state, STATES)
    parts = vehicle_parts(book)
    resistance, added = needed(parts.r2, "nominal"), parts.r3(state)
    if added is not None:
        third = needed(added, "nominal")
        resistance = resistance * third / (resistance + third)
    peak = math.sqrt(2.0) * voltage
    highest, rms, mean = half_wave(
        peak=peak, drop=needed(parts.drop, "minimum"), resistance=series + resistance + earth
    )
    return CarInput(
        state=state,
        resistance_ohm=resistance,
        forward_peak_v=highest * resistance,
        reverse_peak_v=peak,
        peak_current_a=highest,
        rms_current_a=rms,
        mean_current_a=mean,
        power_w=rms**2 * resistance,
        body_v=highest * earth,
    )


def mains_on_pilot(
    book: Book,
    *,
    voltage: float,
    bridge: float = 0.0,
    state: str = "C",
    earth: float | None = None,
    time: float | None = None,
    path: str = "hand-to-feet",
    wetness: Wetness = Wetness.DRY,
) -> MainsOnPilot:
    """Return what mains on the pilot does to a car and to a person, before the source resistor and past it.

    Parameters
    ----------
    book : Book
        The constants.
    voltage : float
        Of the line to earth, r.m.s. [V]
    bridge : float
        Resistance of the fault itself. [Ω]
    state : str
        Of the connected car.
    earth : float, optional
        Of the protective conductor; the most that is allowed in service where left out. [Ω]
    time : float, optional
        After which the current is shown to be broken; nothing is where left out. [s]
    path : str
        Through the person.
    wetness : Wetness
        Of the skin.

    Returns
    -------
    MainsOnPilot
        Two situations.

    Raises
    ------
    UnknownName
        There is no such state or path.
    OutsideRange
        A value is one that cannot be.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = mains_on_pilot(load_book(), voltage=230.0)
    >>> [(one.series_ohm, round(one.contact.current_ma), one.contact.zone.value) for one in told.situations]
    [(1000.0, 132, 'AC-4.3'), (0.0, 397, 'AC-4.3')]
    """
    if not bridge >= 0.0:
        raise OutsideRange(f"the resistance of the fault is {bridge:g} Ω: give 0 Ω or more")
    allowed = book.limit("earth.in-service")
    conductor = needed(allowed, "maximum") if earth is None else earth
    source = generator(book, Edition.IEC_3).source_resistance
    resistor = needed(source, "nominal")

    def person(series: float) -> BodyCurrent:
        return body_current(book, voltage=voltage, path=path, wetness=wetness, time=time, series=series)

    situations = []
    for told, before in (("through the unit's source resistor", resistor), ("past the source resistor", 0.0)):
        series = bridge + before
        car = car_input(book, voltage=voltage, series=series, state=state, earth=conductor)
        situations.append(
            PilotSituation(
                told=told,
                series_ohm=series,
                source_power_w=car.rms_current_a**2 * before if before else None,
                car=car,
                contact=person(series),
                car_body=person(series + car.resistance_ohm),
            )
        )
    parts = vehicle_parts(book)
    limits: list[Limit] = [source, parts.r2, *filter(None, [parts.r3(state)]), parts.drop]
    return MainsOnPilot(
        schema="coldpin.mains_on_pilot/1",
        voltage_v=voltage,
        bridge_ohm=bridge,
        earth_ohm=conductor,
        situations=tuple(situations),
        statements=tuple(line for one in situations for line in _lines(one)),
        remarks=(WHOLE, NO_SHUNT),
        limits=(*limits, allowed, *situations[0].contact.limits),
    )


def _figure(value: float, unit: str) -> str:
    return format_value(float(f"{value:.3g}"), unit)


def _lines(one: PilotSituation) -> tuple[str, ...]:
    car = one.car
    burnt = "" if one.source_power_w is None else f" The unit's own resistor takes {_figure(one.source_power_w, 'W')}."
    return (
        (
            f"Mains on the pilot {one.told} ({_figure(one.series_ohm, 'Ω')}), car in state {car.state}, its body "
            f"earthed: the car's diode stands {_figure(car.reverse_peak_v, 'V')}, its resistors get "
            f"{_figure(car.forward_peak_v, 'V')} at the peak and take {_figure(car.power_w, 'W')}; "
            f"{_figure(1e3 * car.rms_current_a, 'mA')} (r.m.s., one half of each period) flow to earth, and the body "
            f"rises by {_figure(1e3 * car.body_v, 'mV')}.{burnt}"
        ),
        _person("The pilot contact of the uncoupled connector, touched", one.contact),
        _person("The car's body with its earth lost, touched", one.car_body),
    )


def _person(what: str, told: BodyCurrent) -> str:
    median = next(one for one in told.by_percentile if one.percentile != told.percentile)
    return (
        f"{what}: {_figure(told.current_ma, 'mA')} through one in twenty, {_figure(median.current_ma, 'mA')} at the "
        f"median; {'never shown to be broken' if told.time_s is None else f'broken after {told.time_s:g} s'}: zone "
        f"{told.zone.value} ({median.zone.value})."
    )
