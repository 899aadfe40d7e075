r"""Faults: whether a conductor bears what the device before the socket lets through.

.. math:: S \geq \sqrt{I^2 t} / k \qquad
   k = \sqrt{\frac{Q_c (\beta + 20)}{\rho_{20}} \ln \frac{\beta + \theta_f}{\beta + \theta_i}}

A fault is over so soon that no heat leaves the conductor: what it bears depends on its metal, on the temperature from
which it starts and on the one its insulation stands.

By the marked size aluminium bears less than copper, by its resistance more: of two wires of one resistance the one of
aluminium is the thicker and takes up more heat. So an area taken from the resistance as if the metal were copper, with
the factor of copper, is the unfavourable assumption for every metal; no metal need be known.
"""

from __future__ import annotations

import numpy as np

from coldpin.copper.resistance import Number
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, decide, format_figure, format_value, propagate
from coldpin.records.fault import LetThrough, ProtectiveDevice, Withstand
from coldpin.records.finding import Outcome
from coldpin.standards.book import Book
from coldpin.standards.conductors import METALS, REFERENCE_TEMPERATURE
from coldpin.standards.fault_withstand import WithstandFactor, withstand_factor, withstand_factors
from coldpin.standards.metals import reciprocal_coefficient, resistivity, volumetric_heat
from coldpin.standards.protective_device import (
    instantaneous_band,
    instantaneous_time,
    largest_let_through,
)
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_tolerance, supply_voltage

LINE, EARTH = "line", "earth"
"""The conductors of a lead through which a fault to earth flows."""

NEUTRAL = "neutral"
"""The conductor by which the current comes back, called as line and earth are."""

PER_SQUARE_MILLIMETRE = 1e-6
"""Square metres in a square millimetre."""


def adiabatic_factor(*, heat: Number, resistivity: Number, beta: Number, initial: Number, final: Number) -> Number:
    r"""Return the factor k of a conductor that keeps all its heat.

    .. math:: k = \sqrt{\frac{Q_c (\beta + 20)}{\rho_{20}} \ln \frac{\beta + \theta_f}{\beta + \theta_i}}

    Parameters
    ----------
    heat : float or array of shape (n,)
        Qc, heat capacity by volume. [J/(m³·K)]
    resistivity : float or array of shape (n,)
        ρ20. [Ω·m]
    beta : float or array of shape (n,)
        β, reciprocal of the temperature coefficient at 0 °C. [K]
    initial : float or array of shape (n,)
        θi, when the fault comes. [°C]
    final : float or array of shape (n,)
        θf, when it is over. [°C]

    Returns
    -------
    float or array of shape (n,)
        k. [A·√s/mm²]

    Examples
    --------
    >>> k = adiabatic_factor(heat=3.45e6, resistivity=1.7241e-8, beta=234.5, initial=70.0, final=160.0)
    >>> round(float(k), 1)
    114.8

    Sources
    -------
    IEC 60364-5-54 annex A, IEC 60949.
    """
    warmed = np.log((beta + final) / (beta + initial))
    factor: Number = PER_SQUARE_MILLIMETRE * np.sqrt(heat * (beta + REFERENCE_TEMPERATURE) / resistivity * warmed)
    return factor


def largest_heat(*, k: Number, area: Number) -> Number:
    r"""Return the I²t that a conductor bears.

    .. math:: I^2 t = k^2 S^2

    Parameters
    ----------
    k : float or array of shape (n,)
        Its factor. [A·√s/mm²]
    area : float or array of shape (n,)
        S. [mm²]

    Returns
    -------
    float or array of shape (n,)
        I²t. [A²s]

    Examples
    --------
    >>> largest_heat(k=115.0, area=1.5)
    29756.25

    Sources
    -------
    IEC 60364-4-43 434.5.2.
    """
    return (k * area) ** 2


def least_area(*, let_through: Number, k: Number) -> Number:
    r"""Return the least area of a conductor that bears a let-through.

    .. math:: S = \sqrt{I^2 t} / k

    Parameters
    ----------
    let_through : float or array of shape (n,)
        I²t. [A²s]
    k : float or array of shape (n,)
        Its factor. [A·√s/mm²]

    Returns
    -------
    float or array of shape (n,)
        S. [mm²]

    Examples
    --------
    >>> round(least_area(let_through=35000.0, k=115.0), 2)
    1.63

    Sources
    -------
    IEC 60364-5-54 543.1.2.
    """
    return let_through**0.5 / k


def computed_factor(factor: WithstandFactor, book: Book) -> float | None:
    """Return the factor k that follows from a metal's constants, beside the printed one.

    Parameters
    ----------
    factor : WithstandFactor
        The printed one, with its temperatures.
    book : Book
        The constants.

    Returns
    -------
    float or None
        k; None for a metal whose constants are not in the table. [A·√s/mm²]

    Raises
    ------
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> book = load_book()
    >>> round(computed_factor(withstand_factor(book, insulation="PVC 70"), book), 1)
    114.8

    Sources
    -------
    ``metal.*``.
    """
    if factor.metal not in METALS:
        return None
    return float(
        adiabatic_factor(
            heat=volumetric_heat(book, factor.metal),
            resistivity=resistivity(book, factor.metal),
            beta=reciprocal_coefficient(book, factor.metal),
            initial=factor.initial_temperature,
            final=factor.final_temperature,
        )
    )


def let_through(
    device: ProtectiveDevice,
    book: Book,
    *,
    capacity: float,
    energy_class: int = 3,
    supply: Quantity | None = None,
) -> LetThrough:
    """Return the most that the device before the socket lets through before a fault is off.

    Two bounds are known: what the device's class allows at its full short-circuit capacity, and what the current of
    this supply can do until the device acts at once. The supply is taken at the upper end of its tolerance and the
    fault next to the plug, where the lead itself limits nothing.

    Parameters
    ----------
    device : ProtectiveDevice
        The device.
    book : Book
        The constants.
    capacity : float
        Its short-circuit capacity. [A]
    energy_class : int
        Its energy limiting class.
    supply : Quantity, optional
        Loop of the supply at the socket; of unknown accuracy it bounds nothing. [Ω]

    Returns
    -------
    LetThrough
        Both bounds, and the less of them.

    Raises
    ------
    OutsideRange
        The loop or the capacity is not above zero.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> device = ProtectiveDevice(kind="B", rating_a=16.0)
    >>> let_through(device, load_book(), capacity=6000.0).used_a2s
    35000.0
    >>> told = let_through(device, load_book(), capacity=6000.0, supply=Quantity(0.8, 0.02, "Ω"))
    >>> round(told.used_a2s)
    11059

    Sources
    -------
    ``let-through.*``, ``trip.*``: EN 60898-1 (most of it from memory).
    """
    if capacity <= 0.0:
        raise OutsideRange(f"short-circuit capacity is {capacity:g} A: it must be above 0 A, as 6000 A")
    limit = largest_let_through(book, device, capacity=capacity, energy_class=energy_class)
    by_class = None if limit is None else needed(limit, "maximum")
    by_current = None if supply is None else _until_it_acts(device, supply, book)
    slow = supply is not None and by_current is None and _may_last(device, supply, book)
    known = [bound for bound in (by_class, by_current) if bound is not None]
    used = None if slow else min(known, default=None)
    return LetThrough(
        limit=limit,
        by_current_a2s=by_current,
        used_a2s=used,
        of_this_supply=by_current is not None,
        why=LASTS.format(device=f"a {device.name}") if slow else _why(device, used, by_class, supply),
    )


LASTS = (
    "with this loop {device} need not act at once even on a fault next to the plug: the current may flow for seconds, "
    "and neither its class nor its time at once bounds that"
)
"""Why nothing bounds what a device lets through: its class is of a short circuit that it cuts at once."""


def _may_last(device: ProtectiveDevice, supply: Quantity, book: Book) -> bool:
    """Whether the current of a supply may be less than that at which the device acts at once."""
    band = instantaneous_band(book, device)
    if band is None or supply.u is None:
        return False
    lowest = 1.0 + needed(supply_tolerance(book), "minimum") / 100.0
    high = supply.value if supply.high is None else supply.high
    return supply_voltage(book) * lowest / high < needed(band, "maximum") * device.rating_a


def _until_it_acts(device: ProtectiveDevice, supply: Quantity, book: Book) -> float | None:
    """Return I²t of the largest current until the device acts at once; None where nothing bounds it so."""
    if supply.value <= 0.0:
        raise OutsideRange(f"loop of the supply is {format_value(supply.value, 'Ω')}: it must be above 0 Ω")
    band = instantaneous_band(book, device)
    if band is None or supply.u is None:
        return None
    highest = 1.0 + needed(supply_tolerance(book), "maximum") / 100.0
    lowest = 1.0 + needed(supply_tolerance(book), "minimum") / 100.0
    low, high = (supply.value if edge is None else edge for edge in (supply.low, supply.high))
    voltage = supply_voltage(book)
    if low <= 0.0 or voltage * lowest / high < needed(band, "maximum") * device.rating_a:
        return None
    return (voltage * highest / low) ** 2 * needed(instantaneous_time(book), "maximum")


def _why(device: ProtectiveDevice, used: float | None, by_class: float | None, supply: Quantity | None) -> str:
    if used is None:
        return (
            f"what a {device.name} of this kind lets through is in no text known to us: take it from its maker's curve"
        )
    if used == by_class:
        beside = "" if supply is None else ", which is less than the supply's current could do"
        if supply is not None and supply.u is None:
            beside = "; the accuracy of the loop is not known, so its current bounds nothing"
        return f"the limit of its energy limiting class at its full short-circuit capacity{beside}"
    return "the current of this supply, at the upper end of its tolerance, until the device acts at once"


def withstand(
    conductor: str,
    area: Quantity,
    book: Book,
    *,
    area_from: str,
    passed: LetThrough,
    metal: str = "copper",
    insulation: str = "",
) -> Withstand:
    """Say whether a conductor bears a let-through.

    Parameters
    ----------
    conductor : str
        "line" or "earth".
    area : Quantity
        Its area; from its resistance as if it were copper, with the metal "copper", whatever the metal. [mm²]
    book : Book
        The constants.
    area_from : str
        Where the area is from, as a reader would say it.
    passed : LetThrough
        What the device lets through.
    metal : str
        By whose row it is judged.
    insulation : str
        Its insulation; where nothing is known of it, the least factor of the metal.

    Returns
    -------
    Withstand
        What it bears, the least area that would, and the outcome: not tested where no let-through is known, undecided
        where it bears less than the class allows and the supply is not known, or only by the least factor of an
        insulation or a metal that nobody knows.

    Raises
    ------
    OutsideRange
        The area is not above zero.
    UnknownName
        Metal or insulation are in no row.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> book, area = load_book(), Quantity(1.5, 0.01, "mm²")
    >>> passed = let_through(ProtectiveDevice(kind="B", rating_a=16.0), book, capacity=6000.0)
    >>> told = withstand("line", area, book, area_from="the print", passed=passed, insulation="PVC 70")
    >>> round(told.withstand_a2s.value), told.outcome.value
    (29756, 'undecided')

    Sources
    -------
    ``k.*``, IEC 60364-5-54 table A.54.4.
    """
    if area.value <= 0.0:
        raise OutsideRange(
            f"area of the {conductor} conductor is {format_value(area.value, 'mm²')}: it must be above 0"
        )
    factor = withstand_factor(book, metal=metal, insulation=insulation)
    bears = propagate(largest_heat, {"k": factor.k, "area": area}, "A²s")
    most = passed.used_a2s
    decided = None if most is None else decide(bears, minimum=most)
    outcome = Outcome.NOT_TESTED if decided is None else Outcome(decided.outcome)
    if most is not None and outcome is Outcome.BEYOND:
        might = _more_it_may_bear(factor, book, insulation=insulation, by_resistance=RESISTANCE in area_from)
        if not passed.of_this_supply or decide(bears, minimum=most / might).outcome != "beyond":
            outcome = Outcome.UNDECIDED
    return Withstand(
        conductor=conductor,
        metal=factor.metal,
        insulation=factor.insulation if insulation else f"not known, so the least factor, of {factor.insulation}",
        area_mm2=area,
        area_from=area_from,
        k=factor.limit,
        k_computed=computed_factor(factor, book),
        withstand_a2s=bears,
        let_through=passed,
        least_area_mm2=None if most is None else float(least_area(let_through=most, k=factor.k)),
        outcome=outcome,
        probability=None if decided is None else decided.probability,
    )


def _more_it_may_bear(factor: WithstandFactor, book: Book, *, insulation: str, by_resistance: bool) -> float:
    """Return how many times the heat a conductor bears at the most, by what is not known of it.

    Within is judged by the least factor; beyond only what bears too little by the best one as well.
    """
    metals = SOFT if by_resistance else (factor.metal,)
    copper = resistivity(book, "copper")
    return max(
        (one.k * (resistivity(book, metal) / copper if by_resistance else 1.0) / factor.k) ** 2
        for metal in metals
        for one in withstand_factors(book, metal)
        if not insulation.strip() or one.insulation == factor.insulation
    )


RESISTANCE = "resistance"
"""A word of where an area is from, if it is that of copper of the same resistance."""

SOFT = ("copper", "aluminium")
"""The metals of which a core without a magnet may be; clad ones lie between them."""


def withstand_statement(told: Withstand, device: ProtectiveDevice, passed: LetThrough) -> str:
    """Return what the withstand of a conductor comes to, in one sentence.

    Parameters
    ----------
    told : Withstand
        The conductor.
    device : ProtectiveDevice
        The device.
    passed : LetThrough
        What it lets through.

    Returns
    -------
    str
        Area, what it bears, and whether that is enough.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> book, area, device = load_book(), Quantity(2.5, 0.01, "mm²"), ProtectiveDevice(kind="B", rating_a=16.0)
    >>> passed = let_through(device, book, capacity=6000.0)
    >>> told = withstand("earth", area, book, area_from="its resistance", passed=passed, insulation="PVC 70")
    >>> withstand_statement(told, device, passed)[-53:]
    ': more than the 35000 A²s that a B16 may let through.'
    """
    area, heat = format_figure(told.area_mm2), format_figure(told.withstand_a2s)
    first = f"The {told.conductor} conductor of {area}, from {told.area_from}, bears {heat}"
    if passed.used_a2s is None:
        return f"{first}; what the {device.name} lets through is not known."
    most = f"the {passed.used_a2s:.0f} A²s that a {device.name} may let through"
    here = " at this socket" if passed.of_this_supply else ""
    if told.outcome is Outcome.WITHIN:
        return f"{first}: more than {most}{here}."
    if told.outcome is Outcome.BEYOND:
        return f"{first}: less than {most} here."
    beside = decide(told.withstand_a2s, minimum=passed.used_a2s).outcome
    if beside == "within":
        return f"{first}: more than {most}{here} on a fault next to the plug, which does not settle it."
    if beside == "beyond" and passed.of_this_supply:
        return f"{first}: less than {most}{here}, which does not settle it."
    if beside == "beyond":
        return f"{first}: less than {most} at its full short-circuit capacity; the loop at the socket would tell more."
    return f"{first}: too close to {most}, or not known well enough, to say."
