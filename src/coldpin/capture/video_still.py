"""A still from a video by its time code, for boards that were filmed rather than photographed."""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from coldpin.capture.photo import FEWEST_PIXELS, MOST_PIXELS, Photo
from coldpin.capture.signature import content_signature
from coldpin.capture.source import CaptureFile
from coldpin.errors import InputError, MissingExtra

if TYPE_CHECKING:
    import cv2

VIDEOS = ("an MP4 or HEIF file (video or picture)", "a Matroska video", "an AVI video")
"""Contents that are opened; lists of files and streams are not, since they would name other files to be opened."""

BEFORE_S = 2.0
"""Ours: how far before the time the video is entered; from there its frames are counted one by one. [s]"""

LONGEST_S = 86_400.0
"""Ours: a later time is a mistake. [s]"""

LESS_THAN_A_PHOTOGRAPH = "its frames are compressed, and often straightened by the camera; a photograph shows more"

_HEAD = 0x1000
_SIXTY = 60
_TIME_CODE = re.compile(
    r"(?:(?:(?P<hours>\d{1,2}):)?(?P<minutes>\d{1,2}):)?(?P<seconds>\d{1,5}(?:[.,]\d{1,6})?)(?: ?s)?"
)


def parse_time_code(text: str) -> float:
    """Return the time that a time code names, counted from the start of the video.

    Parameters
    ----------
    text : str
        "01:02:03.5", "02:03.5" or "123.5 s".

    Returns
    -------
    float
        The time. [s]

    Raises
    ------
    InputError
        It is no time code, or its minutes or seconds go beyond 59.

    Examples
    --------
    >>> parse_time_code("01:02:03.5"), parse_time_code("12,25 s")
    (3723.5, 12.25)
    """
    found = _TIME_CODE.fullmatch(text.strip())
    if found is None:
        raise InputError(
            f"time code {text!r}: write hours:minutes:seconds, such as 00:01:23.4, or seconds, such as 83.4"
        )
    seconds = float(found["seconds"].replace(",", "."))
    minutes, hours = int(found["minutes"] or 0), int(found["hours"] or 0)
    if (found["minutes"] and seconds >= _SIXTY) or (found["hours"] and minutes >= _SIXTY):
        raise InputError(f"time code {text!r}: minutes and seconds go up to 59 where something stands before them")
    total = (_SIXTY * hours + minutes) * _SIXTY + seconds
    if total > LONGEST_S:
        raise InputError(f"time code {text!r} is later than a day: check it")
    return total


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VideoStill:
    """A frame of a video: as a picture to measure in, and as the PNG file whose hash that picture bears."""

    photo: Photo
    png: bytes


def read_still(path: str | PathLike[str], at_s: float) -> VideoStill:
    """Return the frame of a video that is shown at a time.

    Parameters
    ----------
    path : str or path
        An MP4, MOV, Matroska, WebM or AVI file.
    at_s : float
        The time from the start. [s]

    Returns
    -------
    VideoStill
        The frame; ``sha256`` of its picture is that of the PNG file, and a remark says at what time the frame stands.

    Raises
    ------
    CaptureError
        There is no such file, it is no video that is read here, or it ends before the time.
    MissingExtra
        The library that reads videos is not installed.
    """
    try:
        import cv2
    except ModuleNotFoundError as error:
        raise MissingExtra.of("photo", "reading a video") from error

    with CaptureFile(Path(path), kind="video", holds="the video") as file:
        content = content_signature(file.head(_HEAD))
        if content not in VIDEOS:
            raise file.error(
                f"its content is {content or 'no video that is known here'}; stills are read from MP4, MOV, Matroska, "
                "WebM and AVI (a picture needs no time code)"
            )
        with _capture(file) as video:
            _check(file, video)
            frame, shown_s = _frame_at(file, video, at_s)
        png = cv2.imencode(".png", frame)[1].tobytes()
        photo = Photo(
            name=file.name,
            grey=np.ascontiguousarray(cv2.cvtColor(frame, cv2.COLOR_BGR2GRAY), dtype=np.uint8),
            sha256=hashlib.sha256(png).hexdigest(),
            remarks=(f"a still at {shown_s:.3f} s of a video: {LESS_THAN_A_PHOTOGRAPH}",),
        )
        return VideoStill(photo=photo, png=png)


@contextmanager
def _capture(file: CaptureFile) -> Iterator[cv2.VideoCapture]:
    import cv2

    # an absolute path is never taken for the number of a camera, an address or a pattern of names
    video = cv2.VideoCapture(str(file.path.resolve()), cv2.CAP_FFMPEG)
    try:
        if not video.isOpened():
            raise file.error("it cannot be opened as a video: export it as MP4 (H.264)")
        yield video
    finally:
        video.release()


def _check(file: CaptureFile, video: cv2.VideoCapture) -> None:
    import cv2

    width, height = (video.get(key) for key in (cv2.CAP_PROP_FRAME_WIDTH, cv2.CAP_PROP_FRAME_HEIGHT))
    if width * height > MOST_PIXELS or min(width, height) < FEWEST_PIXELS:
        raise file.error(f"its frames have {width:g} × {height:g} pixels: this is no video to measure in")


def _frame_at(file: CaptureFile, video: cv2.VideoCapture, at_s: float) -> tuple[np.ndarray, float]:
    """Return the last frame that begins no later than a time, and when it begins."""
    import cv2

    rate = video.get(cv2.CAP_PROP_FPS)
    half = 0.5 / rate if math.isfinite(rate) and rate > 0.0 else 0.0
    video.set(cv2.CAP_PROP_POS_MSEC, 1e3 * max(0.0, at_s - BEFORE_S))
    kept, kept_s, last_s = None, 0.0, 0.0
    while video.grab():
        last_s = 1e-3 * video.get(cv2.CAP_PROP_POS_MSEC)
        if kept is not None and last_s > at_s + half:
            return kept, kept_s
        done, frame = video.retrieve()
        if done:
            kept, kept_s = frame, last_s
    if kept is None or at_s > last_s + 2 * half + 1e-3:
        long = f", it is about {video.get(cv2.CAP_PROP_FRAME_COUNT) / rate:.1f} s long" if half else ""
        raise file.error(f"it has no frame at {at_s:.2f} s{long}: say an earlier --at")
    return kept, kept_s
