"""What was read along the conductors of a cable, as the formulas take it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.checks.check import Need
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.marked_size import marked_size
from coldpin.checks.readings import Measured, Side, condition, mean, readings
from coldpin.copper.conductor import Marked, Tapped, is_about_twice, read_conductor
from coldpin.copper.resistance import FOUR_WIRE, no_evidence_of_size, resistance_of_drop
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, parse_quantity, step_written
from coldpin.records.conductor import ConductorReading
from coldpin.records.entry import Entry
from coldpin.records.finding import Outcome
from coldpin.standards.conductors import FLEXIBLE, cross_sections

RESISTANCE, DROP = "conductor resistance four-wire", "voltage along the conductor"
INSIDE, PINS, PLUG_SIDE, CONNECTOR_SIDE = "inside", "pins", "plug side", "connector side"

CONDUCTOR_NEEDS = (Need(shows=RESISTANCE, stated=("conductor",)), Need(shows=DROP, stated=("conductor",)))
"""A resistance or a drop of a named conductor; either serves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TappedResistance:
    """A resistance between two taps on one conductor, with the entry it is from and what is to be said of it. [Ω]"""

    entry: Entry
    resistance: Quantity
    remarks: tuple[str, ...]

    @property
    def conductor(self) -> str:
        """Which conductor: L, L1 to L3, N or PE."""
        return self.entry.conditions["conductor"]

    @property
    def taps(self) -> str:
        """Where it was tapped; inside where that is not stated."""
        return self.entry.conditions.get("taps") or INSIDE


def cores_in_series(entry: Entry) -> int:
    """Return how many cores an entry read in series.

    Parameters
    ----------
    entry : Entry
        One of :func:`tapped_entries`.

    Returns
    -------
    int
        One where it is not stated.
    """
    return int(entry.conditions.get("cores in series") or 1)


def tapped_entries(bench: BenchEvidence) -> tuple[Entry, ...]:
    """Return the entries that tell the resistance of a named conductor.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of Entry
        In the order in which they were made.
    """
    wanted = {entry.id for need in CONDUCTOR_NEEDS for entry in bench.matching(need)}
    return tuple(entry for entry in bench.entries if entry.id in wanted)


def tapped_resistance(bench: BenchEvidence, entry: Entry) -> TappedResistance:
    """Return the resistance that an entry tells, the mean of its repeats.

    Parameters
    ----------
    bench : BenchEvidence
        Where instruments and constants are looked up.
    entry : Entry
        One of :func:`tapped_entries`.

    Returns
    -------
    TappedResistance
        The resistance between the taps; its uncertainty is not known where it was not read with four wires.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read, a reading is only a bound, or a drop has no current.
    """
    found = readings(bench, entry)
    if any(one.side is not Side.VALUE for one in found):
        raise EntryError.of(entry.id, f"reading {found[0].text!r} is only a bound: read on a range that shows a value")
    if entry.shows == RESISTANCE:
        read = mean(found).quantity
        refused = no_evidence_of_size(_method(entry), bench.book)
        if refused:
            read = Quantity(read.value, None, read.unit, why=refused)
        return TappedResistance(entry=entry, resistance=read, remarks=())
    current = condition(entry, "test current", "A")
    if current is None:
        raise EntryError.of(entry.id, "a drop tells a resistance only with its current: state 'test current'")
    forward, reverse = _by_direction(found)
    try:
        resistance, remarks = resistance_of_drop(forward, reverse, current, bench.book)
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    return TappedResistance(entry=entry, resistance=resistance, remarks=remarks)


def _by_direction(found: tuple[Measured, ...]) -> tuple[Quantity, Quantity | None]:
    """Return the mean drop of either direction; with one direction alone, whatever its sign, no other."""
    forward = tuple(one for one in found if one.quantity.value >= 0.0)
    reverse = tuple(one for one in found if one.quantity.value < 0.0)
    if not forward:
        return mean(reverse).quantity, None
    return mean(forward).quantity, mean(reverse).quantity if reverse else None


def conductor_reading(bench: BenchEvidence, entry: Entry) -> ConductorReading:
    """Return what an entry says of its conductor at 20 °C, held against the marked size.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims of the case.
    entry : Entry
        One of :func:`tapped_entries`, tapped inside or on the pins.

    Returns
    -------
    ConductorReading
        Resistance, placements, questions and remarks.

    Raises
    ------
    EntryError
        A reading or condition cannot be read, is missing, or cannot be.
    CaseError
        The claimed size cannot be read.
    """
    tapped, marked = tapped_resistance(bench, entry), marked_size(bench)
    length = condition(entry, "length", "m")
    if length is None:
        raise EntryError.of(entry.id, "the length of cable between the taps is missing: state 'length', as '5.00 m'")
    temperature, about = stated_temperature(entry)
    listed = marked is not None and marked.size_mm2 in cross_sections(bench.book, conductor_class=FLEXIBLE)
    odd = (_ODD.format(size=marked.size_mm2, by=marked.said_by),) if marked is not None and not listed else ()
    try:
        taps = Tapped(
            resistance=tapped.resistance,
            length=length,
            temperature=temperature,
            cores_in_series=cores_in_series(entry),
            current=condition(entry, "test current", "A"),
            since=condition(entry, "time since switch-on", "s"),
            method=_method(entry),
            length_step=step_written(entry.conditions["length"], "m"),
        )
        size = Marked(
            size_mm2=marked.size_mm2 if marked is not None and listed else None,
            conductor_class=FLEXIBLE,
            coating=entry.conditions.get("coating", ""),
        )
        told = bench.kept("conductor", (taps, size), lambda: read_conductor(taps, size, bench.book))
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    asked = () if entry.conditions.get("cores in series") or not is_about_twice(told) else (ONE_OR_TWO,)
    return replace(told, remarks=(*tapped.remarks, *about, *odd, *asked, *told.remarks))


ONE_OR_TWO = (
    "One core was taken; it reads about as two honest ones joined at the far end would: say of the entry which it was, "
    "'cores in series' 1 or 2."
)
"""What is said where nobody told how many cores were read, and it matters."""


_ODD = (
    "No table that we know has a row for {size:g} mm², which {by} says: there is no limit to place the reading against."
)


def _method(entry: Entry) -> str:
    return entry.conditions.get("method") or FOUR_WIRE


def stated_temperature(entry: Entry) -> tuple[Quantity, tuple[str, ...]]:
    """Return the temperature of the metal; where it is not stated, that of the room with what may lie between.

    Parameters
    ----------
    entry : Entry
        One of :func:`tapped_entries`.

    Returns
    -------
    Quantity
        The temperature, without limits where none are stated. [°C]
    tuple of str
        A remark where that of the room stands in.

    Raises
    ------
    EntryError
        Neither is stated, or it cannot be read.
    """
    temperature = condition(entry, "temperature", "°C")
    if temperature is not None:
        return temperature, ()
    if not entry.ambient:
        raise EntryError.of(
            entry.id, "the temperature of the metal is missing: state 'temperature', as '22.5 °C ± 1 °C'"
        )
    try:
        room = parse_quantity(entry.ambient, "°C")
    except InputError as error:
        raise EntryError.of(entry.id, f"ambient {entry.ambient!r}: {error}") from error
    return (
        Quantity(room.value, None, "°C", why="that of the room"),
        ("the temperature of the metal is not stated: that of the room is taken",),
    )


def as_tapped(entry: Entry, told: ConductorReading) -> ConductorReading:
    """Let a reading at the pins, which holds the joints as well, show a good conductor and never a bad one.

    Parameters
    ----------
    entry : Entry
        What was read.
    told : ConductorReading
        What it says of its conductor, as :func:`conductor_reading` tells it.

    Returns
    -------
    ConductorReading
        The same; undecided where it would be beyond and was tapped at the pins.
    """
    if (entry.conditions.get("taps") or INSIDE) == INSIDE or told.outcome is not Outcome.BEYOND:
        return told
    return replace(told, outcome=Outcome.UNDECIDED, probability=None, remarks=(*told.remarks, JOINTS_IN_IT))


JOINTS_IN_IT = "Tapped at the pins, so that the joints are in it: tap the conductor inside to tell it from them."
"""What is said of a conductor that was tapped at the pins."""
