"""Words for what is inside: drawings of boards, and gaps measured on the board itself."""

from __future__ import annotations

from coldpin.records.distance import PathKind
from coldpin.records.distance_words import GAP_ALLOWED, GAP_CONDITIONS
from coldpin.records.plausible import GAP_MM
from coldpin.records.showing import Showing

BOARD_DRAWING = "board drawing"
CALLIPER_GAP = "calliper gap"

DRAWN_FROM = ("photograph", "layout file", "measured by hand")
"""What a drawing was made over."""

KINDS = tuple(kind.value for kind in PathKind)

PART = "which board or part of the unit, in words of the tester, such as 'main board'; empty where there is one"
_END = "a net ('mains L'), a group of nets ('mains') or the name of one shape of the drawing ('J1 pin 3')"

BOARDS = (
    Showing(
        word=BOARD_DRAWING,
        meaning=(
            "what conducts on a board, what is milled out of it and what stands on it, as polygons in GeoJSON with "
            "their scale; a drawing filed anew for the same part is its next version and takes the place of the last"
        ),
        recorded_as="board",
        conditions={
            "part": PART,
            "drawn from": "what the drawing was made over: " + ", ".join(f"'{way}'" for way in DRAWN_FROM),
        },
        allowed={"drawn from": DRAWN_FROM},
    ),
    Showing(
        word=CALLIPER_GAP,
        meaning=(
            "a distance between two conductors, by calliper or gauge on the board itself, dead and unplugged; one text "
            "for each repeat, the calliper taken off between"
        ),
        recorded_as="readings",
        unit="mm",
        measures="length",
        plausible=GAP_MM,
        conditions={
            "from": f"one end: {_END}",
            "to": f"the other end: {_END}",
            "kind": "'clearance' (default): straight from edge to edge; 'creepage': along the surface, piece by piece",
            "part": PART,
            "place": "where on the board, in words of the tester, such as 'under the relay'",
            **GAP_CONDITIONS,
        },
        allowed={"kind": KINDS, **GAP_ALLOWED},
    ),
)
"""A drawing, and what is measured beside it."""
