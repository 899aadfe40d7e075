"""A conductor against its marked size: its resistance at 20 °C, placed against the limits of its class, both coatings.

Which coating is meant must be said; where it is not, the conductor is placed against both limits and the outcome is
undecided where they differ.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from coldpin.copper.resistance import (
    FOUR_WIRE,
    area_of,
    equivalent_area,
    length_between_taps,
    metal_temperature,
    no_evidence_of_size,
    resistance_at_20,
    temperature_questions,
)
from coldpin.copper.self_heating import self_heating
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, decide, format_quantity, format_value, propagate
from coldpin.records.conductor import ClassPlacement, ConductorReading
from coldpin.records.finding import Outcome
from coldpin.standards.book import Book
from coldpin.standards.conductors import COATINGS, FLEXIBLE, cross_sections, resistance_limit
from coldpin.standards.metals import resistivity
from coldpin.standards.table import needed
from coldpin.standards.wording import limit_value


@dataclass(frozen=True, slots=True, kw_only=True)
class Tapped:
    """A resistance read between two taps on one core, or on two in series, and what must be known with it.

    ``resistance`` in Ω. ``length`` is that of cable between the taps [m], ``temperature`` that of the metal before the
    current flowed [°C]. ``current`` [A] and ``since`` [s], from switching on to reading, are None where they are not
    stated. ``method`` is "four-wire", "two-wire" or "continuity meter". ``length_step`` is what one step of the last
    digit is worth that was written of the length, 0 where that is not known. [m]
    """

    resistance: Quantity
    length: Quantity
    temperature: Quantity
    cores_in_series: int = 1
    current: Quantity | None = None
    since: Quantity | None = None
    method: str = FOUR_WIRE
    length_step: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """What a conductor is marked as: size [mm²] and coating, None and empty where they are not stated, and class."""

    size_mm2: float | None = None
    conductor_class: int = FLEXIBLE
    coating: str = ""


def read_conductor(tapped: Tapped, marked: Marked, book: Book) -> ConductorReading:
    """Say what the resistance of a conductor is at 20 °C, and whether it keeps the limit of its marked size.

    Parameters
    ----------
    tapped : Tapped
        What was read.
    marked : Marked
        What the conductor should be.
    book : Book
        The constants.

    Returns
    -------
    ConductorReading
        Resistance, area of copper worth as much, limits, outcome, questions and remarks; no metal yet.

    Raises
    ------
    OutsideRange
        Length or resistance are not above zero, the temperature or the marked size cannot be.
    InputError
        There are neither one nor two cores in series.
    UnknownName
        There is no such class, coating or method.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> tapped = Tapped(
    ...     resistance=Quantity(0.052, 2e-4, "Ω"),
    ...     length=Quantity(5.0, None, "m"),
    ...     temperature=Quantity(25.0, 0.6, "°C"),
    ... )
    >>> told = read_conductor(tapped, Marked(size_mm2=2.5, coating="plain"), load_book())
    >>> round(told.resistance_20c_ohm_per_km.value, 2), told.limit_ohm_per_km, told.outcome.value
    (10.2, 7.98, 'beyond')
    >>> round(told.equivalent_area_mm2.value, 2), told.keeps_limit_of_mm2
    (1.69, 1.5)

    Sources
    -------
    ``conductor.*``; JCGM 106:2012 clause 7.
    """
    return _read(tapped, marked, book)


REMEMBERED = 64
"""Ours: so many readings are kept; a case has a few, and every check, chapter and figure asks for them again."""


@lru_cache(maxsize=REMEMBERED)
def _read(tapped: Tapped, marked: Marked, book: Book) -> ConductorReading:
    if not tapped.resistance.value > 0.0:
        raise OutsideRange(
            f"the resistance is {format_value(tapped.resistance.value, 'Ω')}; it must be above zero: check the taps "
            "and the zero of the meter, and read again"
        )
    length, about_length = length_between_taps(tapped.length, book, step=tapped.length_step)
    temperature, about_temperature = metal_temperature(tapped.temperature, book)
    rise, about_rise = self_heating(
        current=tapped.current,
        since=tapped.since,
        linear=1000.0 * tapped.resistance.value / (length.value * max(tapped.cores_in_series, 1)),
        cores=tapped.cores_in_series,
        book=book,
    )
    linear = resistance_at_20(
        tapped.resistance,
        length=length,
        temperature=temperature,
        rise=rise,
        cores_in_series=tapped.cores_in_series,
        book=book,
    )
    refused = no_evidence_of_size(tapped.method, book)
    questions = (
        *temperature_questions(tapped.temperature, book),
        *_questions(linear, tapped.cores_in_series, marked, book),
    )
    doubted = refused or (f"it is questioned: {questions[0]}" if questions else "")
    if doubted and (refused or linear.u is not None):
        linear = Quantity(linear.value, None, linear.unit, why=doubted)
    placements = place(linear, marked, book)
    if tapped.cores_in_series > 1:
        placements = _of_each(placements, place(_in_one(linear, tapped.cores_in_series), marked, book))
    outcome, probability = agreed(placements)
    used = placements[0].limit if placements else None
    return ConductorReading(
        schema="coldpin.conductor/1",
        resistance_20c_ohm_per_km=linear,
        nominal_mm2=marked.size_mm2,
        limit_ohm_per_km=used.maximum if used else None,
        outcome=outcome,
        probability=probability,
        equivalent_area_mm2=area_of(linear, book),
        least_area_mm2=_least_area(placements, book),
        keeps_limit_of_mm2=None if doubted or tapped.cores_in_series > 1 else _keeps(linear, marked, book),
        cores_in_series=tapped.cores_in_series,
        length_m=length,
        temperature_c=temperature,
        self_heating_k=rise,
        placements=placements,
        statement=_statement(linear, placements, outcome, tapped.cores_in_series),
        questions=questions,
        remarks=(
            *((refused,) if refused else ()),
            *about_length,
            *about_temperature,
            *about_rise,
            *_of_series(tapped.cores_in_series),
            *_of_length(length, book),
            *_of_coating(marked, placements),
        ),
    )


ABOUT_TWICE = (1.6, 2.2)
"""Ours: what two honest cores in series have of one's limit; makers use a little less metal or more. [1]"""


def is_about_twice(told: ConductorReading) -> bool:
    """Say whether a core reads as two honest ones in series would, so that it is to be asked whether two were read.

    Parameters
    ----------
    told : ConductorReading
        Read as one core.

    Returns
    -------
    bool
        Whether it has about twice the limit of its marked size; not where none is marked.
    """
    least, most = ABOUT_TWICE
    limit = told.limit_ohm_per_km
    return limit is not None and least <= told.resistance_20c_ohm_per_km.value / limit <= most


def place(linear: Quantity, marked: Marked, book: Book) -> tuple[ClassPlacement, ...]:
    """Place a resistance against the limit of a marked size, for the coating that is meant, or for each.

    Parameters
    ----------
    linear : Quantity
        At 20 °C. [Ω/km]
    marked : Marked
        Size, class and coating.
    book : Book
        The constants.

    Returns
    -------
    tuple of ClassPlacement
        One where the coating is stated, else plain wires first; none without a size.

    Raises
    ------
    OutsideRange
        The table has no such size.
    UnknownName
        There is no such class or coating.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> found = place(Quantity(8.1, 0.02, "Ω/km"), Marked(size_mm2=2.5), load_book())
    >>> [(one.coating, one.outcome.value) for one in found]
    [('plain', 'beyond'), ('tinned', 'within')]

    Sources
    -------
    ``conductor.*``.
    """
    if marked.size_mm2 is None:
        return ()
    placements = []
    for coating in (marked.coating,) if marked.coating else COATINGS:
        limit = resistance_limit(
            book, conductor_class=marked.conductor_class, coating=coating, cross_section_mm2=marked.size_mm2
        )
        decision = decide(linear, maximum=needed(limit, "maximum"))
        placements.append(
            ClassPlacement(
                conductor_class=marked.conductor_class,
                coating=coating,
                limit=limit,
                probability=decision.probability,
                outcome=Outcome(decision.outcome),
            )
        )
    return tuple(placements)


def _in_one(linear: Quantity, cores: int) -> Quantity:
    """Return the resistance of one core if all that was read in series were in it."""
    return propagate(lambda linear: cores * linear, {"linear": linear}, linear.unit)


def _of_each(mean: tuple[ClassPlacement, ...], whole: tuple[ClassPlacement, ...]) -> tuple[ClassPlacement, ...]:
    """Let a mean say of a core what holds however it is shared: within, where all of it in one core would be.

    It says of none that it is beyond: the other core, or the joint at the far end, may be all of it.
    """
    return tuple(
        worst if worst.outcome is Outcome.WITHIN else replace(one, outcome=Outcome.UNDECIDED, probability=None)
        for one, worst in zip(mean, whole, strict=True)
    )


def agreed(placements: tuple[ClassPlacement, ...]) -> tuple[Outcome, float | None]:
    """Return what the placements against one coating or both come to.

    Parameters
    ----------
    placements : tuple of ClassPlacement
        Of one conductor.

    Returns
    -------
    Outcome
        Theirs where they agree, else undecided; not tested where there is none.
    float or None
        The probability of keeping the limit: of plain wires where the outcome is within, else of tinned ones, whose
        limit is higher; None where the coating decides.

    Examples
    --------
    >>> agreed(())[0].value
    'not_tested'
    """
    if not placements:
        return Outcome.NOT_TESTED, None
    outcomes = {placement.outcome for placement in placements}
    if len(outcomes) > 1:
        return Outcome.UNDECIDED, None
    outcome = placements[0].outcome
    return outcome, placements[-1 if outcome is Outcome.BEYOND else 0].probability


def _least_area(placements: tuple[ClassPlacement, ...], book: Book) -> float | None:
    if not placements:
        return None
    area = equivalent_area(linear=needed(placements[0].limit, "maximum"), resistivity=resistivity(book))
    return round(float(area), 3)


def _keeps(linear: Quantity, marked: Marked, book: Book) -> float | None:
    """Return the largest listed size whose limit is kept, by the coating stated or by that of plain wires."""
    kept = None
    coating = marked.coating or COATINGS[0]
    for size in cross_sections(book, conductor_class=marked.conductor_class, coating=coating):
        limit = resistance_limit(book, conductor_class=marked.conductor_class, coating=coating, cross_section_mm2=size)
        if decide(linear, maximum=needed(limit, "maximum")).outcome == "within":
            kept = size
    return kept


def _statement(linear: Quantity, placements: tuple[ClassPlacement, ...], outcome: Outcome, cores: int) -> str:
    subject = "The conductor" if cores == 1 else "The conductor and the one in series with it"
    if linear.u is None:
        verb = "reads" if cores == 1 else "read, in the mean,"
        told = f"{subject} {verb} {format_value(float(f'{linear.value:.4g}'), linear.unit)} at 20 °C"
        if not placements:
            return f"{told}; its uncertainty is not known ({linear.why})."
        end = "" if linear.why.endswith("?") else "."
        return f"{told}; it cannot be placed against {_limits_told(placements)}: {linear.why}{end}"
    verb = "have, in the mean," if cores > 1 else "has"
    told = f"{subject} {verb} {format_quantity(linear)} at 20 °C, for each kilometre of cable"
    if not placements:
        return f"{told}; no marked size is stated to place it against."
    where = {
        Outcome.WITHIN: "within",
        Outcome.BEYOND: "beyond",
        Outcome.UNDECIDED: "undecided against",
    }[outcome]
    return f"{told}: {where} {_limits_told(placements)}."


def _limits_told(placements: tuple[ClassPlacement, ...]) -> str:
    first = placements[0]
    each = " and ".join(f"{limit_value(one.limit)} for {one.coating} wires" for one in placements)
    return (
        f"the limit as known for {first.limit.title.partition(' at ')[0].removeprefix('resistance of ')} of class "
        f"{first.conductor_class} ({each}, {first.limit.source}, standing: {first.limit.standing})"
    )


GIVEN_AWAY = 1.6
"""Ours: a core worth more copper than this many times its marked size is questioned. [1] The next size up, made as
sparingly as its limit allows, is worth 1.55 times; two cores clamped together, or a digit or a length that slipped, are
worth more, and nobody gives metal away."""


def _questions(linear: Quantity, cores: int, marked: Marked, book: Book) -> tuple[str, ...]:
    plausible = book.limit("conductor-measurement.plausible")
    low, high = needed(plausible, "minimum"), needed(plausible, "maximum")
    if low <= linear.value <= high:
        return _beside_mark(cores * linear.value, marked, book)
    side = "above" if linear.value > high else "below"
    asked = (
        f"{format_value(float(f'{linear.value:.3g}'), 'Ω/km')} is {side} anything met in a cord ({low:g} Ω/km to "
        f"{high:g} Ω/km): is a unit wrong by a thousand (Ω for mΩ, mA for A), or the length? Nothing was corrected"
    )
    return (asked,)


def _beside_mark(linear: float, marked: Marked, book: Book) -> tuple[str, ...]:
    """Ask about a core that is worth more than is ever given away; of two in series about all of it in one."""
    if marked.size_mm2 is None:
        return ()
    worth = float(equivalent_area(linear=linear, resistivity=resistivity(book)))
    if worth <= GIVEN_AWAY * marked.size_mm2:
        return ()
    asked = (
        f"a core marked {marked.size_mm2:g} mm² is worth {worth:.3g} mm² of copper by this, and nobody gives metal "
        "away: is a digit or a unit wrong, is less cable between the taps than was written, or were two cores clamped "
        "together? Nothing was corrected"
    )
    return (asked,)


def _of_series(cores: int) -> tuple[str, ...]:
    if cores == 1:
        return ()
    return ("two cores in series: this is their mean, with the joint at the far end in it; one alone may be thinner",)


def _of_length(length: Quantity, book: Book) -> tuple[str, ...]:
    least = needed(book.limit("conductor-measurement.length"), "minimum")
    if length.value >= least:
        return ()
    return (f"{length.value:g} m between the taps is short: {least:g} m or more is asked for",)


def _of_coating(marked: Marked, placements: tuple[ClassPlacement, ...]) -> tuple[str, ...]:
    if marked.coating or len({placement.outcome for placement in placements}) < 2:
        return ()
    return ("which limit holds hangs on the coating: look at the bare wires and say plain or tinned",)
