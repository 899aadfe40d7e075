"""A case with a photograph of a board and a drawing over it, made in a moment: tenths of a millimetre to a pixel."""

from __future__ import annotations

import hashlib
import io
import json
import shutil
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from coldpin.workbench import add_evidence
from tests.workbench.quay import at, make_case, make_shelf

SIZE = (600, 400)
COPPER = {"mains L": (100, 100, 200, 300), "pilot CP": (300, 100, 400, 300)}
"""Left, top, right and bottom of each. [px]"""
UNDRAWN = (440, 120, 500, 180)
"""A pad in the photograph that nobody has drawn yet. [px]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCase:
    """The shelf, its case, and the entries of photograph and drawing."""

    shelf: Path
    case: Path
    photograph: str
    drawing: str


def picture() -> bytes:
    """A green board with lighter copper on it, on a grey table."""
    generator = np.random.default_rng(5)
    pixels = np.full((SIZE[1], SIZE[0], 3), (150, 140, 130), dtype=np.float64)
    pixels[60:340, 60:540] = (30, 90, 55)
    for left, top, right, bottom in (*COPPER.values(), UNDRAWN):
        pixels[top:bottom, left:right] = (95, 165, 95)
    noisy = np.clip(pixels + generator.normal(0.0, 1.5, pixels.shape), 0, 255).astype(np.uint8)
    held = io.BytesIO()
    Image.fromarray(noisy).save(held, format="PNG")
    return held.getvalue()


def box(left: float, top: float, right: float, bottom: float) -> list[list[float]]:
    """The corners of a rectangle, the first again at the end."""
    return [[left, top], [right, top], [right, bottom], [left, bottom], [left, top]]


def feature(corners: list[list[float]], **said: object) -> dict[str, Any]:
    """A shape as the file has it."""
    return {"type": "Feature", "properties": said, "geometry": {"type": "Polygon", "coordinates": [corners]}}


def drawing(pilot_left: float = 300.0) -> dict[str, Any]:
    """The file of the drawing; a note of another program is in it."""
    known = ((50, 50, 0, 30), (550, 50, 50, 30), (550, 350, 50, 0), (50, 350, 0, 0))
    scale = {
        "unit": "px",
        "method": "rectangle",
        "points": [{"px": [x, y], "mm": [u, v]} for x, y, u, v in known],
        "found_u_px": 0.5,
        "pick_u_px": 0.5,
        "length_u_relative": 0.0005,
        "picture": hashlib.sha256(picture()).hexdigest(),
        "picture_size_px": list(SIZE),
        "face_above_mm": 0.0,
    }
    _, top, right, bottom = COPPER["pilot CP"]
    return {
        "type": "FeatureCollection",
        "scale": scale,
        "view": "plan",
        "drawn with": "another program",
        "features": [
            feature(box(60, 60, 540, 340), role="board", name="board"),
            feature(box(*COPPER["mains L"]), role="conductor", net="mains L", name="L 1", layer=7),
            feature(box(pilot_left, top, right, bottom), role="conductor", net="pilot CP", name="CP 1"),
        ],
    }


def as_bytes(plain: dict[str, Any]) -> bytes:
    """A drawing as its file."""
    return json.dumps(plain).encode()


def file_board(case: Path, place: Path) -> tuple[str, str]:
    """File photograph and drawing as a person would; the files lie on ``place`` before. Returns their entries."""
    (place / "board.png").write_bytes(picture())
    (place / "board.geojson").write_bytes(as_bytes(drawing()))
    photograph = add_evidence(
        case, place / "board.png", shows="photograph", who="Ines", made=at(1), now=at(1), conditions={"of": "the board"}
    )
    drawn = add_evidence(
        case,
        place / "board.geojson",
        shows="board drawing",
        who="Ines",
        made=at(2),
        now=at(2),
        conditions={"drawn from": "photograph"},
    )
    return photograph.entry.id, drawn.entry.id


BELOW = (210, 150, 280, 250)
"""Copper of the other face, where it lies under the first picture. [px]"""
OTHER_SIZE = (700, 520)
SHARED = ((60.0, 60.0), (540.0, 60.0), (540.0, 340.0), (60.0, 340.0), (300.0, 200.0))
"""Places that are seen on both faces: the corners of the board, and a hole. [px]"""
_SEEN = np.array([[-1.05, 0.06, 660.0], [-0.04, -1.1, 500.0], [5e-5, 8e-5, 1.0]])
"""From the first picture to the second, mirrored: turned upside down, nearer, held a little aslant."""


def in_other(places: object) -> np.ndarray:
    """Where places of the first picture are in that of the other face, as it was taken."""
    raised = np.column_stack([np.asarray(places, dtype=np.float64), np.ones(len(np.asarray(places)))]) @ _SEEN.T
    x, y = (raised[:, :2] / raised[:, 2:]).T
    return np.column_stack([OTHER_SIZE[0] - 1.0 - x, y])


def other_picture() -> bytes:
    """The other face of the same board, photographed after it was turned over."""
    x, y = np.meshgrid(np.arange(OTHER_SIZE[0]), np.arange(OTHER_SIZE[1]))
    mirrored = np.stack([OTHER_SIZE[0] - 1.0 - x, y, np.ones_like(x)], axis=-1).reshape(-1, 3)
    back = mirrored @ np.linalg.inv(_SEEN).T
    u, v = (back[:, :2] / back[:, 2:]).T
    pixels = np.full((len(u), 3), (150, 140, 130), dtype=np.uint8)
    left, top, right, bottom = BELOW
    pixels[(u > 60) & (u < 540) & (v > 60) & (v < 340)] = (60, 70, 30)
    pixels[(u > left) & (u < right) & (v > top) & (v < bottom)] = (170, 170, 150)
    held = io.BytesIO()
    Image.fromarray(pixels.reshape(OTHER_SIZE[1], OTHER_SIZE[0], 3)).save(held, format="PNG")
    return held.getvalue()


def laid_under(plain: dict[str, Any], marks: object = SHARED) -> dict[str, Any]:
    """A drawing under which the other picture is laid."""
    places = np.asarray(marks)
    pairs = zip(places.tolist(), in_other(places).round(2).tolist(), strict=True)
    other = {
        "picture": hashlib.sha256(other_picture()).hexdigest(),
        "picture_size_px": list(OTHER_SIZE),
        "marks": [{"at": at_, "px": px} for at_, px in pairs],
    }
    return {**plain, "other_face": other}


def file_other(case: Path, place: Path) -> str:
    """File the photograph of the other face; returns its entry."""
    (place / "bottom.png").write_bytes(other_picture())
    made = add_evidence(
        case, place / "bottom.png", shows="photograph", who="Ines", made=at(3), now=at(3), conditions={"of": "bottom"}
    )
    return made.entry.id


def make_board_case(place: Path) -> BoardCase:
    """A shelf with one case that has both."""
    shelf = make_shelf(place / "shelf")
    case = make_case(shelf)
    photograph, drawn = file_board(case, place)
    return BoardCase(shelf=shelf, case=case, photograph=photograph, drawing=drawn)


def copied(made: BoardCase, place: Path) -> BoardCase:
    """The same on a shelf of its own, for a test that writes."""
    shelf = Path(shutil.copytree(made.shelf, place / "shelf"))
    return replace(made, shelf=shelf, case=shelf / made.case.name)
