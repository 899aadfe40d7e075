"""How distances inside are found at the bench, worded once for the checks that judge them."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS, OPENED_BOARD
from coldpin.checks.check import Level, Need, Procedure
from coldpin.records.board_words import BOARD_DRAWING, CALLIPER_GAP

INSIDE = (Need(shows=CALLIPER_GAP), Need(shows=BOARD_DRAWING))
"""What shows distances: gaps by calliper, and drawings of boards. Either serves."""

LIMITS = (
    "rated-impulse",
    "clearance-impulse",
    "creepage",
    "creepage-floor",
    "impulse-series",
    "groove-width",
    "insulation-kind",
    "charging.category",
    "charging.pollution",
)
"""What a distance is judged by, and what that follows from."""

OPENED = Procedure(
    level=Level.DESTRUCTIVE,
    instrument="calliper or gauges with stated accuracy, a lens; a photograph with the scale card for a drawing",
    minutes=30,
    cautions=(*DEAD_CAUTIONS, OPENED_BOARD),
    steps=(
        "Everything that is done on the closed unit is done before: this one opens it. Photograph each step.",
        "Take out the boards; look at both faces, and through the board against a lamp for copper inside.",
        (
            "Follow each conductor of the two sides to where it comes nearest to the other: pins, pads, solder "
            "fillets, tracks, wires, heatsinks. Solder mask and lacquer do not count."
        ),
        "Press parts and wires towards each other with some 10 N where they can move, and measure as they lie then.",
        (
            "Measure the straight gap (kind 'clearance') and, round slots and over ribs, the way along the surface "
            "(kind 'creepage'); over flat board (over 'flat board') one reading is both. Name both ends."
        ),
        (
            "Where something that belongs to no circuit lies between, an unused pad or pin, a heatsink, the core of "
            "a relay, write the first gap as the reading and the others as further gaps."
        ),
        (
            "Measure the narrowest place three times. A drawing of the board looks at all places; from a photograph it "
            "decides only beside three gaps by calliper on the same board."
        ),
    ),
    repeats=3,
    transfers="Copper and parts as designed hold for any unit built like it; solder, wires and bent pins for this one.",
)
"""The opened unit; a check puts its own first step and hold point beside it."""

HOLD = "Below basic insulation: no power on this unit and none like it, and no car, until the layout is explained."


def opened(*steps: str, hold: bool = False) -> Procedure:
    """Return the procedure with what a check does beside the others.

    Parameters
    ----------
    *steps : str
        Its own steps, told after the common ones.
    hold : bool
        Whether falling below basic insulation is a hold point.

    Returns
    -------
    Procedure
        The procedure.

    Examples
    --------
    >>> opened("Look under the transformer.").steps[-1]
    'Look under the transformer.'
    """
    return replace(OPENED, steps=(*OPENED.steps, *steps), hold_points=(HOLD,) if hold else ())
