"""What a finger and a wire reached at the three leads, and a look at their seals, all before the first power."""

from __future__ import annotations

from coldpin.records.access_words import (
    ACCESS,
    ALWAYS,
    CONNECTOR,
    FINGER,
    HOUSING,
    INGRESS,
    PARTLY_DRAWN,
    TOP,
    WHILE_CHARGING,
    WIRE,
)
from coldpin.workbench.brackwater.step import PIET, Answered, Step

FORCE = {FINGER: "10 N", WIRE: "1 N"}


def _pushed(at: str, probe: str, where: str, *, live: str = "", note: str = "") -> Answered:
    conditions = {"probe": probe, "at": where, "force": FORCE[probe]} | ({"live": live} if live else {})
    return Answered(at=at, shows=ACCESS, note=note, conditions=conditions, who=PIET)


def _looked(at: str, where: str, *, claimed: str = "", note: str = "") -> Answered:
    conditions = {"at": where} | ({"claimed": claimed} if claimed else {})
    return Answered(at=at, shows=INGRESS, note=note, conditions=conditions, who=PIET)


_LAMP = "Lamp of 42 V from the joined pins of the plug to the probe; plug on the bench."

SKERROW_ACCESS: tuple[Step, ...] = (
    _pushed("12:57", FINGER, CONNECTOR, note=_LAMP),
    _pushed("12:57", FINGER, HOUSING),
    _pushed("12:58", FINGER, PARTLY_DRAWN, note="In a dead socket; the collar covers the pins until they are off."),
    _pushed("12:58", WIRE, TOP),
    _pushed("12:59", WIRE, CONNECTOR, live=WHILE_CHARGING, note="It meets the sleeve of L1 at the bottom of its hole."),
    _looked("13:00", "control box", claimed="IP66", note="Ring seal all round, glands tight, no hole."),
)
"""After the wiring map, which says what is joined to what."""

PELLWICK_ACCESS: tuple[Step, ...] = (
    _pushed("14:07", FINGER, CONNECTOR, note=_LAMP),
    _pushed("14:07", FINGER, HOUSING),
    _pushed("14:08", FINGER, PARTLY_DRAWN),
    _pushed(
        "14:08", WIRE, CONNECTOR, live=ALWAYS, note="It meets L1, which the map shows straight through to the plug."
    ),
    _looked("14:09", "connector", note="No seal at the seam of the connector's halves."),
)
"""With the map of a lead that switches nothing."""

DUNMARR_ACCESS: tuple[Step, ...] = (
    _pushed("15:18", FINGER, CONNECTOR, note=_LAMP),
    _pushed("15:18", FINGER, HOUSING),
    _pushed("15:19", WIRE, TOP),
    _pushed("15:19", WIRE, CONNECTOR, live=WHILE_CHARGING, note="It meets the sleeve of L1."),
    _looked("15:20", "wall unit", note="Seal of the lid whole, glands tight."),
)
"""On the bench, its supply terminals open."""
