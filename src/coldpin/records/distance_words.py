"""What a gap inside lies between, by the nets at its ends, and what may be said of it beside its reading."""

from __future__ import annotations

from coldpin.records.nets import EARTHS, LOW_VOLTAGES, MAINS, PILOTS, SURFACES, words_of
from coldpin.records.showing import Showing

UNUSED_PINS = "unused pins at the barrier"

MAINS_PILOT = "mains to pilot"
MAINS_LOW_VOLTAGE = "mains to low voltage"
BEFORE_FUSE = "line to neutral before the fuse"
BEHIND_FUSE = "line to neutral behind the fuse"
MAINS_EARTH = "mains to earth"
MAINS_SURFACE = "mains to touchable surface"
ACROSS = (MAINS_PILOT, MAINS_LOW_VOLTAGE, BEFORE_FUSE, BEHIND_FUSE, MAINS_EARTH, MAINS_SURFACE)
"""Between what a gap lies."""

LINES_OF_THREE = ("l1", "l2", "l3")
FUSED = "fused"
"""A word in the name of a mains net that lies behind a fuse: "mains L fused"."""

GROUPS_OF = {
    MAINS_PILOT: PILOTS,
    MAINS_LOW_VOLTAGE: LOW_VOLTAGES,
    MAINS_EARTH: EARTHS,
    MAINS_SURFACE: SURFACES,
}
"""The groups of nets, the first word of a net's name, that lie across each of these from the mains."""

OVER_FLAT = "flat board"
OVER_SLOT = "slot or rib"
OVER = (OVER_FLAT, OVER_SLOT)

BRIDGES = ("transformer", "optocoupler", "relay", "capacitor")
FLOATING_PARTS = ("floating part", "unused pin", "heatsink")
BESIDE = (*BRIDGES, *FLOATING_PARTS)

ONE_FACE = "one face"
BOTH_FACES = "both faces"
UNDER_PARTS = "under the parts"
SEARCHED = (ONE_FACE, BOTH_FACES, UNDER_PARTS)

LAYOUT = "layout"
ASSEMBLY = "assembly"
MADE_BY = (LAYOUT, ASSEMBLY)

MATERIAL_GROUPS = ("I", "II", "IIIa", "IIIb")
GROUP_SHOWN_BY = ("tracking test", "data of the material")

GAP_CONDITIONS = {
    "across": (f"between what, where the names of the ends do not say it: {', '.join(map(repr, ACROSS))}"),
    "over": (
        "what lies under a straight gap: 'flat board', so that it is the way along the surface too, or 'slot or rib'"
    ),
    "further gaps": (
        "the next gaps of the same way, each behind a part that conducts and belongs to no circuit, by the same "
        "instrument: '3.00 mm, 1.20 mm'"
    ),
    "beside": f"what bridges the two sides, or lies between them: {', '.join(map(repr, BESIDE))}",
    "searched": (
        "where the shortest gap was looked for: 'one face', 'both faces', or 'under the parts' as well, lifted or by "
        "a gauge; beside a drawing it is taken for every place across the same two sides of that board"
    ),
    "made by": (
        "what brings the two so near: 'layout', copper and parts as they were designed, or 'assembly', such as solder, "
        "a bent pin, a loose wire"
    ),
    "force": "with which the housing was pressed where it is nearest, such as '30 N'",
    "material group": "of the surface: 'I', 'II', 'IIIa', 'IIIb'; left out where it is not known",
    "group shown by": (
        "how the material group is known: 'tracking test' of the surface, or 'data of the material', whose maker and "
        "grade are; a group that nothing shows lowers no distance"
    ),
    "working voltage": (
        "r.m.s. across the gap, where it was found out, such as 400 V; below that of the mains it lowers no distance"
    ),
}
"""What may be said of a gap beside its ends and its reading."""

GAP_ALLOWED = {
    "across": ACROSS,
    "over": OVER,
    "beside": BESIDE,
    "searched": SEARCHED,
    "made by": MADE_BY,
    "material group": MATERIAL_GROUPS,
    "group shown by": GROUP_SHOWN_BY,
}

DISTANCE = (
    Showing(
        word=UNUSED_PINS,
        meaning="whether a connector that carries mains beside pilot or low voltage has pins left in that nothing "
        "uses, or unused pads: they conduct, and leave less of the gap",
        recorded_as="answer",
        conditions={"of": "which connector, and which pins"},
    ),
)
"""What no reading of a gap tells."""


def across(one: str, other: str) -> str:
    """Return between what a gap lies, by the nets at its ends.

    Parameters
    ----------
    one : str
        A net ("mains L fused") or a group ("mains").
    other : str
        The other.

    Returns
    -------
    str
        A word of the vocabulary; empty where the nets lie across nothing that is asked about.

    Examples
    --------
    >>> across("pilot CP", "Mains_N"), across("mains L fused", "mains N"), across("pilot CP", "earth PE")
    ('mains to pilot', 'line to neutral behind the fuse', '')
    """
    ends = [words_of(net) for net in (one, other)]
    groups = [words[0] if words else "" for words in ends]
    if MAINS not in groups:
        return ""
    if groups[0] == groups[1]:
        poles = [words[1] if len(words) > 1 else "" for words in ends]
        if "" in poles or poles[0] == poles[1]:
            return ""
        return BEHIND_FUSE if any(FUSED in words for words in ends) else BEFORE_FUSE
    group = groups[1] if groups[0] == MAINS else groups[0]
    return next((word for word, known in GROUPS_OF.items() if group in known), "")


def between_lines(one: str, other: str) -> bool:
    """Say whether two nets are two lines of a three-phase supply, between which its higher voltage lies.

    Parameters
    ----------
    one : str
        A net.
    other : str
        The other.

    Returns
    -------
    bool
        Whether both are lines of the mains, and two of them.

    Examples
    --------
    >>> between_lines("mains L1", "mains L2 fused"), between_lines("mains L1", "mains N")
    (True, False)
    """
    ends = [words_of(net) for net in (one, other)]
    lines = [words[1] for words in ends if len(words) > 1 and words[0] == MAINS and words[1] in LINES_OF_THREE]
    return len(set(lines)) == len(ends)
