"""The specimen: as it is marked, what is claimed for it, and where it has been."""

from __future__ import annotations

from coldpin.conclusion.whereabouts import whereabouts
from coldpin.records.entry import Entry
from coldpin.report.document import (
    Block,
    Definition,
    Definitions,
    Face,
    Heading,
    Inline,
    Line,
    Paragraph,
    Role,
    Text,
)
from coldpin.report.index import Index, joined
from coldpin.report.numbers import counted
from coldpin.report.times import moment
from coldpin.report.words import asked_again, unit_class, where_from

_NOT_RECORDED: Line = (Text("not recorded", Face.QUIET),)


def specimen(index: Index) -> tuple[Block, ...]:
    """Return the chapter on the specimen and its custody.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    return (
        Heading(2, "The specimen", index.anchors.fresh("specimen")),
        _marked(index),
        *_claims(index),
        Heading(3, "Custody", index.anchors.fresh("custody")),
        Paragraph(
            (Text("From whom it came, how it arrived, where it is. Order numbers and private entries are left out."),),
            Role.QUIET,
        ),
        _custody(index),
    )


def _marked(index: Index) -> Definitions:
    case = index.assessment.case
    piece = case.specimen
    named = (
        ("Make", piece.make),
        ("Model", piece.model),
        ("Description", piece.description),
        ("Serial number", piece.serial),
        ("Batch", piece.batch),
        ("Firmware as marked", piece.marked_firmware),
        ("Kind of unit", unit_class(case.unit)),
    )
    return Definitions(tuple(Definition(term, (Text(said),)) for term, said in named if said))


def _claims(index: Index) -> tuple[Block, ...]:
    claims = index.assessment.case.claims
    named = (
        ("Plug", claims.plug),
        ("Plug rating", claims.plug_rating),
        ("Rated current", claims.rated_current),
        ("Rated voltage", claims.rated_voltage),
        ("Current it is set to", claims.declared_current),
        ("Print on the cable", claims.cable_print),
        ("Cross-section", claims.cross_section),
        ("Hottest air", claims.max_ambient),
    )
    items = [Definition(term, (Text(said),)) for term, said in named if said]
    quoted = (("Standards claimed", claims.standards_claimed), ("In its own words", claims.words))
    items += [Definition(term, _quotes(words)) for term, words in quoted if words]
    if not items:
        return ()
    return (
        Heading(3, "What plate, print and papers claim", index.anchors.fresh("claims")),
        Paragraph((Text("As claimed; coldpin repeats it and does not vouch for it."),), Role.QUIET),
        Definitions(tuple(items)),
    )


def _quotes(words: tuple[str, ...]) -> Line:
    return joined((Text(f"“{word}”") for word in words), by=" · ")


def _custody(index: Index) -> Definitions:
    purchases = _of(index, "purchase")
    items = (
        Definition("Bought", _told(index, purchases, "note")),
        Definition("From", _condition(purchases, "seller", index.assessment.case.specimen.seller)),
        Definition("Price", _condition(purchases, "price")),
        Definition("Batch", _condition(purchases, "batch", index.assessment.case.specimen.batch)),
        Definition("Contents received", _told(index, _of(index, "contents received"), "condition")),
        Definition("Photographs before opening", _photographs(index)),
        Definition("Opened or changed", _told(index, _of(index, "opened"), "how")),
        Definition("Where it is now", _where(index)),
        Definition("Listing saved", _told(index, _of(index, "listing snapshot"), "price")),
    )
    return Definitions(items)


def _where(index: Index) -> Line:
    """Tell where it is by who said so last, and ask for it again where it was worked on since."""
    told = whereabouts(index.assessment.case, index.standing)
    if told.entry:
        line = _told(index, tuple(one for one in index.standing if one.id == told.entry), "place")
    else:
        line = (
            (Text(f"{told.place} (by the description of the case, without a date)"),) if told.place else _NOT_RECORDED
        )
    asked = asked_again(told)
    return (*line, Text(f" {asked}")) if asked else line


def _of(index: Index, word: str) -> tuple[Entry, ...]:
    return tuple(entry for entry in index.standing if entry.shows == word)


def _told(index: Index, entries: tuple[Entry, ...], condition: str) -> Line:
    lines: list[Inline] = []
    for entry in entries:
        said = " · ".join(part for part in (entry.note, entry.conditions.get(condition, "")) if part)
        seen = f" ({where_from(entry.evidence)})" if entry.evidence else ""
        lead = "; " if lines else ""
        lines += [Text(f"{lead}{moment(entry.made)}{': ' if said else ''}{said}{seen} "), index.to_entry(entry.id)]
    return tuple(lines) or _NOT_RECORDED


def _condition(entries: tuple[Entry, ...], condition: str, otherwise: str = "") -> Line:
    said = "; ".join(entry.conditions[condition] for entry in entries if entry.conditions.get(condition))
    return (Text(said or otherwise),) if said or otherwise else _NOT_RECORDED


def _photographs(index: Index) -> Line:
    taken = _of(index, "photograph before opening")
    if not taken:
        return _NOT_RECORDED
    return (Text(f"{counted(len(taken), 'photograph')}: "), *joined(index.to_entry(entry.id) for entry in taken))
