"""The cautions that stand before every step, worded once."""

from __future__ import annotations

COMPETENT = (
    "Mains voltage kills. Only for persons trained in live work, never alone; a second person knows the switch-off. "
    "Local codes and licensed practice come first."
)
SUPPLY = (
    "Supply: own socket behind a residual-current device of 30 mA whose test button was pressed today, switch at hand."
)
EARTH_FIRST = "The earth path has been proved from end to end before the first power."
PROVE_DEAD = (
    "Unplug and keep the plug before you, no socket within reach; a fixed unit: isolate and lock off. Prove dead "
    "with a tester checked before and after on a known source."
)
SCOPE_EARTH = "The scope stays earthed. Its clip goes to the connector's earth pin only after the earth path is proved."
NO_CLIP = (
    "No clip or screen of the scope on the specimen, its connector or the simulator: an earthed scope closes the very "
    "earth that is to be open. See pilot and output through two rated differential probes or isolated sensors."
)
NO_CAR = "No car is connected: the car is the last instrument, never the first."
DRAWN_DEAD = (
    "A plug is put in or drawn by hand only while the output is dead: set the simulator to A or B, see the output dead "
    "at the tester or sensor, then draw it. Where the output stays live, switch off at the supply and prove dead first."
)
NO_BARE_PINS = "No bare pin or terminal of the vehicle simulator can be touched while the unit is powered."
NOT_ISOLATED = "Do not judge a protective function on a supply behind an isolating transformer: it cannot work there."
TESTER_VOLTAGE = (
    "The insulation tester puts some hundred volts on the pins: hands off, no vehicle and no simulator connected, "
    "discharge through the tester afterwards."
)
OPENED_BOARD = (
    "Capacitors keep their charge: wait, and measure every large one dead, before a finger or a steel calliper comes "
    "near the board. What was opened is never used as a charger again."
)

EARTH_OPENED = (
    "The earth is opened only inside an enclosed box made for it, never by lifting a wire: all metal of specimen, "
    "connector and simulator then counts as live. Nobody touches it, and the meter is set and read from outside."
)
STAYS_CHARGED = (
    "The pins of a drawn plug may be charged: no finger near them until they were discharged through a resistor made "
    "for it and seen dead."
)
HIGH_TEST = (
    "Some thousand volts: only with a tester that limits its current and is interlocked with a cover over the "
    "specimen, and only by persons trained for it. Without both this is not tested, and that is an answer."
)

LIVE_CAUTIONS = (COMPETENT, SUPPLY, EARTH_FIRST, NO_CAR, NO_BARE_PINS, NOT_ISOLATED)
DEAD_CAUTIONS = (PROVE_DEAD,)

GENERAL = (
    COMPETENT,
    "coldpin records and computes; it certifies nothing and cannot replace a laboratory or a licensed electrician.",
    (
        "A specimen that was opened, or tested with a higher voltage than an ordinary insulation test, is never used "
        "as a charger again."
    ),
)
