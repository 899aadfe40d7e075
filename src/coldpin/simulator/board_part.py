"""What stands or lies on a virtual board: bodies with height, and the bare metal, print and screws around them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.simulator.board_crossing import Block, Point


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Body:
    """Something that stands on the board.

    ``outline``: array of shape (n, 2), seen from above [mm]; ``height_mm`` above the face, from ``seat_mm`` upward.
    ``material`` is a key of :data:`coldpin.simulator.board_picture.COLOURS`.
    """

    outline: NDArray[np.float64]
    height_mm: float
    material: str
    seat_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Finish:
    """A flat shape of another look on the face: bare solder on a pad. ``outline`` as of a body. [mm]"""

    outline: NDArray[np.float64]
    material: str = "solder"


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A word printed on the board, its lower left corner at ``at``, with the height of its letters. [mm]"""

    text: str
    at: Point
    size: float = 1.6


def disc(middle: Point, radius: float, *, corners: int = 24) -> NDArray[np.float64]:
    """Return a regular polygon in a circle.

    Parameters
    ----------
    middle : (float, float)
        Of the circle. [mm]
    radius : float
        Of the circle. [mm]
    corners : int
        How many. [1]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n, 2), counter-clockwise. [mm]

    Examples
    --------
    >>> disc((0.0, 0.0), 2.0, corners=4).round(6).tolist()[1]
    [0.0, 2.0]
    """
    turn = np.arange(corners) * (2.0 * math.pi / corners)
    return np.column_stack([middle[0] + radius * np.cos(turn), middle[1] + radius * np.sin(turn)])


def box(middle: Point, width: float, depth: float) -> NDArray[np.float64]:
    """Return a rectangle about a point.

    Parameters
    ----------
    middle : (float, float)
        Its middle. [mm]
    width : float
        From left to right. [mm]
    depth : float
        From front to back. [mm]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (4, 2). [mm]

    Examples
    --------
    >>> box((1.0, 1.0), 2.0, 4.0).tolist()[0]
    [0.0, -1.0]
    """
    across, up = 0.5 * width, 0.5 * depth
    return Block(left=middle[0] - across, low=middle[1] - up, right=middle[0] + across, high=middle[1] + up).corners


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """A part as it is seen: its bodies, the bare metal under its ends, its name in print."""

    bodies: tuple[Body, ...] = ()
    finishes: tuple[Finish, ...] = ()
    labels: tuple[Label, ...] = ()


def chip_resistor(middle: Point, name: str) -> Group:
    """Return a chip resistor of 2.0 mm by 1.25 mm lying across.

    Parameters
    ----------
    middle : (float, float)
        Its middle. [mm]
    name : str
        Printed above it.

    Returns
    -------
    Group
        Body, two ends, two lands, name.
    """
    across, up = middle
    ends = [Body(outline=box((across + s * 0.8, up), 0.4, 1.25), height_mm=0.5, material="tin") for s in (-1.0, 1.0)]
    lands = [Finish(outline=box((across + s * 1.1, up), 1.0, 1.4)) for s in (-1.0, 1.0)]
    body = Body(outline=box(middle, 1.2, 1.25), height_mm=0.5, material="black")
    return Group(
        bodies=(body, *ends), finishes=tuple(lands), labels=(Label(text=name, at=(across - 1.2, up + 1.1), size=1.1),)
    )


def small_outline(middle: Point, name: str, *, pins: int = 4) -> Group:
    """Return a small-outline package with its pins on the two long sides.

    Parameters
    ----------
    middle : (float, float)
        Its middle. [mm]
    name : str
        Printed beside it.
    pins : int
        On each side. [1]

    Returns
    -------
    Group
        Body, pins, lands, name.
    """
    across, up = middle
    long = 1.27 * pins
    places = [(across + 1.27 * (k - 0.5 * (pins - 1)), up + s * 2.7) for k in range(pins) for s in (-1.0, 1.0)]
    legs = tuple(Body(outline=box(place, 0.42, 1.2), height_mm=0.3, material="tin") for place in places)
    lands = tuple(Finish(outline=box(place, 0.6, 1.7)) for place in places)
    body = Body(outline=box(middle, long, 3.9), height_mm=1.6, material="black", seat_mm=0.1)
    return Group(
        bodies=(*legs, body), finishes=lands, labels=(Label(text=name, at=(across + 0.5 * long + 0.6, up - 0.6)),)
    )


def standing_can(middle: Point, name: str, *, radius: float = 4.0, height: float = 11.0) -> Group:
    """Return an electrolytic capacitor that stands on the board.

    Parameters
    ----------
    middle : (float, float)
        Its middle. [mm]
    name : str
        Printed beside it.
    radius : float
        Of the can. [mm]
    height : float
        Of the can. [mm]

    Returns
    -------
    Group
        Sleeve, top, name.
    """
    sleeve = Body(outline=disc(middle, radius), height_mm=height, material="sleeve")
    top = Body(outline=disc(middle, radius - 0.6), height_mm=height + 0.05, material="tin", seat_mm=height)
    return Group(
        bodies=(sleeve, top), labels=(Label(text=name, at=(middle[0] + radius + 0.6, middle[1] - radius + 0.4)),)
    )


def block_part(middle: Point, name: str, *, width: float, depth: float, height: float, material: str) -> Group:
    """Return a part that is a box: film capacitor, terminal, fuse, small transformer.

    Parameters
    ----------
    middle : (float, float)
        Its middle. [mm]
    name : str
        Printed below it.
    width : float
        From left to right. [mm]
    depth : float
        From front to back. [mm]
    height : float
        Above the board. [mm]
    material : str
        Of the body.

    Returns
    -------
    Group
        Body, name.
    """
    body = Body(outline=box(middle, width, depth), height_mm=height, material=material)
    below = (middle[0] - 0.5 * width, middle[1] - 0.5 * depth - 2.1)
    return Group(bodies=(body,), labels=(Label(text=name, at=below),))


def solder_joints(places: list[Point], *, radius: float = 0.9) -> Group:
    """Return pins that come through the board, each in its cone of solder.

    Parameters
    ----------
    places : list of (float, float)
        Their middles. [mm]
    radius : float
        Of the cone at its foot. [mm]

    Returns
    -------
    Group
        A flat cone and a pin at each place.
    """
    lands = tuple(Finish(outline=disc(place, radius)) for place in places)
    pins = tuple(Body(outline=disc(place, 0.4 * radius, corners=12), height_mm=0.8, material="tin") for place in places)
    return Group(bodies=pins, finishes=lands)


def screw(middle: Point) -> Group:
    """Return a pan-head screw that holds the board.

    Parameters
    ----------
    middle : (float, float)
        Its middle. [mm]

    Returns
    -------
    Group
        Washer, head, slot of the head.
    """
    return Group(
        bodies=(
            Body(outline=disc(middle, SCREW_RADIUS), height_mm=0.5, material="tin"),
            Body(outline=disc(middle, 2.7), height_mm=2.2, material="steel", seat_mm=0.5),
            Body(outline=box(middle, 3.6, 0.7), height_mm=2.21, material="dark", seat_mm=2.2),
            Body(outline=box(middle, 0.7, 3.6), height_mm=2.21, material="dark", seat_mm=2.2),
        ),
    )


SCREW_RADIUS = 3.4
"""Of the washer under a screw. [mm]"""
