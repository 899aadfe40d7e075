"""The joints of the conductors with the pins of plug and connector, told from the conductors between them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import product

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Procedure, always
from coldpin.checks.conductor_evidence import (
    CONDUCTOR_NEEDS,
    CONNECTOR_SIDE,
    INSIDE,
    PINS,
    PLUG_SIDE,
    RESISTANCE,
    TappedResistance,
    cores_in_series,
    stated_temperature,
    tapped_entries,
    tapped_resistance,
)
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import as_known, judged, placed, worst_entry
from coldpin.checks.readings import beside_gain, claimed, condition
from coldpin.copper.joints import BOTH_SIDES, Taps, is_below_zero, separate
from coldpin.copper.resistance import Number, metal_temperature, temperature_factor
from coldpin.copper.self_heating import self_heating
from coldpin.errors import EntryError, InputError, OutsideRange
from coldpin.quantity import Quantity, format_quantity, format_value, in_unit, propagate
from coldpin.records.conductor import JointResistance, PinToPin
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.standards.book import Book
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.table import needed

CHECK_ID = "conductor-joints"

FUNCTION = "heating"
"""A joint is a heater where hand and plug are: it bears on whether they stay cool."""


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Take each conductor from pin to pin apart, and tell the worst joint of each side.

    Parameters
    ----------
    bench : BenchEvidence
        With resistances of one conductor tapped at more than one place.

    Returns
    -------
    tuple of Finding
        One for each side, or for both together where they were not told apart; none where no conductor was tapped at
        enough places.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed current cannot be read.
    """
    by_side: defaultdict[str, list[Finding]] = defaultdict(list)
    for joined in joints_taken_apart(bench):
        for joint in joined.apart.joints:
            by_side[joint.where].append(_judge(joined.conductor, joint, joined.apart, joined.found))
    return tuple(worst_entry(findings) for findings in by_side.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """One conductor taken apart into its joints and what lies between, with the readings it is from."""

    conductor: str
    apart: PinToPin
    found: list[TappedResistance]


def joints_taken_apart(bench: BenchEvidence) -> tuple[Joined, ...]:
    """Take each conductor from pin to pin apart that was tapped at enough places, by every pairing of its readings.

    Two cores in series have joints of both in them, and tell none.

    Parameters
    ----------
    bench : BenchEvidence
        With resistances of conductors.

    Returns
    -------
    tuple of Joined
        One for each conductor and pairing; where a place was read once, one for each conductor.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed current cannot be read.
    """
    by_conductor: defaultdict[str, list[TappedResistance]] = defaultdict(list)
    for entry in tapped_entries(bench):
        if cores_in_series(entry) == 1:
            tapped = tapped_resistance(bench, entry)
            by_conductor[tapped.conductor].append(tapped)
    current = _current(bench)
    taken = []
    for conductor, found in by_conductor.items():
        for pairing in _pairings(found):
            taps = _taps(bench, pairing)
            try:
                apart = separate(taps, bench.book, current=None if conductor == "PE" else current)
            except InputError:
                # tapped at one place alone: that tells no joint
                continue
            taken.append(Joined(conductor=conductor, apart=apart, found=pairing))
    return tuple(taken)


def _pairings(found: Iterable[TappedResistance]) -> Iterator[list[TappedResistance]]:
    """Yield each way to take one reading at each place: a later reading does not undo an earlier one."""
    by_place: defaultdict[str, list[TappedResistance]] = defaultdict(list)
    for tapped in found:
        by_place[tapped.taps].append(tapped)
    return (list(pairing) for pairing in product(*by_place.values()))


def _taps(bench: BenchEvidence, found: Iterable[TappedResistance]) -> Taps:
    """Take the reading at each place, the conductor as it would read as warm as it was from pin to pin."""
    at = {tapped.taps: tapped for tapped in found}
    inside = at.get(INSIDE)
    between = None
    if inside is not None:
        between = _as_warm(inside, at[PINS], bench.book) if PINS in at else inside.resistance
    pins, plug, connector = (
        None if place not in at else at[place].resistance for place in (PINS, PLUG_SIDE, CONNECTOR_SIDE)
    )
    digits = {tapped.taps.replace(" ", "_"): _digits(bench, tapped.entry) for tapped in at.values()}
    return Taps(pins=pins, inside=between, plug_side=plug, connector_side=connector, digits=digits)


def _digits(bench: BenchEvidence, entry: Entry) -> float:
    """Return what the meter may be off by from one reading to the next; of a drop, over its current. [Ω]"""
    own = beside_gain(bench, entry)
    if entry.shows == RESISTANCE:
        return own
    current = condition(entry, "test current", "A")
    assert current is not None, "a drop without its current is refused before"
    return own / abs(current.value)


def _as_warm(inside: TappedResistance, pins: TappedResistance, book: Book) -> Quantity:
    """Refer the resistance of a conductor to the warmth in which its whole was read, and to what the current added."""
    try:
        cold, warm = (stated_temperature(tapped.entry)[0] for tapped in (inside, pins))
    except EntryError:
        return Quantity(inside.resistance.value, None, "Ω", why="the temperature of the metal is not stated for both")
    at: dict[str, Quantity | float] = {"cold": cold.value, "warm": warm.value}
    if cold.value != warm.value:
        at = {"cold": metal_temperature(cold, book)[0], "warm": metal_temperature(warm, book)[0]}
    rises = {"before": _rise(inside, inside, book), "after": _rise(pins, inside, book)}
    coefficient = temperature_coefficient(book)

    def referred(resistance: Number, cold: Number, warm: Number, before: Number, after: Number) -> Number:
        reference = temperature_factor(temperature=cold + before, coefficient=coefficient)
        return resistance * reference / temperature_factor(temperature=warm + after, coefficient=coefficient)

    return propagate(referred, {"resistance": inside.resistance, **at, **rises}, "Ω")


def _rise(read: TappedResistance, inside: TappedResistance, book: Book) -> Quantity:
    """Return by how much the test current had warmed the conductor when it was read at one pair of taps.

    Which of both was read first, and how long the current had flowed by then, the other does not tell: each is its own.
    """
    lengths = (condition(tapped.entry, "length", "m") for tapped in (inside, read))
    length = next((one.value for one in lengths if one is not None and one.value > 0.0), None)
    if length is None:
        return Quantity(0.0, 0.0, "K")
    try:
        rise, _ = self_heating(
            current=condition(read.entry, "test current", "A"),
            since=condition(read.entry, "time since switch-on", "s"),
            linear=1000.0 * inside.resistance.value / length,
            cores=1,
            book=book,
        )
    except OutsideRange as error:
        raise EntryError.of(read.entry.id, str(error)) from error
    label = f"warming by the test current, {read.taps}"
    own = tuple(replace(one, id=f"{read.entry.id}: {one.id}", label=label) for one in rise.components)
    return replace(rise, components=own)


def _current(bench: BenchEvidence) -> float | None:
    declared = claimed(bench, "declared_current", "A")
    return declared if declared is not None else claimed(bench, "rated_current", "A")


def _judge(conductor: str, joint: JointResistance, apart: PinToPin, found: list[TappedResistance]) -> Finding:
    limit = _limit(joint, apart.limit)
    joints = "both joints" if joint.where == BOTH_SIDES else "the joint"
    side = "" if joint.where == BOTH_SIDES else f" on the {joint.where}"
    bare = Finding(
        id=f"{CHECK_ID}.{joint.where.replace(' ', '-')}",
        check=CHECK_ID,
        title=f"Joints of the conductors, {joint.where}",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        evidence=tuple(tapped.entry.id for tapped in found),
        remarks=(
            *apart.remarks,
            *dict.fromkeys(remark for tapped in found for remark in tapped.remarks),
            "From memory, and no limit of a standard for couplers: a good joint keeps it easily.",
        ),
    )
    subject = f"The resistance of {joints} of {conductor}{side}"
    finding = judged(bare, in_unit(joint.resistance_ohm, limit.unit), limit)
    if is_below_zero(joint.resistance_ohm):
        told = f"{subject} comes out below zero ({format_quantity(in_unit(joint.resistance_ohm, limit.unit))})"
        said = f"{told}: the readings do not go together, and tell nothing of it."
        return replace(finding, statement=said, outcome=Outcome.UNDECIDED, probability=None)
    if joint.resistance_ohm.u is None and joint.resistance_ohm.why:
        reads = format_value(float(f"{in_unit(joint.resistance_ohm, limit.unit).value:.4g}"), limit.unit)
        said = f"{subject} reads {reads}; it cannot be placed against {as_known(limit)}: {joint.resistance_ohm.why}."
        return replace(finding, statement=said)
    if joint.where == BOTH_SIDES and joint.outcome is Outcome.UNDECIDED:
        told = f"{subject} is {format_quantity(in_unit(joint.resistance_ohm, limit.unit))}: that is not within"
        most = format_value(2.0 * needed(limit, "maximum"), limit.unit)
        said = f"{told} {as_known(limit)} for one of them, nor beyond {most}, which two may have. {SHARED}"
        finding = replace(finding, statement=said, outcome=Outcome.UNDECIDED, probability=None)
    else:
        finding = placed(subject, finding)
    return replace(finding, statement=" ".join([finding.statement, *_heat(joint, apart)]))


def _heat(joint: JointResistance, apart: PinToPin) -> tuple[str, ...]:
    share = "" if joint.share is None else f"{100.0 * joint.share.value:.0f} % of the whole from pin to pin"
    if joint.heat_w is None or apart.current_a is None:
        return (f"That is {share}.",) if share else ()
    return (f"That is {share}, and {format_quantity(joint.heat_w)} of heat at {apart.current_a:g} A.",)


def _limit(joint: JointResistance, one: Limit) -> Limit:
    """Return the limit that decides: of two joints that of one, or twice as much where they are beyond even it."""
    if joint.where != BOTH_SIDES or joint.outcome is not Outcome.BEYOND:
        return replace(one, minimum=None)
    return replace(one, minimum=None, maximum=2.0 * needed(one, "maximum"), note=f"Twice that of one joint. {one.note}")


SHARED = (
    "All of it may be in one of them, or a good part in each: tap over one joint, from its pin to the conductor behind "
    "it, to tell them apart."
)
"""What is said of two joints of which the sum alone was read, and decides nothing."""


CHECK = Check(
    id=CHECK_ID,
    title="Joints in plug and connector",
    question="Have the joints of the conductors with the pins no more resistance than good joints have?",
    needs=(),
    any_of=CONDUCTOR_NEEDS,
    bench=Procedure(
        level=Level.DEAD,
        instrument="milliohm meter, four-wire, or an isolated extra-low-voltage source with a millivoltmeter",
        minutes=20,
        cautions=DEAD_CAUTIONS,
        steps=(
            "Clamp the current at the pins of plug and connector of one conductor.",
            "Tap the voltage on the pins: what is read is everything from pin to pin.",
            (
                "Without moving the clips of the current, tap inside of both joints, on the conductor itself where it "
                "leaves the terminal or the crimp; where plug and connector are moulded shut, open them last of all."
            ),
            "Tap over one joint: from its pin to the conductor behind it.",
            "Move the cable at its entry while reading; write down the highest value.",
        ),
        hold_points=(
            "No load on a lead with a joint beyond what a good one has: it gets hot where nothing switches off.",
        ),
        repeats=3,
        transfers="Holds for this specimen as it is; a screw may work loose, a crimp does not mend.",
    ),
    limits=("joint",),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.95, within_if_not=0.6),),
    applies=always,
)
