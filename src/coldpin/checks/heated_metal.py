"""What the warm sheath of a lead says of the metal below it: beside a known cable, or by the film of air alone."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.checks.cable_build import CableBuild, cable_build
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heating_evidence import HeatedInUse, air_of, heated_parts, needed_condition
from coldpin.checks.readings import Side, condition, mean, readings
from coldpin.copper.air_film import FREE_AIR, ON_A_SURFACE, Arrangement, arrange
from coldpin.copper.comparison import WarmCable, compare_cables
from coldpin.copper.usual_build import assumed_inner, usual_layers
from coldpin.copper.warm_sheath import SheathVerdict, resistance_from_sheath
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, propagate
from coldpin.records.entry import Entry
from coldpin.records.heating import HeatedPart
from coldpin.standards.metals import temperature_coefficient

KNOWN = "known cable in the same loop"

SAME_CURRENT = 0.02
"""Ours: what two entries say of the current of one loop differs by no more than this share."""

SAME_AIR = 1.0
"""Ours: two thermometers of one room differ by less; where two airs differ by more the tests are not one. [K]"""

KILOMETRE = 1000.0
"""Metres in one kilometre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalByHeat:
    """The resistance of a core at 20 °C [Ω/km] that explains how warm the lead became, with the entries it is from.

    ``beside_known`` is true where a known cable in the same loop took most of the film out of it.
    """

    per_kilometre: Quantity
    entries: tuple[str, ...]
    beside_known: bool


def metal_by_heat(bench: BenchEvidence) -> tuple[MetalByHeat, ...]:
    """Return what the warm sheath of the lead says of its metal, once for each heating test.

    Parameters
    ----------
    bench : BenchEvidence
        With a heated sheath whose entry says how the lead lay, and a marked size.

    Returns
    -------
    tuple of MetalByHeat
        Beside a known cable where one was in the loop of the test, else by the film of air alone.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        A claim cannot be read.
    """
    found = []
    for heated in settled_sheaths(bench):
        known = next((entry for entry in bench.showing(KNOWN) if in_one_loop(heated, entry)), None)
        if known is not None:
            found.append(beside_known(bench, heated, known))
        elif (alone := metal_under_sheath(bench, heated)) is not None:
            entries = (heated.entry.id, *_build(bench).measured)
            found.append(MetalByHeat(per_kilometre=_long(alone.resistance), entries=entries, beside_known=False))
    return tuple(found)


def settled_sheaths(bench: BenchEvidence) -> tuple[HeatedInUse, ...]:
    """Return the heating tests of the sheath that tell an end, of a lead whose size is marked.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of HeatedInUse
        Those warmer than the air, steady and not asked about, whose entry says how the lead lay, straight: of a bundle
        the sheath tells nothing.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        A claim cannot be read.
    """
    if cable_build(bench) is None:
        return ()
    return tuple(
        heated
        for heated in heated_parts(bench, HeatedPart.SHEATH)
        if heated.entry.conditions.get("lies") in (FREE_AIR, ON_A_SURFACE)
        and heated.rise.value > 0.0
        and not (heated.told is not None and heated.told.open_above)
        and not (heated.doubts or heated.unsettled)
    )


def in_one_loop(heated: HeatedInUse, entry: Entry) -> bool:
    """Say whether an entry is of the same current in the same air as a heating test.

    Parameters
    ----------
    heated : HeatedInUse
        The test.
    entry : Entry
        With its current.

    Returns
    -------
    bool
        By what both entries say.

    Raises
    ------
    EntryError
        Current or air of the entry are missing or cannot be read.
    """
    current, air = needed_condition(entry, "current", "A"), air_of(entry)
    return (
        abs(current.value - heated.current.value) <= SAME_CURRENT * heated.current.value
        and abs(air.value - heated.in_test_air.value) <= SAME_AIR
    )


def of_one_loop(one: HeatedInUse, other: HeatedInUse) -> bool:
    """Say whether two heated parts were of the same current in the same air.

    Parameters
    ----------
    one : HeatedInUse
        A part.
    other : HeatedInUse
        Another.

    Returns
    -------
    bool
        By what was read of both.
    """
    return (
        abs(one.current.value - other.current.value) <= SAME_CURRENT * other.current.value
        and abs(one.in_test_air.value - other.in_test_air.value) <= SAME_AIR
    )


def metal_under_sheath(bench: BenchEvidence, heated: HeatedInUse) -> SheathVerdict | None:
    """Return what the sheath says by the film of air alone.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    heated : HeatedInUse
        One of :func:`settled_sheaths`.

    Returns
    -------
    SheathVerdict or None
        None where an uncertainty of the test is not known: a wide number without its width is none.

    Raises
    ------
    EntryError
        The entry cannot be used.
    CaseError
        A claim cannot be read.
    """
    air, build = heated.in_test_air, _build(bench)
    if None in (air.u, heated.rise.u, heated.current.u):
        return None
    try:
        return resistance_from_sheath(
            sheath=_sheath(heated.rise, air),
            ambient=air,
            current=heated.current,
            diameter=build.diameter,
            inner=build.inner,
            coefficient=temperature_coefficient(bench.book),
            cores=build.loaded,
            arrangement=_lying(bench, heated.entry),
        )
    except InputError as error:
        raise EntryError.of(heated.entry.id, str(error)) from error


def beside_known(bench: BenchEvidence, heated: HeatedInUse, entry: Entry) -> MetalByHeat:
    """Return the resistance of a core from that of a known cable that carried the same current beside it.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    heated : HeatedInUse
        One of :func:`settled_sheaths`.
    entry : Entry
        The known cable.

    Returns
    -------
    MetalByHeat
        With no uncertainty where one of a reading is not known.

    Raises
    ------
    EntryError
        A reading or condition is missing or cannot be, the two lay otherwise, or are no like cables.
    CaseError
        A claim cannot be read.
    """
    if entry.conditions.get("lies", heated.entry.conditions["lies"]) != heated.entry.conditions["lies"]:
        raise EntryError.of(entry.id, "the known cable did not lie as the lead did: lay both alike and repeat")
    found = mean(readings(bench, entry))
    if found.side is not Side.VALUE:
        raise EntryError.of(entry.id, "the sheath of the known cable is only a bound: read again")
    air, build = air_of(entry), _build(bench)
    coefficient = temperature_coefficient(bench.book)
    try:
        cable = _known_cable(bench, entry, found.quantity, coefficient)
        unknown = WarmCable(
            sheath=_sheath(heated.rise, air),
            diameter=build.diameter,
            inner=build.inner,
            coefficient=coefficient,
            cores=build.loaded,
        )
        resistance = compare_cables(
            unknown,
            cable,
            known_resistance=needed_condition(entry, "resistance", "Ω/m"),
            ambient=air,
            arrangement=_lying(bench, heated.entry),
        )
    except EntryError:
        raise
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    entries = (heated.entry.id, entry.id, *build.measured)
    return MetalByHeat(per_kilometre=_long(resistance), entries=entries, beside_known=True)


def _known_cable(bench: BenchEvidence, entry: Entry, sheath: Quantity, coefficient: float) -> WarmCable:
    diameter, size = needed_condition(entry, "diameter", "m"), needed_condition(entry, "size", "mm2")
    loaded = int(entry.conditions.get("loaded cores") or 2)
    cores = condition(entry, "cores", "1")
    layers = usual_layers(
        bench.book,
        kind=entry.conditions.get("build") or "pvc",
        cross_section_mm2=size.value,
        cores=loaded + 1 if cores is None else round(cores.value),
        loaded_cores=loaded,
        diameter=diameter.value,
    )
    return WarmCable(
        sheath=sheath,
        diameter=diameter,
        inner=assumed_inner(layers, name="layers of the known cable"),
        coefficient=coefficient,
        cores=loaded,
    )


def _build(bench: BenchEvidence) -> CableBuild:
    build = cable_build(bench)
    assert build is not None, "a size is marked"
    return build


def _lying(bench: BenchEvidence, entry: Entry) -> Arrangement:
    return arrange(bench.book, entry.conditions["lies"])


def _sheath(rise: Quantity, air: Quantity) -> Quantity:
    return propagate(lambda rise, air: rise + air, {"rise": rise, "air": air}, "°C")


def _long(resistance: Quantity) -> Quantity:
    return propagate(lambda resistance: KILOMETRE * resistance, {"resistance": resistance}, "Ω/km")
