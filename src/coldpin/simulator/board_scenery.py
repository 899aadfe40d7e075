"""The parts that make a virtual board look like one: on its patches, and across its band."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np

from coldpin.records.board import BoardFeature, Role
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_crossing import Crossing, Point
from coldpin.simulator.board_part import (
    Body,
    Finish,
    Group,
    Label,
    block_part,
    box,
    chip_resistor,
    small_outline,
    solder_joints,
    standing_can,
)

ROOMY = 20.0
"""Width of a patch on which large parts find room. [mm]"""


def furnish(board: VirtualBoard, rng: np.random.Generator) -> VirtualBoard:
    """Return a board with parts on it.

    Parameters
    ----------
    board : VirtualBoard
        A bare one.
    rng : numpy.random.Generator
        Which parts.

    Returns
    -------
    VirtualBoard
        The same conductors, parts on the patches, and a body over each optocoupler and resistor of its band.

    Examples
    --------
    >>> from coldpin.simulator.random_board import draw_board
    >>> bare = draw_board(np.random.default_rng(5))
    >>> len(furnish(bare, np.random.default_rng(5)).groups) > len(bare.groups)
    True
    """
    groups, hiding = list(board.groups), []
    places = [crossing for crossing in board.crossings if crossing.name.startswith("crossing")]
    kinds = (_MAINS, _LOW) if board.patch >= ROOMY else (_SMALL, _SMALL)
    high, low = (rng.permutation(len(makers)) for makers in kinds)
    for number, crossing in enumerate(places, start=1):
        left = (crossing.left.left - 0.5 * board.patch, crossing.left.middle[1])
        right = (crossing.right.right + 0.5 * board.patch, crossing.left.middle[1])
        groups.append(kinds[0][high[number % len(high)]](left, f"{number}"))
        groups.append(kinds[1][low[number % len(low)]](right, f"{number + len(places)}"))
        if crossing.part == "optocoupler":
            groups.append(_optocoupler(crossing, number))
            hiding.append(_hides(groups[-1].bodies[-1], f"optocoupler {number}"))
        if crossing.part == "resistors":
            groups.append(_string(crossing, number))
    if board.patch >= ROOMY:
        groups.append(_words(board))
    return replace(board, groups=tuple(groups), features=(*board.features, *hiding))


def _hides(body: Body, name: str) -> BoardFeature:
    return BoardFeature(name=name, role=Role.COMPONENT, outline=body.outline, height_mm=body.height_mm)


def _optocoupler(crossing: Crossing, number: int) -> Group:
    """Return an optocoupler with two pins on either side of the band."""
    middle = (0.5 * (crossing.left.right + crossing.right.left), crossing.left.middle[1])
    sides = ((-1.0, crossing.left.right - 0.7), (1.0, crossing.right.left + 0.7))
    feet = [(side, (foot, middle[1] + up)) for side, foot in sides for up in (-1.27, 1.27)]
    legs = [_leg(side * OPTO_HALF + middle[0], foot) for side, foot in feet]
    lands = tuple(Finish(outline=box(foot, 1.3, 1.1)) for _, foot in feet)
    body = Body(outline=box(middle, 2.0 * OPTO_HALF, 4.2), height_mm=2.0, material="black", seat_mm=0.1)
    label = Label(text=f"U{number}0", at=(middle[0] + 2.4, middle[1] + 3.0), size=1.3)
    return Group(bodies=(*legs, body), finishes=lands, labels=(label,))


def _leg(shoulder: float, foot: Point) -> Body:
    """Return a pin from the side of a body to its foot."""
    outline = box((0.5 * (shoulder + foot[0]), foot[1]), abs(foot[0] - shoulder) + 0.5, 0.5)
    return Body(outline=outline, height_mm=0.4, material="tin")


OPTO_HALF = 2.2
"""Half the width of an optocoupler's body, from one side to the other. [mm]"""


def _string(crossing: Crossing, number: int) -> Group:
    """Return chip resistors in series across the band."""
    ends = (crossing.left, *crossing.floating, crossing.right)
    bodies = []
    for one, other in pairwise(ends):
        middle = (0.5 * (one.right + other.left), crossing.left.middle[1])
        span = other.left - one.right
        bodies.append(Body(outline=box(middle, span, 1.2), height_mm=0.5, material="black"))
        for side in (-1.0, 1.0):
            cap = box((middle[0] + side * (0.5 * span + 0.25), middle[1]), 0.5, 1.2)
            bodies.append(Body(outline=cap, height_mm=0.5, material="tin"))
    label = Label(text=f"R{number}1-{number}3", at=(ends[0].right, crossing.left.middle[1] + 1.6), size=1.2)
    return Group(bodies=tuple(bodies), labels=(label,))


def _words(board: VirtualBoard) -> Group:
    """Return what is printed along the edges: which side is which, and a danger line beside the band."""
    middle = 0.5 * board.width
    labels = (
        Label(text="MAINS", at=(middle - 17.0, 3.6), size=2.0),
        Label(text="SELV", at=(middle + 8.0, 3.6), size=2.0),
        Label(text="B25-1  rev C", at=(middle + 8.0, 7.4), size=1.5),
    )
    return Group(labels=labels)


def _fuse(at: Point, name: str) -> Group:
    tube = Body(outline=box(at, 20.0, 5.2), height_mm=5.2, material="ceramic")
    caps = tuple(
        Body(outline=box((at[0] + side * 8.6, at[1]), 4.4, 5.6), height_mm=5.6, material="steel")
        for side in (-1.0, 1.0)
    )
    return Group(
        bodies=(tube, *caps), labels=(Label(text=f"F{name}  T3.15A", at=(at[0] - 4.0, at[1] + 3.4), size=1.3),)
    )


def _varistor(at: Point, name: str) -> Group:
    return block_part(at, f"RV{name}", width=14.0, depth=4.4, height=15.0, material="blue")


def _film(at: Point, name: str) -> Group:
    return block_part(at, f"CX{name}", width=18.0, depth=6.0, height=11.0, material="yellow")


def _terminal(at: Point, name: str) -> Group:
    clamp = block_part(at, f"J{name}", width=15.2, depth=7.8, height=10.0, material="terminal")
    holes = tuple(
        Body(outline=box((at[0] + across, at[1] - 1.0), 2.6, 2.6), height_mm=10.05, material="steel", seat_mm=10.0)
        for across in (-5.08, 0.0, 5.08)
    )
    return Group(bodies=(*clamp.bodies, *holes), labels=clamp.labels)


def _can(at: Point, name: str) -> Group:
    return standing_can(at, f"C{name}", radius=4.6, height=16.0)


def _controller(at: Point, name: str) -> Group:
    return small_outline(at, f"U{name}", pins=8)


def _driver(at: Point, name: str) -> Group:
    beside = [chip_resistor((at[0] + across, at[1]), f"R{name}{k}") for k, across in enumerate((7.0, 11.0))]
    driver = small_outline((at[0] - 4.0, at[1]), "", pins=4)
    return _together(driver, *beside)


def _eight_pins(at: Point, name: str) -> Group:
    return replace(small_outline(at, f"U{name}"), labels=())


def _two_resistors(at: Point, name: str) -> Group:
    return _together(*(chip_resistor((at[0], at[1] + up), f"R{name}{k}") for k, up in enumerate((-2.4, 2.0))))


def _small_can(at: Point, name: str) -> Group:
    return replace(standing_can(at, f"C{name}", radius=3.1, height=7.0), labels=())


def _resistors(at: Point, name: str) -> Group:
    return _together(*(chip_resistor((at[0] + 4.0 * (k - 1.5), at[1]), f"R{name}{k}") for k in range(4)))


def _pins(at: Point, name: str) -> Group:
    joints = solder_joints([(at[0] + 2.54 * (k - 2.5), at[1]) for k in range(6)], radius=0.85)
    return _together(joints, Group(labels=(Label(text=f"J{name}", at=(at[0] - 7.4, at[1] + 1.6)),)))


def _together(*groups: Group) -> Group:
    return Group(
        bodies=tuple(body for group in groups for body in group.bodies),
        finishes=tuple(finish for group in groups for finish in group.finishes),
        labels=tuple(label for group in groups for label in group.labels if label.text),
    )


_Make = Callable[[Point, str], Group]
_MAINS: tuple[_Make, ...] = (_fuse, _varistor, _film, _terminal, _can)
_LOW: tuple[_Make, ...] = (_controller, _driver, _resistors, _pins, _can)
_SMALL: tuple[_Make, ...] = (_eight_pins, _two_resistors, _small_can)
