"""Outlines from a point or from corners drawn: how well they are known, laid to edges or not, and what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.outline_proposing import ProposingChoices, propose_outline
from coldpin.records.board import Role
from tests.insulation.picture_of_board import picture_of_board
from tests.insulation.test_region_growing import pictured

SNAP = ProposingChoices(snap=True)


@pytest.mark.independent("the slot of a virtual board carried into its picture by the virtual camera")
@pytest.mark.parametrize("snap", [False, True])
@pytest.mark.parametrize(("tilt", "toward"), [(4.0, 50.0), (8.0, 90.0), (12.0, 180.0)])
def test_the_true_rim_of_a_slot_lies_within_what_is_told(tilt: float, toward: float, *, snap: bool) -> None:
    """Grown alone it ends at the foot of the wall; that its rim is elsewhere is in the uncertainty of the shape."""
    scene = picture_of_board(tilt_deg=tilt, toward_deg=toward)
    true = scene.seen(scene.names(Role.SLOT)[0])
    proposal = propose_outline(scene.picture, true.mean(axis=0)[None], ProposingChoices(snap=snap))
    rim, found = shapely.Polygon(true), shapely.Polygon(proposal.outline_px)

    assert proposal.worst_u_px is not None
    assert rim.exterior.hausdorff_distance(found.exterior) <= 2.0 * proposal.worst_u_px + 1.0
    if not snap:
        assert any("known within" in remark for remark in proposal.remarks)


def test_copper_seen_from_above_is_known_to_a_pixel() -> None:
    """Where one sharp edge runs along each side, nothing is widened."""
    scene = picture_of_board()
    true = scene.seen("mains L 1")
    proposal = propose_outline(scene.picture, true.mean(axis=0)[None], ProposingChoices(snap=True, filled=True))
    known = shapely.Polygon(true)

    laid = shapely.Polygon(proposal.outline_px)
    assert laid.intersection(known).area / laid.union(known).area > 0.95


def test_openings_are_kept_unless_it_is_to_be_filled() -> None:
    """What is printed on copper is no hole in it."""
    at = np.array([[50.0, 40.0]])
    kept = propose_outline(pictured(), at, SNAP)
    filled = propose_outline(pictured(), at, ProposingChoices(snap=True, filled=True))

    assert (len(kept.openings_px), len(filled.openings_px)) == (1, 0)
    assert kept.openings_px[0].min(axis=0) == pytest.approx([69.5, 59.5], abs=0.3)
    assert [len(us) for us in kept.openings_u_px] == [len(ring) for ring in kept.openings_px]
    assert kept.outline_px == pytest.approx(filled.outline_px)


def test_corners_by_hand_are_laid_to_the_edges_and_say_where_they_are_from() -> None:
    """A corner beside no clear edge is as it was drawn, and how well that is only the person knows."""
    drawn = np.array([[41.0, 31.0], [158.0, 31.0], [158.0, 108.0], [41.0, 108.0]])
    proposal = propose_outline(pictured(), drawn, SNAP)

    assert proposal.made_by == "corners drawn by hand, laid to the edges of the picture within 6 px"
    assert shapely.Polygon(proposal.outline_px).bounds == pytest.approx((39.5, 29.5, 159.5, 109.5), abs=0.2)
    nowhere = np.array([[5.0, 5.0], [25.0, 5.0], [25.0, 20.0], [5.0, 20.0]])
    assert propose_outline(pictured(), nowhere, SNAP).worst_u_px is None


@pytest.mark.parametrize(
    ("points", "choices", "text"),
    [
        ([[5.0, 5.0], [9.0, 9.0]], SNAP, "two points make no outline"),
        ([[5.0, 5.0], [9.0, 9.0], [5.0, 9.0]], ProposingChoices(), "say --snap"),
        ([[5.0, 5.0], [900.0, 9.0], [5.0, 9.0]], SNAP, "lies outside the picture of 200 × 150 pixels"),
        ([[5.0, 5.0], [50.0, 50.0], [50.0, 5.0], [5.0, 50.0]], SNAP, "crosses itself"),
        ([[5.0, 5.0], [50.0, 5.0], [90.0, 5.0]], SNAP, "crosses itself"),
        ([[float("nan"), 5.0]], SNAP, "outside the picture"),
        ([[50.0, 40.0]], ProposingChoices(tolerance=float("nan")), "must be above 0"),
        ([[50.0, 40.0]], ProposingChoices(reach=float("inf")), "at most 50 px"),
        ([[50.0, 40.0]], ProposingChoices(reach=1e9), "at most 50 px"),
    ],
)
def test_what_makes_no_outline_is_refused(points: list[list[float]], choices: ProposingChoices, text: str) -> None:
    """Each refusal says what to do."""
    with pytest.raises(InputError, match=text):
        propose_outline(pictured(), np.array(points), choices)


def test_in_noise_nothing_is_proposed() -> None:
    """Where no two neighbours look alike, nothing hangs together."""
    grain: NDArray[Any] = np.random.default_rng(1).integers(0, 256, (220, 220, 3), dtype=np.uint8)
    with pytest.raises(InputError, match="nothing larger than grain"):
        propose_outline(grain, np.array([[110.0, 110.0]]), SNAP)
