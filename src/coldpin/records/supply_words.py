"""Words for what a lead is plugged into, and what it takes: loop, device, voltage with and without load, lengths."""

from __future__ import annotations

from coldpin.records.plausible import DROP, FAULT_AMPERES, LEAD_METRES, LOOP, RATED_AMPERES, SOCKET_VOLTS
from coldpin.records.showing import Showing

BETWEEN = ("line and earth", "line and neutral")
DEVICE_KINDS = ("B", "C", "D", "gG", "BS 1362")
EARTHINGS = ("TN", "TT")
ENERGY_CLASSES = ("2", "3")

_WHERE = "which socket, and behind which wiring, where the bench has several"
_BETWEEN = "'line and earth' (default) or 'line and neutral'"

SUPPLY_WORDS = (
    Showing(
        word="loop impedance of the supply",
        meaning="impedance of the loop at the socket, nothing plugged in, as a tester made for it shows it",
        recorded_as="readings",
        unit="Ω",
        measures="loop impedance",
        plausible=LOOP,
        conditions={"between": _BETWEEN, "where": _WHERE},
        allowed={"between": BETWEEN},
    ),
    Showing(
        word="prospective fault current of the supply",
        meaning="current that a fault at the socket would draw, as a tester made for it shows it",
        recorded_as="readings",
        unit="A",
        measures="fault current",
        plausible=FAULT_AMPERES,
        conditions={"between": _BETWEEN, "where": _WHERE},
        allowed={"between": BETWEEN},
    ),
    Showing(
        word="voltage at the socket without load",
        meaning="voltage between line and neutral at the socket just before a load is switched on; read in turn with "
        "the one with load",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=SOCKET_VOLTS,
        conditions={"where": _WHERE},
    ),
    Showing(
        word="voltage at the socket with load",
        meaning="voltage between line and neutral at the socket with a load of known current on it",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=SOCKET_VOLTS,
        conditions={"load current": "current of the load, such as '16.0 A ± 0.1 A'", "where": _WHERE},
    ),
    Showing(
        word="voltage and current at the socket",
        meaning="log of voltage and current at one socket or one meter over hours or weeks, while loads go on and off",
        recorded_as="log",
        conditions={"where": _WHERE},
    ),
    Showing(
        word="protective device before the socket",
        meaning="rated current of the circuit-breaker or fuse that feeds the socket, or of the fuse in the plug",
        recorded_as="readings",
        unit="A",
        plausible=RATED_AMPERES,
        conditions={
            "kind": "'B', 'C' or 'D' as printed before the rating; 'gG' or 'BS 1362' of a fuse",
            "short-circuit capacity": "the figure in a frame on its front, such as '6000 A'",
            "energy class": "the small figure below it: '2' or '3' (default)",
            "residual current": "of a residual-current device before the socket, such as '30 mA'",
            "where": _WHERE,
            "earthing": "how the earth reaches the source: 'TN' (default), by the network, or 'TT', by an electrode",
        },
        allowed={"kind": DEVICE_KINDS, "energy class": ENERGY_CLASSES, "earthing": EARTHINGS},
    ),
    Showing(
        word="voltage drop of the lead",
        meaning="voltage that the lead takes at a current, out and back: from the voltages at plug and connector, or "
        "along line and neutral, added",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=DROP,
        conditions={
            "current": "current through the lead, such as '16.0 A ± 0.1 A'",
            "conductor temperature": "of the conductors meanwhile, such as '45 °C'; empty where it is not known",
        },
    ),
    Showing(
        word="catalogue lengths",
        meaning="lengths at which the same lead is offered, one reading for each",
        recorded_as="readings",
        unit="m",
        plausible=LEAD_METRES,
        conditions={"where": "catalogue, listing, pack"},
    ),
)
"""Everything about the supply of a lead and its lengths."""
