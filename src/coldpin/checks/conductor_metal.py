"""What the conductors of the cable are made of: the metal by all that was found out of it, and whether it is copper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.conductor_evidence import INSIDE, PINS, conductor_reading, tapped_entries
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heated_metal import metal_by_heat
from coldpin.checks.heating import ALIKE
from coldpin.checks.judging import worst_entry
from coldpin.checks.marked_size import marked_size
from coldpin.checks.readings import Side, condition, mean, readings
from coldpin.copper.metal import estimate_metal
from coldpin.copper.metal_evidence import (
    CutEvidence,
    HeatingEvidence,
    MagnetEvidence,
    MassEvidence,
    MetalEvidence,
    ResistanceEvidence,
    StrandEvidence,
    prepare,
)
from coldpin.copper.metal_telling import copper_between, copper_shown, percent
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, convert, propagate, rectangular
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.metal import CutLook, MetalEstimate
from coldpin.records.plan import Stage
from coldpin.standards.conductors import cross_sections
from coldpin.standards.table import needed

CHECK_ID = "conductor-metal"
FUNCTION = "conductor"
MASS, COUNT, DIAMETER = "stripped core mass", "strand count", "strand diameter"
MAGNET, CUT = "magnet at the wires", "look of a cut"

TELLING = tuple(Need(shows=word) for word in (MASS, DIAMETER, MAGNET, CUT))
"""What tells a metal from another; a resistance by itself does not, and enters where there is one of these."""

DEMAND = "conductor-demand.charging-cable"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Estimate the metal of each conductor from all entries of it; the one least likely to be copper is told.

    Parameters
    ----------
    bench : BenchEvidence
        With something that tells a metal.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    return (_told([_judge(bench, core) for core in cores_told(bench)]),)


def _told(found: Sequence[Finding]) -> Finding:
    """Return the worst; a conductor of which too little was found out does not hide one that is shown to be copper.

    It is named with it, unless something speaks against it.
    """
    shown = [one for one in found if one.outcome is Outcome.WITHIN]
    too_little = [one for one in found if one.outcome is Outcome.UNDECIDED and (one.probability or 0.0) > 0.5]
    if not shown or len(shown) + len(too_little) < len(found):
        return worst_entry(found)
    told = worst_entry(shown)
    return replace(told, remarks=(*told.remarks, *(f"Beside it: {one.statement}" for one in too_little)))


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreTold:
    """What one core is made of, with the entries that tell it; ``conductor`` is empty for a core nobody named.

    ``on_joints`` is true where it was read at its pins only and a bad joint would make another metal of it.
    """

    conductor: str
    entries: tuple[str, ...]
    estimate: MetalEstimate
    on_joints: bool = False


def cores_told(bench: BenchEvidence) -> tuple[CoreTold, ...]:
    """Estimate the metal of each conductor from all entries of it.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of CoreTold
        One for each conductor that something was found out of; none where nothing was.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    return tuple(_core(bench, name) for name in _conductors(bench))


def _conductors(bench: BenchEvidence) -> tuple[str, ...]:
    """Name the conductors that something was found out of; empty for a core that nobody named."""
    told = [entry for need in TELLING for entry in bench.matching(need)]
    return tuple(dict.fromkeys(entry.conditions.get("conductor", "") for entry in told))


def _core(bench: BenchEvidence, conductor: str) -> CoreTold:
    entries, evidence = [], []
    for entry, piece in _evidence(bench, conductor):
        try:
            prepare(piece)
        except InputError as error:
            raise EntryError.of(entry.id, str(error)) from error
        entries.append(entry.id)
        evidence.append(piece)
    estimate = estimate_metal(evidence, bench.book, nominal_mm2=_nominal(bench))
    subject = f"conductor {conductor}" if conductor else "core"
    on_joints = _hangs_on_joints(bench, conductor, evidence, estimate)
    if on_joints:
        estimate = replace(estimate, decided=False, statement=f"{JOINTS_UNKNOWN} {estimate.statement}")
    statement = estimate.statement.replace("the core", f"the {subject}").replace("The core", f"The {subject}")
    return CoreTold(
        conductor=conductor,
        entries=tuple(dict.fromkeys(entries)),
        estimate=replace(estimate, statement=statement),
        on_joints=on_joints,
    )


JOINTS_UNKNOWN = (
    "Whether the core is copper cannot be told from a reading at the pins: what a bad joint has makes one metal read "
    "as another. Tap the conductor inside of its joints. If both joints are good:"
)
"""What is said where a worse joint than a good one would make another metal of it."""

SHARES_OF_PINS = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2)
"""Ours: what of a reading at the pins the core itself may have, where nobody knows its joints. [1]"""

SHARE_U = 0.04
"""Ours: standard uncertainty with which each of these is tried, over its value, so that none lies between them. [1]"""


def _hangs_on_joints(
    bench: BenchEvidence, conductor: str, evidence: Sequence[MetalEvidence], estimate: MetalEstimate
) -> bool:
    """Say whether a core that was read at its pins only would be of another metal if a joint were bad."""
    shown = copper_shown(estimate)
    tapped = _tapped(bench, conductor)
    if shown is None or not tapped or any(_taps(entry) == INSIDE for entry in tapped):
        return False
    linear = conductor_reading(bench, tapped[0]).resistance_20c_ohm_per_km
    others = [piece for piece in evidence if not isinstance(piece, ResistanceEvidence)]
    for share in SHARES_OF_PINS:
        core = Quantity(share * linear.value, SHARE_U * share * linear.value, linear.unit)
        tried = estimate_metal([ResistanceEvidence(per_metre=core), *others], bench.book)
        if tried.explained and copper_shown(tried) is not shown:
            return True
    return False


def _judge(bench: BenchEvidence, core: CoreTold) -> Finding:
    estimate, conductor = core.estimate, core.conductor
    outcome, probability = (Outcome.UNDECIDED, None) if core.on_joints else _outcome(estimate)
    return Finding(
        id=f"{CHECK_ID}.copper",
        check=CHECK_ID,
        title="Copper or not",
        statement=estimate.statement,
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        probability=probability,
        answer={Outcome.WITHIN: "yes", Outcome.BEYOND: "no"}.get(outcome, "cannot tell"),
        limit=bench.book.limit(DEMAND),
        rule="confidence",
        evidence=core.entries,
        metal=estimate,
        remarks=(
            *estimate.remarks,
            *_left_out(estimate),
            *((_UNNAMED,) if not conductor and tapped_entries(bench) and not _tapped(bench, "") else ()),
            *_settling(estimate),
        ),
    )


_UNNAMED = "The entry does not name its conductor, so that no resistance can be joined with it: correct the entry."


def _outcome(estimate: MetalEstimate) -> tuple[Outcome, float | None]:
    """Decide by the belief that speaks least for it: what rests on belief was not measured."""
    if estimate.copper is None:
        return Outcome.UNDECIDED, None
    shown, (least, most) = copper_shown(estimate), copper_between(estimate)
    if shown is None:
        return Outcome.UNDECIDED, estimate.copper
    return (Outcome.WITHIN, least) if shown else (Outcome.BEYOND, most)


def _nominal(bench: BenchEvidence) -> float | None:
    """Return the marked size where the class of a charging cable has it."""
    marked = marked_size(bench)
    return marked.size_mm2 if marked is not None and marked.size_mm2 in cross_sections(bench.book) else None


def _evidence(bench: BenchEvidence, conductor: str) -> Iterator[tuple[Entry, MetalEvidence]]:
    """Yield what the entries say of one conductor, each with its entry."""
    for entry in _tapped(bench, conductor):
        yield entry, ResistanceEvidence(per_metre=_resistance(bench, entry))
    if conductor != "PE":
        for heat in metal_by_heat(bench):
            piece = HeatingEvidence(per_metre=heat.per_kilometre)
            yield next(entry for entry in bench.entries if entry.id == heat.entries[0]), piece
    for entry in _of(bench, MASS, conductor):
        yield entry, _mass(bench, entry)
    for entry in _of(bench, DIAMETER, conductor):
        yield from _strands(bench, entry, _of(bench, COUNT, conductor))
    for entry in _of(bench, MAGNET, conductor):
        yield entry, MagnetEvidence(answer=entry.answer)
    for entry in _of(bench, CUT, conductor):
        yield entry, CutEvidence(look=CutLook(entry.conditions.get("look") or CutLook.CANNOT_TELL))


def _tapped(bench: BenchEvidence, conductor: str) -> tuple[Entry, ...]:
    """Return the readings of one core alone; a core that nobody named is the one that was read, if only one was.

    What was tapped inside goes before what was tapped at the pins, which holds the joints as well.
    """
    read = tuple(entry for entry in tapped_entries(bench) if _is_of_one(entry))
    names = {entry.conditions["conductor"] for entry in read}
    if not conductor and len(names) != 1:
        return ()
    of_it = tuple(entry for entry in read if entry.conditions["conductor"] in (conductor or names))
    return tuple(entry for entry in of_it if _taps(entry) == INSIDE) or of_it


def _taps(entry: Entry) -> str:
    return entry.conditions.get("taps") or INSIDE


def _resistance(bench: BenchEvidence, entry: Entry) -> Quantity:
    """Return the resistance of the core for each kilometre; at the pins, less what two good joints may have."""
    told = conductor_reading(bench, entry)
    linear = told.resistance_20c_ohm_per_km
    if _taps(entry) == INSIDE or linear.u is None:
        return linear
    contact = bench.book.limit("joint.contact")
    # two joints of anything from nothing to the largest that is called good
    most = convert(needed(contact, "maximum"), contact.unit, "Ω")
    joints = rectangular(most, most, "Ω", id=f"{entry.id}: joints", label=contact.title)
    core = propagate(
        lambda linear, joints, length: linear - 1000.0 * joints / length,
        {"linear": linear, "joints": joints, "length": told.length_m},
        "Ω/km",
    )
    if core.value > 0.0:
        return core
    return Quantity(linear.value, None, "Ω/km", why="tapped at the pins, the joints may be all of it")


def _of(bench: BenchEvidence, word: str, conductor: str) -> tuple[Entry, ...]:
    return tuple(entry for entry in bench.showing(word) if entry.conditions.get("conductor", "") == conductor)


def _is_of_one(entry: Entry) -> bool:
    """Say whether a reading is of one core alone, and not of a joint."""
    return _taps(entry) in (INSIDE, PINS) and (entry.conditions.get("cores in series") or "1") == "1"


def _mass(bench: BenchEvidence, entry: Entry) -> MassEvidence:
    found = readings(bench, entry)
    length = condition(entry, "length", "m")
    if length is None:
        raise EntryError.of(entry.id, "the length of the piece is missing: state 'length', as '200 mm ± 0.5 mm'")
    if not length.value > 0.0 or any(one.side is not Side.VALUE for one in found):
        raise EntryError.of(entry.id, "mass and length of the piece must be above zero, and no bounds: weigh again")
    per_metre = propagate(lambda mass, length: mass / length, {"mass": mean(found).quantity, "length": length}, "g/m")
    if length.u is None:
        per_metre = Quantity(per_metre.value, None, "g/m", why="the length of the piece is stated without limits")
    return MassEvidence(per_metre=per_metre, along="cable" if entry.conditions.get("along") == "cable" else "core")


def _strands(bench: BenchEvidence, entry: Entry, counted: Iterable[Entry]) -> Iterator[tuple[Entry, MetalEvidence]]:
    """Join the diameter of the wires with their number; a diameter alone tells no area."""
    diameter = mean(readings(bench, entry)).quantity
    for other in counted:
        count = mean(readings(bench, other)).quantity.value
        if count != round(count) or count < 1.0:
            raise EntryError.of(other.id, f"{count:g} wires: count them, a whole number for one core")
        yield entry, StrandEvidence(count=round(count), diameter=diameter)


def _left_out(estimate: MetalEstimate) -> tuple[str, ...]:
    return tuple(f"Not used: {one.kind.value}, {one.why}." for one in estimate.evidence if not one.used)


def _settling(estimate: MetalEstimate) -> tuple[str, ...]:
    """Name the measurement that would most probably decide it, where one of them may."""
    best = next((one for one in estimate.settle if one.probability_of_deciding > 0.0), None)
    if best is None:
        return ()
    cost = ", costs a piece of the cable" if best.destructive else ""
    chance = percent(best.probability_of_deciding)
    return (f"What would settle it: {best.title} ({best.minutes} minutes{cost}); probability of deciding {chance}.",)


CHECK = Check(
    id=CHECK_ID,
    title="Metal of the conductors",
    question="Are the conductors copper?",
    needs=(),
    any_of=TELLING,
    bench=Procedure(
        level=Level.DESTRUCTIVE,
        stage=Stage.DESTRUCTIVE,
        instrument=(
            "scale to 0.01 g; rule to 0.5 mm; micrometer; lens; hand magnet; the resistance of the same conductor from "
            "its own check"
        ),
        minutes=30,
        cautions=(
            *DEAD_CAUTIONS,
            (
                "A cable that a piece was cut from is never used again: do everything else first, and cut only the "
                "specimen that was bought to be opened."
            ),
        ),
        steps=(
            "Last of all tests. Read the resistance of the conductor before anything is cut.",
            "Where wires are bare already, hold a magnet to them: yes or no. A magnet finds a screen as well.",
            (
                "Cut off half a metre. Take out one core, lay it straight, measure its length, strip it whole and "
                "weigh all of its wires, with nothing of the insulation on them."
            ),
            (
                "Cut a wire with a fresh blade and look at the cut under a lens: red throughout, a red core with a "
                "white skin (tinned), a white core with a red skin (clad), white throughout. Photograph it."
            ),
            "Count the wires, and measure the thickness of ten of them with a micrometer.",
        ),
        repeats=1,
        transfers="Holds for this cable; the next one of the same print may be another.",
    ),
    limits=("metal.", DEMAND, "joint.contact"),
    run=run,
    transfer=ALIKE,
    bears=(Bearing(function=FUNCTION, within_if_works=0.98, within_if_not=0.5),),
    applies=always,
)
