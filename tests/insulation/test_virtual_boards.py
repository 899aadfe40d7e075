"""Paths found in drawings of virtual boards, whose distances are known in closed form."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from coldpin.capture.board_file import parse_board, render_board
from coldpin.insulation.distances import find_distances
from coldpin.records.board import BoardModel, Role
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_layout import CrossingPlan, lay_out
from coldpin.simulator.board_scenery import furnish
from coldpin.simulator.random_board import draw_board

SAGITTA = 2.0 * 2.0 * (np.pi - 2.0 * 23 * np.sin(np.pi / 46))
"""By how much the outline of a round end of 2 mm width, drawn with 24 corners, can shorten the way round it. [mm]"""

PAIRS = (("mains", "pilot"), ("mains", "low-voltage"), ("mains L", "mains N"), ("mains", "earth"))


def drawn(seed: int) -> VirtualBoard:
    rng = np.random.default_rng([seed, 41])
    return furnish(draw_board(rng, crossings=2 + seed % 4), rng)


@pytest.mark.independent(
    "distances of virtual boards in closed form: gaps, sums over floating parts, tangents and arcs"
)
def test_paths_are_as_long_as_the_boards_were_made(
    proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """On every board, between every pair of nets, slots walked around or bridged: never longer, and no shorter."""
    worst = 0.0
    for seed in range(300 if proving else 12):
        board = drawn(seed)
        for pair in PAIRS:
            for x in (1.0, 1.5):
                found = find_distances(without_bodies(board), pair, groove_x_mm=x, next_count=0)
                assert found.clearance is not None
                assert found.creepage is not None
                clearance, creepage = board.clearance_mm(*pair), board.creepage_mm(*pair, groove_x_mm=x)
                assert found.clearance.length_mm == pytest.approx(clearance, abs=1e-9)
                assert creepage - SAGITTA <= found.creepage.length_mm <= creepage + 1e-9
                worst = max(worst, found.creepage.length_mm - creepage)
    measured("virtual boards: creepage found over the true one", worst, "mm", "≤ 0")


def without_bodies(board: VirtualBoard) -> BoardModel:
    """Return the drawing without what stands on it: a body over a slot is another reading of the way."""
    model = board.model()
    return replace(model, features=tuple(one for one in model.features if one.role is not Role.COMPONENT))


def turned(board: BoardModel, angle: float) -> BoardModel:
    """Return a drawing turned about its corner, so that no edge lies along an axis."""
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return replace(board, features=tuple(replace(one, outline=one.outline @ turn.T) for one in board.features))


@pytest.mark.independent("distances of virtual boards in closed form, which no turn changes")
def test_turned_boards_have_the_same_paths(proving: bool) -> None:
    """Whatever the angle of slots and edges: never longer, and no shorter."""
    for seed in range(150 if proving else 6):
        board = drawn(1000 + seed)
        model = turned(without_bodies(board), float(np.random.default_rng(seed).uniform(0.05, 1.5)))
        for x in (0.75, 0.85, 1.25, 1.5):
            found = find_distances(model, ("mains", "pilot"), groove_x_mm=x, next_count=0)
            assert found.clearance is not None
            assert found.creepage is not None
            clearance = board.clearance_mm("mains", "pilot")
            creepage = board.creepage_mm("mains", "pilot", groove_x_mm=x)
            assert found.clearance.length_mm == pytest.approx(clearance, abs=1e-7)
            assert creepage - SAGITTA <= found.creepage.length_mm <= creepage + 1e-7


@pytest.mark.independent("the crossings of a virtual board, in the order of their lengths")
def test_the_next_paths_are_the_other_crossings() -> None:
    """Where a board has several places between the same nets, the next distinct paths are the other ones."""
    gaps = (5.5, 4.25, 6.0, 4.75)
    board = lay_out([CrossingPlan(gap_mm=gap, slot_mm=1.5 * (gap == 4.25)) for gap in gaps])
    found = find_distances(board.model(), ("mains", "pilot"), groove_x_mm=1.0, next_count=5)
    assert found.clearance is not None
    assert found.creepage is not None
    clearances = [found.clearance.length_mm, *(path.length_mm for path in found.next_clearance)]
    creepages = [found.creepage.length_mm, *(path.length_mm for path in found.next_creepage)]
    walked = board.between("mains", "pilot")[1].creepage_mm(1.0)

    assert clearances[:4] == pytest.approx(sorted(gaps))
    assert 6.0 < walked < 7.0
    assert creepages[:4] == pytest.approx([4.75, 5.5, 6.0, walked], abs=SAGITTA)


@pytest.mark.hand("what was drawn is what is read")
def test_drawings_of_virtual_boards_are_read_back() -> None:
    """The reader takes them without a remark, and what hides the board is told."""
    for seed in range(12):
        board = drawn(seed)
        read = parse_board(render_board(board.model(pick_u_mm=0.02)), where="board.geojson")
        hiding = [shape.name for shape in board.model().of_role(Role.COMPONENT)]

        assert read.remarks == ()
        assert read.board.pick_u_mm == 0.02
        for one, other in zip(read.board.features, board.features, strict=True):
            assert (one.name, one.role, one.net) == (other.name, other.role, other.net)
            assert one.outline == pytest.approx(other.outline, abs=1e-6)
        told = find_distances(read.board, ("mains", "pilot"), groove_x_mm=1.0).not_seen
        assert [name for name in hiding if not any(name in text for text in told)] == []
