"""Faults of virtual boards: sound ones are sound, and each fault changes what it says."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.errors import UnknownName
from coldpin.simulator.board_fault import BOARD_FAULTS, BoardSpecimen, board_fault, draw_sound_board


def drawn(seed: int = 1, fault: str = "") -> BoardSpecimen:
    specimen = draw_sound_board(np.random.default_rng(seed))
    return board_fault(fault).change(specimen) if fault else specimen


@pytest.mark.published(
    "230 V, category II, degree 3, group IIIa: basic 1.5 mm and 4.0 mm, reinforced 3.0 mm and 8.0 mm (reference rows)"
)
def test_drawn_boards_are_sound() -> None:
    """Drawn boards keep reinforced distances to pilot and low voltage, basic ones elsewhere, with room to spare."""
    for seed in range(200):
        board = drawn(seed).board
        for side in ("pilot", "low-voltage"):
            assert board.clearance_mm("mains", side) > 3.0 + 0.4
            assert board.creepage_mm("mains", side, groove_x_mm=1.5) > 8.0 + 0.4
        for pair in (("mains L", "mains N"), ("mains", "earth")):
            assert board.creepage_mm(*pair, groove_x_mm=1.5) > 4.0 + 0.4
    assert drawn(3) == drawn(3)
    assert drawn(3) != drawn(4)


@pytest.mark.hand("distances as the meanings say: 1.8, 4.4, 4.6, 2 × 1.3, 2.2, 2.4, 0.9 and 0.9 mm")
def test_each_fault_does_what_it_says() -> None:
    """By clearance and creepage between the nets that it names, and nowhere else."""
    by = {name: drawn(fault=name).board for name in BOARD_FAULTS}
    sound = drawn().board

    assert by["pilot track too near"].clearance_mm("mains", "pilot") == pytest.approx(1.8)
    assert by["slot left out"].creepage_mm("mains", "pilot", groove_x_mm=1.0) == pytest.approx(4.4)
    assert by["slot too narrow"].creepage_mm("mains", "pilot", groove_x_mm=1.0) == pytest.approx(4.6)
    assert by["slot too narrow"].creepage_mm("mains", "pilot", groove_x_mm=0.5) > 6.0
    assert by["unused pin at the pilot"].clearance_mm("mains", "pilot") == pytest.approx(2.6)
    assert by["low voltage too near"].clearance_mm("mains", "low-voltage") == pytest.approx(2.2)
    assert by["optocoupler bridged"].clearance_mm("mains", "low-voltage") == pytest.approx(2.4)
    assert by["poles too near"].clearance_mm("mains L", "mains N") == pytest.approx(0.9)
    assert by["earth too near"].clearance_mm("mains", "earth") == pytest.approx(0.9)
    for name in ("poles too near", "earth too near"):
        assert by[name].creepage_mm("mains", "pilot", groove_x_mm=1.5) == pytest.approx(
            sound.creepage_mm("mains", "pilot", groove_x_mm=1.5)
        )


def test_an_unknown_fault_is_refused() -> None:
    """The message lists those there are."""
    with pytest.raises(UnknownName, match="slot left out"):
        board_fault("no board at all")
