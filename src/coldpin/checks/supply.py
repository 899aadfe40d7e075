"""On which supply something was found, and whether it holds for the closed unit on its mains."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coldpin.checks.check import Check
from coldpin.checks.evidence import BenchEvidence
from coldpin.errors import EntryError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome

MAINS = "mains"
LOW = "extra-low voltage"
BOARD = "board on bench supply"
PILOT = "pilot "
"""Words of the vocabulary that are about the pilot begin so."""


def supply_of(bench: BenchEvidence, entry: Entry) -> str:
    """Return the supply under which an entry was made.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.
    entry : Entry
        The entry; where it does not state its supply, a supply voltage that can be touched tells a bench supply: at
        the board for a pilot, at the plug for anything else.

    Returns
    -------
    str
        A word of the vocabulary: "mains", "extra-low voltage" or "board on bench supply".

    Raises
    ------
    EntryError
        The supply voltage cannot be read.
    """
    if stated := entry.conditions.get("supply"):
        return stated
    touch = bench.book.limit("touch.ac").maximum
    assert touch is not None, "a touch voltage has a largest value"
    low = entry.supply_voltage and _volts(entry) < touch
    if not low:
        return MAINS
    return BOARD if entry.shows.startswith(PILOT) else LOW


def _volts(entry: Entry) -> float:
    try:
        return parse_quantity(entry.supply_voltage, "V").value
    except InputError as error:
        raise EntryError.of(entry.id, f"supply voltage {entry.supply_voltage!r}: {error}") from error


def closed_first(bench: BenchEvidence, entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return the entries made on the closed unit on its mains, or all where there is none such.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.
    entries : iterable of Entry
        Entries that show one thing.

    Returns
    -------
    tuple of Entry
        In the order given.

    Raises
    ------
    EntryError
        A supply voltage cannot be read.
    """
    listed = tuple(entries)
    closed = tuple(entry for entry in listed if supply_of(bench, entry) == MAINS)
    return closed or listed


def with_supply(bench: BenchEvidence, check: Check, finding: Finding) -> Finding:
    """Mark a finding with the supply it was found on, and say where it does not hold for the closed unit.

    Parameters
    ----------
    bench : BenchEvidence
        With the entries the finding rests on.
    check : Check
        The check that made it; its record says from which supply which outcome transfers.
    finding : Finding
        The finding.

    Returns
    -------
    Finding
        As given where all its evidence was taken on the mains; else with its supply, and with a remark where it does
        not transfer: then it is neither decisive nor does it show that something is absent.

    Raises
    ------
    EntryError
        A supply voltage cannot be read.
    """
    entries = [entry for entry in bench.entries if entry.id in finding.evidence]
    others = [entry for entry in entries if supply_of(bench, entry) != MAINS]
    if not others:
        return finding
    supplies = tuple(dict.fromkeys(supply_of(bench, entry) for entry in others))
    marked = replace(finding, supply=", ".join(supplies))
    serving = {Outcome.WITHIN: check.transfer.within, Outcome.BEYOND: check.transfer.beyond}.get(finding.outcome)
    if serving is None or set(supplies) <= set(serving):
        return marked
    fed = next((entry.supply_voltage for entry in others if entry.supply_voltage), "")
    remark = f"Taken on {_WORDS[supplies[0]]}{f' of {fed}' if fed else ''}, not on the mains: {check.transfer.why}."
    return replace(marked, transfers=False, decisive=False, absence=False, remarks=(*finding.remarks, remark))


_WORDS = {LOW: "an extra-low voltage supply", BOARD: "the opened board, fed by a bench supply"}
