"""The market: what is offered, where was looked, what proper alternatives cost."""

from __future__ import annotations

from coldpin.records.assessment import Basis
from coldpin.records.case import Alternative
from coldpin.report.document import Block, Column, Face, Heading, Line, Listing, Paragraph, Role, Row, Table, Tag, Text
from coldpin.report.figures.prices import price_picture
from coldpin.report.index import Index


def market(index: Index) -> tuple[Block, ...]:
    """Return the chapter on the market.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where nothing was written down of it.
    """
    picture, alternatives = index.assessment.market, _held(index)
    said = [_tagged(text, Basis.OBSERVED) for text in picture.said]
    said += [_tagged(text, Basis.INFERRED) for text in picture.reckoned]
    if not said and not alternatives:
        return ()
    note = "Seen on the days named; a page may have changed since. What a seller claims was not tested here."
    return (
        Heading(2, "On the market", index.anchors.fresh("market")),
        Paragraph((Text(note),), Role.QUIET),
        *((Listing(tuple(said)),) if said else ()),
        *price_picture(picture, index.anchors),
        *_listings(index),
        *_alternatives(index),
    )


def _held(index: Index) -> tuple[Alternative, ...]:
    """Return the alternatives of the case and of its shelf."""
    return index.assessment.alternatives or index.assessment.case.alternatives


def _tagged(text: str, basis: Basis) -> Line:
    return (Text(text), Text(" "), Tag(basis))


def _listings(index: Index) -> tuple[Block, ...]:
    rows = tuple(
        Row(
            (
                (Text(listing.name, Face.STRONG), Text(f" {listing.place}" if listing.place else "")),
                (Text(listing.seen),),
                (Text(listing.price or "–"),),
                (Text(listing.control_unit),),
                (Text(listing.same_design),),
                (Text(", ".join(listing.rated_currents) or "–"),),
                (Text(", ".join(listing.lengths) or "–"),),
            )
        )
        for listing in index.assessment.market.listings
    )
    columns = (
        Column("Listing", 1.8),
        Column("Seen", 0.9),
        Column("Price", 0.8),
        Column("Control unit", 0.8),
        Column("Looks the same", 0.8),
        Column("Offered for", 1.0),
        Column("Lengths", 1.0),
    )
    return (Table("Listings seen, as their pages describe them", columns, rows),) if rows else ()


def _alternatives(index: Index) -> tuple[Block, ...]:
    lacking = {offer.name: offer.lacks for offer in index.assessment.market.priced if offer.kind == "alternative"}
    rows = []
    for other in _held(index):
        lacks = lacking.get(other.name)
        missing = "cannot be said" if lacks is None else "; ".join(lacks) or "nothing of what is wanted"
        rows.append(
            Row(
                (
                    (Text(other.name, Face.STRONG),),
                    (Text(other.price),),
                    (Text(other.seen or "–"),),
                    (Text("; ".join(other.claims) or "–"),),
                    (Text(missing),),
                )
            )
        )
    columns = (
        Column("Alternative", 1.5),
        Column("Price", 0.7),
        Column("Seen", 0.8),
        Column("Its seller claims; not tested here", 1.6),
        Column("Does not claim", 1.4),
    )
    return (Table("Alternatives, as their sellers describe them", columns, tuple(rows)),) if rows else ()
