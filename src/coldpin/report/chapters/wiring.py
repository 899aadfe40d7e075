"""The dead wiring map as one grid: everything that any finding says of a pair of pins."""

from __future__ import annotations

from collections.abc import Iterable

from coldpin.records.finding import Joint
from coldpin.report.document import Block, Column, Face, Heading, Inline, Line, Mark, Row, Sign, Table, Text
from coldpin.report.index import Index, joined, stacked


def wiring(index: Index) -> tuple[Block, ...]:
    """Return the wiring map, a row for each plug pin and a column for each connector pin.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Heading and grid; nothing where no finding rests on a wiring map.
    """
    joints = [joint for finding in index.assessment.findings for joint in finding.joints]
    if not joints:
        return ()
    connector = sorted({joint.connector_pin for joint in joints}, key=_place)
    columns = (Column("From ↓ to →"), *(Column(pin) for pin in connector))
    rows = []
    for pin in sorted({joint.plug_pin for joint in joints}, key=_place):
        own = [joint for joint in joints if joint.plug_pin == pin]
        cells = (_cell([joint for joint in own if joint.connector_pin == other]) for other in connector)
        rows.append(Row(((Text(pin, Face.STRONG),), *cells)))
    caption = "With everything dead: plug pins down, connector pins across"
    return (Heading(3, "Wiring map", index.anchors.fresh("wiring-map")), Table(caption, columns, tuple(rows)))


_ORDER = ("L", "L1", "L2", "L3", "N", "PE", "CP", "PP")


def _place(pin: str) -> tuple[int, str]:
    """Return where a pin stands in a row: poles, neutral, earth, signals, then all others by name."""
    return (_ORDER.index(pin) if pin in _ORDER else len(_ORDER), pin)


def _cell(joints: list[Joint]) -> Line:
    """Say what was found of one pair, and what it should be where a finding says otherwise."""
    wrong = [joint for joint in joints if not joint.right]
    if not joints:
        return (Text("–", Face.QUIET),)
    found = " / ".join(dict.fromkeys(joint.found for joint in joints))
    if not wrong:
        return (Text(found, Face.QUIET if found == "open" else Face.STRONG),)
    wanted = " / ".join(dict.fromkeys(joint.wanted for joint in wrong))
    return stacked((Mark(Sign.BEYOND, found), Text(f"should be {wanted}", Face.QUIET)))


def pairs(joints: Iterable[Joint]) -> Line:
    """Return the pairs one finding rests on, in one line.

    Parameters
    ----------
    joints : iterable of Joint
        The pairs.

    Returns
    -------
    tuple of Inline
        Such as "L to L1: joined"; a wrong one says what it should be.
    """
    return joined((_pair(joint) for joint in joints), by="; ")


def _pair(joint: Joint) -> Inline:
    said = f"{joint.plug_pin} to {joint.connector_pin}: {joint.found}"
    return Text(said) if joint.right else Text(f"{said}, should be {joint.wanted}", Face.STRONG)
