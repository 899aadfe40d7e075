r"""The same cable at other lengths: resistance, drop and loop grow with it, and at some length a claim no longer holds.

.. math:: L_u = \frac{u_{max} - n\,I R_j}{n\,I r} \qquad L_Z = \frac{Z_{max} - Z_s - R_{j}}{r_L + r_{PE}}

r is what one metre of a conductor has, hot; R_j what the joints at both ends have, whatever the length; n is 2 with one
phase and 1 with three.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from coldpin.copper.drop_formulas import at_temperature
from coldpin.copper.fault_loop import disconnection, loop_with_lead, with_what_is_not_counted
from coldpin.copper.resistance import Number
from coldpin.copper.steady import hot_resistance
from coldpin.copper.voltage_drop import voltage_drop
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, format_value, propagate
from coldpin.records.fault import ProtectiveDevice
from coldpin.records.finding import Limit
from coldpin.records.lead_way import NotCounted
from coldpin.records.length_variants import LengthVariant, LengthVariants
from coldpin.standards.book import Book
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import check_phases, drop_limit, supply_voltage

WAYS = {1: 2.0, 3: 1.0}
"""Conductors of a lead in which the current drops voltage of one phase: out and back, or one line."""


NO_JOINTS = Quantity(0.0, 0.0, "Ω")
"""Joints that are in the cable's own resistance already, or too good to count."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """What one metre of a cable has at 20 °C [Ω/m], and what the joints at both ends of a conductor have. [Ω]

    ``mean`` is that of line and neutral, None where the line stands for both or nothing comes back; ``earth`` is None
    where the earth conductor was not measured. ``joints`` are those of line and neutral in the mean, ``loop_joints``
    those of line and earth, None where they are alike. ``allowed`` is the most that is allowed at 20 °C for what of
    the current's way was not read at any length [Ω], ``allowed_per_metre`` that which comes with each metre [Ω/m], and
    ``allowed_in_loop`` the most for what of line and earth was not read. [Ω]
    """

    line: Quantity
    mean: Quantity | None = None
    earth: Quantity | None = None
    joints: Quantity = NO_JOINTS
    loop_joints: Quantity | None = None
    allowed: float = 0.0
    allowed_per_metre: float = 0.0
    allowed_in_loop: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Socket:
    """What the lead is plugged into: loop of line and earth [Ω], the device before it, how the earth is reached."""

    loop: Quantity
    device: ProtectiveDevice
    system: str = "TN"


def longest_for_drop(*, most: Number, ways: float, current: Number, joints: Number, per_metre: Number) -> Number:
    r"""Return the length at which a lead takes a voltage.

    .. math:: L = \frac{u_{max} - n\,I R_j}{n\,I r}

    Parameters
    ----------
    most : float or array of shape (n,)
        u, the voltage. [V]
    ways : float
        n, 2 with one phase, 1 with three. [1]
    current : float or array of shape (n,)
        I. [A]
    joints : float or array of shape (n,)
        Rj, of one conductor, hot. [Ω]
    per_metre : float or array of shape (n,)
        r, of one conductor, hot. [Ω/m]

    Returns
    -------
    float or array of shape (n,)
        L. [m]

    Examples
    --------
    >>> round(longest_for_drop(most=11.5, ways=2.0, current=16.0, joints=0.0, per_metre=0.00923), 1)
    38.9
    """
    return (most - ways * current * joints) / (ways * current * per_metre)


def longest_for_loop(*, most: Number, supply: Number, joints: Number, line: Number, earth: Number) -> Number:
    r"""Return the length at which the loop with the lead in it reaches a limit.

    .. math:: L = \frac{Z_{max} - Z_s - 2 R_j}{r_L + r_{PE}}

    Parameters
    ----------
    most : float or array of shape (n,)
        Zmax. [Ω]
    supply : float or array of shape (n,)
        Zs, read at the socket. [Ω]
    joints : float or array of shape (n,)
        Rj, of one conductor, hot. [Ω]
    line : float or array of shape (n,)
        rL, hot. [Ω/m]
    earth : float or array of shape (n,)
        rPE, hot. [Ω/m]

    Returns
    -------
    float or array of shape (n,)
        L; below zero where the socket alone lies beyond. [m]

    Examples
    --------
    >>> round(longest_for_loop(most=2.73, supply=0.8, joints=0.0, line=0.0159, earth=0.0159), 1)
    60.7
    """
    return (most - supply - 2.0 * joints) / (line + earth)


def length_variants(
    lengths: Iterable[float],
    cable: Cable,
    book: Book,
    *,
    current: float,
    conductor_temperature: float,
    phases: int = 1,
    socket: Socket | None = None,
) -> LengthVariants:
    """Return what the same cable would do at other lengths, and up to which length a claim holds.

    Parameters
    ----------
    lengths : iterable of float
        What the catalogue offers. [m]
    cable : Cable
        What was measured on one length.
    book : Book
        The constants.
    current : float
        At which the lead is claimed to be used. [A]
    conductor_temperature : float
        Of the conductors at that current. [°C]
    phases : int
        1 or 3.
    socket : Socket, optional
        For the loop; without it only the drop is told.

    Returns
    -------
    LengthVariants
        By rising length.

    Raises
    ------
    OutsideRange
        A length, the current or the phases are no such thing.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> cable = Cable(line=Quantity(0.0195, 1e-4, "Ω/m"))
    >>> told = length_variants([5.0, 10.0, 20.0], cable, load_book(), current=16.0, conductor_temperature=60.0)
    >>> [one.drop_outcome.value for one in told.variants], round(told.longest_for_drop_m.value, 1)
    (['within', 'within', 'beyond'], 15.9)

    Sources
    -------
    ``drop-limit.public.other``, ``loop.*``.
    """
    check_phases(phases)
    listed = sorted(set(lengths))
    if listed and listed[0] <= 0.0:
        raise OutsideRange(f"length is {listed[0]:g} m: a cable is longer than 0 m")
    if current <= 0.0:
        raise OutsideRange(f"current is {format_value(current, 'A')}: it must be above 0 A")
    limit = drop_limit(book)
    temperature = Quantity(conductor_temperature, 0.0, "°C")
    line, joints = (at_temperature(part, temperature, book) for part in (cable.line, cable.joints))
    most = needed(limit, "maximum") / 100.0 * supply_voltage(book)
    given: dict[str, Quantity | float] = {
        "most": most,
        "ways": WAYS[phases],
        "current": current,
        "joints": joints,
        "per_metre": line if cable.mean is None else at_temperature(cable.mean, temperature, book),
    }
    earth = None if cable.earth is None else at_temperature(cable.earth, temperature, book)
    loop_joints = joints if cable.loop_joints is None else at_temperature(cable.loop_joints, temperature, book)
    loop_limit, longest = _loop_length(socket, line, earth, loop_joints, book)
    return LengthVariants(
        current_a=current,
        conductor_temperature_c=conductor_temperature,
        drop_limit=limit,
        longest_for_drop_m=propagate(longest_for_drop, given, "m"),
        loop_limit=loop_limit,
        longest_for_loop_m=longest,
        variants=tuple(
            _variant(length, cable, book, current, conductor_temperature, phases, socket, (line, earth, loop_joints))
            for length in listed
        ),
    )


def _loop_length(
    socket: Socket | None, line: Quantity, earth: Quantity | None, joints: Quantity, book: Book
) -> tuple[Limit | None, Quantity | None]:
    if socket is None or earth is None:
        return None, None
    told = disconnection(socket.loop, socket.device, book, system=socket.system)
    given: dict[str, Quantity | float] = {
        "most": needed(told.largest_loop, "maximum"),
        "supply": socket.loop,
        "joints": joints,
        "line": line,
        "earth": earth,
    }
    return told.largest_loop, propagate(longest_for_loop, given, "m")


def _variant(
    length: float,
    cable: Cable,
    book: Book,
    current: float,
    temperature: float,
    phases: int,
    socket: Socket | None,
    hot: tuple[Quantity, Quantity | None, Quantity],
) -> LengthVariant:
    each = cable.line if cable.mean is None else cable.mean
    core = propagate(_end_to_end, {"per_metre": each, "joints": cable.joints, "length": length}, "Ω", monte_carlo=False)
    drop = voltage_drop(
        core,
        current=Quantity(current, 0.0, "A"),
        conductor_temperature=temperature,
        book=book,
        phases=phases,
        beyond=NotCounted(what=(), allowed_20=cable.allowed + cable.allowed_per_metre * length),
    )
    line, earth, joints = hot
    loop, outcome = None, None
    if socket is not None and earth is not None:
        parts = {
            name: propagate(
                _end_to_end, {"per_metre": metre, "joints": joints, "length": length}, "Ω", monte_carlo=False
            )
            for name, metre in (("line", line), ("earth", earth))
        }
        loop = propagate(loop_with_lead, {"supply": socket.loop, **parts}, "Ω")
        told = disconnection(loop, socket.device, book, system=socket.system)
        allowed = hot_resistance(
            resistance=cable.allowed_in_loop, temperature=temperature, coefficient=temperature_coefficient(book)
        )
        outcome = with_what_is_not_counted(told, loop, float(allowed)).outcome
    return LengthVariant(
        length_m=length,
        line_20c_ohm=core,
        drop_v=drop.lead_v,
        drop_percent=drop.lead_percent,
        drop_outcome=drop.outcome,
        allowed_percent=drop.allowed_percent,
        loop_ohm=loop,
        loop_outcome=outcome,
    )


def _end_to_end(*, per_metre: Number, joints: Number, length: float) -> Number:
    return per_metre * length + joints
