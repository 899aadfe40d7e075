"""What a camera wrote into a picture beside the picture: place, time, device, person."""

from __future__ import annotations

import struct
from collections.abc import Iterator

_JPEG = b"\xff\xd8\xff"
_PNG = b"\x89PNG\r\n\x1a\n"
_EXIF = b"Exif\0\0"

_OF_THE_PICTURE = {
    0x0100, 0x0101, 0x0102, 0x0103, 0x0106, 0x0112, 0x0115, 0x011A, 0x011B, 0x0128, 0x0211, 0x0213, 0x0214,
    0x829A, 0x829D, 0x8822, 0x8827, 0x9000, 0x9101, 0x9102, 0x9201, 0x9202, 0x9203, 0x9204, 0x9205, 0x9206, 0x9207,
    0x9208, 0x9209, 0x920A, 0xA000, 0xA001, 0xA002, 0xA003, 0xA20E, 0xA20F, 0xA210, 0xA217, 0xA300, 0xA301, 0xA401,
    0xA402, 0xA403, 0xA404, 0xA405, 0xA406, 0xA407, 0xA408, 0xA409, 0xA40A, 0xA40C,
}  # fmt: skip  # a table of numbers
"""Exif tags that say how the picture was taken, and not where, when, by whom or with which device: size, orientation,
exposure, focal length, colour."""

_EXIF_POINTER = 0x8769
_ENTRY = 12
_CHUNK_FRAME = 12
"""Length, kind and check sum of a part of a PNG. [bytes]"""

_SOS = 0xDA
_END = b"\xff\xd9"
_JFIF, _ADOBE = 0xE0, 0xEE
_JFIF_WITHOUT_PICTURE = 14
"""Length of what a JFIF header says where no small picture follows. [bytes]"""

_FIRST_APP, _LAST_APP, _COMMENT = 0xE0, 0xEF, 0xFE
_ICC = b"ICC_PROFILE\0"
_PROFILE = "a colour profile, which can name a device"
_PLAIN_CHUNKS = {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"pHYs", b"gAMA", b"cHRM", b"sRGB", b"tRNS", b"bKGD",
                 b"sBIT", b"hIST"}  # fmt: skip  # a table of numbers
_SOFTWARE = b"Software\0"


def camera_marks(data: bytes) -> str:
    """Return what a picture tells beside the picture, so far as it may tell of place, time, device or person.

    Parameters
    ----------
    data : bytes
        The file.

    Returns
    -------
    str
        Words for a person; empty where there is nothing of the kind. A file that is no JPEG and no PNG, or is damaged,
        is told as one that cannot be looked into.

    Examples
    --------
    >>> camera_marks(b"GIF89a")
    'a format that is not looked into'
    """
    try:
        if data.startswith(_JPEG):
            return next(_in_jpeg(data), "")
        if data.startswith(_PNG):
            return next(_in_png(data), "")
    except (struct.error, IndexError, ValueError):
        return "a header that cannot be read"
    return "a format that is not looked into"


def _in_jpeg(data: bytes) -> Iterator[str]:
    place = len(_JPEG) - 1
    while True:
        lead, marker, length = struct.unpack_from(">BBH", data, place)
        if lead != _JPEG[0]:
            yield "a header that cannot be read"
            return
        if marker == _SOS:
            if data.find(_END, place) != len(data) - len(_END):
                yield "something behind its end"
            return
        if told := _of_segment(marker, data[place + 4 : place + 2 + length]):
            yield told
        place += 2 + length


def _of_segment(marker: int, body: bytes) -> str:
    """Say what a segment before the picture tells."""
    if marker == _COMMENT:
        return "a comment"
    if marker == _JFIF:
        return "a small picture beside it" if len(body) > _JFIF_WITHOUT_PICTURE else ""
    if not _FIRST_APP <= marker <= _LAST_APP or marker == _ADOBE:
        return ""
    if body.startswith(_ICC):
        return _PROFILE
    if not body.startswith(_EXIF):
        return "what a program wrote about it"
    return "what its camera wrote (place, time, device or person)" if _tells(body[len(_EXIF) :]) else ""


def _in_png(data: bytes) -> Iterator[str]:
    place = len(_PNG)
    while place < len(data):
        length, kind = struct.unpack_from(">I4s", data, place)
        body = data[place + 8 : place + 8 + length]
        if kind == b"eXIf":
            if _tells(body):
                yield "what its camera wrote (place, time, device or person)"
        elif kind == b"iCCP":
            yield _PROFILE
        elif kind not in _PLAIN_CHUNKS and not (kind == b"tEXt" and body.startswith(_SOFTWARE)):
            yield "what a program wrote about it"
        if kind == b"IEND":
            if data[place + _CHUNK_FRAME + length :]:
                yield "something behind its end"
            return
        place += _CHUNK_FRAME + length


def _tells(exif: bytes) -> bool:
    """Say whether a block of Exif holds a tag beyond those of the picture itself."""
    order = {b"II": "<", b"MM": ">"}[exif[:2]] if exif[:2] in (b"II", b"MM") else ""
    if not order:
        return True
    first = struct.unpack_from(f"{order}I", exif, 4)[0]
    pending, seen = [first], set()
    while pending:
        start = pending.pop()
        if start in seen:
            return True
        seen.add(start)
        count = struct.unpack_from(f"{order}H", exif, start)[0]
        for number in range(count):
            tag, _, _, value = struct.unpack_from(f"{order}HHII", exif, start + 2 + _ENTRY * number)
            if tag == _EXIF_POINTER:
                pending.append(value)
            elif tag not in _OF_THE_PICTURE:
                return True
        if struct.unpack_from(f"{order}I", exif, start + 2 + _ENTRY * count)[0]:
            return True  # a second directory holds a small picture of its own
    return False
