"""A person before a virtual board: draws its shapes on its picture with an unsteady hand, and lays a calliper to it."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import UnknownName
from coldpin.records.board import BoardFeature, Calibration, Role
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_camera import VirtualCamera
from coldpin.simulator.board_card import COLUMNS, ROWS, SQUARE, LyingCard

DRAWN = (Role.BOARD, Role.CONDUCTOR, Role.FLOATING, Role.SLOT)
"""What is drawn; bodies are not."""


def draw_by_hand(
    board: VirtualBoard,
    camera: VirtualCamera,
    *,
    pick_px: float,
    seed: np.random.Generator,
    left_out: Container[str] = (),
) -> tuple[BoardFeature, ...]:
    """Return the shapes of a board as a person draws them on its picture.

    The round end of a slot is drawn with few corners, a hair outside the curve so that the lines between them cross it.

    Parameters
    ----------
    board : VirtualBoard
        The board.
    camera : VirtualCamera
        That took the picture.
    pick_px : float
        Deviation of the hand, in each direction; half of its variance is one for a whole rim. [px]
    seed : numpy.random.Generator
        Of the hand.
    left_out : container of str
        Names of shapes that are not drawn.

    Returns
    -------
    tuple of BoardFeature
        Corners in pixels, y down.

    Examples
    --------
    >>> from coldpin.simulator.board_layout import CrossingPlan, lay_out
    >>> board = lay_out([CrossingPlan()])
    >>> drawn = draw_by_hand(board, VirtualCamera(), pick_px=1.0, seed=np.random.default_rng(1))
    >>> [shape.name for shape in drawn]
    ['board', 'earth', 'mains L 1', 'pilot CP 1', 'screw']
    """
    drawn, slots = [], board.slots
    for feature in board.features:
        if feature.role in DRAWN and feature.name not in left_out:
            outline = slots[feature.name].drawn(PICKED) if feature.name in slots else feature.outline
            there = camera.project(outline)
            off = np.sqrt(1.0 - RIM) * seed.standard_normal(there.shape)
            off += np.sqrt(RIM) * seed.standard_normal() * _outward(there)
            drawn.append(replace(feature, outline=there + pick_px * off))
    return tuple(drawn)


RIM = 0.5
"""Part of the hand's variance that a whole rim has in common: who takes a blurred edge too far out does so all round.
[1]"""


def _outward(outline: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return where the corners of an outline go when all its edges move outward by one."""
    along = np.roll(outline, -1, axis=0) - outline
    normals = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
    across, up = outline.T
    if np.sum(across * np.roll(up, -1) - np.roll(across, -1) * up) < 0.0:
        normals = -normals
    before = np.roll(normals, 1, axis=0)
    return np.asarray((before + normals) / (1.0 + (before * normals).sum(axis=1))[:, None])


PICKED = 5
"""Corners that a person picks on the round end of a slot. [1]"""


def find_card(
    lying: LyingCard,
    camera: VirtualCamera,
    *,
    seed: np.random.Generator,
    found_u_px: float = 0.06,
    pick_u_px: float | None = None,
    picture: str = "",
    face_above_mm: float | None = None,
) -> Calibration:
    """Return the corners of the yard's card as a good detector finds them, its print set right by a calliper.

    Parameters
    ----------
    lying : LyingCard
        The yard's card, as it lies.
    camera : VirtualCamera
        That took the picture.
    seed : numpy.random.Generator
        Of detector and calliper.
    found_u_px : float
        Deviation of the detector, in each direction. [px]
    pick_u_px : float, optional
        What is said of the hand that draws. [px]
    picture : str
        SHA-256 of the picture.
    face_above_mm : float, optional
        What is said of how far the face of the board lies above the card. [mm]

    Returns
    -------
    Calibration
        The corners, and where they are on the card by the calliper at its two bars.

    Examples
    --------
    >>> from coldpin.simulator.board_card import yard_card
    >>> lying = LyingCard(card=yard_card(), print_scale=(1.01, 1.0))
    >>> found = find_card(lying, VirtualCamera(distance=900.0), seed=np.random.default_rng(1))
    >>> found.plane_mm.shape, bool(7.55 < found.plane_mm[1, 0] - found.plane_mm[0, 0] < 7.6)
    ((77, 2), True)
    """
    rows, columns = np.mgrid[ROWS - 1 : 0 : -1, 1:COLUMNS]
    meant = SQUARE * np.column_stack([columns.ravel(), rows.ravel()]).astype(np.float64)
    bars = SQUARE * np.array([COLUMNS, ROWS])
    read = np.round(bars * np.array(lying.print_scale) + seed.uniform(-CALLIPER_LIMIT, CALLIPER_LIMIT, 2), 2)
    there = camera.project(lying.place(meant))
    return Calibration(
        method="card",
        picture_px=there + found_u_px * seed.standard_normal(there.shape),
        plane_mm=meant * read / bars,
        found_u_px=found_u_px,
        pick_u_px=pick_u_px,
        length_u_relative=float(CALLIPER_LIMIT / np.sqrt(3.0) / bars.min()),
        camera_height_mm=round(float(camera.lens[2])),
        picture=picture,
        picture_size_px=(camera.width, camera.height),
        face_above_mm=face_above_mm,
    )


CALLIPER_LIMIT = 0.03
"""A calliper's reading is off by no more. [mm]"""

SEATING = 0.02
"""By how much its jaws sit another way each time. [mm]"""


def read_gap(
    board: VirtualBoard, between: tuple[str, str], *, seed: np.random.Generator, repeats: int = 1
) -> tuple[str, ...]:
    """Read the straight gap between two shapes of a board with the inner jaws of a calliper.

    Parameters
    ----------
    board : VirtualBoard
        The board.
    between : (str, str)
        The names of two shapes that face each other; where something floats between them, the gap before it is read.
    seed : numpy.random.Generator
        Of calliper and hand.
    repeats : int
        How many readings. [1]

    Returns
    -------
    tuple of str
        As a person writes them down.

    Raises
    ------
    UnknownName
        Nobody lays a calliper between these.

    Examples
    --------
    >>> from coldpin.simulator.board_layout import CrossingPlan, lay_out
    >>> board = lay_out([CrossingPlan(gap_mm=4.0)])
    >>> (shown,) = read_gap(board, ("mains L 1", "pilot CP 1"), seed=np.random.default_rng(1))
    >>> abs(float(shown.removesuffix(" mm")) - 4.0) < 0.1
    True
    """
    gaps = _gaps(board)
    if between not in gaps:
        known = [" and ".join(names) for names in gaps]
        raise UnknownName.among("pair of shapes to lay a calliper between", " and ".join(between), known)
    true = gaps[between] + seed.uniform(-CALLIPER_LIMIT, CALLIPER_LIMIT)
    return tuple(f"{true + SEATING * seed.standard_normal():.2f} mm" for _ in range(repeats))


def _gaps(board: VirtualBoard) -> dict[tuple[str, str], float]:
    """Return the straight gaps of a board by the names of the two shapes that each lies between. [mm]"""
    gaps: dict[tuple[str, str], float] = {}
    for crossing in board.crossings:
        blocks = (crossing.left, *crossing.floating, crossing.right)
        names = [board.shape_of(block).name for block in blocks]
        gaps |= dict(zip(pairwise(names), crossing.gaps, strict=True))
        gaps[names[0], names[-1]] = crossing.gaps[0]
    return gaps
