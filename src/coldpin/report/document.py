"""The document tree: what a report says, before anyone decides how it looks.

A tree holds text, never markup: what a person typed stays text in every rendering. Anchors are plain ASCII words,
unique in a document, and every ``link`` names one of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from coldpin.records.assessment import Basis


class Sign(StrEnum):
    """A shape that stands beside a word, so that no meaning rests on colour alone.

    Functions have round signs, outcomes square ones, joints of the wiring map a link or a gap.
    """

    SHOWN = "shown"
    FAULTY = "faulty"
    SHOWN_ABSENT = "shown_absent"
    NOT_SHOWN = "not_shown"
    WITHIN = "within"
    BEYOND = "beyond"
    UNDECIDED = "undecided"
    NOT_TESTED = "not_tested"
    NOT_APPLICABLE = "not_applicable"


class Face(StrEnum):
    """How a piece of text is set."""

    PLAIN = "plain"
    STRONG = "strong"
    CODE = "code"
    QUIET = "quiet"
    STRUCK = "struck"


@dataclass(frozen=True, slots=True)
class Text:
    """A piece of text in one face; ``link`` is the anchor it leads to, empty for none."""

    text: str
    face: Face = Face.PLAIN
    link: str = ""


@dataclass(frozen=True, slots=True)
class Tag:
    """What the sentence before it rests on."""

    basis: Basis


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign with its word."""

    sign: Sign
    word: str


@dataclass(frozen=True, slots=True)
class Break:
    """The line ends here, the paragraph goes on."""


Inline: TypeAlias = Text | Tag | Mark | Break
Line: TypeAlias = tuple[Inline, ...]


class Role(StrEnum):
    """What a paragraph is for."""

    PLAIN = "plain"
    KICKER = "kicker"
    HEADLINE = "headline"
    QUIET = "quiet"


class CalloutKind(StrEnum):
    """What a callout asks of the reader."""

    CAUTION = "caution"
    HOLD = "hold"
    DECISIVE = "decisive"
    NOTE = "note"


class Align(StrEnum):
    """Where the text of a column stands."""

    START = "start"
    END = "end"
    CENTRE = "center"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; levels start at 1 for the title and never skip one.

    ``appendix`` marks a chapter for who checks the others: set small on paper, folded on the screen.
    """

    level: int
    text: str
    anchor: str
    appendix: bool = False


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph."""

    content: Line
    role: Role = Role.PLAIN


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its header, where its text stands, and its share of the width."""

    title: str
    share: float = 1.0
    align: Align = Align.START


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table; the first cell is its header."""

    cells: tuple[Line, ...]
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a caption; its header row is repeated where the table breaks."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing as SVG with its description in words, for those who do not see it, and its caption.

    ``width_mm`` is how wide it is meant to be printed.
    """

    anchor: str
    svg: str
    alt: str
    caption: str
    width_mm: float


@dataclass(frozen=True, slots=True)
class Listing:
    """A list of lines, numbered where their order matters."""

    items: tuple[Line, ...]
    ordered: bool = False


@dataclass(frozen=True, slots=True)
class Callout:
    """Something set apart: a caution, a hold point, a decisive finding, a note.

    ``ticks`` says that each item has a box to tick; ``below`` is what stands under the items, without one.
    """

    kind: CalloutKind
    title: str
    items: tuple[Line, ...]
    ticks: bool = False
    below: Line = ()


@dataclass(frozen=True, slots=True)
class Definition:
    """A term and what is said of it."""

    term: str
    content: Line


@dataclass(frozen=True, slots=True)
class Definitions:
    """Terms with what is said of each."""

    items: tuple[Definition, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """An empty box to write in, with what stands before and behind it; a ``wide`` one holds words."""

    before: str = ""
    behind: str = ""
    wide: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Blanks:
    """Something to be written down by hand: what it is, boxes for it, words to tick, and the line that types it.

    ``ticks`` are names, each with the words of which one is ticked; ``fields`` are what else is written down with it.
    ``typed`` are the pieces of the line, none of which is torn where the line breaks; ``apart`` sets each on a line of
    its own.
    """

    label: Line
    boxes: tuple[Blank, ...]
    ticks: tuple[tuple[str, tuple[str, ...]], ...] = ()
    fields: tuple[Blank, ...] = ()
    typed: tuple[str, ...] = ()
    apart: bool = False


Block: TypeAlias = Heading | Paragraph | Table | Figure | Listing | Callout | Definitions | Blanks


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A whole report.

    ``date`` is the day of the assessment, ISO 8601, empty where it is not known; ``status`` is "Draft" or the number
    of the issue; ``running`` is what stands at the head of each printed page. A ``sheet`` is set close, to be pinned up
    at the bench on one page; for the ``bench`` is what is written on there: set large, and what stands under a heading
    of the third level stays on one page where it fits on one.
    """

    title: str
    status: str
    date: str
    running: str
    blocks: tuple[Block, ...]
    language: str = "en"
    sheet: bool = False
    bench: bool = False


def text_of(line: Line) -> str:
    """Return a line as bare text, signs given by their words.

    Parameters
    ----------
    line : tuple of Inline
        The line.

    Returns
    -------
    str
        Its words.

    Examples
    --------
    >>> text_of((Text("earth open"), Mark(Sign.BEYOND, "beyond")))
    'earth openbeyond'
    """
    return "".join(_bare(piece) for piece in line)


def _bare(piece: Inline) -> str:
    match piece:
        case Text(text=text):
            return text
        case Mark(word=word):
            return word
        case Tag(basis=basis):
            return f"[{basis.value}]"
        case Break():
            return "\n"


def lines_of(block: Block) -> Iterator[Line]:
    """Yield every line of text in a block, captions and headings among them.

    Parameters
    ----------
    block : Block
        Any block of a document.

    Yields
    ------
    tuple of Inline
        One line.
    """
    match block:
        case Heading(text=text):
            yield (Text(text),)
        case Paragraph(content=content):
            yield content
        case Table():
            yield from _lines_of_table(block)
        case Figure(alt=alt, caption=caption):
            yield (Text(caption),)
            yield (Text(alt),)
        case Listing(items=items):
            yield from items
        case Callout(title=title, items=items, below=below):
            yield (Text(title),)
            yield from items
            yield from ((below,) if below else ())
        case Definitions(items=definitions):
            for definition in definitions:
                yield (Text(definition.term),)
                yield definition.content
        case Blanks():
            yield from _lines_of_blanks(block)


def _lines_of_table(table: Table) -> Iterator[Line]:
    yield (Text(table.caption),)
    yield from ((Text(column.title),) for column in table.columns)
    for row in table.rows:
        yield from row.cells


def _lines_of_blanks(blanks: Blanks) -> Iterator[Line]:
    yield blanks.label
    yield from ((Text(f"{blank.before} {blank.behind}".strip()),) for blank in (*blanks.boxes, *blanks.fields))
    yield from ((Text(f"{name}: {', '.join(words)}"),) for name, words in blanks.ticks)
    yield (Text(" ".join(blanks.typed), Face.CODE),)
