"""Shapes written as features of GeoJSON, alone or into a drawing; a drawing with one shape for each feature."""

from __future__ import annotations

import itertools
import json
from collections.abc import Sequence
from typing import Any

from coldpin.capture.board_feature import PROPERTIES
from coldpin.capture.board_file import parse_board, plain_feature
from coldpin.records.board import BoardFeature


def render_features(features: Sequence[BoardFeature]) -> bytes:
    """Write shapes as a FeatureCollection without a scale, to be taken into a drawing.

    Parameters
    ----------
    features : sequence of BoardFeature
        The shapes.

    Returns
    -------
    bytes
        GeoJSON in UTF-8, one feature a line.
    """
    return _rendered({"type": "FeatureCollection", "features": [plain_feature(feature) for feature in features]})


def add_features(data: bytes, features: Sequence[BoardFeature], *, where: str) -> bytes:
    """Write shapes into the drawing of a board; what the file says beside them stays, what is not read here too.

    Parameters
    ----------
    data : bytes
        The file of the drawing.
    features : sequence of BoardFeature
        The shapes, in the unit of the drawing.
    where : str
        The file, for messages.

    Returns
    -------
    bytes
        GeoJSON in UTF-8, one feature a line.

    Raises
    ------
    CaptureError
        The file is no drawing, or would be none with these shapes: two have one name or overlap.
    """
    parse_board(data, where=where)
    plain = json.loads(data.decode("utf-8-sig"))
    written = _rendered({**plain, "features": [*plain["features"], *map(plain_feature, features)]})
    parse_board(written, where=where)
    return written


def one_shape_each(data: bytes, *, where: str) -> dict[str, Any]:
    """Return a drawing with one polygon for each feature, each with its name: as it is edited shape by shape.

    Parameters
    ----------
    data : bytes
        The file of the drawing.
    where : str
        The file, for messages.

    Returns
    -------
    dict
        As the JSON writer takes it: the same board, with whatever the file says beside it.

    Raises
    ------
    CaptureError
        The file is no drawing, or draws what cannot be.
    """
    shapes = iter(parse_board(data, where=where).board.features)
    plain = json.loads(data.decode("utf-8-sig"))
    features = []
    for feature in plain["features"]:
        geometry = feature["geometry"]
        count = len(geometry["coordinates"]) if geometry["type"] == "MultiPolygon" else 1
        for shape in itertools.islice(shapes, count):
            made = plain_feature(shape)
            beside = {name: value for name, value in feature.items() if name not in ("id", *made)}
            unread = {name: value for name, value in feature["properties"].items() if name not in PROPERTIES}
            features.append({**beside, **made, "properties": {**made["properties"], **unread}})
    return {**plain, "features": features}


def _rendered(plain: dict[str, Any]) -> bytes:
    features = ",\n".join(f"  {_json(feature)}" for feature in plain["features"])
    members = (
        f"{_json(name)}: " + (f"[\n{features}\n ]" if name == "features" else _json(value))
        for name, value in plain.items()
    )
    return ("{" + ",\n ".join(members) + "}\n").encode()


def _json(plain: object) -> str:
    return json.dumps(plain, ensure_ascii=False, allow_nan=False)
