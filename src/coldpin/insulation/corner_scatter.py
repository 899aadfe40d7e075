"""Where the corners of a drawing might also lie: by the hand that picked them, by the scale, by what stands above it.

Each corner of the drawing is moved many times at once. What is drawn once stays the same whichever influences are let
in, so that each can be looked at alone and the differences are not noise.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.calibration import RAISED_MM, fit_plane
from coldpin.insulation.camera_stand import lens_foot, lowered
from coldpin.insulation.path_corners import rings_drawn
from coldpin.insulation.plane_map import PlaneDraws, PlaneMap, scale_at
from coldpin.insulation.plane_problem import HALF_DIAGONAL_OVER_FOCAL_LENGTH, HELD_SQUARE_DEG
from coldpin.records.board import BoardFeature, BoardModel, Calibration, Role
from coldpin.records.distance import IsolationPath

Array = NDArray[np.float64]
Corner = tuple[str, int, int]
"""A corner of a drawing: name of the shape, ring, number in it."""

SHARED = 0.5
"""Ours: part of the variance of picking that all corners of one rim have in common: a person who takes a blurred rim
too far out does so all round. [1]"""

MITRE = 2.0
"""Ours: a corner is moved no farther than so many times its rim. [1]"""

FINEST_PICK_MM = 0.005
"""Ours: no board is made, and no corner drawn, as exactly as this; a smaller figure is likely in another unit. [mm]"""

FLAT_WITHIN_MM = 0.3
"""Ours: how high the rim of foil, of a land or of a solder joint lies where no height is said: on the face or a little
above it. [mm]"""

LEVEL_WITHIN_MM = 1.0
"""Ours: a card that was meant to be level with a face, or below it, lies no farther above it than this. [mm]"""

STATED_LEVEL_U_MM = 0.3
"""Ours: standard uncertainty of a stated difference in height of card and face, taken by a rule. [mm]"""

CAMERA_HEIGHT_U = 0.05
"""Ours: relative standard uncertainty of a stated height of the lens, which lies somewhere in the camera. [1]"""

CLEAR_OF = 1.5
"""Ours: a lens of unknown height stood at least so many times as high as the tallest thing it saw. [1]"""

LONGEST_LENS = 4.0
"""Ours: focal length of the longest lens that boards are photographed with, in half diagonals of its picture. [1]"""

NEAREST_MM, FARTHEST_MM = 100.0, 600.0
"""Ours: between these stands a camera of which neither height nor picture size is known. [mm]"""


DRAWN_AT_ITS_TOP = (
    "A pin, terminal or wire that was drawn at its top lies elsewhere, by its height over what is left to the lens: "
    "say height_mm, 0 for copper"
)


class Influence(StrEnum):
    """What may have moved a corner."""

    PICKING = "picking"
    POINTS = "points"
    LENGTH = "length"
    HEIGHT = "height"
    LEVEL = "level"


EVERYTHING = frozenset(Influence)


def in_millimetres(board: BoardModel) -> BoardModel:
    """Return a drawing in millimetres: one in pixels by its calibration, as if all of it lay in the face.

    Parameters
    ----------
    board : BoardModel
        The drawing.

    Returns
    -------
    BoardModel
        The same shapes, y up, with the uncertainty of a corner picked as it is in millimetres.

    Raises
    ------
    InputError
        The calibration cannot be fitted.

    Examples
    --------
    >>> from coldpin.records.board import BoardFeature
    >>> header = Calibration(
    ...     method="pitch", picture_px=np.array([[100.0, 50.0], [1243.0, 50.0]]),
    ...     plane_mm=np.array([[0.0, 0.0], [22.86, 0.0]]), found_u_px=1.0, pick_u_px=1.0, length_u_relative=0.0,
    ... )
    >>> corners = np.array([[100.0, 50.0], [200.0, 50.0], [200.0, 150.0]])
    >>> pad = BoardFeature(name="pad 1", role=Role.FLOATING, outline=corners)
    >>> drawn = in_millimetres(BoardModel(features=(pad,), calibration=header))
    >>> (drawn.features[0].outline.round(6) + 0.0).tolist()  # no zero with a sign
    [[0.0, 0.0], [2.0, 0.0], [2.0, -2.0]]
    """
    return Drawing.of(board).in_mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """A drawing as it was given, in millimetres, and the map between the two where there is one."""

    given: BoardModel
    in_mm: BoardModel
    plane: PlaneMap | None

    @classmethod
    def of(cls, board: BoardModel) -> Drawing:
        """Return a drawing with what its calibration makes of it.

        Parameters
        ----------
        board : BoardModel
            As it was given.

        Returns
        -------
        Drawing
            Both.

        Raises
        ------
        InputError
            The calibration cannot be fitted.
        """
        if board.calibration is None:
            return cls(given=board, in_mm=board, plane=None)
        plane, calibration = fit_plane(board.calibration), board.calibration
        level = calibration.face_above_mm or 0.0
        camera = np.array([likely_camera_height(calibration, plane)])
        if not level < camera[0]:
            raise InputError(
                f"the face is said to lie {level:g} mm above the calibrated plane, and the camera {camera[0]:.3g} mm: "
                "correct one of them"
            )
        if calibration.camera_height_mm is not None:
            _below_the_lens(board, level, calibration.camera_height_mm)
        foot = lens_foot(plane.frame, plane.parameters[None], camera)

        def placed(corners: Array) -> Array:
            height = np.full((1, len(corners)), level)
            flat = plane.to_mm(corners)[None]
            return np.asarray(lowered(flat, foot=foot, height=height, camera_height=camera)[0])

        features = tuple(
            replace(shape, outline=placed(shape.outline), openings=tuple(placed(hole) for hole in shape.openings))
            for shape in board.features
        )
        pick = calibration.pick_u_px
        # what is known less well keeps its own uncertainty
        features = tuple(
            shape if shape.pick_u is None else replace(shape, pick_u=shape.pick_u * scale_at(plane, _middle(given)))
            for shape, given in zip(features, board.features, strict=True)
        )
        middle = np.mean([shape.outline.mean(axis=0) for shape in board.features], axis=0) if features else np.zeros(2)
        in_mm = replace(
            board,
            features=features,
            calibration=None,
            pick_u_mm=None if pick is None else pick * scale_at(plane, middle),
        )
        return cls(given=board, in_mm=in_mm, plane=plane)

    @property
    def most_pick_u_mm(self) -> float:
        """The standard uncertainty of a coordinate of the shape that is known least, 0 where none is stated. [mm]"""
        own = [shape.pick_u for shape in self.in_mm.features if shape.pick_u is not None]
        return max(self.in_mm.pick_u_mm or 0.0, *own, 0.0)

    def unknown(self) -> tuple[str, ...]:
        """Return what would have to be known for the uncertainty of its distances to be.

        Returns
        -------
        tuple of str
            Empty where all of it is.
        """
        picked = "with what uncertainty corners were picked is not stated"
        calibration = self.given.calibration
        if calibration is None or self.plane is None:
            return (picked,) if self.given.pick_u_mm is None else _too_fine(self.given.pick_u_mm)
        missing = list(_too_fine(self.in_mm.pick_u_mm))
        if calibration.pick_u_px is None:
            missing.append(picked)
        if calibration.picture_size_px is None:
            missing.append("the size of the picture is not stated, so what its lens bends is not known")
        if self.plane.covariance is None:
            missing.append("with what uncertainty the points of the scale were found is not stated")
        if calibration.length_u_relative is None:
            missing.append("how true the known length of the scale is (the print of a card) is not stated")
        return tuple(missing)


def _middle(shape: BoardFeature) -> Array:
    return np.asarray(shape.outline.mean(axis=0))


def _below_the_lens(board: BoardModel, level: float, camera: float) -> None:
    for shape in board.features:
        if (shape.height_mm or 0.0) + level >= camera:
            raise InputError(
                f"shape {shape.name!r} is said to stand {shape.height_mm:g} mm high, and the camera {camera:g} mm: "
                "correct one of them"
            )


def _too_fine(pick_u_mm: float | None) -> tuple[str, ...]:
    if pick_u_mm is None or pick_u_mm >= FINEST_PICK_MM:
        return ()
    finer = f"finer than boards are made ({FINEST_PICK_MM:g} mm): is the unit right?"
    return (f"corners are said to be picked within {pick_u_mm:.2g} mm, {finer}",)


def likely_camera_height(calibration: Calibration, plane: PlaneMap) -> float:
    """Return the stated height of the lens, else the middle of what lenses have.

    Parameters
    ----------
    calibration : Calibration
        With the height of the lens, where it was measured.
    plane : PlaneMap
        The map by it.

    Returns
    -------
    float
        Above the calibrated plane. [mm]
    """
    if calibration.camera_height_mm is not None:
        return calibration.camera_height_mm
    low, high = _camera_heights(calibration, plane)
    return math.sqrt(low * high)


def _camera_heights(calibration: Calibration, plane: PlaneMap) -> tuple[float, float]:
    """Return between which heights the lens stood, where nobody said it. [mm]"""
    if calibration.picture_size_px is None:
        return NEAREST_MM, FARTHEST_MM
    half_diagonal = plane.frame.radius_px * scale_at(plane, plane.frame.centre_px)
    return half_diagonal / HALF_DIAGONAL_OVER_FOCAL_LENGTH, half_diagonal * LONGEST_LENS


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scatter:
    """Some corners of a drawing, each moved ``count`` times."""

    drawing: Drawing
    corners: tuple[Corner, ...]
    count: int
    seed: int
    _made: dict[frozenset[Influence], Mapping[tuple[str, int], Array]] = field(
        init=False, repr=False, default_factory=dict
    )
    _drawn: dict[str, Array] = field(init=False, repr=False, default_factory=dict)
    """What influences let in together and alone have in common, drawn once."""

    def _random(self, *what: object) -> np.random.Generator:
        """Return a source of its own for one thing, whatever else is drawn."""
        name = hashlib.blake2b(repr(what).encode(), digest_size=8).digest()
        return np.random.default_rng([self.seed, int.from_bytes(name)])

    def _once(self, name: str, draw: Callable[[], Array]) -> Array:
        if name not in self._drawn:
            self._drawn[name] = draw()
        return self._drawn[name]

    def _maps(self, let_in: frozenset[Influence]) -> PlaneDraws:
        """Return the maps; one for all draws of what is not let in."""
        plane = self.drawing.plane
        assert plane is not None
        maps = PlaneDraws(frame=plane.frame, parameters=plane.parameters[None], stretch=np.ones(1))
        if not let_in & {Influence.POINTS, Influence.LENGTH}:
            return maps
        drawn = self._once("maps", self._drawn_maps)
        if Influence.POINTS in let_in:
            maps = replace(maps, parameters=drawn[:, :-1])
        if Influence.LENGTH in let_in:
            maps = replace(maps, stretch=drawn[:, -1])
        return maps

    def _drawn_maps(self) -> Array:
        """Return parameters and stretch of the maps as they might also be, array of shape (count, 11)."""
        assert self.drawing.plane is not None
        maps = self.drawing.plane.draw(self.count, self._random("plane"))
        return np.column_stack([maps.parameters, maps.stretch])

    def moved(self, influences: Collection[Influence] = EVERYTHING) -> Mapping[tuple[str, int], Array]:
        """Return the rings on which the corners lie, with those corners moved.

        Parameters
        ----------
        influences : collection of Influence
            By what; all the rest stays as drawn.

        Returns
        -------
        mapping
            For each shape by name, and ring: array of shape (count, n, 2). [mm]
        """
        if not self.corners:
            return {}
        let_in = frozenset(influences)
        if let_in not in self._made:
            self._made[let_in] = self._rings(self._places(let_in))
        return self._made[let_in]

    def by_maps(self, parameters: Array) -> Mapping[tuple[str, int], Array]:
        """Return the rings on which the corners lie, with those corners placed by other maps.

        Parameters
        ----------
        parameters : NDArray[np.float64]
            Array of shape (n, 10).

        Returns
        -------
        mapping
            For each shape by name, and ring: array of shape (n, m, 2). [mm]

        Raises
        ------
        InputError
            The drawing is in millimetres and has no map.
        """
        if not self.corners:
            return {}
        if self.drawing.plane is None:
            raise InputError("the drawing is in millimetres: it has no map of pixels")
        maps = PlaneDraws(frame=self.drawing.plane.frame, parameters=parameters, stretch=np.ones(len(parameters)))
        among = replace(self, count=len(parameters))
        return among._rings(among._seen_by(maps, self._given()[None], frozenset()))

    def _given(self) -> Array:
        """Return the corners as they were given, array of shape (m, 2)."""
        shapes = {shape.name: shape for shape in self.drawing.given.features}
        return np.array([rings_drawn(shapes[name])[ring][corner] for name, ring, corner in self.corners])

    def _rings(self, places: Array) -> Mapping[tuple[str, int], Array]:
        shapes = {shape.name: shape for shape in self.drawing.in_mm.features}
        rings: dict[tuple[str, int], Array] = {}
        for index, (name, ring, corner) in enumerate(self.corners):
            if (name, ring) not in rings:
                as_drawn = rings_drawn(shapes[name])[ring]
                rings[name, ring] = np.repeat(as_drawn[None], self.count, axis=0)
            rings[name, ring][:, corner] = places[:, index]
        return rings

    def _places(self, let_in: frozenset[Influence]) -> Array:
        """Return the corners moved, array of shape (count, m, 2), or (1, m, 2) where nothing moves them. [mm]"""
        given = self._given()
        plane, calibration = self.drawing.plane, self.drawing.given.calibration
        if plane is None or calibration is None:
            return self._picked(given, self.drawing.given.pick_u_mm, let_in)
        seen = self._picked(given, calibration.pick_u_px, let_in)
        return self._seen_by(self._maps(let_in), seen, let_in)

    def _seen_by(self, maps: PlaneDraws, seen: Array, let_in: frozenset[Influence]) -> Array:
        """Return where corners seen in the picture are, by as many maps as there are draws."""
        plane, calibration = self.drawing.plane, self.drawing.given.calibration
        assert plane is not None
        assert calibration is not None
        camera = self._camera(calibration, plane, let_in)
        steepest = HELD_SQUARE_DEG if plane.square else None
        foot = lens_foot(plane.frame, maps.parameters, camera, steepest=steepest)
        return lowered(maps.to_mm(seen), foot=foot, height=self._heights(calibration, let_in), camera_height=camera)

    def _picked(self, given: Array, pick_u: float | None, let_in: frozenset[Influence]) -> Array:
        if Influence.PICKING not in let_in or not pick_u or not self.corners:
            return given[None]
        return np.asarray(given + self._pick_us(pick_u)[:, None] * self._once("hand", self._by_hand))

    def _by_hand(self) -> Array:
        """Return how far each corner is off by the hand, array of shape (count, m, 2), in its uncertainty."""
        alone = [self._random("corner", *corner).standard_normal((self.count, 2)) for corner in self.corners]
        rims = [self._random("rim", name, ring).standard_normal(self.count) for name, ring, _ in self.corners]
        outward = np.stack(rims, axis=1)[..., None] * self._outward()
        return math.sqrt(1.0 - SHARED) * np.stack(alone, axis=1) + math.sqrt(SHARED) * outward

    def _pick_us(self, pick_u: float) -> Array:
        """Return how well each corner is known, array of shape (m,): as all are, or less well where its shape is."""
        own = {shape.name: shape.pick_u or 0.0 for shape in self.drawing.given.features}
        return np.array([max(pick_u, own[name]) for name, _, _ in self.corners])

    def _outward(self) -> Array:
        """Return where each corner goes when its whole rim is drawn one unit farther out, array of shape (m, 2)."""
        shapes = {shape.name: shape for shape in self.drawing.given.features}
        return np.array([_outward_at(rings_drawn(shapes[name])[ring], corner) for name, ring, corner in self.corners])

    def _camera(self, calibration: Calibration, plane: PlaneMap, let_in: frozenset[Influence]) -> Array:
        likely = likely_camera_height(calibration, plane)
        if not let_in & {Influence.HEIGHT, Influence.LEVEL}:
            return np.full(self.count, likely)
        random = self._random("camera")
        if calibration.camera_height_mm is not None:
            return likely * np.exp(CAMERA_HEIGHT_U * random.standard_normal(self.count))
        low, high = _camera_heights(calibration, plane)
        tallest = max((shape.height_mm or 0.0 for shape in self.drawing.given.features), default=0.0)
        # it stood above all that it saw
        low = max(low, CLEAR_OF * (tallest + (calibration.face_above_mm or 0.0)))
        return np.asarray(low * (max(high, low) / low) ** random.random(self.count))

    def _heights(self, calibration: Calibration, let_in: frozenset[Influence]) -> Array:
        """Return how far each corner lies above the plane, array of shape (count, m). [mm]"""
        stated = calibration.face_above_mm
        level = np.full(self.count, stated or 0.0)
        if Influence.LEVEL in let_in:
            random = self._random("level")
            if stated is not None:
                level += STATED_LEVEL_U_MM * random.standard_normal(self.count)
            elif calibration.method == "card":
                # a board that stands on something reads too long, so this must not be left to chance
                level += (RAISED_MM + LEVEL_WITHIN_MM) * random.random(self.count) - LEVEL_WITHIN_MM
        heights = np.repeat(level[:, None], len(self.corners), axis=1)
        if Influence.HEIGHT in let_in:
            heights += self._once("heights", self._stands)
        return heights

    def _stands(self) -> Array:
        """Return how far each corner stands above the face, array of shape (count, m). [mm]"""
        highest = {shape.name: _highest(shape.role, shape.height_mm) for shape in self.drawing.given.features}
        part = {name: self._random("height", name).random(self.count) for name, _, _ in self.corners}
        return np.stack([highest[name] * part[name] for name, _, _ in self.corners], axis=1)


def heights_not_said(board: BoardModel, paths: Iterable[IsolationPath]) -> tuple[str, ...]:
    """Ask for the heights of conductors between which a picture was measured, where they were not said.

    Parameters
    ----------
    board : BoardModel
        The drawing.
    paths : iterable of IsolationPath
        What was found in it.

    Returns
    -------
    tuple of str
        One remark, or none: the drawing is not over a picture, or says its heights.
    """
    if board.calibration is None:
        return ()
    ends = {name for path in paths for name in path.between}
    flat = [shape.name for shape in board.features if shape.name in ends and shape.height_mm is None]
    if not flat:
        return ()
    taken = f"no height is said of {', '.join(flat)}: taken as copper that lies flat within {FLAT_WITHIN_MM:g} mm"
    return (f"{taken}. {DRAWN_AT_ITS_TOP}",)


def _outward_at(ring: Array, corner: int) -> Array:
    """Return where a corner goes when both its sides are moved one unit outward; no farther than a mitre may reach."""
    x, y = ring.T
    turning = math.copysign(1.0, float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))
    before = ring[corner] - ring[corner - 1]
    after = ring[(corner + 1) % len(ring)] - ring[corner]
    lengths = float(np.hypot(*before)), float(np.hypot(*after))
    if not all(lengths):
        return np.zeros(2)
    normals = [
        turning * np.array([side[1], -side[0]]) / length for side, length in zip((before, after), lengths, strict=True)
    ]
    both = normals[0] + normals[1]
    size = float(np.hypot(*both))
    # their sum is twice the cosine of half the turn; the mitre is one over that cosine
    return np.asarray(both / size * min(2.0 / size, MITRE)) if size > 0.0 else np.zeros(2)


def _highest(role: Role, stated: float | None) -> float:
    """Return up to which height the rim that was picked may lie: it may be that of the top or that at the foot. [mm]"""
    if role in (Role.BOARD, Role.SLOT):
        return 0.0
    return FLAT_WITHIN_MM if stated is None else max(stated, 0.0)


def corners_of(pins: Iterable[tuple[str, int, int, int]]) -> tuple[Corner, ...]:
    """Return the corners on which pins depend: two of the rim that each hangs on, and one more on either side.

    Parameters
    ----------
    pins : iterable of tuple
        Shape, ring, number of a corner, and how many corners the ring has.

    Returns
    -------
    tuple of Corner
        Each once.

    Examples
    --------
    >>> corners_of([("pad 1", 0, 3, 4)])
    (('pad 1', 0, 2), ('pad 1', 0, 3), ('pad 1', 0, 0), ('pad 1', 0, 1))
    """
    found = [(name, ring, (corner + step) % count) for name, ring, corner, count in pins for step in (-1, 0, 1, 2)]
    return tuple(dict.fromkeys(found))
