"""Whether it is shown that a housing keeps water and dirt out, so that the milder pollution degree holds inside."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.checks.evidence import BenchEvidence
from coldpin.errors import EntryError
from coldpin.records.access_words import BY_LABORATORY, INGRESS, NOT_COMPARED, SEALING_TEST
from coldpin.records.entry import Entry
from coldpin.records.part_words import BUILT, SEALS
from coldpin.standards.access import outdoors_asks, read_ingress_codes

DUST = 5
"""Ours: the least first digit that counts, for below it a housing lets dust in; that of water is as asked outdoors."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sealing:
    """Whether sealing is shown, by which entries, and what is to be said of it; nothing where nothing was recorded."""

    shown: bool
    evidence: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


def sealing(bench: BenchEvidence) -> Sealing:
    """Say whether a laboratory's test shows that the housing keeps water and dirt out, and nothing seen denies it.

    A marking, a claim or a declaration shows nothing, nor does a report on a unit that nobody compared with this one.

    Parameters
    ----------
    bench : BenchEvidence
        With tests of the sealing, and with what was seen of seals and lid.

    Returns
    -------
    Sealing
        The answer with its reasons.

    Raises
    ------
    EntryError
        A test states no degree of protection that can be read.
    """
    return bench.once("sealing", lambda: _sealing(bench))


def _sealing(bench: BenchEvidence) -> Sealing:
    tests = bench.showing(SEALING_TEST)
    if not tests:
        return Sealing(shown=False)
    reasons = {entry.id: _why_not(bench, entry) for entry in tests}
    counted = [entry for entry in tests if not reasons[entry.id]]
    against = _against(bench, tests)
    if counted and not against:
        by = "; ".join(f"{entry.conditions['degree']} by {entry.conditions['laboratory']}" for entry in counted)
        return Sealing(
            shown=True,
            evidence=tuple(entry.id for entry in counted),
            told=(f"Its sealing is shown by a laboratory's report: {by}.",),
        )
    why = [*(f"a recorded test does not show it: {reason}" for reason in reasons.values() if reason), *against]
    return Sealing(shown=False, told=(f"Its sealing is not shown: {'; '.join(dict.fromkeys(why))}.",))


def _why_not(bench: BenchEvidence, entry: Entry) -> str:
    """Return why a test of the sealing does not count; empty where it does."""
    stated = entry.conditions
    if stated.get("shown by") != BY_LABORATORY:
        return f"it is known by {stated.get('shown by') or 'nothing that is stated'}, not by a {BY_LABORATORY}"
    if not stated.get("laboratory"):
        return "the laboratory and the number of its report are not stated"
    if stated.get("of", NOT_COMPARED) == NOT_COMPARED:
        return "nobody compared the unit that was tested with this one"
    if entry.answer != "yes":
        return "water or dust came in, or nobody could tell"
    codes = read_ingress_codes(stated.get("degree", ""))
    if not codes:
        raise EntryError.of(entry.id, "it states no degree of protection that can be read: state 'degree', as 'IP65'")
    water = int(outdoors_asks(bench.book).number("water_digit"))
    if not any(code.solid >= DUST and code.water >= water for code in codes):
        return f"{stated['degree']} is less than IP{DUST}{water}"
    return ""


def _against(bench: BenchEvidence, tests: tuple[Entry, ...]) -> list[str]:
    """Return what denies that the housing keeps water and dirt out, whatever a report says."""
    said = []
    if any(entry.answer == "no" for entry in tests):
        said.append("a test let water or dust in")
    if any(entry.answer == "no" and entry.conditions.get("of") == SEALS for entry in bench.showing(BUILT)):
        said.append("its seals or its lid were found not to be sound")
    if any(entry.answer == "yes" for entry in bench.showing(INGRESS)):
        said.append("something was seen that may let water or dust in")
    return said
