"""Drafts of notices and letters, made from one assessment: each element filled from the record, or told as missing.

Nothing is invented, and nothing is stated in a person's name: what only they can say is left for their hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from coldpin.conclusion.statement import basis_of
from coldpin.records.assessment import Assessment, Basis
from coldpin.records.case import DECLARATION, RIGHT_OF_REPLY
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Standing
from coldpin.records.function import FunctionState
from coldpin.records.marking_words import MAKER_ADDRESS, MARK, RESPONSIBLE
from coldpin.records.notice import NOBODY_NAMED, Addressee, ElementState, NoticeElement, Notification, Sender
from coldpin.report.numbers import found
from coldpin.report.words import (
    BASIS_OF_GROUNDS,
    OUTCOME_WORDS,
    sentence_case,
    specimen_name,
    standing_meaning,
    unit_class,
)
from coldpin.standards.table import Row
from coldpin.standards.wording import limit_value

MOST_FACTS = {Addressee.AUTHORITY: 6, Addressee.MARKETPLACE: 2}
"""Ours: a marketplace acts on the one or two facts that decide, an authority reads more; whoever is to reply, all."""

SIGN = "To be read, and signed by hand where it is so; coldpin does not say it for you."
NO_GROUND = "a finding against the product: there is none in this record, and a notice has no ground"
NOTHING_AGAINST = "THIS RECORD HOLDS NO FINDING AGAINST THE PRODUCT."
_TITLES = {
    Addressee.AUTHORITY: "Draft of a notice to a market-surveillance authority",
    Addressee.MARKETPLACE: "Draft of a notice to a marketplace",
    Addressee.SELLER: "Draft of a letter to the seller: findings, and the right of reply",
}
_LEAD = {
    Addressee.AUTHORITY: (
        "Written from bench tests of one specimen, not by an accredited laboratory; each can be repeated. Whether a "
        "rule is broken is for you to decide."
    ),
    Addressee.MARKETPLACE: "This says what was measured; whether a rule is broken, you and authorities decide.",
    Addressee.SELLER: (
        "A product that you sell was tested, and what was found is to be published. Your answer will be printed "
        "with it."
    ),
}


@dataclass(frozen=True, slots=True)
class _Filled:
    """What the record gives for an element, and what is wanting."""

    lines: tuple[str, ...] = ()
    missing: str = ""
    sign: bool = False


def draft_notification(
    assessment: Assessment, to: Addressee, elements: Iterable[Row], sender: Sender = NOBODY_NAMED
) -> Notification:
    """Return a draft with every element that is asked for.

    Parameters
    ----------
    assessment : Assessment
        The record; private entries are not in it.
    to : Addressee
        To whom.
    elements : iterable of Row
        What is asked for, from the table of notices.
    sender : Sender
        Who sends it, as far as said.

    Returns
    -------
    Notification
        Elements, what is missing, and the text.
    """
    made = tuple(_element(assessment, to, row, sender) for row in elements)
    title = f"{_TITLES[to]}: {specimen_name(assessment.case)}"
    lead = _LEAD[to] if _against(assessment) else f"{NOTHING_AGAINST} {_LEAD[to]}"
    return Notification(
        schema="coldpin.notification/1",
        to=to,
        title=title,
        elements=made,
        missing=tuple(f"{one.title}: {one.missing}" for one in made if one.missing),
        text=_text(title, lead, made),
    )


def _element(assessment: Assessment, to: Addressee, row: Row, sender: Sender) -> NoticeElement:
    filled = _FILL[row.word("element")](assessment, to, sender)
    limit = row.limit
    state = ElementState.TO_SIGN if filled.sign else ElementState.GIVEN if filled.lines else ElementState.MISSING
    return NoticeElement(
        id=limit.id,
        title=limit.title,
        asked_by=", ".join(part for part in (limit.source, limit.place) if part),
        standing=limit.standing,
        state=state,
        lines=filled.lines,
        missing=filled.missing,
    )


def _text(title: str, lead: str, elements: tuple[NoticeElement, ...]) -> str:
    """Return the draft as plain text: each element under its title, what is missing in square brackets."""
    parts = [f"# {title}", "", "DRAFT, to be read, changed and sent by a person.", "", lead, ""]
    for number, element in enumerate(elements, start=1):
        parts += [f"## {number}. {element.title}", ""]
        parts += [f"- {line}" for line in element.lines]
        if element.missing:
            parts.append(f"- [MISSING: {element.missing}]")
        if element.state is ElementState.TO_SIGN:
            parts += ["", "Signature and day: ________________________"]
        parts += ["", f"  (asked for by {element.asked_by}; known to us: {element.standing.value})", ""]
    return "\n".join(parts).rstrip() + "\n"


def _product(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    piece = assessment.case.specimen
    named = (
        ("Make", piece.make),
        ("Model", piece.model),
        ("Description", piece.description),
        ("Serial number", piece.serial),
        ("Batch", piece.batch),
        ("Firmware as marked", piece.marked_firmware),
        ("Kind", unit_class(assessment.case.unit)),
    )
    lines = tuple(f"{term}: {said}" for term, said in named if said)
    lacking = [term.lower() for term, said in named[:5] if not said]
    return _Filled(lines, f"{', '.join(lacking)} (not recorded)" if lacking else "")


def _supply(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    sellers = [
        entry.conditions["seller"] for entry in _showing(assessment, "purchase") if entry.conditions.get("seller")
    ]
    prices = [entry.conditions["price"] for entry in _showing(assessment, "purchase") if entry.conditions.get("price")]
    lines = [f"Seller: {name}" for name in dict.fromkeys((assessment.case.specimen.seller, *sellers)) if name]
    lines += [f"Price paid: {price}" for price in dict.fromkeys(prices)]
    lines += [f"{sentence_case(item)}: “{says}”" for item, says in _marked(assessment, (MAKER_ADDRESS, RESPONSIBLE))]
    return _Filled(tuple(lines), "country of the seller, and of a marketplace between (not recorded)")


def _facts(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    """Tell the findings against the product: those that conclude alone first, then those of functions."""
    del sender
    against = _against(assessment)
    decisive = set(assessment.conclusion.decisive)
    bad = (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)
    hurt = {function.id for function in assessment.functions if function.duty and function.state in bad}
    ranked = sorted(against, key=lambda f: (f.id not in decisive, not hurt & set(f.functions)))
    if not ranked:
        return _Filled(missing=NO_GROUND)
    shown = ranked[: MOST_FACTS.get(to, len(ranked))]
    lines = [_told(finding) for finding in shown]
    if len(ranked) > len(shown):
        lines.append(f"And {len(ranked) - len(shown)} more, in the report. [{Basis.OBSERVED.value}]")
    return _Filled(tuple(lines))


def _against(assessment: Assessment) -> list[Finding]:
    """Return the findings that speak against the product."""
    return [f for f in assessment.findings if f.outcome is Outcome.BEYOND and f.duty and f.transfers]


def _told(finding: Finding) -> str:
    limit = finding.limit
    known = "" if limit is None or limit.standing is Standing.STANDARD else f" Limit: {standing_meaning(limit)}."
    reach = f" Holds {finding.reach.value}." if finding.reach.value.startswith("by") else " Holds for this specimen."
    return f"{finding.statement}{known}{reach} [{basis_of(finding).value}] (finding {finding.id})"


def _accident(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del assessment, to, sender
    return _Filled(missing="what you know of an accident, or that you know of none; the record of tests holds none")


def _country(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del assessment, to
    return _Filled((sender.country,)) if sender.country else _Filled(missing="your country (--country)")


def _sender(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del assessment, to
    lines = tuple(part for part in (sender.name, sender.contact) if part)
    lacking = [
        word for word, said in (("name (--name)", sender.name), ("contact (--contact)", sender.contact)) if not said
    ]
    return _Filled(lines, f"your {' and '.join(lacking)}" if lacking else "")


def _marks(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    told = [f for f in assessment.findings if f.check == "markings"]
    photographed = [entry.id for entry in _showing(assessment, "marking")]
    lines = [f"{finding.title}: {finding.statement} [{Basis.OBSERVED.value}]" for finding in told]
    if photographed:
        lines.append(f"Photographs of the marks: entries {', '.join(photographed)} of the report.")
    return _Filled(tuple(lines), "" if told else "which marks are there and which are not (check 'markings')")


def _scenario(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    if not assessment.scenarios or assessment.risk is None:
        return _Filled(missing="an injury scenario: none was judged")
    worst = assessment.scenarios[0]
    lines = [f"{worst.plain} [{Basis.OPINION.value}]"]
    lines += [
        f"Step {place}: {step.text} [{BASIS_OF_GROUNDS[step.ground].value}]"
        for place, step in enumerate(worst.steps, start=1)
    ]
    lines.append(f"{worst.statement} [{Basis.OPINION.value}]")
    lines.append("Rated with the method of Decision (EU) 2019/417; estimates of steps are listed in the report.")
    return _Filled(tuple(lines))


def _tests(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to
    judged = [f for f in assessment.findings if f.limit is not None and f.quantity is not None]
    days = sorted({entry.made[:10] for entry in assessment.entries if entry.readings or entry.answer or entry.pairs})
    who = dict.fromkeys(entry.who for entry in assessment.entries if entry.readings or entry.answer or entry.pairs)
    told = f"Tested from {days[0]} to {days[-1]} by {', '.join(who)}; one specimen. " if days else ""
    where = f" ({sender.report})" if sender.report else ""
    lead = f"{told}Instruments and their accuracy, repeats, surroundings and files are in the report{where}."
    lines = tuple(
        f"{f.title}: {found(f.quantity)}; limit {limit_value(f.limit)} ({f.limit.source}, "
        f"{f.limit.standing.value}): {OUTCOME_WORDS[f.outcome]}"
        for f in judged
        if f.quantity is not None and f.limit is not None
    )
    return _Filled((lead, *lines), "" if lines else "a measured value beside a limit")


def _declaration(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    asked = [letter for letter in assessment.case.letters if letter.about == DECLARATION and letter.sent]
    if not asked:
        return _Filled(missing="ask the maker or importer for it, and write the letter under letters in case.toml")
    return _Filled(
        tuple(
            f"Asked of the {letter.to} {letter.name} on {letter.sent}: "
            + (f"answered on {letter.answered}: “{letter.answer}”" if letter.answered else "no answer so far")
            for letter in asked
        )
    )


def _addresses(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    listed = listing_addresses(assessment)
    if not listed:
        return _Filled(missing="the exact web address of each offer (record it with the listing snapshot)")
    return _Filled(listed, "whether each is still there on the day you send this")


def listing_addresses(assessment: Assessment) -> tuple[str, ...]:
    """Return the web addresses at which the product was seen on sale.

    Parameters
    ----------
    assessment : Assessment
        The record.

    Returns
    -------
    tuple of str
        Each once, from listing snapshots and from quoted claims of the listing.
    """
    snapshots = _showing(assessment, "listing snapshot")
    named = [entry.conditions.get("address", "") for entry in snapshots]
    named += [entry.evidence.address for entry in snapshots if entry.evidence is not None]
    named += [claim.address for claim in assessment.case.quoted_claims if claim.where == "listing"]
    return tuple(dict.fromkeys(address for address in named if address.startswith(("https://", "http://"))))


def _specimen(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    where = assessment.case.specimen.where_now
    lines = (f"The specimen is kept: {where}.",) if where else ()
    lacking = (
        "whether you would hand it over, and whether one is kept sealed" if where else "where the specimen is kept"
    )
    return _Filled(lines, lacking)


def _good_faith(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del assessment, to, sender
    said = "“I believe in good faith that the information and allegations in this notice are accurate and complete.”"
    return _Filled((said, SIGN), sign=True)


def _item(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    numbers = [entry.conditions.get("item number", "") for entry in _showing(assessment, "listing snapshot")]
    held = [f"Number of the item: {number}" for number in dict.fromkeys(numbers) if number]
    lines = [f"Product: {specimen_name(assessment.case)}"]
    lines += [f"Seller: {assessment.case.specimen.seller}"] if assessment.case.specimen.seller else []
    lacking = [word for word, said in (("seller", len(lines) > 1), ("number of the item", held)) if not said]
    return _Filled((*lines, *held), f"{' and '.join(lacking)} (not recorded)" if lacking else "")


def _saved(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    lines = tuple(
        f"Saved on {entry.made[:10]} (entry {entry.id}"
        + (f", sha256 {entry.evidence.sha256}" if entry.evidence and entry.evidence.sha256 else "")
        + ")"
        for entry in _showing(assessment, "listing snapshot")
    )
    return _Filled(lines, "" if lines else "the offer as saved, with its day (record a listing snapshot)")


def _report(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del assessment, to
    return _Filled((sender.report,)) if sender.report else _Filled(missing="the address of the report (--report)")


def _wanted(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    if not assessment.conclusion.decisive:
        return _Filled(missing="what you ask for; no finding of this record concludes alone, so weigh it")
    wanted = ("That the offer is taken down until these findings are answered.", "That those who bought it are told.")
    return _Filled(tuple(f"{line} [{Basis.OPINION.value}]" for line in wanted))


def _well(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    shown = [function.title for function in assessment.functions if function.state is FunctionState.SHOWN]
    return _Filled(tuple(f"{title}: shown on this specimen. [{Basis.INFERRED.value}]" for title in shown) or ("–",))


def _open(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    open_ones = [function.title for function in assessment.functions if function.state is FunctionState.NOT_SHOWN]
    return _Filled(tuple(open_ones) or ("–",))


def _questions(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del to, sender
    contradicted = [claim for claim in assessment.claims if claim.state.value == "contradicted"]
    asked = [
        "Which of these findings do you hold to be wrong, and by which measurement or paper?",
        "Which specimens, batches or dates does it concern, and what was changed since?",
        "Who made it, and who answers for it in the country of sale? Please send the declaration of conformity.",
        "Is it still sold, and what will you tell those who bought it?",
    ]
    asked += [f"On what does the claim “{claim.said}” rest?" for claim in contradicted]
    asked.append("The readings and captures behind every finding are sent to you on request.")
    return _Filled(tuple(asked))


def _deadline(assessment: Assessment, to: Addressee, sender: Sender) -> _Filled:
    del sender
    given = [
        letter.deadline
        for letter in assessment.case.letters
        if letter.about == RIGHT_OF_REPLY and letter.to == to.value and letter.deadline
    ]
    if not given:
        return _Filled(missing="the day by which you ask for an answer (letters in case.toml: sent and deadline)")
    return _Filled((f"Please answer by {given[-1]}. An answer that comes later is added to the next issue.",))


def _showing(assessment: Assessment, word: str) -> tuple[Entry, ...]:
    replaced = {entry.replaces for entry in assessment.entries if entry.replaces}
    return tuple(
        entry
        for entry in assessment.entries
        if entry.shows == word and entry.id not in replaced and not entry.withdraws and not entry.private
    )


def _marked(assessment: Assessment, items: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    return tuple(
        (entry.conditions["item"], entry.conditions["says"])
        for entry in _showing(assessment, MARK)
        if entry.conditions.get("item") in items and entry.answer == "yes" and entry.conditions.get("says")
    )


_FILL: Mapping[str, Callable[[Assessment, Addressee, Sender], _Filled]] = {
    "product": _product,
    "supply": _supply,
    "facts": _facts,
    "accident": _accident,
    "country": _country,
    "sender": _sender,
    "marks": _marks,
    "scenario": _scenario,
    "tests": _tests,
    "declaration": _declaration,
    "addresses": _addresses,
    "specimen": _specimen,
    "good-faith": _good_faith,
    "item": _item,
    "saved": _saved,
    "report": _report,
    "wanted": _wanted,
    "well": _well,
    "open": _open,
    "questions": _questions,
    "deadline": _deadline,
}
"""How each element is filled from the record."""
