"""A person who draws the shapes of a virtual board on its picture, corner by corner, with an unsteady hand."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import replace

import numpy as np

from coldpin.records.board import BoardFeature, Role
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_camera import VirtualCamera

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
        Deviation of the hand, in each direction. [px]
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
    >>> from coldpin.simulator.board import CrossingPlan, lay_out
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
            drawn.append(replace(feature, outline=there + pick_px * seed.standard_normal(there.shape)))
    return tuple(drawn)


PICKED = 5
"""Corners that a person picks on the round end of a slot. [1]"""
