"""A reader of KiCad 4 board files for the tests: copper by layer and net, as polygons in millimetres, y up.

It reads tracks, pads, vias and filled zones, and nothing else; cut-outs are left out.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import shapely
from shapely import affinity

ARC_SEGMENTS = 16
"""Segments of a quarter circle: the round end of the widest track, 4 mm, is then drawn within 2.4 µm of its round."""

_TOKEN = re.compile(r'\(|\)|"(?:[^"\\]|\\.)*"|[^\s()"]+')
Node = list[Any]


def read_layout(path: Path) -> Node:
    """Return the nested lists of a layout file."""
    stack: list[Node] = [[]]
    for token in _TOKEN.findall(path.read_text(encoding="utf-8")):
        if token == "(":
            stack.append([])
        elif token == ")":
            done = stack.pop()
            stack[-1].append(done)
        else:
            stack[-1].append(token.strip('"'))
    (layout,) = stack[0]
    return list(layout)


def copper(layout: Node, layer: str) -> dict[str, shapely.Geometry]:
    """Return the copper of a layer by net; pads on no net stand under the empty name."""
    shapes: dict[str, list[shapely.Geometry]] = defaultdict(list)
    names = {node[1]: node[2] for node in children(layout, "net")}
    for net, shape in (
        *_tracks(layout, layer, names),
        *_vias(layout, names),
        *_pads(layout, layer),
        *_zones(layout, layer),
    ):
        shapes[net].append(affinity.scale(shape, 1.0, -1.0, origin=(0.0, 0.0)))
    return {net: shapely.union_all(found) for net, found in shapes.items()}


def nets_of_class(layout: Node, name: str) -> set[str]:
    """Return the nets of a net class."""
    (found,) = (node for node in children(layout, "net_class") if node[1] == name)
    return {node[1] for node in children(found, "add_net")}


def children(node: Node, name: str) -> list[Node]:
    return [child for child in node if isinstance(child, list) and child and child[0] == name]


def numbers(node: Node, name: str) -> list[float]:
    (found,) = children(node, name)
    return [float(value) for value in found[1:]]


def _tracks(layout: Node, layer: str, names: dict[str, str]) -> Iterator[tuple[str, shapely.Geometry]]:
    for node in children(layout, "segment"):
        if children(node, "layer")[0][1] == layer:
            line = shapely.LineString([numbers(node, "start"), numbers(node, "end")])
            yield names[children(node, "net")[0][1]], line.buffer(numbers(node, "width")[0] / 2.0, ARC_SEGMENTS)


def _vias(layout: Node, names: dict[str, str]) -> Iterator[tuple[str, shapely.Geometry]]:
    for node in children(layout, "via"):
        place = shapely.Point(numbers(node, "at"))
        yield names[children(node, "net")[0][1]], place.buffer(numbers(node, "size")[0] / 2.0, ARC_SEGMENTS)


def _zones(layout: Node, layer: str) -> Iterator[tuple[str, shapely.Geometry]]:
    for node in children(layout, "zone"):
        if children(node, "layer")[0][1] == layer:
            for filled in children(node, "filled_polygon"):
                corners = [[float(x), float(y)] for _, x, y in children(children(filled, "pts")[0], "xy")]
                yield children(node, "net_name")[0][1], shapely.Polygon(corners)


def _pads(layout: Node, layer: str) -> Iterator[tuple[str, shapely.Geometry]]:
    for module in children(layout, "module"):
        x, y, *turned = numbers(module, "at")
        for pad in children(module, "pad"):
            layers = children(pad, "layers")[0][1:]
            if pad[2] == "np_thru_hole" or not {layer, "*.Cu"} & set(layers):
                continue
            across, along = _turned(numbers(pad, "at"), turned[0] if turned else 0.0)
            net = children(pad, "net")
            yield net[0][2] if net else "", affinity.translate(_pad(pad), x + across, y + along)


def _pad(pad: Node) -> shapely.Geometry:
    """Return a pad about its own place; its angle is written with that of its module already in it."""
    width, height = numbers(pad, "size")
    short = min(width, height)
    half = ((width - short) / 2.0, (height - short) / 2.0)
    if pad[3] == "rect":
        shape: shapely.Geometry = shapely.box(-width / 2.0, -height / 2.0, width / 2.0, height / 2.0)
    elif half == (0.0, 0.0):
        shape = shapely.Point(0.0, 0.0).buffer(short / 2.0, ARC_SEGMENTS)
    else:
        shape = shapely.LineString([(-half[0], -half[1]), half]).buffer(short / 2.0, ARC_SEGMENTS)
    for drill in children(pad, "drill"):
        for offset in children(drill, "offset"):
            shape = affinity.translate(shape, float(offset[1]), float(offset[2]))
    angle = numbers(pad, "at")[2:]
    # its angles count against the clock, and its y points down
    return affinity.rotate(shape, -angle[0] if angle else 0.0, origin=(0.0, 0.0))


def _turned(place: list[float], angle: float) -> tuple[float, float]:
    x, y = place[:2]
    cosine, sine = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return x * cosine + y * sine, y * cosine - x * sine
