"""What plate, print, papers and listing claim, each beside what was found."""

from __future__ import annotations

from coldpin.records.assessment import Basis
from coldpin.records.claim import ClaimState, JudgedClaim
from coldpin.report.document import (
    Block,
    Break,
    Column,
    Face,
    Heading,
    Inline,
    Line,
    Mark,
    Paragraph,
    Role,
    Row,
    Sign,
    Table,
    Tag,
    Text,
)
from coldpin.report.index import Index, joined

_SIGNS = {
    ClaimState.HOLDS: Sign.WITHIN,
    ClaimState.CONTRADICTED: Sign.BEYOND,
    ClaimState.NOT_SHOWN: Sign.NOT_TESTED,
}


def claims(index: Index) -> tuple[Block, ...]:
    """Return the chapter on what is claimed and how each claim stands.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where nothing is claimed.
    """
    judged = index.assessment.claims
    if not judged:
        return ()
    order = list(ClaimState)
    ranked = sorted(judged, key=lambda claim: (claim.state is not ClaimState.CONTRADICTED, order.index(claim.state)))
    columns = (Column("Claimed", 1.3), Column("Found", 0.8), Column("Why, and how far it reaches", 2.4))
    lead = (
        "Each claim stands as it is written. It holds where everything that would show it was found on this specimen; "
        "one finding against it contradicts it; all else is not shown, which is no word against it."
    )
    return (
        Heading(2, "What is claimed, and what was found", index.anchors.fresh("claims-found")),
        Paragraph((Text(lead),), Role.QUIET),
        Table("Claims beside findings", columns, tuple(_row(index, claim) for claim in ranked)),
    )


def _row(index: Index, claim: JudgedClaim) -> Row:
    place = f"{claim.title}, {claim.where}" if claim.where else claim.title
    said: Line = (Text(f"“{claim.said}”", Face.STRONG), Break(), Text(place, Face.QUIET))
    why: list[Inline] = [Text(claim.because)]
    if claim.reach is not None:
        why.append(Text(f" ({claim.reach.value})"))
    why += [Text(" "), Tag(Basis.INFERRED)]
    behind = [index.anchors.link("function", name, _title(index, name)) for name in claim.functions]
    behind += [index.to_finding(name) for name in claim.findings]
    if behind:
        why += [Break(), Text("Rests on ", Face.QUIET), *joined(behind)]
    if claim.missing:
        why += [Break(), Text(f"Would say more: {'; '.join(claim.missing)}.", Face.QUIET)]
    return Row((said, (Mark(_SIGNS[claim.state], claim.state.value),), tuple(why)))


def _title(index: Index, name: str) -> str:
    known = index.functions.get(name)
    return known.title if known is not None else name
