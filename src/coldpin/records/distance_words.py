"""Words for distances inside, read by calliper or gauge on the opened unit, and for pins that nothing uses."""

from __future__ import annotations

from coldpin.records.showing import Showing

GAP = "gap by calliper"
UNUSED_PINS = "unused pins at the barrier"

MAINS_PILOT = "mains to pilot"
MAINS_LOW_VOLTAGE = "mains to low voltage"
BEFORE_FUSE = "line to neutral before the fuse"
BEHIND_FUSE = "line to neutral behind the fuse"
MAINS_EARTH = "mains to earth"
MAINS_SURFACE = "mains to touchable surface"
FOR_DRAWING = "for the drawing"
ACROSS = (MAINS_PILOT, MAINS_LOW_VOLTAGE, BEFORE_FUSE, BEHIND_FUSE, MAINS_EARTH, MAINS_SURFACE, FOR_DRAWING)
"""Between what a gap lies; the last is any gap that shows whether a drawing of the board is right."""

AIR = "air"
SURFACE = "surface"
BOTH = "both"
WAYS = (AIR, SURFACE, BOTH)

PARTS = ("transformer", "optocoupler", "relay", "capacitor", "floating part", "unused pin", "heatsink")
FLOATING_PARTS = ("floating part", "unused pin", "heatsink")
BRIDGES = ("transformer", "optocoupler", "relay", "capacitor")

ONE_FACE = "one face"
BOTH_FACES = "both faces"
UNDER_PARTS = "under the parts"
SEARCHED = (ONE_FACE, BOTH_FACES, UNDER_PARTS)

LAYOUT = "layout"
ASSEMBLY = "assembly"
MADE_BY = (LAYOUT, ASSEMBLY)

GROUPS = ("I", "II", "IIIa", "IIIb")

DISTANCE = (
    Showing(
        word=GAP,
        meaning="on the opened unit, with everything dead: the shortest gap found between two conductors, or from one "
        "to a surface that can be touched; measured to bare copper, solder fillets and pins, for solder mask does not "
        "count",
        recorded_as="readings",
        unit="mm",
        measures="length",
        conditions={
            "across": f"between what: {', '.join(map(repr, ACROSS))}, the last for one held against a drawing",
            "way": (
                "'air', straight through air; 'surface', walked along the surface, round slots and over ribs; 'both', "
                "straight over a flat surface"
            ),
            "between": "the two ends, as 'relay pin 3 | resistor R5'; of a drawing, the names of its shapes",
            "board": "of a drawing: the id of its entry, or the name of its file",
            "further gaps": (
                "the next gaps of the same way, each behind a part that conducts and belongs to no circuit, by the "
                "same instrument: '3.00 mm, 1.20 mm'"
            ),
            "part": f"what bridges the two sides or lies between them: {', '.join(map(repr, PARTS))}",
            "searched": (
                "where the shortest gap was looked for: 'one face', 'both faces', or 'under the parts' as well, lifted "
                "or by a gauge"
            ),
            "made by": (
                "what brings the two so near: 'layout', the copper and the parts as they were designed, or 'assembly', "
                "such as solder, a bent pin, a loose wire"
            ),
            "force": "with which the housing was pressed where it is nearest, such as '30 N'",
            "material group": "of the surface: 'I', 'II', 'IIIa', 'IIIb'; left out where it is not known",
            "working voltage": "r.m.s. across the gap, where it was found out: '230 V'",
        },
        allowed={
            "across": ACROSS,
            "way": WAYS,
            "part": PARTS,
            "searched": SEARCHED,
            "made by": MADE_BY,
            "material group": GROUPS,
        },
    ),
    Showing(
        word=UNUSED_PINS,
        meaning="whether a connector that carries mains beside pilot or low voltage has pins left in that nothing "
        "uses, or unused pads: they conduct, and leave less of the gap",
        recorded_as="answer",
        conditions={"of": "which connector, and which pins"},
    ),
)
"""Everything about distances inside that no drawing tells."""
