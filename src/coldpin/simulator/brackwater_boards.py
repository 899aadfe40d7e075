"""The boards inside the three leads at Brackwater Boatyard, the pictures taken of them, the calliper laid to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.records.board import BoardModel
from coldpin.simulator.board import PATCH, VirtualBoard
from coldpin.simulator.board_camera import VirtualCamera
from coldpin.simulator.board_card import LyingCard, yard_card
from coldpin.simulator.board_hand import draw_by_hand, find_card, read_gap
from coldpin.simulator.board_layout import CrossingPlan, lay_out
from coldpin.simulator.board_picture import Film, Scene, take_picture
from coldpin.simulator.board_scenery import furnish
from coldpin.simulator.brackwater_specimens import VirtualSpecimen
from coldpin.simulator.picture_file import as_jpeg

FILM = Film(blur=0.9, grain=0.014)
"""The yard's camera."""

HAND, SAID = 0.45, 0.7
"""Deviation of the hand that draws on a picture, enlarged, and what is said of it, to be on the safe side. [px]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenedBoard:
    """A board as it lies under the camera, with the card beside it."""

    board: VirtualBoard
    card: LyingCard
    camera: VirtualCamera


def _opened(
    *plans: CrossingPlan,
    earth_mm: float,
    seed: int,
    tilt_deg: float,
    toward_deg: float,
    roll_deg: float,
    patch_mm: float = PATCH,
) -> OpenedBoard:
    board = furnish(lay_out(plans, earth_mm=earth_mm, patch_mm=patch_mm), np.random.default_rng(seed))
    lying = LyingCard(card=yard_card(), at=(board.width + 14.0, 15.0, 0.3), turn_deg=1.5, print_scale=(1.0011, 1.0006))
    camera = VirtualCamera(
        width=2400,
        height=1600,
        focal=3300.0,
        distance=3300.0 * (board.width + 146.0) / 2400.0,
        aim=(0.5 * (board.width + 120.0), 40.0),
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
            patch_mm=9.0,
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
    opened(specimen)
    return _photograph(specimen.unit.name, specimen.seed)


@lru_cache(maxsize=len(OPENED))
def _photograph(name: str, seed: int) -> bytes:
    laid = OPENED[name]
    scene = Scene(board=laid.board, card=laid.card)
    return as_jpeg(take_picture(scene, laid.camera, FILM, seed=np.random.default_rng([seed, 1])), quality=88)


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
    >>> drawn.calibration.pick_u_px == SAID, [shape.name for shape in drawn.of_net("pilot")]
    (True, ['pilot CP 2'])
    """
    laid = opened(specimen)
    hand, finder = (np.random.default_rng([specimen.seed, k]) for k in (2, 3))
    return BoardModel(
        features=draw_by_hand(laid.board, laid.camera, pick_px=HAND, seed=hand),
        calibration=find_card(laid.card, laid.camera, seed=finder, pick_u_px=SAID, picture=picture, face_above_mm=0.0),
    )


def lay_calliper(specimen: VirtualSpecimen, between: tuple[str, str], *, repeats: int = 1) -> tuple[str, ...]:
    """Read the straight gap between two shapes of a board with the inner jaws of a calliper.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    between : (str, str)
        The names of two shapes that face each other; where something floats between them, its near side is read.
    repeats : int
        How many readings. [1]

    Returns
    -------
    tuple of str
        As a person writes them down.

    Raises
    ------
    UnknownName
        Nobody opened it, or nobody lays a calliper between these.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import DUNMARR_32
    >>> shown = lay_calliper(DUNMARR_32, ("mains L 3", "pilot CP 3"), repeats=3)
    >>> [abs(float(text.removesuffix(" mm")) - 2.1) < 0.09 for text in shown]
    [True, True, True]
    """
    rng = np.random.default_rng([specimen.seed, *" ".join(between).encode()])
    return read_gap(opened(specimen).board, between, seed=rng, repeats=repeats)


def unused_pins(specimen: VirtualSpecimen) -> str:
    """Return whether something that nothing uses is left between the two sides of a specimen's board.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    str
        "yes" or "no".

    Raises
    ------
    UnknownName
        Nobody opened it.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import PELLWICK_20
    >>> unused_pins(PELLWICK_20)
    'yes'
    """
    return "yes" if any(crossing.floating for crossing in opened(specimen).board.crossings) else "no"
