"""Words for what can be reached with a probe, for shutters and interlocks, and for water and dust."""

from __future__ import annotations

from coldpin.records.showing import Showing

ACCESS = "access by a probe"
SHUTTER = "shutter of the socket-outlet"
INTERLOCK = "interlock of plug and connector"
INGRESS = "ingress protection as looked at"
SEALING_TEST = "sealing of the housing as tested"

FINGER = "XXB finger"
WIRE = "XXD wire"
PROBES = (FINGER, WIRE)

CONNECTOR = "vehicle connector"
PARTLY_DRAWN = "plug partly drawn"
HOUSING = "housing"
TOP = "top of the housing"
SOCKET = "socket-outlet"
CABLE = "cable"
PLACES_REACHED = (CONNECTOR, PARTLY_DRAWN, HOUSING, TOP, SOCKET, CABLE)

ALWAYS = "always while plugged in"
WHILE_CHARGING = "only while charging"
NEVER = "never"
NOT_KNOWN = "not known"
LIVE = (ALWAYS, WHILE_CHARGING, NEVER, NOT_KNOWN)

BY_LABORATORY = "laboratory report"
SEALING_SHOWN_BY = (BY_LABORATORY, "declaration", "marking")

NOT_COMPARED = "not compared"
SEALED_UNITS = ("this specimen", "compared with it", NOT_COMPARED)

ACCESS_WORDS = (
    Showing(
        word=ACCESS,
        meaning=(
            "with everything dead: whether the probe, pushed with its force, touches a bare part that carries the "
            "mains in use, as a low-voltage lamp between probe and that part shows: 'yes' it is reached, 'no' it is not"
        ),
        recorded_as="answer",
        conditions={
            "probe": "'XXB finger' or 'XXD wire'",
            "at": f"where it was tried: {', '.join(map(repr, PLACES_REACHED))}",
            "live": f"when the part that was reached is live: {', '.join(map(repr, LIVE))}",
            "force": "with which it was pushed, such as '10 N'",
        },
        allowed={"probe": PROBES, "at": PLACES_REACHED, "live": LIVE},
    ),
    Showing(
        word=SHUTTER,
        meaning=(
            "with everything dead: whether the shutters of a socket-outlet stay shut to a single pin or wire, tried at "
            "each opening: 'yes' they stay shut, 'no' one opens"
        ),
        recorded_as="answer",
        conditions={"at": "which socket-outlet, of the unit or of an adaptor"},
    ),
    Showing(
        word=INTERLOCK,
        meaning=(
            "whether plug or connector is held while it is live, or is dead before its contacts part; seen with the "
            "vehicle simulator and without load: 'yes' or 'no'"
        ),
        recorded_as="answer",
        conditions={
            "at": "which coupler: 'plug', 'vehicle connector', 'socket-outlet'",
            "how": "what holds or opens it",
        },
    ),
    Showing(
        word=INGRESS,
        meaning=(
            "seals, glands, lids and openings of the dead specimen as looked at: 'yes' something speaks against what "
            "is claimed of water and dust, 'no' nothing was seen; no water is put on a specimen"
        ),
        recorded_as="answer",
        conditions={
            "claimed": "the degree of protection as claimed, such as 'IP66'; that of the claims where left out",
            "at": "which part: plug, box, connector",
            "opening": "the largest opening seen, by calliper, such as '1.2 mm ± 0.1 mm'",
        },
    ),
    Showing(
        word=SEALING_TEST,
        meaning=(
            "whether the housing kept water and dust out when a laboratory tested it: 'yes' nothing came in that its "
            "degree forbids, 'no' something did; with it the milder pollution degree alone is judged. A marking or a "
            "declaration may be written down and shows nothing, and no water is put on a specimen here"
        ),
        recorded_as="answer",
        conditions={
            "shown by": f"how it is known: {', '.join(map(repr, SEALING_SHOWN_BY))}",
            "laboratory": "who tested it, and the number of the report",
            "degree": "the degree of protection that was tested, such as 'IP65'; under IP54 it shows nothing",
            "of": (
                "which unit was tested: 'this specimen', one whose housing, seals and entries were 'compared with it', "
                "or 'not compared'"
            ),
        },
        allowed={"shown by": SEALING_SHOWN_BY, "of": SEALED_UNITS},
    ),
)
"""Everything about access to live parts and about claims of water and dust."""
