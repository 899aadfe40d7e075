"""Pictures calibrated by a card: gaps beside it, its print and its height, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.calibration import fit_plane
from coldpin.insulation.camera_pose import camera_pose
from coldpin.insulation.card_calibration import CardCalibration, CardLying, calibrate_by_card
from coldpin.insulation.card_detection import find_cards
from coldpin.insulation.card_pair import compare_cards
from coldpin.insulation.known_lengths import KnownLength
from coldpin.insulation.photo_reading import read_gap
from coldpin.quantity import parse_quantity
from tests.insulation.virtual_camera import Camera, card_picture, on_card, photograph_card

AT = (30.0, 20.0)
CAMERA = Camera(size=(1600, 1200), focal_px=1280.0, tilt_deg=6.0, k1=-0.02)
GAPS = np.array([[10.0, 5.0], [15.0, 5.0], [125.0, 60.0], [125.0, 65.0], [60.0, 90.0], [66.4, 90.0]])
"""Ends of gaps of 5 mm, 5 mm and 6.4 mm around the card, on the ground. [mm]"""


def true_print(face_above_mm: float | None = 0.0) -> CardLying:
    return CardLying(
        along=parse_quantity("90.00 mm ± 0.03 mm", "mm"),
        across=parse_quantity("60.00 mm ± 0.03 mm", "mm"),
        face_above_mm=face_above_mm,
    )


def calibrated(camera: Camera = CAMERA, lying: CardLying | None = None, **scene: float) -> CardCalibration:
    picture = photograph_card(camera, at=AT, turn_deg=8.0, **scene)
    return calibrate_by_card(picture, lying or true_print(), pick_u_px=1.0)


def close(**scene: float) -> CardCalibration:
    """Return what a camera close to the card gives, with squares of a hundred pixels."""
    camera = Camera(size=(1400, 1100), focal_px=3200.0)
    picture = photograph_card(camera, at=(25.0, 0.0), turn_deg=2.0, **scene)
    return calibrate_by_card(picture, true_print(), pick_u_px=0.5)


def gaps(made: CardCalibration, camera: Camera = CAMERA, height: float = 0.0) -> NDArray[np.float64]:
    """Return the gaps as the calibrated picture has them."""
    seen = made.plane.to_mm(camera.see(GAPS, height))
    return np.asarray(np.hypot(*(seen[1::2] - seen[0::2]).T))


@pytest.mark.independent("a pinhole camera of its own and the library's own picture of the card")
def test_gaps_around_the_card_come_back(measured: Callable[[str, float, str, str], None]) -> None:
    """With tilt, lens, noise and pixels of 0.2 mm, gaps up to 4 cm off the card are right to a hundredth."""
    made = calibrated()
    read = gaps(made)

    measured("error of gaps of 5 mm around a rendered card", float(np.max(np.abs(read - [5, 5, 6.4]))), "mm", "≤ 0.02")
    assert read == pytest.approx([5.0, 5.0, 6.4], abs=0.02)
    assert made.plane.known
    assert made.remarks == ()


@pytest.mark.hand("recipe of the reference: warped to a skewed quad, blur of 1 px, noise of 3; for our own card")
def test_a_card_warped_to_a_skewed_quad_comes_back() -> None:
    """No lens in it: it proves the path of the program, and says nothing of a real photograph."""
    flat = cv2.resize(card_picture(), (1400, 1018), interpolation=cv2.INTER_AREA)
    corners = np.array([[0, 0], [1399, 0], [1399, 1017], [0, 1017]], dtype=np.float32)
    quad = np.array([[150, 120], [1350, 180], [1290, 980], [210, 900]], dtype=np.float32)
    matrix = cv2.getPerspectiveTransform(corners, quad)
    warped = cv2.GaussianBlur(cv2.warpPerspective(flat, matrix, (1500, 1100), borderValue=200), (0, 0), 1.0)
    noisy = warped + np.random.default_rng(3).normal(0.0, 3.0, warped.shape)
    made = calibrate_by_card(np.clip(noisy, 0, 255).astype(np.uint8), true_print(), pick_u_px=1.0)

    # two points of the flat picture, whose distance is known by its dots: 110 mm over 1400 of them
    dots = np.array([[300.0, 250.0], [520.0, 530.0]])
    seen = cv2.perspectiveTransform(dots[None], matrix)[0]
    known = math.hypot(220.0, 280.0) * 110.0 / 1400.0
    assert np.hypot(*np.diff(made.plane.to_mm(seen), axis=0)[0]) == pytest.approx(known, abs=0.01)
    assert made.plane.residual_px is not None
    assert made.plane.residual_px < 0.15


def test_the_calliper_on_the_bars_is_the_scale() -> None:
    """A card printed at 99 % along and 98 % across is told by its bars; without them nothing has an uncertainty."""
    shrunk = CardLying(
        along=parse_quantity("89.10 mm ± 0.03 mm", "mm"), across=parse_quantity("58.80 mm ± 0.06 mm", "mm")
    )
    full = calibrated()
    made = calibrated(lying=shrunk)
    unknown = calibrated(lying=CardLying(along=shrunk.along))

    assert made.calibration.plane_mm == pytest.approx(full.calibration.plane_mm * [0.99, 0.98])
    assert made.calibration.length_u_relative == pytest.approx(0.06 / math.sqrt(3.0) / 58.8)
    assert unknown.calibration.plane_mm == pytest.approx(full.calibration.plane_mm * 0.99)
    assert unknown.calibration.length_u_relative is None
    assert "how true the card was printed is not known" in unknown.remarks[0]


def test_a_bar_that_is_far_off_is_questioned_and_used() -> None:
    """A print fitted to the page is asked about; the calliper is believed."""
    fitted = CardLying(
        along=parse_quantity("84.60 mm ± 0.03 mm", "mm"), across=parse_quantity("56.40 mm ± 0.03 mm", "mm")
    )
    made = calibrated(lying=fitted)

    assert any("was the sheet fitted to the page" in remark for remark in made.remarks)
    assert gaps(made)[0] == pytest.approx(4.7, abs=0.02)


@pytest.mark.hand("pinhole: 1.6 mm nearer at 250 mm looks larger by 250 / 248.4")
def test_a_face_above_the_card_is_read_as_it_is() -> None:
    """A card on the bench beside a board of 1.6 mm makes its gaps read longer; said, it is taken out."""
    camera = Camera(size=(1600, 1200), focal_px=1280.0)
    level = calibrated(camera, true_print(face_above_mm=None))
    said = calibrated(camera, true_print(face_above_mm=1.6))
    known = KnownLength(ends_px=camera.see(GAPS[:2], 1.6), length=parse_quantity("5.00 mm ± 0.02 mm", "mm"))

    taken_as_level = read_gap(level.calibration, level.plane, known, lens_mm=250.0)
    corrected = read_gap(said.calibration, said.plane, known, lens_mm=250.0)
    assert taken_as_level.read.value / corrected.read.value == pytest.approx(250.0 / 248.4, rel=1e-6)
    assert corrected.read.value == pytest.approx(5.0, abs=0.01)
    assert corrected.agrees is True
    assert (corrected.read.u or 0.0) < (taken_as_level.read.u or 0.0)
    # what was not said is asked for, and what it may be lies in the interval
    assert any("how far the face lies above the card is not said" in remark for remark in level.remarks)
    assert level.remarks != said.remarks == ()
    assert (taken_as_level.read.low or 0.0) < 5.0 * (1.0 - 10.0 / 250.0)


def test_a_blurred_picture_is_refused_with_its_cause() -> None:
    """Out of focus, or moved: by whether both directions are blurred."""
    with pytest.raises(InputError, match="the picture is out of focus: edges of the card are blurred by 0"):
        close(blur_px=3.5)
    with pytest.raises(InputError, match=r"the picture moved while it was taken: edges .* rest the camera"):
        close(smear_px=3.5)


def test_a_picture_blurred_beyond_reading_has_no_card() -> None:
    """The message says what a card must look like, and what to do without one."""
    with pytest.raises(InputError, match=r"no scale card is seen: .* most of its marks sharp, .* --pitch or --rect"):
        calibrated(blur_px=6.0)


def test_blur_widens_what_is_picked() -> None:
    """Corners are picked no better than to half of the blur that a sharp picture does not have."""
    made = close(blur_px=2.6)

    assert made.calibration.pick_u_px == pytest.approx(0.5 * math.sqrt(max(made.found.blur_px) ** 2 - 1.5**2))
    assert any("corners are picked no better than to half of it" in remark for remark in made.remarks)


@pytest.mark.hand("each place of a card moves outward by its height over that of the lens")
@pytest.mark.parametrize(("bow_mm", "refused"), [(4.0, False), (12.0, True), (25.0, True)])
def test_a_bent_card_is_told_or_refused(bow_mm: float, refused: bool) -> None:
    """A bow of some millimetres is taken out, widens the scale and is said; a sheet that rolls up is refused."""
    camera = Camera(size=(1600, 1200), focal_px=1280.0)
    flat = photograph_card(camera, at=AT)
    rows, columns = np.indices(flat.shape).astype(np.float64)
    pixels = np.column_stack([columns.ravel(), rows.ravel()])
    # a picture of the bent card: each place of the flat one is seen where its height puts it
    ground = camera.ground(pixels) - np.array(AT)
    bow = bow_mm * (1.0 - ((ground[:, 0] - 45.0) / 45.0) ** 2).clip(-1.0, 1.0)
    middle = 0.5 * (np.array(camera.size) - 1.0)
    back = (middle + (pixels - middle) * (1.0 - bow / camera.height_mm)[:, None]).astype(np.float32)
    bent = cv2.remap(
        flat, back[:, 0].reshape(flat.shape), back[:, 1].reshape(flat.shape), cv2.INTER_LINEAR, borderValue=150
    )
    picture = np.asarray(bent, dtype=np.uint8)

    if refused:
        with pytest.raises(InputError, match=r"the card does not lie flat: (it bows by|its corners miss a plane by)"):
            calibrate_by_card(picture, true_print(), pick_u_px=1.0)
        return
    made = calibrate_by_card(picture, true_print(), pick_u_px=1.0)
    straight = calibrate_by_card(flat, true_print(), pick_u_px=1.0)
    (said,) = made.remarks
    assert said.startswith("the card bows along by")
    # the paper reaches beyond the pattern, and bows on there
    assert 4.0 < made.plane.bow_mm < 9.0
    ends = camera.see(GAPS[2:4])
    spread, flat_spread = (
        np.std(np.hypot(*np.diff(one.plane.draw(300, np.random.default_rng(1)).to_mm(ends), axis=1)[:, 0].T))
        for one in (made, straight)
    )
    assert spread > 1.5 * flat_spread


@pytest.mark.hand("pinhole: a card 3 mm nearer at 400 mm comes out larger by 3/397")
def test_a_second_card_shows_that_they_do_not_lie_in_one_plane() -> None:
    """Level the two agree; one that stands on something is seen larger by the map of the other."""
    camera = Camera(size=(1600, 1000), focal_px=2200.0, height_mm=400.0)
    level = fit_plane(calibrate_by_card(photograph_card(camera, at=(-25.0, 0.0)), true_print()).calibration)
    (second,) = find_cards(photograph_card(camera, name="B", at=(75.0, 0.0)))
    nearer = replace(camera, height_mm=397.0)
    (raised,) = find_cards(photograph_card(nearer, name="B", at=(75.0, 0.0)))

    agree, differ = compare_cards(level, second), compare_cards(level, raised)
    # how the lens bends beyond the first card is known to a thousandth or so
    assert agree.larger == pytest.approx(0.0, abs=2e-3)
    assert "do not lie in one plane" not in agree.told()
    assert differ.larger - agree.larger == pytest.approx(3.0 / 397.0, abs=5e-4)
    assert "do not lie in one plane" in differ.told()


@pytest.mark.independent("the place of the camera that took the picture")
@pytest.mark.parametrize("tilt_deg", [0.5, 6.0, 20.0])
def test_the_camera_is_found_where_it_was(tilt_deg: float) -> None:
    """With its focal length known: tilt to half a degree, height to a hundredth, the foot of the lens to 3 mm."""
    camera = replace(CAMERA, tilt_deg=tilt_deg)
    pose = camera_pose(calibrated(camera).plane, camera.focal_px)
    angle = math.radians(tilt_deg)

    assert pose.tilt_deg == pytest.approx(tilt_deg, abs=0.5)
    assert pose.height_mm == pytest.approx(250.0 * math.cos(angle), rel=0.01)
    # the camera is turned about the foot's axis: its foot lies by 250 mm · sin of the tilt beside it
    foot = np.array(
        [250.0 * math.sin(angle) * -math.sin(camera.about), 250.0 * math.sin(angle) * math.cos(camera.about)]
    )
    there = on_card(np.array([pose.foot_mm]), AT, 8.0)[0]
    assert np.hypot(*(np.abs(there - camera.over) - np.abs(foot))) == pytest.approx(0.0, abs=3.0)


def test_two_cards_in_one_picture_check_each_other() -> None:
    """The one with more corners is the scale; the other says by how much it comes out larger, and widens the scale."""
    camera = Camera(size=(1800, 900), focal_px=2200.0, height_mm=400.0)
    left = photograph_card(camera, at=(-25.0, 0.0)).copy()
    middle = int(camera.see(np.array([[72.0, 30.0]]))[0, 0])
    nearer = replace(camera, height_mm=396.0)
    left[:, middle:] = photograph_card(nearer, name="B", at=(82.0, 0.0))[:, middle:]
    alone = left.copy()
    alone[:, middle:] = 150

    both, one = (calibrate_by_card(picture, true_print(), pick_u_px=1.0) for picture in (left, alone))
    assert any("comes out larger by" in remark and "not lie in one plane" in remark for remark in both.remarks)
    assert (both.calibration.length_u_relative or 0.0) > 3.0 * (one.calibration.length_u_relative or 1.0)
