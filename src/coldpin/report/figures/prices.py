"""What things cost, a line each: this specimen, listings, alternatives by whether they claim all that is wanted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas

from coldpin.records.market import MarketPicture, PricedOffer
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes

_ROW_MM = 6.6
_FOOT_MM = 11.0
_MOST = 16
"""Offers in the figure, so that it fits a page."""

_LEFT, _RIGHT = 62.0, 128.0
"""Between these prices run; left of it the name, right of it what the offer is. [mm]"""

_MARKS = {"this specimen": ("D", Ink.COPPER), "listing": ("|", Ink.QUIET), "alternative": ("o", Ink.COLD)}


def price_picture(picture: MarketPicture, anchors: Anchors) -> tuple[Figure, ...]:
    """Return the chart of prices in the currency that most offers have.

    Parameters
    ----------
    picture : MarketPicture
        The market.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    tuple of Figure
        None where fewer than two prices can be compared.
    """
    currencies = Counter(offer.currency for offer in picture.priced)
    if not currencies:
        return ()
    currency = picture.currency or currencies.most_common(1)[0][0]
    offers = [offer for offer in picture.priced if offer.currency == currency][:_MOST]
    if len(offers) < len(("this specimen", "another")):
        return ()
    return (
        Figure(
            anchor=anchors.fresh("figure-prices"),
            svg=draw(WIDTH_MM, _ROW_MM * len(offers) + _FOOT_MM, lambda canvas: _paint(canvas, offers)),
            alt=" ".join(f"{offer.name}: {offer.price:g} {currency}, {_told(offer)}." for offer in offers),
            caption=f"Prices as seen, in {currency}. Diamond: this specimen; bar: a listing; filled circle: an "
            "alternative whose seller claims all that is wanted, open circle: one that does not. "
            "Claims were not tested.",
            width_mm=WIDTH_MM,
        ),
    )


def _paint(canvas: Canvas, offers: Sequence[PricedOffer]) -> None:
    axes: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    height = _ROW_MM * len(offers) + _FOOT_MM
    axes.set_xlim(0.0, WIDTH_MM)
    axes.set_ylim(height, 0.0)
    quiet_axes(axes, left=False, bottom=False)
    highest = max(offer.price for offer in offers) or 1.0
    for place, offer in enumerate(offers):
        middle = _ROW_MM * (place + 0.5) + 1.0
        at = _LEFT + offer.price / highest * (_RIGHT - _LEFT)
        shape, ink = _MARKS[offer.kind]
        filled = offer.kind != "alternative" or offer.lacks == ()
        axes.plot([_LEFT, _RIGHT], [middle, middle], color=Ink.RULE, linewidth=0.5, zorder=0)
        axes.plot([at], [middle], marker=shape, markersize=6.0, color=ink, markerfacecolor=ink if filled else Ink.PAPER)
        axes.text(0.0, middle, letter(offer.name, longest=44), va="center", fontsize=7, color=Ink.TEXT)
        axes.text(_RIGHT + 3.0, middle, f"{offer.price:g} · {_told(offer)}", va="center", fontsize=7, color=Ink.TEXT)
    foot = height - _FOOT_MM + 3.0
    axes.plot([_LEFT, _RIGHT], [foot, foot], color=Ink.QUIET, linewidth=0.8)
    for share in (0.0, 0.5, 1.0):
        at = _LEFT + share * (_RIGHT - _LEFT)
        axes.text(at, foot + 1.2, f"{share * highest:g}", ha="center", va="top", fontsize=7, color=Ink.QUIET)


def _told(offer: PricedOffer) -> str:
    if offer.kind != "alternative":
        return offer.kind
    return "claims all" if offer.lacks == () else f"does not claim {len(offer.lacks or ())}"
