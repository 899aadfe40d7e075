"""A path pinned to its drawing and measured again in many drawings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.distances import find_distances
from coldpin.insulation.path_corners import pin_path, remeasure, rings_drawn
from coldpin.records.board import BoardModel
from tests.board_drawing import drawn, floating, outline, pad, rectangle, slot

BOARD = drawn(
    outline(rectangle(-20.0, -20.0, 30.0, 20.0)),
    pad("pad 1", "mains L", rectangle(-1, -0.5, 0, 0.5)),
    pad("pad 2", "pilot", rectangle(9, -0.5, 10, 0.5)),
    floating("pad 3", rectangle(5.5, -3.0, 7.0, 3.0)),
    slot("slot 1", rectangle(2, -4, 3.2, 4.5)),
    slot("slot 2", rectangle(7.5, -9, 8.0, 9)),
)


def moved_drawings(board: BoardModel, draws: int, u: float) -> dict[tuple[str, int], NDArray[np.float64]]:
    """Return drawings whose corners are moved at random."""
    random = np.random.default_rng(5)
    return {
        (feature.name, ring): corners + random.normal(0.0, u, (draws, *corners.shape))
        for feature in board.features
        for ring, corners in enumerate(rings_drawn(feature))
    }


def test_a_path_in_the_drawing_it_was_found_in_keeps_its_length() -> None:
    """Corners left in place give the length found, for every path of either kind."""
    found = find_distances(BOARD, ("mains", "pilot"), groove_x_mm=1.0)
    still = moved_drawings(BOARD, 3, 0.0)

    for path in (found.clearance, found.creepage, *found.next_clearance, *found.next_creepage, *found.other_readings):
        assert path is not None
        assert remeasure(pin_path(BOARD, path), still) == pytest.approx(np.full(3, path.length_mm), abs=1e-6)


@pytest.mark.independent("the whole search repeated in each moved drawing")
def test_the_length_in_a_moved_drawing_is_what_a_new_search_finds() -> None:
    """Measuring the same lines again gives what finding the path again in each drawing gives."""
    found = find_distances(BOARD, ("mains", "pilot"), groove_x_mm=1.0)
    assert found.creepage is not None
    draws = moved_drawings(BOARD, 12, 0.01)
    again = remeasure(pin_path(BOARD, found.creepage), draws)

    for index in range(12):
        features = tuple(replace(shape, outline=draws[shape.name, 0][index]) for shape in BOARD.features)
        fresh = find_distances(drawn(*features), ("mains", "pilot"), groove_x_mm=1.0)
        assert fresh.creepage is not None
        assert again[index] == pytest.approx(fresh.creepage.length_mm, abs=1e-6)


def test_a_path_of_another_drawing_is_refused() -> None:
    """A path hangs on what was drawn, and a ring it hangs on must be given."""
    found = find_distances(BOARD, ("mains", "pilot"), groove_x_mm=1.0)
    assert found.clearance is not None
    other = drawn(pad("pad 1", "mains L", rectangle(50, 50, 51, 51)))

    with pytest.raises(InputError, match="where nothing is drawn: it is of another drawing"):
        pin_path(other, found.clearance)
    with pytest.raises(InputError, match="has not been moved; the path hangs on it"):
        remeasure(pin_path(BOARD, found.clearance), {})
