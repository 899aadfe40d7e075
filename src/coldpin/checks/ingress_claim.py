"""What is claimed of water and dust, and what speaks for or against it to the eye: remarked on, never decided.

No water is put on a specimen here. A degree of protection is shown by a laboratory, on a specimen that is dead.
"""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst_entry
from coldpin.checks.readings import condition
from coldpin.errors import EntryError
from coldpin.quantity import Quantity, format_figure, format_value
from coldpin.records.access_words import INGRESS
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.standards.access import JETS, IngressCode, ingress_rows, outdoors_asks, read_ingress_codes

CHECK_ID = "ingress-claim"
FUNCTION = "ingress-protection"
LOOKING = "Looking shows no degree of protection, and no water was put on the specimen."


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """The degrees of protection that a look was held against, and who claims them."""

    codes: tuple[IngressCode, ...]
    by: str


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say what is claimed, what it would keep out, and what was seen; it stays undecided whatever was seen.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one answer of who looked.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    EntryError
        An entry claims no degree of protection that can be read, or an opening cannot be read.
    """
    return (worst_entry(_judge_one(bench, entry) for entry in bench.showing(INGRESS)),)


def _judge_one(bench: BenchEvidence, entry: Entry) -> Finding:
    claimed, opening = _claimed(bench, entry), condition(entry, "opening", "mm")
    at = f" ({entry.conditions['at']})" if entry.conditions.get("at") else ""
    claim = _claim_told(bench, claimed)
    seen = (_AGAINST if claimed.codes else _OPEN).get(entry.answer, "Whoever looked could not tell") + at
    noted = f": {entry.note.removesuffix('.')}" if entry.answer == "yes" and entry.note else ""
    return Finding(
        id=f"{CHECK_ID}.looked-at",
        check=CHECK_ID,
        title="Claim of water and dust",
        statement=f"{claim} {seen}{noted}. {LOOKING}",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        answer=entry.answer,
        evidence=(entry.id,),
        remarks=tuple(_remarks(bench, claimed.codes, opening)),
    )


def against_rain(bench: BenchEvidence) -> tuple[str, ...]:
    """Return what speaks against standing in rain, of what is claimed and of what was seen; it shows nothing for it.

    Parameters
    ----------
    bench : BenchEvidence
        With the answers of who looked.

    Returns
    -------
    tuple of str
        Sentences; none where enough is claimed and nothing was seen against it.

    Raises
    ------
    EntryError
        An entry claims no degree of protection that can be read.
    """
    asks = outdoors_asks(bench.book)
    asked = f"what is asked outdoors ({asks.limit.title}, {asks.limit.source}, standing: {asks.limit.standing})"
    said = []
    for entry in bench.showing(INGRESS):
        codes = _claimed(bench, entry).codes
        if not codes:
            said.append(f"Nothing is claimed of water and dust: nobody says that it bears rain, or {asked}.")
        elif any(code.water < int(asks.number("water_digit")) for code in codes):
            said.append(f"What is claimed of water, {'; '.join(code.text for code in codes)}, is less than {asked}.")
        if entry.answer == "yes":
            noted = f": {entry.note.removesuffix('.')}" if entry.note else ""
            said.append(f"Something was seen that may let water in{noted}.")
    return tuple(dict.fromkeys(said))


_AGAINST = {"yes": "Something that was seen speaks against it", "no": "Nothing that was seen speaks against it"}
_OPEN = {"yes": "Something was seen that may let it in", "no": "Nothing was seen that would let it in"}


def _claimed(bench: BenchEvidence, entry: Entry) -> Claimed:
    if text := entry.conditions.get("claimed", ""):
        codes = read_ingress_codes(text)
        if not codes:
            raise EntryError.of(entry.id, f"'claimed' = {text!r} is no degree of protection: write it as 'IP66'")
        return Claimed(codes=codes, by="what was written down of it")
    claims = bench.case.claims
    return Claimed(
        codes=read_ingress_codes("; ".join((*claims.words, claims.cable_print))), by="the claims of the case"
    )


def _claim_told(bench: BenchEvidence, claimed: Claimed) -> str:
    if not claimed.codes:
        return "Nothing is claimed of water and dust."
    told = []
    for code in claimed.codes:
        keeps = [row.word("keeps_out") for row in ingress_rows(bench.book, code)]
        told.append(f"“{code.text}”, which would keep out {' and '.join(keeps)}" if keeps else f"“{code.text}”")
    return f"Claimed is {'; '.join(told)} (by {claimed.by})."


def _remarks(bench: BenchEvidence, codes: tuple[IngressCode, ...], opening: Quantity | None) -> list[str]:
    outdoors = outdoors_asks(bench.book)
    solid, water = int(outdoors.number("digit")), int(outdoors.number("water_digit"))
    remarks = []
    for code in codes:
        if 0 <= code.solid < solid or 0 <= code.water < water:
            limit = outdoors.limit
            remarks.append(
                f"{code.text} is less than what is asked outdoors: {limit.title} ({limit.source}, standing: "
                f"{limit.standing})."
            )
        if code.water > JETS:
            remarks.append(f"{code.text} is of immersion; it says nothing of jets, which have a code of their own.")
        if code.water < 0 or code.solid < 0:
            remarks.append(f"{code.text} leaves one digit open: nothing is claimed there.")
        largest = next(
            (row.number("largest_mm") for row in ingress_rows(bench.book, code) if "largest_mm" in row.data), None
        )
        if opening is not None and largest is not None and opening.value > largest:
            remarks.append(
                f"An opening of {format_figure(opening)} lets in what the first digit of {code.text} keeps out, "
                f"{format_value(largest, 'mm')} and more, unless something stands behind it."
            )
    if codes:
        remarks.append("What is claimed of a box does not hold for its plug in a socket, nor for an open coupler.")
    return remarks


CHECK = Check(
    id=CHECK_ID,
    title="Claim of water and dust, as looked at",
    question="What is claimed of water and dust, and does anything to be seen speak against it?",
    needs=(Need(shows=INGRESS),),
    bench=Procedure(
        level=Level.DEAD,
        instrument="lens, good light, calliper with stated accuracy",
        minutes=10,
        cautions=(
            *DEAD_CAUTIONS,
            "No water, spray or wet cloth comes near the specimen: what was wetted is not powered.",
        ),
        steps=(
            "Write down the degree of protection as claimed, on plate, box, papers or listing, and for which part.",
            "Look at seals, glands, lids, buttons, windows, screw holes and the cable's entries; photograph each.",
            "Measure the largest opening. Look for traces of water.",
            "Answer yes where something speaks against the claim, and say what; it decides nothing either way.",
        ),
        repeats=1,
        transfers="A seal that is missing by design is missing in any unit; one that is pinched, in this.",
    ),
    limits=("ip.",),
    run=run,
    bears=(),
    applies=always,
)
