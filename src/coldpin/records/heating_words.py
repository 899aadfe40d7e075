"""Words for heating tests: a log of temperatures, readings in the end, a conductor's resistance hot and cold."""

from __future__ import annotations

from coldpin.records.heating import HeatedPart
from coldpin.records.plausible import CONDUCTOR_OHMS, WARM
from coldpin.records.showing import Showing
from coldpin.records.warm_cable_words import LIES, LIES_MEANING

PARTS = tuple(part.value for part in HeatedPart if part is not HeatedPart.CONDUCTOR)
HEATED_BY = ("extra-low voltage", "mains")

SUPPLY = "what drove the current: 'extra-low voltage' (recommended, isolated from the mains) or 'mains' with a load"
CURRENT = "current of the test, such as '16.0 A ± 0.1 A'"
ARRANGEMENT = "how the cable lay, such as 'straight, on wood', 'coiled, three turns'"
AIR = "temperature of the air around at that time, such as '21.4 °C ± 0.5 °C'; the entry's ambient where left out"
COLD_RESISTANCE = "of a conductor between the same taps before the current, such as '40.2 mΩ ± 0.1 mΩ'"
COLD_TEMPERATURE = "of the conductor then, such as '21.0 °C ± 0.5 °C'"
HOTTEST = "hottest air it is to be used in, such as '50 °C', where that is above what papers claim and the table has"
CHANGE = "by how much its temperature still changed, such as '0.6 K/h'; it counts as the end up to 1 K/h only"

HEATING = (
    Showing(
        word="heating log",
        meaning=(
            "temperatures logged while a known current heats the lead: of the sheath in mid-cable, plug, connector, "
            "pin, and of the air; columns named after their part are found by their names; a conductor's resistance too"
        ),
        recorded_as="log",
        unit="°C",
        measures="temperature",
        conditions={
            **{part: f"name of the column with the temperature of the {part}" for part in PARTS},
            "conductor": "name of the column with the resistance of a conductor, where there are several",
            "cold resistance": f"{COLD_RESISTANCE}; with it the resistance logged tells the conductor's temperature",
            "cold temperature": COLD_TEMPERATURE,
            "resistance meter": "the instrument of the shelf whose resistance was logged, where it is another",
            "air": "name of the column with the temperature of the air, or that temperature, such as '21 °C ± 0.5 °C'",
            "current": f"{CURRENT}; the log's own column where left out",
            "start": "when the current came, from the first row, such as '60 s', where no current was logged",
            "arrangement": ARRANGEMENT,
            "lies": LIES_MEANING,
            "hottest air": HOTTEST,
            "supply": SUPPLY,
        },
        allowed={"supply": HEATED_BY, "lies": LIES},
    ),
    Showing(
        word="end temperature",
        meaning="temperature of a part of the lead under a known current, when it rises by less than 1 K in an hour",
        recorded_as="readings",
        unit="°C",
        measures="temperature",
        plausible=WARM,
        conditions={
            "part": "which: " + ", ".join(f"'{part}'" for part in PARTS),
            "current": CURRENT,
            "air": AIR,
            "change": CHANGE,
            "arrangement": ARRANGEMENT,
            "lies": LIES_MEANING,
            "hottest air": HOTTEST,
            "supply": SUPPLY,
        },
        allowed={"part": PARTS, "supply": HEATED_BY, "lies": LIES},
    ),
    Showing(
        word="hot conductor resistance",
        meaning="resistance of a conductor between two taps at the end of the heating, voltage over current",
        recorded_as="readings",
        unit="Ω",
        measures="resistance",
        plausible=CONDUCTOR_OHMS,
        conditions={
            "cold resistance": COLD_RESISTANCE,
            "cold temperature": COLD_TEMPERATURE,
            "current": CURRENT,
            "air": AIR,
            "change": CHANGE,
            "hottest air": HOTTEST,
            "arrangement": ARRANGEMENT,
        },
    ),
)
"""Everything about how warm the lead becomes."""
