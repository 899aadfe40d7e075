"""The voltage at the connector's power pins in one situation, placed against what may be touched."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.live_threshold import Duty, dead_limit, energised_limit, with_duty
from coldpin.checks.readings import Measured, highest, lowest, readings
from coldpin.checks.supply import LOW, MAINS, closed_first, supply_of
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, format_quantity, parse_quantity, propagate
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach

LOW_IMPEDANCE = "low impedance"


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """A situation in which the pins must be dead: the word that records it, and what a voltage in it says.

    ``subject`` begins the sentence of the number, ``live`` is the plain sentence where there is a voltage, ``decisive``
    says whether that concludes alone. ``several`` is true where the procedure asks for it in several ways, of which
    none stands for another. ``duty`` is what a text asks of the unit there.
    """

    word: str
    name: str
    title: str
    subject: str
    functions: tuple[str, ...]
    live: str
    decisive: bool = False
    several: bool = False
    duty: Duty | None = None


NOTHING = Situation(
    word="output with nothing connected",
    name="uncoupled",
    title="Voltage with nothing connected",
    subject="With nothing connected, the largest voltage at the connector's pins",
    functions=("supply-switching",),
    decisive=True,
    live="The connector's pins are live with nothing connected: whoever touches them touches the mains.",
)
NOT_READY = Situation(
    word="output in state B",
    name="state-b",
    title="Voltage in state B",
    subject="With a vehicle connected that asks for nothing, the voltage at the connector's pins",
    functions=("supply-switching",),
    live="The pins are live although the vehicle does not ask for power.",
    duty=Duty(asked="no power in state B, where the vehicle is not ready", limit="pilot.state.B"),
)
NO_DIODE = Situation(
    word="output with the diode shorted",
    name="output",
    title="Voltage with the vehicle's diode shorted",
    subject="With the vehicle simulator's diode shorted, the voltage at the connector's pins",
    functions=("vehicle-recognition",),
    live="The unit switched on for a plain resistor, without the vehicle's diode.",
    duty=Duty(asked="the contactor closes only after the vehicle's diode was seen", limit="timing.diode-check"),
)


OUTPUT = "output "
"""Words of the vocabulary that are about the voltage at the output begin so."""


def entries_showing(bench: BenchEvidence, word: str) -> tuple[Entry, ...]:
    """Return the entries that show a voltage, those of the closed unit on its mains where there are any.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    word : str
        The word of the vocabulary.

    Returns
    -------
    tuple of Entry
        Oldest first; empty where nothing was recorded.

    Raises
    ------
    EntryError
        A supply voltage cannot be read.
    """
    return closed_first(bench, bench.showing(word))


def at_mains(bench: BenchEvidence, entry: Entry, quantity: Quantity) -> Quantity:
    """Scale a reading taken at extra-low voltage to what it would be on the mains the specimen is made for.

    The rated voltage is what it is reckoned for: a bare number is exact, a stated spread enters. The supply voltage was
    read: without its limits the result has no uncertainty.

    Parameters
    ----------
    bench : BenchEvidence
        With the claim of the rated voltage; without one 230 V is taken.
    entry : Entry
        The reading, with its supply voltage.
    quantity : Quantity
        What was read. [V]

    Returns
    -------
    Quantity
        On the mains, as reckoned. [V]

    Raises
    ------
    EntryError
        The supply voltage is nought, is not recorded or cannot be read.
    """
    rated, applied = bench.claim("rated_voltage") or "230 V", entry.supply_voltage
    if not applied:
        raise EntryError.of(
            entry.id, "taken at extra-low voltage, but the supply voltage is not recorded: add it (--supply-voltage)"
        )
    try:
        made_for, supply = parse_quantity(rated, "V"), parse_quantity(applied, "V")
    except InputError as error:
        raise EntryError.of(entry.id, f"supply voltage {applied!r}: {error}") from error
    if supply.value == 0.0:
        raise EntryError.of(entry.id, f"supply voltage {applied!r}: nothing can be scaled by it: correct the entry")
    if made_for.u is None:
        made_for = replace(made_for, u=0.0, low=None, high=None, why="")
    inputs = {"reading": quantity, "rated": made_for, "supply": supply}
    scaled = propagate(lambda reading, rated, supply: reading * rated / supply, inputs, quantity.unit)
    scaled = replace(scaled, value=quantity.value * made_for.value / supply.value)
    return scaled if supply.u is not None else replace(scaled, why=SUPPLY_UNSTATED.format(applied=applied))


UNSTATED = "the limits of the supply voltage are not stated"
SUPPLY_UNSTATED = f"{UNSTATED}: write it as '{{applied}} ± 0.2 V', with those of its meter"


def read_at_mains(bench: BenchEvidence, entry: Entry) -> tuple[Measured, ...]:
    """Return the readings of a voltage at the output, each as it would be on the mains.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    entry : Entry
        The reading.

    Returns
    -------
    tuple of Measured
        One per text; scaled where it was read at extra-low voltage.

    Raises
    ------
    EntryError
        A reading or the supply voltage cannot be read, or the supply voltage is not recorded where it is needed.
    """
    found = readings(bench, entry)
    if supply_of(bench, entry) != LOW:
        return found
    return tuple(replace(one, quantity=at_mains(bench, entry, one.quantity)) for one in found)


def said_of_scaled(entry: Entry, read: Quantity, finding: Finding, sentence: str) -> str:
    """Tell the number that was read beside the one reckoned from it: nobody read the second.

    Parameters
    ----------
    entry : Entry
        The reading.
    read : Quantity
        What was read. [V]
    finding : Finding
        The finding on the reckoned number.
    sentence : str
        Its statement.

    Returns
    -------
    str
        The statement with both.
    """
    assert finding.quantity is not None, "a scaled reading is a quantity"
    read_there = f"{format_quantity(read)} on an extra-low voltage supply of {entry.supply_voltage}, on the mains "
    return sentence.replace(
        f" is {format_quantity(finding.quantity)}",
        f" is {read_there}{format_quantity(finding.quantity)} as reckoned",
        1,
    )


def judge_situation(
    bench: BenchEvidence, situation: Situation, check: str, *, reach: Reach = Reach.SPECIMEN
) -> Finding | None:
    """Judge the voltage at the pins in a situation in which they must be dead, where it was read: the worst entry.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    situation : Situation
        The situation.
    check : str
        Id of the check.
    reach : Reach
        How far a voltage reaches: by construction where the wiring map traced every pole straight through.

    Returns
    -------
    Finding or None
        None where it was not read.

    Raises
    ------
    EntryError
        A reading or the supply voltage cannot be read.
    """
    entries = entries_showing(bench, situation.word)
    if not entries:
        return None
    made = _not_read_again(situation, entries)
    return worst_entry(judge_dead(bench, entry, situation, check, reach=reach) for entry in made)


def _not_read_again(situation: Situation, entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """Leave out what a high-impedance input showed where the same was read again later through a low-impedance one."""
    inputs = [entry.conditions.get("input", "") for entry in entries]
    if situation.several or LOW_IMPEDANCE not in inputs:
        return entries
    last = len(inputs) - 1 - inputs[::-1].index(LOW_IMPEDANCE)
    told = zip(inputs, entries, strict=True)
    return tuple(entry for place, (through, entry) in enumerate(told) if place > last or through in ("", LOW_IMPEDANCE))


def judge_dead(
    bench: BenchEvidence, entry: Entry, situation: Situation, check: str, *, reach: Reach = Reach.SPECIMEN
) -> Finding:
    """Judge one entry of a situation in which the pins must be dead.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    entry : Entry
        The reading.
    situation : Situation
        The situation.
    check : str
        Id of the check.
    reach : Reach
        How far a voltage reaches.

    Returns
    -------
    Finding
        Beyond where a voltage is there; it concludes alone, and shows that nothing switches, only where it was read
        through a low-impedance input or the wiring map shows the path.

    Raises
    ------
    EntryError
        A reading or the supply voltage cannot be read.
    """
    found = readings(bench, entry)
    chosen = highest(found)
    scaled = supply_of(bench, entry) == LOW
    quantity = at_mains(bench, entry, chosen.quantity) if scaled else chosen.quantity
    finding = _with_why(judged(_bare(situation, check, entry, found), quantity, dead_limit(bench)))
    if finding.outcome is Outcome.BEYOND:
        plain = placed(situation.subject, finding)
        said = said_of_scaled(entry, chosen.quantity, finding, plain.statement) if scaled else plain.statement
        lived = _live(entry, replace(plain, reach=reach), situation, said)
        return with_duty(bench, lived, situation.duty)
    if supply_of(bench, entry) != MAINS and finding.outcome is Outcome.WITHIN:
        return replace(
            finding,
            outcome=Outcome.UNDECIDED,
            answer="cannot tell",
            statement=(
                f"{situation.subject} stayed low on an extra-low voltage supply, on which a unit with contacts "
                "cannot close them: this does not show that they stay open on the mains."
            ),
        )
    answer = {Outcome.WITHIN: "no", Outcome.UNDECIDED: "cannot tell"}[finding.outcome]
    return with_duty(bench, replace(placed(situation.subject, finding), answer=answer), situation.duty)


def _with_why(finding: Finding) -> Finding:
    """Remark why a quantity has no uncertainty, where that is known to be more than an unstated meter."""
    if finding.quantity is None or finding.quantity.u is not None or not finding.quantity.why.startswith(UNSTATED):
        return finding
    why = finding.quantity.why
    return replace(finding, remarks=(*finding.remarks, f"{why[0].upper()}{why[1:]}."))


def _bare(situation: Situation, check: str, entry: Entry, found: tuple[Measured, ...]) -> Finding:
    return Finding(
        id=f"{check}.{situation.name}",
        check=check,
        title=situation.title,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=situation.functions,
        evidence=(entry.id,),
        worst_of=len(found),
    )


def _live(entry: Entry, finding: Finding, situation: Situation, said: str) -> Finding:
    through = entry.conditions.get("input", "")
    if through and through != LOW_IMPEDANCE and finding.reach is not Reach.CONSTRUCTION:
        return replace(
            finding,
            outcome=Outcome.UNDECIDED,
            answer="cannot tell",
            statement=(
                f"{said} It was read through a high-impedance input, which also shows what couples across open "
                "contacts: read it again through a low-impedance one."
            ),
        )
    sure = through == LOW_IMPEDANCE or finding.reach is Reach.CONSTRUCTION
    remarks = () if sure else (NOT_ALONE,)
    return replace(
        finding,
        statement=f"{situation.live} {said}",
        plain=situation.live,
        answer="yes",
        absence=sure,
        decisive=situation.decisive and sure,
        remarks=remarks,
    )


NOT_ALONE = (
    "Whether this was read through a low-impedance input is not recorded (condition 'input'): until it is, the "
    "reading does not conclude alone, for a meter of 10 MΩ also shows what couples across open contacts."
)


def judge_energised(
    bench: BenchEvidence, word: str, bare: Finding, subject: str, duty: Duty | None = None
) -> Finding | None:
    """Judge whether the output is switched on where it must be: the worst entry.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    word : str
        The word of the vocabulary that records it.
    bare : Finding
        Everything about the finding but its evidence and outcome.
    subject : str
        What was read, as the beginning of a sentence.
    duty : Duty, optional
        What a text asks of the unit there.

    Returns
    -------
    Finding or None
        None where it was not read. On an extra-low voltage supply the reading is scaled to the mains; that nothing
        closes there says nothing.

    Raises
    ------
    EntryError
        A reading or the supply voltage cannot be read.
    """
    entries = entries_showing(bench, word)
    if not entries:
        return None
    limit = energised_limit(bench)
    found = worst_entry(judge_energised_entry(bench, entry, bare, subject, limit) for entry in entries)
    return with_duty(bench, found, duty)


def judge_energised_entry(bench: BenchEvidence, entry: Entry, bare: Finding, subject: str, limit: Limit) -> Finding:
    """Judge whether the output is switched on by one entry.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    entry : Entry
        The reading.
    bare : Finding
        Everything about the finding but its evidence and outcome.
    subject : str
        What was read, as the beginning of a sentence.
    limit : Limit
        Above which the output counts as switched on. [V]

    Returns
    -------
    Finding
        Within where it is on. On an extra-low voltage supply the reading is scaled to the mains; that nothing closes
        there says nothing.

    Raises
    ------
    EntryError
        A reading or the supply voltage cannot be read.
    """
    found = readings(bench, entry)
    low = supply_of(bench, entry) == LOW
    read = lowest(found).quantity
    quantity = at_mains(bench, entry, read) if low else read
    finding = _with_why(judged(replace(bare, evidence=(entry.id,), worst_of=len(found)), quantity, limit))
    if supply_of(bench, entry) != MAINS and finding.outcome is Outcome.BEYOND:
        return replace(
            finding,
            outcome=Outcome.UNDECIDED,
            answer="cannot tell",
            statement=f"{subject} stayed low, on a supply on which a unit with contacts may not close them.",
        )
    answer = {Outcome.WITHIN: "yes", Outcome.BEYOND: "no", Outcome.UNDECIDED: "cannot tell"}[finding.outcome]
    return replace(placed(subject, finding), answer=answer)
