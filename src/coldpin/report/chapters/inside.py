"""Inside: how far the mains is from what a person touches, by calliper and in drawings of the boards."""

from __future__ import annotations

from collections.abc import Iterable

from coldpin.records.calliper_gap import Agreement, CalliperGap
from coldpin.records.distance_words import ACROSS
from coldpin.records.finding import Reach
from coldpin.records.inside import DrawnBoard, InsideDistance
from coldpin.report.document import (
    Align,
    Block,
    Break,
    Callout,
    CalloutKind,
    Column,
    Definition,
    Definitions,
    Face,
    Heading,
    Line,
    Paragraph,
    Role,
    Row,
    Table,
    Text,
)
from coldpin.report.figures.board import board
from coldpin.report.index import Index
from coldpin.report.numbers import measured, probability
from coldpin.report.words import outcome_mark, sentence_case

_BOUND = {"least": "the straight gap: it is at least this", "most": "along the surface: it is at most this"}
_AGREEMENT = {
    Agreement.AGREES: "they agree",
    Agreement.DIFFERS: "they differ by more than both allow",
    Agreement.CANNOT_TELL: "whether they agree cannot be told",
}


def inside(index: Index) -> tuple[Block, ...]:
    """Return the chapter on distances inside.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where nobody measured inside.
    """
    found = index.inside
    if not found:
        return ()
    return (
        Heading(2, "Inside: distances", index.anchors.fresh("inside")),
        Paragraph(
            (
                Text(
                    "What parts the mains from the pilot and from a hand is air (clearance) and the surface of boards "
                    "and parts (creepage). How much is asked for depends on the supply, on dirt and damp (pollution "
                    "degree), and on whether one layer of insulation is enough (basic) or must be as good as two "
                    "(reinforced)."
                ),
            )
        ),
        *(block for word in ACROSS for block in _across(index, word, found.distances)),
        *(block for drawn in found.boards for block in _drawing(index, drawn)),
        Paragraph(
            (
                Text(
                    "Inner layers of a board and the inside of transformers and optocouplers were not seen by any of "
                    "this. Rendered pictures by which the method was tried do not prove photographs of real boards."
                ),
            ),
            Role.QUIET,
        ),
    )


def _across(index: Index, word: str, found: tuple[InsideDistance, ...]) -> tuple[Block, ...]:
    here = [one for one in found if one.across == word]
    if not here:
        return ()
    degrees = here[0].degrees
    columns = (
        Column("Way", 2.0),
        Column("Measured", 1.4, Align.END),
        Column("Asked for", 1.8),
        Column("From", 1.1),
        Column("Outcome", 1.1),
    )
    at = " and ".join(str(degree.pollution_degree) for degree in degrees)
    caption = f"{sentence_case(word)}: ± at 95 %; {here[0].insulation.value} insulation, pollution degree {at}"
    return (
        Heading(3, sentence_case(word), index.anchors.fresh("across")),
        Table(caption, columns, tuple(_row(index, one) for one in here)),
    )


def _row(index: Index, one: InsideDistance) -> Row:
    bound = _BOUND["least"] if one.at_least else _BOUND["most"] if one.at_most else ""
    told = [Text(one.told or "between ends that are not named", Face.QUIET)]
    beside = (Break(), Text(f"beside: {', '.join(one.beside)}", Face.QUIET)) if one.beside else ()
    why = (Break(), Text(f"open: {one.why}", Face.QUIET)) if one.why else ()
    length = f"more than {one.over_range}" if one.measured_mm is None else measured(one.measured_mm)
    return Row(
        (
            (Text(one.kind.value, Face.STRONG), Break(), *told, *beside, *why),
            (Text(length), *((Break(), Text(bound, Face.QUIET)) if bound else ())),
            _asked(index, one),
            (
                index.anchors.link("board", one.entry, "drawing") if one.drawn else Text("calliper"),
                Break(),
                index.to_entry(one.entry),
            ),
            (
                outcome_mark(one.outcome),
                Break(),
                Text(probability(one.probability), Face.QUIET),
                Break(),
                Text(_REACHES[one.reach], Face.QUIET),
            ),
        )
    )


_REACHES = {Reach.CONSTRUCTION: "any unit built like it", Reach.SPECIMEN: "this specimen"}


def _asked(index: Index, one: InsideDistance) -> Line:
    lines: list[Text | Break] = []
    for degree in one.degrees:
        lines += [
            Text(f"{degree.required_mm:g} mm (degree {degree.pollution_degree}; basic {degree.basic_mm:g} mm)"),
            Break(),
        ]
    return (
        (*lines, index.anchors.link("limit", one.limit.id, "limit as known")) if one.limit is not None else tuple(lines)
    )


def _drawing(index: Index, drawn: DrawnBoard) -> tuple[Block, ...]:
    name = f"The board: {drawn.part}" if drawn.part else "The board"
    undecided = (
        (Callout(CalloutKind.NOTE, "This drawing decides nothing", ((Text(drawn.undecided),),)),)
        if drawn.undecided
        else ()
    )
    return (
        Heading(3, name, index.anchors.place("board", drawn.entry) or index.anchors.fresh("board-again")),
        *undecided,
        Definitions(
            (
                Definition(
                    "Drawing", (index.to_entry(drawn.entry), Text(f", made over: {drawn.drawn_from or 'not said'}"))
                ),
                Definition("File", (Text(drawn.file), Break(), Text(f"sha256 {drawn.sha256}", Face.CODE))),
                *_uncertainty(drawn),
            )
        ),
        board(drawn, index.anchors),
        *_calliper(index, drawn.calliper),
    )


def _uncertainty(drawn: DrawnBoard) -> Iterable[Definition]:
    """Say of the worst way what its uncertainty comes from, and what would make it smaller."""
    for way in drawn.ways[:1]:
        if way.dominated_by:
            tail = f"; smaller by: {way.reduced_by}" if way.reduced_by else ""
            yield Definition("Uncertainty of the worst way", (Text(f"mostly {way.dominated_by}{tail}"),))


def _calliper(index: Index, gaps: tuple[CalliperGap, ...]) -> tuple[Block, ...]:
    if not gaps:
        return ()
    columns = (
        Column("Between", 2.0),
        Column("Calliper", 1.3, Align.END),
        Column("Drawing", 1.3, Align.END),
        Column("Difference", 1.3, Align.END),
        Column("", 1.4),
    )
    rows = tuple(
        Row(
            (
                (Text(" and ".join(gap.ends)), Break(), index.to_entry(gap.entry)),
                (Text(measured(gap.reading_mm)),),
                (Text(measured(gap.drawn_mm)),),
                (Text(measured(gap.difference_mm)),),
                (Text(_AGREEMENT[gap.agreement]),),
            )
        )
        for gap in gaps
    )
    caption = (
        "Gaps by calliper beside the drawing; neither takes the other's place: ± at 95 % of each, whether they agree "
        "at 95 % of all together"
    )
    return (Table(caption, columns, rows),)
