"""A document as PDF/UA-1: tagged, searchable, the same bytes for the same record."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from datetime import UTC, date, datetime
from functools import cache
from importlib import resources
from typing import Any

from coldpin.report.document import (
    Blank,
    Blanks,
    Block,
    Break,
    Callout,
    Definitions,
    Document,
    Figure,
    Heading,
    Inline,
    Line,
    Listing,
    Mark,
    Paragraph,
    Table,
    Tag,
    Text,
    text_of,
)
from coldpin.report.lettering import for_print, names_a_character

_EARLIEST = date(1980, 1, 1)


def render_pdf(document: Document) -> bytes:
    """Return a document as PDF/UA-1.

    What people wrote goes to the typesetter as data, so that it stays text. Characters that the report's font lacks are
    printed by their number in Unicode, and a note says so. The date in the file is that of the document, never that
    of the clock.

    Parameters
    ----------
    document : Document
        The document tree.

    Returns
    -------
    bytes
        The PDF; equal documents give equal bytes.
    """
    return set_in_type(document)[0]


def set_in_type(document: Document) -> tuple[bytes, tuple[str, ...]]:
    """Return a document as PDF/UA-1, with the remarks of the typesetter.

    Parameters
    ----------
    document : Document
        The document tree.

    Returns
    -------
    tuple of bytes and tuple of str
        The PDF, and what the typesetter remarked: a font that is missing, a layout that does not settle.
    """
    # loads long, and who plans a sheet does not always set it
    from coldpin.report._typst import typeset

    day = _day(document.date)
    data: dict[str, Any] = {
        "title": for_print(document.title),
        "running": for_print(document.running),
        "language": document.language,
        "sheet": document.sheet,
        "bench": document.bench,
        "day": [day.year, day.month, day.day],
        "blocks": [_block(block) for block in document.blocks],
    }
    data["numbered"] = names_a_character(json.dumps(data, ensure_ascii=False))
    stamp = datetime(day.year, day.month, day.day, tzinfo=UTC)
    return typeset(_template(), {"data": json.dumps(data)}, stamp=stamp)


@cache
def _template() -> str:
    return resources.files("coldpin.report").joinpath("paper.typ").read_text(encoding="utf-8")


def _day(text: str) -> date:
    """Return the day of the document; a text that is no date gives the earliest a file can bear."""
    try:
        return max(date.fromisoformat(text[:10]), _EARLIEST)
    except ValueError:
        return _EARLIEST


def _block(block: Block) -> dict[str, Any]:
    match block:
        case Heading(level=level, text=text, anchor=anchor, appendix=appendix):
            return {"kind": "heading", "level": level, "text": for_print(text), "anchor": anchor, "appendix": appendix}
        case Paragraph(content=content, role=role):
            return {"kind": "paragraph", "role": role.value, "line": _line(content)}
        case Table():
            return _table(block)
        case Figure(anchor=anchor, svg=svg, alt=alt, caption=caption, width_mm=width):
            said = {"alt": for_print(alt), "caption": for_print(caption)}
            return {"kind": "figure", "anchor": anchor, "svg": svg, "width": width, **said}
        case Listing(items=items, ordered=ordered):
            return {"kind": "list", "ordered": ordered, "items": _lines(items)}
        case Callout(kind=sort, title=title, items=items, ticks=ticks, below=below):
            whole = {"title": for_print(title), "long": _is_long(items), "ticks": ticks, "below": _line(below)}
            return {"kind": "callout", "sort": sort.value, "items": _lines(items), **whole}
        case Definitions(items=definitions):
            told = [{"term": for_print(d.term), "line": _line(d.content)} for d in definitions]
            return {"kind": "definitions", "items": told, "long": _is_long(d.content for d in definitions)}
        case Blanks():
            return _blanks(block)


def _blanks(blanks: Blanks) -> dict[str, Any]:
    """Return blanks as data; what is typed gets no place to break but its spaces, so that it can be copied."""
    return {
        "kind": "blanks",
        "label": _line(blanks.label),
        "boxes": [_blank(blank) for blank in blanks.boxes],
        "ticks": [{"name": for_print(n), "words": [for_print(word) for word in words]} for n, words in blanks.ticks],
        "fields": [_blank(blank) for blank in blanks.fields],
        "typed": [for_print(piece) for piece in blanks.typed],
        "apart": blanks.apart,
    }


def _blank(blank: Blank) -> dict[str, Any]:
    return {"before": for_print(blank.before), "behind": for_print(blank.behind), "wide": blank.wide}


def _table(table: Table) -> dict[str, Any]:
    columns = [{"title": for_print(c.title), "share": c.share, "align": c.align.value} for c in table.columns]
    rows = [{"anchor": row.anchor, "cells": _lines(row.cells), "long": _is_long(row.cells)} for row in table.rows]
    return {"kind": "table", "caption": for_print(table.caption), "columns": columns, "rows": rows}


_LONGEST_WHOLE = 1000
"""Characters up to which a row of a table, a set of definitions, or what is set apart stays on one page."""


def _is_long(lines: Iterable[Line]) -> bool:
    return sum(len(text_of(line)) for line in lines) > _LONGEST_WHOLE


def _lines(lines: Iterable[Line]) -> list[list[dict[str, str]]]:
    return [_line(line) for line in lines]


def _line(line: Line) -> list[dict[str, str]]:
    return [_inline(piece) for piece in line]


_LONG = re.compile(r"\S{15,}")
_DIGEST = re.compile(r"[0-9a-f]{64}")
_MAY_BREAK = re.compile(r"([._/,:;=&?>)\]-])(?=\w)|(\w{14})(?=\w{4})")


def _breakable(text: str) -> str:
    """Let a long word break after its points and strokes; a digest stays whole, so that it can be copied."""
    return _LONG.sub(
        lambda word: word[0] if _DIGEST.fullmatch(word[0]) else _MAY_BREAK.sub("\\g<0>\u200b", word[0]), text
    )


def _inline(piece: Inline) -> dict[str, str]:
    match piece:
        case Text(text=text, face=face, link=link):
            return {"kind": "text", "text": _breakable(for_print(text)), "face": face.value, "link": link}
        case Tag(basis=basis):
            return {"kind": "tag", "text": basis.value}
        case Mark(sign=sign, word=word):
            return {"kind": "mark", "sign": sign.value, "text": for_print(word)}
        case Break():
            return {"kind": "break"}
