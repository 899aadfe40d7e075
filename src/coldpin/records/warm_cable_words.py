"""Words for what tells more of a warm cable: diameter, a known cable in its loop, resistance after switching off."""

from __future__ import annotations

from coldpin.records.plausible import CABLE_MM, CONDUCTOR_OHMS, WARM
from coldpin.records.showing import Showing

LIES = ("free air", "on a surface", "bundled", "coiled", "on a drum")
"""How a lead may lie, as the film of air around it asks."""

LIES_MEANING = (
    "how it lay, in one of the words that a film of air is known for: "
    + ", ".join(f"'{one}'" for one in LIES)
    + "; nothing is concluded from the sheath on the metal where left out"
)

BUILDS = ("pvc", "rubber", "charging")

_CURRENT = "current of the test, such as '16.0 A ± 0.1 A'"
_AIR = "temperature of the air around at that time, such as '21.4 °C ± 0.5 °C'; the entry's ambient where left out"
_HOTTEST = "hottest air it is to be used in, such as '40 °C'; that of the table where left out"

WARM_CABLE = (
    Showing(
        word="cable diameter",
        meaning="outer diameter of the cable of the lead, by calliper, at several places and turned between readings",
        recorded_as="readings",
        unit="mm",
        measures="length",
        plausible=CABLE_MM,
        conditions={},
    ),
    Showing(
        word="known cable in the same loop",
        meaning=(
            "temperature of the sheath, in the end, of a cable of known resistance and like diameter that carries the "
            "same current beside the lead; lay both alike, a hand's breadth apart"
        ),
        recorded_as="readings",
        unit="°C",
        measures="temperature",
        plausible=WARM,
        conditions={
            "resistance": "of one of its cores at 20 °C, such as '7.86 Ω/km ± 0.02 Ω/km'",
            "size": "of one of its cores, such as '2.5 mm2'",
            "diameter": "over its sheath, such as '11.2 mm ± 0.1 mm'",
            "loaded cores": "how many of its cores carry the current: '2' (default) or '3'",
            "cores": "how many equal cores it has; one more than carry the current where left out",
            "build": "'pvc' (default), 'rubber' or 'charging'",
            "current": _CURRENT,
            "air": _AIR,
            "lies": LIES_MEANING,
        },
        allowed={"loaded cores": ("2", "3"), "build": BUILDS, "lies": LIES},
    ),
    Showing(
        word="conductor resistance after switch-off",
        meaning=(
            "resistance of a conductor between two taps with a small direct current, several times while it cools "
            "after the heating; one reading for each time"
        ),
        recorded_as="readings",
        unit="Ω",
        measures="resistance",
        plausible=CONDUCTOR_OHMS,
        conditions={
            "times": "of the readings since switching off, in their order, such as '10 s, 20 s, 30 s, 60 s'",
            "cold resistance": "between the same taps before the current, such as '40.2 mΩ ± 0.1 mΩ'",
            "cold temperature": "of the conductor then, such as '21.0 °C ± 0.5 °C'",
            "current": _CURRENT,
            "air": _AIR,
            "change": "by how much the sheath still changed before, such as '0.6 K/h'; the end only up to 1 K/h",
            "hottest air": _HOTTEST,
            "arrangement": "how the cable lay, such as 'straight, on wood', 'coiled, three turns'",
        },
    ),
)
"""Everything that a warm cable tells beside its temperatures."""
