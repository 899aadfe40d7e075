r"""The loop of a fault with the lead in it: line out, earth back, and whether the device before it acts in time.

.. math:: Z = Z_s + R_L + R_{PE} \qquad I = c\,U_0 / Z

Magnitudes are added, which is more than the sum of the phasors: the loop told is the largest it can be. The lead's
conductors are reckoned at their temperature in service, as the tables of largest loops are made for. Their factor
c = 0.95 stands for a low supply; practice without it is told beside.
"""

from __future__ import annotations

from dataclasses import replace

from coldpin.copper.drop_formulas import at_temperature
from coldpin.copper.resistance import Number
from coldpin.copper.source_impedance import SMALLEST_PLAUSIBLE
from coldpin.copper.steady import hot_resistance
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, decide, format_figure, format_value, propagate
from coldpin.records.fault import Disconnection, FaultLoop, ProtectiveDevice
from coldpin.records.finding import Limit, Outcome
from coldpin.records.lead_way import ALL_COUNTED, NotCounted
from coldpin.standards.book import Book
from coldpin.standards.disconnection import disconnection_time, largest_loop, residual_loop, voltage_factor
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_voltage


def loop_with_lead(*, supply: Number, line: Number, earth: Number) -> Number:
    r"""Return the impedance of the loop through supply, line conductor and earth conductor.

    .. math:: Z = Z_s + R_L + R_{PE}

    Parameters
    ----------
    supply : float or array of shape (n,)
        Zs, read at the socket. [Ω]
    line : float or array of shape (n,)
        RL, of the lead, hot. [Ω]
    earth : float or array of shape (n,)
        RPE, of the lead, hot. [Ω]

    Returns
    -------
    float or array of shape (n,)
        Z. [Ω]

    Examples
    --------
    >>> loop_with_lead(supply=0.8, line=0.1, earth=0.1)
    1.0

    Sources
    -------
    IEC 60364-4-41 411.4.4; the sum of magnitudes is an upper bound.
    """
    return supply + line + earth


def prospective_current(*, voltage: Number, loop: Number, factor: Number) -> Number:
    r"""Return the current that a loop lets flow.

    .. math:: I = c\,U_0 / Z

    Parameters
    ----------
    voltage : float or array of shape (n,)
        U0. [V]
    loop : float or array of shape (n,)
        Z. [Ω]
    factor : float or array of shape (n,)
        c, on the voltage. [1]

    Returns
    -------
    float or array of shape (n,)
        I. [A]

    Examples
    --------
    >>> prospective_current(voltage=230.0, loop=1.0, factor=0.95)
    218.5

    Sources
    -------
    IEC 60364-4-41 411.4.4; ``loop.voltage-factor``.
    """
    return factor * voltage / loop


def fault_loop(
    supply: Quantity,
    *,
    line_20: Quantity,
    earth_20: Quantity,
    conductor_temperature: float,
    book: Book,
    metal: str = "copper",
    beyond: NotCounted = ALL_COUNTED,
) -> FaultLoop:
    """Return the loop of a fault at the far end of a lead, and the currents that it lets flow.

    Parameters
    ----------
    supply : Quantity
        Loop of line and earth at the socket. [Ω]
    line_20 : Quantity
        The lead's line conductor at 20 °C. [Ω]
    earth_20 : Quantity
        The lead's earth conductor at 20 °C. [Ω]
    conductor_temperature : float
        Of the lead's conductors when the fault comes. [°C]
    book : Book
        The constants.
    metal : str
        Of the lead's conductors, for their temperature coefficient.
    beyond : NotCounted
        What of the two is in neither, and the most that is allowed for it.

    Returns
    -------
    FaultLoop
        The loop's parts, their sum, and the prospective currents.

    Raises
    ------
    OutsideRange
        The supply's loop is not above zero, or a resistance or the temperature is no such thing.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> core = Quantity(0.04, 1e-4, "Ω")
    >>> loop = fault_loop(
    ...     Quantity(0.8, 0.05, "Ω"), line_20=core, earth_20=core, conductor_temperature=70.0, book=load_book()
    ... )
    >>> round(loop.total_ohm.value, 3), round(loop.prospective_current_a.value)
    (0.896, 257)
    """
    if supply.value <= 0.0:
        raise OutsideRange(
            f"loop of the supply is {format_value(supply.value, 'Ω')}: it must be above 0 Ω; zero the leads of the "
            "tester and read again"
        )
    check_loop(supply)
    temperature = Quantity(conductor_temperature, 0.0, "°C")
    line, earth = (at_temperature(core, temperature, book, metal=metal) for core in (line_20, earth_20))
    total = propagate(loop_with_lead, {"supply": supply, "line": line, "earth": earth}, "Ω")
    given: dict[str, Quantity | float] = {"voltage": supply_voltage(book), "loop": total}
    coefficient = temperature_coefficient(book, metal)
    allowed = hot_resistance(resistance=beyond.allowed_20, temperature=conductor_temperature, coefficient=coefficient)
    return FaultLoop(
        supply_ohm=supply,
        line_ohm=line,
        earth_ohm=earth,
        total_ohm=total,
        conductor_temperature_c=conductor_temperature,
        prospective_current_a=propagate(prospective_current, {**given, "factor": 1.0}, "A", monte_carlo=False),
        least_current_a=propagate(
            prospective_current, {**given, "factor": voltage_factor(book)}, "A", monte_carlo=False
        ),
        not_counted=beyond.what,
        allowed_ohm=float(allowed),
    )


def check_loop(supply: Quantity) -> None:
    """Refuse a loop that no socket has.

    Parameters
    ----------
    supply : Quantity
        Of the supply at the socket. [Ω]

    Raises
    ------
    OutsideRange
        It is lower than any that a socket for charging has.

    Examples
    --------
    >>> check_loop(Quantity(0.0008, 1e-5, "Ω"))
    Traceback (most recent call last):
    coldpin.errors.OutsideRange: loop of the supply is 800 µΩ: less than a socket for charging has; is it in Ω?
    """
    if supply.value < SMALLEST_PLAUSIBLE:
        raise OutsideRange(
            f"loop of the supply is {format_value(supply.value, 'Ω')}: less than a socket for charging has; is it in Ω?"
        )


def disconnection(loop: Quantity, device: ProtectiveDevice, book: Book, *, system: str = "TN") -> Disconnection:
    """Say whether the device before the socket acts in time on a fault at the end of the loop.

    Parameters
    ----------
    loop : Quantity
        With the lead in it, hot. [Ω]
    device : ProtectiveDevice
        Before the socket.
    book : Book
        The constants.
    system : str
        "TN" or "TT": how the earth reaches the source.

    Returns
    -------
    Disconnection
        The outcome by the tables' largest loop, and that of practice without their factor.

    Raises
    ------
    OutsideRange
        No table known to us has the device.
    UnknownName
        There is no such system.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = disconnection(Quantity(2.80, 0.01, "Ω"), ProtectiveDevice(kind="B", rating_a=16.0), load_book())
    >>> told.outcome.value, told.outcome_without_factor.value
    ('beyond', 'within')

    Sources
    -------
    ``loop.*``, ``disconnection.*``: BS 7671 tables 41.2 to 41.4, IEC 60364-4-41 table 41.1.
    """
    within = disconnection_time(book, device, system=system)
    limits = largest_loop(book, device, within=needed(within, "maximum"))
    decided = decide(loop, maximum=limits.with_factor.maximum)
    without = decide(loop, maximum=limits.without_factor.maximum)
    return Disconnection(
        within=within,
        largest_loop=limits.with_factor,
        outcome=Outcome(decided.outcome),
        probability=decided.probability,
        without_factor=limits.without_factor,
        outcome_without_factor=Outcome(without.outcome),
    )


def with_what_is_not_counted(told: Disconnection, loop: Quantity, allowed: float) -> Disconnection:
    """Leave open what is within only as long as nothing is added for what of the lead was not read.

    Parameters
    ----------
    told : Disconnection
        By the loop as reckoned.
    loop : Quantity
        As reckoned. [Ω]
    allowed : float
        The most that is allowed for what is not in it. [Ω]

    Returns
    -------
    Disconnection
        The same where nothing is left out, or where even that is within.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> loop = Quantity(2.6, 0.02, "Ω")
    >>> told = disconnection(loop, ProtectiveDevice(kind="B", rating_a=16.0), load_book())
    >>> [with_what_is_not_counted(told, loop, more).outcome.value for more in (0.0, 0.2)]
    ['within', 'undecided']
    """
    if told.outcome_without_factor is Outcome.WITHIN and _may_exceed(told.without_factor, loop, allowed):
        told = replace(told, outcome_without_factor=Outcome.UNDECIDED)
    if told.outcome is Outcome.WITHIN and _may_exceed(told.largest_loop, loop, allowed):
        told = replace(told, outcome=Outcome.UNDECIDED, probability=None)
    return told


def _may_exceed(largest: Limit, loop: Quantity, allowed: float) -> bool:
    """Whether a loop that is within may not be with what is allowed for what it does not count."""
    most = needed(largest, "maximum")
    by_itself, with_it = (decide(loop, maximum=most - more).outcome for more in (0.0, allowed))
    return by_itself == "within" and with_it != "within"


def residual_fallback(loop: Quantity, residual_current: float, book: Book) -> tuple[Limit, Outcome]:
    """Say whether a residual-current device before the socket would still switch a fault off.

    Parameters
    ----------
    loop : Quantity
        With the lead in it. [Ω]
    residual_current : float
        Rated residual operating current of the device. [A]
    book : Book
        The constants.

    Returns
    -------
    tuple of Limit and Outcome
        The largest resistance with which it serves, and where the loop lies.

    Raises
    ------
    OutsideRange
        The current is not above zero.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> residual_fallback(Quantity(4.0, 0.2, "Ω"), 0.03, load_book())[1].value
    'within'

    Sources
    -------
    ``loop.residual.30mA``, IEC 60364-4-41 411.5.3.
    """
    limit = residual_loop(book, residual_current)
    return limit, Outcome(decide(loop, maximum=limit.maximum).outcome)


FALLBACK = (
    "A residual-current device before the socket switches such a fault off at a small part of this current: it is then "
    "the only thing that does, and nothing switches it off where there is none, or a worn one."
)
"""What is said of a loop in which the device for too much current does not act in time."""


def loop_statement(loop: FaultLoop, told: Disconnection | None, device: ProtectiveDevice) -> str:
    """Return what a loop and its disconnection come to, in one sentence or two.

    Parameters
    ----------
    loop : FaultLoop
        The loop.
    told : Disconnection or None
        None where no table has the device.
    device : ProtectiveDevice
        The device.

    Returns
    -------
    str
        With the loop, the current, and whether the device acts in time.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> core, book = Quantity(0.04, 1e-4, "Ω"), load_book()
    >>> loop = fault_loop(
    ...     Quantity(0.8, 0.05, "Ω"), line_20=core, earth_20=core, conductor_temperature=70.0, book=book
    ... )
    >>> device = ProtectiveDevice(kind="B", rating_a=16.0)
    >>> loop_statement(loop, disconnection(loop.total_ohm, device, book), device)[:60]
    'With the lead in it the loop is 0.896 Ω ± 0.098 Ω, which let'
    """
    first = (
        f"With the lead in it the loop is {format_figure(loop.total_ohm)}, which lets "
        f"{format_figure(loop.prospective_current_a)} flow at the nominal voltage"
    )
    if told is None:
        return f"{first}."
    limit = format_value(float(f"{needed(told.largest_loop, 'maximum'):.3g}"), "Ω")
    seconds = f"{needed(told.within, 'maximum'):g} s"
    match told.outcome:
        case Outcome.WITHIN:
            return f"{first}: a {device.name} acts within {seconds} (loop up to {limit}){_also_with(loop)}."
        case Outcome.BEYOND:
            return f"{first}: a {device.name} need not act within {seconds} (that takes {limit} or less)."
        case _ if _may_exceed(told.largest_loop, loop.total_ohm, loop.allowed_ohm):
            return (
                f"{first}: a lower end, and with what is not counted it may be more than the {limit} with which a "
                f"{device.name} acts within {seconds}."
            )
        case _:
            return (
                f"{first}: too close to {limit}, or not known well enough, to say whether a {device.name} acts in time."
            )


def _also_with(loop: FaultLoop) -> str:
    return f", also with the {_allowed(loop)} more allowed for what is not counted" if loop.allowed_ohm else ""


def _allowed(loop: FaultLoop) -> str:
    return format_value(float(f"{loop.allowed_ohm:.2g}"), "Ω")


def loop_remark(loop: FaultLoop) -> str:
    """Return what of the lead is not in its loop, in a sentence or two.

    Parameters
    ----------
    loop : FaultLoop
        The loop.

    Returns
    -------
    str
        Empty where all of it is.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> core, beyond = Quantity(0.04, 1e-4, "Ω"), NotCounted(what=("the joints that were not read",), allowed_20=0.05)
    >>> loop = fault_loop(
    ...     Quantity(0.8, 0.05, "Ω"),
    ...     line_20=core,
    ...     earth_20=core,
    ...     conductor_temperature=70.0,
    ...     book=load_book(),
    ...     beyond=beyond,
    ... )
    >>> loop_remark(loop)
    'Not in the loop: the joints that were not read. It is a lower end; at most 0.060 Ω more is allowed for that.'
    """
    if not loop.not_counted:
        return ""
    return (
        f"Not in the loop: {'; '.join(loop.not_counted)}. It is a lower end; at most {_allowed(loop)} more is allowed "
        "for that."
    )
