"""The commands about photographs, from the command line to what they print."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from coldpin.cli import main
from tests.insulation.virtual_camera import Camera, photograph_card

BARS = ["--bar-along", "90.00 mm ± 0.03 mm", "--bar-across", "60.00 mm ± 0.03 mm"]


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("photo") / "board.jpg"
    Image.fromarray(photograph_card(Camera(size=(1400, 1100), focal_px=3200.0), at=(25.0, 0.0))).save(path, quality=92)
    return path


def test_the_scale_card_is_printed_with_its_caution_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The bars are named with what they were drawn as; the sheet goes to its file."""
    sheet = tmp_path / "card.pdf"
    assert main(["scale-card", "--card", "b", "--pdf", str(sheet)]) == 0
    printed = capsys.readouterr()

    assert printed.out.startswith("! Before the first step: No open board is photographed live")
    assert "Card B, 116 mm × 83 mm: 12 × 8 squares of 7.5 mm, marks 48 to 95 of DICT_4X4_100" in printed.out
    assert "Bar along: drawn 90 mm; what the calliper reads is the scale" in printed.out
    assert sheet.read_bytes().startswith(b"%PDF")
    assert str(sheet) in printed.err


def test_the_scale_card_as_json_is_enough_to_draw_it(capsys: pytest.CaptureFixture[str]) -> None:
    """Places, cells and bars, in millimetres."""
    assert main(["scale-card", "--json"]) == 0
    card = json.loads(capsys.readouterr().out)

    assert (card["schema"], card["name"], card["square_mm"]) == ("coldpin.scale_card/1", "A", 7.5)
    assert card["markers"][0] == {"number": 0, "corner_mm": [8.5, 53.5], "cells": ["1011", "0101", "0011", "0010"]}
    assert [bar["length_mm"] for bar in card["bars"]] == [90.0, 60.0]


def test_a_photograph_is_told_line_by_line(picture: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The result goes to standard output, what is missing to standard error."""
    gap = ("--gap", "400,400 528,400 = 10.0 mm ± 0.05 mm")  # given three times it is one
    assert main(["photo", str(picture), *BARS, "--pick-u", "1", *gap, *gap, *gap]) == 0
    printed = capsys.readouterr()

    for line in ("scale by", "scale card", "A: 48 marks, 77 corners", "tilt of the camera", "at least", "Gaps", "yes"):
        assert line in printed.out
    assert "remark: gaps set by calliper: 1; below 3 a picture alone decides nothing" in printed.err


def test_a_photograph_as_json_holds_the_scale_of_a_drawing(picture: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With unit, points and uncertainties; null is what was not said."""
    assert main(["photo", str(picture), "--json"]) == 0
    reading = json.loads(capsys.readouterr().out)

    assert reading["schema"] == "coldpin.photo/1"
    assert reading["scale"]["unit"] == "px"
    assert len(reading["scale"]["points"]) == reading["card"]["corners"]
    assert reading["scale"]["pick_u_px"] is None
    assert reading["millimetres_per_pixel"]["u"] is None


def test_what_cannot_be_measured_in_is_one_message(
    tmp_path: Path, picture: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No card, mirrored, no picture, no file: standard output stays empty."""
    empty, mirrored = tmp_path / "empty.png", tmp_path / "mirrored.png"
    Image.fromarray(np.full((300, 400), 128, dtype=np.uint8)).save(empty)
    with Image.open(picture) as image:
        image.transpose(Image.Transpose.FLIP_LEFT_RIGHT).save(mirrored)
    text = tmp_path / "notes.jpg"
    text.write_text("not a picture")

    for path, said in (
        (empty, "no scale card is seen"),
        (mirrored, "the picture is mirrored"),
        (text, "its content is no picture that is known here"),
        (tmp_path / "nowhere.jpg", "there is no such file"),
    ):
        assert main(["photo", str(path)]) == 2
        printed = capsys.readouterr()
        assert printed.out == ""
        assert said in printed.err
        assert printed.err.count("coldpin:") == 1


def test_a_still_of_a_video_is_measured_in_and_kept(
    tmp_path: Path, picture: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its scale names the file that was written, which is read again as a picture with the same scale."""
    with Image.open(picture) as image:
        frame = np.asarray(image.convert("RGB"))[:, :, ::-1]
    video, still = tmp_path / "board.avi", tmp_path / "still.png"
    writer = cv2.VideoWriter(str(video), cv2.VideoWriter.fourcc(*"MJPG"), 5.0, (1400, 1100))
    for _ in range(4):
        writer.write(np.ascontiguousarray(frame))
    writer.release()

    assert main(["photo", str(video), "--at", "0.5", "--still", str(still), "--json"]) == 0
    by_video = json.loads(capsys.readouterr().out)
    assert main(["photo", str(still), "--json"]) == 0
    by_still = json.loads(capsys.readouterr().out)

    assert by_video["scale"]["picture"] == by_still["scale"]["picture"]
    assert by_video["millimetres_per_pixel"]["value"] == pytest.approx(
        by_still["millimetres_per_pixel"]["value"], rel=1e-4
    )
    assert (by_video["at_s"], by_still["at_s"]) == (0.5, None)


@pytest.mark.parametrize(
    ("library", "command", "what"),
    [("cv2", "scale-card", "the scale card"), ("PIL", "photo", "reading a picture")],
)
def test_a_library_that_is_not_installed_is_one_message(
    picture: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    library: str,
    command: str,
    what: str,
) -> None:
    """With the line that installs it."""
    monkeypatch.setitem(sys.modules, library, None)

    assert main([command, *([str(picture)] if command == "photo" else [])]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert f"{what} needs an optional part: install it with: pip install 'coldpin[photo]'" in printed.err
