"""Boards drawn in a few words, for the tests that measure in them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.records.board import BoardFeature, BoardModel, Role

Corners = Sequence[Sequence[float]] | NDArray[np.float64]


def rectangle(low_x: float, low_y: float, high_x: float, high_y: float) -> NDArray[np.float64]:
    """Return the corners of a rectangle."""
    return np.array([[low_x, low_y], [high_x, low_y], [high_x, high_y], [low_x, high_y]], dtype=float)


def shape(role: Role, name: str, corners: Corners, **more: Any) -> BoardFeature:
    """Return a shape of a board."""
    return BoardFeature(name=name, role=role, outline=np.asarray(corners, dtype=float), **more)


def pad(name: str, net: str, corners: Corners, **more: Any) -> BoardFeature:
    """Return a conductor."""
    return shape(Role.CONDUCTOR, name, corners, net=net, **more)


def floating(name: str, corners: Corners, **more: Any) -> BoardFeature:
    """Return a floating part."""
    return shape(Role.FLOATING, name, corners, **more)


def slot(name: str, corners: Corners, **more: Any) -> BoardFeature:
    """Return a slot."""
    return shape(Role.SLOT, name, corners, **more)


def outline(corners: Corners, **more: Any) -> BoardFeature:
    """Return the outline of a board."""
    return shape(Role.BOARD, "board", corners, **more)


def drawn(*features: BoardFeature, **more: Any) -> BoardModel:
    """Return the board that shapes make."""
    return BoardModel(features=features, **more)
