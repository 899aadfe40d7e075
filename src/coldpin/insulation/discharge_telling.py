"""How long the pins of a plug stay charged, beside what each text lets stay, said in words."""

from __future__ import annotations

import math

from coldpin.errors import OutsideRange
from coldpin.insulation.capacitor_discharge import (
    largest_discharge_resistance,
    time_to_reach,
    voltage_left,
    without_probe,
)
from coldpin.quantity import Quantity, decide, format_figure, format_value, in_unit, propagate
from coldpin.records.finding import Outcome
from coldpin.records.plug_discharge import DischargePlacement, PlugDischarge
from coldpin.standards.book import Book
from coldpin.standards.capacitor_discharge import DischargeRule, plug_rules
from coldpin.standards.table import needed
from coldpin.standards.wording import limit_value

MOST_CAPACITANCE = 10e-6
"""Ours: more between the pins of a plug is asked about: it would draw a quarter of an ampere. [F]"""

LEAST_RESISTANCE = 10e3
"""Ours: less across the mains would burn several watts all day; such a resistance is asked about. [Ω]"""

ROUNDING = 1e-9
"""Ours: 100 nF and 0.1 µF are one capacitance, whatever a float makes of them. [1]"""

FASTER = (
    "What else lies between the pins, such as a rectifier with its load, may empty them faster than a resistance that "
    "a meter shows: beyond is decided by a reading."
)
WHY_WORST = "Taken is the worst moment: the peak of the highest voltage that the supply may have."


def plug_discharge(
    capacitance: Quantity,
    book: Book,
    *,
    highest: float,
    resistance: Quantity | None = None,
    corrected: Quantity | None = None,
    after: float | None = None,
) -> PlugDischarge:
    """Say how long a plug stays charged after it was drawn.

    Parameters
    ----------
    capacitance : Quantity
        Between its pins. [F]
    book : Book
        The constants.
    highest : float
        r.m.s. voltage at which it is drawn, the highest that the supply may have. [V]
    resistance : Quantity or None
        Of what empties it; None where it is asked how large it may be. [Ω]
    corrected : Quantity or None
        A reading without its probe, to be placed beside it. [V]
    after : float or None
        When that was read, since the plug was drawn. [s]

    Returns
    -------
    PlugDischarge
        Each text's rule, and where the plug lies.

    Raises
    ------
    OutsideRange
        Capacitance, resistance or voltage is not above 0.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> farads, ohms = Quantity(470e-9, 0.0, "F"), Quantity(1e6, 1e3, "Ω")
    >>> told = plug_discharge(farads, load_book(), highest=240.0, resistance=ohms)
    >>> [(one.limit.maximum, one.outcome.value) for one in told.placements[:3]]
    [(34.0, 'beyond'), (60.0, 'within'), (1.0, 'within')]
    >>> [round(one.largest_kohm) for one in told.placements]
    [925, 1228, 2128, 2456, 4093]

    Sources
    -------
    ``residual-voltage.plug.*``, ``discharge.*``, ``charged.*``.
    """
    for name, given in (("capacitance", capacitance), ("resistance", resistance)):
        if given is not None and not given.value > 0.0:
            raise OutsideRange(f"the {name} is {given.value:g} {given.unit}: it must be above 0")
    if not highest > 0.0:
        raise OutsideRange(f"the voltage is {highest:g} V: it must be above 0")
    remarks = [WHY_WORST, *([FASTER] if resistance is not None else [])]
    if capacitance.value > MOST_CAPACITANCE:
        remarks.append(f"{format_value(capacitance.value, 'F')} between the pins of a plug is much: is the unit nF?")
    if resistance is not None and resistance.value < LEAST_RESISTANCE:
        remarks.append(
            f"{format_value(resistance.value, 'Ω')} across the mains would be a heater: is it a transformer's winding, "
            "or is the unit kΩ?"
        )
    start = math.sqrt(2.0) * highest
    constant = None
    if resistance is not None:
        constant = propagate(_product, {"resistance": resistance, "capacitance": capacitance}, "s")
    placements = tuple(
        _place(rule, start, capacitance, resistance, constant) for rule in plug_rules(book, capacitance.value)
    )
    return PlugDischarge(
        schema="coldpin.plug_discharge/1",
        start_v=start,
        capacitance_nf=in_unit(capacitance, "nF"),
        resistance_kohm=None if resistance is None else in_unit(resistance, "kΩ"),
        time_constant_s=constant,
        placements=placements,
        corrected_v=corrected,
        statements=_statements(start, constant, placements, corrected, after),
        remarks=tuple(remarks),
    )


def read_without_probe(reading: Quantity, *, time: Quantity, probe: Quantity, capacitance: Quantity) -> Quantity:
    """Return a reading of a plug that empties as it would have been without the probe.

    Parameters
    ----------
    reading : Quantity
        Read at that time. [V]
    time : Quantity
        Since the plug was drawn. [s]
    probe : Quantity
        Input resistance of the probe. [Ω]
    capacitance : Quantity
        Between the pins. [F]

    Returns
    -------
    Quantity
        The voltage. [V]

    Raises
    ------
    OutsideRange
        Time, probe or capacitance is not above 0.

    Examples
    --------
    >>> exact = {"time": Quantity(1.0, 0.0, "s"), "probe": Quantity(1e8, 0.0, "Ω")}
    >>> round(read_without_probe(Quantity(30.0, 0.5, "V"), capacitance=Quantity(470e-9, 0.0, "F"), **exact).value, 2)
    30.65
    """
    for name, given in (("time", time), ("probe", probe), ("capacitance", capacitance)):
        if not given.value > 0.0:
            raise OutsideRange(f"the {name} is {given.value:g} {given.unit}: it must be above 0")
    given_all: dict[str, Quantity | float] = {
        "reading": reading,
        "time": time,
        "probe": probe,
        "capacitance": capacitance,
    }
    return propagate(without_probe, given_all, "V")


def _product(*, resistance: float, capacitance: float) -> float:
    return resistance * capacitance


def _place(
    rule: DischargeRule, start: float, capacitance: Quantity, resistance: Quantity | None, constant: Quantity | None
) -> DischargePlacement:
    most = needed(rule.limit, "maximum")
    applies = capacitance.value > rule.above_f * (1.0 + ROUNDING) and (rule.of_time_constant or start > most)
    largest = None
    farads = capacitance.value if capacitance.high is None else capacitance.high
    if applies and rule.of_time_constant:
        largest = 1e-3 * rule.time_s / farads
    elif applies:
        largest = 1e-3 * largest_discharge_resistance(start=start, voltage=most, time=rule.time_s, capacitance=farads)
    left = reached = None
    outcome, probability = Outcome.NOT_TESTED, None
    if resistance is not None and constant is not None:
        parts: dict[str, Quantity | float] = {"start": start, "resistance": resistance, "capacitance": capacitance}
        left = propagate(voltage_left, {**parts, "time": rule.time_s}, "V")
        if not rule.of_time_constant:
            reached = propagate(time_to_reach, {**parts, "voltage": most}, "s")
        decision = decide(constant if rule.of_time_constant else left, maximum=most)
        outcome, probability = Outcome(decision.outcome), decision.probability
    if not applies:
        outcome, probability = Outcome.NOT_APPLICABLE, None
    return DischargePlacement(
        limit=rule.limit,
        time_s=rule.time_s,
        applies=applies,
        left_v=left,
        reached_s=reached,
        largest_kohm=largest,
        outcome=outcome,
        probability=probability,
    )


def _statements(
    start: float,
    constant: Quantity | None,
    placements: tuple[DischargePlacement, ...],
    corrected: Quantity | None,
    after: float | None,
) -> tuple[str, ...]:
    told = []
    if constant is not None:
        told.append(f"Drawn at {start:.3g} V, the plug empties with a time constant of {format_figure(constant)}.")
    for one in placements:
        known = f"{one.limit.title} ({limit_value(one.limit)})"
        if not one.applies:
            told.append(f"Nothing is asked of so small a capacitance: {known}.")
            continue
        bound = "any resistance would do"
        if one.largest_kohm is not None:
            ohms = format_value(float(f"{1e3 * one.largest_kohm:.4g}"), "Ω")
            bound = f"up to {ohms} would do, the capacitance at its highest"
        if one.left_v is None:
            told.append(f"For {known}: {bound}.")
            continue
        words = {Outcome.WITHIN: "within", Outcome.BEYOND: "beyond"}.get(one.outcome, "cannot be placed against")
        reached = "" if one.reached_s is None else f"; the limit is reached after {format_figure(one.reached_s)}"
        subject = f"{format_figure(one.left_v)} after {one.time_s:g} s"
        if one.reached_s is None and constant is not None:
            subject = f"The time constant of {format_figure(constant)}"
        told.append(f"{subject}: {words} {known}{reached}; {bound}.")
    if corrected is not None:
        told.append(
            f"Without the probe, which emptied the plug as well, it would have read {format_figure(corrected)}."
        )
        told += [_reading_placed(corrected, after, one) for one in placements if one.limit.unit == "V" and one.applies]
    return tuple(told)


def _reading_placed(corrected: Quantity, after: float | None, rule: DischargePlacement) -> str:
    """Place a reading: taken later than the rule's time it shows only too much, earlier only enough."""
    most = needed(rule.limit, "maximum")
    known = f"{limit_value(rule.limit)} after {rule.time_s:g} s ({rule.limit.source}, standing: {rule.limit.standing})"
    outcome = Outcome(decide(corrected, maximum=most).outcome)
    if outcome is Outcome.BEYOND and (after is None or after >= rule.time_s):
        return f"That is beyond {known}."
    if outcome is Outcome.WITHIN and (after is None or after <= rule.time_s):
        return f"That is within {known} for this withdrawal; one drawn at the peak of the mains leaves more."
    return f"Against {known} that reading shows nothing, by its time or its uncertainty."
