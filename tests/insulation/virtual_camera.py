"""A pinhole camera with a bending lens that photographs a scale card.

It has geometry of its own, and the library's own picture of the card.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]
PER_MM = 40
"""Dots of the card's picture to a millimetre."""


@dataclass(frozen=True, kw_only=True)
class Camera:
    """A camera over the plane z = 0, ``over`` a point of it, tilted about an axis at ``about`` radians from x.

    Pixels count from the middle of the upper left one; ``k1`` bends at half the diagonal of the picture.
    """

    size: tuple[int, int] = (4000, 3000)
    focal_px: float = 3200.0
    height_mm: float = 250.0
    over: tuple[float, float] = (70.0, 30.0)
    tilt_deg: float = 0.0
    about: float = 0.6
    k1: float = 0.0

    @property
    def _turn(self) -> Array:
        angle = math.radians(self.tilt_deg)
        x, y = math.cos(self.about), math.sin(self.about)
        cross = np.array([[0.0, 0.0, y], [0.0, 0.0, -x], [-y, x, 0.0]])
        return np.asarray(np.eye(3) + math.sin(angle) * cross + (1.0 - math.cos(angle)) * cross @ cross)

    @property
    def _middle(self) -> Array:
        return 0.5 * (np.array(self.size) - 1.0)

    @property
    def _half(self) -> float:
        return 0.5 * math.hypot(*self.size) / self.focal_px

    def see(self, points_mm: Array, height_mm: Array | float = 0.0) -> Array:
        """Return where points are seen, that lie at a height above the plane. [px]"""
        flat = points_mm - np.array(self.over)
        solid = np.column_stack([flat, np.broadcast_to(height_mm, len(flat))])
        seen = solid @ self._turn.T - [0.0, 0.0, self.height_mm]
        ideal = seen[:, :2] * [1.0, -1.0] / -seen[:, 2:]
        square = np.sum((ideal / self._half) ** 2, axis=1, keepdims=True)
        return np.asarray(self._middle + self.focal_px * ideal * (1.0 + self.k1 * square))

    def ground(self, points_px: Array) -> Array:
        """Return which points of the plane are seen there. [mm]"""
        bent = (points_px - self._middle) / self.focal_px
        ideal = bent.copy()
        # a bend of some hundredths is undone to its square at each step
        for _ in range(8 if self.k1 else 0):
            ideal = bent / (1.0 + self.k1 * np.sum((ideal / self._half) ** 2, axis=1, keepdims=True))
        rays = np.column_stack([ideal[:, 0], -ideal[:, 1], -np.ones(len(ideal))]) @ self._turn
        lens = np.array([0.0, 0.0, self.height_mm]) @ self._turn
        reach = -lens[2] / rays[:, 2]
        return np.asarray(lens[:2] + reach[:, None] * rays[:, :2] + np.array(self.over))


@lru_cache
def card_picture(name: str = "A") -> Grey:
    """Return the library's own picture of a card with white around it, of 110 mm × 80 mm."""
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_100)
    first = {"A": 0, "B": 48}[name]
    board = cv2.aruco.CharucoBoard((12, 8), 7.5, 5.5, known, np.arange(first, first + 48))
    drawn = board.generateImage((90 * PER_MM, 60 * PER_MM))
    edge = 10 * PER_MM
    return np.asarray(cv2.copyMakeBorder(drawn, edge, edge, edge, edge, cv2.BORDER_CONSTANT, value=255), dtype=np.uint8)


@lru_cache(maxsize=16)
def photograph_card(
    camera: Camera,
    *,
    name: str = "A",
    at: tuple[float, float] = (0.0, 0.0),
    turn_deg: float = 0.0,
    blur_px: float = 0.7,
    smear_px: float = 0.0,
    noise: float = 2.0,
    seed: int = 0,
) -> Grey:
    """Return a photograph of a card whose pattern has its lower left corner at a point, turned about it."""
    width, height = camera.size
    columns, rows = np.meshgrid(np.arange(width), np.arange(height))
    ground = camera.ground(np.column_stack([columns.ravel(), rows.ravel()]).astype(np.float64)) - np.array(at)
    angle = math.radians(turn_deg)
    back = ground @ np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    dots_x = ((back[:, 0] + 10.0) * PER_MM - 0.5).reshape(height, width).astype(np.float32)
    dots_y = ((70.0 - back[:, 1]) * PER_MM - 0.5).reshape(height, width).astype(np.float32)
    # dots are averaged to about a pixel before they are picked, so that no edge jumps by a dot
    dots = cv2.GaussianBlur(card_picture(name), (0, 0), 0.4 * PER_MM * camera.height_mm / camera.focal_px)
    seen = cv2.remap(dots, dots_x, dots_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=150)
    light: NDArray[Any] = 25.0 + 0.8 * seen.astype(np.float32)
    if blur_px > 0.0:
        light = cv2.GaussianBlur(light, (0, 0), blur_px)
    if smear_px > 0.0:
        light = cv2.GaussianBlur(light, (0, 0), smear_px, sigmaY=1e-3)
    light = light + np.random.default_rng(seed).normal(0.0, noise, light.shape)
    picture = np.asarray(np.clip(np.round(light), 0, 255), dtype=np.uint8)
    picture.setflags(write=False)
    return picture


def on_card(places_mm: Array, at: tuple[float, float], turn_deg: float) -> Array:
    """Return where places of a card lie on the ground. [mm]"""
    angle = math.radians(turn_deg)
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    return np.asarray(places_mm @ turn + np.array(at))
