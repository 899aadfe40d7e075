"""The boards of the three leads, at the end of the second day: a picture with the card, a drawing on it, a calliper."""

from __future__ import annotations

from coldpin.records.board_words import BOARD_DRAWING, CALLIPER_GAP
from coldpin.records.distance_words import LAYOUT, OVER_FLAT, OVER_SLOT, UNDER_PARTS, UNUSED_PINS
from coldpin.workbench.brackwater.step import SUNDAY, Answered, Outlined, Photographed, Read, Step

FOUND = {"searched": UNDER_PARTS, "made by": LAYOUT}
"""How the gaps of all three were looked for: both faces, and a gauge under what stands on the board."""


def _gap(at: str, one: str, other: str, *, note: str, over: str = OVER_FLAT, **more: str) -> Read:
    """Lay the calliper three times between two shapes of the drawing."""
    return Read(
        at=at,
        day=SUNDAY,
        shows=CALLIPER_GAP,
        repeats=3,
        note=note,
        conditions={"from": one, "to": other, "over": over, **FOUND, **more},
        instrument="calliper",
    )


def _drawn(photographed: str, drawn: str, name: str, *, note: str) -> tuple[Step, ...]:
    """Photograph a board with the card beside it, and draw on the picture what conducts and what is milled."""
    return (
        Photographed(
            at=photographed,
            day=SUNDAY,
            shows="photograph",
            file=f"{name}_board.jpg",
            note=f"{note} The card on a block as high as the face; both its bars read by calliper.",
            conditions={"of": "the board with the scale card"},
        ),
        Outlined(
            at=drawn,
            day=SUNDAY,
            shows=BOARD_DRAWING,
            file=f"{name}_board.geojson",
            note="Drawn on the enlarged picture: copper, the slots, what belongs to nothing.",
            conditions={"drawn from": "photograph"},
        ),
    )


SKERROW_INSIDE: tuple[Step, ...] = (
    *_drawn("16:08", "16:41", "skerrow", note="Board out of the box, solder flux brushed off."),
    _gap(
        "16:46",
        "mains L 2",
        "pilot CP 2",
        note="Straight over the slot.",
        over=OVER_SLOT,
    ),
    _gap(
        "16:49",
        "mains N 1",
        "low-voltage GND 1",
        note="Between the solder of the relay's pins, lens and calliper.",
        beside="relay",
    ),
    _gap(
        "16:52",
        "mains L 3",
        "low-voltage 12V 3",
        note="Between the feet of the optocoupler, over its slot; nothing under it by the gauge.",
        over=OVER_SLOT,
        beside="optocoupler",
    ),
    _gap(
        "16:55",
        "mains N 1",
        "mains L 2",
        note="Along the whole edge of both areas.",
    ),
    _gap(
        "16:57",
        "earth",
        "mains N 1",
        note="From the area under the screw.",
    ),
)
"""A slot milled between mains and pilot, another under the optocoupler."""

PELLWICK_INSIDE: tuple[Step, ...] = (
    *_drawn("12:20", "12:43", "pellwick", note="The small board from the connector."),
    _gap(
        "12:47",
        "mains L 2",
        "pilot CP 2",
        note="From L to the unused hole in the middle, and from there to the pilot.",
        beside="unused pin",
        **{"further gaps": "0.90 mm"},
    ),
    _gap(
        "12:50",
        "mains N 1",
        "low-voltage GND 1",
        note="Bare board between two areas.",
    ),
    _gap(
        "12:52",
        "mains N 1",
        "mains L 2",
        note="There is no fuse at all.",
    ),
    _gap(
        "12:54",
        "earth",
        "mains N 1",
        note="From the area under the screw.",
    ),
    Answered(
        at="12:56",
        day=SUNDAY,
        shows=UNUSED_PINS,
        note="One hole of the row of three is left in the middle, tinned, with nothing on it.",
        conditions={"of": "row of three holes, L to pilot"},
    ),
)
"""Of a board the size of a matchbox."""

DUNMARR_INSIDE: tuple[Step, ...] = (
    *_drawn("15:02", "15:36", "dunmarr", note="Control board from behind the contactor."),
    _gap(
        "15:41",
        "mains L 3",
        "pilot CP 3",
        note="A track of L ends two millimetres before that of the pilot; nothing milled between.",
    ),
    _gap(
        "15:44",
        "mains N 4",
        "pilot CP 4",
        note="The other place where both come near.",
    ),
    _gap(
        "15:47",
        "mains L 2",
        "low-voltage 12V 2",
        note="Between the feet of the optocoupler.",
        beside="optocoupler",
    ),
    _gap(
        "15:50",
        "mains N 1",
        "mains L 2",
        note="To see whether the drawing is right.",
    ),
)
"""A track too near."""
