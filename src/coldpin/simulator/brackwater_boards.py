"""The boards inside the three leads at Brackwater Boatyard, the pictures taken of them, the calliper laid to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.records.board import BoardModel
from coldpin.simulator.board import CrossingPlan, VirtualBoard, lay_out
from coldpin.simulator.board_camera import VirtualCamera
from coldpin.simulator.board_card import LyingCard, yard_card
from coldpin.simulator.board_hand import CALLIPER_LIMIT, draw_by_hand, find_card
from coldpin.simulator.board_picture import Film, Scene, take_picture
from coldpin.simulator.board_scenery import furnish
from coldpin.simulator.brackwater_specimens import VirtualSpecimen
from coldpin.simulator.picture_file import as_jpeg

FILM = Film(blur=0.9, grain=0.014)
"""The yard's camera."""

HAND = 0.7
"""Deviation of the hand that draws on a picture, enlarged. [px]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenedBoard:
    """A board as it lies under the camera, with the card beside it."""

    board: VirtualBoard
    card: LyingCard
    camera: VirtualCamera


def _opened(
    *plans: CrossingPlan, earth_mm: float, seed: int, tilt_deg: float, toward_deg: float, roll_deg: float
) -> OpenedBoard:
    board = furnish(lay_out(plans, earth_mm=earth_mm), np.random.default_rng(seed))
    lying = LyingCard(card=yard_card(), at=(board.width + 14.0, 15.0, 0.3), turn_deg=1.5, print_scale=(1.0011, 1.0006))
    camera = VirtualCamera(
        width=2400,
        height=1600,
        focal=3300.0,
        distance=330.0,
        aim=(0.5 * (board.width + 124.0), 40.0),
        tilt_deg=tilt_deg,
        toward_deg=toward_deg,
        roll_deg=roll_deg,
        bend=0.004,
    )
    return OpenedBoard(board=board, card=lying, camera=camera)


OPENED: Mapping[str, OpenedBoard] = MappingProxyType(
    {
        "Skerrow 16": _opened(
            CrossingPlan(left_net="mains N", right_net="low-voltage GND", part="relay", gap_mm=8.8, joints=True),
            CrossingPlan(left_net="mains L", gap_mm=6.6, slot_mm=2.0, beyond_mm=3.0, nearer_mm=5.0),
            CrossingPlan(
                left_net="mains L",
                right_net="low-voltage 12V",
                part="optocoupler",
                gap_mm=7.2,
                left_half_mm=2.2,
                right_half_mm=2.2,
                slot_mm=2.0,
                beyond_mm=2.5,
                nearer_mm=1.5,
            ),
            earth_mm=5.0,
            seed=16,
            tilt_deg=4.0,
            toward_deg=60.0,
            roll_deg=1.2,
        ),
        "Pellwick 20": _opened(
            CrossingPlan(left_net="mains N", right_net="low-voltage GND", gap_mm=1.9, left_half_mm=1.6),
            CrossingPlan(gap_mm=3.2, floats=(1.4,), left_half_mm=0.9, right_half_mm=0.9, joints=True, nearer_mm=1.1),
            earth_mm=1.4,
            seed=20,
            tilt_deg=7.0,
            toward_deg=200.0,
            roll_deg=-2.0,
        ),
        "Dunmarr 32": _opened(
            CrossingPlan(left_net="mains N", right_net="low-voltage GND", part="relay", gap_mm=7.4, joints=True),
            CrossingPlan(
                left_net="mains L",
                right_net="low-voltage 12V",
                part="optocoupler",
                gap_mm=6.4,
                left_half_mm=2.2,
                right_half_mm=2.2,
                nearer_mm=3.4,
            ),
            CrossingPlan(
                left_net="mains L", gap_mm=2.1, left_half_mm=0.6, right_half_mm=0.5, aside_mm=1.0, nearer_mm=1.5
            ),
            CrossingPlan(left_net="mains N", gap_mm=6.1, left_half_mm=0.8, right_half_mm=0.5, nearer_mm=3.4),
            earth_mm=4.2,
            seed=32,
            tilt_deg=5.0,
            toward_deg=310.0,
            roll_deg=0.6,
        ),
    }
)
"""By specimen: a slot of the cutter between mains and pilot; an unused hole and a bare gap; a track too near."""


def opened(specimen: VirtualSpecimen) -> OpenedBoard:
    """Return the board of a specimen, laid out for the camera.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    OpenedBoard
        Board, card, camera.

    Raises
    ------
    UnknownName
        Nobody opened it.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import DUNMARR_32
    >>> round(opened(DUNMARR_32).board.clearance_mm("mains", "pilot"), 6)
    2.1
    """
    if specimen.unit.name not in OPENED:
        raise UnknownName.among("specimen with an opened board", specimen.unit.name, OPENED)
    return OPENED[specimen.unit.name]


def photograph(specimen: VirtualSpecimen) -> bytes:
    r"""Take the picture of a specimen's board with the scale card beside it.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    bytes
        A JPEG file, the same each time.

    Raises
    ------
    UnknownName
        Nobody opened it.
    """
    laid = opened(specimen)
    scene = Scene(board=laid.board, card=laid.card)
    taken = take_picture(scene, laid.camera, FILM, seed=np.random.default_rng([specimen.seed, 1]))
    return as_jpeg(taken, quality=88)


def draw_on_photograph(specimen: VirtualSpecimen, *, picture: str) -> BoardModel:
    """Draw the shapes of a specimen's board on its picture.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    picture : str
        SHA-256 of the picture.

    Returns
    -------
    BoardModel
        In pixels, with the corners of the card that were found.

    Raises
    ------
    UnknownName
        Nobody opened it.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> drawn = draw_on_photograph(SKERROW_16, picture="")
    >>> drawn.calibration.pick_u_px == HAND, [shape.name for shape in drawn.of_net("pilot")]
    (True, ['pilot CP 2'])
    """
    laid = opened(specimen)
    hand, finder = (np.random.default_rng([specimen.seed, k]) for k in (2, 3))
    return BoardModel(
        features=draw_by_hand(laid.board, laid.camera, pick_px=HAND, seed=hand),
        calibration=find_card(laid.card, laid.camera, seed=finder, pick_u_px=HAND, picture=picture),
    )


def lay_calliper(specimen: VirtualSpecimen, crossing: str, *, repeats: int = 3) -> tuple[str, ...]:
    """Read the straight distance at a crossing with the inner jaws of a calliper.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    crossing : str
        Its name, such as "crossing 2".
    repeats : int
        How many readings. [1]

    Returns
    -------
    tuple of str
        As a person writes them down.

    Raises
    ------
    UnknownName
        Nobody opened it, or there is no such crossing.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import DUNMARR_32
    >>> [abs(float(text.removesuffix(" mm")) - 2.1) < 0.12 for text in lay_calliper(DUNMARR_32, "crossing 3")]
    [True, True, True]
    """
    known = {one.name: one for one in opened(specimen).board.crossings}
    if crossing not in known:
        raise UnknownName.among("crossing of the board", crossing, known)
    rng = np.random.default_rng([specimen.seed, *crossing.encode()])
    true = known[crossing].left.gap(known[crossing].right) + rng.uniform(-CALLIPER_LIMIT, CALLIPER_LIMIT)
    return tuple(f"{true + SEATING * rng.standard_normal():.2f} mm" for _ in range(repeats))


SEATING = 0.02
"""By how much the jaws sit another way each time. [mm]"""
