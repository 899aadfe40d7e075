"""Photographs from files: turned as they were held, refused in one message where they are not what they should be."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageOps

from coldpin.capture.photo import (
    EXIF_PART,
    FOCAL_LENGTH_35,
    MOST_PIXELS,
    ORIENTATION,
    read_colours,
    read_photo,
    turn_upright,
)
from coldpin.errors import CaptureError


def picture(width: int = 320, height: int = 240) -> NDArray[np.uint8]:
    """Return a picture no turn of which is like another."""
    rows, columns = np.indices((height, width))
    return np.asarray(20 + columns * 100 // width + rows * 110 // height, dtype=np.uint8)


def saved(path: Path, pixels: NDArray[np.uint8], orientation: int = 1, focal: object = None) -> Path:
    tags = Image.Exif()
    tags[ORIENTATION] = orientation
    if focal is not None:
        tags.get_ifd(EXIF_PART)[FOCAL_LENGTH_35] = focal
    Image.fromarray(pixels).save(path, exif=tags)
    return path


@pytest.mark.independent("the turning of pictures by their tag in the library Pillow")
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_is_turned_as_the_camera_was_held(tmp_path: Path, orientation: int) -> None:
    """All eight ways, the mirrored ones with a remark."""
    path = saved(tmp_path / "p.png", picture(), orientation)
    with Image.open(path) as image:
        turned = np.asarray(ImageOps.exif_transpose(image))

    photo = read_photo(path)
    assert np.array_equal(photo.grey, turned)
    assert photo.size_px == (turned.shape[1], turned.shape[0])
    assert bool(photo.remarks) == (orientation in (2, 4, 5, 7))
    assert np.array_equal(read_colours(path)[..., 0], turned)


@pytest.mark.hand(
    "43.27 mm is the diagonal of 36 mm × 24 mm: 28 mm over it, times the diagonal of 320 × 240, which is 400"
)
def test_the_focal_length_is_referred_to_the_diagonal(tmp_path: Path) -> None:
    """In 35 mm film, to pixels; a nonsense is none."""
    assert read_photo(saved(tmp_path / "a.jpg", picture(), focal=28)).focal_px == pytest.approx(28 / 43.27 * 400)
    assert read_photo(saved(tmp_path / "b.jpg", picture(), focal=0)).focal_px is None
    assert read_photo(saved(tmp_path / "c.jpg", picture())).focal_px is None


def test_what_else_a_camera_writes_is_not_kept(tmp_path: Path) -> None:
    """Neither maker nor place nor time stand in the record."""
    tags = Image.Exif()
    tags[0x010F], tags[0x0132] = "Maker", "2026:05:02 14:30:00"
    path = tmp_path / "p.jpg"
    Image.fromarray(picture()).save(path, exif=tags)

    assert "Maker" not in repr(read_photo(path))
    assert "2026" not in repr(read_photo(path))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "the file is empty: copy the picture again"),
        (b"time,volts\n1,2\n", "its content is no picture that is known here; pictures are read as JPEG, PNG, TIFF or"),
        (b"%PDF-1.7 ...", "its content is a PDF document"),
        (b"\x00\x00\x00\x18ftypheic" + bytes(64), "its content is an MP4 or HEIF file"),
    ],
)
def test_what_is_no_picture_is_named(tmp_path: Path, content: bytes, said: str) -> None:
    """By its content, whatever its name says."""
    path = tmp_path / "p.jpg"
    path.write_bytes(content)

    with pytest.raises(CaptureError, match=rf"photo p\.jpg: {said}"):
        read_photo(path)


def test_a_picture_that_is_cut_off_is_refused(tmp_path: Path) -> None:
    """Half a picture would be measured in half of it."""
    whole = saved(tmp_path / "p.jpg", np.random.default_rng(1).integers(0, 255, (480, 640)).astype(np.uint8))
    cut = tmp_path / "cut.jpg"
    cut.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])

    with pytest.raises(
        CaptureError, match=r"photo cut\.jpg: the picture cannot be read to its end \(.*\): copy it again"
    ):
        read_photo(cut)


def png_that_claims(width: int, height: int) -> bytes:
    """Return a PNG of some bytes that claims a size."""
    header = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    data = b"IDAT" + zlib.compress(b"\0" * 100)
    chunks = [struct.pack(">I", len(c) - 4) + c + struct.pack(">I", zlib.crc32(c)) for c in (header, data, b"IEND")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


@pytest.mark.parametrize(("width", "height"), [(60_000, 60_000), (10_000, 8_001), (2**31 - 1, 1)])
def test_a_size_that_fits_into_no_memory_is_refused_before_it_is_taken(tmp_path: Path, width: int, height: int) -> None:
    """A file of a hundred bytes may claim any size."""
    path = tmp_path / "bomb.png"
    path.write_bytes(png_that_claims(width, height))

    with pytest.raises(CaptureError, match=f"{MOST_PIXELS}"):
        read_photo(path)


def test_a_picture_too_small_to_measure_in_is_refused(tmp_path: Path) -> None:
    """Such as a preview."""
    with pytest.raises(CaptureError, match="it has 160 × 120 pixels, too few to measure in"):
        read_photo(saved(tmp_path / "p.png", picture(160, 120)))


def test_sixteen_bits_are_read_whole(tmp_path: Path) -> None:
    """A scan of 16 bits has the same light and dark as one of eight."""
    deep = picture().astype(np.uint16) * 256
    path = tmp_path / "p.png"
    Image.fromarray(deep).save(path)

    assert np.array_equal(read_photo(path).grey, picture())


def test_broken_words_of_the_camera_do_not_lose_the_picture(tmp_path: Path) -> None:
    """What it wrote beside the picture is left out, and said."""
    good = io.BytesIO()
    Image.fromarray(picture()).save(good, format="JPEG")
    data = good.getvalue()
    junk = b"Exif\x00\x00II*\x00\xff\xff\xff\x7f" + b"\xff" * 40
    path = tmp_path / "p.jpg"
    path.write_bytes(data[:2] + b"\xff\xe1" + struct.pack(">H", len(junk) + 2) + junk + data[2:])

    assert read_photo(path).grey.shape == (240, 320)


@given(place=st.integers(0, 4000), bad=st.binary(min_size=1, max_size=40))
def test_any_damage_gives_a_picture_or_one_message(
    place: int, bad: bytes, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Never another error: bytes changed anywhere are read, or refused by name."""
    path = tmp_path_factory.getbasetemp() / "damaged.jpg"
    good = io.BytesIO()
    Image.fromarray(picture()).save(good, format="JPEG", quality=60)
    data = bytearray(good.getvalue())
    place %= len(data)
    data[place : place + len(bad)] = bad
    path.write_bytes(bytes(data))

    said = ""
    try:
        read_photo(path)
    except CaptureError as error:
        said = str(error)
    assert said == "" or said.startswith("photo damaged.jpg: ")


def test_turning_four_times_gives_the_picture_back() -> None:
    """A quarter turn is a quarter turn."""
    turned = picture()
    for _ in range(4):
        turned = turn_upright(turned, 6)

    assert np.array_equal(turned, picture())
