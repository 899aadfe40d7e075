"""What a picture tells beside the picture."""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image, PngImagePlugin

from coldpin.casefile.camera_marks import camera_marks

PICTURE = Image.fromarray(np.full((8, 12, 3), 90, dtype=np.uint8))
ORIENTATION, MAKE, DATE, GPS, EXPOSURE, FOCAL = 0x0112, 0x010F, 0x0132, 0x8825, 0x8769, 0xA405


def jpeg(fill: Callable[[Image.Exif], None] = lambda _: None, **options: object) -> bytes:
    exif = Image.Exif()
    fill(exif)
    held = io.BytesIO()
    PICTURE.save(held, "JPEG", exif=exif, **options)
    return held.getvalue()


def png(**options: object) -> bytes:
    held = io.BytesIO()
    PICTURE.save(held, "PNG", **options)
    return held.getvalue()


def _upright(exif: Image.Exif) -> None:
    exif[ORIENTATION] = 1
    exif.get_ifd(EXPOSURE)[FOCAL] = 35


def test_a_picture_of_its_own_tells_nothing() -> None:
    """Size, orientation and focal length are of the picture."""
    assert camera_marks(jpeg()) == ""
    assert camera_marks(jpeg(_upright)) == ""
    assert camera_marks(png()) == ""


@pytest.mark.parametrize(("tag", "value"), [(MAKE, "a maker"), (DATE, "2026:05:02 10:00:00")])
def test_device_and_time_are_told(tag: int, value: str) -> None:
    """Whatever is not of the picture itself counts."""
    assert "camera wrote" in camera_marks(jpeg(lambda exif: exif.update({tag: value})))


def test_a_place_is_told() -> None:
    """A directory of its own holds it."""
    assert "place" in camera_marks(jpeg(lambda exif: exif.get_ifd(GPS).update({1: "N", 2: (55.0, 1.0, 2.0)})))


def test_comments_and_what_programs_write_are_told() -> None:
    """Comments, XMP, text in PNG."""
    text = PngImagePlugin.PngInfo()
    text.add_text("Author", "somebody")

    assert camera_marks(jpeg(comment="by somebody")) == "a comment"
    assert camera_marks(jpeg(xmp=b"<x/>")) == "what a program wrote about it"
    assert camera_marks(png(pnginfo=text)) == "what a program wrote about it"


def test_profiles_and_what_stands_behind_the_end_are_told() -> None:
    """A profile names a screen or a telephone; behind the end some telephones put a film or a place."""
    profile = b"\0" * 128 + b"a telephone"

    assert "colour profile" in camera_marks(jpeg(icc_profile=profile))
    assert "colour profile" in camera_marks(png(icc_profile=profile))
    assert camera_marks(jpeg() + b"x") == "something behind its end"
    assert camera_marks(png() + b"x") == "something behind its end"
    assert camera_marks(jpeg()[:-2]) == "something behind its end"


def test_what_cannot_be_looked_into_is_said() -> None:
    """A format unknown here, and headers cut anywhere, never pass as telling nothing."""
    whole = jpeg(_upright)
    start_of_scan = whole.index(b"\xff\xda")

    assert camera_marks(b"RIFF") == "a format that is not looked into"
    for length in range(3, start_of_scan):
        assert camera_marks(whole[:length]), length
