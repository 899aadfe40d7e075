"""The evidence: files with their hashes, every published entry in the order of time, the instruments."""

from __future__ import annotations

from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.instrument import Instrument
from coldpin.report.document import (
    Block,
    Break,
    Column,
    Face,
    Heading,
    Inline,
    Line,
    Paragraph,
    Role,
    Row,
    Table,
    Text,
)
from coldpin.report.index import Index, joined, stacked
from coldpin.report.numbers import size
from coldpin.report.times import moment
from coldpin.report.words import sentence_case, where_from


def evidence(index: Index) -> tuple[Block, ...]:
    """Return the chapter on evidence.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    blocks: list[Block] = [Heading(2, "Evidence", index.anchors.fresh("evidence"))]
    if not index.entries:
        return (*blocks, Paragraph((Text("No entry is published."),)))
    filed = [(entry, entry.evidence) for entry in index.entries if entry.evidence is not None]
    if filed:
        blocks += [
            Heading(3, "Files", index.anchors.fresh("files")),
            Paragraph(
                (Text("A hash shows that a file is unchanged since it was filed, not when it was made."),), Role.QUIET
            ),
            Table(
                "Files and addresses",
                _FILE_COLUMNS,
                tuple(
                    _file(index, entry, piece) for entry, first in filed for piece in (first, first.companion) if piece
                ),
            ),
        ]
    blocks += [
        Heading(3, "What happened, in order", index.anchors.fresh("entries")),
        Paragraph(
            (Text("Nothing is ever taken out: what was corrected stays, struck through, beside its correction."),),
            Role.QUIET,
        ),
        Table("Entries", _ENTRY_COLUMNS, tuple(_entry(index, entry) for entry in index.entries)),
    ]
    if index.assessment.instruments:
        blocks += [
            Heading(3, "Instruments", index.anchors.fresh("instruments")),
            Table(
                "Instruments, with what their makers say of their accuracy",
                _INSTRUMENT_COLUMNS,
                tuple(_instrument(index, name, instrument) for name, instrument in index.assessment.instruments),
            ),
        ]
    return tuple(blocks)


_FILE_COLUMNS = (Column("File", 1.75), Column("Kind, size", 0.85), Column("sha256", 2.75))
_ENTRY_COLUMNS = (
    Column("When", 1.75),
    Column("What it shows", 1.15),
    Column("What was recorded", 3.1),
    Column("By, with", 0.85),
)
_INSTRUMENT_COLUMNS = (
    Column("Instrument", 1.2),
    Column("Kind and maker", 1.2),
    Column("Accuracy as stated", 2.0),
    Column("Calibrated", 0.8),
)


def _file(index: Index, entry: Entry, piece: EvidenceFile) -> Row:
    name: list[Inline] = [Text(where_from(piece), Face.STRONG)]
    if piece.original_name and piece.original_name != piece.file:
        name += [Break(), Text(f"came as {piece.original_name}", Face.QUIET)]
    name += [Break(), index.to_entry(entry.id)]
    length = size(piece.size) if piece.sha256 else "–"
    digest = (Text(piece.sha256, Face.CODE),) if piece.sha256 else (Text("an address, not a file"),)
    return Row((tuple(name), stacked((Text(piece.media), Text(length, Face.QUIET))), digest))


def _entry(index: Index, entry: Entry) -> Row:
    correction = index.corrected_by.get(entry.id)
    struck = Face.STRUCK if correction is not None else Face.PLAIN
    when: list[Inline] = [Text(moment(entry.made))]
    if entry.made_by:
        when += [Break(), Text(f"by {entry.made_by}", Face.QUIET)]
    if moment(entry.recorded) != moment(entry.made):
        when += [Break(), Text(f"written {_written(entry)}", Face.QUIET)]
    when += [Break(), Text(entry.id, Face.CODE)]
    what: Line = (Text(sentence_case(entry.shows), struck), Break(), Text(entry.kind.value, Face.QUIET))
    told = [line for line in (*_content(entry, struck), *_correction(index, entry, correction)) if line]
    recorded: Line = tuple(piece for line in told for piece in (*line, Break()))[:-1] or (Text("–"),)
    anchor = index.anchors.place("entry", entry.id)
    return Row((tuple(when), what, recorded, _who(index, entry)), anchor)


def _written(entry: Entry) -> str:
    """Return when an entry was written down: the time alone on the day and in the zone in which it was made."""
    made, written = moment(entry.made).split(" "), moment(entry.recorded).split(" ")
    same_day = len(made) == len(written) == 3 and (made[0], made[2]) == (written[0], written[2])
    return written[1] if same_day else " ".join(written)


def _content(entry: Entry, face: Face) -> tuple[Line, ...]:
    pairs = "; ".join(f"{pins}: {found}" for pins, found in entry.pairs.items())
    conditions = "; ".join(f"{name}: {value}" for name, value in entry.conditions.items())
    surroundings = (("supply voltage", entry.supply_voltage), ("ambient", entry.ambient), ("humidity", entry.humidity))
    around = "; ".join(f"{name} {value}" for name, value in surroundings if value)
    seen = f"filed: {where_from(entry.evidence)}" if entry.evidence else ""
    told = (" · ".join(entry.readings), entry.answer, pairs, entry.note, seen)
    lines = [(Text(text, face),) for text in told if text]
    quiet = Face.STRUCK if face is Face.STRUCK else Face.QUIET
    beside = "; ".join(text for text in (conditions, around) if text)
    return (*lines, (Text(beside, quiet),)) if beside else tuple(lines)


def _correction(index: Index, entry: Entry, correction: Entry | None) -> tuple[Line, ...]:
    lines: list[Line] = []
    if entry.kind is EntryKind.CORRECTION or entry.replaces:
        verb = "Withdraws entry" if entry.withdraws else "Corrects"
        lines.append(
            (Text(f"{verb} "), index.to_entry(entry.replaces), Text(f". Reason: {entry.reason or 'not given'}"))
        )
    if correction is not None:
        verb = "Withdrawn by" if correction.withdraws else "Corrected by"
        why = "" if correction.private else f": {correction.reason or 'reason not given'}"
        lines.append((Text(f"{verb} ", Face.STRONG), index.to_entry(correction.id), Text(why)))
    return tuple(lines)


def _who(index: Index, entry: Entry) -> Line:
    pieces = [Text(entry.who)]
    if entry.instrument:
        pieces.append(index.anchors.link("instrument", entry.instrument))
    return joined(pieces, by=", ")


def _instrument(index: Index, name: str, instrument: Instrument) -> Row:
    made = " ".join(part for part in (instrument.maker, instrument.model) if part)
    serial = f"serial {instrument.serial}" if instrument.serial else ""
    kind = "; ".join(part for part in (instrument.kind, made, serial) if part)
    stated = stacked(Text(f"{what}: {text}") for what, text in instrument.statements.items()) or (
        Text("nothing stated"),
    )
    title: Line = (Text(instrument.name, Face.STRONG), Break(), Text(name, Face.CODE))
    note = (Break(), Text(instrument.note, Face.QUIET)) if instrument.note else ()
    cells = (title, (Text(kind), *note), stated, (Text(instrument.calibrated or "not recorded"),))
    return Row(cells, index.anchors.place("instrument", name))
