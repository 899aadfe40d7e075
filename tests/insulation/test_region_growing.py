"""Outlines grown from a point: against rendered boards and pictures known to the pixel; what is odd is told."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.edge_snapping import snap_edges
from coldpin.insulation.region_growing import grow_region
from coldpin.records.board import Role
from tests.insulation.picture_of_board import picture_of_board


def pictured(level: int = 60, light: int = 200) -> NDArray[np.uint8]:
    """Return a picture with a light frame: pixels 40 to 159 by 30 to 109, open from 70 to 99 by 60 to 79."""
    picture = np.full((150, 200, 3), level, dtype=np.uint8)
    picture[30:110, 40:160] = light
    picture[60:80, 70:100] = level
    return picture


@pytest.mark.hand("a frame whose rims are known to the pixel")
def test_a_frame_is_found_with_its_opening() -> None:
    """The outline runs along the rims of the pixels, and what is open in it stays open."""
    proposal = grow_region(pictured(), (50.0, 40.0))
    area = shapely.Polygon(proposal.outline_px, proposal.openings_px)

    assert area.bounds == pytest.approx((39.5, 29.5, 159.5, 109.5), abs=1.0)
    assert len(proposal.openings_px) == 1
    assert area.area == pytest.approx(120.0 * 80.0 - 30.0 * 20.0, rel=0.03)
    assert proposal.remarks == ("proposed by colour alone: look at every side of it before it is confirmed",)


@pytest.mark.independent("the slot of a virtual board carried into its picture by the virtual camera")
def test_a_slot_of_a_rendered_board_is_found_and_laid_to_its_edges() -> None:
    """From one point in it the slot is found; laid to the edges it covers the true one."""
    scene = picture_of_board()
    true = scene.seen(scene.names(Role.SLOT)[0])
    proposal = grow_region(scene.picture, tuple(true.mean(axis=0).tolist()))
    grown = shapely.Polygon(proposal.outline_px)
    known = shapely.Polygon(true)

    assert grown.intersection(known).area / grown.union(known).area > 0.8
    laid = shapely.Polygon(snap_edges(scene.picture, proposal.outline_px).outline_px)
    assert laid.is_valid
    assert laid.intersection(known).area / laid.union(known).area > 0.85


def test_a_find_that_runs_out_says_so() -> None:
    """What reaches the edge of the picture, covers most of it, or has no sharp border is told."""
    ground = grow_region(pictured(), (5.0, 5.0)).remarks
    slope = np.repeat(np.linspace(20.0, 235.0, 300).astype(np.uint8)[None, :, None], 100, axis=0).repeat(3, axis=2)
    soft = grow_region(slope, (150.0, 50.0)).remarks

    assert any("runs to the edge of the picture" in remark for remark in ground)
    assert any("% of the picture" in remark for remark in ground)
    assert any("border is not sharp" in remark for remark in soft)


@pytest.mark.parametrize(
    ("point", "more", "text"),
    [
        ((-1.0, 5.0), {}, "lies outside the picture of 200 × 150 pixels"),
        ((50.0, 40.0), {"tolerance": 0.0}, "must be above 0"),
        ((20.0, 20.0), {}, "nothing larger than grain"),
    ],
)
def test_what_cannot_be_grown_is_refused(point: tuple[float, float], more: dict[str, Any], text: str) -> None:
    """Each refusal says what to do."""
    picture = pictured()
    picture[18:23, 18:23] = [255, 0, 0]
    with pytest.raises(InputError, match=text):
        grow_region(picture, point, **more)
    with pytest.raises(InputError, match="three colours of 8 bits"):
        grow_region(picture[..., 0], point)


def test_a_find_is_the_same_wherever_the_picture_ends() -> None:
    """Looked for in a part of the picture around the point, which grows until the find is clear of its edge."""
    generator = np.random.default_rng(11)
    picture = np.full((700, 900, 3), (40, 100, 60), dtype=np.float64)
    picture[150:420, 90:760] = (110, 170, 110)
    picture[250:300, 300:340] = (40, 100, 60)
    noisy = np.clip(picture + generator.normal(0.0, 2.0, picture.shape), 0, 255).astype(np.uint8)
    whole = grow_region(noisy, (200.0, 200.0))
    moved = grow_region(noisy[100:520, 50:820], (150.0, 100.0))
    apart = np.array([50.0, 100.0])
    assert np.array_equal(whole.outline_px, moved.outline_px + apart)
    assert np.array_equal(whole.openings_px[0], moved.openings_px[0] + apart)
    assert np.array_equal(whole.corner_u_px, moved.corner_u_px)
    assert not any("edge of the picture" in remark for remark in whole.remarks)
    cut = grow_region(noisy[:, 120:], (80.0, 200.0))
    assert any("edge of the picture" in remark for remark in cut.remarks)
