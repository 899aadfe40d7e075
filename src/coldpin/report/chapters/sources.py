"""The limits used: value, source, standing, and where two texts differ, both."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from string import ascii_uppercase

from coldpin.records.finding import Limit
from coldpin.report.document import (
    Block,
    Break,
    Column,
    Definition,
    Definitions,
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
from coldpin.report.index import Index
from coldpin.report.numbers import bounds, cited
from coldpin.report.words import STANDING_MEANINGS, sentence_case
from coldpin.standards.wording import number_text

OFTEN = 3
"""From how many limits on a text that they were read in is printed once and named by letter."""


def sources(index: Index) -> tuple[Block, ...]:
    """Return the chapter on the limits used.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    heading = Heading(2, "Limits used", index.anchors.fresh("limits"))
    limits = index.assessment.limits
    if not limits:
        return (heading, Paragraph((Text("No limit was used."),)))
    columns = (Column("Limit", 1.35), Column("Value", 0.9), Column("From", 3.1), Column("Standing", 0.65))
    blocks: list[Block] = [
        heading,
        Definitions(tuple(Definition(s.value, (Text(meaning),)) for s, meaning in STANDING_MEANINGS.items())),
    ]
    told = Counter(text for limit in limits for text in limit.read_in)
    letters = dict(zip((text for text, count in told.items() if count >= OFTEN), ascii_uppercase, strict=False))
    if letters:
        items = tuple(Definition(f"text {letter}", (Text(text),)) for text, letter in letters.items())
        blocks += [Paragraph((Text("Where several of them were read:"),), Role.QUIET), Definitions(items)]
    rows = tuple(_limit(index, limit, letters) for limit in limits)
    blocks.append(Table("Limits, with their sources", columns, rows))
    own = index.assessment.case.constants
    if own:
        replaced = "; ".join(f"{constant.id} ({constant.source})" for constant in own)
        blocks.append(Paragraph((Text("Values the tester entered from a source of their own: "), Text(replaced))))
    return tuple(blocks)


def _limit(index: Index, limit: Limit, letters: Mapping[str, str]) -> Row:
    value: list[Inline] = [Text(bounds(limit))]
    if limit.nominal is not None and (limit.minimum is not None or limit.maximum is not None):
        value += [Break(), Text(f"nominally {number_text(limit.nominal, limit.unit)}", Face.QUIET)]
    origin: list[Inline] = [Text(cited(limit))]
    if limit.read_in:
        read_in = "; ".join(f"text {letters[text]}" if text in letters else text for text in limit.read_in)
        origin += [Break(), Text(f"read in {read_in}", Face.QUIET)]
    if limit.other:
        origin += [Break(), Text("Another text says: ", Face.STRONG), Text(limit.other)]
    if limit.note:
        origin += [Break(), Text(limit.note, Face.QUIET)]
    title: Line = (Text(sentence_case(limit.title)), Break(), Text(limit.id, Face.CODE))
    return Row(
        (title, tuple(value), tuple(origin), (Text(limit.standing.value),)), index.anchors.place("limit", limit.id)
    )
