"""A photograph in small, upright, for a page that shows many."""

from __future__ import annotations

import io
from os import PathLike
from pathlib import Path

from coldpin.capture.photo import LARGEST_FILE, MOST_PIXELS
from coldpin.errors import CaptureError, MissingExtra

LONGEST_SIDE = 480
"""Ours: pixels of the longer side, sharp on a page that shows it at half of that. [1]"""

QUALITY = 80
"""Ours: of the small JPEG, some 20 kB. [1]"""


def thumbnail(path: str | PathLike[str]) -> bytes:
    """Return a photograph in small.

    Parameters
    ----------
    path : str or path
        A picture; what it is is told by its content.

    Returns
    -------
    bytes
        A JPEG, turned as its file says, without what its camera wrote into it.

    Raises
    ------
    CaptureError
        It is no picture that can be read, or larger than is read.
    MissingExtra
        The library that reads pictures is not installed.
    """
    try:
        from PIL import Image, ImageOps, UnidentifiedImageError
    except ModuleNotFoundError as error:
        raise MissingExtra.of("photo", "showing a picture in small") from error
    source = Path(path)
    try:
        if source.stat().st_size > LARGEST_FILE:
            raise CaptureError(f"picture {source.name} is larger than is shown in small: look at it whole")
        with Image.open(source) as image:
            if image.width * image.height > MOST_PIXELS:
                raise CaptureError(f"picture {source.name} has more pixels than are shown in small: look at it whole")
            image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            small = ImageOps.exif_transpose(image).convert("RGB")
            small.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            out = io.BytesIO()
            small.save(out, "JPEG", quality=QUALITY)
            return out.getvalue()
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise CaptureError(f"picture {source.name} cannot be shown in small: look at it whole") from error
