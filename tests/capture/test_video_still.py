"""Stills from a video by their time code."""

from __future__ import annotations

import hashlib
from pathlib import Path

import cv2
import numpy as np
import pytest

from coldpin.capture.video_still import parse_time_code, read_still
from coldpin.errors import CaptureError, InputError

RATE = 10.0


@pytest.fixture(scope="module")
def video(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A video of five seconds, each frame of which is as light as its number: 4 per frame."""
    path = tmp_path_factory.mktemp("video") / "board.mp4"
    writer = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"mp4v"), RATE, (320, 240))
    for number in range(50):
        writer.write(np.full((240, 320, 3), 20 + 4 * number, dtype=np.uint8))
    writer.release()
    return path


@pytest.mark.hand("ten frames a second: at 1.25 s stands the frame that began at 1.2 s, the thirteenth")
@pytest.mark.parametrize(("at_s", "number"), [(0.0, 0), (1.25, 12), (3.0, 30), (4.9, 49)])
def test_the_frame_of_the_time_is_returned(video: Path, at_s: float, number: int) -> None:
    """It is told by its lightness, within a frame."""
    still = read_still(video, at_s)
    photo = still.photo

    assert photo.size_px == (320, 240)
    assert float(photo.grey.mean()) == pytest.approx(20 + 4 * number, abs=4.0)
    assert "a still at" in photo.remarks[0]
    assert photo.sha256 == hashlib.sha256(still.png).hexdigest()


def test_a_time_after_the_end_is_refused(video: Path) -> None:
    """With where the video ends."""
    with pytest.raises(CaptureError, match=r"it has no frame at 9\.00 s, it is about 5\.0 s long"):
        read_still(video, 9.0)


@pytest.mark.parametrize(
    "content", [b"#EXTM3U\nhttp://127.0.0.1/x.ts\n", b"ffconcat version 1.0\nfile x\n", b"", b"RIFF"]
)
def test_lists_of_other_files_are_not_opened(tmp_path: Path, content: bytes) -> None:
    """Only files that hold a video themselves are."""
    path = tmp_path / "v.mp4"
    path.write_bytes(content)

    with pytest.raises(CaptureError, match="stills are read from MP4, MOV, Matroska, WebM and AVI"):
        read_still(path, 1.0)


def test_a_damaged_video_is_one_message(tmp_path: Path, video: Path) -> None:
    """Its head alone is no video."""
    path = tmp_path / "v.mp4"
    path.write_bytes(video.read_bytes()[:64])

    with pytest.raises(CaptureError, match=r"video v\.mp4: it cannot be opened as a video"):
        read_still(path, 1.0)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("00:01:23.4", 83.4), ("1:23,4", 83.4), ("83.4", 83.4), ("83.4 s", 83.4), ("10:00:00", 36000.0), (" 5 ", 5.0)],
)
def test_time_codes_are_read(text: str, seconds: float) -> None:
    """With hours, with minutes, or as seconds."""
    assert parse_time_code(text) == pytest.approx(seconds)


@pytest.mark.parametrize("text", ["", "1:75", "1:75:00", "-3", "abc", "1:2:3:4", "99999", "nan"])
def test_what_is_no_time_code_is_refused(text: str) -> None:
    """With how one is written."""
    with pytest.raises(InputError, match="time code"):
        parse_time_code(text)
