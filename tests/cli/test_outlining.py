"""The command that proposes outlines, from the command line to what it prints."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from PIL import Image

from coldpin.cli import main
from coldpin.records.board import Role
from tests.insulation.picture_of_board import picture_of_board


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    path = tmp_path / "board.png"
    Image.fromarray(picture_of_board().picture).save(path)
    return path


def slot() -> str:
    scene = picture_of_board()
    x, y = scene.seen(scene.names(Role.SLOT)[0]).mean(axis=0)
    return f"{x:.1f},{y:.1f} = slot"


def test_proposals_are_told_with_what_to_look_at(picture: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The result to standard output; that nobody has confirmed it, and where to look, to standard error."""
    show = picture.with_name("look.png")
    assert main(["outline", str(picture), "--at", slot(), "--snap", "--show", str(show)]) == 0
    printed = capsys.readouterr()

    for line in (
        "Known within (u)",
        "1: slot, grown from the point",
        "look at every side",
        "several edges side by side",
    ):
        assert line in printed.out
    assert "not confirmed: look at every side of each outline" in printed.err
    assert str(show) in printed.err
    assert show.read_bytes().startswith(b"\x89PNG")


def test_proposals_as_json(picture: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Marked as proposed, each corner with its uncertainty, null where a hand drew it and no edge shows it."""
    command = ["outline", str(picture), "--at", slot(), "--at", "20,20 60,20 60,50", "--snap"]
    assert main([*command, "--show", str(picture.with_name("look.png")), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)

    assert (told["schema"], told["picture"], told["width_px"], told["height_px"]) == (
        "coldpin.outline/1",
        "board.png",
        1000,
        700,
    )
    grown, drawn = told["outlines"]
    assert (grown["role"], grown["proposed"], len(grown["corner_u_px"])) == ("slot", True, len(grown["outline_px"]))
    assert grown["pick_u_px"] == max(grown["corner_u_px"])
    assert (drawn["role"], drawn["pick_u_px"], drawn["corner_u_px"]) == (None, None, [None] * 3)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--at", "1,2,3"], "'1,2,3' is no point"),
        (["--at", "500,350 = slot", "--tolerance", "nan"], "must be above 0"),
        (["--at", "500,350 = slot", "--reach", "-1"], "must be above 0"),
        (["--at", "5000,350 = slot"], "lies outside the picture of 1000 × 700 pixels"),
    ],
)
def test_what_cannot_be_proposed_is_one_message(
    picture: Path, capsys: pytest.CaptureFixture[str], more: list[str], said: str
) -> None:
    """Standard output stays empty, and no file is written."""
    show = picture.with_name("look.png")
    assert main(["outline", str(picture), *more, "--show", str(show)]) == 2
    printed = capsys.readouterr()

    assert printed.out == ""
    assert said in printed.err
    assert printed.err.count("coldpin:") == 1
    assert not show.exists()


@pytest.mark.parametrize("library", ["cv2", "PIL"])
def test_a_library_that_is_not_installed_is_one_message(
    picture: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], library: str
) -> None:
    """With the line that installs it."""
    monkeypatch.setitem(sys.modules, library, None)
    command = ["outline", str(picture), "--at", slot(), "--show", str(picture.with_name("look.png"))]

    assert main(command) == 2
    assert "install it with: pip install 'coldpin[photo]'" in capsys.readouterr().err
