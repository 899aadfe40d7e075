"""Voltage drop of a lead: what it takes from the voltage at a current, hot, what is left, and whether that is within.

Of the way from plug to car, what is in no figure is told with the most that is allowed for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from coldpin.copper.drop_formulas import (
    at_temperature,
    check_power_factor,
    drop_of_equal_cores,
    drop_of_one_line,
    drop_of_resistance,
)
from coldpin.copper.resistance import Number
from coldpin.copper.supposed_warmth import (
    Open,
    less_if_cool,
    more_if_hot,
    moved,
    supposed_remark,
    supposed_temperature,
    undone_by,
)
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
from coldpin.records.lead_way import ALL_COUNTED, BEYOND_TAPS, NONE_APART, LeadWay, NotCounted
from coldpin.records.voltage_drop import SourceImpedance, TabulatedDrop, VoltageDrop
from coldpin.standards.book import Book
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import (
    cable_reactance,
    check_phases,
    drop_limit,
    printed_drop,
    supply_voltage,
)
from coldpin.standards.wording import limit_value


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
        with conductors as hot as in the hottest table too, and beyond only if it is so with cool ones. [°C]
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
    check_power_factor(power_factor)
    if current.value <= 0.0:
        raise OutsideRange(f"current is {format_value(current.value, 'A')}: a drop needs one above 0 A")
    if length is not None and length <= 0.0:
        raise OutsideRange(f"length is {length:g} m: a cable is longer than 0 m")
    warm, warmer, cooler = conductor_temperature, 0.0, 0.0
    supposed = not isinstance(warm, Quantity)
    if not isinstance(warm, Quantity):
        warmer, cooler = more_if_hot(warm, book), less_if_cool(warm, book)
        warm = Quantity(warm, 0.0, "°C")
    hot = at_temperature(core_20, warm, book)
    reactance = 0.0 if length is None else cable_reactance(book) * length
    given: dict[str, Quantity | float] = {
        "current": current,
        "core": hot,
        "reactance": reactance,
        "power_factor": power_factor,
    }
    lost = propagate(drop_of_equal_cores if phases == 1 else drop_of_one_line, given, "V")
    nominal = supply_voltage(book)
    percent = propagate(_percent, {"lost": lost, "nominal": nominal}, "%")
    limit = drop_limit(book, private_source=private_source)
    most = needed(limit, "maximum")
    in_doubt = (*asked, *questions(core_20, current, percent))
    decision = decide(percent, maximum=most)
    allowed_v = drop_of_resistance(beyond.allowed_20, current.value * power_factor, warm.value, book)
    allowed = float(_percent(lost=allowed_v, nominal=nominal))
    undone = undone_by(percent, most, warmer=warmer, cooler=cooler, allowed=allowed)
    hidden = undone is not Open.NOTHING
    outcome = Outcome.UNDECIDED if in_doubt or hidden else Outcome(decision.outcome)
    vehicle = None
    of_supply = questions_of_supply(source, unloaded, nominal)
    if source is not None:
        vehicle = at_vehicle(lost, current=current, source=source, unloaded=unloaded, book=book)
        # the lowest voltage that the car may have leaves within open, the highest beyond
        edge = {Outcome.WITHIN: allowed_v + warmer * lost.value, Outcome.BEYOND: -cooler * lost.value}
        shifted = moved(lost, edge.get(vehicle.outcome, 0.0))
        other = at_vehicle(shifted, current=current, source=source, unloaded=unloaded, book=book)
        if in_doubt or of_supply or other.outcome is not vehicle.outcome:
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
            undone=undone,
            allowed=allowed,
            warmer=bool(warmer),
        ),
        remarks=(
            *remarks(
                phases,
                from_what,
                supposed_remark(warm.value, book)
                if supposed
                else f"Reckoned with the conductors at {warm.value:g} °C.",
                limit_value(limit),
                beyond.told,
                beyond.what,
                allowed,
            ),
            *remarks_of_supply(phases, source, unloaded=unloaded is not None),
        ),
        questions=tuple(dict.fromkeys((*in_doubt, *of_supply))),
        not_counted=beyond.what,
        allowed_percent=allowed,
    )


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
        conductor_temperature=supposed_temperature(book) if conductor_temperature is None else conductor_temperature,
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
