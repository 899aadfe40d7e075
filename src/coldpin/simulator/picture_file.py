"""How a virtual camera writes its pictures: as JPEG with the turn of the camera on record, or as PNG."""

from __future__ import annotations

import io
import struct

import numpy as np
from matplotlib.image import imsave
from numpy.typing import NDArray

from coldpin.errors import UnknownName

TURNS = {0: 1, 90: 8, 180: 3, 270: 6}
"""By how far the picture as written has to be turned, counter-clockwise, to stand upright [°], the mark for it."""


def as_png(picture: NDArray[np.uint8]) -> bytes:
    r"""Return a picture as a PNG file.

    Parameters
    ----------
    picture : NDArray[np.uint8]
        Array of shape (height, width, 3).

    Returns
    -------
    bytes
        The file.

    Examples
    --------
    >>> as_png(np.zeros((2, 2, 3), np.uint8))[:4]
    b'\x89PNG'
    """
    written = io.BytesIO()
    imsave(written, picture, format="png", metadata={"Software": ""})
    return written.getvalue()


def as_jpeg(picture: NDArray[np.uint8], *, quality: int = 90, turn_deg: int = 0, focal_35mm: int = 0) -> bytes:
    r"""Return a picture as a JPEG file, as a camera held turned writes it.

    Parameters
    ----------
    picture : NDArray[np.uint8]
        Array of shape (height, width, 3), upright.
    quality : int
        From 1 to 95. [1]
    turn_deg : int
        By how far a viewer has to turn what is written, counter-clockwise: 0, 90, 180 or 270. [°]
    focal_35mm : int
        Focal length over full-frame film for the same view; 0 where the camera does not say. [mm]

    Returns
    -------
    bytes
        The file, with the mark of its turn.

    Raises
    ------
    UnknownName
        A camera does not mark such a turn.

    Examples
    --------
    >>> as_jpeg(np.zeros((2, 2, 3), np.uint8))[:3]
    b'\xff\xd8\xff'
    """
    if turn_deg not in TURNS:
        raise UnknownName.among("turn of a picture", f"{turn_deg}", [f"{turn}" for turn in TURNS])
    written = io.BytesIO()
    turned = np.ascontiguousarray(np.rot90(picture, -turn_deg // 90))
    # two entries, the orientation and where the camera's own part lies, which holds the focal length
    entries = struct.pack(">HHIHHHHII", 0x0112, 3, 1, TURNS[turn_deg], 0, 0x8769, 4, 1, 38)
    camera = struct.pack(">HHHIHHI", 1, 0xA405, 3, 1, focal_35mm, 0, 0)
    mark = b"Exif\0\0MM\0*" + struct.pack(">IH", 8, 2) + entries + struct.pack(">I", 0) + camera
    imsave(written, turned, format="jpeg", pil_kwargs={"quality": quality, "exif": mark})
    return written.getvalue()
