"""Faults to build into a virtual board, one record each, so that tests and tables can go through them all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_layout import CrossingPlan, lay_out


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardSpecimen:
    """A board as it is planned: the relay's place, that of the pilot and that of the optocoupler, from below.

    ``earth_mm`` is the gap between earth and the area of neutral.
    """

    relay: CrossingPlan
    pilot: CrossingPlan
    optocoupler: CrossingPlan
    earth_mm: float

    @property
    def board(self) -> VirtualBoard:
        """As it is laid out."""
        return lay_out((self.relay, self.pilot, self.optocoupler), earth_mm=self.earth_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardFault:
    """A fault of a board: what it is, and what it changes."""

    name: str
    meaning: str
    change: Callable[[BoardSpecimen], BoardSpecimen]


def draw_sound_board(rng: np.random.Generator) -> BoardSpecimen:
    """Return a sound board as an honest maker might lay it out.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where its distances come from.

    Returns
    -------
    BoardSpecimen
        Creepage of more than 8.4 mm to pilot and low voltage, by slots of the cutter or by plain board; more than
        4.4 mm between the poles and to earth.

    Examples
    --------
    >>> board = draw_sound_board(np.random.default_rng(1)).board
    >>> 8.4 < board.creepage_mm("mains", "pilot", groove_x_mm=1.5) < 10.0
    True
    """
    slotted = bool(rng.random() < SLOTTED)
    return BoardSpecimen(
        relay=CrossingPlan(
            left_net="mains N",
            right_net="low-voltage GND",
            part="relay",
            gap_mm=float(rng.uniform(8.6, 9.4)),
            left_half_mm=1.0,
            right_half_mm=1.0,
            joints=True,
        ),
        pilot=CrossingPlan(
            gap_mm=float(rng.uniform(6.4, 7.0) if slotted else rng.uniform(8.6, 9.4)),
            left_half_mm=float(rng.uniform(0.6, 1.0)),
            right_half_mm=float(rng.uniform(0.6, 1.0)),
            slot_mm=2.0 if slotted else 0.0,
            beyond_mm=float(rng.uniform(2.8, 3.0)),
            nearer_mm=float(rng.uniform(4.5, 5.2)),
        ),
        optocoupler=CrossingPlan(
            right_net="low-voltage 12V",
            part="optocoupler",
            gap_mm=float(rng.uniform(7.0, 7.4)),
            left_half_mm=2.2,
            right_half_mm=2.2,
            slot_mm=2.0,
            beyond_mm=float(rng.uniform(2.4, 2.7)),
            nearer_mm=float(rng.uniform(1.5, 4.0)),
        ),
        earth_mm=float(rng.uniform(4.5, 5.2)),
    )


SLOTTED = 0.6
"""Part of the boards with a slot between mains and pilot. [1]"""


def _plan(place: str, **changes: Any) -> Callable[[BoardSpecimen], BoardSpecimen]:
    """Return a change of one place of a board."""

    def change(specimen: BoardSpecimen) -> BoardSpecimen:
        made: dict[str, Any] = {place: replace(getattr(specimen, place), **changes)}
        return replace(specimen, **made)

    return change


_FAULTS = (
    BoardFault(
        name="pilot track too near",
        meaning="a track of mains ends 1.8 mm before one of the pilot",
        change=_plan("pilot", gap_mm=1.8, slot_mm=0.0),
    ),
    BoardFault(
        name="slot left out",
        meaning="mains and pilot are 4.4 mm apart over board that nobody milled",
        change=_plan("pilot", gap_mm=4.4, slot_mm=0.0),
    ),
    BoardFault(
        name="slot too narrow",
        meaning="the slot between mains and pilot, 4.6 mm apart, is a saw cut of 0.7 mm",
        change=_plan("pilot", gap_mm=4.6, slot_mm=0.7, beyond_mm=2.5),
    ),
    BoardFault(
        name="unused pin at the pilot",
        meaning="a pin that nothing uses leaves two gaps of 1.3 mm between mains and pilot",
        change=_plan("pilot", gap_mm=4.4, floats=(1.8,), slot_mm=0.0, part="connector", joints=True),
    ),
    BoardFault(
        name="low voltage too near",
        meaning="the pins of the relay's coil are 2.2 mm from those of its contacts",
        change=_plan("relay", gap_mm=2.2),
    ),
    BoardFault(
        name="optocoupler bridged",
        meaning="the feet of the optocoupler are 2.4 mm apart, with no slot",
        change=_plan("optocoupler", gap_mm=2.4, slot_mm=0.0),
    ),
    BoardFault(
        name="poles too near",
        meaning="line and neutral are 0.9 mm apart before the fuse",
        change=_plan("pilot", nearer_mm=0.9),
    ),
    BoardFault(
        name="earth too near",
        meaning="the area under the earth screw is 0.9 mm from neutral",
        change=lambda specimen: replace(specimen, earth_mm=0.9),
    ),
)

BOARD_FAULTS: Mapping[str, BoardFault] = MappingProxyType({fault.name: fault for fault in _FAULTS})
"""Every fault of boards by its name."""


def board_fault(name: str) -> BoardFault:
    """Return a fault of boards by its name.

    Parameters
    ----------
    name : str
        A key of :data:`BOARD_FAULTS`.

    Returns
    -------
    BoardFault
        The fault.

    Raises
    ------
    UnknownName
        There is no such fault; the message lists them.

    Examples
    --------
    >>> spoilt = board_fault("pilot track too near").change(draw_sound_board(np.random.default_rng(1)))
    >>> round(spoilt.board.clearance_mm("mains", "pilot"), 9)
    1.8
    """
    if name not in BOARD_FAULTS:
        raise UnknownName.among("fault of a board", name, BOARD_FAULTS)
    return BOARD_FAULTS[name]
