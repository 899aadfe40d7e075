"""A quick look at what a fault does to a lead, with nothing written anywhere."""

from __future__ import annotations

from coldpin.copper.fault import fault_of_lead
from coldpin.copper.fault_withstand import EARTH, LINE, NEUTRAL
from coldpin.copper.resistance import area_of
from coldpin.errors import InputError
from coldpin.quantity import Quantity, parse_quantity, propagate
from coldpin.records.fault import Core, FaultWithstand, Feed
from coldpin.records.finding import Limit, Standing
from coldpin.standards.book import Book, load_book
from coldpin.standards.cable_ratings import cable_ratings
from coldpin.standards.protective_device import customary_capacity, device_before, find_device
from coldpin.workbench.lead_voltage import end_to_end, positive

LOADED_CORES = {1: 2, 3: 3}
"""Cores that carry current, by phases."""


def tell_fault_withstand(
    *,
    device: str = "",
    plug: str = "",
    line: str = "",
    earth: str = "",
    neutral: str = "",
    at: str = "",
    length: str = "",
    nominal: str = "",
    metal: str = "copper",
    insulation: str = "",
    loop: str = "",
    loop_neutral: str = "",
    capacity: str = "",
    energy_class: int = 3,
    residual: str = "",
    system: str = "TN",
    conductor_temperature: str = "",
    cable_current: str = "",
    phases: int = 1,
) -> FaultWithstand:
    """Say whether a lead's conductors bear a fault, and whether the device before the socket acts in time.

    Parameters
    ----------
    device : str
        Before the socket: "B16", "gG 16 A", "BS 1362 13 A".
    plug : str
        The plug in its place: then the device that may stand before its socket is taken.
    line : str
        Resistance of the line conductor from end to end: "66.1 mΩ ± 0.4 mΩ".
    earth : str
        Resistance of the earth conductor from end to end.
    neutral : str
        Resistance of the neutral conductor from end to end; like the line where it is left out.
    at : str
        Temperature of the metal when they were read: "22 °C".
    length : str
        Of the cable: "5.00 m"; with a resistance it tells the area.
    nominal : str
        Marked size: "1.5 mm2"; stands in for what was not measured.
    metal : str
        Of conductors judged by their marked size: "copper", "aluminium", "clad", "steel".
    insulation : str
        Of the cores: "PVC 70", "XLPE", "rubber 60".
    loop : str
        Loop of line and earth read at the socket: "0.80 Ω ± 0.05 Ω".
    loop_neutral : str
        Loop of line and neutral read there; without it the line's short circuit is bounded by the device's class alone,
        and one at the far end is not reckoned.
    capacity : str
        Short-circuit capacity of the device: "6000 A".
    energy_class : int
        Its energy limiting class.
    residual : str
        Rated residual operating current of a residual-current device before the socket: "30 mA".
    system : str
        "TN" or "TT": how the earth reaches the source.
    conductor_temperature : str
        Of the conductors when the fault comes.
    cable_current : str
        What the cable may carry, by your own source: "16 A"; else by the printed tables.
    phases : int
        1 or 3: how many cores are loaded, for the printed tables, and whether lines can meet.

    Returns
    -------
    FaultWithstand
        Loop, disconnection, short circuit, let-through, withstand, overload.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    UnknownName
        A device, plug, metal or insulation is not known.
    InputError
        Neither device nor plug is given, or nothing from which a conductor's area follows.

    Examples
    --------
    >>> told = tell_fault_withstand(device="B16", nominal="1.5 mm2", length="5 m", insulation="PVC 70")
    >>> [(one.conductor, one.outcome.value) for one in told.conductors], told.overload.outcome.value
    ([('line', 'undecided'), ('earth', 'undecided')], 'within')
    """
    book = load_book()
    if bool(device) == bool(plug):
        raise InputError("give the device before the socket, or the plug whose socket it stands before: one of them")
    metres = positive(length, "m", "length") if length else None
    size = positive(nominal, "mm²", "marked size").value if nominal else None
    cores = [
        _core(name, text, at=at, length=metres, size=size, metal=metal, book=book)
        for name, text in ((LINE, line), (EARTH, earth))
        if text or size is not None
    ]
    if not cores:
        raise InputError("give the resistance of line or earth with the length and --at, or the marked size")
    return fault_of_lead(
        cores,
        Feed(
            device=find_device(device) if device else device_before(book, plug),
            capacity=positive(capacity, "A", "short-circuit capacity").value if capacity else customary_capacity(book),
            energy_class=energy_class,
            supply=positive(loop, "Ω", "loop of the supply") if loop else None,
            neutral=(positive(loop_neutral, "Ω", "loop of line and neutral"),) if loop_neutral else (),
            residual_current=positive(residual, "A", "residual operating current").value if residual else None,
            system=system,
            seen=bool(device),
            class_seen=bool(capacity),
        ),
        book,
        insulation=insulation,
        conductor_temperature=parse_quantity(conductor_temperature, "°C").value if conductor_temperature else None,
        cable=_cable(cable_current, size, phases, book),
        neutral=_core(NEUTRAL, neutral, at=at, length=metres, size=size, metal=metal, book=book)
        if neutral or size is not None
        else None,
        phases=phases,
    )


def _core(
    name: str, text: str, *, at: str, length: Quantity | None, size: float | None, metal: str, book: Book
) -> Core:
    metres = None if length is None else length.value
    if not text:
        assert size is not None, "a core that was not measured is told by its marked size"
        area = Quantity(size, 0.0, "mm²")
        core = end_to_end(book, resistance="", at="", size=size, length=metres)[0] if metres else None
        return Core(conductor=name, area=area, area_from="the marked size", resistance_20=core, metal=metal)
    if length is None:
        raise InputError(f"resistance of {name} {text!r}: give the length of the cable too, as '5.00 m'")
    core, _ = end_to_end(book, resistance=text, at=at)
    known = length if length.u is not None else Quantity(length.value, 0.0, "m")
    linear = propagate(_per_km, {"core": core, "length": known}, "Ω/km")
    return Core(conductor=name, area=area_of(linear, book), area_from="its resistance", resistance_20=core)


def _per_km(*, core: float, length: float) -> float:
    return 1000.0 * core / length


def _cable(text: str, size: float | None, phases: int, book: Book) -> Limit | None:
    if text:
        amps = positive(text, "A", "current of the cable").value
        return Limit(
            id="declared",
            title="current the cable may carry",
            unit="A",
            maximum=amps,
            source="as given",
            standing=Standing.COMMON_PRACTICE,
            asserted_by="who asks",
        )
    if size is None:
        return None
    rows = cable_ratings(book, cross_section_mm2=size, loaded_cores=LOADED_CORES.get(phases, 2))
    return rows[0].limit if rows else None
