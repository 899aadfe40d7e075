"""Outlines laid to the edges of a picture: against the true corners of rendered boards, and where there is no edge."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.edge_snapping import snap_edges
from coldpin.records.board import Role
from tests.insulation.picture_of_board import picture_of_board

Array = NDArray[Any]


def by_hand(corners: Array, deviation: float, seed: int) -> Array:
    return corners + deviation * np.random.default_rng(seed).standard_normal(corners.shape)


@pytest.mark.independent("corners of a virtual board carried into its picture by the virtual camera")
def test_sides_are_laid_to_the_true_edges(measured: Callable[[str, float, str, str], None]) -> None:
    """A hand that misses corners by 1.5 px is brought to a fraction of a pixel of them, as well as is said."""
    scene = picture_of_board()
    names = scene.names(Role.SLOT) + [name for name in scene.names(Role.CONDUCTOR) if name != "earth"]
    off, told, before = [], [], []
    for name in names:
        true = scene.seen(name)
        for seed in range(4):
            drawn = by_hand(true, 1.5, seed)
            proposal = snap_edges(scene.picture, drawn)
            sure = np.isfinite(proposal.corner_u_px)
            off += list(np.hypot(*(proposal.outline_px - true).T)[sure])
            before += list(np.hypot(*(drawn - true).T)[sure])
            told += list(proposal.corner_u_px[sure])
    assert len(off) > 30
    measured("edges of a rendered board, corners laid to them", float(np.median(off)), "px", "< 0.5 px")
    assert np.median(off) < 0.5 < 1.0 < np.median(before)
    # two coordinates each: a distance from the truth is √2 times as long as one
    assert np.sqrt(np.mean(np.square(off))) < 3.0 * np.sqrt(2.0) * np.mean(told)


@pytest.mark.independent("the slot of a virtual board carried into its picture by the virtual camera")
@pytest.mark.parametrize(("tilt", "toward"), [(4.0, 50.0), (8.0, 0.0), (8.0, 90.0), (12.0, 180.0), (2.0, 270.0)])
def test_the_rim_of_a_slot_is_covered_where_the_foot_of_its_wall_is_seen(tilt: float, toward: float) -> None:
    """Whichever of the two is steeper: the true rim lies within twice the uncertainty, and both are told of."""
    scene = picture_of_board(tilt_deg=tilt, toward_deg=toward)
    true = scene.seen(scene.names(Role.SLOT)[0])
    for seed in range(2):
        proposal = snap_edges(scene.picture, by_hand(true, 1.0, seed))
        off = np.abs(proposal.outline_px - true).max(axis=1)

        assert np.isfinite(proposal.corner_u_px).all()
        assert (off <= 2.0 * proposal.corner_u_px).all()
        assert any("several edges side by side" in remark for remark in proposal.remarks)


@pytest.mark.hand("a wall 4 pixels wide, from 56 to 59, left of a slot from 60 to 139: middle 57.5, half 2")
def test_between_two_edges_a_side_lies_in_the_middle_and_knows_half_their_distance() -> None:
    """Either may be the rim: the standard deviation of one of two places is half of what is between them."""
    picture = np.full((200, 200, 3), 90, dtype=np.uint8)
    picture[60:140, 56:140] = 200
    picture[60:140, 60:140] = 20
    drawn = np.array([[58.0, 59.5], [139.5, 59.5], [139.5, 139.5], [58.0, 139.5]])
    proposal = snap_edges(picture, drawn)

    left, right = proposal.corner_u_px[[0, 3]], proposal.corner_u_px[[1, 2]]
    assert proposal.outline_px[[0, 3], 0] == pytest.approx(57.5, abs=0.3)
    assert left == pytest.approx(2.0, abs=0.3)
    assert (right < 0.5).all()
    assert any("between the corners 4–1, up to 4." in remark for remark in proposal.remarks)


def test_a_corner_whose_own_uncertainty_is_known_counts_no_better_than_the_worst_side() -> None:
    """What is seen beside one side, as a wall is, may run on round a corner where nothing is seen."""
    picture = np.full((200, 200, 3), 90, dtype=np.uint8)
    picture[60:140, 56:140] = 200
    picture[60:140, 60:140] = 20
    # a corner cut off: its short side shows no edge
    drawn = np.array([[63.0, 59.5], [139.5, 59.5], [139.5, 139.5], [58.0, 139.5], [58.0, 65.0]])
    us = snap_edges(picture, drawn, drawn_u_px=np.full(5, 1.0)).corner_u_px

    assert np.isnan(snap_edges(picture, drawn).corner_u_px[[0, 4]]).all()
    assert (us[[0, 4]] >= 1.8).all()
    assert (us[[1, 2]] < 0.5).all()


def test_a_picture_without_edges_leaves_the_outline_as_it_was_drawn() -> None:
    """Where nothing is seen nothing is moved, and the sides are named."""
    grain = np.random.default_rng(3).normal(128.0, 4.0, (200, 200, 3)).astype(np.uint8)
    drawn = np.array([[50.0, 50.0], [150.0, 50.0], [150.0, 150.0], [50.0, 150.0]])
    proposal = snap_edges(grain, drawn)

    assert proposal.outline_px.tolist() == drawn.tolist()
    assert np.isnan(proposal.corner_u_px).all()
    assert any("no clear edge between the corners 1–2, 2–3, 3–4, 4–1" in remark for remark in proposal.remarks)


@pytest.mark.hand("a square whose rims are known to the pixel")
def test_a_sharp_square_is_found_to_a_tenth_of_a_pixel() -> None:
    """Pixels 60 to 139 are light: their rims lie at 59.5 and 139.5."""
    picture = np.full((200, 200, 3), 40, dtype=np.uint8)
    picture[60:140, 60:140] = 200
    true = np.array([[59.5, 59.5], [139.5, 59.5], [139.5, 139.5], [59.5, 139.5]])

    for drawn in (true + 2.0, by_hand(true, 1.0, 1), true[::-1]):
        proposal = snap_edges(picture, drawn)
        assert proposal.outline_px == pytest.approx(_like(drawn, true), abs=0.1)


def _like(drawn: Array, true: Array) -> Array:
    """Return the true corners in the order of those drawn."""
    return np.array([true[np.argmin(np.hypot(*(true - corner).T))] for corner in drawn])


def test_a_proposal_becomes_a_shape_only_when_confirmed() -> None:
    """What was confirmed says how it came about."""
    picture = np.full((100, 100, 3), 40, dtype=np.uint8)
    picture[30:70, 30:70] = 200
    proposal = snap_edges(picture, np.array([[31.0, 31.0], [68.0, 31.0], [68.0, 68.0], [31.0, 68.0]]))
    shape = proposal.confirmed("pad 1", Role.CONDUCTOR, net="mains L")

    assert "look at every side" in proposal.remarks[0]
    assert shape.outline is proposal.outline_px
    assert shape.told == "laid to the edges of the picture within 6 px, confirmed by eye"


@pytest.mark.parametrize(
    ("picture", "outline", "reach", "text"),
    [
        (np.zeros((9, 9), np.uint8), np.zeros((3, 2)), 6.0, "three colours"),
        (np.zeros((9, 9, 3), np.uint8), np.zeros((2, 2)), 6.0, "three or more corners"),
        (np.zeros((9, 9, 3), np.uint8), np.full((3, 2), np.nan), 6.0, "three or more corners"),
        (np.zeros((9, 9, 3), np.uint8), np.zeros((3, 2)), 0.0, "must be above 0"),
    ],
)
def test_what_cannot_be_laid_is_refused(picture: Array, outline: Array, reach: float, text: str) -> None:
    """Each refusal says what is needed."""
    with pytest.raises(InputError, match=text):
        snap_edges(picture, outline, reach=reach)
