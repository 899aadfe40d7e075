"""A rendered picture of a virtual board, made once, for the tests of what helps to draw on it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from coldpin.records.board import Role
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_camera import VirtualCamera
from coldpin.simulator.board_layout import CrossingPlan, lay_out
from coldpin.simulator.board_picture import Film, Scene, take_picture


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureOfBoard:
    """A picture, the board on it, and the camera that took it."""

    picture: NDArray[np.uint8]
    board: VirtualBoard
    camera: VirtualCamera

    def seen(self, name: str) -> NDArray[np.float64]:
        """Return where the corners of a shape are in the picture. [px]"""
        shape = next(shape for shape in self.board.features if shape.name == name)
        return self.camera.project(shape.outline)

    def names(self, role: Role) -> list[str]:
        """Return the names of the shapes of one role."""
        return [shape.name for shape in self.board.features if shape.role is role]


@cache
def picture_of_board(*, tilt_deg: float = 4.0, toward_deg: float = 50.0) -> PictureOfBoard:
    """Return a board with a slot and bare copper, from a little aside."""
    board = lay_out([CrossingPlan(gap_mm=6.0, slot_mm=2.0, round_ends=False, left_half_mm=2.0, right_half_mm=2.0)])
    camera = VirtualCamera(
        width=1000,
        height=700,
        focal=2600.0,
        distance=240.0,
        aim=(38.0, 18.0),
        tilt_deg=tilt_deg,
        toward_deg=toward_deg,
    )
    picture = take_picture(Scene(board=board), camera, Film(), seed=np.random.default_rng(4))
    return PictureOfBoard(picture=picture, board=board, camera=camera)
