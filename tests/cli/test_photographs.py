"""The commands about photographs, from the command line to what they print."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from coldpin.cli import main


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
