"""Drawings of boards: a GeoJSON FeatureCollection (RFC 7946) with a scale, read as a stranger may have written it.

.. code-block:: text

    {"type": "FeatureCollection",
     "scale": {"unit": "mm", "pick_u_mm": 0.03},         y up; or pixels with a calibration, y down
     "thickness_mm": 1.6,                                 with it the board has two faces
     "view": "plan",                                      or "section"
     "other_face": {...},                                 a photograph laid under it by marks seen in both
     "features": [{"type": "Feature",
                   "properties": {"role": "conductor", "net": "mains L", "face": "top", "height_mm": 1.2},
                   "geometry": {"type": "Polygon", "coordinates": [[[0, 0], [4, 0], [4, 2], [0, 0]]]}}]}
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from os import PathLike
from pathlib import Path
from typing import Any, NoReturn

import numpy as np
import shapely

from coldpin.capture.board_feature import KINDS, DrawnFeature, read_feature
from coldpin.capture.board_names import refuse_names
from coldpin.capture.board_other_face import plain_other_face, read_other_face
from coldpin.capture.board_overlaps import refuse_overlaps
from coldpin.capture.board_place import Place, shown
from coldpin.capture.board_scale import plain_scale, read_scale
from coldpin.capture.signature import content_signature
from coldpin.capture.source import CaptureFile
from coldpin.records.board import BoardFeature, BoardModel, Role, View
from coldpin.records.board_questions import net_questions, proposal_questions, size_questions

MOST_BYTES = 32 << 20
"""Ours: a drawing of a board is smaller; that of a whole layout has about a megabyte. [bytes]"""

MOST_FEATURES = 20_000
"""Ours: shapes of one drawing."""

MOST_CORNERS = 500_000
"""Ours: corners of one drawing; paths are found among a tenth of that."""

_MEMBERS = ("type", "scale", "view", "thickness_mm", "other_face", "features")
_LISTED = 5
_THICKEST_MM = 10.0
"""Ours: a board thicker than this is asked about. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardFile:
    """A drawing as read: the board, and what there is to say of the file."""

    board: BoardModel
    remarks: tuple[str, ...] = ()


def read_board(path: str | PathLike[str]) -> BoardFile:
    """Read the drawing of a board.

    Parameters
    ----------
    path : str or path
        A GeoJSON file.

    Returns
    -------
    BoardFile
        The board, and remarks.

    Raises
    ------
    CaptureError
        The file cannot be read, or draws what cannot be: the message names file, feature and place, and what to do.
    """
    return parse_board(read_bytes(Path(path)), where=Path(path).name)


def read_bytes(path: Path) -> bytes:
    """Return the bytes of a drawing's file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    bytes
        All of it, to be kept and parsed.

    Raises
    ------
    CaptureError
        It is not a plain file, is larger than any drawing, or cannot be read.
    """
    with CaptureFile(path, kind="board", holds="the drawing") as file:
        if file.size > MOST_BYTES:
            raise file.error(
                f"it has {file.size} bytes; at most {MOST_BYTES} are read: draw the board with fewer corners"
            )
        return file.head(file.size)


def parse_board(data: bytes, *, where: str) -> BoardFile:
    """Read the drawing of a board from the bytes of its file.

    Parameters
    ----------
    data : bytes
        GeoJSON in UTF-8.
    where : str
        The file, for messages.

    Returns
    -------
    BoardFile
        The board, and remarks.

    Raises
    ------
    CaptureError
        It is no such drawing, or draws what cannot be: the message names file, feature and place, and what to do.

    Examples
    --------
    >>> parse_board(b'{"type": "FeatureCollection", "features": []}', where="a.geojson")
    Traceback (most recent call last):
    ...
    coldpin.errors.CaptureError: board a.geojson: the member scale is missing: a drawing without scale tells no ...
    """
    place = Place(where=where)
    plain = _parse_json(data, place)
    if plain.get("type") != "FeatureCollection":
        raise place.error(f"its type is {shown(plain.get('type'))}: a drawing of a board is a 'FeatureCollection'")
    scale = read_scale(plain.get("scale"), place)
    view = View(place.word(plain.get("view"), "view", View) or View.PLAN)
    thickness_mm = place.optional(plain, "thickness_mm", above=0.0)
    # Coordinates that all but coincide make the plane geometry divide by nothing; what it then answers is looked at.
    with np.errstate(all="ignore"):
        drawn = _read_features(plain.get("features"), place)
        features, places = _named(drawn)
        refuse_names(features, places)
        refuse_overlaps(features, places)
    board = BoardModel(
        features=features,
        view=view,
        thickness_mm=thickness_mm,
        calibration=scale.calibration,
        pick_u_mm=scale.pick_u_mm,
        other_face=read_other_face(plain.get("other_face"), scale.calibration, place),
    )
    _require_faces(board, places, place)
    return BoardFile(board=board, remarks=(*_unread_remarks(plain, drawn, place), *_questions(board)))


def parse_faces(data: bytes, *, where: str) -> BoardModel:
    """Read a drawing that is not done: its scale, the other face, and what is drawn so far, which may be nothing.

    Whether shapes overlap, and whether faces have a thickness, is not looked at.

    Parameters
    ----------
    data : bytes
        GeoJSON in UTF-8.
    where : str
        The file, for messages.

    Returns
    -------
    BoardModel
        As far as it goes.

    Raises
    ------
    CaptureError
        It is no such drawing, or has no scale: the message names file and place, and what to do.
    """
    place = Place(where=where)
    plain = _parse_json(data, place)
    scale = read_scale(plain.get("scale"), place)
    other = read_other_face(plain.get("other_face"), scale.calibration, place)
    features = _named(_read_features(plain["features"], place))[0] if plain.get("features") else ()
    return BoardModel(features=features, calibration=scale.calibration, pick_u_mm=scale.pick_u_mm, other_face=other)


def render_board(board: BoardModel) -> bytes:
    """Write a board as a file that :func:`parse_board` reads to the same board.

    Parameters
    ----------
    board : BoardModel
        The board.

    Returns
    -------
    bytes
        GeoJSON in UTF-8, one feature a line, so that two versions can be compared line by line.
    """
    head: dict[str, Any] = {
        "type": "FeatureCollection",
        "scale": plain_scale(board.calibration, board.pick_u_mm),
        "view": board.view.value,
    }
    if board.thickness_mm is not None:
        head["thickness_mm"] = board.thickness_mm
    if board.other_face is not None:
        head["other_face"] = plain_other_face(board.other_face)
    members = [f"{_json(name)}: {_json(value)}" for name, value in head.items()]
    features = ",\n".join(f"  {_json(plain_feature(feature))}" for feature in board.features)
    return ("{" + ",\n ".join(members) + ',\n "features": [\n' + features + "\n ]}\n").encode()


def plain_feature(feature: BoardFeature) -> dict[str, Any]:
    """Return a shape as a feature of GeoJSON.

    Parameters
    ----------
    feature : BoardFeature
        The shape.

    Returns
    -------
    dict
        As the JSON writer takes it; what is not known is left out.
    """
    said: dict[str, Any] = {"role": feature.role.value, "name": feature.name, "net": feature.net}
    said |= {"face": feature.face and feature.face.value, "height_mm": feature.height_mm}
    said |= {"plated": feature.plated or None, "joint": feature.joint and feature.joint.value, "told": feature.told}
    said |= {"proposed": feature.proposed or None, "pick_u": feature.pick_u}
    rings = [[*ring.tolist(), ring[0].tolist()] for ring in (feature.outline, *feature.openings)]
    return {
        "type": "Feature",
        "properties": {name: value for name, value in said.items() if value not in (None, "")},
        "geometry": {"type": "Polygon", "coordinates": rings},
    }


def _json(plain: object) -> str:
    return json.dumps(plain, ensure_ascii=False, allow_nan=False)


def _parse_json(data: bytes, place: Place) -> dict[str, Any]:
    """Return the JSON object in a file, refusing what JSON does not have and what is given twice."""

    def refuse_constant(name: str) -> NoReturn:
        raise place.error(f"{name} is no number of JSON: write the number, or leave it out")

    def refuse_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        plain = dict(pairs)
        if len(plain) < len(pairs):
            twice = next(key for key, count in Counter(key for key, _ in pairs).items() if count > 1)
            raise place.error(f"the key {shown(twice)} is given twice: keep one")
        return plain

    if not data.strip():
        raise place.error("the file is empty: export the drawing again")
    found = content_signature(data[:512])
    if found and found != "a JSON document":
        raise place.error(f"its content is {found}; the drawing of a board is read from GeoJSON: export it as that")
    try:
        plain = json.loads(data.decode("utf-8-sig"), parse_constant=refuse_constant, object_pairs_hook=refuse_twice)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise place.error(f"line {line} is not UTF-8 text: save the file as UTF-8") from error
    except json.JSONDecodeError as error:
        raise place.error(
            f"line {error.lineno}, column {error.colno}: not JSON ({error.msg}): export it again"
        ) from error
    except (ValueError, RecursionError) as error:
        raise place.error(f"not readable as JSON ({error}): export it again") from error
    if not isinstance(plain, dict):
        raise place.error(f"it holds {shown(plain)}, where a GeoJSON FeatureCollection is wanted")
    return plain


def _read_features(given: object, place: Place) -> list[DrawnFeature]:
    if not isinstance(given, list) or not given:
        empty = "an empty list" if isinstance(given, list) else shown(given)
        raise place.error(f"features is {empty}: draw at least the conductors between which a distance is wanted")
    if len(given) > MOST_FEATURES:
        raise place.error(f"it has {len(given)} features; at most {MOST_FEATURES} are read: leave out what is far away")
    drawn, corners = [], 0
    for number, plain in enumerate(given, start=1):
        feature = read_feature(plain, replace(place, number=number))
        corners += sum(len(ring) for shape in feature.shapes for ring in (shape.outline, *shape.openings))
        if corners > MOST_CORNERS:
            raise feature.place.error(f"the drawing has more than {MOST_CORNERS} corners: draw it with fewer")
        drawn.append(feature)
    return drawn


def _named(drawn: Sequence[DrawnFeature]) -> tuple[tuple[BoardFeature, ...], tuple[Place, ...]]:
    """Give each shape that has no name one of its own, and refuse a name that two have."""
    taken: dict[str, Place] = {}
    for feature in drawn:
        for shape in feature.shapes if feature.named else ():
            if shape.name in taken:
                raise feature.place.error(
                    f"feature {taken[shape.name].number} is called {shape.name!r} too: give each a name of its own"
                )
            taken[shape.name] = feature.place
    on_net = Counter(shape.net for feature in drawn for shape in feature.shapes if shape.role is Role.CONDUCTOR)
    counted: Counter[str] = Counter()
    features, places = [], []
    for feature in drawn:
        for shape in feature.shapes:
            named = shape if feature.named else replace(shape, name=_new_name(shape, on_net, counted, taken))
            taken.setdefault(named.name, feature.place)
            features.append(named)
            places.append(feature.place)
    return tuple(features), tuple(places)


def _new_name(shape: BoardFeature, on_net: Counter[str], counted: Counter[str], taken: Mapping[str, Place]) -> str:
    """Name a conductor by its net, with a number where the net has several; anything else by what it is."""
    is_conductor = shape.role is Role.CONDUCTOR
    if is_conductor and on_net[shape.net] == 1 and shape.net not in taken:
        return shape.net
    stem = f"{shape.net}, part" if is_conductor else KINDS[shape.role]
    while True:
        counted[stem] += 1
        name = f"{stem} {counted[stem]}"
        if name not in taken:
            return name


def _require_faces(board: BoardModel, places: Sequence[Place], whole: Place) -> None:
    faces = {feature.face for feature in board.features} - {None}
    if board.view is View.SECTION and (faces or board.thickness_mm is not None):
        raise whole.error("a section has no faces and no thickness of its own: take face and thickness_mm out")
    if len(faces) > 1 and board.thickness_mm is None:
        named = next(at for at, feature in zip(places, board.features, strict=True) if feature.face is not None)
        raise named.error("shapes are drawn on both faces, and nothing says how far these are apart: add thickness_mm")
    if board.thickness_mm is not None and not board.of_role(Role.BOARD):
        raise whole.error(
            "it has two faces (thickness_mm) and no outline of the board: the way round its rim would be missed; draw "
            "a shape with the role board"
        )
    through = next(
        (
            (at, feature)
            for at, feature in zip(places, board.features, strict=True)
            if board.thickness_mm is not None and feature.face and feature.role in (Role.BOARD, Role.SLOT)
        ),
        None,
    )
    if through is not None:
        at, feature = through
        raise at.error(
            f"a {feature.role} goes through both faces, and this one is said to be on the {feature.face}: take face "
            "out; a groove that does not go through is drawn in a section"
        )


def _unread_remarks(plain: Mapping[str, Any], drawn: Sequence[DrawnFeature], place: Place) -> list[str]:
    members = [place.text(name, "the name of a member") for name in plain if name not in _MEMBERS]
    properties = list(dict.fromkeys(name for feature in drawn for name in feature.unread))
    told = (("the drawing has members", members), ("features have properties", properties))
    return [f"{what} that were not read: {_listed(names)}" for what, names in told if names]


def _listed(names: Sequence[str]) -> str:
    more = len(names) - _LISTED
    return ", ".join(names[:_LISTED]) + (f" and {more} more" if more > 0 else "")


def _questions(board: BoardModel) -> list[str]:
    """Ask about what is possible and not likely; nothing is changed."""
    asked = [*size_questions(board), *proposal_questions(board), *net_questions(board)]
    if board.thickness_mm is not None and board.thickness_mm > _THICKEST_MM:
        asked.append(f"the board is {board.thickness_mm:g} mm thick: is that in millimetres?")
    outside = _outside(board)
    if outside:
        asked.append(f"off the board as drawn: {_listed(outside)}: is its outline whole?")
    return asked


def _outside(board: BoardModel) -> list[str]:
    """Return the conductors and slots that lie wholly off every board; in a section all lies beside what is solid."""
    outlines = board.of_role(Role.BOARD)
    if not outlines or board.view is View.SECTION:
        return []
    solid = shapely.union_all([shapely.Polygon(feature.outline) for feature in outlines])
    shapely.prepare(solid)
    placed = (feature for feature in board.features if feature.role in (Role.CONDUCTOR, Role.FLOATING, Role.SLOT))
    return [feature.name for feature in placed if not solid.intersects(shapely.Polygon(feature.outline))]
