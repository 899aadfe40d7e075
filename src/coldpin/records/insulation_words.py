"""Words for electrical insulation: resistance, touch current, charge left on a plug, electric strength."""

from __future__ import annotations

from coldpin.records.plausible import FARADS, INSULATION, PARTS_OHMS, PLUG_VOLTS, TOUCH
from coldpin.records.showing import Showing

PILOT_INSULATION = "mains to pilot insulation"
SURFACE_INSULATION = "mains to housing insulation"
CONTACT_INSULATION = "insulation across open contacts"
TOUCH_CURRENT = "touch current"
TO_EARTH = "capacitor to earth"
CHAIN = "resistors from mains to touch"
LEFT_ON_PLUG = "voltage on the plug after withdrawal"
PIN_RESISTANCE = "resistance between the plug's pins"
PIN_CAPACITANCE = "capacitance between the plug's pins"
STRENGTH = "electric strength"

NOTHING = "nothing"
VARISTOR = "varistor"
ARRESTER = "arrester"
Y_CAPACITOR = "Y capacitor"
RESISTORS = "resistors"
IN_PATH = (NOTHING, VARISTOR, ARRESTER, Y_CAPACITOR, RESISTORS)
CONDUCTS = (VARISTOR, ARRESTER, RESISTORS)
"""Parts that pass a direct current by design: with one of them in its path a low reading is no fault yet."""

OPEN = "open"
CONNECTED = "connected"
EARTHS = (OPEN, CONNECTED)

EARTH_PIN = "earth pin"
HOUSING = "housing"
TOUCHED = (EARTH_PIN, HOUSING)

BOTH_WAYS = "both ways"
POLARITIES = ("as marked", "turned", BOTH_WAYS)

NETWORK = "network for a person"
PLAIN_RESISTOR = "2 kΩ"
NETWORKS = (NETWORK, PLAIN_RESISTOR)

POLES = ("L", "N", "L1", "L2", "L3")

STRENGTH_PILOT = "mains to pilot"
STRENGTH_SURFACE = "mains to touchable surface"
STRENGTH_EARTH = "mains to earth"
STRESSED = (STRENGTH_PILOT, STRENGTH_SURFACE, STRENGTH_EARTH)

ALTERNATING = "alternating"
DIRECT = "direct"
LIMITED = "current-limited and interlocked"
TESTERS = (LIMITED, "other")

YES_NO = ("yes", "no")

_PATH = (
    f"what lies between the two and passes current by design: {', '.join(map(repr, IN_PATH))}; look before "
    "testing, for it can make a low reading"
)
_VOLTAGE = "d.c. test voltage, such as '500 V'"

PATH_MEANING = _PATH

ELECTRICAL = (
    Showing(
        word=SURFACE_INSULATION,
        meaning=(
            "insulation resistance of the closed unit, all power pins of plug and connector joined, to metal foil "
            "pressed over everything of its housing that a hand meets"
        ),
        recorded_as="readings",
        unit="Ω",
        measures="insulation",
        plausible=INSULATION,
        conditions={"test voltage": _VOLTAGE, "in the path": _PATH},
        allowed={"in the path": IN_PATH},
    ),
    Showing(
        word=CONTACT_INSULATION,
        meaning=(
            "insulation resistance across the unit's open contacts: one pole of the plug to the same pole of the "
            "connector; one reading for each pole"
        ),
        recorded_as="readings",
        unit="Ω",
        measures="insulation",
        plausible=INSULATION,
        conditions={"test voltage": _VOLTAGE, "in the path": _PATH},
        allowed={"in the path": IN_PATH},
    ),
    Showing(
        word=TOUCH_CURRENT,
        meaning=(
            "current from what a hand reaches to earth, r.m.s., through a network that stands for a person, in the "
            "state that drives most"
        ),
        recorded_as="readings",
        unit="A",
        measures="current",
        plausible=TOUCH,
        conditions={
            "at": "'earth pin' of the connector, to which the body of the vehicle is joined, or foil on the 'housing'",
            "earth": "'open', by a box made for it, or 'connected'",
            "polarity": "of the plug: 'as marked', 'turned', or 'both ways' where the larger of both is written",
            "network": "'network for a person', as IEC 60990 draws it, or '2 kΩ'",
            "voltage": "of the supply meanwhile, such as '231.0 V ± 0.5 V'",
        },
        allowed={"at": TOUCHED, "earth": EARTHS, "polarity": POLARITIES, "network": NETWORKS},
    ),
    Showing(
        word=TO_EARTH,
        meaning=(
            "capacitance of a capacitor found inside between a pole of the mains and earth, pilot or low voltage; as "
            "read with one end free, or as marked"
        ),
        recorded_as="readings",
        unit="F",
        measures="capacitance",
        plausible=FARADS,
        conditions={
            "pole": "'L', 'N', 'L1', 'L2' or 'L3'",
            "all found": "'yes' where every path was followed and no other leads from the mains to earth, else 'no'",
        },
        allowed={"pole": POLES, "all found": YES_NO},
    ),
    Showing(
        word=CHAIN,
        meaning=(
            "resistors found inside in series from the mains to something that can be touched, earth or pilot, as "
            "those that look for the earth of the supply; one reading for each part"
        ),
        recorded_as="readings",
        unit="Ω",
        measures="resistance",
        plausible=PARTS_OHMS,
        conditions={"to": "where it leads, such as 'pilot', 'earth', 'touch button'"},
    ),
    Showing(
        word=LEFT_ON_PLUG,
        meaning=(
            "voltage between the pins of the plug a stated time after it was drawn from the live socket; one reading "
            "for each withdrawal, ten are better than one, for each meets another moment of the mains"
        ),
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=PLUG_VOLTS,
        conditions={
            "after": "time from drawing the plug to the reading, such as '1.00 s ± 0.02 s'",
            "probe": "input resistance of what it was read with, such as '100 MΩ'",
            "capacitance": "between the pins, such as '470 nF ± 20 %'; with it the probe's share is taken out",
            "voltage": "of the supply meanwhile, such as '231.0 V ± 0.5 V'",
        },
    ),
    Showing(
        word=PIN_RESISTANCE,
        meaning="resistance between line and neutral pin of the plug, with everything dead and the contacts open",
        recorded_as="readings",
        unit="Ω",
        measures="resistance",
        plausible=PARTS_OHMS,
        conditions={},
    ),
    Showing(
        word=PIN_CAPACITANCE,
        meaning="capacitance between line and neutral pin of the plug, with everything dead and the contacts open",
        recorded_as="readings",
        unit="F",
        measures="capacitance",
        plausible=FARADS,
        conditions={},
    ),
    Showing(
        word=STRENGTH,
        meaning=(
            "whether the insulation held the test voltage: 'yes', or 'no' for a flash-over or a breakdown; only with a "
            "current-limited, interlocked tester and by persons trained for it"
        ),
        recorded_as="answer",
        conditions={
            "between": f"between what: {', '.join(map(repr, STRESSED))}",
            "test voltage": "held, or at which it gave way: r.m.s. of an alternating one, or direct: '2860 V'",
            "kind": "'alternating' or 'direct'",
            "duration": "at the full voltage, such as '60 s'",
            "tester": "'current-limited and interlocked', or 'other', which is not accepted",
            "in the path": _PATH,
        },
        allowed={"between": STRESSED, "kind": (ALTERNATING, DIRECT), "tester": TESTERS, "in the path": IN_PATH},
    ),
)
"""Everything about electrical insulation but the reading from mains to pilot, which stands beside the wiring map."""
