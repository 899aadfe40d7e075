"""Words for a charge on a car: its log, what was done meanwhile, how it was stopped, and what an idle unit draws."""

from __future__ import annotations

from coldpin.records.plausible import AMPERES, ANY_TIME, IDLE_WATTS
from coldpin.records.session import MarkKind
from coldpin.records.showing import Showing

EVENTS = tuple(kind.value for kind in MarkKind)
WAYS = ("car", "unit", "source")
"""By what a charge was stopped: the car's own button or app, that of the unit, or the switch of the supply."""

LOCKS = ("released", "kept", "none")

CAR = (
    "make and model of the car in the tester's own words: what is found of a charge is seen on this car, and says "
    "nothing of another"
)
WAY = "by what the charge was stopped: 'car', 'unit' or 'source'"

CHARGING = (
    Showing(
        word="charging log",
        meaning="what a power meter logged of a charge on a car, after it was done on a vehicle simulator",
        recorded_as="log",
        conditions={
            "car": CAR,
            "offer": "current offered at the beginning, such as '16 A ± 0.2 A'; the declared one where left out",
            "voltage": "supply voltage for a log that has none, such as '230 V ± 5 V'",
            "gap": "time without a row from which on it is a gap, such as '5 min'",
        },
    ),
    Showing(
        word="event mark",
        meaning=(
            "what was done or seen beside a charging log, at the time read: from the log's first row, or by another "
            "clock from any zero of its own; an unlock, a lowered offer or a stop is not visible in such a log"
        ),
        recorded_as="readings",
        unit="s",
        measures="time",
        plausible=ANY_TIME,
        conditions={
            "event": "which: " + ", ".join(f"'{event}'" for event in EVENTS),
            "clock": (
                "name of the clock; empty for that of the log. A clock is aligned by a breaker off or on that it "
                "marked and the log shows, or by its offset"
            ),
            "offset": "what is to be added to that clock's times, where it is known, such as '12 s ± 1 s'",
            "offer": "the new offer, where it was changed, such as '10 A ± 0.2 A'",
            "log": "id of the charging log's entry, or the name of its file; may be left out where there is one log",
        },
        allowed={"event": EVENTS},
    ),
    Showing(
        word="stop by user",
        meaning="whether an ordinary user could end the charge by the way named, and have the plug",
        recorded_as="answer",
        conditions={
            "way": WAY,
            "lock": "what the lock of plug or connector then did: 'released', 'kept', or 'none' where there is none",
            "car": CAR,
        },
        allowed={"way": WAYS, "lock": LOCKS},
    ),
    Showing(
        word="current at release",
        meaning=(
            "largest current in the line from the moment the lock or latch lets go; never by pulling a loaded coupler"
        ),
        recorded_as="readings",
        unit="A",
        measures="current",
        plausible=AMPERES,
        conditions={"way": WAY, "car": CAR},
        allowed={"way": WAYS},
    ),
    Showing(
        word="standby power",
        meaning="power of the idle unit, nothing plugged in; of a load that ticks, its mean over a long time",
        recorded_as="readings",
        unit="W",
        measures="power",
        plausible=IDLE_WATTS,
        conditions={
            "power factor": "of the idle unit, as the meter shows it; small for most",
            "accuracy from power": "power from which on the meter's accuracy is stated, such as '0.1 W'",
            "accuracy from power factor": "power factor from which on it is stated, such as '0.1'",
            "method": "how the mean was had: read off, energy counted over a time, a log",
            "price": "of energy, such as '0.35 EUR/kWh'",
        },
    ),
    Showing(
        word="vehicle recorded",
        meaning="which car was charged: make, model, year, its on-board charger, in the tester's own words",
        recorded_as="note",
        conditions={"car": CAR},
    ),
)
"""Everything about a charge and an idle unit."""
