"""How residual currents are put on at the bench: arrangement, cautions, hold points, and what the box must bear."""

from __future__ import annotations

from coldpin.checks.cautions import LIVE_CAUTIONS
from coldpin.checks.check import Level, Procedure
from coldpin.protection.residual_load import residual_load
from coldpin.protection.trip_test import FEWEST_OPERATIONS
from coldpin.records.trip_test import ResidualKind
from coldpin.standards.book import load_book
from coldpin.standards.residual_current import find_residual_device, trip_rows
from coldpin.standards.voltage_drop import supply_voltage

NOTHING_ELSE = (
    "Nothing of class I is coupled and no car: the current is driven on purpose, and an earth that is broken somewhere "
    "would put it on metal that a hand meets."
)
BOX = (
    "The resistors stand rated and behind a fuse of high breaking capacity in a closed box, all insulating, with a "
    "switch that opens by itself when it is let go: no bare wire, no loose resistor. It gets hot; nobody touches it."
)
AHEAD = (
    "The box leads from the specimen's output line to the neutral of the supply ahead of the specimen, wired with the "
    "supply off: so the specimen sees the imbalance and the device before it does not. It never leads to earth."
)
ISOLATED = (
    "Smooth direct current comes from an isolated source of a few volts that limits its own current to what is asked, "
    "and goes through the sensor only: over the closed contact of the neutral, from the output's neutral to the "
    "supply's neutral ahead of the specimen. Never over the line: when the contacts open, the source would keep the "
    "output live. Its clips go on and come off with the supply off and proved dead; all of it counts as live meanwhile."
)
ONE_SECOND = (
    "Each current is on for no longer than the test needs; where the output stays live, let go and switch off at the "
    "supply."
)

HOLD_POINTS = (
    "Wiring map, earth resistance and insulation are recorded and nothing in them forbids power.",
    "Nothing is live with nothing connected, and the output goes dead when the vehicle simulator stops asking.",
    "The device before the bench was tested by its button today, and did not act at the first current of the box.",
)
STOP = (
    "The device before the bench acts: the box leads to earth or the wrong way round. Switch off and find out.",
    "Heat, smell, or an output that stays live after the box was let go: switch off at the supply.",
)
SEEN = (
    "See the output through an isolated sensor or a rated differential probe; begin the time at the box's current, by "
    "a clamp or a shunt inside the box."
)
FILE = (
    "File the capture (current first, output second, with the condition 'sensor'), or write down one time for each "
    "operation with the current that flowed and its limits; '> 2 s' where it did not act."
)


def _boxes() -> str:
    """Reckon the box for each current of the usual device at the nominal voltage."""
    book = load_book()
    volts = supply_voltage(book)
    told = []
    for row in trip_rows(book, find_residual_device(), ResidualKind.ALTERNATING):
        if row.role == "rise":
            continue
        load = residual_load(book, current_ma=row.current_ma, voltage=volts, hold=row.role == "hold")
        told.append(
            f"{row.current_ma:g} mA: {load.least_ohm:.0f} Ω to {load.most_ohm:.0f} Ω, rated for {load.rated_w:.0f} W"
        )
    return f"The box at {volts:g} V, for a device of 30 mA: {'; '.join(told)}."


def _procedure(instrument: str, *, minutes: int, cautions: tuple[str, ...], steps: tuple[str, ...]) -> Procedure:
    return Procedure(
        level=Level.LIVE,
        instrument=instrument,
        minutes=minutes,
        cautions=(*LIVE_CAUTIONS, NOTHING_ELSE, *cautions, ONE_SECOND),
        steps=steps,
        hold_points=HOLD_POINTS,
        stop_values=STOP,
        repeats=FEWEST_OPERATIONS,
        transfers="Holds for the closed unit on its mains: sensor, electronics and contacts act together.",
    )


_READY = (
    "Vehicle simulator on C, its earth and pilot only, no load; the output live. Let the unit close again after each "
    "trip, as its papers say."
)
_REPEAT = f"Each current {FEWEST_OPERATIONS} times or more, both ways among them: the worst counts."

ALTERNATING_BENCH = _procedure(
    "resistor box, fused and rated, and its meter; scope with isolated sensors of stated delay; or a tester of "
    "residual-current devices with a stated accuracy, connected as the box is",
    minutes=30,
    cautions=(BOX, AHEAD),
    steps=(
        "Measure each resistance of the box dead, and the voltage of the supply: they tell the current.",
        _boxes(),
        _READY,
        "Half the rated current first, left on for two seconds: it must not act.",
        (
            "Then once, twice and five times the rated current, begun at the rise of the line's voltage (0°) and at "
            "its fall (180°); a box without a phase switch is thrown until both were met, as the capture shows."
        ),
        "Where it is late at five times, repeat at 250 mA: a device of 30 mA may keep that in its place.",
        "A slow rise from half the rated current on tells where it acts; write its rate down.",
        _REPEAT,
        SEEN,
        FILE,
    ),
)
PULSATING_BENCH = _procedure(
    "the same box with a diode of 1000 V in series, turned round for the other polarity; or a tester that gives half "
    "waves",
    minutes=30,
    cautions=(BOX, AHEAD),
    steps=(
        (
            "A diode in series halves the waves: for the same r.m.s. value the box has 0.71 times the resistance. Read "
            "the current true r.m.s., its direct part included."
        ),
        _READY,
        "1.4, 2.8 and 7 times the rated current, in both polarities.",
        (
            "A slow rise in both polarities, from a tenth of the rated current on, tells where it acts; with half "
            "waves cut at 90° and 135° too, where the tester gives them."
        ),
        _REPEAT,
        SEEN,
        FILE,
    ),
)
SMOOTH_BENCH = _procedure(
    "isolated direct-current source that limits its current, with meter; scope with isolated sensors; clock for the "
    "seconds",
    minutes=40,
    cautions=(ISOLATED,),
    steps=(
        (
            "With the supply off put the source's clips on the neutral, one ahead of the specimen and one behind it. "
            "Its limit stands at the current asked; open it shows a few volts at most."
        ),
        _READY,
        "3 mA for ten seconds in both polarities: it must not act.",
        "6 mA, and wait ten seconds before it is said that it does not act; then 60 mA and 200 mA.",
        (
            "A rise of 0.1 mA/s or slower from 2 mA on, in each polarity; write down the rate, and the dwell where it "
            "rises in steps. A faster rise reads too high, for ten seconds are allowed at 6 mA."
        ),
        _REPEAT,
        SEEN,
        FILE,
    ),
)
"""Smooth current needs no mains voltage of its own: a few volts drive it over a closed contact."""
