"""Right of reply: who was asked, when, how long they had, and what they answered."""

from __future__ import annotations

from coldpin.records.case import RIGHT_OF_REPLY, Letter
from coldpin.report.document import Block, Column, Face, Heading, Line, Paragraph, Role, Row, Table, Text
from coldpin.report.index import Index
from coldpin.report.times import moment
from coldpin.report.words import sentence_case


def replies(index: Index) -> tuple[Block, ...]:
    """Return the chapter on letters sent and answers that came.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; where nobody was asked, one that says so.
    """
    letters = index.assessment.case.letters
    heading = Heading(2, "Right of reply", index.anchors.fresh("replies"))
    if not any(letter.about == RIGHT_OF_REPLY and letter.sent for letter in letters):
        said = Paragraph((Text("Neither maker nor seller was asked to reply to these findings."),))
        return (heading, said, *_table(letters))
    lead = Paragraph((Text("Answers stand as they came; coldpin does not vouch for them."),), Role.QUIET)
    return (heading, lead, *_table(letters))


def _table(letters: tuple[Letter, ...]) -> tuple[Block, ...]:
    if not letters:
        return ()
    columns = (
        Column("To", 1.2),
        Column("About", 1.0),
        Column("Sent", 0.8),
        Column("Until", 0.8),
        Column("Answer", 2.2),
    )
    return (Table("Letters and answers", columns, tuple(Row(_cells(letter)) for letter in letters)),)


def _cells(letter: Letter) -> tuple[Line, ...]:
    to = " ".join(part for part in (sentence_case(letter.to), letter.name) if part)
    return (
        (Text(to),),
        (Text(letter.about),),
        _day(letter.sent),
        _day(letter.deadline),
        _answer(letter),
    )


def _day(day: str) -> Line:
    return (Text(moment(day)),) if day else (Text("–", Face.QUIET),)


def _answer(letter: Letter) -> Line:
    if not letter.answered:
        return (Text("none so far", Face.QUIET),)
    said = f"“{letter.answer}”" if letter.answer else "answered, without words that are written down"
    return (Text(f"{moment(letter.answered)}: {said}"),)
