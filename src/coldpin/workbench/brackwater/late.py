"""The second evening at Brackwater Boatyard: what was still missing before anything could be said of the Skerrow 16."""

from __future__ import annotations

from coldpin.records.distance_words import UNUSED_PINS
from coldpin.workbench.brackwater.step import PIET, SUNDAY, Answered, Mapped, Step, Warmed

SKERROW_LATE: tuple[Step, ...] = (
    Answered(
        at="17:21",
        day=SUNDAY,
        shows=UNUSED_PINS,
        note="Under the lens along the whole barrier: no hole, no pin, no copper that belongs to nothing.",
        conditions={"of": "everything between the two sides of the board"},
    ),
    Mapped(
        at="17:34",
        day=SUNDAY,
        shows="wiring map",
        note="Nothing plugged in; the relay's coil on 12 V from the isolated bench supply. Buzzer, both polarities.",
        conditions={"joined below": "10 Ω", "contacts": "held closed"},
        instrument="multimeter",
        who=PIET,
    ),
    Warmed(
        at="18:52",
        day=SUNDAY,
        shows="heating log",
        file="skerrow_plug_heating.csv",
        of="plug",
        note="Plug in its socket, fed through the socket, L and N joined at the clamps in the box. One hour.",
        conditions={
            "current": "16.0 A ± 0.1 A",
            "air": "ambient",
            "arrangement": "plug in a wall socket, cable hanging",
            "lies": "free air",
            "supply": "extra-low voltage",
        },
        instrument="temperature logger",
    ),
)
"""On the opened Skerrow 16, all of it dead or on a few volts."""
