"""A picture of a virtual board as a camera takes it: colours, shadows, parts with height, blur and grain.

Shapes are carried into the picture corner by corner and filled there with the share of each pixel that they cover.
Light adds up as light; what is written is coded as in any picture file.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.path import Path
from matplotlib.textpath import TextPath
from matplotlib.transforms import IdentityTransform
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, zoom
from scipy.spatial import ConvexHull

from coldpin.records.board import Role
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_camera import VirtualCamera
from coldpin.simulator.board_card import LyingCard
from coldpin.simulator.board_part import Body

Array = NDArray[np.float64]
Mask = NDArray[np.float32]
Placed = Callable[[Array], Array]

COLOURS: Mapping[str, tuple[float, float, float]] = MappingProxyType(
    {
        "bench": (0.34, 0.31, 0.27),
        "mask": (0.018, 0.105, 0.045),
        "copper": (0.055, 0.24, 0.085),
        "edge": (0.30, 0.27, 0.13),
        "through": (0.035, 0.03, 0.026),
        "solder": (0.52, 0.53, 0.52),
        "tin": (0.60, 0.60, 0.58),
        "steel": (0.36, 0.36, 0.37),
        "dark": (0.05, 0.05, 0.05),
        "print": (0.74, 0.75, 0.72),
        "black": (0.016, 0.016, 0.018),
        "grey": (0.16, 0.165, 0.17),
        "blue": (0.02, 0.07, 0.27),
        "sleeve": (0.03, 0.03, 0.05),
        "yellow": (0.55, 0.36, 0.05),
        "terminal": (0.03, 0.22, 0.06),
        "ceramic": (0.62, 0.60, 0.53),
        "film": (0.42, 0.19, 0.06),
        "white": (0.70, 0.70, 0.68),
        "paper": (0.78, 0.78, 0.76),
        "ink": (0.022, 0.022, 0.024),
    }
)
"""Light that a thing throws back, red, green and blue, as parts of what falls on it. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """What lens and sensor do to a picture.

    ``blur`` is the deviation of a point's spread and ``moved`` how far the camera moved, across and down [px].
    ``grain`` is the deviation of the noise at full light [1], ``dim`` the share of light lost in the corners, ``slant``
    how much lighter the left is than the right [1]. A ``mirrored`` picture has been flipped left to right.
    """

    blur: float = 0.8
    moved: tuple[float, float] = (0.0, 0.0)
    grain: float = 0.012
    dim: float = 0.12
    slant: float = 0.12
    mirrored: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A board on a bench, perhaps with a card beside it.

    ``bench_mm`` is how far the bench lies below the face of the board. ``light`` is how far a shadow reaches for one
    millimetre of height, across and up [1].
    """

    board: VirtualBoard
    card: LyingCard | None = None
    bench_mm: float = 6.0
    light: tuple[float, float] = (0.35, -0.25)


def take_picture(scene: Scene, camera: VirtualCamera, film: Film, *, seed: np.random.Generator) -> NDArray[np.uint8]:
    """Return the picture that a camera takes of a scene.

    Parameters
    ----------
    scene : Scene
        What lies there.
    camera : VirtualCamera
        From where it is seen.
    film : Film
        What lens and sensor add.
    seed : numpy.random.Generator
        Where grain and textures come from.

    Returns
    -------
    NDArray[np.uint8]
        Array of shape (height, width, 3): red, green, blue.

    Examples
    --------
    >>> from coldpin.simulator.board_layout import CrossingPlan, lay_out
    >>> camera = VirtualCamera(width=160, height=120, focal=300.0, aim=(38.0, 20.0))
    >>> scene = Scene(board=lay_out([CrossingPlan()]))
    >>> take_picture(scene, camera, Film(), seed=np.random.default_rng(1)).shape
    (120, 160, 3)
    """
    sheet = _Sheet(camera, seed)
    _bench(sheet, scene)
    _board(sheet, scene)
    if scene.card is not None:
        _card(sheet, scene.card, scene)
    for body in sorted((b for group in scene.board.groups for b in group.bodies), key=lambda b: b.height_mm):
        _body(sheet, body, scene)
    return develop(sheet.light, film, seed=seed)


class _Sheet:
    """The light that falls on the sensor, shape by shape, the nearer over the farther.

    Parameters
    ----------
    camera : VirtualCamera
        From where all is seen.
    rng : numpy.random.Generator
        Where textures come from.
    """

    def __init__(self, camera: VirtualCamera, rng: np.random.Generator) -> None:
        self.camera = camera
        self.rng = rng
        self.light = np.empty((camera.height, camera.width, 3), np.float32)
        self.light[:] = COLOURS["bench"]

    def mask(
        self, outlines: Sequence[Array], height: float | Placed = 0.0, *, around: int = 1
    ) -> tuple[tuple[slice, slice], Mask] | None:
        """Return which share of each pixel shapes cover together, and where in the picture, with pixels around."""
        seen = [self.camera.project(_solid(_dense(outline), height)) for outline in outlines]
        return self.filled(seen, around=around)

    def filled(
        self, seen: Sequence[Array], closed: Sequence[Path] = (), *, around: int = 1
    ) -> tuple[tuple[slice, slice], Mask] | None:
        """Return the mask of outlines in the picture, where they are in it."""
        points = np.concatenate([*seen, *(path.vertices for path in closed)])
        low = np.maximum(np.floor(points.min(axis=0)).astype(int) - around, 0)
        far = np.ceil(points.max(axis=0)).astype(int) + around + 1
        high = np.minimum(far, [self.camera.width, self.camera.height])
        width, height = high - low
        if width <= 0 or height <= 0:
            return None
        paths = [Path(np.concatenate([one, one[:1]]), closed=True) for one in seen]
        path = Path.make_compound_path(*paths, *closed)
        # the renderer counts from the lower edge, and from the edge of a pixel, not from its middle
        path = Path((path.vertices - low + 0.5) * [1.0, -1.0] + [0.0, height], path.codes)
        path.should_simplify = False
        renderer: Any = RendererAgg(int(width), int(height), 72)  # type: ignore[no-untyped-call]  # no types there
        pen = renderer.new_gc()
        pen.set_linewidth(0.0)
        pen.set_antialiased(True)
        pen.set_snap(False)
        renderer.draw_path(pen, path, IdentityTransform(), (1.0, 1.0, 1.0))
        share = np.asarray(renderer.buffer_rgba())[:, :, 3].astype(np.float32) / 255.0
        return (slice(low[1], high[1]), slice(low[0], high[0])), share

    def paint(self, outlines: Sequence[Array], material: str, height: float | Placed = 0.0) -> None:
        """Cover what lies below with a material."""
        self.cover(self.mask(outlines, height), material)

    def cover(self, masked: tuple[tuple[slice, slice], Mask] | None, material: str, shade: float = 1.0) -> None:
        """Cover what lies below a mask."""
        if masked is not None:
            where, share = masked
            colour = shade * np.array(COLOURS[material], np.float32)
            self.light[where] += share[:, :, None] * (colour - self.light[where])

    def darken(self, outline: Array, by: float, soft: float, height: float = 0.0) -> None:
        """Lay a shadow with a soft edge, in millimetres."""
        spread = soft / self.camera.mm_per_px
        masked = self.mask([outline], height, around=1 + int(3.0 * spread))
        if masked is not None:
            where, share = masked
            share = gaussian_filter(share, spread, truncate=3.0)
            self.light[where] *= 1.0 - by * share[:, :, None]

    def grained(self, strength: float, coarse: float) -> None:
        """Give all that is there so far a texture."""
        step = max(int(coarse), 1)
        shape = [-(-side // step) + 1 for side in self.light.shape[:2]]
        field = gaussian_filter(self.rng.standard_normal(shape, dtype=np.float32), coarse / step)
        field = 1.0 + strength * field / field.std()
        height, width = self.light.shape[:2]
        self.light *= zoom(field, step, order=1)[:height, :width, None]


def _solid(points: Array, height: float | Placed) -> Array:
    if callable(height):
        return height(points)
    return np.column_stack([points, np.full(len(points), height)])


def _dense(outline: Array, step: float = 6.0) -> Array:
    """Return an outline with corners added where it runs long without one, as a lens bends it. [mm]"""
    ends = np.roll(outline, -1, axis=0)
    counts = np.maximum(np.ceil(np.hypot(*(ends - outline).T) / step), 1.0).astype(int)
    pieces = [
        start + np.linspace(0.0, 1.0, count, endpoint=False)[:, None] * (end - start)
        for start, end, count in zip(outline, ends, counts, strict=True)
    ]
    return np.concatenate(pieces)


def _hull(*outlines: Array) -> Array:
    points = np.concatenate(outlines)
    return np.asarray(points[ConvexHull(points).vertices])


def _bench(sheet: _Sheet, scene: Scene) -> None:
    sheet.grained(0.05, 0.02 * sheet.camera.width)
    sheet.grained(0.06, 1.2)
    rim = scene.board.model().of_role(Role.BOARD)[0].outline
    away = np.array(scene.light) * scene.bench_mm
    sheet.darken(_hull(rim, rim + away), 0.6, 0.5 * scene.bench_mm, height=-scene.bench_mm)


def _board(sheet: _Sheet, scene: Scene) -> None:
    """Paint the bare board: its edge, mask, copper below it, metal and print on it, slots through it."""
    model, under = scene.board.model(), -scene.board.thickness
    for shape in model.of_role(Role.BOARD):
        sides = [sheet.camera.project(_solid(shape.outline, height)) for height in (0.0, under)]
        sheet.cover(sheet.filled([_hull(*sides)]), "edge")
        sheet.paint([shape.outline], "mask")
    for shape in (*model.of_role(Role.CONDUCTOR), *model.of_role(Role.FLOATING)):
        sheet.paint([shape.outline], "copper")
    for finish in (finish for group in scene.board.groups for finish in group.finishes):
        sheet.paint([finish.outline], finish.material)
    _print(sheet, scene.board)
    for slot in model.of_role(Role.SLOT):
        _through(sheet, slot.outline, under)


def _through(sheet: _Sheet, outline: Array, under: float) -> None:
    """Paint a slot: its wall, and past its lower edge what lies below."""
    above = sheet.mask([outline])
    sheet.cover(above, "edge", shade=0.7)
    if above is not None:
        where, share = above
        far = np.zeros(sheet.light.shape[:2], np.float32)
        below = sheet.mask([outline], under)
        if below is not None:
            far[below[0]] = below[1]
        sheet.cover((where, share * far[where]), "through")


def _print(sheet: _Sheet, board: VirtualBoard) -> None:
    """Paint the words that are printed on the board."""
    for label in (label for group in board.groups for label in group.labels):
        drawn = TextPath((0.0, 0.0), label.text, size=label.size)
        flat = np.asarray(drawn.vertices) + np.array(label.at)
        seen = Path(sheet.camera.project(flat), drawn.codes)
        sheet.cover(sheet.filled([], [seen]), "print")


def _card(sheet: _Sheet, lying: LyingCard, scene: Scene) -> None:
    """Paint the card: its shadow, paper, ink."""
    card = lying.card
    rim = card.paper.corners
    placed = lying.place(rim)[:, :2]
    lift = max(lying.at[2] + scene.bench_mm, 0.3)
    away = np.array(scene.light) * lift
    sheet.darken(_hull(placed, placed + away), 0.5, 0.4 * lift, height=-scene.bench_mm)
    sheet.paint([rim], "paper", lying.place)
    if card.black:
        sheet.paint([block.corners for block in card.black], "ink", lying.place)


def _body(sheet: _Sheet, body: Body, scene: Scene) -> None:
    """Paint a part: its shadow on the face, its sides, its top."""
    tall = body.height_mm - body.seat_mm
    away = np.array(scene.light)
    foot, head = body.outline + body.seat_mm * away, body.outline + body.height_mm * away
    if body.seat_mm < 1.0 and tall > 0.2:
        sheet.darken(_hull(foot, head), 0.55, min(0.25 * tall, 0.8))
    outlines = [sheet.camera.project(_solid(_dense(body.outline), height)) for height in (body.seat_mm, body.height_mm)]
    sheet.cover(sheet.filled([_hull(*outlines)]), body.material, shade=SIDE)
    sheet.paint([body.outline], body.material, body.height_mm)


SIDE = 0.6
"""Light on the sides of a part, as part of that on its top. [1]"""


def develop(light: NDArray[np.float32], film: Film, *, seed: np.random.Generator) -> NDArray[np.uint8]:
    """Return the picture that lens and sensor make of light.

    Parameters
    ----------
    light : NDArray[np.float32]
        Array of shape (height, width, 3). [1]
    film : Film
        What they do.
    seed : numpy.random.Generator
        Where the grain comes from.

    Returns
    -------
    NDArray[np.uint8]
        Array of the same shape, coded for a screen.

    Examples
    --------
    >>> grey = np.full((3, 3, 3), 0.2140, np.float32)
    >>> still = Film(grain=0.0, dim=0.0, slant=0.0)
    >>> int(develop(grey, still, seed=np.random.default_rng(0))[1, 1, 0])
    127
    """
    height, width = light.shape[:2]
    across = np.linspace(-1.0, 1.0, width, dtype=np.float32)[None, :]
    down = np.linspace(-1.0, 1.0, height, dtype=np.float32)[:, None]
    fall = (1.0 - 0.5 * film.dim * (across**2 + down**2)) * (1.0 - 0.5 * film.slant * across)
    spread = light * fall[:, :, None]
    if film.blur > 0.0:
        spread = gaussian_filter(spread, (film.blur, film.blur, 0.0))
    if any(film.moved):
        spread = _dragged(spread, film.moved)
    if film.grain > 0.0:
        spread += film.grain * np.sqrt(spread + 0.01) * seed.standard_normal(spread.shape, dtype=np.float32)
    picture = CODES[np.clip(spread * (len(CODES) - 1) + 0.5, 0, len(CODES) - 1).astype(np.uint16)]
    return np.ascontiguousarray(picture[:, ::-1]) if film.mirrored else picture


def _codes() -> NDArray[np.uint8]:
    """Return what is written for each of many even steps of light, by the curve that screens follow (sRGB)."""
    steps = np.linspace(0.0, 1.0, 1 << 16)
    coded = np.where(steps <= 0.0031308, 12.92 * steps, 1.055 * steps ** (1.0 / 2.4) - 0.055)
    return np.round(255.0 * coded).astype(np.uint8)


CODES = _codes()
"""By light, from none to full, in as many steps as there are."""


def _dragged(light: NDArray[np.float32], moved: tuple[float, float]) -> NDArray[np.float32]:
    steps = int(np.ceil(np.hypot(*moved))) + 1
    total = np.zeros_like(light)
    for part in np.linspace(-0.5, 0.5, steps):
        total += np.roll(light, (round(moved[1] * part), round(moved[0] * part)), axis=(0, 1))
    return np.asarray(total / steps, np.float32)
