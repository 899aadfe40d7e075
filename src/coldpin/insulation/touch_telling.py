"""What reaches a hand through capacitors or resistors, placed beside what may, and said in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coldpin.errors import InputError, OutsideRange
from coldpin.insulation.touch_current import (
    capacitor_current,
    impedance_current,
    largest_capacitance,
    least_resistance,
    poles_that_drive,
    three_line_current,
)
from coldpin.quantity import (
    Quantity,
    decide,
    format_figure,
    format_value,
    in_unit,
    propagate,
    rectangular,
)
from coldpin.records.finding import Limit, Outcome
from coldpin.records.touch_current import TouchCurrent, TouchPlacement, TouchSituation
from coldpin.standards.book import Book
from coldpin.standards.table import needed
from coldpin.standards.touch_current import (
    capacitor_tolerance,
    protective_impedance_rule,
    resistor_tolerance,
    touch_limits,
)
from coldpin.standards.wording import limit_value

CAPACITORS = "capacitors"
RESISTORS = "resistors"

MOST_CAPACITANCE = 1e-6
"""Ours: a capacitor from mains to earth of more would take a residual-current device with it; it is asked about. [F]"""

LEAST_CAPACITANCE = 10e-12
"""Ours: less than the wires of a lead have between themselves; such a capacitor is asked about. [F]"""

SINGLE = ("L", "N")
THREE = ("L1", "L2", "L3")

WHOSE = (
    "Of a portable lead: the body of the vehicle by the first limit while its socket has an earth, and as a part that "
    "is not earthed where it has none; box and plug by the second always."
)

DISCLAIMER = "A current under a limit may still be felt, and one that startles can hurt by what follows."


def marked_capacitance(capacitance: Quantity, book: Book, *, pole: str = "") -> Quantity:
    """Return a capacitance with the tolerance that a marked capacitor has where nothing is said of it.

    Parameters
    ----------
    capacitance : Quantity
        As read or marked. [F]
    book : Book
        The constants.
    pole : str
        Whose it is, for the budget.

    Returns
    -------
    Quantity
        The same where its uncertainty is known. [F]

    Raises
    ------
    InputError
        An own value of the case leaves the tolerance out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(marked_capacitance(Quantity(4.7e-9, None, "F"), load_book()).high, 12)
    5.593e-09
    """
    if capacitance.u is not None:
        return capacitance
    part = needed(capacitor_tolerance(book), "maximum") / 100
    return rectangular(
        capacitance.value,
        part * capacitance.value,
        capacitance.unit,
        id=f"marked capacitance {pole}",
        label=f"tolerance of the capacitor {pole}".strip(),
    )


def marked_resistance(resistance: Quantity, book: Book, *, part: str = "") -> Quantity:
    """Return a resistance with the tolerance that a marked resistor has where nothing is said of it.

    Parameters
    ----------
    resistance : Quantity
        As marked. [Ω]
    book : Book
        The constants.
    part : str
        Which one it is, for the budget.

    Returns
    -------
    Quantity
        The same where its uncertainty is known. [Ω]

    Raises
    ------
    InputError
        An own value of the case leaves the tolerance out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> marked_resistance(Quantity(1e6, None, "Ω"), load_book()).high
    1047500.0
    """
    if resistance.u is not None:
        return resistance
    share = needed(resistor_tolerance(book), "maximum") / 100
    return rectangular(
        resistance.value,
        share * resistance.value,
        resistance.unit,
        id=f"marked resistance {part}",
        label=f"tolerance of the resistor {part}".strip(),
    )


def tolerance_taken(limit: Limit) -> str:
    """Say that a tolerance from the table was taken.

    Parameters
    ----------
    limit : Limit
        The tolerance.

    Returns
    -------
    str
        A sentence with its source and standing.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> tolerance_taken(resistor_tolerance(load_book()))
    'No tolerance was stated: 5 % either way is taken (practice of makers of resistors, standing: memory).'
    """
    return (
        f"No tolerance was stated: {needed(limit, 'maximum'):g} {limit.unit} either way is taken ({limit.source}, "
        f"standing: {limit.standing})."
    )


def touch_current_of_capacitors(
    poles: Mapping[str, Quantity],
    book: Book,
    *,
    voltage: float,
    highest: float,
    frequency: float,
) -> TouchCurrent:
    """Say what the capacitors from the poles to earth drive through a person when the earth is lost.

    Parameters
    ----------
    poles : mapping of str to Quantity
        "L" and "N", or "L1", "L2", "L3", perhaps with "N": capacitance from each to what may be touched. [F]
    book : Book
        The constants.
    voltage : float
        Nominal voltage of a line to earth. [V]
    highest : float
        The highest that the supply may have. [V]
    frequency : float
        Of the mains. [Hz]

    Returns
    -------
    TouchCurrent
        Each situation, the worst, and each limit.

    Raises
    ------
    InputError
        There is no pole, or one that is not known.
    OutsideRange
        A capacitance, the voltage or the frequency is not above 0, or the highest voltage is below the nominal one.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> both = dict.fromkeys(("L", "N"), Quantity(2.2e-9, 1e-10, "F"))
    >>> told = touch_current_of_capacitors(both, load_book(), voltage=230.0, highest=253.0, frequency=50.0)
    >>> told.worst.told, round(told.worst.at_highest_ma.value, 3)
    ('earth and neutral open', 0.35)

    Sources
    -------
    ``touch-current.*``; which capacitor drives: from memory, and by calculation.
    """
    known = [pole for pole in (*SINGLE, *THREE) if pole in poles]
    mixed = SINGLE[0] in known and any(pole in THREE for pole in known)
    if not known or mixed or set(poles) - set(known):
        raise InputError(f"poles {', '.join(poles) or 'none'}: name L and N, or L1, L2 and L3")
    if not frequency > 0.0:
        raise OutsideRange(f"frequency is {frequency:g} Hz: it must be above 0")
    _check_voltages(voltage, highest)
    remarks: list[str] = []
    for pole, given in poles.items():
        if not given.value > 0.0:
            raise OutsideRange(f"capacitance of {pole} is {given.value:g} F: it must be above 0")
        if not LEAST_CAPACITANCE <= given.value <= MOST_CAPACITANCE:
            remarks.append(
                f"{format_value(given.value, 'F')} from {pole} is no usual capacitor to earth: is the unit nF?"
            )
    marked = any(given.u is None for given in poles.values())
    used = {pole: marked_capacitance(poles[pole], book, pole=pole) for pole in known}
    if marked:
        remarks.append(tolerance_taken(capacitor_tolerance(book)))
    remarks.append(WHOSE)
    situations = tuple(
        TouchSituation(
            told=told,
            poles=tuple(known[place] for group in live for place in group),
            current_ma=_current(used, known, live, voltage, frequency),
            at_highest_ma=_current(used, known, live, highest, frequency),
        )
        for told, live in poles_that_drive(known)
    )
    limits = touch_limits(book)
    return _told(
        CAPACITORS,
        situations,
        limits,
        [
            1e9 * largest_capacitance(current=1e-3 * needed(limit, "maximum"), voltage=highest, frequency=frequency)
            for limit in limits
        ],
        voltage=voltage,
        highest=highest,
        frequency=frequency,
        marked=marked,
        remarks=tuple(remarks),
    )


def _check_voltages(voltage: float, highest: float) -> None:
    if not voltage > 0.0:
        raise OutsideRange(f"voltage is {voltage:g} V: it must be above 0")
    if not highest >= voltage:
        raise OutsideRange(
            f"the highest voltage is {highest:g} V and the nominal one {voltage:g} V: the highest is at least the "
            "nominal one; are the two exchanged?"
        )


def _current(
    capacitances: Mapping[str, Quantity],
    poles: Sequence[str],
    live: Sequence[Sequence[int]],
    voltage: float,
    frequency: float,
) -> Quantity:
    """Return the current of the live poles, those at one potential added first. [mA]"""
    added = [_sum([capacitances[poles[place]] for place in group]) for group in live]
    given: dict[str, Quantity | float] = {"voltage": voltage, "frequency": frequency}
    if len(added) == 1:
        return in_unit(propagate(capacitor_current, {"capacitance": added[0], **given}, "A"), "mA")
    third = added[2] if len(added) > 2 else 0.0
    lines: dict[str, Quantity | float] = {"first": added[0], "second": added[1], "third": third}
    return in_unit(propagate(three_line_current, {**lines, **given}, "A"), "mA")


def touch_current_of_resistors(
    parts: Sequence[Quantity], book: Book, *, voltage: float, highest: float
) -> TouchCurrent:
    """Say what a protective impedance of resistors in series lets through, as built and with one of them shorted.

    Parameters
    ----------
    parts : sequence of Quantity
        Each resistor of the chain. [Ω]
    book : Book
        The constants.
    voltage : float
        Nominal voltage of a line to earth. [V]
    highest : float
        The highest that the supply may have. [V]

    Returns
    -------
    TouchCurrent
        As built, and with the largest part shorted; the peak of the current is placed.

    Raises
    ------
    InputError
        There is no part.
    OutsideRange
        A resistance or the voltage is not above 0, or the highest voltage is below the nominal one.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = touch_current_of_resistors([Quantity(1e6, 1e4, "Ω")] * 2, load_book(), voltage=230.0, highest=253.0)
    >>> told.worst.told, round(told.worst.at_highest_ma.value, 3), told.placements[0].outcome.value
    ('one part shorted', 0.358, 'within')

    Sources
    -------
    ``protective-impedance.*``.
    """
    if not parts:
        raise InputError("a chain of no resistors: give each of its parts")
    _check_voltages(voltage, highest)
    for part in parts:
        if not part.value > 0.0:
            raise OutsideRange(f"a resistance of {part.value:g} Ω: each part must be above 0")
    rule = protective_impedance_rule(book)
    ordered = sorted(parts, key=lambda part: part.value)
    situations = [_through(ordered, "as built", voltage, highest)]
    remarks: list[str] = []
    if len(parts) >= rule.parts:
        situations.append(_through(ordered[:-1], "one part shorted", voltage, highest))
    else:
        remarks.append(
            f"A chain of {len(parts)} is no protective impedance: with that part shorted the mains is on what it leads "
            f"to; {rule.parts} parts are asked for at least, each of which keeps the limit alone "
            f"({rule.limits[-1].source}, standing: {rule.limits[-1].standing})."
        )
    return _told(
        RESISTORS,
        tuple(situations),
        rule.limits[:1],
        [1e-3 * least_resistance(peak_current=rule.peak_a, voltage=highest)],
        voltage=voltage,
        highest=highest,
        frequency=None,
        marked=False,
        remarks=tuple(remarks),
        whole=len(parts) >= rule.parts,
    )


def _through(parts: Sequence[Quantity], told: str, voltage: float, highest: float) -> TouchSituation:
    chain = _sum(parts)
    nominal, most = (
        in_unit(propagate(impedance_current, {"resistance": chain, "voltage": volts}, "A"), "mA")
        for volts in (voltage, highest)
    )
    return TouchSituation(told=told, poles=("L",), current_ma=nominal, at_highest_ma=most)


def _sum(parts: Sequence[Quantity]) -> Quantity:
    total = parts[0]
    for part in parts[1:]:
        total = propagate(_plus, {"total": total, "part": part}, part.unit, monte_carlo=False)
    return total


def _plus(*, total: float, part: float) -> float:
    return total + part


def _known(limit: Limit) -> str:
    note = f". {limit.note.removesuffix('.')}" if limit.note.startswith("Presumes") else ""
    return f"{limit_value(limit)}, {limit.title} ({limit.source}, standing: {limit.standing}){note}"


def _told(
    through: str,
    situations: tuple[TouchSituation, ...],
    limits: tuple[Limit, ...],
    bounds: Sequence[float],
    *,
    voltage: float,
    highest: float,
    frequency: float | None,
    marked: bool,
    remarks: tuple[str, ...],
    whole: bool = True,
) -> TouchCurrent:
    worst = max(situations, key=lambda one: one.at_highest_ma.value)
    placements = []
    for limit, bound in zip(limits, bounds, strict=True):
        decision = decide(worst.at_highest_ma, maximum=limit.maximum)
        outcome = Outcome(decision.outcome)
        placements.append(
            TouchPlacement(
                limit=limit,
                outcome=outcome if whole else Outcome.BEYOND,
                probability=decision.probability if whole else None,
                largest_nf=bound if through == CAPACITORS else None,
                least_kohm=bound if through == RESISTORS else None,
            )
        )
    told_of = situations if len(situations) <= len(THREE) else dict.fromkeys((situations[0], worst))
    kind = "" if through == CAPACITORS else " peak"
    statements = [
        f"{one.told[0].upper()}{one.told[1:]}: {format_figure(one.current_ma)}{kind} at {voltage:g} V, "
        f"{format_figure(one.at_highest_ma)} at {highest:g} V."
        for one in told_of
    ]
    for placement in placements:
        allowed = (
            f"{placement.largest_nf:.3g} nF, tolerance and all, would just keep it"
            if placement.largest_nf is not None
            else f"{placement.least_kohm:.4g} kΩ, with one part shorted, would just keep it"
        )
        words = {Outcome.WITHIN: "within", Outcome.BEYOND: "beyond"}.get(placement.outcome, "cannot be placed against")
        statements.append(f"Worst case {words} {_known(placement.limit)}; {allowed}.")
    return TouchCurrent(
        schema="coldpin.touch_current/1",
        through=through,
        voltage_v=voltage,
        highest_v=highest,
        frequency_hz=frequency,
        situations=situations,
        worst=worst,
        placements=tuple(placements),
        limits=limits,
        marked=marked,
        statements=tuple(statements),
        remarks=(*remarks, DISCLAIMER),
    )
