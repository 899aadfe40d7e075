"""Words for the parts found inside a unit, by what they do, and for how it is put together."""

from __future__ import annotations

from coldpin.records.distance_words import MAINS_EARTH, MAINS_LOW_VOLTAGE, MAINS_PILOT, MAINS_SURFACE
from coldpin.records.plausible import CORD_MM
from coldpin.records.showing import Showing

PART = "part inside"
BUILT = "construction"
CORD = "cord displacement"

SUPPLY = "supply"
RELAY = "relay"
RESIDUAL_SENSOR = "residual current sensor"
FUSE = "fuse"
VARISTOR = "varistor"
Y1 = "Y1 capacitor"
Y2 = "Y2 capacitor"
EARTH_SENSING = "earth sensing"
TEMPERATURE_SENSOR = "temperature sensor in the plug"

ROLES = (
    SUPPLY,
    "regulator",
    "controller",
    "gate driver",
    RELAY,
    RESIDUAL_SENSOR,
    FUSE,
    VARISTOR,
    "arrester",
    "X capacitor",
    Y1,
    Y2,
    "filter choke",
    "transformer",
    "optocoupler",
    "isolator",
    "resistors",
    "wire or track",
    EARTH_SENSING,
    TEMPERATURE_SENSOR,
)

TOPOLOGIES = ("mains transformer", "switching with transformer", "switching without transformer", "dropper")

PILOT_CIRCUIT = "pilot circuit"
FEEDS = (PILOT_CIRCUIT, "other")

NOT_OVER = "nothing"
CROSSED = (MAINS_PILOT, MAINS_LOW_VOLTAGE, MAINS_EARTH, MAINS_SURFACE, NOT_OVER)
TO_TOUCH = (MAINS_PILOT, MAINS_LOW_VOLTAGE, MAINS_SURFACE)
"""Barriers behind which a hand may be: reinforced insulation is asked for."""

AS_ISOLATION = "yes"
JOINED = "no"
USED = (AS_ISOLATION, JOINED)

MARKED = ("yes", "no")

EVERY_PATH = "every path"
TRACED = (EVERY_PATH, "some")

ALL_POLES = "all poles"
SWITCHED = (ALL_POLES, "line", "neutral")

IN_SERIES = ("1", "2", "3")

ANCHORAGE = "cord anchorage"
CRIMPS = "crimps and terminals"
PLATING = "plating of the pins"
FORM = "form of the pins"
SEALS = "seals and lid"
OPENING = "opened only with a tool"
POTTING = "potting"
EARTH_LAST = "earth core the longest"
SLEEVES = "wires held apart"
PLACES = (ANCHORAGE, CRIMPS, PLATING, FORM, SEALS, OPENING, POTTING, EARTH_LAST, SLEEVES)

INSIDE = (
    Showing(
        word=PART,
        meaning=(
            "a part inside the opened unit by what it does: 'yes' where it is there, 'no' where it was looked for and "
            "is not; one entry for each, with a photograph where it can be"
        ),
        recorded_as="answer",
        conditions={
            "role": f"what it does: {', '.join(map(repr, ROLES))}",
            "topology": f"of the supply of the electronics: {', '.join(map(repr, TOPOLOGIES))}",
            "feeds": "what that supply feeds: the 'pilot circuit', or 'other'",
            "crosses": f"over which barrier it stands: {', '.join(map(repr, CROSSED))}",
            "used as isolation": "'yes', or 'no' where its two sides are joined beside it, as by a common ground",
            "marked": "'yes' where its mark or its papers show the insulation or class that its role names, or 'no'",
            "in series": "how many of them one after the other: '1', '2' or '3'",
            "switches": "of a relay: 'all poles', or the 'line' or the 'neutral' alone",
            "contact gap": "of a relay, by gauge with its contacts open, such as '1.80 mm ± 0.05 mm'",
            "traced": "how far the board was followed to say so: 'every path' on both faces, or 'some'",
            "marking": "what is printed on it",
        },
        allowed={
            "role": ROLES,
            "topology": TOPOLOGIES,
            "feeds": FEEDS,
            "crosses": CROSSED,
            "used as isolation": USED,
            "marked": MARKED,
            "in series": IN_SERIES,
            "switches": SWITCHED,
            "traced": TRACED,
        },
    ),
    Showing(
        word=BUILT,
        meaning=(
            "how the unit is put together, looked at part by part: 'yes' where it is as it should be, 'no' where it is "
            "not, with a photograph"
        ),
        recorded_as="answer",
        conditions={
            "of": f"what was looked at: {', '.join(map(repr, PLACES))}",
            "at": "plug, box, connector, or which terminal",
        },
        allowed={"of": PLACES},
    ),
    Showing(
        word=CORD,
        meaning=(
            "how far the cord came out of its anchorage after the pulls, from a mark on the sheath: at plug, box and "
            "connector, one entry for each"
        ),
        recorded_as="readings",
        unit="mm",
        measures="length",
        plausible=CORD_MM,
        conditions={
            "at": "plug, box or connector",
            "force": "of each pull, such as '60 N'",
            "pulls": "how many, of a second each, such as '25'",
        },
    ),
)
"""Everything about parts inside and construction."""
