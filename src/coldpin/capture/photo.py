"""A photograph as a picture to measure in: turned as it was held, grey, with what its camera said of the lens.

Nothing else that a camera writes into a file is looked at: no place, no time, no owner.
"""

from __future__ import annotations

import hashlib
import io
import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.signature import content_signature
from coldpin.capture.source import CaptureFile
from coldpin.errors import MissingExtra

if TYPE_CHECKING:
    from PIL import Image

LARGEST_FILE = 200_000_000
"""Ours: a photograph of the finest telephone, uncompressed, is half of it. [bytes]"""

MOST_PIXELS = 80_000_000
"""Ours: what fits into memory several times over; no card needs more. [px]"""

FEWEST_PIXELS = 200
"""Ours: shortest side of a picture in which anything is measured. [px]"""

FULL_FRAME_DIAGONAL_MM = 43.27
"""Diagonal of the frame of 36 mm × 24 mm that focal lengths "in 35 mm film" are referred to. [mm]"""

LONGEST_FOCAL_MM = 2000
"""Ours: a longer lens is no lens for a board; such a figure is a mistake. [mm]"""

PICTURES = ("JPEG", "PNG", "TIFF", "WEBP")
"""Formats that are read, as the library calls them."""

_HEAD = 0x1000
ORIENTATION, EXIF_PART, FOCAL_LENGTH_35 = 0x0112, 0x8769, 0xA405
"""Numbers of the tags that are read: how the camera was held, where the rest begins, the focal length."""

_UPRIGHT = 1
_TURNS = {
    1: (False, False, False),
    2: (False, False, True),
    3: (False, True, True),
    4: (False, True, False),
    5: (True, False, False),
    6: (True, False, True),
    7: (True, True, True),
    8: (True, True, False),
}
"""By orientation: whether rows and columns are exchanged, and then whether up and down, left and right are."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photo:
    """A picture to measure in.

    ``grey``: array of shape (height, width), 0 is dark and 255 light, turned as the camera was held. ``focal_px`` is
    the focal length of its lens in pixels, None where the file does not say it. ``sha256`` is that of the file.
    """

    name: str
    grey: NDArray[np.uint8]
    sha256: str
    focal_px: float | None = None
    remarks: tuple[str, ...] = ()

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height. [px]"""
        height, width = self.grey.shape
        return int(width), int(height)


def read_photo(path: str | PathLike[str]) -> Photo:
    """Read a photograph as a grey picture, turned as its file says.

    Parameters
    ----------
    path : str or path
        A JPEG, PNG, TIFF or WebP file; what it is is told by its content.

    Returns
    -------
    Photo
        The picture.

    Raises
    ------
    CaptureError
        There is no such file, it is no picture that is read here, is cut off, or is too large or too small.
    MissingExtra
        The library that reads pictures is not installed.
    """
    with CaptureFile(Path(path), kind="photo", holds="the picture") as file, _opened(file) as (image, digest):
        _check_size(file, image.size)
        turn, focal_mm, remarks = _told_by_camera(image)
        grey = _grey(file, image)
        turned = np.ascontiguousarray(turn_upright(grey, turn))
        return Photo(
            name=file.name,
            grey=turned,
            sha256=digest,
            focal_px=focal_mm / FULL_FRAME_DIAGONAL_MM * math.hypot(*image.size) if focal_mm else None,
            remarks=remarks,
        )


def read_colours(path: str | PathLike[str]) -> NDArray[np.uint8]:
    """Read a photograph in colour, turned as its file says.

    Parameters
    ----------
    path : str or path
        A JPEG, PNG, TIFF or WebP file.

    Returns
    -------
    NDArray[np.uint8]
        Array of shape (height, width, 3): red, green, blue.

    Raises
    ------
    CaptureError
        There is no such file, it is no picture that is read here, is cut off, or is too large or too small.
    MissingExtra
        The library that reads pictures is not installed.
    """
    with CaptureFile(Path(path), kind="photo", holds="the picture") as file, _opened(file) as (image, _):
        _check_size(file, image.size)
        turn, _, _ = _told_by_camera(image)
        return np.ascontiguousarray(turn_upright(np.asarray(image.convert("RGB")), turn))


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureFacts:
    """What a picture is before it is decoded: its form, its size as it is held upright, whether it is stored so."""

    form: str
    size_px: tuple[int, int]
    stored_upright: bool


def picture_facts(path: str | PathLike[str]) -> PictureFacts:
    """Look at the head of a picture.

    Parameters
    ----------
    path : str or path
        A JPEG, PNG, TIFF or WebP file.

    Returns
    -------
    PictureFacts
        Its form ("JPEG"), and its size upright. [px]

    Raises
    ------
    CaptureError
        There is no such file, it is no picture that is read here, or is too large or too small.
    MissingExtra
        The library that reads pictures is not installed.
    """
    with CaptureFile(Path(path), kind="photo", holds="the picture") as file, _opened(file) as (image, _):
        _check_size(file, image.size)
        turn, _, _ = _told_by_camera(image)
        width, height = image.size
        return PictureFacts(
            form=str(image.format),
            size_px=(height, width) if _TURNS[turn][0] else (width, height),
            stored_upright=turn == _UPRIGHT,
        )


def turn_upright(pixels: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """Return a picture turned as its file says that the camera was held.

    Parameters
    ----------
    pixels : NDArray[np.uint8]
        Array of shape (height, width) or (height, width, 3), as stored.
    orientation : int
        1 to 8, as the tag of that name has it: 1 is upright, 3 upside down, 6 and 8 on a side, the others mirrored.

    Returns
    -------
    NDArray[np.uint8]
        The picture upright; its sides are exchanged from 5 on.

    Examples
    --------
    >>> turn_upright(np.array([[1, 2, 3]], dtype=np.uint8), 6).tolist()
    [[1], [2], [3]]

    Sources
    -------
    EXIF 2.3, tag 0x0112 (standing: memory).
    """
    exchanged, up_down, left_right = _TURNS[orientation]
    turned = np.swapaxes(pixels, 0, 1) if exchanged else pixels
    if up_down:
        turned = turned[::-1]
    return turned[:, ::-1] if left_right else turned


@contextmanager
def _opened(file: CaptureFile) -> Iterator[tuple[Image.Image, str]]:
    """Open a picture, and give every way in which it can be wrong one message."""
    try:
        from PIL import Image, UnidentifiedImageError
    except ModuleNotFoundError as error:
        raise MissingExtra.of("photo", "reading a picture") from error

    if file.size == 0:
        raise file.error("the file is empty: copy the picture again")
    if file.size > LARGEST_FILE:
        raise file.error(f"it has {file.size} bytes; at most {LARGEST_FILE} are read: save the picture as JPEG")
    data = file.head(file.size)
    try:
        with warnings.catch_warnings():
            # what the library warns of, a size or a tag, is checked here or does not matter to a measurement
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=PICTURES) as image:
                yield image, hashlib.sha256(data).hexdigest()
    except UnidentifiedImageError:
        content = content_signature(data[:_HEAD]) or "no picture that is known here"
        raise file.error(
            f"its content is {content}; pictures are read as JPEG, PNG, TIFF or WebP: export it as JPEG at full size "
            "(for a still from a video say --at)"
        ) from None
    except Image.DecompressionBombError:
        raise file.error(f"it claims more than {MOST_PIXELS} pixels: crop it to board and card") from None
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError, OverflowError) as error:
        raise file.error(f"the picture cannot be read to its end ({error}): copy it again from the camera") from None


def _check_size(file: CaptureFile, size: tuple[int, int]) -> None:
    width, height = size
    if width * height > MOST_PIXELS:
        raise file.error(f"it has {width} × {height} pixels; at most {MOST_PIXELS} are read: crop it to board and card")
    if min(width, height) < FEWEST_PIXELS:
        raise file.error(
            f"it has {width} × {height} pixels, too few to measure in: give the picture as the camera took it"
        )


def _grey(file: CaptureFile, image: Image.Image) -> NDArray[np.uint8]:
    image.draft("L", image.size)
    if image.mode.startswith("I;16"):
        # the library would cut these off at 255
        return (np.asarray(image) // 0x100).astype(np.uint8)
    if image.mode in ("I", "F"):
        raise file.error("its values have 32 bits, which no camera stores: save it with 8 or 16 bits")
    return np.asarray(image if image.mode == "L" else image.convert("L"))


def _told_by_camera(image: Image.Image) -> tuple[int, float | None, tuple[str, ...]]:
    """Return how the camera was held, its focal length in 35 mm film [mm], and remarks; what is broken says nothing."""
    try:
        tags = image.getexif()
        given = tags.get(ORIENTATION, _UPRIGHT)
        focal = tags.get_ifd(EXIF_PART).get(FOCAL_LENGTH_35)
    except (OSError, ValueError, SyntaxError, KeyError, TypeError, IndexError, EOFError, OverflowError):
        return _UPRIGHT, None, ("what the camera wrote into the picture cannot be read: taken as upright",)
    upright = given if isinstance(given, int) and given in _TURNS else _UPRIGHT
    remarks: tuple[str, ...] = ()
    if sum(_TURNS[upright]) % 2:
        remarks = ("the camera says that it stored the picture mirrored: it was turned back",)
    if not isinstance(focal, int) or not 0 < focal < LONGEST_FOCAL_MM:
        return upright, None, remarks
    return upright, float(focal), remarks
