"""A photograph made ready to measure in, from its file to a board's file."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from coldpin.capture.board_file import read_board
from coldpin.capture.photo import EXIF_PART, FOCAL_LENGTH_35
from coldpin.errors import InputError
from coldpin.insulation.calibration import fit_plane
from coldpin.insulation.known_lengths import parse_length, parse_rectangle
from coldpin.records.photo import PhotoGap, PhotoReading
from coldpin.records.plain import to_json
from coldpin.workbench.photographs import PhotoChoices, look_at_photo
from tests.insulation.virtual_camera import Camera, photograph_card

CAMERA = Camera(size=(1600, 1200), focal_px=1280.0, tilt_deg=6.0, k1=-0.02)
AT = (30.0, 20.0)
BARS = PhotoChoices(bar_along="90.00 mm ± 0.03 mm", bar_across="60.00 mm ± 0.03 mm", face_above="0 mm")


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The card as a telephone would store it: JPEG, turned on its side, with its focal length."""
    path = tmp_path_factory.mktemp("photo") / "board.jpg"
    tags = Image.Exif()
    tags[0x0112] = 6
    tags.get_ifd(EXIF_PART)[FOCAL_LENGTH_35] = round(43.27 * CAMERA.focal_px / 2000.0)
    pixels = np.rot90(photograph_card(CAMERA, at=AT, turn_deg=8.0))
    Image.fromarray(np.ascontiguousarray(pixels)).save(path, quality=92, exif=tags)
    return path


def gap(start: tuple[float, float], end: tuple[float, float], told: str) -> str:
    """Return a gap on the ground as it is pointed out in the picture."""
    (x0, y0), (x1, y1) = CAMERA.see(np.array([start, end]))
    return f"{x0:.2f},{y0:.2f} {x1:.2f},{y1:.2f} = {told}"


@pytest.fixture(scope="module")
def reading(picture: Path) -> PhotoReading:
    gaps = (
        gap((10, 5), (15, 5), "5.00 mm ± 0.02 mm"),
        gap((125, 60), (125, 65), "5.00 mm ± 0.02 mm"),
        gap((60, 90), (66.4, 90), "6.90 mm ± 0.02 mm"),
    )
    return look_at_photo(picture, replace(BARS, gaps=gaps, pick_u_px=0.3))


@pytest.mark.independent("the camera that took the picture")
def test_tilt_lens_and_height_are_those_of_the_camera(reading: PhotoReading) -> None:
    """Each within its interval: the lens by the card, tilt and height by the focal length that the camera wrote."""
    assert reading.tilt_deg is not None
    for quantity, true in (
        (reading.tilt_deg, 6.0),
        (reading.lens_height_mm, 250.0 * np.cos(np.radians(6.0))),
        (reading.distortion_percent, -2.0),
    ):
        assert quantity.low is not None
        assert quantity.high is not None
        assert quantity.low <= true <= quantity.high
    assert not reading.lens_height_is_least
    assert (reading.width_px, reading.height_px) == CAMERA.size


def test_gaps_by_calliper_check_the_picture(reading: PhotoReading) -> None:
    """Two agree; the third, half a millimetre too long, does not, and the remark names both readings."""
    assert [one.agrees for one in reading.gaps] == [True, True, False]
    assert [one.read.value for one in reading.gaps] == pytest.approx([5.0, 5.0, 6.4], abs=0.02)
    assert any("the gap of 6.9 mm by calliper reads 6.399 mm" in remark for remark in reading.remarks)
    assert not any("gaps set by calliper" in remark for remark in reading.remarks)


def test_gaps_of_one_direction_are_asked_for_one_across_them(reading: PhotoReading, picture: Path) -> None:
    """A picture that is stretched across them would agree as well."""
    gaps = tuple(gap((10, y), (15, y), "5.00 mm ± 0.02 mm") for y in (5, 8, 11))
    along = look_at_photo(picture, replace(BARS, gaps=gaps, pick_u_px=0.3))

    (told,) = (one for one in along.remarks if one.startswith("all gaps set by calliper"))
    assert "run about from left to right in the picture" in told
    assert told.endswith("give --gap for one that runs up and down")
    assert not any(one.startswith("all gaps set by calliper") for one in reading.remarks)


@pytest.mark.hand("a single gap may be off by its own interval of 95 %, one of three by 1.218 times as much")
def test_gaps_in_a_picture_have_one_bound_together(picture: Path) -> None:
    """What disagrees by itself by a tenth more than it may agrees as one of three."""
    sound = (gap((10, 5), (15, 5), "5.00 mm ± 0.02 mm"), gap((125, 60), (125, 65), "5.00 mm ± 0.02 mm"))

    def third(told: str, *others: str) -> PhotoGap:
        gaps = (*others, gap((60, 90), (66.4, 90), told))
        return look_at_photo(picture, replace(BARS, gaps=gaps, pick_u_px=0.3)).gaps[-1]

    there = third("6.40 mm ± 0.02 mm")
    assert there.read.expanded is not None
    assert there.known.expanded is not None
    off = there.read.value + 1.1 * float(np.hypot(there.read.expanded, there.known.expanded))
    told = f"{off:.4f} mm ± 0.02 mm"
    assert (third(told).agrees, third(told, *sound).agrees) == (False, True)


@pytest.mark.hand("1.6 / (H − 1.6) and 10 / (H − 10), with the height that is printed")
def test_what_heights_do_is_told(reading: PhotoReading) -> None:
    """A length at a height reads longer, by the height over what is left to the lens."""
    height = reading.lens_height_mm.value

    assert [one.height_mm for one in reading.raised] == [1.6, 10.0]
    assert [one.longer_percent for one in reading.raised] == pytest.approx(
        [160.0 / (height - 1.6), 1000.0 / (height - 10.0)]
    )


def test_the_scale_goes_into_a_boards_file_as_it_is(reading: PhotoReading, tmp_path: Path) -> None:
    """What is printed as JSON is read back as the calibration it was, and gives the gap that was told."""
    plain = json.loads(to_json(reading))
    outline = [[100.0, 100.0], [400.0, 100.0], [400.0, 300.0], [100.0, 300.0], [100.0, 100.0]]
    conductor = {
        "type": "Feature",
        "properties": {"role": "conductor", "net": "mains L", "name": "pad 1"},
        "geometry": {"type": "Polygon", "coordinates": [outline]},
    }
    path = tmp_path / "board.json"
    path.write_text(json.dumps({"type": "FeatureCollection", "scale": plain["scale"], "features": [conductor]}))
    calibration = read_board(path).board.calibration

    assert plain["schema"] == "coldpin.photo/1"
    assert calibration is not None
    assert calibration.picture == reading.sha256
    assert calibration.picture_size_px == CAMERA.size
    seen = fit_plane(calibration).to_mm(CAMERA.see(np.array([[10.0, 5.0], [15.0, 5.0]])))
    # the ends of the gap were written to a hundredth of a pixel, which is 0.2 mm wide
    assert np.hypot(*(seen[1] - seen[0])) == pytest.approx(reading.gaps[0].read.value, abs=2e-3)


def test_what_is_not_said_is_not_known(picture: Path) -> None:
    """Without bars and picking no figure has an uncertainty, and the remarks say what to give."""
    bare = look_at_photo(picture)

    assert bare.millimetres_per_pixel.u is None
    assert (bare.scale.pick_u_px, bare.scale.length_u_relative) == (None, None)
    told = " ".join(bare.remarks)
    for option in ("--bar-along and --bar-across", "--pick-u", "--gap", "--face-above"):
        assert option in told


@pytest.mark.parametrize("method", ["pitch", "rectangle"])
def test_a_scale_without_card(picture: Path, method: str) -> None:
    """By the sides of the card's own pattern: a row shows no tilt, a rectangle does."""
    corners = CAMERA.see(np.array([[30.0, 80.0], [120.0, 80.0], [120.0, 20.0], [30.0, 20.0]]))
    points = [f"{x:.2f},{y:.2f}" for x, y in corners]
    text = f"{points[0]} {points[1]} = 90 mm ± 0.05 mm"
    if method == "rectangle":
        text = f"{' '.join(points)} = 90 mm ± 0.05 mm x 60 mm ± 0.05 mm"
    gaps = (gap((80, 50), (85, 50), "5.00 mm ± 0.02 mm"),)
    choices = replace(PhotoChoices(gaps=gaps, pick_u_px=0.5), **{method: text})  # type: ignore[arg-type]  # members by name
    found = look_at_photo(picture, choices)

    assert found.method == method
    assert (found.tilt_deg is None) == (method == "pitch")
    assert found.gaps[0].agrees is True
    assert found.card is None


def test_a_stated_height_of_the_lens_goes_before_that_of_the_camera(picture: Path) -> None:
    """A rule beats a figure that the camera wrote."""
    found = look_at_photo(picture, replace(BARS, camera_height="300 mm"))

    assert found.lens_height_mm.value == pytest.approx(300.0, rel=1e-3)
    assert found.scale.camera_height_mm == 300.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("10,10 = 5 mm", "give 2 points in pixels"),
        ("10,10 20 = 5 mm", "give 2 points in pixels"),
        ("10,10 10,10 = 5 mm", "two points of"),
        ("10,10 20,10 = 0 mm", "must be above 0"),
        ("10,10 20,10 = 5 A", "mm"),
        ("10,10 20,10", "does not say what it stands for"),
    ],
)
def test_lengths_that_cannot_be_read(text: str, said: str) -> None:
    """Each with what is wrong."""
    with pytest.raises(InputError, match=said):
        parse_length(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0,0 9,0 9,9 0,9 = 5 mm", "names no two sides"),
        ("0,0 0,9 9,9 9,0 = 5 mm x 5 mm", "do not run clockwise"),
        ("0,0 9,9 9,0 0,9 = 5 mm x 5 mm", "do not run clockwise"),
        ("0,0 9,0 9,9 = 5 mm x 5 mm", "give 4 points"),
    ],
)
def test_rectangles_that_cannot_be_read(text: str, said: str) -> None:
    """Each with what is wrong; one given the other way round would be a mirrored board."""
    with pytest.raises(InputError, match=said):
        parse_rectangle(text)


@pytest.mark.parametrize(
    ("choices", "said"),
    [
        (PhotoChoices(pick_u_px=0.0), "picking to 0 px is no uncertainty"),
        (PhotoChoices(pick_u_px=float("nan")), "picking to nan px is no uncertainty"),
        (PhotoChoices(camera_height="-300 mm"), "the height of the lens is '-300 mm': it must be above 0"),
        (PhotoChoices(bar_along="0 mm"), "the long bar of the card is '0 mm': it must be above 0"),
        (PhotoChoices(bar_across="60 V"), "mm"),
        (PhotoChoices(at="soon"), "time code 'soon'"),
    ],
)
def test_what_a_person_says_is_checked(picture: Path, choices: PhotoChoices, said: str) -> None:
    """Before anything is measured by it."""
    with pytest.raises(InputError, match=said):
        look_at_photo(picture, choices)


def test_two_scales_are_one_too_many(picture: Path) -> None:
    """One is the scale, the other checks it."""
    with pytest.raises(InputError, match="both give the scale: say one, and the other as --gap"):
        look_at_photo(picture, PhotoChoices(pitch="1,1 9,1 = 5 mm", rectangle="0,0 9,0 9,9 0,9 = 5 mm x 5 mm"))


def test_a_point_outside_of_the_picture_is_refused(picture: Path) -> None:
    """With how large it is."""
    with pytest.raises(InputError, match="a point lies outside the picture, which has 1600 × 1200 pixels"):
        look_at_photo(picture, PhotoChoices(pitch="10,10 1700,10 = 50 mm"))
