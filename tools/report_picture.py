"""Make ``docs/report.png``, the picture in README: two pages of the demo's report on Pellwick 20, as they are now."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from PIL import Image

from coldpin.workbench.demo import make_demo
from tests.pdf_reading import page_texts, save_page
from tools.measured_page import PROJECT

TARGET = PROJECT / "docs" / "report.png"
SCALE = 1.5
COLOURS = 64
"""Enough for text and flat drawings; the file is a third of the size."""
BESIDE = "Figure 1."
"""The first page is shown beside the one that holds this."""


def main() -> int:
    """Make the demo in a temporary folder and draw the two pages side by side.

    Returns
    -------
    int
        0.
    """
    with tempfile.TemporaryDirectory() as folder:
        make_demo(Path(folder) / "shelf")
        pdf = Path(folder) / "shelf" / "pellwick-20" / "report" / "report.pdf"
        beside = next(number for number, text in enumerate(page_texts(pdf)) if BESIDE in text)
        pages = []
        for number in (0, beside):
            drawn = Path(folder) / f"{number}.png"
            save_page(pdf, number, drawn, scale=SCALE)
            pages.append(Image.open(drawn).convert("RGB"))
        width, height = pages[0].size
        sheet = Image.new("RGB", (2 * width, height), "white")
        for place, page in enumerate(pages):
            sheet.paste(page, (place * width, 0))
        sheet.quantize(COLOURS).save(TARGET, optimize=True)
    print(f"wrote {TARGET.relative_to(PROJECT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
