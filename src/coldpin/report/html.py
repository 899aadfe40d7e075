"""A document as one self-contained page: no script, no request, readable without style."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from html import escape
from importlib import resources

from coldpin.report.document import (
    Align,
    Blanks,
    Block,
    Break,
    Callout,
    Definitions,
    Document,
    Face,
    Figure,
    Heading,
    Inline,
    Line,
    Listing,
    Mark,
    Paragraph,
    Role,
    Row,
    Sign,
    Table,
    Tag,
    Text,
    lines_of,
)
from coldpin.report.figures.drawing import Ink, with_own_ids
from coldpin.report.lettering import for_screen


def render_html(document: Document) -> str:
    """Return a document as one HTML page.

    Parameters
    ----------
    document : Document
        The document tree.

    Returns
    -------
    str
        HTML in UTF-8 characters; style and drawings are inside, and nothing is loaded from elsewhere.
    """
    return "\n".join(
        (
            "<!DOCTYPE html>",
            f'<html lang="{_text(document.language)}">',
            *_head(document),
            "<body>",
            '<a class="skip" href="#report">Skip to the report</a>',
            _signs(),
            '<div class="sheet">',
            _contents(document),
            '<main id="report">',
            *_sections(document.blocks),
            "</main>",
            "</div>",
            f"<footer><p>{_text(document.running)} · coldpin certifies nothing.</p></footer>",
            "</body>",
            "</html>\n",
        )
    )


_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
"""What the page may do: show itself, with the pictures that stand in it. It loads nothing and runs nothing."""


def _head(document: Document) -> tuple[str, ...]:
    made = (f'<meta name="date" content="{_text(document.date)}">',) if document.date else ()
    return (
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="color-scheme" content="light dark">',
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
        '<meta name="generator" content="coldpin">',
        *made,
        f"<title>{_text(f'{document.title} · {document.status}')}</title>",
        f"<style>\n{_style()}</style>",
        "</head>",
    )


def _style() -> str:
    return _sheet("inks.css") + _sheet("page.css")


@cache
def _sheet(name: str) -> str:
    return resources.files("coldpin.report").joinpath(name).read_text(encoding="utf-8")


def figure_alone(figure: Figure) -> str:
    """Return the drawing of a figure as a file of its own, in the inks of the page it is shown on, light or dark.

    Parameters
    ----------
    figure : Figure
        The figure.

    Returns
    -------
    str
        SVG, its colours told by a style of its own.
    """
    begun, bracket, rest = _inked(figure.svg).partition("<svg ")
    head, closed, drawn = rest.partition(">")
    return f"{begun}{bracket}{head}{closed}<style>{_sheet('inks.css')}</style>{drawn}"


def _inked(drawing: str) -> str:
    """Tell colours by the names of the inks, so that a page may be light or dark."""
    for ink in Ink:
        drawing = drawing.replace(ink.value, f"var(--{ink.name.lower()})")
    return drawing


def _text(text: str) -> str:
    return escape(for_screen(text), quote=True)


_SIGN_DRAWINGS = {
    Sign.SHOWN: '<circle cx="8" cy="8" r="6.5" class="line"/><circle cx="8" cy="8" r="3.4" class="fill"/>',
    Sign.FAULTY: '<circle cx="8" cy="8" r="6.5" class="line"/><path d="M5 5l6 6M11 5l-6 6" class="line"/>',
    Sign.SHOWN_ABSENT: '<circle cx="8" cy="8" r="6.5" class="line"/><path d="M3.4 12.6 12.6 3.4" class="line"/>',
    Sign.NOT_SHOWN: '<circle cx="8" cy="8" r="6.5" class="line dash"/>',
    Sign.WITHIN: '<rect x="2.5" y="2.5" width="11" height="11" class="fill"/>',
    Sign.BEYOND: '<path d="M8 1.5 15 14H1Z" class="fill"/>',
    Sign.UNDECIDED: '<path d="M8 1.5 14.5 8 8 14.5 1.5 8Z" class="line"/><path d="M8 1.5 8 14.5 1.5 8Z" class="fill"/>',
    Sign.NOT_TESTED: '<rect x="2.5" y="2.5" width="11" height="11" class="line dash"/>',
    Sign.NOT_APPLICABLE: '<path d="M3 8H13" class="line"/>',
}


def sign_drawing(sign: Sign) -> str:
    """Return the drawing of a sign.

    Parameters
    ----------
    sign : Sign
        The sign.

    Returns
    -------
    str
        Shapes of SVG in a square of 16 units.
    """
    return _SIGN_DRAWINGS[sign]


def _signs() -> str:
    drawn = "".join(
        f'<symbol id="sign-{sign.value}" viewBox="0 0 16 16">{drawing}</symbol>'
        for sign, drawing in _SIGN_DRAWINGS.items()
    )
    return f'<svg class="signs" aria-hidden="true" focusable="false">{drawn}</svg>'


def _contents(document: Document) -> str:
    chapters = [block for block in document.blocks if isinstance(block, Heading) and block.level <= 2]
    items = "".join(
        f'<li><a href="#{block.anchor}">{"Summary" if block.level == 1 else _text(block.text)}</a></li>'
        for block in chapters
    )
    return f'<nav aria-label="Contents">\n<ul>{items}</ul>\n</nav>'


def _sections(blocks: Iterable[Block]) -> Iterator[str]:
    """Wrap the blocks under each chapter's heading in a section that it names; an appendix is folded."""
    closing = ""
    for block in blocks:
        if isinstance(block, Heading) and block.level == 2:
            yield closing
            yield f'<section aria-labelledby="{block.anchor}">'
            closing = "</section>"
            if block.appendix:
                yield f"<details><summary>{_block(block)}</summary>"
                closing = "</details></section>"
                continue
        yield _block(block)
    yield closing


def _block(block: Block) -> str:
    match block:
        case Heading(level=level, text=text, anchor=anchor):
            return f'<h{level} id="{anchor}" tabindex="-1">{_text(text)}</h{level}>'
        case Paragraph(content=content, role=role):
            named = "" if role is Role.PLAIN else f' class="{role.value}"'
            return f"<p{named}>{_line(content)}</p>"
        case Table():
            return _table(block)
        case Figure():
            return _figure(block)
        case Listing(items=items, ordered=ordered):
            kind = "ol" if ordered else "ul"
            return f"<{kind}>{_items(items)}</{kind}>"
        case Callout(kind=sort, title=title, items=items, below=below):
            under = f"<p>{_line(below)}</p>" if below else ""
            return (
                f'<div class="callout {sort.value}" role="note"><p class="callout-title">{_text(title)}</p>'
                f"<ul>{_items(items)}</ul>{under}</div>"
            )
        case Definitions(items=definitions):
            inside = "".join(f"<div><dt>{_text(d.term)}</dt><dd>{_line(d.content)}</dd></div>" for d in definitions)
            return f"<dl>{inside}</dl>"
        case Blanks():
            return "".join(f"<p>{_line(line)}</p>" for line in lines_of(block))


def _items(items: Iterable[Line]) -> str:
    return "".join(f"<li>{_line(item)}</li>" for item in items)


def _line(line: Line) -> str:
    return "".join(_inline(piece) for piece in line)


def _inline(piece: Inline) -> str:
    match piece:
        case Text():
            return _linked(piece)
        case Tag(basis=basis):
            return f'<span class="tag {basis.value}">{basis.value}</span>'
        case Mark(sign=sign, word=word):
            drawn = f'<svg aria-hidden="true" focusable="false"><use href="#sign-{sign.value}"/></svg>'
            return f'<span class="mark {sign.value}">{drawn}{_text(word)}</span>'
        case Break():
            return "<br>"


_FACES = {
    Face.PLAIN: ("", ""),
    Face.STRONG: ("<strong>", "</strong>"),
    Face.CODE: ("<code>", "</code>"),
    Face.QUIET: ('<span class="quiet">', "</span>"),
    Face.STRUCK: ("<s>", "</s>"),
}


def _linked(piece: Text) -> str:
    before, after = _FACES[piece.face]
    inside = f"{before}{_isolated(piece.text)}{after}"
    return f'<a href="#{piece.link}">{inside}</a>' if piece.link else inside


_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff]")


def _isolated(text: str) -> str:
    """Keep text that runs from right to left from turning the order of what stands beside it."""
    return f"<bdi>{_text(text)}</bdi>" if _RIGHT_TO_LEFT.search(text) else _text(text)


def _table(table: Table) -> str:
    whole = sum(column.share for column in table.columns)
    widths = "".join(f'<col style="width:{100.0 * column.share / whole:.1f}%">' for column in table.columns)
    heads = "".join(f'<th scope="col"{_align(column.align)}>{_text(column.title)}</th>' for column in table.columns)
    rows = "".join(_row(row, table) for row in table.rows)
    reached = f' role="group" tabindex="0" aria-label="{_text(table.caption)}"' if len(table.columns) > 3 else ""
    return (
        f'<div class="table"{reached}>'
        f'<table class="of-{len(table.columns)}">'
        f"<caption>{_text(table.caption)}</caption><colgroup>{widths}</colgroup><thead><tr>{heads}</tr></thead>"
        f"<tbody>{rows}</tbody></table></div>"
    )


def _row(row: Row, table: Table) -> str:
    named = f' id="{row.anchor}" tabindex="-1"' if row.anchor else ""
    cells = []
    for place, (cell, column) in enumerate(zip(row.cells, table.columns, strict=True)):
        kind = 'th scope="row"' if place == 0 else "td"
        cells.append(f"<{kind}{_align(column.align)}>{_line(cell)}</{kind[:2]}>")
    return f"<tr{named}>{''.join(cells)}</tr>"


def _align(align: Align) -> str:
    return "" if align is Align.START else f' class="{align.value}"'


def _figure(figure: Figure) -> str:
    drawing = _inked(with_own_ids(figure.svg, figure.anchor))
    drawing = drawing.replace("<svg ", f'<svg role="img" aria-label="{_text(figure.alt)}" ', 1)
    caption = _text(figure.caption)
    return (
        f'<figure id="{figure.anchor}"><div class="drawing" role="group" tabindex="0" aria-label="{caption}">'
        f"{drawing}</div><figcaption>{caption}</figcaption></figure>"
    )
