"""Words for the conductors of a cable: resistance, drop, mass, wires, and what a magnet and a fresh cut say."""

from __future__ import annotations

from coldpin.records.plausible import ALONG, CONDUCTOR_OHMS, GRAMS, WIRE_MM, WIRES
from coldpin.records.showing import Showing

LINES = ("L", "L1", "L2", "L3")
CONDUCTORS = (*LINES, "N", "PE")
"""The conductors of a cable by their names: of a single-phase one L, of a three-phase one L1 to L3."""

TAPS = ("inside", "pins", "plug side", "connector side")
METHODS = ("four-wire", "two-wire", "continuity meter")
CORES = ("1", "2")
COATINGS = ("plain", "tinned")
LOOKS = (
    "red throughout",
    "red core with white skin",
    "white core with red skin",
    "white throughout",
    "cannot tell",
)
"""How a fresh cut of the wires looks under a lens."""

_CORE = {"conductor": f"which one: {', '.join(map(repr, CONDUCTORS))}"}
_TAPPED = {
    **_CORE,
    "taps": (
        "where the voltage was tapped: 'inside' (default), on the conductor itself at both ends; 'pins', on the pins "
        "of plug and connector; 'plug side' or 'connector side', on a pin and on the conductor behind it, over a joint"
    ),
    "length": "length of the cable between the taps, such as '5.00 m ± 5 mm'; not asked for over a joint",
    "temperature": "temperature of the metal before the current flowed, such as '22.5 °C ± 1 °C'",
    "test current": "the current through the conductor, such as '10.0 A ± 0.1 A'",
    "time since switch-on": "from switching the current on to reading, such as '5 s'",
    "cores in series": "'1' (default), or '2' where two were joined at the far end",
    "coating": "'plain' or 'tinned' wires, as seen on the bare end; empty where nobody looked",
}
_ALLOWED = {"conductor": CONDUCTORS, "taps": TAPS, "cores in series": CORES, "coating": COATINGS}

CONDUCTOR = (
    Showing(
        word="conductor resistance four-wire",
        meaning="resistance of one conductor of the cable, or of two in series, between two taps inside of those that "
        "bring the current",
        recorded_as="readings",
        unit="Ω",
        measures="resistance",
        plausible=CONDUCTOR_OHMS,
        conditions={
            **_TAPPED,
            "method": (
                "'four-wire' (default); a 'two-wire' reading or one by a 'continuity meter' is kept, and tells no size"
            ),
        },
        allowed={**_ALLOWED, "method": METHODS},
    ),
    Showing(
        word="voltage along the conductor",
        meaning="voltage between two taps along a conductor that carries a direct current; readings with the current "
        "reversed are written below zero",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=ALONG,
        conditions=_TAPPED,
        allowed=_ALLOWED,
    ),
    Showing(
        word="stripped core mass",
        meaning="mass of the bare wires of a piece of one core, all of them, weighed after stripping",
        recorded_as="readings",
        unit="g",
        measures="mass",
        plausible=GRAMS,
        conditions={
            **_CORE,
            "length": "length of the piece, such as '200 mm ± 0.5 mm'",
            "along": "what the length is of: 'core' (default), the piece laid straight, or 'cable'",
        },
        allowed={"conductor": CONDUCTORS, "along": ("core", "cable")},
    ),
    Showing(
        word="strand count",
        meaning="how many wires one core has",
        recorded_as="readings",
        unit="1",
        plausible=WIRES,
        conditions=_CORE,
        allowed={"conductor": CONDUCTORS},
    ),
    Showing(
        word="strand diameter",
        meaning="thickness of one bare wire of a core, several wires at several places",
        recorded_as="readings",
        unit="mm",
        measures="length",
        plausible=WIRE_MM,
        conditions=_CORE,
        allowed={"conductor": CONDUCTORS},
    ),
    Showing(
        word="magnet at the wires",
        meaning="whether a hand magnet sticks to the bare wires of a core",
        recorded_as="answer",
        conditions=_CORE,
        allowed={"conductor": CONDUCTORS},
    ),
    Showing(
        word="look of a cut",
        meaning="how a fresh cut of the wires looks under a lens, best filed with a photograph",
        recorded_as="note",
        conditions={**_CORE, "look": f"one of: {', '.join(map(repr, LOOKS))}"},
        allowed={"conductor": CONDUCTORS, "look": LOOKS},
    ),
)
"""Everything about the copper of a cable."""
