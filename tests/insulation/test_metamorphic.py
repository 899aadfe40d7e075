"""What must hold of distances whatever is drawn: more slots, more copper, another scale, another side."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.insulation.distances import find_distances
from coldpin.records.board import BoardModel, Role
from coldpin.records.distance import IsolationPath
from tests.board_drawing import drawn, floating, outline, pad, rectangle, slot
from tests.insulation.test_brute_force import Draughtsman, random_board, ring

Bend = Callable[[NDArray[np.float64]], NDArray[np.float64]]
ANGLE = 0.7


def boards(proving: bool) -> Iterator[tuple[int, float, BoardModel]]:
    """Return random boards, with a groove width and without."""
    for seed in range(1000, 1060 if proving else 1006):
        for groove_x_mm in (0.0, 1.0):
            yield seed, groove_x_mm, random_board(seed, groove_x_mm=groove_x_mm)


def length(path: IsolationPath | None) -> float:
    """Return the length of a path, infinite where there is none."""
    return math.inf if path is None else path.length_mm


def both(board: BoardModel, groove_x_mm: float) -> tuple[float, float]:
    """Return creepage and clearance from mains to pilot."""
    found = find_distances(board, ("mains", "pilot"), groove_x_mm=groove_x_mm, next_count=0)
    return length(found.creepage), length(found.clearance)


def test_clearance_is_no_longer_than_creepage(proving: bool) -> None:
    """Air goes everywhere a surface goes."""
    for _, groove_x_mm, board in boards(proving):
        creepage, clearance = both(board, groove_x_mm)
        assert clearance <= creepage + 1e-9


def test_a_slot_never_shortens_creepage_nor_changes_clearance(proving: bool) -> None:
    """Cutting a slot away leaves less surface and the same air."""
    for seed, groove_x_mm, board in boards(proving):
        hand = Draughtsman(seed + 7)
        cut = drawn(*board.features, slot("one more", ring(hand.bar((3.0, 9.0), (1.3, 1.6), 5.0))))
        before, after = both(board, groove_x_mm), both(cut, groove_x_mm)
        assert after[0] >= before[0] - 1e-6
        assert after[1] == pytest.approx(before[1], abs=1e-9)


def test_a_conductor_never_lengthens_anything(proving: bool) -> None:
    """One more floating part can be crossed, or left aside."""
    for seed, groove_x_mm, board in boards(proving):
        hand = Draughtsman(seed + 9)
        more = drawn(*board.features, floating("one more", ring(hand.bar((1.0, 3.0), (0.6, 1.6), 5.0))))
        before, after = both(board, groove_x_mm), both(more, groove_x_mm)
        assert after[0] <= before[0] + 1e-6
        assert after[1] <= before[1] + 1e-9


@pytest.mark.parametrize(
    ("bend", "scale"),
    [
        (lambda points: 3.0 * points, 3.0),
        (lambda points: points * (-1.0, 1.0), 1.0),
        (
            lambda points: points @ [[math.cos(ANGLE), math.sin(ANGLE)], [-math.sin(ANGLE), math.cos(ANGLE)]] + 50.0,
            1.0,
        ),
    ],
    ids=["three times as large", "mirrored", "turned and moved"],
)
def test_distances_go_with_the_drawing(bend: Bend, scale: float, proving: bool) -> None:
    """Scaling scales; mirroring, turning and moving change nothing."""
    for _, groove_x_mm, board in boards(proving):
        other = drawn(*(replace(shape, outline=bend(shape.outline)) for shape in board.features))
        before, after = both(board, groove_x_mm), both(other, scale * groove_x_mm)
        assert after == pytest.approx((scale * before[0], scale * before[1]), rel=1e-6)


def test_from_and_to_may_be_exchanged(proving: bool) -> None:
    """A path is as long from its other end."""
    for _, groove_x_mm, board in boards(proving):
        there = find_distances(board, ("mains", "pilot"), groove_x_mm=groove_x_mm)
        back = find_distances(board, ("pilot", "mains"), groove_x_mm=groove_x_mm)
        assert length(back.creepage) == pytest.approx(length(there.creepage))
        assert length(back.clearance) == pytest.approx(length(there.clearance))


def tapered_slots(seed: int, turned: float) -> BoardModel:
    """Return two pads with a slot between whose walls are slanted and whose width passes through 1 mm; all turned."""
    random = np.random.default_rng(seed)
    low, high = sorted(random.uniform(-5.0, 5.0, 2))
    left, right = random.uniform(1.2, 2.4, 2), random.uniform(0.4, 1.6, 2)
    bend = [[math.cos(turned), math.sin(turned)], [-math.sin(turned), math.cos(turned)]]
    pads = [rectangle(-1.0, -0.5, 0.0, 0.5), rectangle(5.0, -0.5, 6.0, 0.5)]
    walls = np.array([[left[0], low - 1], [left[0] + right[0], low - 1], [left[1] + right[1], high], [left[1], high]])
    return drawn(
        outline(rectangle(-20.0, -20.0, 25.0, 20.0) @ bend),
        pad("pad 1", "mains L", pads[0] @ bend),
        pad("pad 2", "pilot", pads[1] @ bend),
        slot("slot 1", walls @ bend),
    )


@pytest.mark.parametrize("turned", [0.0, 0.88])
def test_a_larger_x_never_lengthens_creepage(turned: float, proving: bool) -> None:
    """What is bridged by a link is bridged by a longer one; slanted walls leave no slivers that stand in the way."""
    for seed in range(200 if proving else 15):
        board = tapered_slots(seed, turned)
        found = [both(board, groove_x_mm)[0] for groove_x_mm in (0.0, 0.4, 0.7, 0.9, 1.0, 1.1, 1.5, 2.0)]
        assert all(after <= before + 1e-6 for before, after in pairwise(found)), seed


def test_turning_changes_nothing_where_a_slot_passes_x(proving: bool) -> None:
    """A slot that is in part narrower than X gives the same whichever way the board lies."""
    for seed in range(200 if proving else 15):
        lying, standing = both(tapered_slots(seed, 0.0), 1.0), both(tapered_slots(seed, 0.88), 1.0)
        assert standing == pytest.approx(lying, abs=1e-4), seed


def test_an_outline_left_out_is_an_outline_far_away(proving: bool) -> None:
    """Without an outline the surface has no edge, and slots are walked round as on a large board."""
    for seed in range(200 if proving else 15):
        board = tapered_slots(seed, 0.3)
        bare = drawn(*(shape for shape in board.features if shape.role is not Role.BOARD))
        assert both(bare, 1.0) == pytest.approx(both(board, 1.0), abs=1e-6), seed


def test_the_board_is_cut_and_not_the_copper() -> None:
    """The random boards hold what the tests above need: slots, floating parts and two nets to measure between."""
    roles = [shape.role for seed in range(20) for shape in random_board(seed, groove_x_mm=1.0).features]

    assert min(roles.count(role) for role in (Role.SLOT, Role.FLOATING, Role.CONDUCTOR, Role.BOARD)) > 15
