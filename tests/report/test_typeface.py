"""What is read of the font's file is what a library of fonts reads of it."""

from __future__ import annotations

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.ft2font import FT2Font
from matplotlib.textpath import text_to_path

from coldpin.report.figures.lines_of_text import lay_out
from coldpin.report.typeface import BOLD, REGULAR, font_folder, typeface

WORDS = ("lp", "−12.5 V", "mains to earth (mm)", "ÅÇ|Ω", "gypsy", "0123456789", "±°µ·→", "x")
"""Without pairs of letters that the library sets closer to each other."""


@pytest.mark.independent("FreeType, by matplotlib")
@pytest.mark.parametrize("name", [REGULAR, BOLD])
def test_the_letters_of_a_face(name: str) -> None:
    """The same characters have the same glyphs."""
    theirs = FT2Font(str(font_folder() / name)).get_charmap()

    assert {code: glyph for code, glyph in typeface(name).glyphs.items() if glyph} == theirs


@pytest.mark.independent("FreeType, by matplotlib, which places letters at 64ths of a point at a size of 100")
@pytest.mark.parametrize("weight", ["normal", "bold"])
@pytest.mark.parametrize("text", WORDS)
def test_how_far_a_line_reaches(text: str, weight: str) -> None:
    """Advance and reach up and down agree with the library's."""
    kind = FontProperties(family="DejaVu Sans", size=100.0, weight=weight)
    width, height, below = text_to_path.get_text_width_height_descent(text, kind, ismath=False)
    face = typeface(BOLD if weight == "bold" else REGULAR)
    letters = [face.letter(one) for one in text]

    assert 100.0 * sum(one.advance for one in letters) == pytest.approx(width, abs=len(text) / 64)
    inked = [one for one in letters if one.above or one.below]
    assert 100.0 * max(one.below for one in inked) == pytest.approx(below, abs=1 / 32)
    assert 100.0 * (max(one.above for one in inked) + max(one.below for one in inked)) == pytest.approx(
        height, abs=1 / 16
    )


@pytest.mark.hand("the letters l and p reach 0.760 up and 0.208 down; 1.2 times 0.760 from line to line, less 0.208")
def test_lines_of_a_block() -> None:
    """Lines of small letters are as high as those of large ones."""
    block = lay_out("aa\naa", 10.0)

    assert block.baselines == pytest.approx((7.60, 7.60 + 2.08 + 9.12), abs=0.01)
    assert block.height == pytest.approx(7.60 + 2.08 + 9.12 + 2.08, abs=0.01)
    assert block.above("top") == 0.0
    assert block.above("baseline") == block.baselines[-1]


def test_an_empty_text_has_no_width() -> None:
    """It has the height of a line all the same."""
    assert lay_out("", 10.0).width == 0.0
    assert lay_out("", 10.0).height == lay_out("lp", 10.0).height


def test_a_letter_that_the_font_lacks() -> None:
    """It is as wide as the sign for what is missing."""
    assert typeface().letter("\u989d").advance == pytest.approx(0.6, abs=0.01)
