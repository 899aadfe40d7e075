"""The scale card as a sheet to print, with its cautions and what to do with it."""

from __future__ import annotations

from collections.abc import Iterable

from coldpin.records.scale_card import ScaleCard
from coldpin.report.document import (
    Callout,
    CalloutKind,
    Document,
    Figure,
    Heading,
    Line,
    Listing,
    Text,
)
from coldpin.report.figures.scale_card import card_svg

TITLE = "Scale card"


def build_card_sheet(cards: Iterable[ScaleCard]) -> Document:
    """Return the sheet with cards to cut out and what to do with them.

    Parameters
    ----------
    cards : iterable of ScaleCard
        The layouts, one or more; cautions and steps are those of the first.

    Returns
    -------
    Document
        What :func:`~coldpin.report.pdf.render_pdf` sets.
    """
    drawn = tuple(cards)
    return Document(
        title=TITLE,
        status="",
        date="",
        running=TITLE,
        blocks=(
            Heading(1, TITLE, "sheet"),
            Callout(CalloutKind.CAUTION, "Before the first step", _lines(drawn[0].cautions)),
            Listing(_lines(drawn[0].steps), ordered=True),
            *(_figure(card) for card in drawn),
        ),
        sheet=True,
    )


def _lines(texts: tuple[str, ...]) -> tuple[Line, ...]:
    return tuple((Text(text),) for text in texts)


def _figure(card: ScaleCard) -> Figure:
    (left, low), (right, high) = card.card_mm
    return Figure(
        anchor=f"card-{card.name}",
        svg=card_svg(card),
        alt=(
            f"Scale card {card.name}: a chessboard of {card.columns} by {card.rows} squares of {card.square_mm:g} mm, "
            f"coded marks in its light squares, below it a bar of {card.bars[0].length_mm:g} mm, beside it one of "
            f"{card.bars[1].length_mm:g} mm"
        ),
        caption=f"Card {card.name}: {right - left:g} mm × {high - low:g} mm",
        width_mm=right - left,
    )
