"""Words for what the output does: voltages in a situation, times of closing and opening, resistances, refusals."""

from __future__ import annotations

from coldpin.records.plausible import OUTPUT_VOLTS, SWITCHED_AT, SWITCHING_TIME
from coldpin.records.showing import (
    BOUNDARIES,
    BOUNDARY,
    INPUT,
    INPUTS,
    OSCILLATOR,
    OSCILLATORS,
    SEEN,
    SEEN_AT,
    SUPPLIES,
    SUPPLY,
    Showing,
)

LOAD_CURRENT = "current through the contacts when they opened; empty for none"


def _voltage(word: str, meaning: str) -> Showing:
    return Showing(
        word=word,
        meaning=meaning,
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=OUTPUT_VOLTS,
        conditions={"supply": SUPPLY, "input": INPUT},
        allowed={"supply": SUPPLIES, "input": INPUTS},
    )


def _time(word: str, meaning: str) -> Showing:
    return Showing(
        word=word,
        meaning=f"{meaning}; one reading for each operation, '> 10 s' where it did not follow",
        recorded_as="readings",
        unit="s",
        measures="time",
        plausible=SWITCHING_TIME,
        conditions={"supply": SUPPLY, "seen at": SEEN, "load current": LOAD_CURRENT},
        allowed={"supply": SUPPLIES, "seen at": SEEN_AT},
    )


def _resistance(word: str, meaning: str) -> Showing:
    return Showing(
        word=word,
        meaning=meaning,
        recorded_as="readings",
        unit="Ω",
        measures="resistance",
        plausible=SWITCHED_AT,
        conditions={"supply": SUPPLY},
        allowed={"supply": SUPPLIES},
    )


def _answer(word: str, meaning: str) -> Showing:
    return Showing(
        word=word,
        meaning=meaning,
        recorded_as="answer",
        conditions={"supply": SUPPLY},
        allowed={"supply": SUPPLIES},
    )


SWITCHING = (
    _voltage(
        "output in state D", "voltage at the connector's power pins while the vehicle simulator asks for ventilation"
    ),
    _voltage(
        "output with the pilot shorted",
        "voltage at the connector's power pins ten seconds after the pilot was shorted to earth by the test resistor",
    ),
    _voltage(
        "output when plugged in asking",
        "voltage at the power pins after the connector went into a vehicle simulator that stood in C already",
    ),
    _voltage(
        "output when the supply returns",
        "largest voltage at the power pins, nothing connected, from the moment an interrupted supply returns",
    ),
    _voltage(
        "output in state C after the supply returned",
        "voltage at the connector's power pins after the supply was interrupted and came back while the vehicle "
        "simulator asked for power",
    ),
    Showing(
        word="output at a boundary resistance",
        meaning="voltage at the connector's power pins with the vehicle simulator at an edge of its tolerance",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=OUTPUT_VOLTS,
        conditions={"boundary": BOUNDARY, "oscillator": OSCILLATOR, "supply": SUPPLY, "input": INPUT},
        allowed={"boundary": BOUNDARIES, "oscillator": OSCILLATORS, "supply": SUPPLIES, "input": INPUTS},
    ),
    _time("closing time after B to C", "from the vehicle simulator's switch to voltage at the power pins"),
    _time("opening time after C to B", "from the vehicle simulator's switch to no voltage at the power pins"),
    _time("opening time after unplugging", "from the loss of the pilot's load to no voltage at the power pins"),
    _time(
        "opening time after pilot short",
        "from the short of pilot to earth, by the test resistor after five seconds or more in C, to no voltage at the "
        "power pins",
    ),
    _time(
        "opening time after loss of earth",
        "from the opening of the earth between unit and vehicle simulator to no voltage at the power pins",
    ),
    _time(
        "opening time after loss of the diode",
        "from the shorting of the vehicle simulator's diode in C to no voltage at the power pins",
    ),
    _time("opening time after C to D", "from the request of ventilation to no voltage at the power pins"),
    _time(
        "opening time after withdrawal of the offer",
        "from the stop of the oscillator to no voltage at the power pins, the vehicle simulator staying in C",
    ),
    Showing(
        word="interval between changes of the offer",
        meaning="from one change of the duty cycle to the next, asked for as fast as the unit lets one",
        recorded_as="readings",
        unit="s",
        measures="time",
        plausible=SWITCHING_TIME,
        conditions={"supply": SUPPLY},
        allowed={"supply": SUPPLIES},
    ),
    _time("socket release time", "from the vehicle's leaving to the release of the plug in the unit's socket-outlet"),
    _resistance(
        "resistance at which it closes",
        "total resistance behind the diode, turned down slowly from that of state B, at which the unit closes",
    ),
    _resistance(
        "resistance at which it opens",
        "total resistance behind the diode, turned up slowly from that of state C, at which the unit opens",
    ),
    _answer(
        "refusal with a contact held closed",
        "whether the unit, opened and with one pole of its contacts bridged, refuses to go on and says so",
    ),
    _answer(
        "refusal with no earth in the supply",
        "whether the unit stays off, or switches off, where its supply has no earth",
    ),
)
"""Everything about the switching of the output."""
