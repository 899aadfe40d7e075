"""The protective conductor at a stated current, held against the copper it should have: what is left is its joints."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.marked_size import MarkedSize, marked_size
from coldpin.checks.readings import Side, condition, mean, readings
from coldpin.errors import EntryError, InputError
from coldpin.protection.earth_continuity import beyond_copper, expected_copper
from coldpin.quantity import Quantity, format_figure, format_value, parse_quantity, propagate, rectangular
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
    """Subtract the copper of the marked size from each reading with a length and judge what is left, the worst of all.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the earth resistance that states the length of the cable, and a marked size.

    Returns
    -------
    tuple of Finding
        One finding; none where no size is printed or claimed, or the earth was open.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    size = marked_size(bench)
    if size is None:
        return ()
    found = [finding for entry in bench.matching(NEED) if (finding := _judge_one(bench, entry, size)) is not None]
    return (worst_entry(found),) if found else ()


def _judge_one(bench: BenchEvidence, entry: Entry, size: MarkedSize) -> Finding | None:
    shown = readings(bench, entry)
    if any(one.side is Side.AT_LEAST for one in shown):
        return None
    copper = _copper(bench, entry, size)
    left = propagate(beyond_copper, {"reading": mean(shown).quantity, "copper": copper}, "Ω", monte_carlo=False)
    finding = judged(
        Finding(
            id="earth-continuity.joints",
            check="earth-continuity",
            title="Earth resistance beyond its copper",
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=("protective-earth",),
            evidence=(entry.id,),
        ),
        left,
        replace(bench.book.limit(JOINTS), title="what the protective conductor may have beside its cord"),
    )
    said = (
        f"What is left of the earth resistance{_at(entry)} when {format_figure(copper)} of copper ({_from(size)}) are "
        "subtracted"
    )
    finding = placed(said, finding)
    remarks, doubts = _of_current(bench, entry)
    if left.high is not None and left.high < 0.0:
        doubts += ("the cable reads less than copper of its marked size can: length or reading is mistaken",)
    elif left.low is not None and left.low > 0.0 and left.value > copper.value:
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


def _at(entry: Entry) -> str:
    """Return at what current it was read, as far as that is stated."""
    current = condition(entry, "test current", "A")
    return "" if current is None else f", read at {number_text(current.value, 'A')},"


def _from(size: MarkedSize) -> str:
    return f"{number_text(size.size_mm2, 'mm²')}, {size.said_by}"


def _copper(bench: BenchEvidence, entry: Entry, size: MarkedSize) -> Quantity:
    length = condition(entry, "length", "m")
    assert length is not None, "the need asks for a stated length"
    exact = length if length.u is not None else replace(length, u=0.0, low=None, high=None, why="")
    try:
        return expected_copper(bench.book, size_mm2=size.size_mm2, length=exact, temperature=_temperature(entry))
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
    question="When its copper is subtracted from the earth resistance, is what is left no more than sound joints have?",
    needs=(NEED,),
    any_of=(Need(claim="cable_print"), Need(claim="cross_section")),
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
            "The expected copper is subtracted from the reading; what is left are the joints.",
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
