"""A photograph as its pixels alone: made anew, with nothing that camera, telephone or program wrote beside them."""

from __future__ import annotations

import io
from os import PathLike
from pathlib import Path

from coldpin.capture.photo import read_colours

QUALITY = 88
"""Ours: of 100; what a board or a plate shows is kept, and a file has a few megabytes."""

_HEADS = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\x00", b"MM\x00*")
_RIFF, _WEBP = b"RIFF", b"WEBP"
_LONGEST_HEAD = 12


def is_picture(path: str | PathLike[str]) -> bool:
    """Say whether a file begins as a picture does, whatever it is called.

    Parameters
    ----------
    path : str or path
        The file.

    Returns
    -------
    bool
        Whether it begins as JPEG, PNG, WebP or TIFF; what cannot be opened does not.
    """
    try:
        with Path(path).open("rb") as file:
            head = file.read(_LONGEST_HEAD)
    except OSError:
        return False
    # sound begins with the same four letters as WebP
    return head.startswith(_HEADS) or (head.startswith(_RIFF) and head.endswith(_WEBP))


def bare_picture(path: str | PathLike[str]) -> bytes:
    """Return a photograph as a new JPEG made from its pixels, turned upright.

    Place, time, camera, owner, serial numbers, comments, colour profile, the small picture beside the large one and
    whatever was put behind the end of the file are not in it: only pixels are taken over.

    Parameters
    ----------
    path : str or path
        A JPEG, PNG, TIFF or WebP file.

    Returns
    -------
    bytes
        The JPEG.

    Raises
    ------
    CaptureError
        There is no such file, it is no picture that is read here, is cut off, or is too large or too small.
    MissingExtra
        The library that reads pictures is not installed.
    """
    pixels = read_colours(path)
    from PIL import Image

    held = io.BytesIO()
    Image.fromarray(pixels).save(held, format="JPEG", quality=QUALITY, optimize=True)
    return held.getvalue()
