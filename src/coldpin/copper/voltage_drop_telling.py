"""What is asked and said about a voltage drop, in words."""

from __future__ import annotations

from coldpin.copper.source_impedance import questions as questions_of_impedance
from coldpin.copper.supposed_warmth import Open
from coldpin.quantity import Quantity, format_figure, format_value
from coldpin.records.finding import Outcome
from coldpin.records.voltage_drop import SourceImpedance, VoltageAtVehicle
from coldpin.standards.wording import number_text

MEASURED = "measured"
"""How a resistance that was read is told, beside one that was taken from a class."""


MOST_CURRENT = 100.0
"""Ours: couplers for alternating current end at 63 A to 80 A; a larger current is asked about. [A]"""

MOST_PERCENT = 20.0
"""Ours: a lead that takes a fifth of the voltage would glow; such a drop is asked about. [%]"""

LEAST_CORE = 1e-3
"""Ours: a metre of 16 mm² has more; a smaller resistance is asked about. [Ω]"""


def questions(core_20: Quantity, current: Quantity, percent: Quantity) -> tuple[str, ...]:
    """Ask about values that no lead has; nothing is corrected.

    Parameters
    ----------
    core_20 : Quantity
        One conductor from end to end, at 20 °C. [Ω]
    current : Quantity
        In each line. [A]
    percent : Quantity
        What the lead takes, of the nominal voltage. [%]

    Returns
    -------
    tuple of str
        One question each.

    Examples
    --------
    >>> fine = {"current": Quantity(16.0, 0.1, "A"), "percent": Quantity(0.65, 0.01, "%")}
    >>> questions(Quantity(0.0407, 2e-4, "Ω"), **fine)
    ()
    >>> questions(Quantity(4.07e-5, 2e-7, "Ω"), **fine)
    ('A conductor of 40.70 µΩ ± 0.39 µΩ from end to end is less than that of the shortest lead: is it in mΩ?',)
    """
    asked = []
    if current.value > MOST_CURRENT:
        asked.append(
            f"The current is {format_value(current.value, 'A')}, more than any charging lead carries: is it in mA?"
        )
    if percent.value > MOST_PERCENT:
        asked.append(
            f"The lead would take {format_figure(percent)} of the supply's voltage: are resistance (mΩ) and current "
            "(A) in the units that were written?"
        )
    if core_20.value < LEAST_CORE:
        asked.append(
            f"A conductor of {format_figure(core_20)} from end to end is less than that of the shortest lead: is it in "
            "mΩ?"
        )
    return tuple(asked)


def questions_of_supply(source: SourceImpedance | None, unloaded: Quantity | None, nominal: float) -> tuple[str, ...]:
    """Ask about a supply that no socket for charging has; nothing is corrected.

    Parameters
    ----------
    source : SourceImpedance or None
        Of the supply at the socket.
    unloaded : Quantity or None
        The voltage there without load. [V]
    nominal : float
        Line to neutral. [V]

    Returns
    -------
    tuple of str
        One question each.

    Examples
    --------
    >>> questions_of_supply(None, Quantity(402.0, 0.1, "V"), 230.0)
    ('The voltage without load is 402 V: is it that of line and neutral, in volts?',)
    """
    asked = () if source is None else questions_of_impedance(source.resistance_ohm.value)
    if unloaded is None or abs(unloaded.value - nominal) <= ODD_VOLTAGE * nominal:
        return asked
    return (
        *asked,
        f"The voltage without load is {format_value(unloaded.value, 'V')}: is it that of line and neutral, in volts?",
    )


ODD_VOLTAGE = 0.3
"""Ours: a voltage so far from the nominal one is asked about; a voltage between lines is 73 % above it. [1]"""


def statements(
    lost: Quantity,
    percent: Quantity,
    most: float,
    outcome: Outcome,
    current: Quantity,
    vehicle: VoltageAtVehicle | None,
    phases: int,
    *,
    asked: bool,
    supply_asked: bool = False,
    undone: Open = Open.NOTHING,
    allowed: float = 0.0,
    warmer: bool = False,
) -> tuple[str, ...]:
    """Say what the lead takes and, where the supply is known, what the car has.

    Parameters
    ----------
    lost : Quantity
        What the lead takes, line to neutral with three phases. [V]
    percent : Quantity
        The same, of the nominal voltage. [%]
    most : float
        What a whole installation may take. [%]
    outcome : Outcome
        Of the one against the other.
    current : Quantity
        In each line. [A]
    vehicle : VoltageAtVehicle or None
        The voltage at the car.
    phases : int
        1 or 3.
    asked : bool
        Whether a value is in question.
    supply_asked : bool
        Whether one of the supply is.
    undone : Open
        What may undo the outcome: what is not counted or warmer conductors, or cooler ones.
    allowed : float
        The most that is allowed for what is not counted. [%]
    warmer : bool
        Whether the conductors may be warmer than they are reckoned.

    Returns
    -------
    tuple of str
        One sentence, or two.
    """
    in_question = "nothing is placed while a value is in question"
    unsettled = in_question if asked else ""
    whole = f"the {most:g} % that a whole installation may take"
    if undone is Open.COOLER and not asked:
        unsettled = f"more than {whole}, which with cooler conductors it may not be"
    if undone is Open.HIGHER and not asked:
        more = [*(["what is not counted"] if allowed else []), *(["warmer conductors"] if warmer else [])]
        unsettled = f"a lower end, and with {' and '.join(more)} it may be more than {whole}"
    placed = {
        Outcome.WITHIN: f"less than {whole}{_also_with(allowed)}",
        Outcome.BEYOND: f"more than {whole}, with nothing left for its wiring",
    }.get(outcome, unsettled or f"too close to {whole}, or not known well enough, to say")
    between = " in each line, line to neutral" if phases == 3 else ""
    first = (
        f"At {format_value(current.value, 'A')} the lead takes {format_figure(lost)}{between}, "
        f"{format_figure(percent)} of the nominal voltage: {placed}."
    )
    if vehicle is None:
        return (first,)
    least = number_text(round(vehicle.least_v, 6), "V")
    where = {
        Outcome.WITHIN: f"above the {least} that the supply itself may have at the least",
        Outcome.BEYOND: f"below the {least} that the supply itself may have at the least",
    }.get(
        vehicle.outcome,
        (in_question if asked or supply_asked else "")
        or f"too close to the {least} that the supply itself may have, or not known, to say",
    )
    second = (
        f"With the drop of the supply, {format_figure(vehicle.source_drop_v)}, the car has "
        f"{format_figure(vehicle.at_vehicle_v)}: {where}."
    )
    return (first, second)


OF_EVERY_DROP = 2
"""So many remarks, the first, say what holds of every drop: where its limit counts from, and how warm it is taken."""


def _also_with(allowed: float) -> str:
    return f", also with the {_two_figures(allowed)} more allowed for what is not counted" if allowed else ""


def _two_figures(percent: float) -> str:
    return format_value(float(f"{percent:.2g}"), "%")


def remarks(
    phases: int,
    from_what: str,
    warmth: str,
    limit: str,
    told: tuple[str, ...] = (),
    not_counted: tuple[str, ...] = (),
    allowed: float = 0.0,
) -> tuple[str, ...]:
    """Say what the figures of a lead's drop rest on, and what is not in them.

    Parameters
    ----------
    phases : int
        1 or 3.
    from_what : str
        Where the resistance is from.
    warmth : str
        How warm the conductors are taken, as a sentence.
    limit : str
        The limit as it is printed.
    told : tuple of str
        What was added, scaled or taken for granted.
    not_counted : tuple of str
        What is in none of the figures.
    allowed : float
        The most that is allowed for that. [%]

    Returns
    -------
    tuple of str
        One remark each.

    Examples
    --------
    >>> remarks(1, MEASURED, "At 60 °C.", "at most 5 %", (), ("the joints that were not read",), 0.4183)[-1]
    'Not counted: the joints that were not read. The drop is a lower end; at most 0.42 % more is allowed for that.'
    """
    said = [
        f"The limit ({limit}) counts from the origin of the installation: the wiring takes its part first.",
        warmth,
        *told,
    ]
    if not_counted:
        said.append(
            f"Not counted: {'; '.join(not_counted)}. The drop is a lower end; at most {_two_figures(allowed)} more is "
            "allowed for that."
        )
    if phases == 3:
        said.append("With three phases evenly loaded nothing comes back by the neutral; a car on one phase takes more.")
    if from_what != MEASURED:
        said.append(f"The resistance is not measured: {from_what}.")
    return tuple(said)


def remarks_of_supply(phases: int, source: SourceImpedance | None, *, unloaded: bool) -> tuple[str, ...]:
    """Say what the voltage at the car rests on beside the drop of the lead.

    Parameters
    ----------
    phases : int
        1 or 3.
    source : SourceImpedance or None
        Of the supply at the socket.
    unloaded : bool
        Whether the voltage without load was read.

    Returns
    -------
    tuple of str
        One remark each; none where nothing is known of the supply.
    """
    if source is None:
        return ()
    said = list(source.remarks)
    if not unloaded:
        said.append("The voltage without load was not read: the nominal one is taken, and nothing is decided.")
    if phases == 3:
        said.append(
            "The supply's impedance is that of line and neutral; with three phases evenly loaded the neutral takes "
            "no part, so the drop told is the most it can be."
        )
    return tuple(said)
