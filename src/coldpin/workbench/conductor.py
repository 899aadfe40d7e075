"""A quick look at a conductor between two taps, with nothing written anywhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from coldpin.checks.judging import budget_lines
from coldpin.copper.conductor import Marked, Tapped, is_about_twice, read_conductor
from coldpin.copper.metal import estimate_metal
from coldpin.copper.metal_evidence import (
    CutEvidence,
    MagnetEvidence,
    MassEvidence,
    MetalEvidence,
    ResistanceEvidence,
    StrandEvidence,
)
from coldpin.copper.resistance import FOUR_WIRE, resistance_of_drop
from coldpin.errors import InputError, QuantityTextError, UnknownName
from coldpin.quantity import Quantity, add_components, parse_quantity, rectangular, step_written
from coldpin.records.conductor import ConductorReading
from coldpin.records.finding import Outcome
from coldpin.records.metal import CutLook, MetalEstimate
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import Book, load_book
from coldpin.standards.conductors import FLEXIBLE
from coldpin.standards.table import needed

ANSWERS = ("yes", "no", "cannot tell")
"""What can be said of a magnet at the wires."""


def look_at_conductor(
    *,
    resistance: str = "",
    drop: str = "",
    drop_reversed: str = "",
    current: str = "",
    length: str,
    at: str,
    nominal: str = "",
    conductor_class: int = FLEXIBLE,
    coating: str = "",
    cores_in_series: int | None = None,
    since: str = "",
    method: str = FOUR_WIRE,
    accuracy: str = "",
    mass: str = "",
    strands: str = "",
    magnet: str = "",
    cut: str = "",
    outline: bool = False,
) -> ConductorReading:
    """Say what a conductor has in ohms for each kilometre at 20 °C, and whether it keeps the limit of its marked size.

    Parameters
    ----------
    resistance : str
        Between the taps: "52.0 mΩ ± 0.3 mΩ". Either this or a drop with its current.
    drop : str
        Voltage between the taps: "370.2 mV".
    drop_reversed : str
        The same with the current reversed.
    current : str
        Through the conductor: "10.00 A ± 0.02 A". With a resistance it only tells how far the metal warmed.
    length : str
        Of cable between the taps: "5.00 m"; where it has no limits those of a tape are taken, or half of its last
        digit where that is more.
    at : str
        Temperature of the metal: "25 °C"; where it has no limits those of the table are taken.
    nominal : str
        The marked size: "2.5 mm2".
    conductor_class : int
        1 solid, 2 stranded, 5 flexible, 6 extra-flexible.
    coating : str
        "plain" or "tinned"; empty where nobody looked, then both limits are used.
    cores_in_series : int, optional
        1, or 2 where two are joined at the far end. One is taken where it is not said, and it is asked where two would
        fit the marked size.
    since : str
        From switching the current on to reading: "5 s".
    method : str
        "four-wire", "two-wire" or "continuity meter".
    accuracy : str
        Of the meter that read resistance or drop, as its maker writes it; where it is left out and the reading states
        none, nothing is decided.
    mass : str
        Of the bare wires of one core, for each metre: "22 g/m"; where it has no limits those of the table are taken.
    strands : str
        Number and diameter of the wires: "50 x 0.25 mm"; limits of the diameter likewise.
    magnet : str
        Whether a magnet sticks to the bare wires: "yes", "no" or "cannot tell".
    cut : str
        How a fresh cut of the wires looks, a word of :class:`~coldpin.records.metal.CutLook`.
    outline : bool
        Whether each metal's curve over the area is kept, for drawing it.

    Returns
    -------
    ConductorReading
        Resistance at 20 °C with its budget, limits, outcome, questions and remarks, and the metal.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A length, resistance, temperature or size cannot be.
    InputError
        Neither a resistance nor a drop with its current is given, or both are.
    UnknownName
        There is no such class, coating, method, answer or look.

    Examples
    --------
    >>> told = look_at_conductor(
    ...     resistance="52.0 mΩ ± 0.3 mΩ", length="5.00 m", at="25 °C", nominal="2.5 mm2", mass="9.4 g/m"
    ... )
    >>> round(told.resistance_20c_ohm_per_km.value, 2), told.outcome.value
    (10.2, 'beyond')
    >>> told.metal.likeliest.value
    'clad_10'
    """
    book = load_book()
    flowing = _stated(current, "A", "current")
    lasting = _stated(since, "s", "time since switch-on")
    between, about = _between_taps(resistance, drop, drop_reversed, flowing, accuracy, book)
    told = read_conductor(
        Tapped(
            resistance=between,
            length=parse_quantity(length, "m", id="conductor: length", label="tape"),
            temperature=parse_quantity(at, "°C", id="conductor: temperature", label="temperature of the metal"),
            cores_in_series=1 if cores_in_series is None else cores_in_series,
            current=flowing,
            since=lasting,
            method=method,
            length_step=step_written(length, "m"),
        ),
        Marked(
            size_mm2=parse_quantity(nominal, "mm²").value if nominal else None,
            conductor_class=conductor_class,
            coating=coating,
        ),
        book,
    )
    if cores_in_series is None:
        told = _as_one_core(told)
    metal, why = _metal(
        told, conductor_class=conductor_class, mass=mass, strands=strands, magnet=magnet, cut=cut, book=book
    )
    return replace(
        told,
        remarks=(*about, *told.remarks),
        budget=budget_lines(told.resistance_20c_ohm_per_km),
        metal=metal if outline or metal is None else _without_outline(metal),
        metal_why=why,
    )


def _without_outline(metal: MetalEstimate) -> MetalEstimate:
    """Leave out the curves, of which a reader who does not draw them has nothing."""
    return replace(metal, metals=tuple(replace(share, outline=()) for share in metal.metals))


def _as_one_core(told: ConductorReading) -> ConductorReading:
    """Say that one core was taken; where two honest ones in series would read so, ask and decide nothing."""
    told = replace(told, remarks=(*told.remarks, ONE_TAKEN))
    if not is_about_twice(told):
        return told
    asked = (
        "the resistance is about twice the limit of the marked size, as of two cores joined at the far end: were two "
        "in series? Say --cores-in-series 1 or 2; until then nothing is decided"
    )
    linear = told.resistance_20c_ohm_per_km
    unsure = Quantity(linear.value, None, linear.unit, why="whether one core was read or two in series is in question")
    return replace(
        told,
        resistance_20c_ohm_per_km=unsure,
        equivalent_area_mm2=Quantity(told.equivalent_area_mm2.value, None, "mm²", why=unsure.why),
        keeps_limit_of_mm2=None,
        outcome=Outcome.UNDECIDED,
        probability=None,
        placements=tuple(replace(one, outcome=Outcome.UNDECIDED, probability=None) for one in told.placements),
        statement=f"{told.statement.partition(': ')[0]}, if it is one core: not placed, for two in series would fit.",
        questions=(*told.questions, asked),
    )


ONE_TAKEN = "one core was taken: say --cores-in-series 2 where two were joined at the far end"
"""What is said where nobody told how many cores were read."""


MEAN_OF_TWO = "it is the mean of two cores, of which one may be thinner than the one weighed: read one by itself"
"""Why a resistance of two cores in series tells no metal."""


def _metal(
    told: ConductorReading, *, conductor_class: int, mass: str, strands: str, magnet: str, cut: str, book: Book
) -> tuple[MetalEstimate | None, str]:
    """Estimate the metal from everything given; a resistance alone is told as what it is."""
    linear = told.resistance_20c_ohm_per_km
    if told.cores_in_series > 1:
        linear = Quantity(linear.value, None, linear.unit, why=MEAN_OF_TWO)
    evidence: list[MetalEvidence] = [ResistanceEvidence(per_metre=linear)]
    if mass:
        evidence.append(MassEvidence(per_metre=_mass(mass, book)))
    if strands:
        evidence.append(_strands(strands, book))
    evidence += _seen(magnet, cut)
    estimate = estimate_metal(evidence, book, nominal_mm2=told.nominal_mm2, conductor_class=conductor_class)
    if not any(one.used for one in estimate.evidence):
        return None, "nothing of what was given tells a metal: " + "; ".join(one.why for one in estimate.evidence)
    if told.cores_in_series > 1:
        return estimate, f"without the resistance: {MEAN_OF_TWO}"
    if not estimate.explained:
        return estimate, "were the taps at the pins? Then the joints are in the resistance, and no metal fits its mass"
    if len(evidence) == 1:
        return estimate, "from the resistance alone, which thin copper and thicker clad aluminium share"
    return estimate, ""


def _seen(magnet: str, cut: str) -> Iterator[MetalEvidence]:
    """Yield what was seen of the wires, as far as it was told."""
    if magnet:
        if magnet not in ANSWERS:
            raise UnknownName.among("answer for the magnet", magnet, ANSWERS)
        yield MagnetEvidence(answer=magnet)
    if cut:
        if cut not in set(CutLook):
            raise UnknownName.among("look of a cut", cut, [look.value for look in CutLook])
        yield CutEvidence(look=CutLook(cut))


def _mass(text: str, book: Book) -> Quantity:
    """Read a mass for each metre; unstated limits are those of the table and half of the last digit."""
    read = parse_quantity(text, "g/m", id="conductor: mass", label="mass of the stripped core")
    if read.u is not None:
        return read
    limit = book.limit("conductor-measurement.scale")
    scale = rectangular(
        read.value, abs(read.value) * needed(limit, "maximum") / 100.0, "g/m", id=limit.id, label="scale and stripping"
    )
    last = rectangular(
        0.0, 0.5 * step_written(text, "g/m"), "g/m", id="conductor: mass: last digit", label="last digit"
    )
    return add_components(scale, last.components)


_WIRES = re.compile(r"(?P<count>\d+)\s*[x×X*]\s*(?P<diameter>\S.*)")


def _strands(text: str, book: Book) -> StrandEvidence:
    """Read number and diameter of the wires; unstated limits of the diameter are the table's, or half a last digit."""
    match = _WIRES.fullmatch(text.strip())
    if match is None:
        raise QuantityTextError(f"wires {text!r} cannot be read: write number and diameter, as '50 x 0.25 mm'")
    diameter = parse_quantity(match["diameter"], "mm", id="conductor: wire", label="diameter of a wire")
    if diameter.u is None:
        limit = book.limit("conductor-measurement.wire-gauge")
        most = max(needed(limit, "maximum"), 0.5 * step_written(match["diameter"], "mm"))
        diameter = rectangular(diameter.value, most, "mm", id=limit.id, label="diameter of a wire")
    return StrandEvidence(count=int(match["count"]), diameter=diameter)


def _between_taps(
    resistance: str, drop: str, drop_reversed: str, current: Quantity | None, accuracy: str, book: Book
) -> tuple[Quantity, tuple[str, ...]]:
    if bool(resistance) == bool(drop):
        raise InputError("give a resistance, or a drop with its current: one of them")
    if resistance:
        if drop_reversed:
            raise InputError("a reversed drop is given with a resistance: give the drop of the first direction instead")
        return _read(resistance, "Ω", accuracy, "resistance"), ()
    if current is None:
        raise InputError("a drop tells a resistance only with its current: give it, as '10.00 A ± 0.02 A'")
    forward = _read(drop, "V", accuracy, "drop")
    reverse = _read(drop_reversed, "V", accuracy, "drop, reversed") if drop_reversed else None
    return resistance_of_drop(forward, reverse, current, book)


def _read(text: str, unit: str, accuracy: str, label: str) -> Quantity:
    """Read what the meter showed, with its accuracy, and half of the last digit written where that is coarser."""
    read = parse_quantity(text, unit, id=f"reading: {label}", label=label)
    if read.u is not None or not accuracy:
        return read
    statement = parse_accuracy(accuracy)
    exact = replace(read, u=0.0, low=None, high=None, why="")
    shown = statement.apply(exact, id="meter", label=label)
    step = step_written(text, unit)
    if step <= statement.resolution(unit):
        return shown
    rounding = rectangular(
        0.0, 0.5 * step, unit, id=f"reading: {label}: last digit", label=f"{label}: half of the last digit written"
    )
    return add_components(shown, rounding.components)


def _stated(text: str, unit: str, label: str) -> Quantity | None:
    return parse_quantity(text, unit, id=f"conductor: {label}", label=label) if text else None
