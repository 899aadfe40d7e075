"""The protective conductor at a stated current, with the conductor itself taken off: what is left is its joints."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.conductor_evidence import (
    CONDUCTOR_NEEDS,
    INSIDE,
    conductor_reading,
    cores_in_series,
    tapped_entries,
)
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.lead_way import stated_cable_length
from coldpin.checks.marked_size import MarkedSize, marked_size
from coldpin.checks.readings import Side, beside_gain, condition, mean, readings
from coldpin.copper.unread_neutral import LIKE_THE_LINE, like
from coldpin.errors import EntryError, InputError
from coldpin.protection.earth_continuity import beyond_copper, expected_copper, measured_copper
from coldpin.quantity import (
    Component,
    Quantity,
    add_components,
    format_figure,
    format_value,
    in_unit,
    parse_quantity,
    propagate,
    rectangular,
)
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.plan import Stage
from coldpin.standards.table import needed
from coldpin.standards.wording import number_text

NEED = Need(shows="earth resistance", stated=("length",))
JOINTS = "earth.routine.without-cord"
CURRENT = "earth.routine.current"
TYPE_TEST = "earth.type-test.current"

INDOORS = 20.0
"""Ours: where no ambient is written down, the middle of what a workshop has. [°C]"""
INDOORS_EITHER_WAY = 15.0
"""Ours: and how far it may be from it, between a cold shed and a hot room. [K]"""
LIKE_THE_ROOM = 3.0
"""Ours: how far a cable may lie from the air that was written down, either way. [K]"""


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Subtract the conductor from each reading with a length and judge what is left, the worst of all.

    It is taken as it was measured, else as another of the lead was, which is said, else as copper of the marked size.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the earth resistance that states the length of the cable, and a marked size or a conductor
        that was read.

    Returns
    -------
    tuple of Finding
        One finding; none where no size is printed or claimed and no conductor was read, or the earth was open.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    size, read = marked_size(bench), _read(bench)
    if size is None and read is None:
        return ()
    every = (_judge_one(bench, entry, size, read) for entry in bench.matching(NEED))
    found = [finding for finding in every if finding is not None]
    return (worst_entry(found),) if found else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """What a metre of the lead's conductor has at 20 °C as it was read [Ω/m]; ``own`` where it is the earth's."""

    conductor: str
    entry: Entry
    per_metre: Quantity
    own: bool


def _read(bench: BenchEvidence) -> _Read | None:
    """Return the earth conductor as it was read between its joints, else another: of several the one with least.

    With the least the most is left for the joints.
    """
    found = []
    for entry in tapped_entries(bench):
        if (entry.conditions.get("taps") or INSIDE) != INSIDE or cores_in_series(entry) > 1:
            continue
        linear = conductor_reading(bench, entry).resistance_20c_ohm_per_km
        if linear.u is not None:
            conductor = entry.conditions["conductor"]
            metre = in_unit(linear, "Ω/m")
            found.append(_Read(conductor=conductor, entry=entry, per_metre=metre, own=conductor == "PE"))
    own = [one for one in found if one.own]
    return min(own or found, key=lambda one: one.per_metre.value, default=None)


def _judge_one(bench: BenchEvidence, entry: Entry, size: MarkedSize | None, read: _Read | None) -> Finding | None:
    shown = readings(bench, entry)
    if any(one.side is Side.AT_LEAST for one in shown):
        return None
    by_print = None if size is None else _placed(bench, entry, size, None)
    if read is None:
        return by_print
    by_read = _placed(bench, entry, size, read)
    if read.own or by_print is None or Outcome.WITHIN not in (by_read.outcome, by_print.outcome):
        return by_read
    if by_read.outcome is by_print.outcome:
        return by_read
    told = f"{by_read.statement} By the print alone: {by_print.statement} Read the earth conductor itself to decide."
    return replace(by_read, outcome=Outcome.UNDECIDED, probability=None, statement=told)


def _placed(bench: BenchEvidence, entry: Entry, size: MarkedSize | None, read: _Read | None) -> Finding:
    """Judge what is left when the conductor as it was read, or else copper of the marked size, is subtracted."""
    copper = _copper(bench, entry, size, read)
    shown = mean(readings(bench, entry)).quantity
    left = propagate(beyond_copper, {"reading": shown, "copper": copper}, "Ω", monte_carlo=False)
    left = add_components(left, _digits(bench, entry, read))
    finding = judged(
        Finding(
            id="earth-continuity.joints",
            check="earth-continuity",
            title="Earth resistance beyond its copper",
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=("protective-earth",),
            evidence=(entry.id,) if read is None else (entry.id, read.entry.id),
        ),
        left,
        replace(bench.book.limit(JOINTS), title="what the protective conductor may have beside its cord"),
    )
    said = (
        f"What is left of the earth resistance{_at(entry)} when {format_figure(copper)} of {_from(size, read)} are "
        "subtracted"
    )
    finding = placed(said, finding)
    remarks, doubts = _of_current(bench, entry)
    if read is not None and not read.own:
        remarks += (OF_ANOTHER.format(conductor=read.conductor),)
    if left.high is not None and left.high < 0.0:
        what = "copper of its marked size can" if read is None else "its conductor by that reading"
        doubts += (f"the cable reads less than {what}: length or reading is mistaken",)
    elif read is None and left.low is not None and left.low > 0.0 and left.value > copper.value:
        remarks += (
            (
                "More than half of the reading is not the copper of the marked size: the conductor is thinner, of "
                "another metal, or a joint takes it."
            ),
        )
    if finding.outcome is Outcome.WITHIN and doubts:
        told = f"{finding.statement} It cannot be called within: {'; '.join(doubts)}."
        finding = replace(finding, outcome=Outcome.UNDECIDED, statement=told)
    elif doubts:
        remarks += tuple(f"{doubt[0].upper()}{doubt[1:]}." for doubt in doubts)
    return replace(finding, remarks=remarks)


def _digits(bench: BenchEvidence, entry: Entry, read: _Read | None) -> tuple[Component, ...]:
    """Return what the last digits of one meter do to the difference of two of its readings; its gain drops out."""
    if read is None or not entry.instrument or read.entry.instrument != entry.instrument:
        return ()
    width = beside_gain(bench, entry)
    each = (
        rectangular(0.0, width, "Ω", id=f"{one.id}: last digits", label="last digits, read with one meter twice")
        for one in (entry, read.entry)
    )
    return tuple(component for one in each for component in one.components)


def _at(entry: Entry) -> str:
    """Return at what current it was read, as far as that is stated."""
    current = condition(entry, "test current", "A")
    return "" if current is None else f", read at {number_text(current.value, 'A')},"


def _from(size: MarkedSize | None, read: _Read | None) -> str:
    if read is not None:
        each = format_figure(in_unit(read.per_metre, "Ω/km"))
        return f"conductor ({each}, as {read.conductor} was read between its joints)"
    assert size is not None, "told by the print only where there is one"
    return f"copper ({number_text(size.size_mm2, 'mm²')}, {size.said_by})"


OF_ANOTHER = (
    "The earth conductor itself was not read between its joints: that it is like {conductor}, within "
    f"{100.0 * LIKE_THE_LINE:g} %, is taken for granted."
)


def _copper(bench: BenchEvidence, entry: Entry, size: MarkedSize | None, read: _Read | None) -> Quantity:
    length = stated_cable_length(entry)
    assert length is not None, "the need asks for a stated length"
    try:
        if read is not None:
            metre = read.per_metre if read.own else like(read.per_metre, "the earth conductor")
            return measured_copper(bench.book, per_metre=metre, length=length, temperature=_temperature(entry))
        assert size is not None, "told by the print only where there is one"
        return expected_copper(bench.book, size_mm2=size.size_mm2, length=length, temperature=_temperature(entry))
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error


def _temperature(entry: Entry) -> Quantity:
    """Return the temperature of the cable: that of the air, as far as it was written down."""
    label = "temperature of the cable"
    if not entry.ambient:
        return rectangular(INDOORS, INDOORS_EITHER_WAY, "°C", id=f"{entry.id}:ambient", label=label)
    try:
        read = parse_quantity(entry.ambient, "°C")
    except InputError as error:
        raise EntryError.of(entry.id, f"ambient {entry.ambient!r}: {error}") from error
    return rectangular(read.value, LIKE_THE_ROOM, "°C", id=f"{entry.id}:ambient", label=label)


def _of_current(bench: BenchEvidence, entry: Entry) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what is to be said of the test current, and why a reading at it cannot be called within."""
    least = bench.book.limit(CURRENT)
    asked = format_value(needed(least, "minimum"), "A")
    current = condition(entry, "test current", "A")
    if current is None:
        return (), (f"the test current is not stated; {asked} is asked for",)
    taken = format_value(current.value, "A")
    if current.value < needed(least, "minimum"):
        return (), (f"it was read at {taken}: a joint that such a current passes may part at {asked}",)
    return (), ()


CHECK = Check(
    id="earth-continuity",
    title="Earth continuity at a stated current",
    question="When its conductor is subtracted from the earth resistance, is no more left than sound joints have?",
    needs=(NEED,),
    any_of=(Need(claim="cable_print"), Need(claim="cross_section"), *CONDUCTOR_NEEDS),
    bench=Procedure(
        level=Level.EXTRA_LOW_VOLTAGE,
        stage=Stage.DEAD,  # no more than 12 V stand on the earth, and nothing on a pole
        instrument=(
            "protective-conductor tester of 10 A or 25 A, or an isolated source of at most 12 V that limits its "
            "current, with a four-wire millivoltmeter"
        ),
        minutes=10,
        cautions=(
            *DEAD_CAUTIONS,
            (
                "Some ten amperes warm a clip that touches badly: seat both, keep the pins free of what burns, and "
                "let the current flow for no longer than the reading takes."
            ),
        ),
        steps=(
            "Clamp the current leads on the plug's earth pin and the connector's earth pin, the voltage leads inside.",
            "Send 10 A, or 25 A where the tester has it, at no more than 12 V; read after five seconds.",
            "Move the cable at plug, box and connector while it flows: the reading must not jump. Read three times.",
            "Write down current, length of the cable and ambient; the size is the print's.",
            (
                "Where the earth conductor was read between its joints that is subtracted, else the copper of its "
                "print; what is left are the joints."
            ),
        ),
        hold_points=("No power if the earth is open, jumps, or leaves more than sound joints have.",),
        stop_values=("A reading that climbs while the current flows: stop, a joint is warming.",),
        repeats=3,
        after=("earth-resistance.value",),
        transfers="Holds for this specimen as it is.",
    ),
    limits=(JOINTS, CURRENT, TYPE_TEST, "conductor.class-5.tinned"),
    run=run,
    bears=(Bearing(function="protective-earth", within_if_works=0.97, within_if_not=0.2),),
    applies=always,
)
