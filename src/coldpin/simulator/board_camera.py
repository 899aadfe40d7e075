"""A virtual camera over a board: where a point of the scene falls in the picture, and which point a pixel looks at.

The lens bends straight lines by the division model, which is closed both ways: a ray that falls at distance r from the
middle of the picture would without the bend have fallen at r / (1 + b (r / R)²), with R to the corner.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualCamera:
    """A camera that looks down at a board.

    The picture is ``width`` by ``height`` pixels, whose middles are whole numbers, x to the right and y down. ``focal``
    is the focal length [px]. The axis meets the face of the board at ``aim``, ``distance`` away from the lens [mm]. The
    lens stands ``tilt_deg`` off the upright over that point, in the direction ``toward_deg`` on the board, and the
    picture is turned by ``roll_deg``. ``bend`` is the share by which the lens pushes out its corners, below zero draws
    them in. ``off_axis`` is how far the axis falls from the middle of the picture [px].
    """

    width: int = 1600
    height: int = 1200
    focal: float = 3000.0
    distance: float = 300.0
    aim: tuple[float, float] = (0.0, 0.0)
    tilt_deg: float = 0.0
    toward_deg: float = 0.0
    roll_deg: float = 0.0
    bend: float = 0.0
    off_axis: tuple[float, float] = (0.0, 0.0)

    def __post_init__(self) -> None:
        if not (0.0 <= self.tilt_deg < STEEPEST):
            raise OutsideRange(
                f"virtual camera: tilted by {self.tilt_deg:g}°; from 0° to {STEEPEST:g}° it sees a board"
            )
        if abs(self.bend) > STRONGEST:
            raise OutsideRange(f"virtual camera: bend {self.bend:g}; lenses of phones stay within ±{STRONGEST:g}")

    @property
    def axes(self) -> Array:
        """Right, up and backward of the camera, as rows in the directions of the board: array of shape (3, 3)."""
        tilt, toward, roll = (math.radians(angle) for angle in (self.tilt_deg, self.toward_deg, self.roll_deg))
        back = np.array([math.sin(tilt) * math.cos(toward), math.sin(tilt) * math.sin(toward), math.cos(tilt)])
        right = np.array([1.0, 0.0, 0.0]) - back[0] * back
        right /= np.linalg.norm(right)
        up = np.cross(back, right)
        return np.array(
            [math.cos(roll) * right + math.sin(roll) * up, math.cos(roll) * up - math.sin(roll) * right, back]
        )

    @property
    def lens(self) -> Array:
        """Where the lens is, above the face of the board: array of shape (3,). [mm]"""
        return np.asarray(np.array([*self.aim, 0.0]) + self.distance * self.axes[2])

    @property
    def mm_per_px(self) -> float:
        """Width of a pixel on the face of the board, where the axis meets it. [mm]"""
        return self.distance / self.focal

    @property
    def _middle(self) -> Array:
        return np.asarray(0.5 * np.array([self.width - 1.0, self.height - 1.0]) + np.array(self.off_axis))

    @property
    def _corner(self) -> float:
        return 0.5 * math.hypot(self.width, self.height)

    def project(self, points: Array) -> Array:
        """Return where points of the scene fall in the picture.

        Parameters
        ----------
        points : NDArray[np.float64]
            Array of shape (n, 2) on the face of the board, or (n, 3) with the height above it. [mm]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (n, 2). [px]

        Examples
        --------
        >>> VirtualCamera().project(np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])).round(1).tolist()
        [[799.5, 599.5], [809.5, 599.5], [799.5, 589.5]]
        """
        solid = np.column_stack([points, np.zeros(len(points))]) if points.shape[1] == 2 else points
        across, up, back = self.axes @ (solid - self.lens).T
        straight = self.focal * np.column_stack([across, -up]) / -back[:, None]
        reach = np.hypot(*straight.T)[:, None] / self._corner
        bent = straight * 2.0 / (1.0 + np.sqrt(1.0 - 4.0 * self.bend * reach**2))
        return np.asarray(self._middle + bent)

    def look(self, pixels: Array, *, height: float = 0.0) -> Array:
        """Return which points at one height pixels look at.

        Parameters
        ----------
        pixels : NDArray[np.float64]
            Array of shape (n, 2). [px]
        height : float
            Above the face of the board. [mm]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (n, 2). [mm]

        Examples
        --------
        >>> camera = VirtualCamera(tilt_deg=12.0, toward_deg=70.0, roll_deg=33.0, bend=-0.03)
        >>> there = np.array([[20.0, -15.0]])
        >>> camera.look(camera.project(there)).round(9).tolist()
        [[20.0, -15.0]]
        """
        bent = pixels - self._middle
        straight = bent / (1.0 + self.bend * (np.hypot(*bent.T)[:, None] / self._corner) ** 2)
        rays = np.column_stack([straight[:, 0], -straight[:, 1], np.full(len(straight), -self.focal)]) @ self.axes
        far = (height - self.lens[2]) / rays[:, 2]
        return np.asarray(self.lens[:2] + far[:, None] * rays[:, :2])


STEEPEST = 60.0
"""A board is not photographed from beside. [°]"""

STRONGEST = 0.2
"""Bend of a lens at the corner of its picture. [1]"""


def draw_camera(
    rng: np.random.Generator,
    *,
    over: tuple[float, float, float, float],
    size: tuple[int, int] = (1600, 1200),
    tilt_deg: float = 8.0,
    bend: float = 0.01,
) -> VirtualCamera:
    """Return a camera held by hand over a part of the scene.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where its place comes from.
    over : (float, float, float, float)
        Left, lower, right and upper edge of what is to be seen. [mm]
    size : (int, int)
        Of the picture. [px]
    tilt_deg : float
        Largest tilt. [°]
    bend : float
        Largest bend of the lens at its corners. [1]

    Returns
    -------
    VirtualCamera
        With all of that part in its picture, upright to within a few degrees.

    Examples
    --------
    >>> camera = draw_camera(np.random.default_rng(2), over=(0.0, 0.0, 120.0, 80.0))
    >>> seen = camera.project(np.array([[0.0, 0.0], [120.0, 80.0]]))
    >>> bool((seen > 0.0).all() and (seen < [1600.0, 1200.0]).all())
    True
    """
    left, low, right, high = over
    focal = float(rng.uniform(*FOCAL)) * size[0]
    room = max((right - left) / size[0], (high - low) / size[1]) * float(rng.uniform(*ROOM))
    return VirtualCamera(
        width=size[0],
        height=size[1],
        focal=focal,
        distance=room * focal,
        aim=(0.5 * (left + right) + float(rng.uniform(-1.0, 1.0)), 0.5 * (low + high) + float(rng.uniform(-1.0, 1.0))),
        tilt_deg=float(rng.uniform(0.0, tilt_deg)),
        toward_deg=float(rng.uniform(0.0, 360.0)),
        roll_deg=float(rng.uniform(-3.0, 3.0)),
        bend=float(rng.uniform(-bend, bend)),
        off_axis=(float(rng.uniform(-8.0, 8.0)), float(rng.uniform(-8.0, 8.0))),
    )


FOCAL = (0.8, 2.2)
"""Focal length in widths of the picture: a phone's main lens to its longer one. [1]"""

ROOM = (1.12, 1.25)
"""Width of the picture in widths of what is to be seen. [1]"""
