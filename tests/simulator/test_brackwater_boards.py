"""The boards inside the boatyard's leads: what they are, their pictures, the drawings on them, the calliper."""

from __future__ import annotations

import io

import numpy as np
import pytest
from matplotlib.image import imread

from coldpin.errors import UnknownName
from coldpin.simulator.board import THICKNESS
from coldpin.simulator.board_hand import CALLIPER_LIMIT, SEATING
from coldpin.simulator.brackwater_boards import (
    HAND,
    OPENED,
    SAID,
    draw_on_photograph,
    lay_calliper,
    opened,
    photograph,
    unused_pins,
)
from coldpin.simulator.brackwater_specimens import DUNMARR_32, PELLWICK_20, SKERROW_16, VirtualSpecimen

ALL = (SKERROW_16, PELLWICK_20, DUNMARR_32)


@pytest.mark.hand("what each board is said to be; 5.0 mm and 8.0 mm are the reinforced creepage of 230 V in group IIIa")
def test_what_the_three_boards_are() -> None:
    """Skerrow has a slot that brings it beyond 8 mm, Pellwick an unused hole, Dunmarr a track 2.1 mm from the pilot."""
    skerrow, pellwick, dunmarr = (opened(one).board for one in ALL)

    for x in (1.0, 1.5):
        assert skerrow.creepage_mm("mains", "pilot", groove_x_mm=x) > 8.5
        assert skerrow.creepage_mm("mains", "low-voltage", groove_x_mm=x) > 8.5
    assert skerrow.clearance_mm("mains", "pilot") > 5.5
    assert pellwick.clearance_mm("mains", "pilot") == pytest.approx(1.8)
    assert pellwick.width == 42.0
    assert dunmarr.clearance_mm("mains", "pilot") == pytest.approx(2.1)
    assert len(dunmarr.between("mains", "pilot")) == 2
    assert [unused_pins(one) for one in ALL] == ["no", "yes", "no"]
    assert {one.board.thickness for one in OPENED.values()} == {THICKNESS}


@pytest.mark.hand("the corners of board and card, carried into the picture")
@pytest.mark.parametrize("specimen", ALL, ids=lambda one: one.unit.name)
def test_board_and_card_are_in_the_picture(specimen: VirtualSpecimen) -> None:
    """Nothing of either is cut off, and one hides nothing of the other."""
    laid = opened(specimen)
    rim = laid.camera.project(np.array([[0.0, 0.0], [laid.board.width, laid.board.height]]))
    card = laid.camera.project(laid.card.place(laid.card.card.paper.corners))
    for points in (rim, card):
        assert (points > 20.0).all()
        assert (points < [laid.camera.width - 20.0, laid.camera.height - 20.0]).all()
    assert rim[:, 0].max() < card[:, 0].min()


@pytest.mark.hand("size of the picture")
def test_the_picture_is_a_file() -> None:
    """A JPEG that the matplotlib library reads, as large as the camera's sensor."""
    camera = opened(PELLWICK_20).camera

    assert imread(io.BytesIO(photograph(PELLWICK_20)), format="jpeg").shape == (camera.height, camera.width, 3)


@pytest.mark.hand("the hand, and the true corners")
@pytest.mark.parametrize("specimen", ALL, ids=lambda one: one.unit.name)
def test_drawings_are_off_by_the_hand(specimen: VirtualSpecimen) -> None:
    """Corners drawn lie about the true ones by the hand's deviation, and the card's by that of the detector."""
    laid = opened(specimen)
    drawn = draw_on_photograph(specimen, picture="ab")
    true = {shape.name: shape.outline for shape in laid.board.features}
    off = np.concatenate(
        [
            shape.outline - laid.camera.project(true[shape.name])
            for shape in drawn.features
            if len(shape.outline) == len(true[shape.name])
        ]
    )

    assert drawn.calibration is not None
    assert drawn.calibration.picture == "ab"
    assert drawn.calibration.pick_u_px == SAID > HAND
    assert off.std() == pytest.approx(HAND, rel=0.25)


@pytest.mark.hand("limit of the calliper, and three deviations of its seat")
@pytest.mark.parametrize("specimen", ALL, ids=lambda one: one.unit.name)
def test_the_calliper_reads_the_true_gaps(specimen: VirtualSpecimen) -> None:
    """Every gap is read within what the instrument states; what does not face each other is refused."""
    for crossing in opened(specimen).board.crossings:
        names = crossing.name.split()
        if names[0] == "crossing":
            ends = f"{crossing.nets[0]} {names[1]}", f"{crossing.nets[1]} {names[1]}"
            for text in lay_calliper(specimen, ends, repeats=5):
                shown = float(text.removesuffix(" mm"))
                assert shown == pytest.approx(crossing.gaps[0], abs=CALLIPER_LIMIT + 3.5 * SEATING + 0.005)
    with pytest.raises(UnknownName, match="screw and earth"):
        lay_calliper(specimen, ("screw", "earth"))


def test_what_nobody_opened_has_no_board() -> None:
    """A specimen of another name is refused."""
    other = VirtualSpecimen(
        unit=type(SKERROW_16.unit)(name="Haven 10"),
        lead=SKERROW_16.lead,
        insulation=1e9,
        coding=680.0,
        stray=0.0,
        standby=(0.1, 0.0),
        wiring={},
        seed=1,
    )
    with pytest.raises(UnknownName, match="Haven 10"):
        opened(other)
